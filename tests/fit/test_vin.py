"""VINs at the intake desk: refused with suggestions, years honestly, readings held against each other.

The VINs of the yard are invented; rules after 49 CFR 565.15, published VINs in tests/references.
"""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.fit.vin import (
    LOOK_ALIKES,
    TRANSLITERATION,
    Reading,
    ReadingOutcome,
    Source,
    SuggestionKind,
    VinVerdict,
    check_digit,
    compare_readings,
    normalize,
    read_vin,
    suggest,
)

SYMBOLS = "".join(TRANSLITERATION)
V1 = "0DMLW54SX8A204517"
V2_DASH, V2 = "0DM8W64T79A118832", "0DMHW64T79A118832"

vins = st.text(SYMBOLS, min_size=17, max_size=17).map(lambda text: text[:8] + check_digit(text) + text[9:])


def test_a_mistyped_vin_is_refused_with_what_was_typed_and_what_works_out() -> None:
    report = read_vin("0DMLW545X8A204517")
    assert report.verdict is VinVerdict.CHECK_DIGIT
    assert report.check_digit == "7"
    assert "typed X, works out 7" in report.findings[0].words
    assert not report.ok


def test_one_look_alike_is_suggested_for_it_and_the_swaps_stand_apart() -> None:
    found = suggest("0DMLW545X8A204517")
    look_alikes = [s for s in found if s.kind is SuggestionKind.LOOK_ALIKE]
    assert [(s.vin, s.positions, s.words) for s in look_alikes] == [(V1, (8,), "position 8: 5 read as S")]
    assert found[0] is look_alikes[0]
    assert {s.kind for s in found[1:]} == {SuggestionKind.SWAPPED}


def test_two_digits_turned_round_are_among_the_suggestions_with_wrong_ones() -> None:
    found = {s.positions: s.vin for s in suggest("0KGTC22B28K047613")}
    assert found[(15, 16)] == "0KGTC22B28K047163"
    assert found[(12,)] == "0KGTC22B28KD47613"
    assert (9, 10) in found


def test_a_good_vin_says_its_year_and_what_it_cannot_say() -> None:
    report = read_vin(" 0dmlw54s-x8a 204517")
    assert (report.vin, report.ok, report.years) == (V1, True, (2008,))
    assert any("door label" in unknown for unknown in report.unknowns)
    assert any("same value" in unknown for unknown in report.unknowns)
    assert suggest(V1) == ()


def test_eight_for_h_passes_the_check_digit() -> None:
    assert read_vin(V2_DASH).ok
    assert read_vin(V2).ok


@pytest.mark.parametrize("vin", ["0DMHW64T38A090266", "0DMLP52S57A310940", "0KGHS64D56A551207", "0KGTC22B28K047163"])
def test_the_yards_other_vehicles_are_valid(vin: str) -> None:
    assert read_vin(vin).ok


@pytest.mark.parametrize(
    ("text", "verdict", "position", "words"),
    [
        ("0DMLW54SX8A20451", VinVerdict.WRONG_LENGTH, None, "16 characters"),
        ("", VinVerdict.WRONG_LENGTH, None, "0 characters"),
        ("ODMLW54SX8A204517", VinVerdict.WRONG_CHARACTER, 1, "position 1: O"),
        ("0DMLW54SX8A2045I7", VinVerdict.WRONG_CHARACTER, 16, "position 16: I"),
        ("0DMLW54SX8A20*517", VinVerdict.WRONG_CHARACTER, 14, "position 14: *"),
        ("0DMLW54SX8A20451٧", VinVerdict.WRONG_CHARACTER, 17, "position 17: ٧"),
    ],
)
def test_a_vin_of_the_wrong_form_is_refused_with_the_place(
    text: str, verdict: VinVerdict, position: int | None, words: str
) -> None:
    finding = read_vin(text).findings[0]
    assert (finding.kind, finding.position) == (verdict, position)
    assert words in finding.words


def test_a_bad_check_character_still_lets_the_digit_be_worked_out() -> None:
    report = read_vin("0KGTC22BO8K047163")
    assert report.check_digit == "2"
    assert {f.position for f in report.findings} == {9}


def test_no_suggestion_puts_a_letter_in_the_number_at_the_end_or_a_year_that_is_none() -> None:
    # The last four are digits: 49 CFR 565.15(d). Both candidates satisfy the check digit.
    tailed, yearless = "0DMLW54S28A20Z517", "0DMLW54S7UA204517"
    assert read_vin(tailed).ok
    assert read_vin(yearless).ok
    assert tailed not in {s.vin for s in suggest(tailed.replace("Z", "2"))}
    assert yearless not in {s.vin for s in suggest(yearless.replace("U", "V"))}


def test_letters_never_used_are_suggested_as_digits() -> None:
    assert [s.vin for s in suggest("ODMLW54SX8A2O45I7")] == ["0DMLW54SX8A204517"]
    assert "position 1: O read as 0" in suggest("ODMLW54SX8A204517")[0].words


def test_a_character_too_many_or_too_few_is_suggested_where_it_makes_a_valid_vin() -> None:
    twice = {s.vin: s.kind for s in suggest("0DMLW544SX8A204517")}
    once = {s.vin: s.kind for s in suggest("0DMHW64T79A11832")}
    assert twice == {V1: SuggestionKind.DOUBLED}
    assert once[V2] is SuggestionKind.MISSED


@given(vins, st.data())
@settings(deadline=None)
def test_a_suggestion_is_always_valid_and_nothing_else_than_said(vin: str, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, 16))
    typed = vin[:at] + data.draw(st.sampled_from(SYMBOLS + "IOQ")) + vin[at + 1 :]
    for suggestion in suggest(typed):
        changed = {i for i, (a, b) in enumerate(zip(typed, suggestion.vin, strict=True), 1) if a != b}
        assert read_vin(suggestion.vin).ok
        assert changed == set(suggestion.positions)


@given(vins, st.sampled_from(LOOK_ALIKES), st.integers(0, 12))
@settings(deadline=None)
def test_a_look_alike_that_the_check_digit_finds_is_among_the_suggestions(vin: str, pair: str, at: int) -> None:
    if at == 8 or (at == 9 and pair[0] in "UZ0"):
        return
    meant = vin[:at] + pair[0] + vin[at + 1 :]
    meant = meant[:8] + check_digit(meant) + meant[9:]
    typed = meant[:at] + pair[1] + meant[at + 1 :]
    if not read_vin(typed).ok:
        assert meant in {s.vin for s in suggest(typed)}


@given(vins, st.integers(0, 16), st.sampled_from(SYMBOLS))
@settings(deadline=None, max_examples=400)
def test_every_wrong_character_of_another_value_is_caught(vin: str, at: int, char: str) -> None:
    typed = vin[:at] + char + vin[at + 1 :]
    same = TRANSLITERATION[char] == TRANSLITERATION[vin[at]] if at != 8 else char == vin[at]
    assert read_vin(typed).ok is same


def test_42_of_528_pairs_of_symbols_are_one_to_the_check_digit() -> None:
    # Consequence of 49 CFR 565.15 Table III, counted here by typing each pair into a VIN.
    base = "0DMLW54SX8A204517"
    blind = 0
    for one, other in combinations(SYMBOLS, 2):
        first = one + base[1:]
        first = first[:8] + check_digit(first) + first[9:]
        blind += read_vin(other + first[1:]).ok
    assert (blind, len(list(combinations(SYMBOLS, 2)))) == (42, 528)


@pytest.mark.parametrize("code", "UZ0")
def test_position_10_never_carries_u_z_or_0(code: str) -> None:
    report = read_vin(f"0DMLW54SX{code}A204517")
    assert report.years == ()
    assert any(unknown.startswith("model year") for unknown in report.unknowns)


@pytest.mark.parametrize(("light", "why"), [(False, "heavier vehicle"), (None, "class unknown")])
def test_outside_the_light_class_both_years_are_said(light: bool | None, why: str) -> None:
    report = read_vin(V1, light=light)
    assert report.years == (2008, 2038)
    assert why in report.year_words
    assert report.year_words in report.unknowns[0]


def test_a_year_that_has_not_been_built_is_struck_out() -> None:
    report = read_vin(V1, light=None, newest=2027)
    assert report.years == (2008,)
    assert "2038 has not been built yet" in report.year_words


def test_a_letter_at_position_7_is_the_later_cycle() -> None:
    # Note to Table VII of 49 CFR 565.15: a letter means 2010 to 2039.
    assert read_vin("0DMLW5ASXBA204517").years == (2011,)


def test_one_reading_asks_for_a_second_and_the_same_plate_again_is_no_second() -> None:
    assert compare_readings([]).outcome is ReadingOutcome.NEEDS_FIRST
    dash = Reading(Source.DASH, V2_DASH)
    assert compare_readings([dash]).outcome is ReadingOutcome.NEEDS_SECOND
    assert compare_readings([dash, dash]).outcome is ReadingOutcome.NEEDS_SECOND


def test_two_readings_that_differ_ask_for_a_third_and_say_where_and_why() -> None:
    found = compare_readings([Reading(Source.DASH, V2_DASH), Reading(Source.DOOR_LABEL, V2)])
    assert (found.outcome, found.vin) == (ReadingOutcome.MISMATCH, None)
    assert found.words[0].startswith("position 4: 8 on the dash, H on the door label; both count 8")
    assert [(d.position, d.same_value) for d in found.differences] == [(4, True)]


def test_a_difference_in_the_check_digit_itself_is_never_blind() -> None:
    found = compare_readings([Reading("dash", V1), Reading("door label", V1[:8] + "7" + V1[9:])])
    assert [(d.position, d.same_value) for d in found.differences] == [(9, False)]
    assert found.words[1] == "the door label as read is not valid by itself"


def test_the_third_reading_settles_it_and_the_first_is_kept() -> None:
    dash = Reading(Source.DASH, V2_DASH)
    found = compare_readings([dash, Reading(Source.DOOR_LABEL, V2), Reading(Source.FRAME_STAMP, V2)])
    assert (found.outcome, found.vin, found.outvoted) == (ReadingOutcome.SETTLED, V2, (dash,))


def test_readings_agree_whatever_their_spacing() -> None:
    found = compare_readings([Reading("dash", V1), Reading("door label", V1.lower().replace("x", " x-"))])
    assert (found.outcome, found.vin) == (ReadingOutcome.AGREE, V1)


def test_a_frame_that_names_another_vehicle_stops_the_yard() -> None:
    light = [Reading(Source.DASH, V1), Reading(Source.DOOR_LABEL, V1)]
    other = compare_readings([*light, Reading(Source.FRAME_STAMP, "0DMHW64T38A090266")])
    misread = compare_readings([*light, Reading(Source.FRAME_STAMP, "0DMLW545X8A204517")])
    assert other.outcome is ReadingOutcome.FRAME_DIFFERS
    assert any("stop" in words for words in other.words)
    assert misread.outcome is ReadingOutcome.SETTLED


def test_three_readings_that_all_differ_settle_nothing() -> None:
    found = compare_readings([Reading("dash", V1), Reading("door label", V2), Reading("frame stamp", V2_DASH)])
    assert (found.outcome, found.vin) == (ReadingOutcome.NO_TWO_AGREE, None)


def test_two_against_two_settle_nothing() -> None:
    places = ("dash", "door label", "frame stamp", "firewall")
    found = compare_readings([Reading(p, v) for p, v in zip(places, (V1, V1, V2, V2), strict=True)])
    assert found.outcome is ReadingOutcome.MISMATCH


def test_agreeing_on_a_number_that_is_not_valid_is_said() -> None:
    short = "0DMLW54SX8A20451"
    found = compare_readings([Reading("dash", short), Reading("door label", short)])
    assert found.outcome is ReadingOutcome.AGREE
    assert "only with a reason" in found.words[-1]


@given(st.text())
def test_whatever_is_typed_is_read_without_falling_over(text: str) -> None:
    assert read_vin(text).vin == normalize(text)
    suggest(text)
