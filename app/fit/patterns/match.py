"""Does this pattern fit that pattern: the whole answer for one part on one vehicle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.fit.patterns.clearance import Fastening, Joined, column
from app.fit.patterns.errors import PatternError
from app.fit.patterns.explain import Answer, verdict_of
from app.fit.patterns.hands import Hands, Told, judge_hands, mirrors_too, settled, told_by
from app.fit.patterns.judge import Code
from app.fit.patterns.pairing import Match, by_names, check_enough, mirror_ways, nearest_ways, needed, searched
from app.fit.patterns.points import Pattern, Point, View, mirrored
from app.fit.patterns.problem import Ints
from app.fit.patterns.stack import Group, join_ways, stack
from app.fit.patterns.trial import best_trial
from app.fit.patterns.verdict import Hand, PatternVerdict


@dataclass(frozen=True, slots=True)
class _Paired:
    """The part's points that are held against the vehicle, where on it they may go (K, n), and what has no reading.

    By name the first way is theirs; others are for a flat part's other face alone.
    """

    points: tuple[Point, ...]
    ways: Ints
    by_name: bool
    missing: tuple[Point, ...]
    found: bool


def fits(
    part: Pattern,
    vehicle: Pattern,
    fastening: Fastening | None = None,
    *,
    match: Match = Match.AUTO,
    may_turn: bool = False,
    mirror: bool = False,
) -> PatternVerdict:
    """Hold a part's pattern against a vehicle's: fits, does not fit, or measure again, with all that stands behind it.

    By the worst case: it fits where some position leaves every required pair within its clearance less the doubts
    of both readings; it does not where none does even with the doubts added; else a better measurement decides.
    `fastening` says the bolts, `match` whether points go by name or are searched, `may_turn` that either face of the
    part will do, `mirror` that the other side's part is meant. PatternError names the point that is wrong and what
    to do.
    """
    meant = mirrored(part) if mirror else part
    _check_axes(meant, vehicle)
    bolts = fastening or Fastening()
    group = stack([vehicle], by_name=True)[0]
    told = told_by(meant, group, may_turn=may_turn)
    paired = _pair(meant, vehicle, group, bolts, match, told)
    check_enough(vehicle.name, [vehicle.points[at] for at in paired.ways[0]])
    tried = _try_all(meant, group, paired, bolts, told)
    code, hand = _settle(tried, told)
    if not paired.found:
        code = Code.DOES_NOT
    trial = best_trial(tried, paired.ways, told)
    answer = Answer(meant, vehicle, paired.points, trial, code, hand, mirror, paired.by_name)
    return verdict_of(answer, 1 if paired.by_name else len(paired.ways), paired.missing)


def _check_axes(part: Pattern, vehicle: Pattern) -> None:
    if part.dimensions != vehicle.dimensions:
        title = f"{part.name} is measured in {part.dimensions} coordinates, {vehicle.name} in {vehicle.dimensions}"
        raise PatternError(title, "Measure both on the page, or both in space", place=part.points[0].said)
    views = {part.seen, vehicle.seen} - {View.FACE}
    if len(views) > 1:
        title = f"{part.name} is seen in {part.seen}, {vehicle.name} in {vehicle.seen}"
        raise PatternError(title, "Give both in the same view", place=part.points[0].said)


def _pair(part: Pattern, vehicle: Pattern, group: Group, bolts: Fastening, match: Match, told: Told) -> _Paired:
    named = by_names(part, vehicle.points, vehicle.side)
    enough = len(named.part) >= min(needed(part.dimensions), len(part.points))
    if match is Match.NAMES or (match is Match.AUTO and enough):
        if not named.part:
            first = part.points[0].said
            remedy = f"Name the vehicle's points as the part's ({first} …), or have the match searched"
            raise PatternError(f"no point of {vehicle.name} has the name of one of {part.name}", remedy, place=first)
        missing = tuple(point for point in named.missing if point.required)
        at = np.array([named.at], dtype=np.intp)
        check_enough(part.name, [point for point in named.part if point.required])
        if told is Told.NOTHING:
            at = np.concatenate([at, at[0][mirror_ways(named.part, group, bolts)]])
        return _Paired(named.part, at, True, missing, found=True)
    points = tuple(point for point in part.points if point.required)
    check_enough(part.name, points)
    ways = searched(points, group, bolts, mirrored_too=mirrors_too(part, told))[1]
    if len(ways):
        return _Paired(points, ways, False, (), found=True)
    nearest = nearest_ways(points, group, bolts)
    if not len(nearest):
        raise _kinds_differ(part, vehicle)
    return _Paired(points, nearest, False, (), found=False)


def _kinds_differ(part: Pattern, vehicle: Pattern) -> PatternError:
    title = f"{vehicle.name} has too few points of the kinds that {part.name} needs"
    return PatternError(title, "Check which are holes, slots, studs, pads and pins", place=part.points[0].said)


def _try_all(
    part: Pattern, group: Group, paired: _Paired, bolts: Fastening, told: Told
) -> list[tuple[Ints, Joined, Hands]]:
    columns = [column([point]) for point in paired.points]
    normal = None if part.normal is None else np.array(part.normal)
    vehicle = np.zeros(len(paired.ways), dtype=np.intp)
    tried = []
    for rows, joined in join_ways(columns, group, vehicle, paired.ways, bolts):
        if not joined.problem.counts.any():
            raise _nothing_holds(paired.points)
        normals = np.repeat(group.normals, len(rows), axis=0)
        hands = judge_hands(joined, told, normal, normals)
        if paired.by_name:
            hands.right[rows > 0] = Code.DOES_NOT
        tried.append((rows, joined, hands))
    return tried


def _nothing_holds(points: Sequence[Point]) -> PatternError:
    names = ", ".join(point.said for point in points)
    remedy = "Give the pads' sizes, or measure in space or in a view that shows heights"
    return PatternError(f"nothing holds the part in this view: {names} are pads without sizes", remedy, place=names)


def _settle(tried: list[tuple[Ints, Joined, Hands]], told: Told) -> tuple[Code, Hand]:
    """The code of the best way, and what is known of which way round."""
    right = min(hands.right.min() for _, _, hands in tried)
    over = min(hands.over.min() for _, _, hands in tried)
    code = Code(int(settled(np.array([right]), np.array([over]), told)[0]))
    if not any(hands.matters.any() for _, _, hands in tried) or told in (Told.SAME, Told.NORMALS):
        return code, Hand.TOLD
    if told is Told.MAY_TURN and right != over:
        return code, Hand.TURNED_OVER if over < right else Hand.TOLD
    if right != over:
        return code, Hand.NOT_TOLD
    return code, Hand.EITHER_WAY if code is not Code.DOES_NOT else Hand.TOLD
