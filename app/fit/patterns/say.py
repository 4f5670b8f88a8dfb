"""A pattern verdict as sentences that can be said at the counter or on the bench."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

from app.fit.patterns.verdict import Hand, Move, PatternVerdict
from app.fit.tape import TapeOutcome

_MOST_MOVES = 8
_HANDS = {
    Hand.TOLD: "",
    Hand.EITHER_WAY: "The points lie flat and fit alike with either face up.",
    Hand.TURNED_OVER: "The part goes on turned over.",
    Hand.NOT_TOLD: (
        "The points lie flat and do not fit alike both ways round: they alone do not tell a left part from a right "
        "one. Say for both patterns which side they are for, or which way the mating face looks (its normal)."
    ),
}


def say(verdict: PatternVerdict) -> PatternVerdict:
    """The verdict with its words."""
    said = [_head(verdict), _position(verdict), *_moves(verdict), _hand(verdict)]
    if verdict.decider is not None:
        said.append(f"{verdict.decider.words[0].upper()}{verdict.decider.words[1:]}.")
    if verdict.missing:
        said.append(f"Not measured on the vehicle: {', '.join(verdict.missing)}.")
    said += [f"{words[0].upper()}{words[1:]}." for words in verdict.blocked]
    return replace(verdict, words=tuple(words for words in said if words))


def _head(verdict: PatternVerdict) -> str:
    if verdict.blocked:
        return "Does not fit: kinds of points that cannot meet."
    if verdict.outcome is TapeOutcome.FITS:
        return f"Fits: {verdict.slack_mm:.2f} mm to spare at {verdict.worst} after all doubt."
    if verdict.outcome is TapeOutcome.DOES_NOT_FIT:
        over = f"{verdict.excess_mm:.2f} mm over its clearance at the best position of all"
        return f"Does not fit: {verdict.worst} is {over}, {verdict.at_best_mm:.2f} mm even with all doubt for it."
    if verdict.surely_mm <= 0:
        return "Measure again: what was measured fits, but it does not say all."
    state = "over" if verdict.excess_mm > 0 else "to spare"
    measured = f"as measured {abs(verdict.excess_mm):.2f} mm {state} at {verdict.worst}"
    return f"Measure again: {measured}, with all doubt against it {verdict.surely_mm:.2f} mm over."


def _position(verdict: PatternVerdict) -> str:
    motion = verdict.motion
    shift = ", ".join(f"{value:.1f}" for value in motion.shift)
    turned = f"turned {motion.angle_degrees:.2f}°"
    over = "mirrored, then " if motion.mirrored else ""
    far = "not shifted" if hypot(*motion.shift) < 0.05 else f"shifted by ({shift}) mm"
    return f"Best position of the part: {over}{turned} about its origin and {far}."


def _moves(verdict: PatternVerdict) -> list[str]:
    if not verdict.moves:
        return []
    agree = len(verdict.pairs) - len(verdict.moves)
    start = f"{agree} of {len(verdict.pairs)} points fit together; the others would have to move:"
    if not verdict.moves_few:
        out = f"{len(verdict.moves)} of {len(verdict.pairs)}"
        start = f"Too few points agree to hold the part; at its best position {out} would have to move:"
    more = len(verdict.moves) - _MOST_MOVES
    rest = [f"and {more} more."] if more > 0 else []
    return [start, *(_move(move) for move in verdict.moves[:_MOST_MOVES]), *rest]


def _move(move: Move) -> str:
    return f"{move.vehicle}: {move.way} (at least {move.least_mm:.1f} mm of it), or the part's {move.part_way}."


def _hand(verdict: PatternVerdict) -> str:
    words = _HANDS[verdict.hand]
    return f"The other side's part was held against it. {words}".strip() if verdict.mirrored else words
