"""Ten phone calls at the counter, 80 by 24 and no mouse: each answered under twelve keys after the customer's words.

The calls are of the test yard's own invented trucks. A call is the words as they are said, the keys that answer what
the counter asks, and what must then stand on the first row. Counted are all keys after the words, Enter included.
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Input

from app.book.finding import part
from app.book.schema import Standing
from app.book.sheets import load_folder
from app.book.wanting import wants
from app.book.work import Book
from app.fit.answers import AnswerLine
from app.screens.app import Donorbook
from app.screens.counter import CounterSeat
from app.screens.counter_chips import NOT_SAID
from app.screens.counter_keys import RESERVED
from app.screens.parts.form import Form
from tests.book.test_ask_meanings import hostile_lines
from tests.screens.counter_desk import SIZE
from tests.screens.hands import TAGS, flat, furnish, press, say, scan, seen, settle
from tests.support.books import copy_file, opened
from tests.support.clock import Clock
from tests.support.yard import OWNER

YARD = Path(__file__).parents[1] / "casebook"
MOST_KEYS = 12


@dataclass(frozen=True)
class Call:
    """The customer's words, what he answers when asked, and the first answers with their grades."""

    words: str
    replies: Sequence[str]
    answers: Sequence[tuple[str, str]]


CALLS = [
    Call(
        "steering box for an '08 Longwagon, the half-ton. Mine's pouring fluid.",
        ["plain"],
        [("S102", "bolts_up"), ("S101", "bolts_up"), ("S103", "bolts_in")],
    ),
    Call("Driver's front door for a 2010 Longwagon, power windows", [], [("S121", "bolts_up"), ("S123", "move_over")]),
    Call(
        "Passenger lower control arm, 2008 half-ton Longwagon",
        [],
        [("S130", "bolts_up"), ("S132", "bolts_up"), ("S131", "bolts_in")],
    ),
    Call("Left lower arm for an '09 three-quarter-ton Longwagon", [], [("S134", "bolts_up")]),
    Call("big tank in my 2008 half-ton Longwagon", [], [("S170", "needs_work")]),
    Call(
        "Left front hub, 2007 Tolliver, four-wheel-drive. Door sticker says 04/07.",
        ["light Tolliver"],
        [("S190", "bolts_up")],
    ),
    Call("Left hub for an '07 light Tolliver four-by-four", ["oval"], [("S191", "bolts_up")]),
    Call("Axle for my two-wheel '07 Tolliver, 3.42, today", ["light Tolliver"], [("S250", "bolts_in")]),
    Call(
        "Rear driveshaft, '07 Tolliver crew short, four-by-four. Would the Brae one work?",
        ["light Tolliver"],
        [("S337", "bolts_up"), ("S336", "bolts_up"), ("S338", "measure")],
    ),
    Call("I want the Brae doghouse on my '09 Longwagon", ["nose", "light Longwagon"], [("S385", "set")]),
    Call("short bed for an '08 Tolliver", ["light Tolliver"], [("S362", "bolts_up"), ("S360", "needs_work")]),
]


@pytest.fixture
def yard(sqlite_template: Path, tmp_path: Path, clock: Clock) -> Any:
    with opened(str(copy_file(sqlite_template, tmp_path / "case.book")), clock) as book:
        load_folder(book, OWNER, YARD)
        yield book


@asynccontextmanager
async def counter(book: Book) -> AsyncIterator[tuple[Donorbook, Any]]:
    app = Donorbook(book, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        yield app, pilot


def _seat(app: Donorbook) -> CounterSeat:
    assert isinstance(app.screen, CounterSeat)
    return app.screen


def _first(app: Donorbook) -> AnswerLine:
    line = _seat(app).entries[0].line
    assert line is not None
    return line


def _key_for(app: Donorbook, value: str) -> str:
    """The key that the screen shows for an answer."""
    shown = [reply.key for reply in _seat(app).state.replies(RESERVED) if reply.value == value]
    assert shown, f"{value} is not asked for\n{seen(app)}"
    assert f"{shown[0]} {value}" in flat(app), f"the key for {value} is not on the screen"
    return shown[0]


@pytest.mark.parametrize("call", CALLS, ids=lambda call: call.words[:30])
async def test_a_call_is_answered_under_twelve_keys(yard: Book, call: Call) -> None:
    async with counter(yard) as (app, pilot):
        await say(pilot, call.words)
        pressed = ["enter"]
        await press(pilot, "enter")
        for reply in call.replies:
            key = _key_for(app, reply)
            pressed.append(key)
            await press(pilot, key)
            await settle(pilot)
        lines = [entry.line for entry in _seat(app).entries if entry.line is not None and entry.for_sale]
        found = [(line.tags[0], str(line.grade)) for line in lines[: len(call.answers)]]
        assert found == list(call.answers), seen(app)
        assert len(pressed) < MOST_KEYS
        first = next(row for row in seen(app).splitlines() if row.strip().startswith("1 "))
        assert lines[0].grade.said[:10] in first
        assert "say" in flat(app)


async def test_two_calls_stand_at_once_one_key_apart(yard: Book) -> None:
    async with counter(yard) as (app, pilot):
        await say(pilot, "08 half-ton longwagon lca rh")
        await press(pilot, "tab")
        await say(pilot, "tailgate 2009 light tolliver")
        assert "tailgate" in flat(app)
        await press(pilot, "f2")
        assert _seat(app).state.words == "08 half-ton longwagon lca rh"


async def test_a_hold_and_a_want_take_three_keys_beside_name_and_phone(yard: Book) -> None:
    async with counter(yard) as (app, pilot):
        await say(pilot, "08 half-ton longwagon lca rh")
        await press(pilot, "enter", "h")
        app.screen.query_one(Form).fill({"name": "Ada", "phone": "555-0142"})
        await press(pilot, "enter", "enter")
        await settle(pilot)
        assert part(yard, "S130").standing is Standing.HELD
        await press(pilot, "f9")
        await say(pilot, "lh rear door 2011 brae")
        await press(pilot, "enter", "w")
        app.screen.query_one(Form).fill({"name": "K9"})
        await press(pilot, "enter", "enter")
        await settle(pilot)
        assert [row.words for row in wants(yard)] == ["lh rear door 2011 brae"]


async def test_leafs_in_the_back_change_the_frame_and_with_it_the_answer_by_words_and_by_key(yard: Book) -> None:
    """The same wagon, its frame another's: heavy arms bolt up, light ones must not be sold; taken back by one key."""
    async with counter(yard) as (app, pilot):
        await say(pilot, "08 half-ton longwagon lca rh, it's got leafs in the back")
        assert [entry.line.tags for entry in _seat(app).entries if entry.line] == [("S131",)]
        await say(pilot, "08 half-ton longwagon lca rh")
        await press(pilot, "enter", "m")
        fact = next(n for n, row in enumerate(seen(app).splitlines()) if "rear suspension" in row)
        key = seen(app).splitlines()[fact].split()[0]
        await press(pilot, key)
        app.screen.query_one(Form).fill({"value": "leaf"})
        await press(pilot, "enter")
        await settle(pilot)
        assert [entry.line.tags for entry in _seat(app).entries if entry.line] == [("S131",)]
        assert "heavy Longwagon" in flat(app)
        await press(pilot, "backspace")
        await settle(pilot)
        assert _first(app).tags == ("S130",)


async def test_what_was_understood_is_put_right_one_thing_at_a_time(yard: Book) -> None:
    async with counter(yard) as (app, pilot):
        await say(pilot, "08 half-ton longwagon lca rh flibbertigib")
        await press(pilot, "enter", "x")
        assert "not understood: flibbertigib" in flat(app)
        rows = [row.split() for row in seen(app).splitlines()]
        await press(pilot, next(row[0] for row in rows if "side:" in row))
        await press(pilot, "1")
        await settle(pilot)
        assert _seat(app).state.told == {"side": "LH"}
        assert "LH" in _first(app).names[0]
        await press(pilot, "x")
        rows = [row.split() for row in seen(app).splitlines()]
        await press(pilot, next(row[0] for row in rows if "understood:" in row[2:]))
        await press(pilot, "enter")
        await settle(pilot)
        assert _seat(app).state.words == "08 half-ton longwagon lca rh"
        assert NOT_SAID not in flat(app)


async def test_a_tag_a_ticket_and_a_phone_typed_on_the_line(yard: Book) -> None:
    async with counter(yard) as (app, pilot):
        await say(pilot, "s131")
        assert "light Brae" in flat(app)
        assert "front lower control arm RH" in flat(app)
        await say(pilot, "s131 08 half-ton longwagon")
        await press(pilot, "enter")
        assert "1.00 in longer" in flat(app)
        await press(pilot, "s", "enter", "enter", "enter", "1")
        await settle(pilot)
        await press(pilot, "enter", "f9")
        await say(pilot, "#1")
        await press(pilot, "enter", "enter")
        await settle(pilot)
        assert "Ticket 1" in flat(app)


async def test_why_not_this_tag_on_this_truck(yard: Book) -> None:
    """A tag that the answer does not show is judged against the customer's vehicle all the same."""
    async with counter(yard) as (app, pilot):
        await say(pilot, "09 heavy longwagon")
        await press(pilot, "enter", "n")
        app.screen.query_one(Form).fill({"tag": "s133"})
        await press(pilot, "enter")
        await settle(pilot)
        assert "won't fit" in flat(app)
        assert "socket" in flat(app)


async def test_a_scanned_tag_is_asked_about_or_judged(sqlite_book: Book) -> None:
    app = Donorbook(furnish(sqlite_book), "counter", "C1")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TAGS[0])
        assert "lower control arm RH" in flat(app)
        await press(pilot, "n")
        await scan(pilot, TAGS[1])
        assert f"Why not {TAGS[1]}" in flat(app)


async def test_what_it_would_take_to_put_this_on_that(yard: Book) -> None:
    async with counter(yard) as (app, pilot):
        await say(pilot, "big tank for my 2008 half-ton longwagon")
        await press(pilot, "enter", "f7")
        app.screen.query_one(Form).fill({"what": "fuel tank off a heavy"})
        await press(pilot, "enter", "enter")
        await settle(pilot)
        assert "h of work" in flat(app)


async def test_hostile_lines_are_shown_as_they_are_and_harm_nothing(yard: Book) -> None:
    async with counter(yard) as (app, pilot):
        for line in [
            "[b]lca[/b] 08 longwagon",
            "[@click=app.quit]box[/]",
            "[/x] hood",
            *hostile_lines(["lca", "box"], 12),
        ]:
            app.screen.query_one("#ask", Input).value = line
            await settle(pilot)
            assert app.is_running
        await say(pilot, "[/x] lca 08 light longwagon [b]rh[/b]")
        assert "[/x] lca 08 light longwagon [b]rh[/b]" in seen(app)
        assert "bolts up" in seen(app)


async def test_every_key_is_answered_before_the_sentence_ends(yard: Book) -> None:
    async with counter(yard) as (app, pilot):
        counts = []
        for words in ("08", "08 longw", "08 longwagon lc", "08 longwagon lca", "08 longwagon lca rh"):
            await say(pilot, words)
            counts.append(len(_seat(app).entries))
        assert counts[-2] > 0
        assert 0 < counts[-1] <= counts[-2]
