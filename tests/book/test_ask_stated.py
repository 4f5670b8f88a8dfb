"""What is stated beside the words, said as people say it: sides, looks, months, counts and requirements.

Expected answers follow from the rules and the stock of the test yard.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from app.book.asking import ask
from app.book.sheets import load_folder
from app.book.work import Book, Who, open_book
from app.errors import BadInput
from app.fit.answers import Answer

YARD = Path(__file__).parents[1] / "casebook"
TODAY = date(2026, 3, 4)
C1 = Who("C1", seat="counter")


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp("stated") / "yard.book"))
    load_folder(book, C1, YARD)
    yield book
    book.close()


def stated(yard: Book, part: str, vehicle: str, **beside: Any) -> Answer:
    return ask(yard, C1, "", part=part, vehicle=vehicle, on=TODAY, keep=False, **beside)


def listed(found: Answer) -> list[str]:
    return [f"{'+'.join(line.tags)} {line.grade}" for line in found.answers]


def missed(found: Answer) -> list[str]:
    return [f"{'+'.join(line.tags)} {line.grade}" for line in found.not_what_was_asked]


@pytest.mark.parametrize("side", ["LH", "lh", "left", "L", "driver", "Driver's side"])
def test_a_side_is_stated_in_any_word_for_it(yard: Book, side: str) -> None:
    """The one left arm for a heavy is S134 (R10)."""
    assert listed(stated(yard, "front lower control arm", "2009 heavy longwagon", side=side)) == ["S134 bolts_up"]
    by_fact = stated(yard, "front lower control arm", "2009 heavy longwagon", facts={"side": side})
    assert listed(by_fact) == ["S134 bolts_up"]


def test_a_side_that_is_none_is_refused(yard: Book) -> None:
    with pytest.raises(BadInput, match="no side"):
        stated(yard, "hood", "2009 brae", side="up")


@pytest.mark.parametrize(
    ("name", "said", "kept"),
    [
        ("drive", "4wd", "4x4"),
        ("drive", "two-wheel", "2WD"),
        ("transmission", "stick", "manual"),
        ("bed", "short bed", "short"),
        ("window", "Power windows", "power"),
        ("gearbox", "four-speed", "four-speed small case or four-speed big case"),
        ("built", "April 2007", "2007-04"),
        ("built", "04/07", "2007-04"),
        ("plant", "k", "K"),
        ("plant", "not k", "not K"),
        ("Steering_Assist", "Plain", "plain"),
        ("hold down lowest", "7.6 in", "7.6 in"),
    ],
)
def test_a_stated_fact_is_kept_as_the_yard_writes_it(yard: Book, name: str, said: str, kept: str) -> None:
    asked = stated(yard, "radiator", "2007 light tolliver", facts={name: said}).asked
    name = {"Steering_Assist": "steering assist", "hold down lowest": "hold-down lowest"}.get(name, name)
    assert asked.facts[name] == kept


@pytest.mark.parametrize(
    ("name", "said"),
    [("drive", "sideways"), ("transmission", "rear air"), ("built", "stick"), ("plant", "KK"), ("bed", "2009")],
)
def test_what_a_fact_cannot_be_is_refused(yard: Book, name: str, said: str) -> None:
    with pytest.raises(BadInput, match="cannot be"):
        stated(yard, "radiator", "2007 light tolliver", facts={name: said})


@pytest.mark.parametrize(
    "want", ["at least 30 gal", "30+ gal", "30 gal or more", "tank gallons>=30", "tank gallons > 26", "big tank"]
)
def test_a_figure_is_required_in_many_ways(yard: Book, want: str) -> None:
    """R21 for the 38.5 gallons that meet it, R20 for the 26.0 that do not."""
    found = stated(yard, "fuel tank", "2008 light longwagon", wants=[want])
    assert (listed(found), missed(found)) == (["S170 needs_work"], ["S171 bolts_up"])


@pytest.mark.parametrize("want", ["white", "color=White"])
def test_a_look_that_is_required_is_one_of_the_part(yard: Book, want: str) -> None:
    """S121 is white, S123 blue, and of S120 nobody wrote the color down, so that it misses."""
    found = stated(yard, "front door shell", "2010 light longwagon power windows", side="LH", wants=[want])
    assert (listed(found), missed(found)) == (["S121 bolts_up"], ["S123 move_over", "S120 needs_work"])
    assert "color" not in found.asked.facts


def test_brakes_of_a_size_are_required_of_the_part(yard: Book) -> None:
    found = stated(yard, "front rotor", "2008 light longwagon 16 in wheels", wants=["13 inch brakes"])
    assert (listed(found), missed(found)) == (["S241+S243+S244+S245+S246 set"], ["S240 bolts_up"])


@pytest.mark.parametrize("want", ["12 pieces", "twelve pcs", "qty 12", "quantity of 12", "all twelve"])
def test_a_count_is_stated_in_many_ways(yard: Book, want: str) -> None:
    """Ten of A and two of A before twelve of B (R04)."""
    found = stated(yard, "body-mount cushion", "2008 light longwagon", wants=[want])
    assert found.asked.years == ()
    assert listed(found) == ["S111+S112 bolts_up", "S110 bolts_up"]


@pytest.mark.parametrize(
    ("part", "vehicle", "answers"),
    [
        ("engine 6.2 complete", "2008 Brae 4x4 6.2 six-speed", ["S302 bolts_up"]),
        ("short block", "2008 Brae 5.1", ["S325 bolts_up"]),
        ("short block", "2008 Brae, 6.2", ["S325 not_compared"]),
    ],
)
def test_an_engine_that_is_stated_of_a_vehicle_is_its_own(
    yard: Book, part: str, vehicle: str, answers: list[str]
) -> None:
    """A Brae has either engine: its own 6.2, R72 for the 5.1."""
    assert listed(stated(yard, part, vehicle)) == answers
