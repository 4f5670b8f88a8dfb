"""Which way, in the trade's words: inboard, outboard, forward, rearward, up, down."""

from __future__ import annotations

from collections.abc import Sequence

from app.fit.patterns.points import Point, View
from app.fit.terms import Side

_AXES = {
    View.BODY: ("x", "y", "z"),
    View.PLAN: ("x", "y"),
    View.SIDE: ("x", "z"),
    View.FRONT: ("y", "z"),
    View.FACE: ("right", "up"),
}
_WORDS = {
    "x": ("rearward", "forward"),
    "z": ("up", "down"),
    "right": ("to the right", "to the left"),
    "up": ("up", "down"),
}
_LEAST_MM = 0.05
_ON_CENTERLINE_MM = 1.0


def words_of(way: Sequence[float], point: Point, view: View) -> str:
    """A way in mm at a point of the vehicle as "12.3 mm rearward and 4.0 mm inboard"; "not at all" for none.

    What is under a twentieth of a millimeter, or under a hundredth of the whole, is not said.
    """
    least = max(_LEAST_MM, 0.01 * max(abs(part) for part in way))
    said = [
        f"{abs(part):.1f} mm {_word(axis, part > 0, point, view)}"
        for axis, part in zip(_AXES[view], way, strict=True)
        if abs(part) >= least
    ]
    if len(said) < 2:
        return said[0] if said else "not at all"
    return f"{', '.join(said[:-1])} and {said[-1]}"


def _word(axis: str, more: bool, point: Point, view: View) -> str:
    if axis != "y":
        return _WORDS[axis][0 if more else 1]
    side = _side(point, view)
    if side is Side.NONE:
        return "to the right" if more else "to the left"
    return "outboard" if more is (side is Side.RH) else "inboard"


def _side(point: Point, view: View) -> Side:
    """The side it is on: as said, else as its place from the centerline says."""
    if point.side is not Side.NONE:
        return point.side
    y = point.position[_AXES[view].index("y")]
    if abs(y) <= _ON_CENTERLINE_MM:
        return Side.NONE
    return Side.RH if y > 0 else Side.LH
