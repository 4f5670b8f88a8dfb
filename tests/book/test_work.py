"""One use case is one transaction and one history line, or nothing at all."""

from __future__ import annotations

from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress

import pytest
from sqlalchemy import select, text
from sqlalchemy.exc import DBAPIError, IntegrityError

from app.book.history import history
from app.book.schema import Base, History, Outcome, Setting
from app.book.work import Book, Who, Work
from app.errors import BadInput, Refused
from tests.support.clock import Clock
from tests.support.yard import COUNTER, OWNER, keep


def rows_of(book: Book) -> Counter[str]:
    """How many rows each table has, empty tables left out."""
    with book.read() as session:
        counted = {
            name: session.scalar(text(f"SELECT count(*) FROM {name}")) or 0 for name in sorted(Base.metadata.tables)
        }
    return +Counter(counted)


def name_the_yard(work: Work, name: str = "Tansy Falls Salvage") -> None:
    """Something to write: the yard's name, and the number of a ticket."""
    work.session.add(Setting(name="yard_name", value=name))
    work.number("tickets")
    work.session.flush()


def test_what_was_done_is_kept_with_who_when_where_and_what(book: Book, clock: Clock) -> None:
    with book.write(COUNTER) as work:
        name_the_yard(work)
        work.note("name", "yard", "the yard has a name", old="")
    assert rows_of(book) == {"settings": 1, "counters": 1, "history": 1}
    (line,) = history(book)
    assert (line.at, line.by, line.seat) == (clock.now, "C1", "counter 1")
    assert (line.action, line.subject, line.words) == ("name", "yard", "the yard has a name")
    assert line.outcome is Outcome.DONE
    assert line.details == {"old": ""}


class Stumble(Exception):
    """Something nobody expected."""


@pytest.mark.parametrize("error", [Stumble("a bug"), BadInput("a typo"), KeyboardInterrupt()])
def test_an_error_leaves_nothing_behind(book: Book, error: BaseException) -> None:
    with pytest.raises(type(error)), book.write(OWNER) as work:
        name_the_yard(work)
        work.note("name", "yard", "the yard has a name")
        work.session.flush()
        raise error
    assert rows_of(book) == {}


def test_an_error_of_the_database_leaves_nothing_behind(book: Book) -> None:
    with pytest.raises(IntegrityError), book.write(OWNER) as work:
        work.note("name", "yard", "two names")
        work.session.add_all([Setting(name="city", value="here"), Setting(name="city", value="there")])
        work.session.flush()
    assert rows_of(book) == {}


def test_a_refusal_leaves_one_line_of_it_and_nothing_else(book: Book, clock: Clock) -> None:
    with pytest.raises(Refused), book.write(COUNTER) as work:
        name_the_yard(work)
        work.note("name", "yard", "the yard has a name")
        raise Refused("not today", "Come back.", action="torch", subject="D1", details={"holds": ["lien"]})
    assert rows_of(book) == {"history": 1}
    (line,) = history(book)
    assert line.outcome is Outcome.REFUSED
    assert (line.action, line.subject, line.words) == ("torch", "D1", "not today")
    assert (line.by, line.seat, line.at) == ("C1", "counter 1", clock.now)
    assert line.details == {"holds": ["lien"]}


def test_two_refusals_are_two_lines(book: Book) -> None:
    for _ in range(2):
        with pytest.raises(Refused), book.write(OWNER):
            raise Refused("no", action="torch", subject="D1")
    assert [line.outcome for line in history(book)] == [Outcome.REFUSED] * 2


def test_a_noted_refusal_lets_the_work_go_on(book: Book) -> None:
    with book.write(OWNER) as work:
        name_the_yard(work)
        work.note_refusal("vin", "D1", "two readings differ")
    assert rows_of(book) == {"settings": 1, "counters": 1, "history": 1}
    assert history(book)[0].outcome is Outcome.REFUSED


def test_a_use_case_that_leaves_no_line_is_a_bug_and_is_not_kept(book: Book) -> None:
    with pytest.raises(AssertionError, match="history line"), book.write(OWNER) as work:
        name_the_yard(work)
    assert rows_of(book) == {}


def test_reading_keeps_nothing(book: Book) -> None:
    # A server refuses it at once.
    with suppress(DBAPIError), book.read() as session:
        session.add(Setting(name="city", value="nowhere"))
        session.flush()
    with book.read() as session:
        session.add(Setting(name="city", value="nowhere"))
    assert rows_of(book) == {}


def test_what_a_server_has_planned_for_one_reading_serves_the_next(postgres_book: Book) -> None:
    for _ in range(10):
        history(postgres_book)
    planned = text("SELECT count(*) FROM pg_prepared_statements WHERE statement LIKE '%FROM history%'")
    with postgres_book.read() as session:
        assert session.scalar(planned) == 1


def test_a_draft_needs_no_line(book: Book) -> None:
    with book.unrecorded(OWNER) as work:
        name_the_yard(work)
    assert rows_of(book) == {"settings": 1, "counters": 1}


def test_a_number_given_back_by_an_error_is_given_out_again(book: Book) -> None:
    with pytest.raises(Stumble), book.unrecorded(OWNER) as work:
        assert work.number("tickets") == 1
        raise Stumble
    with book.unrecorded(OWNER) as work:
        assert [work.number("tickets"), work.number("tickets"), work.number("donors")] == [1, 2, 1]


def test_two_desks_at_once_never_get_the_same_number(book: Book) -> None:
    each, desks = 60, 2

    def take_numbers(desk: int) -> list[int]:
        taken = []
        for _ in range(each):
            with book.write(Who(f"C{desk}", seat=f"counter {desk}")) as work:
                taken.append(work.number("tickets"))
                work.note("number", "tickets", "taken")
        return taken

    with ThreadPoolExecutor(desks) as pool:
        taken = [number for numbers in pool.map(take_numbers, range(desks)) for number in numbers]
    assert sorted(taken) == list(range(1, each * desks + 1))
    assert rows_of(book)["history"] == each * desks


@pytest.mark.parametrize("statement", ["UPDATE history SET words = 'nothing happened'", "DELETE FROM history"])
def test_the_history_cannot_be_altered_or_deleted(book: Book, statement: str) -> None:
    with book.write(OWNER) as work:
        work.note("sell", "P7K3M9QH", "sold")
    with pytest.raises(DBAPIError, match="history is never"), book.engine.begin() as connection:
        connection.execute(text(statement))
    assert [line.words for line in history(book)] == ["sold"]


def test_the_history_cannot_be_altered_through_the_program_either(book: Book) -> None:
    with book.write(OWNER) as work:
        work.note("sell", "P7K3M9QH", "sold")
    with pytest.raises(DBAPIError, match="never altered"), book.write(OWNER) as work:
        line = work.session.scalars(select(History)).one()
        line.by = "somebody else"
        work.note("tidy", "history", "tidied")
    assert [line.by for line in history(book)] == ["OW"]


def test_the_history_cannot_be_emptied_at_one_stroke(postgres_book: Book) -> None:
    with postgres_book.write(OWNER) as work:
        work.note("sell", "P7K3M9QH", "sold")
    with pytest.raises(DBAPIError, match="never deleted"), postgres_book.engine.begin() as connection:
        connection.execute(text("TRUNCATE history"))


def test_the_same_event_arriving_twice_counts_once(book: Book) -> None:
    def event() -> History:
        return History(event="one", at=book.clock(), seat="floor", by="P1", action="put away", words="in A1-2")

    keep(book, event())
    with pytest.raises(IntegrityError):
        keep(book, event())
    assert rows_of(book) == {"history": 1}


def test_times_come_back_with_their_zone_whatever_the_database(book: Book, clock: Clock) -> None:
    with book.write(OWNER) as work:
        work.note("sell", "P7K3M9QH", "sold")
    (line,) = history(book)
    assert line.at.utcoffset() is not None
    assert line.at == clock.now
