"""Where the searches begin: least squares, and turns all round where that fit is far out."""

from __future__ import annotations

from functools import cache
from itertools import permutations, product

import numpy as np

from app.fit.patterns.barrier import least_excess
from app.fit.patterns.newton import turn_of
from app.fit.patterns.problem import Floats, Problem, offsets, slide_home
from app.fit.patterns.turns import fit_many

_SLIDE_ROUNDS = 8
_FAR = 0.03
_FLAT_TURNS = 16


def start(problem: Problem, *, mirrored: bool = False) -> tuple[Floats, Floats]:
    """Least squares motions, let slide and fitted again a few times where anything slides."""
    turn, shift = fit_many(problem.a, problem.b, mirrored=mirrored)
    for _ in range(_SLIDE_ROUNDS if len(problem.slides.of) else 0):
        slid = slide_home(problem, turn, shift)
        home = problem.a @ turn.transpose(0, 2, 1) + shift[:, None] - offsets(problem, turn, shift, slid)
        turn, shift = fit_many(problem.a, home, mirrored=mirrored)
    return turn, shift


def least_from_starts(
    problem: Problem, turn: Floats | None = None, shift: Floats | None = None, *, mirrored: bool = False
) -> tuple[Floats, Floats, Floats]:
    """`least_excess` from least squares (or the given motions), and for fits far out from many turns besides."""
    if turn is None or shift is None:
        turn, shift = start(problem, mirrored=mirrored)
    turn, shift, excess = least_excess(problem, turn, shift)
    spread = np.sqrt(((problem.a - problem.a.mean(axis=1, keepdims=True)) ** 2).sum(axis=2).max(axis=1))
    distance = excess + np.where(problem.counts, problem.clearance, 0.0).max(axis=1)
    far = np.flatnonzero(distance > _FAR * spread)
    if len(far):
        turns, shifts, least = _all_round(problem.take(far), turn[far])
        better = least < excess[far]
        turn[far[better]], shift[far[better]], excess[far[better]] = turns[better], shifts[better], least[better]
    return turn, shift, excess


def _all_round(problem: Problem, turn: Floats) -> tuple[Floats, Floats, Floats]:
    """The best of the searches that begin turned by the turns of a cube, or by sixteenths of a circle."""
    turns = (_turns(problem.dimensions)[None] @ turn[:, None]).reshape(-1, *turn.shape[1:])
    each = len(turns) // len(turn)
    many = problem.take(np.repeat(np.arange(len(turn)), each))
    shift = many.b.mean(axis=1) - (turns @ many.a.mean(axis=1)[..., None])[..., 0]
    turns, shift, excess = least_excess(many, turns, shift)
    best = excess.reshape(-1, each).argmin(axis=1) + each * np.arange(len(turn))
    return turns[best], shift[best], excess[best]


@cache
def _turns(dimensions: int) -> Floats:
    if dimensions == 2:
        return turn_of(np.linspace(0.0, 2 * np.pi, _FLAT_TURNS, endpoint=False)[:, None], 2)
    cube = [
        np.eye(3)[list(order)] * np.array(signs)
        for order in permutations(range(3))
        for signs in product((1, -1), repeat=3)
    ]
    turns: Floats = np.array([turn for turn in cube if np.linalg.det(turn) > 0])
    return turns
