"""Wants: all that a line can mean is kept, and who waits is named when it comes in. Invented data."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.book.asking import ask
from app.book.harvest import Harvest, harvest
from app.book.holds import hold
from app.book.sheets import dump_folder, load_folder
from app.book.wanting import WantRow, callers, wants, write_want
from app.book.work import Book, Who
from app.errors import BadInput
from app.fit.terms import Condition, Side

YARD = Path(__file__).parents[1] / "casebook"
C1 = Who("C1", seat="counter")
TANKS = {"fuel tank, behind axle", "fuel tank, left side"}


@pytest.fixture
def yard(sqlite_book: Book) -> Book:
    load_folder(sqlite_book, C1, YARD)
    return sqlite_book


def wanted(yard: Book, words: str, **stated: object) -> WantRow:
    found = ask(yard, C1, words, keep=False, **stated)  # type: ignore[arg-type]
    return write_want(yard, C1, found, "R. Ash", "555-0142")


def test_all_parts_and_vehicles_that_are_meant_are_kept(yard: Book) -> None:
    assert set(wanted(yard, "gas tank 08 tolliver light").parts) == TANKS
    assert set(wanted(yard, "lca for 08 longwagon").vehicles) == {"WH2", "WL2"}
    assert set(wanted(yard, "glass").parts) == {"front door glass", "sunroof glass"}


def test_price_and_count_of_the_words_are_kept(yard: Book) -> None:
    arm = wanted(yard, "lca rh 08 longwagon light under 60")
    assert (arm.most_cents, arm.wishes) == (5_999, ("less than $60",))
    assert wanted(yard, "2 hubs 08 longwagon light").pieces == 2
    assert wants(yard)[0].pieces == 2, "read again"


def test_words_without_a_part_are_refused_unless_they_are_kept_as_said(yard: Book) -> None:
    found = ask(yard, C1, "zzz", keep=False)
    with pytest.raises(BadInput, match="no part is understood in 'zzz'") as refused:
        write_want(yard, C1, found, "R. Ash")
    assert "as they were said" in refused.value.remedy
    assert write_want(yard, C1, found, "R. Ash", as_said=True).parts == ()
    assert wants(yard, look=True)[0].here == ()


def test_a_part_that_comes_in_names_who_waits_for_any_meaning_of_his_words(yard: Book) -> None:
    """A gas tank for a light Tolliver is the one on the left side, which is not the first meaning."""
    tank = wanted(yard, "gas tank 08 tolliver light")
    cheap = wanted(yard, "gas tank 08 tolliver light under 100")
    wanted(yard, "hood 2009 brae")
    made = harvest(yard, C1, Harvest("D03", "fuel tank, left side", condition=Condition.A, price_cents=12_000))
    assert [row.number for row in callers(yard, made.tag)] == [tank.number]
    assert callers(yard, made.tag)[0].call == "call R. Ash 555-0142: want 1, gas tank 08 tolliver light"
    again = harvest(yard, C1, Harvest("D03", "fuel tank, left side", condition=Condition.A, price_cents=9_000))
    assert {row.number for row in callers(yard, again.tag)} == {tank.number, cheap.number}


def test_nobody_is_called_for_what_does_not_fit_his_vehicle(yard: Book) -> None:
    wanted(yard, "lca lh 2009 longwagon heavy")
    form = Harvest("D13", "front lower control arm", side=Side.LH, price_cents=8_500)
    assert callers(yard, harvest(yard, C1, form).tag) == ()


def test_the_list_says_which_tags_answer_a_want_now(yard: Book) -> None:
    wanted(yard, "lca lh 2009 longwagon heavy")
    assert wants(yard, look=True)[0].here == ("S134",)
    hold(yard, C1, "S134", "B. Oak")
    assert wants(yard, look=True)[0].here == ()


def test_a_fact_of_the_vehicle_counts_when_a_want_is_answered(yard: Book) -> None:
    """With the rear control a knob the digital unit is short of its harness, and nobody is called for it."""
    wanted(yard, "rear heater 08 longwagon light", facts={"rear air control": "knob"})
    assert wants(yard, look=True)[0].here == ("S231", "S230")


def test_a_want_of_several_meanings_outlives_a_dump_and_a_load(yard: Book, tmp_path: Path, postgres_book: Book) -> None:
    wanted(yard, "2 gas tanks 08 tolliver under 300")
    dump_folder(yard, tmp_path / "out")
    load_folder(postgres_book, C1, tmp_path / "out")
    (row,) = wants(postgres_book)
    (kept,) = wants(yard)
    assert (row.parts, row.vehicles, row.pieces, row.wishes) == (kept.parts, kept.vehicles, kept.pieces, kept.wishes)
    assert set(row.parts) == TANKS
