"""Which points of a surveyed frame are themselves undamaged, and how far the others have moved.

As the trade does it: from at least three points that agree with the design the rest is measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import dist

from app.fit.frames.findings import DamageSettings, PointMove
from app.fit.frames.judging import damage_verdict
from app.fit.frames.motion import Agreement, Point, Rigid, best_motion, largest_agreement
from app.fit.frames.shape import AXES, DIRECTIONS, FrameShape, Mount
from app.fit.frames.verdicts import UNSEEN_MM, Judged, Verdict, judge, way, worst
from app.fit.terms import Side

SHARES = (0.1, 0.4, 1.0)
"""Shares of the tolerance that undamaged points may take up beside their doubt, tried one after the other."""
_ROUNDS = 25
_HINT = 1e-3
"""What the other points weigh where the undamaged ones lie on one rail and leave the turn about it open."""


@dataclass(frozen=True, slots=True)
class Moved:
    """The mounts in both, by the design: how far each moved in x, to the right and up, its doubts, and the base.

    `motion` lays the survey over the design on the undamaged points, whose places `base` holds. `evenly` are the
    moves when it is laid over all points alike: a few points near each other may tilt the rest too far for sums that
    hold for small turns.
    """

    mounts: tuple[Mount, ...]
    moves: tuple[Point, ...]
    evenly: tuple[Point, ...]
    doubts: tuple[Point, ...]
    base: tuple[int, ...]
    motion: Rigid


def find_moved(survey: FrameShape, design: FrameShape, settings: DamageSettings) -> Moved:
    """Lay a checked survey over its checked design on the most points that agree within doubt and tolerance.

    Half of the points that agree within their doubt and a part of the tolerance go before more that take all of it,
    for with all of it a frame bent a little can be laid down so that no point stands out. Where no three agree it is
    laid over all of them, and the base is empty. InLine for fewer than three points in both or all of them in a line.
    """
    there = {(mount.name, mount.side): mount for mount in survey.mounts}
    both = [(there[key], mount) for mount in design.mounts if (key := (mount.name, mount.side)) in there]
    points, targets = [_spot(taken) for taken, _ in both], [_spot(book) for _, book in both]
    doubts = tuple(_doubts(taken, book) for taken, book in both)
    found = _agreement(points, targets, doubts, settings.tolerance_mm)
    base = found.points if found else ()
    motion = _settled(points, targets, base or tuple(range(len(points))))
    evenly = best_motion(points, targets, [1.0] * len(points))
    moves, level = (_moves(each, points, targets) for each in (motion, evenly))
    return Moved(tuple(book for _, book in both), moves, level, doubts, base, motion)


def _moves(motion: Rigid, points: Sequence[Point], targets: Sequence[Point]) -> tuple[Point, ...]:
    moved = [(motion.apply(point), target) for point, target in zip(points, targets, strict=True)]
    return tuple((p[0] - t[0], p[1] - t[1], p[2] - t[2]) for p, t in moved)


def _agreement(
    points: Sequence[Point], targets: Sequence[Point], doubts: Sequence[Point], tolerance_mm: float
) -> Agreement | None:
    found = None
    for share in SHARES:
        limits = [(x + share * tolerance_mm, y + share * tolerance_mm, z + share * tolerance_mm) for x, y, z in doubts]
        found = largest_agreement(points, targets, limits)
        if found is not None and 2 * len(found.points) >= len(points):
            break
    return found


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
    return judged.verdict is not Verdict.SAME or (verdict is Verdict.SAME and abs(judged.difference_mm) > UNSEEN_MM)


def _way(axis: str, judged: Judged, settings: DamageSettings) -> str:
    said = way(judged.difference_mm, *DIRECTIONS[axis], settings.unit)
    if abs(judged.difference_mm) < UNSEEN_MM:
        said = f"{axis} {said}"
    return said if judged.verdict is Verdict.SAME else f"{said} ({judged.arithmetic})"


def _settled(points: Sequence[Point], targets: Sequence[Point], base: Sequence[int]) -> Rigid:
    """The motion with the least sum of distances over the base, by weights that are taken anew each round.

    Unlike least squares it is not drawn by a point that moved a little and still counts as undamaged. A distance too
    small to see counts as that much, which keeps the weights finite.
    """
    chosen = set(base)
    hint = _HINT if len({targets[i][1] > 0 for i in base}) == 1 else 0.0
    weights = [1.0 if i in chosen else hint for i in range(len(points))]
    motion = best_motion(points, targets, weights)
    for _ in range(_ROUNDS):
        off = [max(dist(motion.apply(p), t), UNSEEN_MM) for p, t in zip(points, targets, strict=True)]
        near = min(off[i] for i in base)
        weights = [near / off[i] if i in chosen else hint for i in range(len(points))]
        motion = best_motion(points, targets, weights)
    return motion


def _spot(mount: Mount) -> Point:
    return mount.x_mm, mount.lateral_mm, mount.z_mm


def _doubts(one: Mount, other: Mount) -> Point:
    return one.doubt.x + other.doubt.x, one.doubt.y + other.doubt.y, one.doubt.z + other.doubt.z
