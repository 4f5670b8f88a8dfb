"""Lengths as people say them. 25.4 mm an inch is exact by definition of the international inch."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.fit.lengths import (
    LengthError,
    LengthUnit,
    Tool,
    exact,
    in_words,
    measured,
    parse_length,
    usual_doubt_mm,
    with_unit,
)


@pytest.mark.parametrize(
    ("text", "mm", "unit"),
    [
        ("31 1/2", "800.1", "in"),
        ("5' 4-3/8\"", "1635.125", "in"),
        ("5′ 4⅜″", "1635.125", "in"),
        ("5 ft 4 3/8 in", "1635.125", "in"),
        ("5'4", "1625.6", "in"),
        ("812 mm", "812", "mm"),
        ("152.4mm", "152.4", "mm"),
        ("2.5 in", "63.5", "in"),
        ("17.25", "438.15", "in"),
        ("1-1/16", "26.9875", "in"),
        ("31½”", "800.1", "in"),
        ("31 1⁄2", "800.1", "in"),
        ("3/8", "9.525", "in"),
        (".5 IN", "12.7", "in"),
        ("6in", "152.4", "in"),
        ("118 7/16", "3008.3125", "in"),
        ("132 13/32", "3363.11875", "in"),
        ("32 cm", "320", "cm"),
        ("1.5 m", "1500", "m"),
        ("2'", "609.6", "ft"),
        ("5.5 ft", "1676.4", "ft"),
        ("4''", "101.6", "in"),
        ("  7  inches ", "177.8", "in"),
    ],
)
def test_a_length_is_read_as_it_is_said(text: str, mm: str, unit: str) -> None:
    length = parse_length(text)
    assert (length.typed, exact(length.mm), length.unit) == (text, Fraction(mm), unit)


def test_a_bare_number_is_in_the_unit_of_the_question() -> None:
    assert parse_length("812", "mm").mm == 812.0


@pytest.mark.parametrize(
    ("text", "character", "says"),
    [
        ("", 1, "a number"),
        ("abc", 1, "a number"),
        ("31 x", 4, "no unit"),
        ("31 1/3", 4, "no mark of a tape"),
        ("1/0", 1, "no mark of a tape"),
        ("13/8", 1, "1 3/8"),
        ("31 9/8", 4, "not below one"),
        ("2.5 1/2", 5, "decimals and a fraction"),
        ("3 4", 3, "left over"),
        ("3 in 4", 6, "left over"),
        ("1,5", 2, "cannot be read"),
        ("٣", 1, "cannot be read"),
        ("5' 13", 4, "below 12"),
        ("5' 12", 4, "below 12"),
        ("31 8/8", 4, "not below one"),
        ("5.5' 3", 6, "whole feet"),
        ("5' 3 mm", 4, "only inches"),
        ("5 -", 3, "follow the dash"),
        ("-3", 1, "a number"),
        ("1234567890", 1, "more figures"),
        ("5'-", 4, "a number"),
    ],
)
def test_what_cannot_be_read_is_told_with_the_place(text: str, character: int, says: str) -> None:
    with pytest.raises(LengthError) as caught:
        parse_length(text)
    assert caught.value.character == character
    assert says in caught.value.in_one_line()
    assert text in caught.value.title


def test_an_offset_from_a_datum_may_be_negative() -> None:
    assert parse_length("-14 1/2", signed=True).mm == -368.3


sixty_fourths = st.integers(0, 64 * 300)


@given(sixty_fourths, st.sampled_from([" ", "-", " - "]), st.sampled_from(["", '"', " in", "in."]))
def test_every_mark_of_a_tape_is_read_exactly(marks: int, between: str, unit: str) -> None:
    whole, rest = divmod(marks, 64)
    text = f"{whole}{between}{rest}/64{unit}" if rest else f"{whole}{unit}"
    assert exact(parse_length(text).mm) == Fraction(marks, 64) * Fraction(254, 10)


@given(sixty_fourths)
def test_feet_and_inches_say_the_same_as_inches(marks: int) -> None:
    inches, rest = divmod(marks, 64)
    feet, left = divmod(inches, 12)
    said = f"{feet}' {left} {rest}/64\"" if rest else f"{feet}' {left}\""
    assert exact(parse_length(said).mm) == Fraction(marks, 64) * Fraction(254, 10)


@given(st.integers(0, 9_999_999), st.sampled_from([LengthUnit.MM, LengthUnit.INCH]))
def test_what_is_shown_reads_back_as_what_was_measured(thousandths: int, unit: LengthUnit) -> None:
    mm = thousandths / 1000
    again = parse_length(in_words(mm, unit).replace(",", "")).mm
    assert abs(again - mm) <= (0.05 if unit is LengthUnit.MM else 0.127) + 1e-9


@given(st.text(max_size=12))
def test_any_text_is_a_length_or_a_told_error(text: str) -> None:
    try:
        mm, character = parse_length(text).mm, 1
    except LengthError as error:
        mm, character = 0.0, error.character
    assert mm >= 0
    assert 1 <= character <= len(text) + 1


@pytest.mark.parametrize(
    ("mm", "unit", "words"),
    [
        (25.4, "in", "1.00 in"),
        (25.4, "mm", "25.4 mm"),
        (3.175, "in", "0.13 in"),
        (1500, "m", "1.500 m"),
        (-0.01, "mm", "0.0 mm"),
    ],
)
def test_a_length_is_shown_in_words(mm: float, unit: str, words: str) -> None:
    assert in_words(mm, unit) == words


def test_inches_come_back_from_millimeters() -> None:
    assert parse_length("17.25").mm / 25.4 == pytest.approx(17.25)


@pytest.mark.parametrize(
    ("tool", "text", "inches"),
    [
        # Common practice, no source.
        (Tool.HOOK_TAPE, "17.25", "1/16"),
        (Tool.HOOK_TAPE, "60", "1/16"),
        (Tool.HOOK_TAPE, "60 1/16", "1/8"),
        (Tool.TAPE_UNDER_TRUCK, "12", "1/8"),
        (Tool.TRAM_GAUGE, "132 1/4", "1/32"),
        (Tool.DIAL_CALIPER, "0.120", "0.005"),
        (Tool.COUNTED, "27", "0"),
    ],
)
def test_each_tool_has_its_usual_doubt(tool: Tool, text: str, inches: str) -> None:
    assert exact(measured(text, tool).u_mm) == Fraction(inches) * Fraction(254, 10)


def test_a_long_pull_between_two_clear_points_is_trusted_as_a_short_one() -> None:
    assert usual_doubt_mm(Tool.HOOK_TAPE, 3000, clear_pull=True) == 1.5875


def test_a_doubt_of_ones_own_beats_the_usual_one() -> None:
    assert measured("17.25", Tool.HOOK_TAPE, "1/32").u_mm == 0.79375


def test_a_bare_length_gets_the_unit_of_its_fact_unless_that_is_inches_as_it_is_read_anyway() -> None:
    said = [with_unit(*each) for each in (("1180", "mm"), ("46 1/2 in", "mm"), ("6'", "mm"), ("", "mm"), ("12", "in"))]
    assert said == ["1180 mm", "46 1/2 in", "6'", "", "12"]
    assert with_unit("12", "V") == "12"
