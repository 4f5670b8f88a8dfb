"""The answer engine against a slow, plain decision by brute force, on small random yards and on the casebook's.

The oracle of `oracle.py` walks every world, set and chain by the written rules of the game and shares no code
with the engine. Where those rules leave a corner open it says so, and there is nothing to compare.
DONORBOOK_YARDS is how many yards are tried (1,500), DONORBOOK_FIRST_YARD the first of them (0).
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import pytest

from app.book import asking
from app.book.sheets import load_folder
from app.book.work import open_book
from app.fit.answers import Answer, AnswerLine, Asked
from app.fit.candidates import Source
from app.fit.engine import answer, answer_from
from app.fit.knowledge import Knowledge
from app.fit.known import Target, Want
from app.fit.terms import Grade
from tests.book.test_casebook_answers import C1, PARTS, TODAY, VEHICLES, YARD
from tests.fit.oracle import Decision, decide
from tests.fit.oracle_worlds import OpenQuestion
from tests.fit.small_yards import Yard, small_yard, winding_yard

Shown = list[tuple[tuple[str, ...], Grade]]
FIRST, YARDS = int(os.environ.get("DONORBOOK_FIRST_YARD", "0")), int(os.environ.get("DONORBOOK_YARDS", "1500"))
BLOCK = 100
CASEBOOK_WORLDS = 20_000


@pytest.mark.parametrize("first", range(FIRST, FIRST + YARDS, BLOCK))
def test_the_engine_answers_as_every_world_set_and_chain_written_out(first: int) -> None:
    last = min(first + BLOCK, FIRST + YARDS)
    compared = 0
    for seed in range(first, last):
        compared += _is_same(small_yard(seed), f"small_yard({seed})")
    assert compared > (last - first) // 2, "most small yards must be decidable by the written rules"


def test_a_link_that_another_rule_contradicts_carries_no_chain_as_with_every_vehicle_between_written_out() -> None:
    compared = sum(_is_same(winding_yard(seed), f"winding_yard({seed})") for seed in range(FIRST, FIRST + YARDS // 3))
    assert compared > YARDS // 6, "most winding yards must be decidable by the written rules"


@pytest.mark.parametrize("seed", [5453, 6201, 33293])
def test_a_look_that_changed_with_the_months_tells_another_that_did(seed: int) -> None:
    """Heated seats came in March: a part off such a truck has none of what went out in October."""
    assert _is_same(small_yard(seed), f"small_yard({seed})")


def test_a_set_is_made_up_to_meet_a_price_or_the_shelf_as_every_set_written_out() -> None:
    """Where a set costs a cent too much, or is not all on the shelf, the companions that meet it are taken."""
    compared = 0
    for seed in range(FIRST, FIRST + YARDS):
        yard = small_yard(seed)
        for line in answer(yard.asked, yard.target, yard.offers, yard.stock, yard.know).answers:
            if line.grade is not Grade.SET or len(line.tags) < 2:
                continue
            dear = Want("price", "at most", f"{(line.price_cents - 1) / 100}", "a cent less")
            for wants in ((dear,), (dear, Want("shelf", "is", "yes", "today"))):
                wanting = replace(yard, target=replace(yard.target, wants=wants))
                compared += _is_same(wanting, f"small_yard({seed}), {wants}")
    assert compared > YARDS // 100, "some sets must be decidable by the written rules"


def _is_same(yard: Yard, where: str) -> bool:
    """Hold a yard's answer against the written rules; False where these leave it open."""
    try:
        found = decide(yard.target, yard.offers, yard.stock, yard.know)
    except OpenQuestion:
        return False
    given = answer(yard.asked, yard.target, yard.offers, yard.stock, yard.know)
    _assert_same(given, found, yard.target, where)
    return True


def test_the_casebook_is_answered_as_the_oracle_answers_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every part the casebook's questions ask for, on the vehicles of its tests."""
    asks: list[tuple[Answer, Decision | None, Target]] = []

    def both(asked: Asked, target: Target, source: Source, know: Knowledge) -> Answer:
        given = answer_from(asked, target, source, know)
        offers = [source.offer(each) for each in source.candidates]
        try:
            found = decide(target, offers, tuple(source.stock()), know, CASEBOOK_WORLDS)
        except OpenQuestion:
            found = None
        asks.append((given, found, target))
        return given

    monkeypatch.setattr(asking, "answer_from", both)
    book = open_book(str(tmp_path / "yard.book"))
    load_folder(book, C1, YARD)
    for part in sorted(set(PARTS.values())):
        for vehicle in VEHICLES:
            asking.ask(book, C1, "", vehicle=vehicle, part=part, on=TODAY, keep=False)
    for words in ("all twelve body mounts", "all 11 body mounts"):
        asking.ask(book, C1, words, vehicle=VEHICLES[0], on=TODAY, keep=False)
    book.close()
    for given, found, target in asks:
        if found is not None:
            _assert_same(given, found, target, given.asked.words)
    # A part for a truck whose wheels are not known goes with two sets, and which is shown is open.
    assert sum(found is None for _, found, _ in asks) <= 3
    assert len(asks) > len(VEHICLES) * 30


def _assert_same(given: Answer, found: Decision, target: Target, where: str) -> None:
    assert _lines(target, given.answers) == _pairs(target, found.answers), f"{where}: answers"
    assert _lines(target, given.not_what_was_asked) == _pairs(target, found.below), f"{where}: below"
    refused = {tag for line in given.do_not_sell for tag in line.tags}
    assert refused == found.do_not_sell, f"{where}: not to be sold"


def _lines(target: Target, lines: Iterable[AnswerLine]) -> Shown:
    return _pairs(target, ((line.tags, line.grade) for line in lines))


def _pairs(target: Target, pairs: Iterable[tuple[tuple[str, ...], Grade]]) -> Shown:
    """A lot that is made up to a count may name its tags in any order."""
    loose = target.quantity is not None
    return [(tuple(sorted(tags)) if loose else tags, grade) for tags, grade in pairs]
