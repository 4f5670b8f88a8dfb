"""What a vehicle is can be said later, and for each group of parts by itself. Invented data."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from app.book.asking import ask
from app.book.donors import donor_page
from app.book.harvest import Harvest, harvest
from app.book.identity import identify
from app.book.intake import TakeIn, take_in
from app.book.sheets import load_folder
from app.book.work import Book, Who
from app.errors import BadInput
from app.fit.terms import Condition, Grade, Group, Side

YARD = Path(__file__).parents[1] / "casebook"
ME = Who("OW", seat="intake")
TODAY = date(2026, 3, 4)


@pytest.fixture
def unknown(book: Book) -> str:
    """A vehicle taken in without a model."""
    load_folder(book, ME, YARD)
    taken = take_in(book, ME, TakeIn(no_vin_reason="plate burnt", words="pickup, make not known"))
    assert taken.model == ""
    return taken.stock_number


def test_a_model_said_later_lets_an_ask_decide(book: Book, unknown: str) -> None:
    arm = Harvest(unknown, "front lower control arm", side=Side.RH, condition=Condition.A)
    tag = harvest(book, ME, arm).tag
    assert _grade(book, tag) is Grade.MEASURE
    identify(book, ME, unknown, "longwagon light", year=2008, built="2007-11")
    assert _grade(book, tag) is Grade.BOLTS_UP


def _grade(book: Book, tag: str) -> Grade:
    found = ask(book, ME, "rh lower control arm for a 2008 light longwagon", on=TODAY, keep=False)
    return {line.tags[0]: line.grade for line in found.answers}[tag]


def test_the_frame_under_a_body_is_another_vehicle(book: Book, unknown: str) -> None:
    identify(book, ME, unknown, "longwagon light", year=2008)
    identify(book, ME, unknown, "longwagon heavy", group=Group.FRAME, note="leafs in back")
    identities = dict(donor_page(book, unknown).identities)
    assert "heavy" in identities[Group.FRAME]
    assert "light" in identities[Group.BODY]


def test_a_year_the_model_was_not_built_in_is_refused(book: Book, unknown: str) -> None:
    with pytest.raises(BadInput, match="2007 to 2013"):
        identify(book, ME, unknown, "WL2", year=1999)
    with pytest.raises(BadInput, match="built from"):
        identify(book, ME, unknown, "WL2", year=2008, built="2012-01")
