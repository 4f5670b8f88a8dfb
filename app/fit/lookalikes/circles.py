"""Bolt circles from the distance of two studs, and any other size against a short list of names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import pi, sin

from app.fit.lengths import MM_PER_INCH, exact, in_words
from app.fit.lookalikes.readings import LookalikeError, Size

NAMED_CIRCLES: Mapping[str, float] = {
    **{f"{inches:g} in": float(exact(inches) * MM_PER_INCH) for inches in (4.5, 4.75, 5, 5.5, 6.5)},
    "135 mm": 135.0,
}
"""The usual circles by their trade names, in mm: 4.5 in is 114.3. Common practice, no source."""

MOST_STUDS = 24


class Found(StrEnum):
    """What a closed list of sizes says of a reading."""

    ONE = "identified"
    SEVERAL = "measure again, with a finer tool"
    NONE = "none of the list: misread, or not on it"


@dataclass(frozen=True, slots=True)
class Named:
    """A size held against a list of names: those within its doubt, and the nearest with how far off it is."""

    size: Size
    found: Found
    names: tuple[str, ...]
    nearest: str
    off_mm: float


def among(size: Size, names: Mapping[str, float]) -> Named:
    """Which of a closed list of sizes in mm a reading is: the one inside its doubt, if there is exactly one.

    For spring wire, joints cap to cap, hexes, shafts. LookalikeError for an empty list.
    """
    if not names:
        raise LookalikeError("the list of sizes is empty", "Give the sizes it can be", place="sizes")
    inside = tuple(name for name, mm in names.items() if size.meets(Size(mm)))
    nearest = min(names, key=lambda name: abs(names[name] - size.mm))
    found = Found.ONE if len(inside) == 1 else Found.SEVERAL if inside else Found.NONE
    return Named(size, found, inside, nearest, abs(names[nearest] - size.mm))


def chord_of(diameter_mm: float, studs: int, apart: int = 1) -> float:
    """Center to center of two studs, `apart` places round the circle: D sin(π k/n); mm."""
    return diameter_mm * _sine(studs, apart)


@dataclass(frozen=True, slots=True)
class BoltCircle:
    """The circle that a distance of two studs makes, and which named one it is."""

    studs: int
    apart: int
    chord: Size
    circle: Named
    words: str


def circle_from_chord(chord: Size, studs: int, apart: int = 1, names: Mapping[str, float] | None = None) -> BoltCircle:
    """The bolt circle of `studs` from the distance of two of them, `apart` places round: D = chord/sin(π k/n).

    The doubt grows by the same factor. LookalikeError for fewer than two studs or studs that far apart.
    """
    sine = _sine(studs, apart)
    size = Size(chord.mm / sine, chord.u_mm / sine)
    found = among(size, NAMED_CIRCLES if names is None else names)
    return BoltCircle(studs, apart, chord, found, _words(found, studs, apart))


def _sine(studs: int, apart: int) -> float:
    if not 2 <= studs <= MOST_STUDS:
        raise LookalikeError(f"{studs} studs make no bolt circle", f"Count 2 to {MOST_STUDS}", place="studs")
    if not 1 <= apart <= studs // 2:
        raise LookalikeError(
            f"studs {apart} places apart are none of {studs}",
            f"Count from one stud to the other the shorter way: 1 to {studs // 2}",
            place="apart",
        )
    return sin(pi * apart / studs)


def _words(found: Named, studs: int, apart: int) -> str:
    circle = f"circle {in_words(found.size.mm)} ({in_words(found.size.mm, 'mm')}) ± {in_words(found.size.u_mm, 'mm')}"
    if found.found is Found.ONE:
        return f"{circle}: {studs} x {found.names[0]}"
    wider = f"; measure {studs // 2} places apart instead" if apart < studs // 2 else ""
    if found.found is Found.SEVERAL:
        return f"{circle}: {' or '.join(found.names)}; {found.found}{wider}"
    off = in_words(found.off_mm, "mm")
    return f"{circle}: {found.found}; nearest {found.nearest}, {off} off{wider}"
