"""Each row of the counter's list says what tells it from the others, and no column eats up the one beside it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from app.book.sheets import load_folder
from app.book.work import Book
from app.fit.terms import Grade
from app.screens.app import Donorbook
from app.screens.counter_ask import Entry
from app.screens.counter_rows import columns, difference, entry_row
from tests.screens.counter_desk import SIZE, ask, rows
from tests.screens.hands import flat, line, press, seen
from tests.support.books import copy_file, opened
from tests.support.clock import Clock
from tests.support.yard import OWNER

YARD = Path(__file__).parents[1] / "casebook"
WIDTH = 76


@pytest.fixture
def yard(sqlite_template: Path, tmp_path: Path, clock: Clock) -> Any:
    with opened(str(copy_file(sqlite_template, tmp_path / "case.book")), clock) as book:
        load_folder(book, OWNER, YARD)
        yield book


def told(*facts: tuple[tuple[str, str], ...], name: str = "transfer case", width: int = WIDTH) -> list[str]:
    """What rows say of parts with such facts."""
    made = [
        replace(line("S1", Grade.MEASURE, 9000, facts=each, donors=(f"D{n}",)), names=(name,))
        for n, each in enumerate(facts, 1)
    ]
    laid = columns([Entry(each, rank=1) for each in made], width)
    return [difference(each, laid) for each in made]


def test_the_fact_that_differs_is_said_and_not_the_one_that_all_have() -> None:
    assert told((("leaking", "no"), ("assist", "plain")), (("leaking", "no"), ("assist", "variable"))) == [
        "plain",
        "variable",
    ]


def test_a_figure_is_seen_before_the_name_that_has_no_room() -> None:
    found = told((("transfer case splines", "27"),), (("transfer case splines", "32"),))
    assert found == ["27 splines", "32 splines"]
    assert told((("plug pins", "5"),), (("plug pins", "7"),)) == ["5 plug pins", "7 plug pins"]


def test_two_figures_are_never_said_without_their_names() -> None:
    facts = (("alternator amps", "145"), ("pulley grooves", "6"))
    assert told(facts) == ["145 amps, 6 grooves"]
    assert told(facts, width=WIDTH - 4) == ["145 amps"]


def test_what_nothing_tells_apart_says_what_it_is_off() -> None:
    assert told((("length", "17.25 in"),), (("length", "17.25 in"),)) == ["17.25 in, off D1", "17.25 in, off D2"]


def test_parts_of_several_names_are_told_apart_by_what_differs_in_them() -> None:
    made = [
        replace(line("S1", Grade.BOLTS_UP, 9000), names=(name,))
        for name in ("front hub LH", "front hub RH", "front hub")
    ]
    for names, said in ((made[:2], ["LH", "RH"]), (made, ["hub LH", "hub RH", "hub"])):
        laid = columns([Entry(each, rank=1) for each in names], WIDTH)
        assert [difference(each, laid) for each in names] == said


def test_no_row_is_wider_than_the_screen_and_no_price_or_tag_is_cut() -> None:
    made = [
        line("S1", Grade.MOVE_OVER, 1234567, where=("BACK ROW 14-2 LEFT", "A1-2"), seen_days=400),
        line("S2", Grade.SET_SHORT, 900, where=("A1",), facts=(("hub plug", "square with a very long tale"),)),
        line("OLDYARD123", Grade.WONT_FIT, 900),
    ]
    entries = [Entry(each, rank=1, for_sale=each.grade is not Grade.WONT_FIT) for each in made]
    for width in (34, 76, 96):
        shown = [entry_row(each, columns(entries, width), in_basket=False).plain for each in entries]
        assert max(map(len, shown)) <= width
        ends = [
            row.index(words) + len(words) for row, words in zip(shown, ("12,345.67", " 9", "OLDYARD123"), strict=True)
        ]
        assert len(set(ends)) == 1


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("08 light longwagon lca rh", ("17.25 in     S130", "17.25 in     S132")),
        ("steering box 08 light longwagon plain", ("plain        S102", "plain        S101")),
        ("body mounts 08 light longwagon", ("loose, 2 pieces", "set, 10 pieces", "set, 12 pieces")),
        ("alternator 08 longwagon with rear air and tow", ("145 ",)),
    ],
)
async def test_rows_say_tag_and_difference(yard: Book, words: str, said: tuple[str, ...]) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, words)
        found = rows(app, "bolts up")[: len(said)]
        assert all(" ".join(what.split()) in " ".join(row.split()) for what, row in zip(said, found, strict=True)), (
            seen(app)
        )


async def test_a_lot_says_how_many_pieces_its_price_is_for(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "body mounts 08 light longwagon")
        await press(pilot, "2")
        assert "150 for 10 pieces" in flat(app)


async def test_a_grade_of_many_words_leaves_the_place_its_room(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "lh front door 2010 longwagon power windows")
        moved = rows(app, "bolts up, moving")[0]
        assert "B1-1, seen 22 days ago" in moved
        assert "blue, crank" in moved


@pytest.mark.parametrize("words", ["lh front door 2010 longwagon power windows", "rear air 08 longwagon knob"])
async def test_a_handheld_shows_the_place_whatever_the_grade(yard: Book, words: str) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=(40, 16)) as pilot:
        await ask(pilot, words)
        found = rows(app, "bolts up, moving") + rows(app, "set, piece short")
        assert found
        assert all(row.split()[-1] in ("B1-1", "A3-2") for row in found), seen(app)


async def test_a_handhelds_ticket_says_all_of_what_is_sold(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=(40, 16)) as pilot:
        await ask(pilot, "08 light longwagon lca rh")
        await press(pilot, "s", "enter", "enter", "enter")
        assert "Ticket 1" in seen(app)
        assert "S130 front lower 75.00 control arm RH, 2008 Dunmarsh Longwagon light" in flat(app)
