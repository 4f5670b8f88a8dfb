"""Sets sold as one and lumps with their pieces: all or none, and short the moment one goes. Invented data."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import insert, select
from sqlalchemy.exc import IntegrityError

from app.book.asking import ask
from app.book.finding import part
from app.book.holds import hold, hold_set, release_hold
from app.book.integrity import check
from app.book.keeping import NotForSale
from app.book.lumps import join_lump
from app.book.quotes import close_quote, open_sets, quote, sell_quote
from app.book.sales import Basket, Line, drop_ticket, pay_ticket, sell, start_ticket, void_ticket
from app.book.schema import Part, PartFact, Role, SaleLine, SaleTicket, Standing
from app.book.sheets import load_folder
from app.book.work import Book, Who
from app.errors import BadInput, NotFound, Refused
from app.fit.terms import Grade, Side
from tests.support.clock import Clock

YARD = Path(__file__).parents[1] / "casebook"
TODAY = date(2026, 3, 4)
OWNER = Who("OW", Role.OWNER, "office")
C1 = Who("C1", Role.COUNTER, "counter")
NOSE = ("S385", "S386", "S387", "S388", "S389", "S390")
BRAKES = ("S241", "S243", "S244", "S245", "S246")


@pytest.fixture
def yard(sqlite_book: Book) -> Book:
    load_folder(sqlite_book, OWNER, YARD)
    return sqlite_book


@pytest.fixture
def each_yard(book: Book) -> Book:
    """The same yard, once on each database."""
    load_folder(book, OWNER, YARD)
    return book


def standing(yard: Book, *tags: str) -> set[Standing]:
    return {part(yard, tag).standing for tag in tags}


def test_a_quote_is_one_price_for_all_and_keeps_nothing(yard: Book) -> None:
    row = quote(yard, C1, NOSE, "R. Ash")
    assert (row.price_cents, row.state, row.tags) == (72_500, "whole", NOSE)
    assert standing(yard, *NOSE) == {Standing.FREE}
    assert [each.number for each in open_sets(yard)] == [row.number]


def test_a_quote_is_short_the_moment_a_piece_is_sold(each_yard: Book) -> None:
    """Selling the grille alone is right and breaks the set; the open quote says so."""
    quote(each_yard, C1, NOSE, "R. Ash")
    sell(each_yard, C1, Basket([Line("S386")]))
    (row,) = open_sets(each_yard)
    assert row.state == "set_short"
    assert row.short == ("S386 was sold on ticket 1",)
    with pytest.raises(NotForSale, match="S386 was sold"):
        sell_quote(each_yard, C1, row.number)
    assert standing(each_yard, *(set(NOSE) - {"S386"})) == {Standing.FREE}, "all or none"
    found = ask(each_yard, C1, "", vehicle="2009 WL2", part="hood", on=TODAY, keep=False)
    assert Grade.SET_SHORT in {line.grade for line in found.answers if "S385" in line.tags}


def test_a_quote_is_short_while_somebody_else_holds_a_piece(yard: Book) -> None:
    quote(yard, C1, BRAKES, "R. Ash")
    hold(yard, C1, "S244", "B. Oak")
    assert [row.state for row in open_sets(yard)] == ["set_short"]
    release_hold(yard, C1, "S244")
    assert [row.state for row in open_sets(yard)] == ["whole"]
    hold(yard, C1, "S244", "R. Ash")
    assert [row.state for row in open_sets(yard)] == ["whole"], "held for the same customer"


def test_a_quoted_set_is_sold_whole_at_its_price(each_yard: Book) -> None:
    row = quote(each_yard, C1, BRAKES, "R. Ash", price_cents=50_000)
    sold = sell_quote(each_yard, C1, row.number)
    assert sold.parts_cents == 50_000
    assert {line.tag for line in sold.lines} == set(BRAKES)
    assert standing(each_yard, *BRAKES) == {Standing.SOLD}
    assert open_sets(each_yard) == ()
    with pytest.raises(NotFound, match="no quote"):
        sell_quote(each_yard, C1, row.number)


def test_a_quote_ends_by_itself_or_with_a_reason(yard: Book, clock: Clock) -> None:
    first = quote(yard, C1, NOSE, "R. Ash")
    with pytest.raises(BadInput, match="reason"):
        close_quote(yard, C1, first.number, " ")
    close_quote(yard, C1, first.number, "found one nearer")
    assert open_sets(yard) == ()
    quote(yard, C1, NOSE, "R. Ash")
    clock.forward(days=8)
    assert open_sets(yard) == ()


def test_what_is_gone_is_not_quoted(yard: Book) -> None:
    sell(yard, C1, Basket([Line("S386")]))
    with pytest.raises(Refused, match="S386 was sold on ticket 1"):
        quote(yard, C1, NOSE, "R. Ash")
    with pytest.raises(BadInput, match="twice"):
        quote(yard, C1, ("S385", "s385"), "R. Ash")
    with pytest.raises(BadInput, match="name"):
        quote(yard, C1, ("S385",), " ")


def test_a_set_is_held_all_or_none(each_yard: Book) -> None:
    sell(each_yard, C1, Basket([Line("S245")]))
    with pytest.raises(NotForSale, match="S245"):
        hold_set(each_yard, C1, BRAKES, "R. Ash")
    assert standing(each_yard, *(set(BRAKES) - {"S245"})) == {Standing.FREE}
    held = hold_set(each_yard, C1, NOSE, "R. Ash", "555-0142")
    assert standing(each_yard, *NOSE) == {Standing.HELD}
    (row,) = open_sets(each_yard)
    assert (row.kind, row.number, row.state, row.price_cents) == ("hold", held.number, "whole", 72_500)


def test_a_held_set_that_loses_a_piece_says_so(yard: Book) -> None:
    hold_set(yard, C1, NOSE, "R. Ash")
    release_hold(yard, C1, "S386", "cracked")
    (row,) = open_sets(yard)
    assert (row.state, row.short) == ("set_short", ("the hold of S386 ended: cracked",))
    for tag in set(NOSE) - {"S386"}:
        release_hold(yard, C1, tag)
    assert open_sets(yard) == ()


def test_a_held_set_is_over_with_its_time(yard: Book, clock: Clock) -> None:
    hold_set(yard, C1, NOSE, "R. Ash")
    clock.forward(hours=25)
    assert open_sets(yard) == ()
    assert quote(yard, C1, NOSE, "B. Oak").state == "whole"


@pytest.fixture
def lump_yard(each_yard: Book) -> Book:
    """The half-cut of the casebook with two more tags of its vehicle hanging on it."""
    with each_yard.unrecorded(C1) as work:
        lump = work.session.scalars(select(Part).where(Part.tag == "S399")).one()
        glass = work.session.scalars(select(Part).where(Part.tag == "S380")).one()
        for tag, price in (("S330X", 12_000), ("S331X", 4_000)):
            columns = {each.key: getattr(glass, each.key) for each in Part.__mapper__.column_attrs if each.key != "id"}
            work.session.execute(insert(Part).values({**columns, "tag": tag, "price_cents": price}))
        assert lump.donor_id == glass.donor_id
    join_lump(each_yard, C1, "S399", ["S330X", "S331X"])
    return each_yard


def test_a_sold_lump_takes_its_pieces_with_it(lump_yard: Book) -> None:
    """The alternator sold two days ago took its 50 off; the other pieces go along for nothing."""
    sold = sell(lump_yard, C1, Basket([Line("S399")]))
    assert sold.parts_cents == 65_000
    assert [(line.tag, line.price_cents) for line in sold.lines] == [("S399", 65_000), ("S330X", 0), ("S331X", 0)]
    assert standing(lump_yard, "S399", "S330X", "S331X") == {Standing.SOLD}
    assert [each for each in check(lump_yard) if each.subject in ("S399", "S330X", "S331X")] == []
    void_ticket(lump_yard, OWNER, sold.number, "came back")
    assert standing(lump_yard, "S399", "S330X", "S331X") == {Standing.FREE}


def test_a_piece_on_a_lumps_ticket_is_on_no_other_not_even_by_force(lump_yard: Book) -> None:
    """The database itself forbids a second live line for a piece that went with its lump."""
    draft = start_ticket(lump_yard, C1, Basket([Line("S399")]))
    with pytest.raises(NotForSale, match="S330X is on ticket"):
        sell(lump_yard, C1, Basket([Line("S330X")]))
    with pytest.raises(IntegrityError), lump_yard.unrecorded(C1) as work:
        piece = work.session.scalars(select(Part.id).where(Part.tag == "S330X")).one()
        other = SaleTicket(number=99, tag="SFORCED", made_at=work.now, seat="counter", by="C1")
        work.session.add(other)
        work.session.flush()
        work.session.add(SaleLine(ticket_id=other.id, number=1, part_id=piece, words="by force", price_cents=0))
        work.session.flush()
    drop_ticket(lump_yard, C1, draft.number)
    assert standing(lump_yard, "S399", "S330X", "S331X") == {Standing.FREE}


def test_a_piece_sold_makes_its_lump_cheaper(lump_yard: Book) -> None:
    sell(lump_yard, C1, Basket([Line("S330X")]))
    (line,) = ask(lump_yard, C1, "half-cut", vehicle="2007 TA1", on=TODAY, keep=False).answers
    assert line.price_cents == 70_000 - 5_000 - 12_000
    assert sell(lump_yard, C1, Basket([Line("S399")])).parts_cents == line.price_cents


def test_a_held_lump_holds_its_pieces_and_lets_them_go(lump_yard: Book) -> None:
    hold(lump_yard, C1, "S399", "R. Ash")
    assert standing(lump_yard, "S399", "S330X", "S331X") == {Standing.HELD}
    with pytest.raises(NotForSale, match=r"S331X is held for R\. Ash"):
        sell(lump_yard, C1, Basket([Line("S331X")]))
    release_hold(lump_yard, C1, "S399")
    assert standing(lump_yard, "S399", "S330X", "S331X") == {Standing.FREE}


def test_a_lump_is_not_sold_from_under_somebody_who_holds_a_piece(lump_yard: Book) -> None:
    hold(lump_yard, C1, "S330X", "B. Oak")
    with pytest.raises(NotForSale, match=r"S330X is held for B\. Oak"):
        sell(lump_yard, C1, Basket([Line("S399")], customer="R. Ash"))
    assert standing(lump_yard, "S399") == {Standing.FREE}
    assert sell(lump_yard, C1, Basket([Line("S399")], customer="B. Oak")).parts_cents == 65_000


def test_a_draft_lump_whose_piece_went_elsewhere_is_not_paid(lump_yard: Book, clock: Clock) -> None:
    draft = start_ticket(lump_yard, C1, Basket([Line("S399")]))
    clock.forward(minutes=20)
    sell(lump_yard, C1, Basket([Line("S331X")]))
    with pytest.raises(NotForSale, match="S331X was sold"):
        pay_ticket(lump_yard, C1, draft.number, "cash")


def test_only_free_parts_of_one_vehicle_make_a_lump(lump_yard: Book) -> None:
    with pytest.raises(Refused, match="different vehicles"):
        join_lump(lump_yard, C1, "S399", ["S101"])
    with pytest.raises(BadInput, match="cannot hang"):
        join_lump(lump_yard, C1, "S330X", ["S399"])
    with pytest.raises(BadInput, match="goes with"):
        sell(lump_yard, C1, Basket([Line("S399"), Line("S330X")]))


def test_the_check_finds_a_piece_left_for_sale_behind_its_lump(lump_yard: Book) -> None:
    sell(lump_yard, C1, Basket([Line("S399")]))
    with lump_yard.unrecorded(C1) as work:
        piece = work.session.scalars(select(Part).where(Part.tag == "S330X")).one()
        piece.standing = Standing.FREE
    assert any("hangs on S399" in each.words for each in check(lump_yard))


def test_a_missing_piece_is_gone_and_a_lump_never_asks_less_than_nothing(lump_yard: Book) -> None:
    with lump_yard.unrecorded(C1) as work:
        for piece in work.session.scalars(select(Part).where(Part.tag.in_(["S330X", "S331X"]))):
            piece.price_cents = 40_000
            piece.standing = Standing.MISSING
    (line,) = ask(lump_yard, C1, "half-cut", vehicle="2007 TA1", on=TODAY, keep=False).answers
    assert line.price_cents == 0
    sold = sell(lump_yard, C1, Basket([Line("S399")]))
    assert [(each.tag, each.price_cents) for each in sold.lines] == [("S399", 0)]


def test_two_single_springs_are_sold_as_the_pair_that_the_rule_asks_for(yard: Book) -> None:
    """R86 of the casebook asks for a pair; the one left spring is short of it until a right one comes in."""

    def of_singles() -> list[tuple[tuple[str, ...], Grade]]:
        found = ask(yard, C1, "rear coil springs for a 2008 WL2 without towing", on=TODAY, keep=False)
        return [(line.tags, line.grade) for line in found.answers if "S347" in line.tags]

    assert of_singles() == [(("S347",), Grade.SET_SHORT)]
    with yard.write(OWNER) as work:
        left = work.session.scalars(select(Part).where(Part.tag == "S347")).one()
        own = {column.key for column in Part.__mapper__.column_attrs} - {"id", "tag", "side"}
        values = {name: getattr(left, name) for name in own}
        right = Part(tag="S348", side=Side.RH, **values)
        work.session.add(right)
        work.session.flush()
        seen = work.session.scalars(select(PartFact).where(PartFact.part_id == left.id)).all()
        work.session.add_all(
            PartFact(part_id=right.id, fact_id=each.fact_id, value=each.value, known_by=each.known_by) for each in seen
        )
        work.note("tag", "S348", "the right one came in")
    assert of_singles() == [(("S347", "S348"), Grade.BOLTS_UP)]
    quote(yard, C1, ("S347", "S348"), "R. Ash")
