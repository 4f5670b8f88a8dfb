"""Rules that move the split of others: which of them tell on an answer."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from datetime import date

from app.fit.conditions import Pair, all_hold
from app.fit.decide import Decision
from app.fit.known import DateMove, Subject
from app.fit.outcomes import Outcome
from app.fit.rules import End
from app.fit.worlds import World

_NOBODY = Subject(None)


def moves_telling(decision: Decision, codes: Collection[str], moves: Sequence[DateMove]) -> tuple[DateMove, ...]:
    """The moves of the rules with these codes for an end that was surely built while the split is another there."""
    found = [
        move
        for move in moves
        if move.moves in codes
        and all(any(_tells(move, end) for end in _ends(move, each)) for each in decision.outcomes)
    ]
    return tuple({move.rule.code: move for move in reversed(found)}.values())


def moved_words(move: DateMove) -> str:
    """What a move says, with both months."""
    return f"{move.rule.code}: {move.rule.why}: there the split is {move.to_month}, not {move.from_month}"


def _ends(move: DateMove, outcome: Outcome) -> Iterator[World]:
    """The ends whose month a moved rule looks at; the target where it looks at none, but at what changes with one.

    Parts that are alike may be of any month where none is looked at.
    """
    for fire in (*outcome.resolved.fires, *outcome.resolved.against) if outcome.resolved else ():
        if fire.rule.code == move.moves:
            part, target = (End.TARGET, End.PART) if fire.back else (End.PART, End.TARGET)
            dated = {each.end for each in fire.rule.conditions if move.from_month in each.values}
            ends = ((part, outcome.part), (target, outcome.target))
            yield from (world for end, world in ends if end in (dated or {target}))
    if any(link.rule.code == move.moves for link in outcome.chain):
        yield from (outcome.part, outcome.target)


def _tells(move: DateMove, world: World) -> bool:
    first, last = sorted((move.from_month, move.to_month))
    if "built" not in world or not first <= world["built"].value < last:
        return False
    return all_hold(move.rule, move.rule.conditions, Pair(world, world, _NOBODY, _NOBODY, (), date.min))
