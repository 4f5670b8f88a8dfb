"""Which one is this? A closed list of designs held against readings: one, several, or measure again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from app.fit.lookalikes.asking import Ask, Next, next_asks
from app.fit.lookalikes.odds import MISREAD, entropy_bits, posterior
from app.fit.lookalikes.readings import Design, LookalikeError, Reading, agrees, say

APPROVES = "Telling which one it is does not approve a size: a press fit or a bearing seat wants its own tool."


class Verdict(StrEnum):
    """What the readings leave of the list."""

    IDENTIFIED = "identified"
    SEVERAL = "several left"
    MISREAD = "misread, measure again"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A design with its probability, whether it lies within all readings, and what clashes or was never recorded.

    The probability holds if the piece is on the list at all; after a misread it picks nothing.
    """

    code: str
    name: str
    probability: float
    possible: bool
    clashes: tuple[str, ...]
    not_recorded: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """The verdict, the designs with the likeliest first, the readings that look wrong, and what to ask next.

    `open_bits` is what is still open among the designs that are left.
    """

    verdict: Verdict
    candidates: tuple[Candidate, ...]
    doubtful: tuple[str, ...]
    next: tuple[Next, ...]
    open_bits: float
    words: str
    caution: str = APPROVES


def which_one(
    designs: Sequence[Design],
    readings: Sequence[Reading],
    asks: Sequence[Ask] = (),
    weights: Mapping[str, float] | None = None,
    misread: float = MISREAD,
) -> Answer:
    """Hold the readings against every design of a closed list.

    A design is left when its record lies within every reading's doubt; exactly one left is identified. None
    left is a misread: nothing is picked, however likely. LookalikeError for an empty list of designs, one fact
    read twice, or a misread rate that is none.
    """
    if not 0 < misread < 1:
        raise LookalikeError(f"a misread rate of {misread:g} is none", "Give one between 0 and 1", place="misread")
    _refuse_twice(readings)
    odds = posterior(designs, readings, weights, misread)
    candidates = tuple(_candidate(design, readings, share) for design, share in zip(designs, odds, strict=True))
    verdict = _verdict(candidates, readings)
    left = [share if each.possible else 0.0 for share, each in zip(odds, candidates, strict=True)]
    whole = sum(left)
    left = [share / whole for share in left] if whole > 0 else left
    ranked = tuple(sorted(candidates, key=lambda each: (not each.possible, -each.probability, each.code)))
    doubtful = _doubtful(designs, readings) if verdict is Verdict.MISREAD else ()
    following = next_asks(designs, left, asks, misread) if verdict is Verdict.SEVERAL else ()
    words = _words(verdict, ranked, readings, doubtful, following)
    return Answer(verdict, ranked, doubtful, following, entropy_bits(left), words)


def _refuse_twice(readings: Sequence[Reading]) -> None:
    seen: dict[str, Reading] = {}
    for reading in readings:
        if reading.fact in seen:
            raise LookalikeError(
                f"{reading.fact} was read twice: {seen[reading.fact].words} and {reading.words}",
                "Give the finer reading alone",
                place=reading.fact,
            )
        seen[reading.fact] = reading


def _candidate(design: Design, readings: Sequence[Reading], share: float) -> Candidate:
    agreed = [(reading, agrees(design, reading)) for reading in readings]
    clashes = tuple(
        f"{reading.fact} {say(design.traits[reading.fact], reading.unit)}" for reading, fits in agreed if fits is False
    )
    silent = tuple(reading.fact for reading, fits in agreed if fits is None)
    return Candidate(design.code, design.name, share, not clashes, clashes, silent)


def _verdict(candidates: Sequence[Candidate], readings: Sequence[Reading]) -> Verdict:
    left = [each for each in candidates if each.possible]
    if not left:
        return Verdict.MISREAD
    spoke = len(left) == 1 and len(left[0].not_recorded) < len(readings)
    return Verdict.IDENTIFIED if spoke else Verdict.SEVERAL


def _doubtful(designs: Sequence[Design], readings: Sequence[Reading]) -> tuple[str, ...]:
    """The facts of which one alone, left out, would leave a design; all of them when none would."""
    suspects = tuple(
        reading.fact
        for reading in readings
        if any(
            all(agrees(design, other) is not False for other in readings if other is not reading) for design in designs
        )
    )
    return suspects or tuple(reading.fact for reading in readings)


def _words(
    verdict: Verdict,
    ranked: Sequence[Candidate],
    readings: Sequence[Reading],
    doubtful: Sequence[str],
    following: Sequence[Next],
) -> str:
    if verdict is Verdict.IDENTIFIED:
        return f"{ranked[0].name}: the only one of {len(ranked)} within the readings"
    if verdict is Verdict.MISREAD:
        said = ", ".join(reading.words for reading in readings)
        return f"none of {len(ranked)} known designs has {said}: {Verdict.MISREAD}; doubtful: {' or '.join(doubtful)}"
    left = [each for each in ranked if each.possible]
    start = f"{len(left)} of {len(ranked)} designs are left"
    if not following:
        return f"{start}; nothing on record tells them apart" if len(left) > 1 else f"{start}; never measured"
    best = following[0].ask
    tool = f" with a {best.tool}" if best.tool and best.tool != "counted" else ""
    return f"{start}; next: {best.fact}{tool}"
