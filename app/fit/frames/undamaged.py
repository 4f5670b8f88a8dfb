"""Which points of a surveyed frame are themselves undamaged, and how far the others have moved.

As the trade does it: from at least three points that agree with the design the rest is measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import dist

from app.fit.frames.findings import DamageSettings, PointMove
from app.fit.frames.judging import damage_verdict
from app.fit.frames.motion import Point, Rigid, best_motion, largest_agreement
from app.fit.frames.shape import AXES, DIRECTIONS, FrameShape, Mount
from app.fit.frames.verdicts import Judged, Verdict, judge, length, worst
from app.fit.terms import Side

_ROUNDS = 25
_NEAR_MM = 0.05
"""A residual below this counts no more than it: keeps the weights finite."""
_HINT = 1e-3
"""What the other points weigh where the undamaged ones lie on one rail and leave the turn about it open."""


@dataclass(frozen=True, slots=True)
class Moved:
    """The mounts in both, by the design: how far each moved in x, to the right and up, its doubts, and the base.

    `motion` lays the survey over the design; `base` holds the places of the undamaged points.
    """

    mounts: tuple[Mount, ...]
    moves: tuple[Point, ...]
    doubts: tuple[Point, ...]
    base: tuple[int, ...]
    motion: Rigid


def find_moved(survey: FrameShape, design: FrameShape, settings: DamageSettings) -> Moved:
    """Lay a checked survey over its checked design on the most points that agree within doubt and tolerance.

    Where no three agree it is laid over all of them, and the base is empty. InLine for fewer than three points in
    both or all of them in a line.
    """
    there = {(mount.name, mount.side): mount for mount in survey.mounts}
    both = [(there[key], mount) for mount in design.mounts if (key := (mount.name, mount.side)) in there]
    points, targets = [_spot(taken) for taken, _ in both], [_spot(book) for _, book in both]
    doubts = tuple(_doubts(taken, book) for taken, book in both)
    limits = [(u[0] + t, u[1] + t, u[2] + t) for u in doubts for t in (settings.tolerance_mm,)]
    found = largest_agreement(points, targets, limits)
    base = found.points if found else ()
    motion = _settled(points, targets, base or tuple(range(len(points))))
    moves = [_less(motion.apply(point), target) for point, target in zip(points, targets, strict=True)]
    return Moved(tuple(book for _, book in both), tuple(moves), doubts, base, motion)


def point_moves(moved: Moved, settings: DamageSettings) -> tuple[PointMove, ...]:
    """Every point's displacement from the design, judged axis by axis, in the trade's words."""
    return tuple(_point(moved, place, settings) for place in range(len(moved.mounts)))


def _point(moved: Moved, place: int, settings: DamageSettings) -> PointMove:
    mount, (x, lateral, z) = moved.mounts[place], moved.moves[place]
    outboard = -lateral if mount.side is Side.LH else lateral
    judged = [
        judge(each, (doubt,), settings.tolerance_mm, settings.unit)
        for each, doubt in zip((x, outboard, z), moved.doubts[place], strict=True)
    ]
    verdict = worst(tuple(each.verdict for each in judged))
    said = [_way(axis, each, settings) for axis, each in zip(AXES, judged, strict=True) if _told(verdict, each)]
    base = place in moved.base
    state = "undamaged, " if base else ""
    words = f"{mount.label}: {state}{', '.join(said) or 'where it belongs'}"
    doubt = max(moved.doubts[place])
    return PointMove(mount.name, mount.side, x, outboard, z, doubt, base, damage_verdict(verdict), words)


def _told(verdict: Verdict, judged: Judged) -> bool:
    """Only what is wrong where something is, else whatever can be seen at all."""
    return judged.verdict is not Verdict.SAME or (verdict is Verdict.SAME and abs(judged.difference_mm) > _NEAR_MM)


def _way(axis: str, judged: Judged, settings: DamageSettings) -> str:
    more, less = DIRECTIONS[axis]
    said = f"{length(abs(judged.difference_mm), settings.unit)} {more if judged.difference_mm > 0 else less}"
    return said if judged.verdict is Verdict.SAME else f"{said} ({judged.arithmetic})"


def _settled(points: Sequence[Point], targets: Sequence[Point], base: Sequence[int]) -> Rigid:
    """The motion with the least sum of distances over the base, by weights that are taken anew each round.

    Unlike least squares it is not drawn by a point that moved a little and still counts as undamaged.
    """
    chosen = set(base)
    hint = _HINT if len({targets[i][1] > 0 for i in base}) == 1 else 0.0
    weights = [1.0 if i in chosen else hint for i in range(len(points))]
    motion = best_motion(points, targets, weights)
    for _ in range(_ROUNDS):
        off = [max(dist(motion.apply(p), t), _NEAR_MM) for p, t in zip(points, targets, strict=True)]
        near = min(off[i] for i in base)
        weights = [near / off[i] if i in chosen else hint for i in range(len(points))]
        motion = best_motion(points, targets, weights)
    return motion


def _spot(mount: Mount) -> Point:
    return mount.x_mm, mount.lateral_mm, mount.z_mm


def _doubts(one: Mount, other: Mount) -> Point:
    return one.doubt.x + other.doubt.x, one.doubt.y + other.doubt.y, one.doubt.z + other.doubt.z


def _less(a: Point, b: Point) -> Point:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]
