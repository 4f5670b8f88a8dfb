"""What can be read out and pressed at the counter is on the screen, at 80 by 24 and on a handheld's 40 by 16."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Input

from app.book.sheets import load_folder
from app.book.wanting import wants
from app.book.work import Book
from app.fit.answers import Asked, Chip
from app.screens.app import Donorbook
from app.screens.counter import CounterSeat
from app.screens.counter_ask import lettered
from app.screens.counter_heard import chip_words, counted, understood, unheard
from app.screens.counter_keys import RESERVED
from app.screens.counter_pane import pane_room
from app.screens.counter_view import folded
from app.screens.parts.form import Form
from app.screens.parts.rows import Rows
from app.screens.parts.sheets import FormSheet
from tests.screens.counter_desk import SIZE, ask, rows
from tests.screens.hands import arms_answer, flat, press, say, seen, settle
from tests.support.books import copy_file, opened
from tests.support.clock import Clock
from tests.support.yard import OWNER

YARD = Path(__file__).parents[1] / "casebook"
HANDHELD = (40, 16)
PLENTY = "alternator 08 longwagon light no rear air, 8 lug, tow package zonk"


@pytest.fixture
def yard(sqlite_template: Path, tmp_path: Path, clock: Clock) -> Any:
    with opened(str(copy_file(sqlite_template, tmp_path / "case.book")), clock) as book:
        load_folder(book, OWNER, YARD)
        yield book


def _seat(app: Donorbook) -> CounterSeat:
    assert isinstance(app.screen, CounterSeat)
    return app.screen


async def test_the_tag_of_the_chosen_row_can_be_read_out(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "08 light longwagon lca rh")
        assert "tag S130 front lower control arm RH" in flat(app)
        await press(pilot, "2")
        assert "tag S132 front lower control arm RH" in flat(app)


async def test_a_wide_screen_has_the_tag_in_the_row(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=(100, 24)) as pilot:
        await ask(pilot, "08 light longwagon lca rh")
        assert rows(app, "bolts up")[0].endswith("S130")


async def test_every_tag_of_a_set_is_in_the_pane(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "Brae nose on light 09 Longwagon")
        line = _seat(app).line()
        assert line is not None
        assert len(line.tags) > 2
        assert f"tag {' + '.join(line.tags)}" in flat(app)


@pytest.mark.parametrize("size", [SIZE, HANDHELD])
async def test_what_was_not_understood_stands_there_with_another_ask_open(yard: Book, size: tuple[int, int]) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        await say(pilot, "steering box for an '08 Longwagon, the half-ton. Mine's pouring fluid.")
        assert "not understood: pouring, fluid" in seen(app)
        await press(pilot, "tab")
        await say(pilot, PLENTY)
        assert "not understood: zonk" in seen(app)
        assert "other: " in seen(app)
        await press(pilot, "tab")
        assert "not understood: pouring, fluid" in seen(app)


@pytest.mark.parametrize(
    ("chip", "words"),
    [
        (Chip("towing", "yes", "tow package"), "towing yes"),
        (Chip("rear air", "no", "no rear air"), "rear air no"),
        (Chip("lug count", "8", "8 lug"), "lug count 8"),
        (Chip("axle ratio", "3.42", "3.42"), "axle ratio 3.42"),
        (Chip("arm length", "17.25 in", "17 1/4"), "arm length 17.25 in"),
        (Chip("plant", "N", "plant n"), "plant N"),
        (Chip("pieces", "2", "pair"), "2 pieces"),
        (Chip("year", "2008", "08"), "2008"),
        (Chip("side", "RH", "rh"), "RH"),
        (Chip("drive", "4x4", "4x4"), "4x4"),
    ],
)
def test_a_chip_that_is_a_bare_figure_or_yes_or_no_says_its_fact(chip: Chip, words: str) -> None:
    assert chip_words(chip) == words


def test_chips_that_do_not_fit_are_counted() -> None:
    chips = tuple(Chip("part", f"part number {n}", "") for n in range(9))
    lines = understood(Asked(words="", chips=chips), 40, 2)
    assert len(lines) == 2
    assert all(len(line) <= 40 for line in lines)
    shown = sum(line.count("part number") for line in lines)
    assert lines[-1].endswith(f"+{9 - shown} more under x")
    assert 0 < shown < 9


def test_what_fits_has_no_count_and_nothing_has_no_line() -> None:
    assert counted(["2008", "Longwagon", "light"], " · ", 40, 1) == ["2008 · Longwagon · light"]
    assert unheard(Asked(words="x"), 40, 1) == []
    assert unheard(Asked(words="x", not_understood=("a", "b")), 40, 1) == ["not understood: a, b"]


async def test_every_chip_however_many_is_reached_under_x(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, f"{PLENTY} blurp 3.42 crew short, front torsion bars, power windows")
        answer = _seat(app).state.answer
        assert answer is not None
        total = len(answer.asked.chips) + len(answer.asked.not_understood)
        assert total > 9
        await press(pilot, "x")
        assert f"9  {total - 8} more" in seen(app)
        assert "blurp" not in [row.split()[-1] for row in seen(app).splitlines() if "understood: " in row]
        await press(pilot, "9")
        assert "not understood: blurp" in flat(app)
        await press(pilot, "escape")
        assert f"9  {total - 8} more" in seen(app)


@pytest.mark.parametrize(
    ("choices", "keys"),
    [
        (("coils", "leafs"), "cl"),
        (("yes", "no"), "yN"),
        (("short", "long"), "Sl"),
        (("light Longwagon", "heavy Longwagon"), "lH"),
        (("2WD", "4x4"), "AB"),
        (("5", "6", "8"), "ABC"),
        (("oval", "other"), "AB"),
        (("before 2009-01", "2009-01 or later"), "AB"),
        (("four-speed small case", "four-speed big case", "six-speed"), "ABC"),
    ],
)
def test_a_choice_has_its_first_letter_or_all_of_them_are_a_b_c(choices: tuple[str, ...], keys: str) -> None:
    assert [reply.key for reply in lettered("fact", choices, RESERVED)] == list(keys)


async def test_a_capital_answers_where_the_small_letter_does_something_else(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "I want the Brae doghouse on my '09 Longwagon")
        assert "N nose" in flat(app)
        await press(pilot, "N")
        await settle(pilot)
        assert _seat(app).state.told == {"part": "nose"}


async def test_a_question_read_from_the_ask_line_says_that_enter_comes_first(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await say(pilot, PLENTY)
        reply = _seat(app).state.replies(RESERVED)[0]
        assert f"Enter then {reply.key} {reply.value}" in flat(app)
        await press(pilot, "enter")
        assert "Enter then" not in flat(app)
        assert f"{reply.key} {reply.value}" in flat(app)


async def test_what_it_takes_opens_from_the_ask_line(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await press(pilot, "f7")
        assert "What would it take?" in seen(app)
        await press(pilot, "escape")
        await say(pilot, "big tank for my 2008 half-ton longwagon")
        await press(pilot, "f7")
        assert isinstance(app.screen, FormSheet)
        assert "longwagon" in app.screen.query_one(Form).values()["vehicle"]


async def test_keys_with_nothing_to_act_on_are_not_in_the_key_line(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "lh rear door 2011 brae")
        keys = " ".join(seen(app).splitlines()[-2:])
        assert "w want" in keys
        assert "pick" not in keys


@pytest.mark.parametrize(
    "words",
    [
        "Left hub for an '07 light Tolliver four-by-four pouring fluid",
        PLENTY,
        "steering box for an '08 Longwagon, the half-ton. Mine's pouring fluid.",
        "I want the Brae doghouse on my '09 Longwagon",
        "fuel pump 2009 light longwagon 26 gal",
    ],
)
async def test_at_forty_columns_every_key_of_the_question_is_seen(yard: Book, words: str) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=HANDHELD) as pilot:
        await ask(pilot, words)
        seat = _seat(app)
        replies = seat.state.replies(RESERVED)
        assert replies
        for reply in replies:
            assert f"{reply.key} {reply.value}" in seen(app)
        asked = seat.state.answer.asked if seat.state.answer else Asked(words="")
        assert all(word in flat(app) for word in asked.not_understood)
        assert str(asked.side) in flat(app)
        assert seat.virtual_size.height <= HANDHELD[1]


def test_list_and_pane_never_need_more_rows_than_there_are() -> None:
    for free in range(4, 40):
        for listed in range(60):
            pane = pane_room(free, listed)
            assert 0 < pane < free
            assert free - pane >= min(listed, 3) or pane <= 1


async def test_a_form_left_by_escape_leaves_both_asks_as_they_were(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "08 light longwagon lca rh")
        await press(pilot, "tab")
        await ask(pilot, "alternator 08 longwagon light")
        before = seen(app)
        for key in ("s", "h", "w", "n", "f", "f7"):
            await press(pilot, key)
            assert seen(app) != before, key
            await press(pilot, "escape")
            assert seen(app) == before, key
        await press(pilot, "tab")
        assert app.screen.query_one("#ask", Input).value == "08 light longwagon lca rh"
        assert "tag S130" in flat(app)


async def test_a_want_of_which_no_part_is_understood_is_kept_as_it_was_said(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "zonk 2011 brae")
        await press(pilot, "w")
        assert "No part is understood" in seen(app)
        app.screen.query_one(Form).fill({"name": "K9"})
        await press(pilot, "enter", "enter")
        await settle(pilot)
        assert [row.words for row in wants(yard)] == ["zonk 2011 brae"]


async def test_what_is_sold_is_in_the_basket_no_more(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "08 light longwagon lca rh")
        await press(pilot, "b", "2", "b")
        assert "2 in the basket" in seen(app)
        await press(pilot, "s", "enter", "enter", "enter", "enter", "1")
        await settle(pilot)
        await press(pilot, "enter")
        assert "in the basket" not in seen(app)
        assert not _seat(app).state.basket


async def test_a_basket_knows_a_part_by_its_tags_whatever_was_answered_since(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "steering box 08 light longwagon")
        first = _seat(app).line()
        assert first is not None
        await press(pilot, "b")
        state = _seat(app).state
        state.put_in_or_out(replace(first, say="said otherwise"))
        assert state.basket == []


async def test_what_it_takes_starts_from_the_vehicle_behind_a_typed_tag(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "s131 08 half-ton longwagon")
        await press(pilot, "f7")
        form = app.screen.query_one(Form)
        assert form.values()["vehicle"] == "08 half-ton longwagon"
        form.fill({"what": "fuel tank", "vehicle": ""})
        await press(pilot, "enter", "enter")
        assert "no vehicle is named" in seen(app)
        assert isinstance(app.screen, FormSheet)


def test_what_is_kept_apart_is_told_on_one_line_of_a_handheld() -> None:
    answer = arms_answer("lca", {})
    for width in (40, 80):
        assert len(folded(answer, unfolded=False, width=width)) <= width - 2


async def test_the_scroll_bar_of_a_long_list_hides_no_end_of_a_row(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "s131 08 half-ton longwagon")
        await press(pilot, "slash")
        listed = app.screen.query_one("#answers", Rows)
        assert listed.show_vertical_scrollbar
        room = listed.scrollable_content_region.width - 2
        prompts = [listed.get_option_at_index(n).prompt for n in range(listed.option_count)]
        assert max(len(str(prompt)) for prompt in prompts) <= room


async def test_a_held_tag_under_the_cursor_says_who_has_it_and_how_it_is_let_go(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "08 light longwagon lca rh")
        await press(pilot, "h")
        app.screen.query_one(Form).fill({"name": "Ada"})
        await press(pilot, "enter", "enter")
        await settle(pilot)
        await press(pilot, "d", "end")
        assert "kept S130" in flat(app)
        assert "u lets it go" in flat(app)
        await press(pilot, "u", "y")
        await settle(pilot)
        assert "S130 is free again" in flat(app)
