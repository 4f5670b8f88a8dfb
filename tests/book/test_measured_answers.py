"""The counter's answers that follow from two measured frames, with every written rule about the parts closed.

The frames are the casebook's light and heavy one; the figures are worked out from its mounts and spans by hand.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select

from app.book.asking import ask
from app.book.office import change_setting, settings
from app.book.ruling import close
from app.book.schema import PartType, Role, Rule, RuleType
from app.book.sheets import load_folder
from app.book.work import Book, Who, open_book
from app.fit.answers import Answer, AnswerLine
from app.fit.rules import RuleKind

TESTS = Path(__file__).parents[1]
OW, TODAY = Who("OW"), date(2026, 3, 4)
PARTS = (
    "body shell, Longwagon", "cab shell, crew cab pickup", "hitch receiver", "fuel tank, behind axle",
    "front lower control arm",
)  # fmt: skip


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp("measured") / "yard.book"))
    load_folder(book, OW, TESTS / "casebook")
    load_folder(book, OW, TESTS / "measured_frames")
    with book.read() as session:
        about = select(Rule.code).join(RuleType, RuleType.rule_id == Rule.id).join(PartType)
        written = session.scalars(about.where(PartType.name.in_(PARTS), Rule.kind != RuleKind.LAW).distinct()).all()
    for code in written:
        close(book, OW, code, "the bench decides")
    yield book
    book.close()


def asked(yard: Book, part: str, vehicle: str) -> Answer:
    return ask(yard, Who("C1", seat="counter"), "", vehicle=vehicle, part=part, on=TODAY, keep=False)


def line(found: Answer, tag: str) -> AnswerLine:
    return next(each for each in (*found.answers, *found.do_not_sell) if each.tags == (tag,))


def test_a_body_on_the_other_frame_says_which_mounts_move_and_how_far(yard: Book) -> None:
    found = line(asked(yard, "body shell", "2009 WH2"), "S180")
    assert (found.grade, found.rules) == ("needs_work", ("by measure",))
    assert "3 of 6 mounts a side line up" in found.say
    # M5: 131.00 - 128.50 = 2.50; M6: 20.00 - 18.75 = 1.25.
    assert "move M5 kick-up 2.50 in forward" in found.say
    assert "M6 tail 1.25 in inboard" in found.say


def test_a_changed_allowance_is_seen_by_the_next_ask(yard: Book) -> None:
    """A sleeve of 1.10 in a hole of 1.125 leaves 0.0125 in: M3, off by 0.05 and 0.06, lines up no more."""
    owner = Who("OW", Role.OWNER, "office")
    before = next(row.value for row in settings(yard) if row.name == "mount_sleeve_in")
    change_setting(yard, owner, "mount_sleeve_in", "1.10")
    assert "3 of 6 mounts a side line up" not in line(asked(yard, "body shell", "2009 WH2"), "S180").say
    change_setting(yard, owner, "mount_sleeve_in", before)
    assert "3 of 6 mounts a side line up" in line(asked(yard, "body shell", "2009 WH2"), "S180").say


def test_a_hitch_between_the_rails_says_its_clearance_a_side(yard: Book) -> None:
    wide = line(asked(yard, "hitch receiver", "2008 WL2"), "S266")
    assert wide.grade == "wont_fit"
    # (36.90 - 36.00) / 2 = 0.45.
    assert "0.45 in a side, shims stop at 0.25" in wide.say
    narrow = line(asked(yard, "hitch receiver", "2009 WH2"), "S267")
    # (36.10 - 36.80) / 2 = -0.35.
    assert (narrow.grade, "0.35 in a side too narrow" in narrow.say) == ("wont_fit", True)


def test_a_tank_is_held_against_the_straps(yard: Book) -> None:
    found = line(asked(yard, "fuel tank, behind axle", "2008 WL2"), "S170")
    assert found.grade == "needs_work"
    assert "22.00 against 19.25 in" in found.say


def test_arms_follow_from_pivots_length_and_socket(yard: Book) -> None:
    longer = line(asked(yard, "front lower control arm", "2008 WL2"), "S131")
    assert longer.grade == "bolts_in"
    assert "1.00 in longer" in longer.say
    bare = line(asked(yard, "front lower control arm", "2009 WH2"), "S130")
    assert (bare.grade, "no torsion-bar socket" in bare.say) == ("wont_fit", True)


def test_the_arithmetic_stands_behind_the_sentence_and_not_in_it(yard: Book) -> None:
    found = line(asked(yard, "hitch receiver", "2008 WL2"), "S266")
    assert "(36.90 - 36.00) / 2 = 0.45" in "; ".join(found.evidence)
    assert "/ 2" not in found.say


@pytest.mark.parametrize(
    ("length", "grade"),
    [("", "not_compared"), ("31 1/2", "measure"), ("31 15/16", "measure"), ("33", "wont_fit")],
    ids=["not measured", "the same by tape", "inside what may be taken up", "an inch and a half off"],
)
def test_a_length_the_customer_measured_is_held_against_ours(yard: Book, length: str, grade: str) -> None:
    """Two tapes are never proven the same; 33.00 - 31.50 = 1.50 is more than anything takes up."""
    facts = {"glass length": length, "glass width": "17"} if length else {}
    found = ask(yard, OW, "", vehicle="2009 OS1", part="sunroof glass", facts=facts, on=TODAY, keep=False)
    assert line(found, "S380").grade == grade
