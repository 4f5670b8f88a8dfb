"""How likely each design is after the readings (Bayes), with a stated model of what readings are worth.

A length reads as a normal law about the design's own length, standard uncertainty u/√3 of the tool's limit
(JCGM 100:2008, 4.3.7), a look or count as what it is. Once in so many readings a person reads or writes
something else altogether, any of the possible values alike. Readings are taken as independent of each other.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import exp, log2, pi, sqrt

from app.fit.doubt import combined, standard
from app.fit.lookalikes.readings import (
    Design,
    LookalikeError,
    Reading,
    Size,
    agrees,
    plain,
    sizes_of,
    words_of,
)

MISREAD = 0.02
"""How often a reading is wrong beyond its doubt, two in a hundred. Common practice, no source: a setting."""

FINEST_MM = 0.01
"""No length on a part is known better than this."""


def normal(x: float, mean: float, sigma: float) -> float:
    """Density of the normal law."""
    return exp(-(((x - mean) / sigma) ** 2) / 2) / (sigma * sqrt(2 * pi))


def sigma_of(reading: Size, known: Size) -> float:
    """Standard uncertainty of a reading about a recorded length, mm."""
    return max(combined(standard(reading.u_mm), standard(known.u_mm)), FINEST_MM)


def likelihoods(designs: Sequence[Design], reading: Reading, misread: float = MISREAD) -> list[float | None]:
    """How likely each design would give the reading, up to a common factor; None where it is not recorded."""
    if isinstance(reading.value, str):
        others = max(len({*map(plain, words_of(designs, reading.fact)), plain(reading.value)}) - 1, 1)
        right_wrong = {True: 1 - misread, False: misread / others}
        found = (agrees(design, reading) for design in designs)
        return [None if agreed is None else right_wrong[agreed] for agreed in found]
    known = sizes_of(designs, reading.fact)
    values = [reading.value.mm, *(size.mm for size in known)]
    span = max(values) - min(values) + 6 * max((sigma_of(reading.value, size) for size in known), default=1.0)
    return [_of_length(design.traits.get(reading.fact), reading.value, misread, span) for design in designs]


def _of_length(known: object, reading: Size, misread: float, span: float) -> float | None:
    if not isinstance(known, Size):
        return None
    return (1 - misread) * normal(reading.mm, known.mm, sigma_of(reading, known)) + misread / span


def prior(designs: Sequence[Design], weights: Mapping[str, float] | None = None) -> list[float]:
    """Odds before anything was read: alike, or by weights (how many of each are about).

    LookalikeError for an empty list, weights below zero, or nothing but zeros.
    """
    if not designs:
        raise LookalikeError("there is no design to choose from", "Load designs of this part first", place="designs")
    given = [1.0 if weights is None else weights.get(design.code, 0.0) for design in designs]
    if min(given) < 0 or not sum(given) > 0:
        raise LookalikeError("weights are at or above zero, one at least above", "Check the weights", place="weights")
    return [each / sum(given) for each in given]


def posterior(
    designs: Sequence[Design],
    readings: Sequence[Reading],
    weights: Mapping[str, float] | None = None,
    misread: float = MISREAD,
) -> list[float]:
    """The odds of each design after the readings, adding to 1.

    A design whose value was never recorded is judged by the average of those that are: the reading says
    nothing for or against it.
    """
    odds = prior(designs, weights)
    for reading in readings:
        found = likelihoods(designs, reading, misread)
        known = [(share, each) for share, each in zip(odds, found, strict=True) if each is not None]
        if not known:
            continue
        mass = sum(share for share, _ in known)
        average = sum(share * each for share, each in known) / mass if mass > 0 else 0.0
        odds = [share * (average if each is None else each) for share, each in zip(odds, found, strict=True)]
        odds = [share / sum(odds) for share in odds]
    return odds


def entropy_bits(odds: Sequence[float]) -> float:
    """How much is still open, in bits (Shannon): 0 when sure, 1 for two alike."""
    return -sum(share * log2(share) for share in odds if share > 0)
