"""One way of putting a part on a vehicle, with its exact figures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.fit.patterns.barrier import least_excess
from app.fit.patterns.clearance import Joined
from app.fit.patterns.hands import Hands, Told
from app.fit.patterns.problem import Bools, Floats, Ints, Problem, excesses, offsets, slide_home
from app.fit.patterns.starts import least_from_starts

_LOOKED_AT = 12


@dataclass(frozen=True, slots=True)
class Trial:
    """A joined fit of its own (B = 1), the way it matches, whether turned over, and a motion to begin from."""

    joined: Joined
    way: tuple[int, ...]
    over: bool
    turn: Floats
    shift: Floats

    @property
    def mirrored(self) -> bool:
        """Whether its motion is a mirrored one: a part turned over on the page."""
        return self.over and self.joined.problem.dimensions == 2

    def least(self, problem: Problem) -> tuple[Floats, Floats, Floats]:
        """The best motions near this trial's, of fits like its own."""
        turn, shift = np.repeat(self.turn, problem.size, axis=0), np.repeat(self.shift, problem.size, axis=0)
        if self.over and not self.mirrored:
            return least_excess(problem, turn, shift)
        return least_from_starts(problem, turn, shift, mirrored=self.mirrored)


@dataclass(frozen=True, slots=True)
class Figures:
    """Least worst excesses: as measured, with all doubt against it, with all doubt for it; motions of the first two."""

    excess: float
    surely: float
    at_best: float
    turn: Floats
    shift: Floats
    sure_turn: Floats
    sure_shift: Floats


def best_trial(tried: list[tuple[Ints, Joined, Hands]], ways: Ints, told: Told) -> Trial:
    """Of all ways the best: by what is judged of it, then by its excess as measured."""
    found: list[tuple[int, float, Trial]] = []
    for rows, joined, hands in tried:
        for over in (False, True) if told in (Told.MAY_TURN, Told.NOTHING) else (False,):
            codes = hands.over if over else hands.right
            turn, shift = hands.over_motion if over else hands.right_motion
            useful = np.flatnonzero((codes == codes.min()) & (hands.matters | (not over)))
            found += [
                (int(codes[k]), excess, Trial(joined.take(k[None]), tuple(ways[rows[k]].tolist()), over, *motion))
                for k, excess, motion in _nearest(joined, turn, shift, useful)
            ]
    return min(found, key=lambda each: (each[0], each[1], each[2].over))[2]


def _nearest(
    joined: Joined, turn: Floats, shift: Floats, rows: Ints
) -> list[tuple[Ints, float, tuple[Floats, Floats]]]:
    """The few nearest of these rows with their least excess and where it lies."""
    rough = excesses(joined.problem.take(rows), turn[rows], shift[rows]).max(axis=1)
    rows = rows[np.argsort(rough, kind="stable")[:_LOOKED_AT]]
    if not len(rows):
        return []
    turns, shifts, excess = least_excess(joined.problem.take(rows), turn[rows], shift[rows])
    return [(rows[k], round(float(excess[k]), 7), (turns[[k]], shifts[[k]])) for k in range(len(rows))]


def figures(trial: Trial) -> Figures:
    """The exact figures of a trial, its three searches in one go."""
    joined = trial.joined
    three = joined.problem.take(np.zeros(3, dtype=np.intp))
    clearance = joined.problem.clearance + joined.doubt * np.array([[0.0], [-1.0], [1.0]])
    turn, shift, excess = trial.least(three.with_clearance(clearance))
    measured, surely, at_best = excess.tolist()
    return Figures(measured, surely, at_best, turn[[0]], shift[[0]], turn[[1]], shift[[1]])


@dataclass(frozen=True, slots=True)
class Rows:
    """Where each row of a trial stands at a motion: its offset (rows, d), distance, clearance, doubt, its pair."""

    offset: Floats
    distance: Floats
    clearance: Floats
    doubt: Floats
    pair: Ints
    counts: Bools

    def worst_of(self, pair: int) -> int:
        """The row of a pair that leaves least."""
        rows = np.flatnonzero(self.pair == pair)
        return int(rows[np.argmin((self.clearance - self.distance).round(6)[rows])])


def rows_at(joined: Joined, turn: Floats, shift: Floats) -> Rows:
    """Rows of the one fit in `joined` at a motion, slides where they bring each nearest."""
    problem = joined.problem
    offset = offsets(problem, turn, shift, slide_home(problem, turn, shift))[0]
    distance: Floats = np.linalg.norm(offset, axis=1)
    return Rows(offset, distance, problem.clearance[0], joined.doubt[0], joined.pair, problem.counts[0])
