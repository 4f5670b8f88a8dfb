"""Values as people write them, read in one unit."""

from __future__ import annotations

from fractions import Fraction

import pytest

from app.fit.values import compare, figure_in, length_unit, same


@pytest.mark.parametrize(
    ("value", "unit", "figure"),
    [
        ("52 3/8", "in", Fraction("52.375")),
        ("60 1/4 in", "in", Fraction("60.25")),
        ("254 mm", "in", Fraction(10)),
        ("10 in", "mm", Fraction(254)),
        ("6.5", "ft", Fraction("6.5")),
        ("6.5 ft", "ft", Fraction("6.5")),
        ("145 A", "A", Fraction(145)),
        ("118,400", "mi", Fraction(118_400)),
        ("3.73", "", Fraction("3.73")),
        ("oval", "in", None),
    ],
)
def test_a_figure_is_turned_into_the_unit_it_is_held_against(value: str, unit: str, figure: Fraction | None) -> None:
    """An inch is 25.4 mm by definition: NIST Special Publication 811, appendix B.8."""
    assert figure_in(value, unit) == figure


@pytest.mark.parametrize(
    ("values", "unit"),
    [
        (("12 mm", "46 in"), "mm"),
        (("", "46 in"), "in"),
        (("52 3/8",), "in"),
        (("60 1/4 in",), "in"),
        (("145 A", "4.10"), ""),
    ],
)
def test_the_unit_of_some_values_is_that_of_the_first_length(values: tuple[str, ...], unit: str) -> None:
    assert length_unit(*values) == unit


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        ("145", "145 A", True),
        ("30-spline", "30", True),
        ("4", "4.0", True),
        ("540 rpm", "540", True),
        ("2 in", "50.8 mm", True),
        ("1 1/2 in", "1.5", True),
        ("1.6", "1.6 turbo", False),
        ("2.0 diesel", "2.0", False),
        ("7", "7 1/2", False),
        ("2", "2 5/16 in", False),
        ("19.0", "19.0x15.5", False),
    ],
)
def test_words_behind_a_number_make_another_thing_of_it_unless_they_are_its_unit(
    one: str, other: str, alike: bool
) -> None:
    """A motor of 1.6 is not the 1.6 turbo. Common practice, no source."""
    assert same(one, other) is same(other, one) is alike


def test_a_fraction_is_part_of_the_figure_when_two_are_put_in_order() -> None:
    assert (compare("7", "7 1/2"), compare("2 5/16 in", "2 in"), compare("12", "12 V")) == (-1, 1, 0)
