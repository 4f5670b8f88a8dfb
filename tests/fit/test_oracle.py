"""The answer engine against a slow, plain decision by brute force, on small random yards.

The oracle of `oracle.py` walks every world, set and chain by the written rules of the game and shares no code
with the engine. Where those rules leave a corner open it says so, and there is nothing to compare.
"""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from app.fit.answers import AnswerLine
from app.fit.engine import answer
from app.fit.terms import Grade
from tests.fit.oracle import decide
from tests.fit.oracle_worlds import OpenQuestion
from tests.fit.small_yards import Yard, small_yard

Shown = list[tuple[tuple[str, ...], Grade]]
BLOCK, BLOCKS = 25, 12


@pytest.mark.parametrize("first", range(0, BLOCK * BLOCKS, BLOCK))
def test_the_engine_answers_as_every_world_set_and_chain_written_out(first: int) -> None:
    compared = 0
    for seed in range(first, first + BLOCK):
        yard = small_yard(seed)
        try:
            found = decide(yard.target, yard.offers, yard.stock, yard.know)
        except OpenQuestion:
            continue
        compared += 1
        given = answer(yard.asked, yard.target, yard.offers, yard.stock, yard.know)
        assert _lines(yard, given.answers) == _pairs(yard, found.answers), f"yard {seed}: answers"
        assert _lines(yard, given.not_what_was_asked) == _pairs(yard, found.below), f"yard {seed}: below"
        refused = {tag for line in given.do_not_sell for tag in line.tags}
        assert refused == found.do_not_sell, f"yard {seed}: not to be sold"
    assert compared > BLOCK // 2, "most small yards must be decidable by the written rules"


def _lines(yard: Yard, lines: Iterable[AnswerLine]) -> Shown:
    return _pairs(yard, ((line.tags, line.grade) for line in lines))


def _pairs(yard: Yard, pairs: Iterable[tuple[tuple[str, ...], Grade]]) -> Shown:
    """A lot that is made up to a count may name its tags in any order."""
    loose = yard.target.quantity is not None
    return [(tuple(sorted(tags)) if loose else tags, grade) for tags, grade in pairs]
