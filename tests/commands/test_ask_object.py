"""The object of `donorbook ask --json` is what its page says: every field there, and no other."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from app.book.asking import ask
from app.book.sheets import load_folder
from app.book.work import Book
from tests.commands.desk import Desk
from tests.support.yard import OWNER

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "examples" / "ask_object.md"
CASEBOOK = ROOT / "tests" / "casebook"
ASKS = (
    ("08 longwagon half ton lca rh",),
    ("big tank 08 light longwagon",),
    ("box for a 2008 light longwagon flibbertigib",),
    ("the Brae doghouse on my 09 light longwagon", "--part", "nose"),
    ("shift motor 2011 longwagon",),
    ("S131 08 light longwagon",),
    ("S131",),
    ("555-0142",),
)
FIELD = re.compile(r"^\| `(\w+)` \|", re.MULTILINE)


@pytest.fixture
def casebook(sqlite_book: Book) -> Desk:
    load_folder(sqlite_book, OWNER, CASEBOOK)
    desk = Desk(sqlite_book.engine.url.database or "")
    desk.says("hold", "S132", "--name", "Ada", "--phone", "555-0142")
    return desk


def documented(heading: str) -> set[str]:
    """The fields in the table under a heading of the page."""
    _, _, rest = PAGE.read_text(encoding="utf-8").partition(f"## {heading}")
    assert rest, f"the page has no heading {heading}"
    return set(FIELD.findall(rest.partition("\n## ")[0]))


def _printed(desk: Desk, words: tuple[str, ...]) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(desk.says("ask", *words, "--on", "2026-03-04", "--json"))
    return found


@pytest.mark.parametrize("words", ASKS, ids=lambda words: words[0][:24])
def test_every_field_is_documented_and_every_documented_field_is_there(casebook: Desk, words: tuple[str, ...]) -> None:
    found = _printed(casebook, words)
    assert set(found) == documented("The object")
    assert set(found["asked"]) == documented("`asked`")
    assert set(found["counted"]) == documented("`counted`")
    for name, rows in (
        ("`questions`", found["questions"]),
        ("`kept`", found["kept"]),
        ("A line of", [*found["answers"], *found["not_what_was_asked"], *found["do_not_sell"]]),
        ("`typed`", [found["typed"]] if found["typed"] else []),
    ):
        assert all(set(row) == documented(name) for row in rows)


def test_money_and_hours_are_numbers(casebook: Desk) -> None:
    line = _printed(casebook, ("big tank 08 light longwagon",))["answers"][0]
    assert line["price"] == 185.0
    assert sum(each["hours"] for each in line["operations"]) == pytest.approx(4.5)


def test_a_held_tag_is_told_of_and_a_phone_finds_it(casebook: Desk) -> None:
    found = _printed(casebook, ("08 longwagon half ton lca rh",))
    assert [row["tag"] for row in found["kept"]] == ["S132"]
    assert "Ada" in found["kept"][0]["words"]
    mine = _printed(casebook, ("555-0142",))
    assert [row["name"] for row in mine["typed"]["rows"]] == ["S132"]


def test_a_name_of_one_word_finds_what_is_held_for_it(casebook: Desk) -> None:
    """A name is no word of the yard's; said with a part it is an ask like any other."""
    found = _printed(casebook, ("Ada",))
    assert [row["name"] for row in found["typed"]["rows"]] == ["S132"]
    assert _printed(casebook, ("Ada", "hood"))["typed"] is None


def test_the_tag_and_its_vehicle_are_one_line(casebook: Desk) -> None:
    found = _printed(casebook, ("S133", "09", "heavy", "longwagon"))
    assert not found["answers"]
    assert found["do_not_sell"][0]["tags"] == ["S133"]
    assert found["typed"]["line"]["grade"] == "wont_fit"


def test_any_fact_that_is_listed_can_be_stated(casebook: Desk, sqlite_book: Book) -> None:
    listed = json.loads(casebook.says("facts", "front hub, 4x4", "--json"))["facts"]
    assert {"hub plug", "built", "plant", "rear suspension", "side"} <= {each["fact"] for each in listed}
    for each in listed:
        value = each["choices"][0] if each["choices"] else {"built": "2007-04", "plant": "K"}.get(each["fact"], "1")
        found = ask(sqlite_book, OWNER, "hub 07 light tolliver", facts={each["fact"]: value}, keep=False)
        told = {**found.asked.facts, "built": found.asked.built, "side": str(found.asked.side)}
        assert told[each["fact"]] == value


def test_the_help_of_ask_points_to_the_page(casebook: Desk) -> None:
    assert PAGE.exists()
    assert f"examples/{PAGE.name}" in casebook.says("ask", "--help")
