"""Rules that move the split of others: which of them tell on an answer."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date

from app.fit.conditions import Pair, all_hold
from app.fit.decide import Decision
from app.fit.knowledge import DateMove, Subject
from app.fit.worlds import World

_NOBODY = Subject(None)


def moves_telling(decision: Decision, codes: Collection[str], moves: Sequence[DateMove]) -> tuple[DateMove, ...]:
    """The moves of the rules with these codes for an end that was surely built while the split is another there."""
    ends = [(each.part, each.target) for each in decision.outcomes]
    found = [
        move
        for move in moves
        if move.moves in codes and all(_tells(move, part) or _tells(move, target) for part, target in ends)
    ]
    return tuple({move.rule.code: move for move in reversed(found)}.values())


def moved_words(move: DateMove) -> str:
    """What a move says, with both months."""
    return f"{move.rule.code}: {move.rule.why}: there the split is {move.to_month}, not {move.from_month}"


def _tells(move: DateMove, world: World) -> bool:
    first, last = sorted((move.from_month, move.to_month))
    if "built" not in world or not first <= world["built"].value < last:
        return False
    return all_hold(move.rule, move.rule.conditions, Pair(world, world, _NOBODY, _NOBODY, (), date.min))
