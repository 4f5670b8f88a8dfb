"""What a reading is worth: a tape's own limit, doubts put together, and how likely a value keeps its limits.

Two manners stand side by side. The yard decides by the worst case, limits added, because two men with one tape
make the same mistake; a probability beside it comes from standard uncertainties added as squares. Terms and
formulas are those of JCGM 100:2008 (the GUM) and JCGM 106:2012. One call takes and gives one unit.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from enum import StrEnum
from math import atan, ceil, cos, erfc, hypot, inf, isfinite, isinf, pi, sin, sqrt
from statistics import NormalDist

from app.errors import BadInput
from app.fit.lengths import Number, exact

MM_PER_METER = 1000
_NARROWEST = 1e-13
"""Where halving an interval about a quantile stops, relative to its upper end."""


class DoubtError(BadInput, ValueError):
    """A doubt, a limit or a confidence that cannot be."""


class TapeClass(StrEnum):
    """The accuracy class printed on a tape."""

    I = "I"  # noqa: E741
    II = "II"
    III = "III"


_FIXED_MM = {TapeClass.I: exact(0.1), TapeClass.II: exact(0.3), TapeClass.III: exact(0.6)}
_EACH_METER_MM = {TapeClass.I: exact(0.1), TapeClass.II: exact(0.2), TapeClass.III: exact(0.4)}
_HOOK_MM = {TapeClass.I: exact(0.1), TapeClass.II: exact(0.2), TapeClass.III: exact(0.3)}


def tape_limit_mm(tape_class: TapeClass | str, length_mm: Number, from_hook: bool = False) -> float:
    """The most a tape of this class may be off over a length, in millimeters either way.

    a + b·L with L in meters, rounded up to the next whole one, and c more where the pull starts at the hook.
    It holds for the tape at 20 °C, pulled with 50 N from 5 m up: how well it was held and read comes on top.
    Directive 2014/32/EU, Annex X, chapter I. DoubtError for another class or a length below zero.
    """
    try:
        kind = TapeClass(tape_class)
    except ValueError:
        raise DoubtError(f"{tape_class!r} is no class of a tape", "Tapes are of class I, II or III.") from None
    if length_mm < 0:
        raise DoubtError("a length below zero has no tape", "Give the length that was pulled.")
    meters = ceil(exact(length_mm) / MM_PER_METER)
    return float(_FIXED_MM[kind] + _EACH_METER_MM[kind] * meters + (_HOOK_MM[kind] if from_hook else 0))


def worst_case(*limits: float) -> float:
    """Limits of error added up: no reading can be further off than that."""
    return sum(_doubts(limits))


def standard(limit: float) -> float:
    """The standard uncertainty of a value known to lie within ± `limit`, all places alike: limit / √3.

    JCGM 100:2008, 4.3.7.
    """
    return next(_doubts((limit,))) / sqrt(3.0)


def combined(*uncertainties: float) -> float:
    """Standard uncertainties of independent contributions put together: the root of the sum of their squares.

    Each is given times its sensitivity. JCGM 100:2008, 5.1.2.
    """
    return hypot(*_doubts(uncertainties))


def effective_freedom(parts: Iterable[tuple[float, float]]) -> float:
    """Degrees of freedom of a combined uncertainty from pairs of contribution and its own degrees of freedom.

    The Welch-Satterthwaite formula, JCGM 100:2008, G.2b; a contribution with infinite freedom adds nothing below
    the line. Infinite where none has a doubt.
    """
    known = tuple(parts)
    if any(freedom <= 0 for _, freedom in known):
        raise DoubtError("degrees of freedom are above zero", "Give the number of readings less one.")
    below = sum(u**4 / freedom for u, freedom in known)
    return combined(*(u for u, _ in known)) ** 4 / below if below else inf


def coverage_factor(confidence: float, freedom: float = inf) -> float:
    """By how much to widen a standard uncertainty so that ± it holds with this confidence, 0.99 for 99 %.

    Student's t, degrees of freedom cut down to a whole number as JCGM 100:2008, G.4.1 does; the normal law where
    they are infinite.
    """
    if not 0.0 < confidence < 1.0:
        raise DoubtError(f"a confidence of {confidence} cannot be", "Give it between 0 and 1: 0.95 for 95 %.")
    if isinf(freedom):
        return NormalDist().inv_cdf((1.0 + confidence) / 2.0)
    if freedom < 1:
        raise DoubtError("less than one degree of freedom", "Take two readings at least.")
    low, high = 0.0, 1.0
    while _within_t(high, int(freedom)) < confidence:
        low, high = high, high * 2.0
    while high - low > _NARROWEST * high:
        middle = (low + high) / 2.0
        low, high = (middle, high) if _within_t(middle, int(freedom)) < confidence else (low, middle)
    return (low + high) / 2.0


def expanded(u: float, confidence: float = 0.95, freedom: float = inf) -> float:
    """A standard uncertainty as ± limits that hold with this confidence. JCGM 100:2008, 6.2."""
    return next(_doubts((u,))) * coverage_factor(confidence, freedom)


def conformance_probability(value: float, u: float, low: float | None = None, high: float | None = None) -> float:
    """How likely the true value lies between its limits, given a reading and its standard uncertainty.

    A normal law about the reading; a limit of None is none. JCGM 106:2012, 7.2 to 7.4. Without doubt it is 0 or 1.
    """
    doubt = next(_doubts((u,)))
    if low is not None and high is not None and low > high:
        raise DoubtError("the lower limit lies over the upper one", "Give the lower limit first.")
    if doubt == 0.0:
        return float((low is None or low <= value) and (high is None or value <= high))
    under = _tail((value - low) / doubt) if low is not None else 0.0
    over = _tail((high - value) / doubt) if high is not None else 0.0
    return max(0.0, 1.0 - under - over)


def _tail(distance: float) -> float:
    """The share of a normal law beyond a limit so many standard uncertainties away."""
    return erfc(distance / sqrt(2.0)) / 2.0


def _doubts(values: Iterable[float]) -> Iterator[float]:
    """The doubts one by one, each a number not below zero."""
    for value in values:
        if not isfinite(value) or value < 0.0:
            raise DoubtError(f"a doubt of {value} cannot be", "A doubt is a number of zero or more, either way.")
        yield float(value)


def _within_t(t: float, freedom: int) -> float:
    """The share of Student's law between -t and t; Abramowitz and Stegun 26.7.3 and 26.7.4."""
    angle = atan(t / sqrt(freedom))
    odd = freedom % 2
    term = cos(angle) if odd else 1.0
    total = 0.0
    for step in range(2 + odd, freedom + 1 + odd, 2):
        total += term
        term *= cos(angle) ** 2 * (step - 1) / step
    series = sin(angle) * total
    return 2.0 / pi * (angle + series) if odd else series
