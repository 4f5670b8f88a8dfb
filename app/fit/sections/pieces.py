"""Areas made of rectangles and round corners, added and taken away: area, centroid, second moments.

Lengths in one unit, areas in its square, second moments in its fourth power. x to the right, y up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import pi


@dataclass(frozen=True, slots=True)
class Piece:
    """An area with its centroid and the second moments about its own centroid; a hole has them negative."""

    area: float
    x: float
    y: float
    ix: float
    iy: float

    def taken_away(self) -> Piece:
        """The same piece as a hole."""
        return Piece(-self.area, self.x, self.y, -self.ix, -self.iy)


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner of a rectangle that is rounded: on the right or left, at the top or bottom."""

    right: bool
    top: bool


LEFT = (Corner(False, False), Corner(False, True))
"""Both corners on the left."""

ALL_ROUND = (*LEFT, Corner(True, False), Corner(True, True))
"""All four corners."""


def rectangle(x: float, y: float, width: float, height: float) -> Piece:
    """A rectangle by its lower left corner."""
    ix, iy = width * height**3 / 12, height * width**3 / 12
    return Piece(width * height, x + width / 2, y + height / 2, ix, iy)


def disc(diameter: float) -> Piece:
    """A full circle that touches both axes."""
    second = pi * diameter**4 / 64
    return Piece(pi * diameter**2 / 4, diameter / 2, diameter / 2, second, second)


_ARM = 4 / (3 * pi)
_CUT_AREA = 1 - pi / 4
_CUT_AWAY = (1 / 2 - pi / 4 * (1 - _ARM)) / _CUT_AREA
_CUT_OWN = 1 / 3 - (pi / 16 - pi / 4 * _ARM**2 + pi / 4 * (1 - _ARM) ** 2) - _CUT_AREA * _CUT_AWAY**2
"""A square of one less a quarter of a circle in it: area, centroid from the square's sides, second moment."""


def _cut(x: float, y: float, radius: float, corner: Corner) -> Piece:
    """What rounding a corner at (x, y) takes off."""
    away, own = _CUT_AWAY * radius, _CUT_OWN * radius**4
    inward = x - away if corner.right else x + away, y - away if corner.top else y + away
    return Piece(-_CUT_AREA * radius**2, *inward, -own, -own)


def rounded(
    x: float, y: float, width: float, height: float, radius: float, corners: Sequence[Corner] = ALL_ROUND
) -> list[Piece]:
    """A rectangle by its lower left corner, some of its corners rounded with one radius."""
    cuts = [_cut(x + width * corner.right, y + height * corner.top, radius, corner) for corner in corners if radius > 0]
    return [rectangle(x, y, width, height), *cuts]


def whole(pieces: Iterable[Piece]) -> Piece:
    """All pieces as one area (parallel axis theorem)."""
    parts = tuple(pieces)
    area = sum(piece.area for piece in parts)
    x = sum(piece.area * piece.x for piece in parts) / area
    y = sum(piece.area * piece.y for piece in parts) / area
    ix = sum(piece.ix + piece.area * (piece.y - y) ** 2 for piece in parts)
    iy = sum(piece.iy + piece.area * (piece.x - x) ** 2 for piece in parts)
    return Piece(area, x, y, ix, iy)
