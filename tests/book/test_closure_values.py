"""Chains over rules that ask the same value on part and vehicle, in a yard as it is loaded, asked and changed."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select

from app.book.asking import ask
from app.book.bearing import bearing
from app.book.knowing import knowing
from app.book.reach.closure import read_catalog, rebuild, renew
from app.book.reach.linknumbers import OF_RULE, RUNS, link_number, rule_of
from app.book.schema import Rule
from app.book.sheets import load_folder
from app.book.work import Book, Who
from app.fit.links.linkways import MOST_WAYS
from tests.book.test_closure import rows
from tests.support.compared import SAME_SPLINES

YARD = Path(__file__).parents[1] / "casebook"
OW, TODAY = Who("OW"), date(2026, 3, 4)
SHAFT = "S255"
"""A rear axle shaft of 30 splines."""


def load(book: Book, folder: Path, **sheets: str) -> None:
    folder.mkdir()
    for name, words in sheets.items():
        (folder / f"{name}.csv").write_text(words)
    load_folder(book, OW, folder)


def comes_with(*splines: str) -> str:
    listed = "".join(f"HA1,{90 + at},axle splines,{each}\n" for at, each in enumerate(splines))
    return f"model,number,fact,value\n{listed}"


def grade(book: Book) -> str:
    found = ask(book, OW, "rear axle shaft rh 2006 tansy", on=TODAY, keep=False)
    given = {str(line.grade) for line in (*found.answers, *found.do_not_sell) if SHAFT in line.tags}
    return given.pop() if given else ""


@pytest.fixture
def yard(book: Book, tmp_path: Path) -> Book:
    load_folder(book, OW, YARD)
    load(book, tmp_path / "rules", **SAME_SPLINES)
    return book


def test_a_shaft_goes_by_way_of_a_vehicle_with_its_splines_as_far_as_models_and_lists_say(
    yard: Book, tmp_path: Path
) -> None:
    """Whatever becomes of the model between or of the list of values, the next ask goes by it."""
    assert grade(yard) == "bolts_up"
    load(yard, tmp_path / "heavy", model_facts=comes_with("33"))
    assert grade(yard) == ""
    for at, choices in enumerate(("33; 30", "33", "27; 30; 33")):
        load(yard, tmp_path / f"list{at}", facts=f"name,kind,group,choices\naxle splines,count,frame,{choices}\n")
        assert grade(yard) == ""
    load(yard, tmp_path / "light", model_facts=comes_with("33", "30"))
    assert grade(yard) == "bolts_up"
    load(yard, tmp_path / "open", facts="name,kind,group,choices\naxle splines,count,frame,\n")
    assert grade(yard) == ""


def test_a_rule_that_is_taken_away_and_put_back_has_a_link_for_each_value_again(yard: Book) -> None:
    with yard.engine.begin() as connection:
        whole, catalog = rows(connection), read_catalog(connection)
        changed = connection.scalars(select(Rule.id).where(Rule.code.in_(("X1", "X2")))).all()
        for each in changed:
            renew(connection, catalog, [each])
            assert rows(connection) == whole
        rebuild(connection)
        assert rows(connection) == whole


def test_links_read_for_an_ask_are_those_whose_meetings_are_kept(yard: Book) -> None:
    with yard.read() as session:
        known, connection = knowing(session), session.connection()
        found = bearing(connection, known, ["rear axle shaft"], ["TA1"])
    ways = {link: step.link for link, step in found.graph.steps.items() if step.link.rule.code == "X1"}
    assert [(link.back, link.way) for link in ways.values()] == [(False, 0), (False, 1)]
    assert {link.conditions[-1].values for link in ways.values()} == {("30",), ("33",)}
    assert sorted(found.graph.after) == sorted(ways)


def test_no_two_links_have_one_number_and_each_tells_its_rule() -> None:
    rules = (1, 2, 7, 8_000_000)
    every = [
        (link_number(rule_id, back, way), rule_id)
        for rule_id in rules
        for way in range(MOST_WAYS)
        for back in (False, True)
    ]
    assert len({number for number, _ in every}) == len(every)
    assert all(rule_of(number) == rule_id for number, rule_id in every)
    own = [link_number(rule_id, False, 0) + first + at for rule_id in rules for first in RUNS for at in range(OF_RULE)]
    assert sorted(number for number, _ in every) == sorted(own)
