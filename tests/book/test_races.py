"""Two desks sell the same part at the same moment: one of them sells it."""

from __future__ import annotations

from sqlalchemy import text

from app.book.schema import Outcome
from app.book.work import Book
from tests.support.integrity import faults, standings
from tests.support.race import address_of, race
from tests.support.sellers import sell_after_a_look, sell_well
from tests.support.yard import stock

TIMES = 1000
ENOUGH_TO_FAIL = 100


def sales_of(book: Book) -> dict[str, int]:
    """How often each part was sold, by the lines of paid tickets."""
    counted = (
        "SELECT p.tag, count(*) AS times FROM parts p JOIN sale_lines l ON l.part_id = p.id "
        "JOIN sale_tickets t ON t.id = l.ticket_id WHERE t.state = 'paid' GROUP BY p.tag"
    )
    with book.read() as session:
        return {row.tag: row.times for row in session.execute(text(counted))}


def lines_of_history(book: Book, outcome: Outcome) -> int:
    """How many history lines of sales there are with an outcome."""
    counted = text("SELECT count(*) FROM history WHERE action = 'sell' AND outcome = :outcome")
    with book.read() as session:
        return session.scalar(counted, {"outcome": outcome.value}) or 0


def numbers_of_tickets(book: Book) -> list[int]:
    """The numbers of all tickets in order."""
    with book.read() as session:
        return list(session.execute(text("SELECT number FROM sale_tickets ORDER BY number")).scalars())


def test_two_desks_sell_a_thousand_parts_and_each_part_is_sold_once(book: Book) -> None:
    tags = stock(book, TIMES)
    first, second = race(address_of(book), sell_well, tags)
    assert sales_of(book) == dict.fromkeys(tags, 1)
    assert sorted([*first.sold, *second.sold]) == sorted(tags)
    assert set(first.told) == set(second.sold)
    assert set(second.told) == set(first.sold)
    assert not first.stopped
    assert not second.stopped
    assert set(standings(book).values()) == {"sold"}
    assert numbers_of_tickets(book) == list(range(1, TIMES + 1))
    assert lines_of_history(book, Outcome.DONE) == lines_of_history(book, Outcome.REFUSED) == TIMES
    assert faults(book) == []
    # Otherwise one desk was simply faster all the time, and nothing was raced.
    assert min(len(first.sold), len(second.sold)) > TIMES / 100


def test_the_race_is_one_that_a_careless_seller_loses(book: Book) -> None:
    tags = stock(book, ENOUGH_TO_FAIL)
    with book.engine.begin() as connection:
        connection.execute(text("DROP INDEX uq_sale_lines_live_part"))
    race(address_of(book), sell_after_a_look, tags)
    assert [tag for tag, times in sales_of(book).items() if times > 1]
    assert faults(book)


def test_the_database_stops_a_careless_seller(book: Book) -> None:
    tags = stock(book, ENOUGH_TO_FAIL)
    first, second = race(address_of(book), sell_after_a_look, tags)
    assert sales_of(book) == dict.fromkeys(tags, 1)
    assert [*first.stopped, *second.stopped]
    assert faults(book) == []
