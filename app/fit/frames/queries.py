"""What looks misread while a frame is being measured: asked back at once, never refused, for a bent frame is so."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median

from app.fit.frames.shape import AXES, DIRECTIONS
from app.fit.lengths import in_words
from app.fit.terms import Side

SIDES_APART_MM = 12.7
"""Left and right of one mount differ by less on a straight frame. Common practice, no source."""
FROM_DESIGN_MM = 38.1
"""A mount lies nearer to where its design has it. Common practice, no source."""
FARTHEST_MM = {"x": 9000.0, "y": 1300.0, "z": 1000.0}
"""No mount lies farther from datum and centerline. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A mount as far as it was read, in millimeters; None: not yet. `u_mm` is the coarsest doubt."""

    name: str
    side: Side
    x_mm: float | None = None
    y_mm: float | None = None
    z_mm: float | None = None
    u_mm: float = 0.0

    def at(self, axis: str) -> float | None:
        """One coordinate."""
        return {"x": self.x_mm, "y": self.y_mm, "z": self.z_mm}[axis]

    @property
    def label(self) -> str:
        """Its name with its side."""
        return f"{self.name} {self.side}".rstrip()


@dataclass(frozen=True, slots=True)
class Query:
    """A coordinate to read again: the mount, its side, the axis, and why in words."""

    name: str
    side: Side
    axis: str
    words: str


def queries(spots: Sequence[Spot], design: Sequence[Spot] = ()) -> tuple[Query, ...]:
    """What to read again, in the order the mounts were taken.

    `design` is where the frame's design has its mounts, from any datum.
    """
    return (*_too_far(spots), *_sides_apart(spots), *_off_design(spots, design))


def _too_far(spots: Sequence[Spot]) -> Iterator[Query]:
    for spot in spots:
        for axis in AXES:
            mm = spot.at(axis)
            if mm is not None and abs(mm) > FARTHEST_MM[axis]:
                words = f"{spot.label}: {axis} is {in_words(mm)}, farther than any mount; a unit left out?"
                yield Query(spot.name, spot.side, axis, words)


def _sides_apart(spots: Sequence[Spot]) -> Iterator[Query]:
    """The later side of two is asked about."""
    first: dict[str, Spot] = {}
    for spot in spots:
        other = first.setdefault(spot.name, spot)
        if other.side is spot.side or Side.NONE in (other.side, spot.side):
            continue
        for axis in AXES:
            one, two = other.at(axis), spot.at(axis)
            if one is None or two is None or abs(two - one) <= SIDES_APART_MM + other.u_mm + spot.u_mm:
                continue
            way = DIRECTIONS[axis][0 if two > one else 1]
            words = f"{spot.label}: {axis} is {in_words(abs(two - one))} farther {way} than on {other.side}; read again"
            yield Query(spot.name, spot.side, axis, words)


def _off_design(spots: Sequence[Spot], design: Sequence[Spot]) -> Iterator[Query]:
    """Mounts off the design by more than the others are; the datum may be another one."""
    known = {(each.name, side): each for each in design for side in _sides(each)}
    for axis in AXES:
        off = [
            (spot, here - there)
            for spot in spots
            if (like := known.get((spot.name, spot.side))) is not None
            and (here := spot.at(axis)) is not None
            and (there := like.at(axis)) is not None
        ]
        usual = median(by for _, by in off) if len(off) > 2 and axis != "y" else 0.0
        for spot, by in off:
            if abs(by - usual) > FROM_DESIGN_MM + spot.u_mm:
                way = DIRECTIONS[axis][0 if by > usual else 1]
                words = f"{spot.label}: {axis} is {in_words(abs(by - usual))} farther {way} than its design has it"
                yield Query(spot.name, spot.side, axis, words)


def _sides(spot: Spot) -> tuple[Side, ...]:
    return (Side.LH, Side.RH, Side.NONE) if spot.side is Side.NONE else (spot.side,)
