"""The next look or measurement: the one that tells most for the least effort."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log2

from app.fit.lookalikes.odds import MISREAD, normal, sigma_of
from app.fit.lookalikes.readings import Design, Size, plain, sizes_of, words_of

STEP = 0.25
NODES = tuple(number * STEP for number in range(-30, 31))
"""Standard deviations at which a normal law is looked at; the trapezoid rule is exact to the last figures here."""

LEAST_BITS = 0.01
"""Less than this tells nothing."""


@dataclass(frozen=True, slots=True)
class Ask:
    """Something that can be looked at, counted (`u_mm` None) or measured with a tool; effort 0 knows it, 5 a jack."""

    fact: str
    effort: int
    u_mm: float | None = None
    tool: str = ""
    question: str = ""


@dataclass(frozen=True, slots=True)
class Next:
    """An ask with what it is expected to tell, in bits, and that for each unit of effort (counted from one)."""

    ask: Ask
    bits: float
    bits_for_effort: float


def next_asks(
    designs: Sequence[Design], odds: Sequence[float], asks: Sequence[Ask], misread: float = MISREAD
) -> tuple[Next, ...]:
    """The asks that tell something, best first: expected information by 1 + effort; less effort first when alike."""
    found = []
    for ask in asks:
        bits = expected_bits(designs, odds, ask, misread)
        if bits >= LEAST_BITS:
            found.append(Next(ask, bits, bits / (1 + ask.effort)))
    return tuple(sorted(found, key=lambda each: (-each.bits_for_effort, each.ask.effort, each.ask.fact)))


def expected_bits(designs: Sequence[Design], odds: Sequence[float], ask: Ask, misread: float = MISREAD) -> float:
    """How much an answer is expected to tell: the mutual information of design and answer, in bits.

    Designs that have nothing recorded for the fact learn nothing from it. A misread length tells nothing.
    """
    if ask.u_mm is None:
        return _by_look(designs, odds, ask.fact, misread)
    return (1 - misread) * _by_length(designs, odds, ask.fact, ask.u_mm)


def _by_look(designs: Sequence[Design], odds: Sequence[float], fact: str, misread: float) -> float:
    words = [plain(word) for word in words_of(designs, fact)]
    if len(words) < 2:
        return 0.0
    pairs = zip(designs, odds, strict=True)
    known = [(share, plain(trait)) for design, share in pairs if isinstance(trait := design.traits.get(fact), str)]
    mass = sum(share for share, _ in known)

    def chance(word: str, true: str) -> float:
        return 1 - misread if word == true else misread / (len(words) - 1)

    bits = 0.0
    for word in words:
        whole = sum(share * chance(word, true) for share, true in known) / mass if mass > 0 else 0.0
        for share, true in known:
            here = chance(word, true)
            bits += share * here * log2(here / whole) if share > 0 and here > 0 else 0.0
    return max(bits, 0.0)


def _by_length(designs: Sequence[Design], odds: Sequence[float], fact: str, u_mm: float) -> float:
    if len({size.mm for size in sizes_of(designs, fact)}) < 2:
        return 0.0
    pairs = zip(designs, odds, strict=True)
    known = [
        (share, trait.mm, sigma_of(Size(trait.mm, u_mm), trait))
        for design, share in pairs
        if share > 0 and isinstance(trait := design.traits.get(fact), Size)
    ]
    mass = sum(share for share, _, _ in known)
    bits = 0.0
    for share, mean, sigma in known:
        for z in NODES:
            x = mean + z * sigma
            here = normal(x, mean, sigma)
            whole = sum(each * normal(x, other, wide) for each, other, wide in known) / mass
            bits += share * STEP * normal(z, 0, 1) * log2(here / whole)
    return max(bits, 0.0)
