"""Selling by command: what a rule wants on the ticket, and what a sale would break, come before the money.

The casebook's yard, loaded as a folder. Invented data.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.commands.desk import Desk
from tests.support.books import copy_file

CASEBOOK = Path(__file__).parents[1] / "casebook"
CLUSTER = ("sell", "S395", "--vehicle", "08 longwagon light")


@pytest.fixture
def desk(sqlite_template: Path, tmp_path: Path) -> Desk:
    """A desk of the casebook's yard."""
    made = Desk(str(copy_file(sqlite_template, tmp_path / "case.book")))
    made.says("load", str(CASEBOOK))
    return made


def standing(desk: Desk, tag: str) -> str:
    return str(desk.record("part", tag)["standing"])


def test_both_readings_stand_on_the_ticket_of_a_cluster(desk: Desk) -> None:
    """C59 of the casebook: 118,400 on ours, 161,200 on the customer's."""
    refused = desk.refusal(*CLUSTER)
    assert refused["place"] == "mileage shown"
    assert "What does yours read?" in refused["remedy"]
    assert standing(desk, "S395") == "free"
    said = desk.record(*CLUSTER, "--write", "mileage shown=161,200")["ticket"]["lines"][0]["said"]
    assert said == "mileage shown: ours 118,400 mi, the customer's 161,200 mi"


def test_what_was_told_of_the_vehicle_is_not_asked_for_again(desk: Desk) -> None:
    said = desk.record(*CLUSTER, "--fact", "mileage shown=161,200")["ticket"]["lines"][0]["said"]
    assert "the customer's 161,200 mi" in said


def test_what_no_rule_wants_on_the_ticket_is_not_dropped_in_silence(desk: Desk) -> None:
    assert "no rule wants 'fitter' on this ticket" in desk.line(*CLUSTER, "--write", "fitter=B. Oak")
    assert "Say for which vehicle" in desk.line("sell", "S395", "--write", "mileage shown=161,200")


def test_a_piece_of_a_set_is_sold_alone_only_by_saying_so(desk: Desk) -> None:
    """C38 of the casebook: the lock without its computer and theft module (R66)."""
    refused = desk.refusal("sell", "S312")
    assert "S312 makes a set with S310 + S311 (R66): sold alone, it spoils that set" in refused["title"]
    assert standing(desk, "S312") == "free"
    sold = desk.record("sell", "S312", "--spoil")
    assert sold["warnings"] == ["S312 makes a set with S310 + S311 (R66): sold alone, it spoils that set"]
    assert standing(desk, "S312") == "sold"


def test_a_quote_is_not_sold_out_of_another_customers_quote_unseen(desk: Desk) -> None:
    lock, box = "S312", "S310"
    first = desk.record("set", "quote", lock, box, "S311", "--name", "R. Ash")["quote"]["number"]
    desk.says("set", "quote", lock, "S130", "--name", "B. Oak")
    assert "for B. Oak falls short without S312" in desk.refusal("set", "sell", str(first))["title"]
    assert desk.record("set", "sell", str(first), "--spoil")["ticket"]["state"] == "paid"


def test_a_new_test_date_is_written_by_command(desk: Desk) -> None:
    """The pack of the casebook was tested on 2026-02-25, which has run out by the clock on the wall."""
    assert "last tested 2026-02-25" in desk.refusal("sell", "S375")["title"]
    looked = desk.record("look", "S375", "--fact", "tested on=today")
    assert looked["facts"]["tested on"] > "2026-02-25"
    assert "(was 2026-02-25)" in desk.says("history", "--about", "S375")
    assert desk.record("sell", "S375")["ticket"]["state"] == "paid"
    assert "S375 is sold" in desk.line("look", "S375", "--fact", "tested on=today")
