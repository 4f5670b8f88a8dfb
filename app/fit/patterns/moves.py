"""What would have to move: the fewest points without which the others fit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from app.fit.patterns.barrier import least_excess
from app.fit.patterns.clearance import Joined
from app.fit.patterns.judge import EXACT_MM, can_meet
from app.fit.patterns.pairing import needed
from app.fit.patterns.problem import Bools, Floats, Ints, Problem, excesses
from app.fit.patterns.trial import Trial
from app.fit.patterns.turns import fit_many

_TRIED_WHOLE = 2
_MOST_GUESSES = 500
_LOOKED_AT = 16


@dataclass(frozen=True, slots=True)
class Agreement:
    """Pairs that fit together (by number), and the motion at which they leave most room."""

    kept: tuple[int, ...]
    turn: Floats
    shift: Floats


def most_that_agree(trial: Trial) -> Agreement | None:
    """The most pairs that fit as measured, and of several such sets the one that leaves least to move.

    One or two points left out are tried in every way; more by what fits each two (in 3-D three) points laid exactly
    on their counterparts. None where fewer than half, or fewer than hold the part, agree.
    """
    joined = trial.joined
    pairs = np.unique(joined.pair[joined.problem.counts[0]])
    least = max(needed(joined.problem.dimensions), -(-len(pairs) // 2))
    guesses: Floats | None = None
    for dropped in range(1, len(pairs) - least + 1):
        if dropped > _TRIED_WHOLE and guesses is None:
            guesses = _guesses(trial, pairs)
        kept = _kept_sets(pairs, dropped, guesses)
        found = _feasible(trial, kept)
        if found.any():
            return _least_to_move(trial, kept[found][:_LOOKED_AT])
    return None


def _kept_sets(pairs: Ints, dropped: int, guesses: Floats | None) -> Ints:
    """Sets of pairs to keep, (S, n - dropped)."""
    if dropped <= _TRIED_WHOLE or guesses is None:
        return np.array(list(combinations(pairs.tolist(), len(pairs) - dropped)), dtype=np.intp)
    nearest = np.argsort(guesses, axis=1, kind="stable")[:, : len(pairs) - dropped]
    return np.unique(np.sort(pairs[nearest], axis=1), axis=0)


def _guesses(trial: Trial, pairs: Ints) -> Floats:
    """Each pair's excess (G, n) where two (or three) pairs are laid on each other."""
    sets = list(combinations(range(len(pairs)), needed(trial.joined.problem.dimensions)))
    chosen = np.array(sets[:: -(-len(sets) // _MOST_GUESSES)], dtype=np.intp)
    first = np.array([np.flatnonzero(trial.joined.pair == pair)[0] for pair in pairs], dtype=np.intp)
    many = trial.joined.problem.take(np.zeros(len(chosen), dtype=np.intp))
    rows = first[chosen]
    at = np.arange(len(chosen))[:, None]
    turn, shift = fit_many(many.a[at, rows], many.b[at, rows], mirrored=trial.mirrored)
    return _by_pair(trial.joined, excesses(many, turn, shift), pairs)


def _by_pair(joined: Joined, rows: Floats, pairs: Ints) -> Floats:
    """The worst row of each pair, (B, pairs)."""
    worst: Floats = np.stack([rows[:, joined.pair == pair].max(axis=1) for pair in pairs], axis=1)
    return worst


def _keeping(trial: Trial, kept: Ints) -> Problem:
    """The trial's fit once for each set of pairs, only those counting."""
    many = trial.joined.problem.take(np.zeros(len(kept), dtype=np.intp))
    counts = (trial.joined.pair[None, :, None] == kept[:, None, :]).any(axis=2)
    return replace(many, counts=many.counts & counts)


def _feasible(trial: Trial, kept: Ints) -> Bools:
    problem = _keeping(trial, kept)
    problem = problem.with_clearance(problem.clearance + EXACT_MM)
    turn, shift = fit_many(problem.a, problem.b, problem.counts.astype(float), trial.mirrored)
    return can_meet(problem, turn, shift, mirrored=trial.mirrored)


def _least_to_move(trial: Trial, kept: Ints) -> Agreement:
    problem = _keeping(trial, kept)
    turn, shift = fit_many(problem.a, problem.b, problem.counts.astype(float), trial.mirrored)
    turn, shift, _ = least_excess(problem, turn, shift)
    many = trial.joined.problem.take(np.zeros(len(kept), dtype=np.intp))
    over = np.maximum(excesses(many, turn, shift), 0.0)
    best = int(np.argmin(over.sum(axis=1)))
    return Agreement(tuple(kept[best].tolist()), turn[[best]], shift[[best]])
