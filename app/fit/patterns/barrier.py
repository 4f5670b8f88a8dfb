"""The motion with the least worst excess, for many fits at once.

To find: the rigid motion, and the slides, that make the largest of (distance - clearance) as small as can be.
For a small turn this is a second-order cone program (Chebyshev's minimax problem with distances in place of
absolute values). It is followed along its central path: minimize s - mu * sum log((s + clearance)^2 - |offset|^2)
- mu * sum log(reach^2 - slide^2) by Newton steps, on the exact rotation (a turn vector at the current
place, with its second derivatives), while mu falls to nothing (Boyd and Vandenberghe, Convex Optimization, 2004,
sections 11.2 to 11.6). On the path the excess is within (2n + 2J) mu of the least one.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from app.fit.patterns.newton import SURE, State, newton_step
from app.fit.patterns.problem import Bools, Floats, Problem, excesses, slide_home

GAP_MM = 1e-8
"""How near the least excess a search comes."""

_MOST_STEPS = 200
_FALL = 0.03
_OFF_STOPS = 0.95
_ROOM = 0.05
_ROOM_MM = 0.001
_FIRST_MU = 0.3


def least_excess(problem: Problem, turn: Floats, shift: Floats, decide: bool = False) -> tuple[Floats, Floats, Floats]:
    """Turn, shift and excess (B,) of the best motions near the given ones, the excess within 1e-8 mm.

    With `decide` a search ends as soon as it is sure whether the excess is above zero or not.
    """
    middle = problem.a.mean(axis=1)
    problem = replace(problem, a=problem.a - middle[:, None])
    whole = _start(problem, turn, shift + (turn @ middle[..., None])[..., 0])
    part, state, searching = problem, whole, np.ones(problem.size, dtype=bool)
    for _ in range(_MOST_STEPS):
        done = _step(part, state, decide)
        whole.put(searching, state)
        searching[searching] = ~done
        if not searching.any():
            break
        if done.any():
            part, state = part.take(~done), state.take(~done)
    found = excesses(problem, whole.turn, whole.shift).max(axis=1)
    return whole.turn, whole.shift - (whole.turn @ middle[..., None])[..., 0], found


def _start(problem: Problem, turn: Floats, shift: Floats) -> State:
    """Inside all bounds: the level above the worst excess, the slides off their stops."""
    reach = _OFF_STOPS * problem.slides.reach
    slid = np.clip(slide_home(problem, turn, shift), -reach, reach)
    worst = excesses(problem, turn, shift, slid).max(axis=1)
    least = np.where(problem.counts, -problem.clearance, -np.inf).max(axis=1)
    room = _ROOM * (worst - least) + _ROOM_MM
    return State(turn.copy(), shift.copy(), worst + room, slid, _FIRST_MU * room / _degree(problem))


def _degree(problem: Problem) -> Floats:
    """The gap to the least excess in units of mu."""
    stops = np.isfinite(problem.slides.reach).sum(axis=1)
    degree: Floats = 2.0 * problem.counts.sum(axis=1) + 2.0 * stops
    return degree


def _step(problem: Problem, state: State, decide: bool) -> Bools:
    """One Newton step of every search; says which of them are done."""
    near = newton_step(problem, state) < SURE
    gap = state.mu * _degree(problem)
    done: Bools = near & (gap <= GAP_MM)
    if decide:
        done |= near & (state.level - 2.0 * gap > 0)
        done |= excesses(problem, state.turn, state.shift, state.slid).max(axis=1) <= 0
    state.mu = np.where(near & ~done, state.mu * _FALL, state.mu)
    return done
