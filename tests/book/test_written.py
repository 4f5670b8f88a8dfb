"""What the rules behind a sale want written on its ticket. Invented data.

The casebook's R97 (C59: both readings are required on the ticket), R95 (who fits the pack), R32 (the recall check).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from app.book.accepting import Acceptance, against
from app.book.behind import behind
from app.book.finding import part
from app.book.history import history
from app.book.quotes import quote, quote_to_write, sell_quote
from app.book.reverse import why
from app.book.sales import Basket, Line, pay_ticket, sell, start_ticket
from app.book.schema import Outcome, Role, Standing
from app.book.sheets import load_folder
from app.book.tickets import ticket
from app.book.work import Book, Who
from app.book.written import read_written, refuse_unwanted, to_write
from app.errors import BadInput, Refused

YARD = Path(__file__).parents[1] / "casebook"
OWNER = Who("OW", Role.OWNER, "office")
C1 = Who("C1", Role.COUNTER, "counter")
CLUSTER, WAGON = "S395", "2008 longwagon light"


@pytest.fixture
def yard(book: Book) -> Book:
    """The casebook's yard on its day, 2026-03-04, once on each database."""
    load_folder(book, OWNER, YARD)
    return book


def line_for(yard: Book, tag: str, vehicle: str, **written: str) -> Line:
    """A line of a ticket as the counter makes it of an answer."""
    answer = why(yard, tag, vehicle)
    return Line(
        tag,
        grade=str(answer.grade),
        behind=behind(answer),
        accepted=Acceptance(against(answer), ""),
        written={name.replace("_", " "): value for name, value in written.items()},
    )


def test_a_cluster_is_not_sold_until_the_customers_own_reading_is_written_down(yard: Book) -> None:
    """C59: 118,400 on ours, 161,200 on his; both are required on the ticket."""
    with pytest.raises(Refused, match=r"mileage shown must stand on the ticket \(R97\)") as refused:
        sell(yard, C1, Basket([line_for(yard, CLUSTER, WAGON)]))
    assert "What does yours read?" in refused.value.remedy
    assert part(yard, CLUSTER).standing is Standing.FREE
    sold = sell(yard, C1, Basket([line_for(yard, CLUSTER, WAGON, mileage_shown="161,200 mi")]))
    assert sold.lines[0].said == "mileage shown: ours 118,400 mi, the customer's 161,200 mi"
    kept = next(row for row in history(yard, action="sell") if row.outcome is Outcome.DONE)
    assert kept.details["written"] == {CLUSTER: {"mileage shown": "161,200 mi"}}


def test_what_is_left_for_later_says_so_on_the_ticket(yard: Book) -> None:
    draft = start_ticket(yard, C1, Basket([line_for(yard, CLUSTER, WAGON, mileage_shown="Later")]))
    pay_ticket(yard, C1, draft.number, "cash")
    said = ticket(yard, str(draft.number)).lines[0].said
    assert said == "mileage shown: ours 118,400 mi, the customer's not written down at the sale"


def test_a_reading_that_is_no_number_is_not_written_down(yard: Book) -> None:
    with pytest.raises(BadInput, match="'lots' is not a number") as wrong:
        sell(yard, C1, Basket([line_for(yard, CLUSTER, WAGON, mileage_shown="lots")]))
    assert wrong.value.place == "mileage shown"
    assert part(yard, CLUSTER).standing is Standing.FREE


def test_who_fits_the_pack_is_asked_for(yard: Book) -> None:
    pack = to_write(yard, [("S375", behind(why(yard, "S375", "2009 tansy hybrid")))])
    assert [(each.fact, each.ask, each.known) for each in pack] == [("fitter", "Who's fitting it?", "")]
    with pytest.raises(BadInput, match="fitter is not written down"):
        read_written(pack, {})
    assert read_written(pack, {"fitter": " B. Oak "}) == {"fitter": "B. Oak"}


def test_the_day_our_part_was_looked_up_is_known_without_being_asked_for(yard: Book) -> None:
    """R32: the recall check of S211 stands on the part since 2026-02-20."""
    bag = to_write(yard, [("S211", behind(why(yard, "S211", WAGON)))])
    assert read_written(bag, {}) == {"recall checked": "2026-02-20"}
    assert bag[0].words("2026-02-20") == "recall checked: 2026-02-20"


def test_a_sale_for_no_vehicle_and_a_rule_that_wants_nothing_ask_for_nothing(yard: Book) -> None:
    assert to_write(yard, [(CLUSTER, None), ("S130", behind(why(yard, "S130", WAGON)))]) == ()
    assert sell(yard, C1, Basket([Line(CLUSTER)])).lines[0].said == ""


def test_what_no_rule_wants_is_refused_and_not_dropped(yard: Book) -> None:
    wanted = to_write(yard, [(CLUSTER, behind(why(yard, CLUSTER, WAGON)))])
    with pytest.raises(BadInput, match="no rule wants 'fitter'") as wrong:
        refuse_unwanted(wanted, {"fitter": "B. Oak"})
    assert wrong.value.remedy == "Wanted on it: mileage shown."


def test_a_quote_asks_for_it_when_it_is_sold(yard: Book) -> None:
    answer = why(yard, CLUSTER, WAGON)
    row = quote(yard, C1, [CLUSTER], "R. Ash", grade=str(answer.grade), behind=behind(answer))
    assert [each.fact for each in quote_to_write(yard, row.number)] == ["mileage shown"]
    with pytest.raises(Refused, match="mileage shown must stand on the ticket"):
        sell_quote(yard, C1, row.number)
    sold = sell_quote(yard, C1, row.number, written={"mileage shown": "161200"})
    assert "the customer's 161,200 mi" in sold.lines[0].said
