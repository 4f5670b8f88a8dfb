"""How much an answer is expected to tell, in bits: Shannon's entropy, and what is left of it once a fact is known.

C. E. Shannon, "A Mathematical Theory of Communication", 1948: H = -sum p log2 p; what a question tells is the
entropy before it less the entropy expected after it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping
from math import fsum, log2
from typing import TypeVar

Outcome = TypeVar("Outcome", bound=Hashable)


def entropy(weights: Iterable[float]) -> float:
    """The entropy in bits of outcomes weighted so; weights need not add up to one, and those of zero count nothing.

    ValueError: a weight below zero, or none above it.
    """
    given = [weight for weight in weights if weight != 0]
    whole = fsum(given)
    if whole <= 0 or min(given) < 0:
        raise ValueError("weights are not below zero, and one is above it")
    shares = [weight / whole for weight in given]
    return max(0.0, -fsum(share * log2(share) for share in shares if share > 0))


def expected_information(by_value: Mapping[str, Mapping[Outcome, float]]) -> float:
    """The bits that knowing a fact is expected to tell of an outcome; never below zero.

    `by_value` holds for each value the fact may have the weights of the outcomes under it.
    """
    marginal: defaultdict[Outcome, float] = defaultdict(float)
    for outcomes in by_value.values():
        for outcome, weight in outcomes.items():
            marginal[outcome] += weight
    whole = fsum(marginal.values())
    if not whole:
        return 0.0
    left = fsum(
        fsum(outcomes.values()) / whole * entropy(outcomes.values())
        for outcomes in by_value.values()
        if any(outcomes.values())
    )
    return max(0.0, entropy(marginal.values()) - left)


def told_of(grades_by_value: Mapping[str, Iterable[Hashable]]) -> float:
    """What a fact tells of one part: its values equally likely, and under each the grades it leaves open."""
    told: dict[str, Mapping[Hashable, float]] = {}
    for value, grades in grades_by_value.items():
        left = list(grades)
        told[value] = {grade: 1 / len(left) for grade in left}
    return expected_information(told)
