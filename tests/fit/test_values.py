"""Values as people write them, read in one unit."""

from __future__ import annotations

from fractions import Fraction

import pytest

from app.fit.values import figure_in, length_unit


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
