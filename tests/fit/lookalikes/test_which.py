"""Which one is this? A closed list and what was read."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.fit.lookalikes.asking import Ask, expected_bits
from app.fit.lookalikes.odds import posterior
from app.fit.lookalikes.readings import Design, LookalikeError, Reading, Size
from app.fit.lookalikes.which import Verdict, which_one

INCH = 25.4
TAPE = INCH / 16
JOINTS = [
    Design("J322", "joint 3.22", {"cap to cap": Size(3.22 * INCH)}),
    Design("J362", "joint 3.62", {"cap to cap": Size(3.62 * INCH)}),
]
SHAFTS = [
    Design("S30", "shaft, 30 splines", {"splines": "30", "length": Size(31.10 * INCH)}),
    Design("S33", "shaft, 33 splines", {"splines": "33", "length": Size(31.10 * INCH)}),
    Design("S30L", "long shaft, 30 splines", {"splines": "30", "length": Size(31.20 * INCH)}),
]


def cap(inches: float, u: float = TAPE) -> Reading:
    return Reading("cap to cap", Size(inches * INCH, u))


def test_three_and_five_eighths_by_tape_is_the_big_joint() -> None:
    # 3.625 - 3.62 = 0.005 within 1/16; 3.625 - 3.22 = 0.405 is not: a tape is enough to tell, not to approve.
    found = which_one(JOINTS, [cap(3.625)])
    assert found.verdict is Verdict.IDENTIFIED
    assert found.candidates[0].code == "J362"
    assert found.candidates[0].probability > 0.99
    assert found.candidates[1].clashes == ("cap to cap 3.22 in",)
    assert "does not approve" in found.caution


@pytest.mark.parametrize("inches", [3.0, 3.42, 3.5, 4.0])
def test_a_reading_between_the_designs_picks_none(inches: float) -> None:
    found = which_one(JOINTS, [cap(inches)], [Ask("cap to cap", 3, 0.127, "dial caliper")])
    assert found.verdict is Verdict.MISREAD
    assert found.doubtful == ("cap to cap",)
    assert found.next == ()
    assert "measure again" in found.words
    assert not any(each.possible for each in found.candidates)


def test_the_edge_of_the_doubt_is_inside() -> None:
    assert which_one(JOINTS, [cap(3.62 - 1 / 16)]).verdict is Verdict.IDENTIFIED
    assert which_one(JOINTS, [cap(3.62 - 1 / 16 - 0.001)]).verdict is Verdict.MISREAD


def test_counted_splines_tell_shafts_of_one_length_apart() -> None:
    asks = [Ask("splines", 2), Ask("length", 3, TAPE, "hook tape")]
    assert which_one(SHAFTS, [], asks).next[0].ask.fact == "splines"
    found = which_one(SHAFTS, [Reading("splines", "33")])
    assert (found.verdict, found.candidates[0].code) == (Verdict.IDENTIFIED, "S33")
    found = which_one(SHAFTS, [Reading("splines", "30.0")], [Ask("length", 4, 0.79, "tram gauge")])
    assert found.verdict is Verdict.SEVERAL
    assert {each.code for each in found.candidates if each.possible} == {"S30", "S30L"}
    assert found.words.endswith("next: length with a tram gauge")


def test_the_reading_that_spoils_it_is_named() -> None:
    found = which_one(SHAFTS, [Reading("splines", "33"), Reading("length", Size(31.20 * INCH, 0.5))])
    assert found.verdict is Verdict.MISREAD
    assert found.doubtful == ("splines", "length")
    found = which_one(SHAFTS, [Reading("splines", "41"), Reading("length", Size(31.20 * INCH, 0.5))])
    assert found.doubtful == ("splines",)


def test_what_was_never_recorded_neither_fits_nor_clashes() -> None:
    blank = Design("NEW", "never measured", {})
    found = which_one([*JOINTS, blank], [cap(3.625)])
    assert found.verdict is Verdict.SEVERAL
    odds = {each.code: each.probability for each in found.candidates}
    assert odds["NEW"] == pytest.approx(1 / 3)
    assert next(each for each in found.candidates if each.code == "NEW").not_recorded == ("cap to cap",)


def test_nothing_on_record_tells_twins_apart() -> None:
    twins = [Design("A", "a", {"splines": "30"}), Design("B", "b", {"splines": "30"})]
    found = which_one(twins, [Reading("splines", "30")], [Ask("splines", 2)])
    assert (found.verdict, found.next) == (Verdict.SEVERAL, ())
    assert "nothing on record tells them apart" in found.words


def test_designs_that_are_more_about_are_likelier() -> None:
    found = which_one(JOINTS, [], weights={"J322": 3, "J362": 1})
    assert [each.probability for each in found.candidates] == [0.75, 0.25]


def test_less_effort_wins_where_two_asks_tell_as_much() -> None:
    designs = [Design("A", "a", {"look": "x", "count": "1"}), Design("B", "b", {"look": "y", "count": "2"})]
    found = which_one(designs, [], [Ask("count", 2), Ask("look", 1)])
    assert [each.ask.fact for each in found.next] == ["look", "count"]
    assert found.next[0].bits == pytest.approx(found.next[1].bits)


@pytest.mark.parametrize(
    ("designs", "readings", "weights", "misread", "place"),
    [
        ([], [], None, 0.02, "designs"),
        (JOINTS, [cap(3.6), cap(3.5)], None, 0.02, "cap to cap"),
        (JOINTS, [], {"J322": -1.0, "J362": 2.0}, 0.02, "weights"),
        (JOINTS, [], {"other": 1.0}, 0.02, "weights"),
        (JOINTS, [], None, 0.0, "misread"),
        (JOINTS, [], None, 1.0, "misread"),
    ],
)
def test_what_cannot_be_held_against_each_other_is_refused(
    designs: list[Design], readings: list[Reading], weights: dict[str, float] | None, misread: float, place: str
) -> None:
    with pytest.raises(LookalikeError) as caught:
        which_one(designs, readings, weights=weights, misread=misread)
    assert caught.value.place == place


def test_a_length_that_is_none_is_refused() -> None:
    for mm, u in ((0, 1), (-3, 1), (float("nan"), 1), (10, -1)):
        with pytest.raises(LookalikeError):
            Size(mm, u)


traits = st.tuples(st.sampled_from("xyz"), st.floats(50, 60).map(Size))
lists = st.lists(traits, min_size=1, max_size=6).map(
    lambda given: [
        Design(f"D{number}", f"design {number}", {"look": look, "size": size})
        for number, (look, size) in enumerate(given)
    ]
)
reads = st.tuples(st.sampled_from("xyz"), st.floats(48, 62), st.floats(0.05, 3)).map(
    lambda given: [Reading("look", given[0]), Reading("size", Size(given[1], given[2]))]
)


@given(lists, reads)
def test_odds_add_to_one_and_do_not_depend_on_the_order(designs: list[Design], readings: list[Reading]) -> None:
    odds = posterior(designs, readings)
    assert sum(odds) == pytest.approx(1)
    assert posterior(designs, readings[::-1]) == pytest.approx(odds)


@given(lists, reads)
def test_the_one_identified_meets_every_reading_and_no_other_does(
    designs: list[Design], readings: list[Reading]
) -> None:
    found = which_one(designs, readings)
    look, size = readings[0].value, readings[1].value
    assert isinstance(size, Size)
    meets = [
        each.code
        for each in designs
        if each.traits["look"] == look and abs(each.traits["size"].mm - size.mm) <= size.u_mm + 1e-9  # type: ignore[union-attr]
    ]
    left = [each.code for each in found.candidates if each.possible]
    assert set(left) <= set(meets)
    expected = {0: Verdict.MISREAD, 1: Verdict.IDENTIFIED}.get(len(left), Verdict.SEVERAL)
    assert found.verdict is expected


@given(lists, st.floats(0.05, 3))
def test_an_answer_never_tells_less_than_nothing_nor_more_than_is_open(designs: list[Design], u: float) -> None:
    odds = [1 / len(designs)] * len(designs)
    for ask in (Ask("look", 1), Ask("size", 3, u)):
        assert -1e-12 <= expected_bits(designs, odds, ask) <= which_one(designs, []).open_bits + 1e-6


@given(lists, st.floats(0.05, 1))
def test_a_finer_tool_never_tells_less(designs: list[Design], u: float) -> None:
    odds = [1 / len(designs)] * len(designs)
    coarse, fine = (expected_bits(designs, odds, Ask("size", 3, each)) for each in (u, u / 2))
    assert fine >= coarse - 1e-6
