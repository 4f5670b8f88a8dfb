"""The check of the yard's rules over a book: what the casebook's own rules give, and what breaking one adds."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import select, update

from app.book.rulefindings import check_rules
from app.book.schema import Rule, RuleCondition
from app.book.sheets import load_folder
from app.book.work import Book, Who, Work
from app.errors import BadInput
from app.fit.rulechecks.rulefaults import Fault

YARD = Path(__file__).parents[1] / "casebook"
OWNER = Who("OW")


@pytest.fixture
def yard(book: Book) -> Book:
    load_folder(book, OWNER, YARD)
    return book


def test_the_casebooks_own_rules_give_only_what_can_be_explained(yard: Book) -> None:
    """Two measured rules about hubs meet on the twin, what a caller said of a plug goes against what was compared.

    And twelve one-way rules were never compared the other way.
    """
    found = check_rules(yard)
    assert found.rules == 110
    assert dict(found.counts) == {Fault.CONTRADICTION: 2, Fault.ONE_WAY: 12}
    hubs, plugs = (each for each in found.findings if each.kind is Fault.CONTRADICTION)
    assert (hubs.code, hubs.other) == ("R27", "R110")
    assert "BR2" in hubs.example
    assert (plugs.code, plugs.other) == ("R73", "R74")
    assert '"measure first" stands' in plugs.words


def test_a_rule_that_no_vehicle_could_meet_the_other_way_round_does_not_count_as_compared(yard: Book) -> None:
    """The heavy tank on a light wagon: the light one on a heavy is in no rule, for tanks on the side are another thing.

    So with the long tank under a short bed, and with engines of an early flange or thirty teeth.
    """
    one_way = {each.code for each in check_rules(yard, kinds=[Fault.ONE_WAY]).findings}
    assert {"R21", "R49", "R63", "R65"} <= one_way
    assert one_way - {"R21", "R49", "R63", "R65"} == {"R02", "R37", "R41", "R43", "R54", "R64", "R85", "R108"}


def test_a_name_of_nothing_is_a_dead_reference(yard: Book) -> None:
    with yard.unrecorded(OWNER) as work:
        first = update(RuleCondition).where(RuleCondition.fact == "hub plug", RuleCondition.rule_id == _id(work, "R25"))
        work.session.execute(first.values(fact="hub plugs"))
        model = update(RuleCondition).where(RuleCondition.fact == "model", RuleCondition.rule_id == _id(work, "R77"))
        work.session.execute(model.values(values=["PL9"]))
    found = check_rules(yard, kinds=[Fault.DEAD])
    assert {each.code for each in found.findings} == {"R25", "R77"}
    assert any("hub plugs" in each.words for each in found.findings)
    assert any("PL9" in each.words for each in found.findings)
    assert all(each.place.startswith("condition") and each.remedy for each in found.findings)


def _id(work: Work, code: str) -> int:
    return work.session.scalars(select(Rule.id).where(Rule.code == code)).one()


def test_a_part_type_of_nothing_in_a_condition_is_a_dead_reference(yard: Book) -> None:
    with yard.unrecorded(OWNER) as work:
        spoiled = update(RuleCondition).where(RuleCondition.number == 1, RuleCondition.rule_id == _id(work, "R77"))
        work.session.execute(spoiled.values(fact="part type", values=["tailgate", "tailgait"]))
    (found,) = check_rules(yard, kinds=[Fault.DEAD]).findings
    assert (found.code, found.place) == ("R77", "condition 1")
    assert "'tailgait'" in found.words


def test_a_page_is_honest_about_how_many_there_are(yard: Book) -> None:
    found = check_rules(yard, kinds=[Fault.ONE_WAY], limit=3)
    assert len(found.findings) == 3
    assert found.in_all == 12


def test_a_kind_that_is_none_is_refused_and_nothing_is_changed_by_looking(yard: Book) -> None:
    with pytest.raises(BadInput, match="no kind of finding"):
        check_rules(yard, kinds=["nonsense"])
    assert check_rules(yard) == check_rules(yard)
