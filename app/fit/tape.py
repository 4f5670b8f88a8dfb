"""Tape decides: a measurement against a target, with the doubt of both, has three answers and not two."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from app.fit.lengths import MM_PER, LengthUnit, Measured, Number, exact


class TapeOutcome(StrEnum):
    """What the tape says; in doubt is never rounded to a yes."""

    FITS = "fits"
    DOES_NOT_FIT = "does not fit"
    MEASURE_AGAIN = "measure again"


@dataclass(frozen=True, slots=True)
class TapeDecision:
    """The outcome with its figures, all in the unit the readings came in.

    `d` is the difference, `doubt` both uncertainties added (two men with one tape make the same mistake),
    `allowed` the limit, `enough` the added doubt that would decide it.
    """

    outcome: TapeOutcome
    d: Fraction
    doubt: Fraction
    allowed: Fraction
    enough: Fraction
    words: str


def figure(value: Fraction) -> str:
    """A figure in decimals, two at least and as many as it has up to six: 0.50, 0.0625."""
    text = f"{Decimal(value.numerator) / value.denominator:,.6f}".rstrip("0")
    whole, _, decimals = text.partition(".")
    return f"{whole}.{decimals.ljust(2, '0')}"


def decide(m: Number, u1: Number, t: Number, u2: Number, allowed: Number, unit: str = "") -> TapeDecision:
    """Hold a part measuring m +/- u1 against a target t +/- u2 that may differ by `allowed`.

    Fits when d + U <= allowed, does not when d - U > allowed, else it is measured again with a finer
    tool. All five in one unit, `unit` being its word; floats are taken as the decimals they were typed
    as, so a reading exactly at the limit is decided. ValueError for a negative doubt or limit.
    """
    first, target, limit = exact(m), exact(t), exact(allowed)
    doubts = (exact(u1), exact(u2))
    if min(*doubts, limit) < 0:
        raise ValueError("a doubt and a limit are never below zero")
    d, doubt = abs(first - target), sum(doubts, Fraction(0))
    if d + doubt <= limit:
        outcome = TapeOutcome.FITS
    elif d - doubt > limit:
        outcome = TapeOutcome.DOES_NOT_FIT
    else:
        outcome = TapeOutcome.MEASURE_AGAIN
    words = _words(outcome, d, doubt, limit, f" {unit}" if unit else "")
    return TapeDecision(outcome, d, doubt, limit, abs(limit - d), words)


def decide_measured(part: Measured, target: Measured, allowed_mm: Number, unit: str = LengthUnit.INCH) -> TapeDecision:
    """The same for two measurements and a limit in millimeters, with the figures given in `unit`."""
    per = MM_PER[LengthUnit(unit)]
    values = (part.length.mm, part.u_mm, target.length.mm, target.u_mm, allowed_mm)
    m, u1, t, u2, allowed = (exact(value) / per for value in values)
    return decide(m, u1, t, u2, allowed, unit)


def _words(outcome: TapeOutcome, d: Fraction, doubt: Fraction, limit: Fraction, unit: str) -> str:
    most = f"{figure(d)} + {figure(doubt)} = {figure(d + doubt)}"
    least = f"{figure(d)} - {figure(doubt)} = {figure(d - doubt)}"
    allowed = f"{figure(limit)}{unit}"
    start = f"difference {figure(d)}{unit}"
    if outcome is TapeOutcome.FITS:
        return f"{start}; {most}, within {allowed}: {outcome}"
    if outcome is TapeOutcome.DOES_NOT_FIT:
        return f"{start}; {least}, over {allowed}: {outcome}"
    return f"{start}; {most}, over {allowed}, and {least}, not over it: {outcome}, with a finer tool"
