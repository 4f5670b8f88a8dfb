"""A difference with its doubt against what is allowed: three answers, a probability beside them, and the words."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from fractions import Fraction

from app.fit.doubt import combined, conformance_probability, standard
from app.fit.lengths import MM_PER, LengthUnit, exact
from app.fit.tape import TapeOutcome, decide

_PLACES = {LengthUnit.MM: 2, LengthUnit.CM: 3}
_USUAL_PLACES = 4
_CLOSE_MM = 1e-6
UNSEEN_MM = 0.05
"""No tool on a frame sees less."""


class Verdict(StrEnum):
    """What a comparison of two frames says of one place."""

    SAME = "lines up"
    MEASURE_AGAIN = "measure again"
    DIFFERENT = "does not line up"


_VERDICTS = {
    TapeOutcome.FITS: Verdict.SAME,
    TapeOutcome.DOES_NOT_FIT: Verdict.DIFFERENT,
    TapeOutcome.MEASURE_AGAIN: Verdict.MEASURE_AGAIN,
}
_WORST_FIRST = (Verdict.DIFFERENT, Verdict.MEASURE_AGAIN, Verdict.SAME)


@dataclass(frozen=True, slots=True)
class Judged:
    """A signed difference in mm, the added doubts, what is allowed, and what follows.

    `probability` is how likely the true difference is allowed, each doubt taken as an even spread between its limits
    and the doubts put together as squares (JCGM 106:2012). `arithmetic` shows the worst-case decision in figures.
    """

    verdict: Verdict
    difference_mm: float
    doubt_mm: float
    allowed_mm: float
    probability: float
    arithmetic: str


def judge(
    difference_mm: float, doubts_mm: tuple[float, ...], allowed_mm: float, unit: LengthUnit = LengthUnit.INCH
) -> Judged:
    """Worst case: the same when d + U <= allowed, different when d - U > allowed, else measured again."""
    allowed = max(allowed_mm, 0.0)
    doubt = sum(doubts_mm)
    outcome = decide(difference_mm, doubt, 0, 0, allowed).outcome
    u = combined(*(standard(each) for each in doubts_mm)) if doubts_mm else 0.0
    probability = conformance_probability(difference_mm, u, -allowed, allowed)
    words = _arithmetic(outcome, abs(difference_mm), doubt, allowed, unit)
    return Judged(_VERDICTS[outcome], difference_mm, doubt, allowed, probability, words)


def verdict_of(difference_mm: float, doubts_mm: tuple[float, ...], allowed_mm: float) -> Verdict:
    """The verdict alone; only a close call is decided exactly, for a search that asks many times."""
    d, doubt, allowed = abs(difference_mm), sum(doubts_mm), max(allowed_mm, 0.0)
    if min(abs(d + doubt - allowed), abs(d - doubt - allowed)) < _CLOSE_MM:
        return _VERDICTS[decide(d, doubt, 0, 0, allowed).outcome]
    if d + doubt < allowed:
        return Verdict.SAME
    return Verdict.DIFFERENT if d - doubt > allowed else Verdict.MEASURE_AGAIN


def worst(verdicts: tuple[Verdict, ...]) -> Verdict:
    """The worst of several; nothing compared lines up with everything."""
    return next((verdict for verdict in _WORST_FIRST if verdict in verdicts), Verdict.SAME)


def figure(mm: float, unit: LengthUnit = LengthUnit.INCH) -> str:
    """A length in mm as a figure in `unit`, two decimals at least and at most four: 0.50, 0.0625."""
    return _rounded(exact(mm) / MM_PER[unit], unit)


def length(mm: float, unit: LengthUnit = LengthUnit.INCH) -> str:
    """The same with its unit behind it."""
    return f"{figure(mm, unit)} {unit}"


def way(mm: float, more: str, less: str, unit: LengthUnit = LengthUnit.INCH) -> str:
    """A signed length in words: so much and which way, or that none is to be seen."""
    if abs(mm) < UNSEEN_MM:
        return f"{length(0.0, unit)}, none seen"
    return f"{length(abs(mm), unit)} {more if mm > 0 else less}"


def _rounded(value: Fraction, unit: LengthUnit) -> str:
    places = _PLACES.get(unit, _USUAL_PLACES)
    decimal = (Decimal(value.numerator) / value.denominator).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
    whole, _, decimals = f"{decimal + 0:,f}".partition(".")
    return f"{whole}.{decimals.rstrip('0').ljust(2, '0')}"


def _arithmetic(outcome: TapeOutcome, d: float, doubt: float, allowed: float, unit: LengthUnit) -> str:
    most = f"{figure(d, unit)} + {figure(doubt, unit)} = {figure(d + doubt, unit)}"
    least = f"{figure(d, unit)} - {figure(doubt, unit)} = {figure(d - doubt, unit)}"
    limit = figure(allowed, unit)
    if outcome is TapeOutcome.FITS:
        return f"{most}, within {limit} {unit}"
    if outcome is TapeOutcome.DOES_NOT_FIT:
        return f"{least}, over {limit} {unit}"
    return f"{most}, over {limit}, and {least}, not over it"
