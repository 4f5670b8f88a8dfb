"""The objects of facts, why, fits, takes and set show are what their page says: every field there, and no other."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from tests.commands.desk import Desk
from tests.support.books import copy_file

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "examples" / "answer_objects.md"
LINES = ROOT / "examples" / "ask_object.md"
FIELD = re.compile(r"^\| `(\w+)` \|", re.MULTILINE)
YARDS = {
    "casebook": ("S131", "08 longwagon light", "hood"),
    "fifth_yard": ("G43", "2015 VN1", "sliding door"),
    "sixth_yard": ("K136", "2010 HE1", "starter"),
}
"""Of each yard a tag, a vehicle and a part."""


@pytest.fixture(scope="module", params=YARDS)
def desk(request: pytest.FixtureRequest, sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Desk:
    """A desk over one of the yards."""
    found = Desk(str(copy_file(sqlite_template, tmp_path_factory.mktemp(request.param) / f"{request.param}.book")))
    found.says("load", str(ROOT / "tests" / request.param))
    return found


@pytest.fixture
def yard(desk: Desk) -> tuple[str, str, str]:
    return YARDS[Path(desk.address).stem]


def documented(heading: str, page: Path = PAGE) -> set[str]:
    """The fields in the table under a heading of the page."""
    _, _, rest = page.read_text(encoding="utf-8").partition(f"## {heading}\n")
    assert rest, f"the page has no heading {heading}"
    return set(FIELD.findall(rest.partition("\n## ")[0]))


def of_a_line() -> set[str]:
    return documented("A line of `answers`, `not_what_was_asked`, `do_not_sell`", LINES)


def assert_documented(rows: list[dict[str, Any]], fields: set[str]) -> None:
    assert rows
    assert all(set(row) == fields for row in rows), set(rows[0]) ^ fields


def test_the_facts_of_a_part(desk: Desk, yard: tuple[str, str, str]) -> None:
    found = desk.record("facts", yard[2])
    assert_documented([found], documented("`facts`"))
    assert_documented(found["facts"], documented("A fact of `facts`"))


def test_a_tag_on_a_vehicle(desk: Desk, yard: tuple[str, str, str]) -> None:
    tag, vehicle, _ = yard
    on = ("--vehicle", vehicle, "--on", "2026-08-12")
    found = desk.record("why", tag, *on)
    assert_documented([found], of_a_line() | documented("`why`"))
    assert desk.record("set", "show", tag, *on) == found


def test_what_a_tag_fits(desk: Desk, yard: tuple[str, str, str]) -> None:
    found = desk.record("fits", yard[0])
    assert_documented([found], documented("`fits`"))
    assert_documented(found["fits"], of_a_line() | documented("A row of `fits`"))
    assert_documented(found["groups"], documented("A group of `fits`"))
    assert_documented([found["counted"]], documented("`counted` of `fits`"))
    by_group = {"came_off" if each["came_off"] else each["grade"]: each["models"] for each in found["groups"]}
    assert found["counted"]["by_grade"] == by_group


def test_what_it_takes(desk: Desk, yard: tuple[str, str, str]) -> None:
    _, vehicle, part = yard
    found = desk.record("takes", part, "--vehicle", vehicle)
    assert_documented([found], documented("`takes`"))
    assert_documented(found["readings"], documented("A reading of `takes`"))
    assert_documented([plan for row in found["readings"] for plan in row["plans"]], documented("A plan of `takes`"))
