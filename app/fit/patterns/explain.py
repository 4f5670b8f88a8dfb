"""From an answer in arrays to a verdict in plain data and words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.fit.patterns.directions import words_of
from app.fit.patterns.doubt import deciding_point
from app.fit.patterns.judge import EXACT_MM, Code
from app.fit.patterns.moves import most_that_agree
from app.fit.patterns.points import Pattern, Point
from app.fit.patterns.rigid import motion_of
from app.fit.patterns.say import say
from app.fit.patterns.trial import Rows, Trial, figures, rows_at
from app.fit.patterns.turns import fit_many
from app.fit.patterns.verdict import Decider, Hand, Move, PairVerdict, PatternVerdict
from app.fit.tape import TapeOutcome

OUTCOMES = {
    Code.FITS: TapeOutcome.FITS,
    Code.MEASURE: TapeOutcome.MEASURE_AGAIN,
    Code.DOES_NOT: TapeOutcome.DOES_NOT_FIT,
}


@dataclass(frozen=True, slots=True)
class Answer:
    """What was found, before it is put in words: `points` are the part's, in the order of the trial's pairs."""

    part: Pattern
    vehicle: Pattern
    points: tuple[Point, ...]
    trial: Trial
    code: Code
    hand: Hand
    mirrored: bool
    by_name: bool

    def counterpart(self, pair: int) -> Point:
        """The vehicle's point of a pair."""
        return self.vehicle.points[self.trial.way[pair]]

    def names(self, pair: int) -> tuple[str, str]:
        """What the two points of a pair are called."""
        return self.points[pair].said, self.counterpart(pair).said


def verdict_of(answer: Answer, ways: int, missing: Sequence[Point]) -> PatternVerdict:
    """The whole verdict."""
    found = figures(answer.trial)
    code = Code.MEASURE if missing and answer.code is Code.FITS else answer.code
    sure = found.surely <= EXACT_MM
    turn, shift = (found.sure_turn, found.sure_shift) if sure else (found.turn, found.shift)
    rows = rows_at(answer.trial.joined, turn, shift)
    out = code is Code.DOES_NOT and not answer.trial.joined.blocked
    moves, few = _moves(answer, rows) if out else ((), True)
    decider = _decider(answer, missing, sure) if code is Code.MEASURE else None
    verdict = PatternVerdict(
        part=answer.part.name,
        vehicle=answer.vehicle.name,
        outcome=OUTCOMES[code],
        motion=motion_of(turn[0], shift[0]),
        excess_mm=found.excess,
        surely_mm=found.surely,
        at_best_mm=found.at_best,
        slack_mm=max(0.0, -found.surely) if code is Code.FITS else 0.0,
        rms_mm=_rms(answer),
        worst=answer.names(_worst(rows))[0],
        pairs=tuple(_pair_verdict(answer, rows, pair) for pair in range(len(answer.points))),
        moves=moves,
        moves_few=few,
        decider=decider,
        hand=answer.hand,
        mirrored=answer.mirrored,
        by_name=answer.by_name,
        ways=ways,
        missing=tuple(point.said for point in missing),
        spare_points=_spare_points(answer),
        blocked=tuple(words for _, words in answer.trial.joined.blocked),
        words=(),
    )
    return say(verdict)


def _worst(rows: Rows) -> int:
    """The pair that leaves least in the worst case."""
    spare = np.where(rows.counts, rows.clearance - rows.doubt - rows.distance, np.inf)
    return int(rows.pair[np.argmin(spare.round(6))])


def _rms(answer: Answer) -> float:
    """Root mean square distance of all pairs at the least squares position."""
    joined = answer.trial.joined
    first = np.unique(joined.pair, return_index=True)[1]
    a, b = joined.problem.a[:, first], joined.problem.b[:, first]
    turn, shift = fit_many(a, b, mirrored=answer.trial.mirrored)
    apart = a @ turn.transpose(0, 2, 1) + shift[:, None] - b
    return float(np.sqrt((apart**2).sum(axis=2).mean()))


def _pair_verdict(answer: Answer, rows: Rows, pair: int) -> PairVerdict:
    row = rows.worst_of(pair)
    off, free, doubt = (float(each[row]) for each in (rows.distance, rows.clearance, rows.doubt))
    if off + doubt <= free + EXACT_MM:
        outcome = TapeOutcome.FITS
    else:
        outcome = TapeOutcome.DOES_NOT_FIT if off - doubt > free + EXACT_MM else TapeOutcome.MEASURE_AGAIN
    if any(at == pair for at, _ in answer.trial.joined.blocked):
        outcome = TapeOutcome.DOES_NOT_FIT
    way = tuple(rows.offset[rows.pair == pair].sum(axis=0).tolist())
    words = words_of(way, answer.counterpart(pair), answer.vehicle.seen)
    return PairVerdict(*answer.names(pair), outcome, off, free, doubt, free - off, way, words)


def _moves(answer: Answer, rows: Rows) -> tuple[tuple[Move, ...], bool]:
    """What would have to move, and whether that is few points with the others staying."""
    agreed = most_that_agree(answer.trial)
    if agreed is not None:
        rows = rows_at(answer.trial.joined, agreed.turn, agreed.shift)
    moves = (_move(answer, rows, pair) for pair in range(len(answer.points)))
    return tuple(move for move in moves if move.least_mm > EXACT_MM), agreed is not None


def _move(answer: Answer, rows: Rows, pair: int) -> Move:
    """How far and which way one pair is out, across its bolt and along it; nothing for one that does not count."""
    over = np.where((rows.pair == pair) & rows.counts, rows.distance - rows.clearance, 0.0)
    out = over > 0
    way = rows.offset[out].sum(axis=0)
    other, view = answer.counterpart(pair), answer.vehicle.seen
    words = words_of(way.tolist(), other, view), words_of((-way).tolist(), other, view)
    least, whole = float(np.linalg.norm(over[out])), float(np.linalg.norm(way))
    return Move(*answer.names(pair), least, whole, tuple(way.tolist()), *words)


def _decider(answer: Answer, missing: Sequence[Point], sure: bool) -> Decider | None:
    """The one point to measure, or to measure better."""
    if missing:
        name = missing[0].said
        return Decider(name, name, len(missing) == 1, None, None, f"measure {name} on the vehicle")
    found = None if sure else deciding_point(answer.trial)
    if found is None:
        return None
    part, vehicle = answer.names(found.pair)
    if not found.decides:
        words = f"no single point decides; begin with {part}, which helps most"
        return Decider(part, vehicle, False, None, None, words)
    outcome = TapeOutcome.FITS if found.fits else TapeOutcome.DOES_NOT_FIT
    good = f"to {found.enough_mm:.2f} mm for part and vehicle together" if found.enough_mm else "with the finest tool"
    words = f"measure {part} again, {good}: were the readings to stay, it {outcome}"
    return Decider(part, vehicle, True, found.enough_mm, outcome, words)


def _spare_points(answer: Answer) -> tuple[str, ...]:
    """Points of the vehicle that nothing of the part goes on."""
    return tuple(point.said for at, point in enumerate(answer.vehicle.points) if at not in answer.trial.way)
