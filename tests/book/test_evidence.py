"""A written rule, a measurement, a return and a kept sale are all evidence. Invented data."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from app.book.asking import ask
from app.book.behind import behind
from app.book.evidence import chains_waiting, confirm, count_kept, decline, did_not_fit, waiting_sales
from app.book.history import history
from app.book.rulerows import disputes, rule, rules
from app.book.ruling import Proof, close, dispute, settle
from app.book.sales import Basket, Line, drop_ticket, pay_ticket, sell, start_ticket, void_ticket
from app.book.schema import Role
from app.book.sheets import dump_folder, load_folder
from app.book.work import Book, Who
from app.errors import BadInput, NotFound, Refused
from app.fit.answers import Answer, AnswerLine
from app.fit.rules import RuleState
from app.fit.terms import Grade
from tests.support.books import opened
from tests.support.clock import Clock
from tests.support.compared import SAME_SPLINES

YARD = Path(__file__).parents[1] / "casebook"
OWNER = Who("OW", Role.OWNER, "office")
C1 = Who("C1", Role.COUNTER, "counter")
WEDNESDAY = datetime(2026, 3, 4, 15, tzinfo=UTC)


@pytest.fixture
def yard(sqlite_book: Book, clock: Clock) -> Book:
    clock.now = WEDNESDAY
    load_folder(sqlite_book, OWNER, YARD)
    return sqlite_book


@pytest.fixture
def each_yard(book: Book, clock: Clock) -> Book:
    """The same yard, once on each database."""
    clock.now = WEDNESDAY
    load_folder(book, OWNER, YARD)
    return book


def asked(yard: Book, part: str, vehicle: str) -> Answer:
    return ask(yard, C1, "", vehicle=vehicle, part=part, keep=False)


def grade_of(yard: Book, tag: str, part: str, vehicle: str) -> Grade | None:
    found = asked(yard, part, vehicle)
    every = (*found.answers, *found.do_not_sell)
    return next((line.grade for line in every if tag in line.tags), None)


def answer_line(yard: Book, tag: str, part: str, vehicle: str) -> AnswerLine:
    return next(line for line in asked(yard, part, vehicle).answers if tag in line.tags)


def sold(yard: Book, tag: str, part: str, vehicle: str) -> int:
    """Sell a tag on the answer the counter got; the ticket's number."""
    line = answer_line(yard, tag, part, vehicle)
    return sell(yard, C1, Basket([Line(tag, grade=str(line.grade), behind=behind(line))])).number


def test_a_return_that_did_not_fit_disputes_the_rule_it_was_sold_on(yard: Book) -> None:
    ticket = sold(yard, "S102", "steering gear", "2008 WL2")
    back = did_not_fit(yard, C1, "S102", "bolts are 3.75 apart on his")
    assert (back.ticket, back.rules) == (ticket, ("R01",))
    assert [row.code for row in disputes(yard).rows] == ["R01", "R77"]
    line = answer_line(yard, "S101", "steering gear", "2009 WH2")
    assert line.grade is Grade.MEASURE
    assert any("S102 came back" in words for words in rule(yard, "R01").evidence)


def test_one_return_counts_once_and_only_what_was_sold_comes_back(yard: Book) -> None:
    sold(yard, "S102", "steering gear", "2008 WL2")
    did_not_fit(yard, C1, "S102", "did not fit")
    with pytest.raises(Refused, match="returned before"):
        did_not_fit(yard, C1, "S102", "did not fit")
    with pytest.raises(NotFound, match="never sold"):
        did_not_fit(yard, C1, "S101", "did not fit")
    assert sum("came back" in words for words in rule(yard, "R01").evidence) == 1


def test_a_part_that_is_not_what_its_tag_says_leaves_the_rule_alone(yard: Book) -> None:
    """A hub changed before the yard bought the truck says nothing about hubs."""
    sold(yard, "S190", "front hub", "2007 PL2 built 2007-03")
    back = did_not_fit(yard, C1, "S190", "it has an oval plug after all", part_at_fault=True)
    assert back.rules == ()
    assert rule(yard, "R25").row.state is RuleState.OPEN
    assert "look at it again" in history(yard, subject=f"ticket {back.ticket}", action="did not fit")[0].words


def test_a_sale_that_did_not_say_for_what_needs_the_vehicle(yard: Book) -> None:
    sell(yard, C1, Basket([Line("S102")]))
    with pytest.raises(BadInput, match="which vehicle"):
        did_not_fit(yard, C1, "S102", "did not fit")
    line = answer_line(yard, "S101", "steering gear", "2008 WL2")
    assert did_not_fit(yard, C1, "S102", "did not fit", sold_on=behind(line)).rules == ("R01",)


def test_a_draft_keeps_what_its_lines_stood_on_until_it_is_paid(yard: Book) -> None:
    line = answer_line(yard, "S102", "steering gear", "2008 WL2")
    draft = start_ticket(yard, C1, Basket([Line("S102", behind=behind(line))]))
    pay_ticket(yard, C1, draft.number, "cash")
    assert did_not_fit(yard, C1, "S102", "did not fit").rules == ("R01",)
    other = start_ticket(yard, C1, Basket([Line("S101", behind=behind(line))]))
    drop_ticket(yard, C1, other.number)
    with pytest.raises(NotFound, match="never sold"):
        did_not_fit(yard, C1, "S101", "did not fit")


def test_a_measurement_settles_a_dispute_and_the_rule_speaks_again(yard: Book) -> None:
    """The first-body tailgate of the casebook: three kept, one came back."""
    assert rule(yard, "R77").row.tally == "3 kept, 1 came back (75 % kept)"
    assert grade_of(yard, "S333", "tailgate", "2009 PL2") is Grade.MEASURE
    done = settle(yard, C1, "R77", Proof(measured="cups 60.25 and 60.50, bushings take 0.25", tool="hook tape"))
    assert done.state is RuleState.OPEN
    assert grade_of(yard, "S333", "tailgate", "2009 PL2") is Grade.BOLTS_UP
    assert any("cups 60.25" in words for words in rule(yard, "R77").evidence)


def test_a_measurement_that_says_no_closes_the_rule_and_writes_the_measured_one(yard: Book) -> None:
    done = settle(yard, C1, "r77", Proof(measured="0.25 off, the pins bind"), says=Grade.WONT_FIT)
    assert (done.state, done.successor) == (RuleState.CLOSED, "R77.2")
    assert grade_of(yard, "S333", "tailgate", "2009 PL2") is Grade.WONT_FIT
    closed = rule(yard, "R77").row
    assert closed.state is RuleState.CLOSED
    assert "the pins bind" in closed.state_reason
    assert closed.state_on == WEDNESDAY.date()


def test_a_why_alone_clears_the_return_and_proves_nothing(yard: Book) -> None:
    """The customer had the wrong truck: the rule stands as it stood."""
    settle(yard, C1, "R77", Proof(why="his is a first body"))
    assert rule(yard, "R77").row.tally == "3 kept, 0 came back"
    assert any("explained: his is a first body" in words for words in rule(yard, "R77").evidence)
    with pytest.raises(BadInput, match="neither"):
        settle(yard, C1, "R77", Proof(why="  "))
    with pytest.raises(BadInput, match="needs a measurement"):
        settle(yard, C1, "R77", Proof(why="somebody said so"), says=Grade.WONT_FIT)


def test_counted_pins_close_the_rule_that_lost(each_yard: Book) -> None:
    """The shift motor of the casebook: a general measured rule against a specific hearsay."""
    yard = each_yard
    assert grade_of(yard, "S328", "transfer case shift motor", "2011 WL2 built 2011-02") is Grade.MEASURE
    done = settle(yard, C1, "R73", Proof(measured="7 pins on ours, 7 on his", donors=["D06"]), over="R74")
    assert done.closed == "R74"
    assert rule(yard, "R74").row.state is RuleState.CLOSED
    assert grade_of(yard, "S328", "transfer case shift motor", "2011 WL2 built 2011-02") is Grade.BOLTS_UP
    assert any("7 pins on ours" in words and "D06" in words for words in rule(yard, "R73").evidence)


def test_only_the_owner_closes_and_always_with_a_reason(yard: Book) -> None:
    with pytest.raises(Refused, match="may not"):
        close(yard, C1, "R77", "enough of it")
    with pytest.raises(BadInput, match="reason"):
        close(yard, OWNER, "R77", " ")
    close(yard, OWNER, "R77", "tape says 0.25 off")
    assert grade_of(yard, "S333", "tailgate", "2009 PL2") is Grade.NOT_COMPARED
    with pytest.raises(Refused, match="was closed on 2026-03-04"):
        close(yard, OWNER, "R77", "again")
    with pytest.raises(Refused, match="closed"):
        dispute(yard, C1, "R77", "still")


def test_yard_law_is_not_for_the_counter_to_doubt(yard: Book) -> None:
    with pytest.raises(Refused, match="law"):
        dispute(yard, C1, "R33", "it looked fine")
    with pytest.raises(NotFound, match="no rule"):
        dispute(yard, C1, "R9999", "it looked fine")


def test_every_decision_leaves_its_line_in_the_history(yard: Book) -> None:
    dispute(yard, C1, "R01", "one came back")
    settle(yard, C1, "R01", Proof(measured="3.60 by 2.90 on both"))
    close(yard, OWNER, "R01", "superseded")
    told = [(row.action, row.by) for row in history(yard, subject="R01")]
    assert told == [("close rule", "OW"), ("settle rule", "C1"), ("dispute rule", "C1")]
    assert [row.action for row in rule(yard, "R01").history] == ["close rule", "settle rule", "dispute rule"]


def test_a_sale_kept_past_its_return_days_is_evidence_once(each_yard: Book, clock: Clock) -> None:
    yard = each_yard
    sold(yard, "S102", "steering gear", "2008 WL2")
    before = rule(yard, "R01").row.tally
    assert count_kept(yard, OWNER).lines == 0
    clock.forward(days=31)
    assert waiting_sales(yard) == 1
    found = count_kept(yard, OWNER)
    assert found.by_rule == (("R01", 1),)
    assert (before, rule(yard, "R01").row.tally) == ("9 kept, 0 came back", "10 kept, 0 came back")
    assert count_kept(yard, OWNER).lines == 0
    assert waiting_sales(yard) == 0


def test_what_came_back_or_was_voided_is_not_kept(yard: Book, clock: Clock) -> None:
    sold(yard, "S102", "steering gear", "2008 WL2")
    number = sold(yard, "S101", "steering gear", "2009 WH2")
    void_ticket(yard, C1, number, "came back within the hour")
    did_not_fit(yard, C1, "S102", "did not fit")
    clock.forward(days=31)
    assert count_kept(yard, OWNER).by_rule == ()


def test_a_told_rule_that_was_sold_and_kept_is_proven(yard: Book, clock: Clock) -> None:
    """Then it stands against hearsay of the same weight as a measured one does."""
    settle(yard, OWNER, "R74", Proof(why="a caller said so"))
    sold(yard, "S328", "transfer case shift motor", "2009 WL2 built 2009-02")
    clock.forward(days=31)
    assert count_kept(yard, OWNER).by_rule == (("R73", 1),)
    assert "1 kept" in rule(yard, "R73").row.tally


def test_a_chain_that_was_kept_becomes_a_rule_when_somebody_confirms_it(each_yard: Book, clock: Clock) -> None:
    """The Harrow's blower in a Tansy, by way of the Osier."""
    yard = each_yard
    sold(yard, "S330", "blower motor", "2007 TA1")
    assert chains_waiting(yard) == ()
    clock.forward(days=31)
    assert count_kept(yard, OWNER).by_chain == 1
    (row,) = chains_waiting(yard)
    assert row.pairing.words == "blower motor of HA1 on TA1"
    assert row.chain == ("R79 back", "R78 back")
    made = confirm(yard, C1, row.number)
    written = rule(yard, made.code)
    assert written.row.grade is Grade.BOLTS_UP
    assert any("sold and kept" in words for words in written.evidence)
    assert chains_waiting(yard) == ()
    with pytest.raises(NotFound, match="no chain"):
        confirm(yard, C1, row.number)


def test_the_confirmed_chain_answers_as_a_direct_rule(yard: Book, clock: Clock) -> None:
    number = sold(yard, "S330", "blower motor", "2007 TA1")
    clock.forward(days=31)
    count_kept(yard, OWNER)
    code = confirm(yard, C1, chains_waiting(yard)[0].number).code
    void_ticket(yard, OWNER, number, "to ask for it again")
    line = answer_line(yard, "S330", "blower motor", "2007 TA1")
    assert (line.grade, line.rules, line.chain) == (Grade.BOLTS_UP, (code,), ())


@pytest.fixture
def shafts(yard: Book, tmp_path: Path) -> Book:
    folder = tmp_path / "shafts"
    folder.mkdir()
    for name, words in SAME_SPLINES.items():
        (folder / f"{name}.csv").write_text(words)
    load_folder(yard, OWNER, folder)
    return yard


def test_a_chain_over_the_same_splines_is_not_confirmed_for_any_splines(shafts: Book, clock: Clock) -> None:
    """Part and customer's vehicle need not have the same; only the one between must have the part's."""
    sold(shafts, "S255", "rear axle shaft", "2006 TA1")
    clock.forward(days=31)
    count_kept(shafts, OWNER)
    (row,) = chains_waiting(shafts)
    with pytest.raises(Refused, match="X1, a link of it, holds the axle splines of its two ends"):
        confirm(shafts, C1, row.number)
    assert chains_waiting(shafts) == (row,)
    decline(shafts, OWNER, row.number, "good for 30 splines only")


def test_a_chain_over_the_same_splines_that_failed_is_doubted_whatever_they_are(shafts: Book) -> None:
    number = sold(shafts, "S255", "rear axle shaft", "2006 TA1")
    (code,) = did_not_fit(shafts, C1, "S255", "the flange fouls").rules
    void_ticket(shafts, OWNER, number, "back on the shelf")
    assert grade_of(shafts, "S255", "rear axle shaft", "2006 TA1") is Grade.MEASURE
    assert rule(shafts, code).row.state is RuleState.DISPUTED


def test_a_chain_may_stay_a_chain(yard: Book, clock: Clock) -> None:
    sold(yard, "S330", "blower motor", "2007 TA1")
    clock.forward(days=31)
    count_kept(yard, OWNER)
    number = chains_waiting(yard)[0].number
    with pytest.raises(BadInput, match="reason"):
        decline(yard, OWNER, number, "")
    decline(yard, OWNER, number, "one sale is not enough")
    assert chains_waiting(yard) == ()


def test_a_chain_that_failed_is_doubted_and_its_links_are_not(yard: Book) -> None:
    number = sold(yard, "S330", "blower motor", "2007 TA1")
    (code,) = did_not_fit(yard, C1, "S330", "the wheel rubs").rules
    assert rule(yard, code).row.state is RuleState.DISPUTED
    assert {rule(yard, link).row.state for link in ("R78", "R79")} == {RuleState.OPEN}
    void_ticket(yard, OWNER, number, "back on the shelf")
    assert grade_of(yard, "S330", "blower motor", "2007 TA1") is Grade.MEASURE
    assert grade_of(yard, "S330", "blower motor", "2008 OS1") is Grade.BOLTS_UP


def test_a_pair_never_compared_that_came_back_is_a_no_from_then_on(yard: Book) -> None:
    """Unknown is not no; but once it was tried and came back, it is."""
    number = sold(yard, "S380", "sunroof glass", "2009 OS1")
    (code,) = did_not_fit(yard, C1, "S380", "half an inch too wide").rules
    void_ticket(yard, OWNER, number, "back on the shelf")
    assert grade_of(yard, "S380", "sunroof glass", "2009 OS1") is Grade.WONT_FIT
    assert "half an inch too wide" in rule(yard, code).row.why


def test_rules_are_listed_by_part_state_and_words(yard: Book) -> None:
    assert {row.code for row in rules(yard, part="tailgate").rows} == {"R77", "R100"}
    assert [row.code for row in rules(yard, like="hinge 60.50").rows] == ["R100"]
    page = rules(yard, limit=5)
    assert len(page.rows) == 5
    assert page.in_all == 110
    assert "part: model is PL1" in rule(yard, "R77").conditions


def test_what_was_decided_survives_a_dump_and_a_load(
    yard: Book, clock: Clock, tmp_path: Path, empty_address: str
) -> None:
    """Kept chains, counted sales and disputes travel with the folder."""
    sold(yard, "S330", "blower motor", "2007 TA1")
    clock.forward(days=31)
    count_kept(yard, OWNER)
    dump_folder(yard, tmp_path / "out")
    with opened(empty_address, clock) as other:
        load_folder(other, OWNER, tmp_path / "out")
        assert [row.words for row in chains_waiting(other)] == [row.words for row in chains_waiting(yard)]
        assert waiting_sales(other) == 0
