"""Tape decides, by three answers: the yard's rule (worst case added, common practice, no source)."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.fit.lengths import Number, Tool, measured
from app.fit.tape import TapeOutcome, decide, decide_measured, figure

ORDER = [TapeOutcome.FITS, TapeOutcome.MEASURE_AGAIN, TapeOutcome.DOES_NOT_FIT]


@pytest.mark.parametrize(
    ("m", "u", "allowed", "outcome"),
    [
        # Arithmetic of the rule itself: d + U <= a fits, d - U > a does not.
        (10.05, 0.125, 0.3125, TapeOutcome.FITS),
        (10.0625, 0.125, 0.3125, TapeOutcome.FITS),
        (10.0626, 0.125, 0.3125, TapeOutcome.MEASURE_AGAIN),
        (10.5625, 0.125, 0.3125, TapeOutcome.MEASURE_AGAIN),
        (10.5626, 0.125, 0.3125, TapeOutcome.DOES_NOT_FIT),
        (10.3, 0, 0.3, TapeOutcome.FITS),
        (10.1, 0.1, 0.3, TapeOutcome.FITS),
    ],
)
def test_a_reading_right_at_the_limit_is_decided(m: float, u: float, allowed: float, outcome: TapeOutcome) -> None:
    assert decide(m, u, 10, u, allowed).outcome is outcome


def test_the_words_carry_the_arithmetic() -> None:
    words = decide(Fraction(1, 2), Fraction(1, 16), 0, Fraction(1, 16), Fraction(1, 4), "in").words
    assert words == "difference 0.50 in; 0.50 - 0.125 = 0.375, over 0.25 in: does not fit"


def test_what_would_decide_is_said() -> None:
    decision = decide(0.3125, 0.0625, 0, 0.0625, 0.25)
    assert (decision.outcome, decision.enough) == (TapeOutcome.MEASURE_AGAIN, Fraction(1, 16))


def test_typed_measurements_are_held_against_each_other_in_inches() -> None:
    part, target = measured("17 1/4", Tool.HOOK_TAPE), measured("438.15 mm", Tool.DIAL_CALIPER)
    decision = decide_measured(part, target, 3.175)
    assert (decision.outcome, decision.d) == (TapeOutcome.FITS, Fraction(0))
    assert decision.doubt == Fraction(1, 16) + Fraction(5, 1000)


@pytest.mark.parametrize(("u", "allowed"), [(-0.1, 1), (0.1, -1)])
def test_a_doubt_or_limit_below_zero_is_refused(u: float, allowed: float) -> None:
    with pytest.raises(ValueError, match="below zero"):
        decide(1, u, 1, 0, allowed)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), Decimal("NaN")])
def test_what_is_no_number_is_refused(value: Number) -> None:
    with pytest.raises(ValueError, match="no measurement"):
        decide(value, 0, 1, 0, 1)


lengths = st.fractions(0, 200, max_denominator=64)
doubts = st.fractions(0, 1, max_denominator=64)


@given(lengths, doubts, lengths, doubts, doubts)
def test_the_three_answers_exclude_each_other(
    m: Fraction, u1: Fraction, t: Fraction, u2: Fraction, allowed: Fraction
) -> None:
    corners = [abs((m + i * u1) - (t + j * u2)) <= allowed for i in (-1, 1) for j in (-1, 1)]
    outcome = decide(m, u1, t, u2, allowed).outcome
    if outcome is TapeOutcome.FITS:
        assert all(corners)
    if outcome is TapeOutcome.DOES_NOT_FIT:
        assert not any(corners)


@given(lengths, doubts, lengths, doubts, doubts, doubts)
def test_more_difference_never_brings_a_part_nearer_and_more_doubt_never_decides(
    m: Fraction, u: Fraction, t: Fraction, allowed: Fraction, further: Fraction, vaguer: Fraction
) -> None:
    away = m + further if m >= t else m - further
    first = decide(m, u, t, 0, allowed).outcome
    assert ORDER.index(decide(away, u, t, 0, allowed).outcome) >= ORDER.index(first)
    assert decide(m, u, t, vaguer, allowed).outcome in (first, TapeOutcome.MEASURE_AGAIN)


@given(lengths, doubts, lengths, doubts, doubts)
def test_floats_decide_as_the_fractions_they_were_typed_as(
    m: Fraction, u1: Fraction, t: Fraction, u2: Fraction, allowed: Fraction
) -> None:
    m, u1, t, u2, allowed = (Fraction(round(v * 64), 64) for v in (m, u1, t, u2, allowed))
    m_mm, u1_mm, t_mm, u2_mm, allowed_mm = (float(v * Fraction(254, 10)) for v in (m, u1, t, u2, allowed))
    typed = decide(m, u1, t, u2, allowed)
    assert decide(m_mm, u1_mm, t_mm, u2_mm, allowed_mm).outcome is typed.outcome


@pytest.mark.parametrize(("value", "text"), [("1/2", "0.50"), ("1/16", "0.0625"), ("5/32", "0.15625"), ("0", "0.00")])
def test_a_figure_shows_the_decimals_it_has(value: str, text: str) -> None:
    assert figure(Fraction(value)) == text
