"""Which way round: a flat part on its one face or its other, and what can be said where nothing tells.

A flat pattern and its mirror image have the same distances. On the page (2-D) a part that was measured from its back
must be mirrored; in space it lies on the wrong face. Both ways are judged. Where a side, a normal or the view tells,
or the part may be turned over, that decides; where nothing does, only what holds both ways round is said.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from app.fit.patterns.clearance import Joined
from app.fit.patterns.judge import Code, Codes, can_meet, judge
from app.fit.patterns.points import Pattern, View
from app.fit.patterns.problem import Bools, Floats, Problem, plain
from app.fit.patterns.stack import Group, has_side
from app.fit.patterns.starts import start
from app.fit.patterns.turns import fit_many, turned_over


class Told(StrEnum):
    """What says which face is which."""

    NOTHING = "nothing"
    SAME = "both were measured from the same side"
    NORMALS = "normals"
    MAY_TURN = "the part may be turned over"


@dataclass(frozen=True, slots=True)
class Hands:
    """Codes (K,) and motions of each fit the right way round and turned over; alike where it makes no difference.

    `matters` (K,) says where a flat pattern has two ways round at all.
    """

    right: Codes
    over: Codes
    matters: Bools
    right_motion: tuple[Floats, Floats]
    over_motion: tuple[Floats, Floats]


def told_by(part: Pattern, group: Group, *, may_turn: bool) -> Told:
    """What tells of a part and a group of vehicles which face is which."""
    if may_turn:
        return Told.MAY_TURN
    if part.normal is not None and not np.isnan(group.normals[0, 0]):
        return Told.NORMALS
    same_view = part.dimensions == 2 and part.seen is group.view and part.seen is not View.FACE
    if same_view or (has_side(part) and group.has_side):
        return Told.SAME
    return Told.NOTHING


def mirrors_too(part: Pattern, told: Told) -> bool:
    """Whether the part may lie mirrored on the page. In space only a turn of its own lays it on its other face."""
    return part.dimensions == 2 and told is not Told.SAME


def judge_hands(joined: Joined, told: Told, normal: Floats | None, normals: Floats) -> Hands:
    """Both ways round of each fit; `normal` is the part's, `normals` (K, 3) the vehicles', used where they tell."""
    right = start(joined.problem)
    codes = judge(joined, *right)
    if joined.problem.dimensions == 2:
        return _on_the_page(joined, told, normal, normals, codes, right)
    return _in_space(joined, told, normal, normals, codes, right)


def _on_the_page(
    joined: Joined, told: Told, normal: Floats | None, normals: Floats, codes: Codes, right: tuple[Floats, Floats]
) -> Hands:
    if told is Told.SAME:
        return Hands(codes, codes, np.zeros(len(codes), dtype=bool), right, right)
    over = start(joined.problem, mirrored=True)
    other = judge(joined, *over, mirrored=True)
    matters = np.ones(len(codes), dtype=bool)
    if told is not Told.NORMALS or normal is None:
        return Hands(codes, other, matters, right, over)
    swap = normal[2] * normals[:, 2] < 0
    return _swapped(Hands(codes, other, matters, right, over), swap)


def _in_space(
    joined: Joined, told: Told, normal: Floats | None, normals: Floats, codes: Codes, right: tuple[Floats, Floats]
) -> Hands:
    """Only where the mirror image would fit as well is the pattern flat, and its faces are asked for."""
    matters = np.zeros(len(codes), dtype=bool)
    over_codes, over = codes.copy(), (right[0].copy(), right[1].copy())
    alive = np.flatnonzero(codes != Code.DOES_NOT)
    if len(alive) and told is not Told.SAME:
        matters[alive] = _is_flat(joined.take(alive))
    flat = np.flatnonzero(matters)
    if not len(flat):
        return Hands(codes, over_codes, matters, right, over)
    part = joined.take(flat)
    turn, shift = turned_over(part.problem.a, part.problem.b)
    over[0][flat], over[1][flat] = turn, shift
    over_codes[flat] = judge(part, turn, shift, held=True)
    swap = matters.copy()
    swap[flat] = _looks_away(part, right[0][flat], normal, normals[flat], told)
    return _swapped(Hands(codes, over_codes, matters, right, over), swap)


def _looks_away(joined: Joined, turn: Floats, normal: Floats | None, normals: Floats, told: Told) -> Bools:
    """Where the part's mating face looks against the vehicle's; where nothing tells, against any normal chosen."""
    if told is not Told.NORMALS or normal is None:
        own, other = _any_normal(joined.problem.a), _any_normal(joined.problem.b)
    else:
        own, other = np.broadcast_to(normal, normals.shape), normals
    away: Bools = ((turn @ own[..., None])[..., 0] * other).sum(axis=1) < 0
    return away


def _any_normal(places: Floats) -> Floats:
    """Square to the plane of flat points (B, n, 3), the same whatever their order."""
    centered = places - places.mean(axis=1, keepdims=True)
    normal = np.linalg.eigh(centered.transpose(0, 2, 1) @ centered)[1][:, :, 0]
    greatest = np.take_along_axis(normal, np.abs(normal).argmax(axis=1)[:, None], axis=1)
    signed: Floats = normal * np.sign(greatest)
    return signed


def _is_flat(joined: Joined) -> Bools:
    """Whether the mirror image of the part would fit, or might."""
    if _far_from_its_mirror_image(joined.possible()):
        return np.zeros(joined.problem.size, dtype=bool)
    turn, shift = fit_many(joined.problem.a, joined.problem.b, mirrored=True)
    flat: Bools = judge(joined, turn, shift, mirrored=True) != Code.DOES_NOT
    return flat


def _far_from_its_mirror_image(problem: Problem) -> bool:
    """Whether no vehicle that the part may fit can take its mirror image too.

    Could one, every point and its mirror image would lie within twice the clearance of each other.
    """
    own = problem.a[:1]
    if len(problem.slides.of) or problem.across is not None or not problem.counts.all() or (problem.a != own).any():
        return False
    turn, shift = fit_many(own, own, mirrored=True)
    return not can_meet(plain(own, own, 2.0 * problem.clearance.max(axis=0)[None]), turn, shift, mirrored=True)[0]


def _swapped(hands: Hands, swap: Bools) -> Hands:
    def either(first: Floats, second: Floats) -> tuple[Floats, Floats]:
        where = swap.reshape(-1, *(1,) * (first.ndim - 1))
        return np.where(where, second, first), np.where(where, first, second)

    turns = either(hands.right_motion[0], hands.over_motion[0])
    shifts = either(hands.right_motion[1], hands.over_motion[1])
    right, over = np.where(swap, hands.over, hands.right), np.where(swap, hands.right, hands.over)
    return Hands(right, over, hands.matters, (turns[0], shifts[0]), (turns[1], shifts[1]))


def settled(right: Codes, over: Codes, told: Told) -> Codes:
    """What can be said of both ways round together: the code of each, (K,)."""
    if told is Told.MAY_TURN:
        return np.minimum(right, over)
    if told is Told.NOTHING:
        return np.where(right == over, right, Code.MEASURE).astype(np.int8)
    return right
