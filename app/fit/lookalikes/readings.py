"""Known designs by what tells them apart, and what was read on the piece in the hand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import isfinite

from app.errors import BadInput
from app.fit.lengths import exact, in_words


class LookalikeError(BadInput, ValueError):
    """A reading or a list of designs that cannot be used; the place names the fact."""


@dataclass(frozen=True, slots=True)
class Size:
    """A length in millimeters and how far it is to be trusted either way.

    LookalikeError for a length not above zero or a doubt below it.
    """

    mm: float
    u_mm: float = 0.0

    def __post_init__(self) -> None:
        if not (isfinite(self.mm) and self.mm > 0 and isfinite(self.u_mm) and self.u_mm >= 0):
            raise LookalikeError(f"{self.mm:g} ± {self.u_mm:g} mm is no length", "Measure it again", place="measure")

    def meets(self, other: Size) -> bool:
        """Whether the two lie within their doubts, added; exactly on the edge they do."""
        return abs(exact(self.mm) - exact(other.mm)) <= exact(self.u_mm) + exact(other.u_mm)


Trait = Size | str
"""A length, or a look or count as a word."""


@dataclass(frozen=True, slots=True)
class Design:
    """One design of the closed list and what is recorded of it: fact to length or word."""

    code: str
    name: str
    traits: Mapping[str, Trait]


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read on the piece: a fact, and a length with its doubt or a word. `unit` is the one it was said in."""

    fact: str
    value: Trait
    unit: str = "in"

    @property
    def words(self) -> str:
        """The reading as it is said."""
        return f"{self.fact} {say(self.value, self.unit)}"


def say(trait: Trait, unit: str = "in") -> str:
    """A trait in words; a length with its doubt."""
    if isinstance(trait, str):
        return trait
    size = in_words(trait.mm, unit)
    return f"{size} ± {_fine(trait.u_mm, unit)}" if trait.u_mm else size


def _fine(mm: float, unit: str) -> str:
    if unit != "in":
        return in_words(mm, unit)
    return f"{mm / 25.4:.4f}".rstrip("0") + " in"


def agrees(design: Design, reading: Reading) -> bool | None:
    """Whether a design's record lies within a reading; None where nothing comparable is recorded."""
    known = design.traits.get(reading.fact)
    if isinstance(known, Size) and isinstance(reading.value, Size):
        return known.meets(reading.value)
    if isinstance(known, str) and isinstance(reading.value, str):
        return plain(known) == plain(reading.value)
    return None


def words_of(designs: Iterable[Design], fact: str) -> tuple[str, ...]:
    """The words that are recorded for a fact, each once."""
    found = {plain(trait): trait for design in designs if isinstance(trait := design.traits.get(fact), str)}
    return tuple(found.values())


def sizes_of(designs: Iterable[Design], fact: str) -> tuple[Size, ...]:
    """The lengths that are recorded for a fact."""
    return tuple(trait for design in designs if isinstance(trait := design.traits.get(fact), Size))


def plain(word: str) -> str:
    """A word as it is compared: small letters, single blanks, numbers in their shortest form."""
    text = " ".join(word.lower().split())
    try:
        return f"{float(text):g}"
    except ValueError:
        return text
