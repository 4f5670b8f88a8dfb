"""Under the list stand what is said, its cautions and its reason, with the question and its keys, without scrolling."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from app.book.sheets import load_folder
from app.book.work import Book
from app.fit.answers import WorkLine
from app.fit.terms import Grade
from app.screens.app import Donorbook
from app.screens.counter import CounterSeat
from app.screens.counter_keys import RESERVED
from app.screens.counter_reasons import Block, fitted, reasons
from tests.screens.counter_desk import SIZE, ask
from tests.screens.hands import flat, line, press, seen, settle
from tests.support.books import copy_file, opened
from tests.support.clock import Clock
from tests.support.yard import OWNER

YARD = Path(__file__).parents[1] / "casebook"
CALLS = [
    "I need a steering box for an '08 Longwagon, the half-ton. Mine's pouring fluid.",
    "I want the big tank out of a three-quarter-ton in my 2008 half-ton Longwagon.",
    "Left hub for an '07 Tolliver four-by-four. I don't know, it's just an '07.",
    "I want the big brakes off a Brae on my half-ton Longwagon.",
    "Axle for my two-wheel '07 Tolliver, 3.42, I need it today.",
    "Transfer case, '08 Longwagon, the one with the buttons.",
    "I've a line on a cheap '05 5.1, will it go in my '08?",
    "Gauge cluster, '08 Longwagon.",
]


@pytest.fixture
def yard(sqlite_template: Path, tmp_path: Path, clock: Clock) -> Any:
    with opened(str(copy_file(sqlite_template, tmp_path / "case.book")), clock) as book:
        load_folder(book, OWNER, YARD)
        yield book


@pytest.mark.parametrize("words", CALLS, ids=lambda words: words[:25])
async def test_sentence_caution_reason_and_question_are_seen_at_once(yard: Book, words: str) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, words)
        assert isinstance(app.screen, CounterSeat)
        state, answer = app.screen.state, app.screen.line()
        assert answer is not None
        assert state.answer is not None
        screen = flat(app)
        assert f"“{answer.say}”" in screen, seen(app)
        labels = [row.split()[0] for row in seen(app).splitlines() if row.split()]
        assert "why" in labels, seen(app)
        assert ("care" in labels) == bool(answer.cautions)
        assert all(word in screen for word in state.answer.asked.not_understood)
        question = state.question()
        assert question is None or f"“{question.words}”" in screen
        assert all(f"{reply.key} {reply.value}" in screen for reply in state.replies(RESERVED))


def _long() -> list[Block]:
    return reasons(
        line(
            "S1",
            Grade.NEEDS_WORK,
            9000,
            say="Said " * 60,
            cautions=("Stored force. " * 9,),
            reasons=("reason " * 40,),
            operations=(WorkLine("cut " * 30, None),),
            consequences=("heavier " * 30,),
            unknowns=("the plug " * 30,),
            companions=("bolts",),
        )
    )


def test_words_take_no_more_rows_than_there_are_and_none_is_cut_without_saying_so() -> None:
    for width in (38, 78):
        for room in range(1, 60):
            shown = fitted(_long(), width, room)
            assert len(shown) <= room
            assert max(len(row.plain) for row in shown) <= width
            whole = sum(len(block.rows(width)) for block in _long())
            assert shown[-1].plain.rstrip().endswith("all") == (whole > room)


def test_few_rows_are_shared_by_tag_sentence_caution_and_reason() -> None:
    labels = [[row.plain.split()[0] for row in fitted(_long(), 78, room)] for room in (1, 2, 5, 9)]
    assert labels[0] == ["tag"]
    assert labels[1] == ["tag", "say"]
    assert {"tag", "say", "care", "why"} <= set(labels[2])
    assert {"tag", "say", "care", "why", "but"} <= set(labels[3])


def test_what_the_sentence_says_is_not_said_again() -> None:
    twice = line("S1", Grade.BOLTS_IN, 9000, say="Bolts in. 1.00 in longer.", consequences=("1.00 IN longer",))
    assert "but" not in [block.label for block in reasons(twice) if block.words]
    unsaid = line("S1", Grade.BOLTS_IN, 9000, say="It works differently.", consequences=("1.00 in longer",))
    assert "but" in [block.label for block in reasons(unsaid) if block.words]


async def test_a_figure_that_is_none_of_those_offered_can_be_typed(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "tailgate 09 light tolliver")
        assert "A 60.25 in B 60.50 in m another ? no idea" in flat(app)
        await press(pilot, "m")
        assert "Center to center on the hinge cups?" in flat(app)


async def test_why_not_this_one_begins_with_where_it_stands_and_its_reason(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "08 light longwagon lca rh")
        await press(pilot, "n")
        await pilot.press(*"s131", "enter")
        await settle(pilot)
        assert "fit bolts in, but (number 3 on the list)" in flat(app)
        found = [row.split()[0] for row in seen(app).splitlines() if row.split()]
        assert found.index("fit") + 1 == found.index("why") < found.index("say"), seen(app)
