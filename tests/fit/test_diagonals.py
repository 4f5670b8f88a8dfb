"""Frame diagonals on the yard's own readings; limit and doubt are yard settings (common practice, no source)."""

from fractions import Fraction

import pytest

from app.fit.diagonals import DiagonalOutcome, check_diagonals, read_diagonal
from app.fit.lengths import Tool


@pytest.mark.parametrize(
    ("a", "b", "tool", "d", "outcome", "says"),
    [
        ("118 7/16", "118 1/2", Tool.HOOK_TAPE, "0.0625", DiagonalOutcome.STRAIGHT, "0.0625 + 0.125 = 0.1875"),
        ("118 3/4", "119 1/4", Tool.HOOK_TAPE, "0.5", DiagonalOutcome.BENT, "0.50 - 0.125 = 0.375, over 0.25"),
        ("118 7/16", "118 15/16", Tool.HOOK_TAPE, "0.5", DiagonalOutcome.BENT, "0.375"),
        ("132 3/16", "132 1/2", Tool.HOOK_TAPE, "0.3125", DiagonalOutcome.MEASURE_AGAIN, "0.4375"),
        ("132 8/32", "132 13/32", Tool.TRAM_GAUGE, "0.15625", DiagonalOutcome.STRAIGHT, "0.21875, within 0.25"),
        ("100", "100 1/8", Tool.HOOK_TAPE, "0.125", DiagonalOutcome.STRAIGHT, "0.25, within 0.25"),
        ("100", "100 3/8", Tool.HOOK_TAPE, "0.375", DiagonalOutcome.MEASURE_AGAIN, "0.25 over it"),
    ],
)
def test_the_diagonals_say_straight_bent_or_measure_again(
    a: str, b: str, tool: Tool, d: str, outcome: DiagonalOutcome, says: str
) -> None:
    verdict = check_diagonals(read_diagonal(a, tool), read_diagonal(b, tool))
    assert (verdict.outcome, verdict.d) == (outcome, Fraction(d))
    assert says in verdict.words
    swapped = check_diagonals(read_diagonal(b, tool), read_diagonal(a, tool))
    assert swapped.outcome is outcome


@pytest.mark.parametrize(
    ("b", "finer"),
    [("100 3/16", "good to 0.03125 in"), ("100 5/16", "better than 0.03125 in"), ("100 1/4", "the finest tool")],
)
def test_in_doubt_the_tool_that_would_decide_is_named(b: str, finer: str) -> None:
    assert finer in check_diagonals(read_diagonal("100"), read_diagonal(b)).words


def test_a_vaguer_reading_and_another_limit_count() -> None:
    a, b = read_diagonal("118 7/16", u="1/8"), read_diagonal("118 1/2", u="1/8")
    assert check_diagonals(a, b).outcome is DiagonalOutcome.MEASURE_AGAIN
    assert check_diagonals(a, b, limit_mm=9.525).outcome is DiagonalOutcome.STRAIGHT


def test_the_figures_can_be_given_in_millimeters() -> None:
    verdict = check_diagonals(read_diagonal("3008 mm"), read_diagonal("3009.5 mm"), unit="mm")
    assert (verdict.d, verdict.limit) == (Fraction("1.5"), Fraction("6.35"))
    assert "4.675" in verdict.words
