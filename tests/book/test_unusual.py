"""A look that no vehicle of a model is known to have is believed, and the counter is told that it is unusual."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select, update

from app.book.asking import ask
from app.book.schema import Donor, Part, Role
from app.book.sheets import load_folder
from app.book.work import Book, Who
from app.fit.terms import Grade

YARD = Path(__file__).parents[1] / "casebook"
TODAY = date(2026, 3, 4)
OWNER = Who("OW", Role.OWNER, "office")
C1 = Who("C1", Role.COUNTER, "counter")


@pytest.fixture
def yard(sqlite_book: Book) -> Book:
    load_folder(sqlite_book, OWNER, YARD)
    return sqlite_book


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("steering gear for a 2008 BR2 with plain assist", ["light Brae has steering assist variable, not plain"]),
        ("steering gear for a 2008 BR2 with variable assist", []),
        ("left front hub for a 2009 WL2, square plug", []),
    ],
)
def test_what_the_customer_sees_and_his_model_never_had_is_told(yard: Book, words: str, told: list[str]) -> None:
    """A square plug on a later truck is of its model, and no news; plain assist on a Brae is."""
    found = ask(yard, C1, words, on=TODAY, keep=False)
    assert [chip.value for chip in found.asked.chips if chip.field == "contradiction"] == told
    assert {"steering assist", "hub plug"} & found.asked.facts.keys(), "it is believed all the same"


def test_what_was_seen_on_a_part_and_its_donor_never_had_is_told_beside_the_reasons(yard: Book) -> None:
    """An engine may have been changed before the yard got the truck (1.5.2 of the casebook)."""
    with yard.write(OWNER) as work:
        older = work.session.scalars(select(Donor).where(Donor.stock_number == "D07")).one()
        values = {"donor_id": older.id, "model_id": older.model_id}
        work.session.execute(update(Part).where(Part.tag == "S301").values(values))
        work.note("moved", "S301", "it came off the first-body truck")
    found = ask(yard, C1, "engine 5.1 for a 2008 WL2 built 2008-02", on=TODAY, keep=False)
    reasons = {line.tags[0]: [each for each in line.reasons if each.startswith("unusual")] for line in found.answers}
    assert reasons["S301"] == [
        "unusual: crank flange late flange was seen on it, and no light Tolliver is known with that",
        "unusual: trigger teeth 60 was seen on it, and no light Tolliver is known with that",
    ]
    assert not any(told for tag, told in reasons.items() if tag != "S301")
    assert found.answers[0].tags == ("S301",)
    assert found.answers[0].grade is Grade.BOLTS_UP
