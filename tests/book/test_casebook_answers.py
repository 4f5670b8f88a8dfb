"""Counter questions over the casebook yard: the right tags in the right order with the right grades.

The questions and their answers are invented data kept beside the checkout; where they are not there, the
checks that hold for any question over this yard run alone.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from app.book.asking import ask
from app.book.sheets import load_folder
from app.book.work import Book, Who, open_book
from app.fit.answers import Answer, AnswerLine
from app.fit.terms import Grade

YARD = Path(__file__).parents[1] / "casebook"
CASES = Path(__file__).parents[3] / "shared" / "casebook" / "cases.json"
TODAY = date(2026, 3, 4)
C1 = Who("C1", seat="counter")
PARTS = {
    "C01": "steering gear", "C03": "front door shell", "C04": "front lower control arm",
    "C05": "front lower control arm", "C07": "torsion bar", "C09": "fuel tank, behind axle",
    "C10": "body shell", "C13": "frame rear section", "C15": "frame rear section", "C16": "front hub",
    "C17": "front hub", "C19": "fuel pump module", "C21": "radiator", "C23": "rear air unit",
    "C25": "front rotor", "C27": "rear axle assembly", "C29": "fuel tank", "C31": "transfer case",
    "C33": "front half-shaft", "C35": "alternator", "C37": "engine complete", "C38": "engine computer",
    "C39": "gearbox", "C41": "transfer case shift motor", "C43": "tailgate", "C45": "rear driveshaft",
    "C47": "rear driveshaft", "C49": "driveshaft joint", "C51": "battery", "C52": "front bucket seat",
    "C53": "pickup bed", "C55": "high-voltage pack", "C56": "sunroof glass", "C57": "nose",
    "C59": "instrument cluster",
}  # fmt: skip
VEHICLES = ("2008 WL2 built 2008-02", "2009 WH2", "2007 PL2", "2011 PH2", "2008 BR2", "2007 TA1")
WANTS = {"C09": ["at least 30 gal"], "C25": ["brake size=13.0 in"], "C27": ["today"]}
FACTS = {"C49": {"joint cap to cap": "3 5/8"}}


def cases() -> list[Any]:
    """The questions beside the checkout that the counter's engine answers (a bare frame comparison is the bench's)."""
    if not CASES.exists():
        return []
    every = json.loads(CASES.read_text(encoding="utf-8"))
    return [pytest.param(case, id=case["id"]) for case in every if case["id"] in PARTS]


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp("casebook") / "yard.book"))
    load_folder(book, C1, YARD)
    yield book
    book.close()


def answered(yard: Book, case: dict[str, Any]) -> Answer:
    name = case["id"]
    vehicle = case["target"].split(";")[0]
    return ask(
        yard,
        C1,
        "",
        vehicle=vehicle,
        part=PARTS[name],
        wants=WANTS.get(name, []),
        facts=FACTS.get(name, {}),
        on=TODAY,
        keep=False,
    )


def listed(lines: tuple[AnswerLine, ...]) -> list[tuple[list[str], str]]:
    return [(list(line.tags), str(line.grade)) for line in lines]


def expected(lines: list[dict[str, Any]]) -> list[tuple[list[str], str]]:
    return [(line["tags"], line["grade"]) for line in lines]


@pytest.mark.parametrize("case", cases())
def test_a_counter_question_has_its_answer(yard: Book, case: dict[str, Any]) -> None:
    found = answered(yard, case)
    assert listed(found.answers) == expected(case["answers"])
    assert listed(found.not_what_was_asked) == expected(case["not_what_was_asked"])
    not_sold = {tag for line in found.do_not_sell for tag in line.tags}
    assert not_sold == {tag for line in case["not_offered"] for tag in line["tags"]}


@pytest.mark.parametrize("part", sorted(set(PARTS.values())))
@pytest.mark.parametrize(
    "vehicle", ["2008 WL2 built 2008-02", "2009 WH2", "2007 PL2", "2011 PH2", "2008 BR2", "2007 TA1"]
)
def test_every_list_is_sorted_and_clean(yard: Book, part: str, vehicle: str) -> None:
    """What holds for any question: sorted by grade, no "won't fit" in the list, each tag in one answer as its main."""
    found = ask(yard, C1, "", vehicle=vehicle, part=part, on=TODAY, keep=False)
    ranks = [line.grade.rank for line in found.answers]
    assert ranks == sorted(ranks)
    assert all(line.grade is not Grade.WONT_FIT for line in found.answers)
    assert all(line.grade is Grade.WONT_FIT for line in found.do_not_sell)
    shown = [line.tags for line in found.answers]
    assert len(shown) == len(set(shown))
    for line in (*found.answers, *found.do_not_sell):
        assert line.say
        assert line.reasons
        if line.grade is Grade.SET:
            assert len(line.tags) > 1 or line.companions


def test_one_way_rules_do_not_turn_round(yard: Book) -> None:
    """The heavy arm bolts in on the light truck; the light arm never goes on the heavy one."""
    light = ask(yard, C1, "rh lower arm", vehicle="2008 WL2", on=TODAY, keep=False)
    heavy = ask(yard, C1, "lh lower arm", vehicle="2009 WH2", on=TODAY, keep=False)
    assert [str(line.grade) for line in light.answers] == ["bolts_up", "bolts_up", "bolts_in"]
    assert {line.tags for line in heavy.do_not_sell} == {("S133",)}


def test_words_in_any_order_give_the_same_answer(yard: Book) -> None:
    lines = (
        "08 longwagon half ton lca rh",
        "rh lca half-ton longwagn '08",
        "passenger lower control arm 2008 light longwagon",
    )
    found = [ask(yard, C1, words, on=TODAY, keep=False) for words in lines]
    assert listed(found[0].answers) == listed(found[1].answers) == listed(found[2].answers)
    assert listed(found[0].answers)[0] == (["S130"], "bolts_up")


def test_what_is_not_understood_is_shown(yard: Book) -> None:
    found = ask(yard, C1, "08 longwagon flibbertigib lca rh", on=TODAY, keep=False)
    assert found.asked.not_understood == ("flibbertigib",)


def test_an_ambiguous_word_is_asked_back(yard: Book) -> None:
    found = ask(yard, C1, "box for a 2008 light longwagon", on=TODAY, keep=False)
    assert found.answers == ()
    assert "steering gear" in found.questions[0].choices
    picked = ask(yard, C1, "box for a 2008 light longwagon", part="steering gear", on=TODAY, keep=False)
    assert picked.answers


def test_a_chain_of_two_proven_links_is_said_to_be_one(yard: Book) -> None:
    """The blower of a Harrow bolts up in an Osier, that of an Osier in a Tansy: two links, nothing direct."""
    found = ask(yard, C1, "blower", vehicle="2007 TA1", on=TODAY, keep=False)
    assert listed(found.answers) == [(["S330"], "bolts_up")]
    assert any("by chain, 2 links" in reason for reason in found.answers[0].reasons)
    direct = ask(yard, C1, "blower", vehicle="2008 OS1", on=TODAY, keep=False)
    assert direct.answers[0].rules == ("R79",)


def test_lots_make_the_wanted_count_exactly(yard: Book) -> None:
    """Twelve cushions: the set of twelve, or ten and two; each lot in one answer."""
    found = ask(yard, C1, "all twelve body mounts", vehicle="2008 WL2", on=TODAY, keep=False)
    groups = [set(line.tags) for line in found.answers]
    assert groups == [{"S111", "S112"}, {"S110"}]
    assert found.answers[0].price_cents == 18_000
    eleven = ask(yard, C1, "all 11 body mounts", vehicle="2008 WL2", on=TODAY, keep=False)
    assert set(eleven.answers[0].tags) in ({"S110"}, {"S111", "S112"})


def test_a_piece_gone_takes_its_price_off_the_lump(yard: Book) -> None:
    found = ask(yard, C1, "half-cut", vehicle="2007 TA1", on=TODAY, keep=False)
    assert listed(found.answers) == [(["S399"], "set")]
    assert found.answers[0].price_cents == 65_000
