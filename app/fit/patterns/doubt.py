"""In doubt: the one point whose better measurement would decide."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.fit.patterns.judge import EXACT_MM
from app.fit.patterns.problem import Bools, Floats, Ints
from app.fit.patterns.trial import Trial

_SHARES = np.array([0.0, 0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875])


@dataclass(frozen=True, slots=True)
class Deciding:
    """The pair, whether it alone decides and to what, and the doubt of both its readings that would do."""

    pair: int
    decides: bool
    fits: bool
    enough_mm: float


def deciding_point(trial: Trial) -> Deciding | None:
    """The pair to measure again: the one that decides with the least improvement, were the readings to stay.

    Where no single one decides, the one that helps most. None where no pair has any doubt.
    """
    joined = trial.joined
    doubtful = np.unique(joined.pair[joined.problem.counts[0] & (joined.doubt[0] > 0)])
    if not len(doubtful):
        return None
    doubts = _improved(trial, doubtful, np.zeros(1))
    surely, at_best = _both(trial, doubts)
    sure, out = surely <= EXACT_MM, at_best > EXACT_MM
    able = np.flatnonzero(sure | out)
    if not len(able):
        best = int(np.argmin(np.minimum(surely, -at_best)))
        return Deciding(int(doubtful[best]), decides=False, fits=False, enough_mm=0.0)
    return _easiest(trial, doubtful[able], sure[able])


def _improved(trial: Trial, pairs: Ints, shares: Floats) -> Floats:
    """The doubts (P * S, rows) with one pair's brought down to each share."""
    own = trial.joined.pair[None, None, :] == pairs[:, None, None]
    doubts: Floats = np.where(own, trial.joined.doubt[0] * shares[None, :, None], trial.joined.doubt[0])
    return doubts.reshape(-1, doubts.shape[2])


def _both(trial: Trial, doubts: Floats) -> tuple[Floats, Floats]:
    """Least worst excess with these doubts against and for it."""
    count = len(doubts)
    problem = trial.joined.problem.take(np.zeros(2 * count, dtype=np.intp))
    shift = np.concatenate([-doubts, doubts])
    excess = trial.least(problem.with_clearance(problem.clearance + shift))[2]
    return excess[:count], excess[count:]


def _easiest(trial: Trial, pairs: Ints, sure: Bools) -> Deciding:
    """Of pairs that alone decide, the one whose doubt may stay largest as a share of what it is."""
    surely, at_best = (each.reshape(len(pairs), -1) for each in _both(trial, _improved(trial, pairs, _SHARES)))
    decided = np.where(sure[:, None], surely <= EXACT_MM, at_best > EXACT_MM)
    last = decided.shape[1] - 1 - np.argmax(decided[:, ::-1], axis=1)
    margin = np.where(sure, -surely[:, 0], at_best[:, 0])
    best = int(np.lexsort((-margin, -last))[0])
    whole = float(trial.joined.doubt[0][trial.joined.pair == pairs[best]].max())
    return Deciding(int(pairs[best]), decides=True, fits=bool(sure[best]), enough_mm=float(_SHARES[last[best]]) * whole)
