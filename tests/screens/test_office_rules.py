"""The owner's rules at the screen: a dispute is settled, a rule closed, a chain made a rule. Invented data."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.book.asking import ask
from app.book.behind import behind
from app.book.evidence import chains_waiting
from app.book.people import sign_on
from app.book.rulerows import rule
from app.book.sales import Basket, Line, sell
from app.book.schema import Role
from app.book.sheets import load_folder
from app.book.work import Book, Who
from app.fit.rules import RuleState
from tests.screens.desk_pilot import at, fill, press, seen
from tests.support.clock import Clock

YARD = Path(__file__).parents[1] / "casebook"
OWNER = Who("OW", Role.OWNER, "office")
C1 = Who("C1", Role.COUNTER, "counter")


@pytest.fixture
def yard(sqlite_book: Book) -> Book:
    sign_on(sqlite_book, OWNER, "OW", "owner", Role.OWNER)
    sign_on(sqlite_book, OWNER, "C1", "counter one", Role.COUNTER)
    load_folder(sqlite_book, OWNER, YARD)
    return sqlite_book


async def test_a_dispute_is_read_and_settled_by_a_measurement(yard: Book) -> None:
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "r")
        words = seen(pilot)
        assert "R77" in words
        assert "3 kept, 1 came back" in words
        await press(pilot, "enter")
        assert "part: model is PL1" in seen(pilot)
        await press(pilot, "enter", "s")
        await fill(pilot, "cups 60.25, bushings take it", "dial caliper", "", "", "")
        await press(pilot, "enter")
        assert "R77 stands" in seen(pilot)
    assert rule(yard, "R77").row.state is RuleState.OPEN


async def test_a_rule_is_doubted_by_its_code_and_closed_with_a_reason(yard: Book) -> None:
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "r", "d")
        await fill(pilot, "r01", "bolts 3.75 apart")
        await press(pilot, "enter")
        assert "R01 is disputed" in seen(pilot)
        await press(pilot, "x")
        await fill(pilot, "superseded")
        await press(pilot, "enter")
        assert "closed" in seen(pilot)
    assert RuleState.CLOSED in {rule(yard, code).row.state for code in ("R01", "R77")}


async def test_the_counter_does_not_close(yard: Book) -> None:
    async with at(yard, "office", "C1") as pilot:
        await press(pilot, "r", "x")
        await fill(pilot, "enough of it")
        await press(pilot, "enter")
        assert "may not do this" in seen(pilot)
    assert rule(yard, "R77").row.state is RuleState.DISPUTED


async def test_kept_sales_are_counted_and_a_chain_is_made_a_rule(yard: Book, clock: Clock) -> None:
    (line,) = ask(yard, C1, "", vehicle="2007 TA1", part="blower motor", keep=False).answers
    sell(yard, C1, Basket([Line("S330", behind=behind(line))]))
    clock.forward(days=31)
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "r")
        assert "1 ticket past the return days" in seen(pilot)
        await press(pilot, "k")
        assert "blower motor of HA1 on TA1" in seen(pilot)
        await press(pilot, "end", "m")
        assert "is rule Y1" in seen(pilot)
    assert chains_waiting(yard) == ()


async def test_the_faults_of_all_rules_are_one_key_away(yard: Book) -> None:
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "r", "f")
        words = seen(pilot)
        assert "found in 110 rules" in words
        assert "R27 and R110" in words
        await press(pilot, "enter")
        assert "Such as a part off" in seen(pilot)


async def test_a_part_that_came_back_puts_its_rule_in_the_list(yard: Book) -> None:
    found = ask(yard, C1, "", vehicle="2008 WL2", part="steering gear", keep=False).answers
    line = next(each for each in found if "S102" in each.tags)
    sell(yard, C1, Basket([Line(line.tags[0], behind=behind(line))]))
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "r", "b")
        await fill(pilot, line.tags[0], "bolts 3.75 apart", "the rule")
        await press(pilot, "enter")
        assert "R01 in dispute" in seen(pilot)
    assert rule(yard, "R01").row.state is RuleState.DISPUTED
