"""Whether the book is whole: the database's own checks, and the yard's laws over what is written in it.

Each law is a function from a session to findings; it changes nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from sqlalchemy import ColumnElement, and_, exists, func, or_, select, text
from sqlalchemy.orm import Session, aliased

from app.book.choicecheck import strange_values
from app.book.money import dollars, percent_of
from app.book.numbers import TAGGED
from app.book.places import LAW_KINDS, NOT_FOR_PARTS
from app.book.rulecheck import broken_references
from app.book.schema import (
    Donor,
    FrameState,
    Hold,
    Law,
    Part,
    PartType,
    Place,
    SaleLine,
    SaleTicket,
    Standing,
    TicketState,
    WeightTicket,
    Whereabouts,
)
from app.book.sheets.series import counters, highest_used
from app.book.tags import is_house_tag, looks_like_house_tag
from app.book.work import Book
from app.fit.weights import Weight, WeightUnit, price

ON_PAID_LINE = exists().where(
    SaleLine.part_id == Part.id,
    SaleLine.live,
    SaleTicket.id == SaleLine.ticket_id,
    SaleTicket.state == TicketState.PAID,
)
ON_LIVE_LINE = exists().where(SaleLine.part_id == Part.id, SaleLine.live)
HELD_OPEN = exists().where(Hold.part_id == Part.id, Hold.ended_at.is_(None))


@dataclass(frozen=True, slots=True)
class Finding:
    """Something in the book that cannot be: which law it breaks, what it is about, and what to do."""

    law: str
    subject: str
    words: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Broken:
    """One breach as its law sees it."""

    subject: str
    words: str
    remedy: str


YardLaw = Callable[[Session], Iterable[Broken]]


def check(book: Book) -> tuple[Finding, ...]:
    """Everything in the book that breaks a law, law by law; empty when the book is whole."""
    with book.read() as session:
        return tuple(
            Finding(name, broken.subject, broken.words, broken.remedy)
            for name, law in LAWS.items()
            for broken in law(session)
        )


def the_file_is_whole(session: Session) -> Iterator[Broken]:
    """SQLite's own check of its pages and of every reference; a server looks after that itself."""
    if session.get_bind().dialect.name != "sqlite":
        return
    remedy = "Go back to the last good backup."
    for (words,) in session.execute(text("PRAGMA integrity_check")):
        if words != "ok":
            yield Broken("the file", f"the file is damaged: {words}", remedy)
    for table, row, parent, _ in session.execute(text("PRAGMA foreign_key_check")):
        yield Broken(f"{table} {row}", f"row {row} of {table} refers to a row of {parent} that is gone", remedy)


def one_live_line_a_part(session: Session) -> Iterator[Broken]:
    """A part stands on one live line of a ticket at most."""
    query = (
        select(Part.tag, func.count())
        .join(SaleLine, SaleLine.part_id == Part.id)
        .where(SaleLine.live)
        .group_by(Part.tag)
        .having(func.count() > 1)
    )
    for tag, lines in session.execute(query):
        yield Broken(tag, f"{tag} stands on {lines} live lines", "Void all its tickets but one.")


def a_sold_part_has_a_paid_line(session: Session) -> Iterator[Broken]:
    """A sold part has a live line on a paid ticket; one tagged elsewhere may have been sold before this book.

    A piece may have gone along with the lump it hangs on.
    """
    lump = aliased(Part)
    went_along = select(lump.id).where(lump.id == Part.lump_id, lump.standing == Standing.SOLD).exists()
    for tag in _tags(session, Part.standing == Standing.SOLD, ~ON_PAID_LINE, ~went_along):
        if is_house_tag(tag):
            yield Broken(tag, f"{tag} is sold, but on no paid ticket", "Look for its ticket, or write it off.")


def a_part_on_a_paid_line_is_sold(session: Session) -> Iterator[Broken]:
    """What a paid ticket says was sold is sold."""
    for tag in _tags(session, Part.standing != Standing.SOLD, ON_PAID_LINE):
        yield Broken(tag, f"{tag} is on a paid ticket and not sold", "Void the ticket, or look for the part.")


def a_part_on_a_ticket_has_a_live_line(session: Session) -> Iterator[Broken]:
    """A part that is on a ticket has a live line, and one with a live line is on a ticket or sold."""
    for tag in _tags(session, Part.standing == Standing.ON_TICKET, ~ON_LIVE_LINE):
        yield Broken(tag, f"{tag} is on a ticket, but no ticket has it", "Put it on a ticket and drop that.")
    for tag in _tags(session, Part.standing.not_in([Standing.ON_TICKET, Standing.SOLD]), ON_LIVE_LINE, ~ON_PAID_LINE):
        yield Broken(tag, f"{tag} has a live line and is not on a ticket", "Drop the ticket.")


def a_piece_goes_with_its_lump(session: Session) -> Iterator[Broken]:
    """What hangs on a lump that is sold, held or on a ticket is not for sale."""
    lump = aliased(Part)
    query = select(Part.tag, lump.tag, lump.standing).join(lump, lump.id == Part.lump_id)
    taken = lump.standing.in_([Standing.SOLD, Standing.HELD, Standing.ON_TICKET])
    for tag, whole, standing in session.execute(query.where(taken, Part.standing == Standing.FREE)):
        yield Broken(
            tag, f"{tag} hangs on {whole}, which is {standing}, and is for sale", "Look whether it went along."
        )


def an_open_hold_and_a_held_part_go_together(session: Session) -> Iterator[Broken]:
    """A part is held exactly as long as it has an open hold."""
    for tag in _tags(session, Part.standing == Standing.HELD, ~HELD_OPEN):
        yield Broken(tag, f"{tag} is held, but for nobody", "Hold it for somebody, then release it.")
    for tag in _tags(session, Part.standing != Standing.HELD, HELD_OPEN):
        yield Broken(tag, f"{tag} has an open hold and is not held", "Release the hold.")


def places_bear_what_stands_in_them(session: Session) -> Iterator[Broken]:
    """No place holds more pieces than its limit, or a piece heavier than it bears."""
    placed = select(Place.code, Place.piece_limit, func.count(Part.id)).join(Part, Part.place_id == Place.id)
    for code, limit, found in session.execute(
        placed.group_by(Place.id, Place.code, Place.piece_limit).having(func.count(Part.id) > Place.piece_limit)
    ):
        yield Broken(code, f"{code} holds {found} pieces, its limit is {limit}", "Move some away.")
    heavy = select(Part.tag, Part.weight_lb, Place.code, Place.weight_limit_lb).join(Place, Part.place_id == Place.id)
    for tag, weight, code, bears in session.execute(heavy.where(Part.weight_lb > Place.weight_limit_lb)):
        yield Broken(tag, f"{tag} weighs {weight} lb, {code} bears {bears} lb a piece", "Move it to a stronger place.")


def parts_stand_where_the_law_lets_them(session: Session) -> Iterator[Broken]:
    """An airbag stands only in the airbag locker or quarantine, high voltage in its cage, nothing in a yard row."""
    query = (
        select(Part.tag, PartType.name, Place.code, Place.kind)
        .join(Place, Part.place_id == Place.id)
        .join(PartType, Part.part_type_id == PartType.id)
    )
    for law, kinds in LAW_KINDS.items():
        for tag, name, code, kind in session.execute(query.where(PartType.law == law, Place.kind.not_in(kinds))):
            yield Broken(tag, f"{tag}, {name}, stands in {code}, a {kind}", f"Move it to the {kinds[0]}.")
    for tag, name, code, kind in session.execute(query.where(Place.kind.in_(NOT_FOR_PARTS))):
        yield Broken(tag, f"{tag}, {name}, stands in {code}, a {kind}", "Put it away.")


def places_nest_without_a_loop(session: Session) -> Iterator[Broken]:
    """No place is inside itself, however far around."""
    rows = session.execute(select(Place.id, Place.code, Place.inside_id)).all()
    outer = {row.id: row.inside_id for row in rows}
    for row in rows:
        inside, steps = row.inside_id, 0
        while inside is not None and inside != row.id and steps <= len(rows):
            inside, steps = outer.get(inside), steps + 1
        if inside == row.id:
            yield Broken(row.code, f"{row.code} is inside itself", "Say again what it is inside of.")


def tickets_add_up(session: Session) -> Iterator[Broken]:
    """A sale ticket's sums are those of its lines, its tax that of its rate, rounded once."""
    sums = (
        select(
            SaleLine.ticket_id,
            func.sum(SaleLine.price_cents).label("parts"),
            func.sum(SaleLine.discount_cents).label("discount"),
            func.sum(SaleLine.core_cents).label("core"),
        )
        .group_by(SaleLine.ticket_id)
        .subquery()
    )
    query = select(SaleTicket, sums.c.parts, sums.c.discount, sums.c.core)
    for ticket, *added in session.execute(query.outerjoin(sums, sums.c.ticket_id == SaleTicket.id)):
        written = (ticket.parts_cents, ticket.discount_cents, ticket.core_cents)
        for what, has, should in zip(("parts", "discount", "cores"), written, added, strict=True):
            if has != (should or 0):
                yield _off(ticket, what, has, int(should or 0))
        tax = _tax(ticket)
        if tax != ticket.tax_cents:
            yield _off(ticket, "tax", ticket.tax_cents, tax)


def _tax(ticket: SaleTicket) -> int | None:
    try:
        return percent_of(ticket.parts_cents - ticket.discount_cents, Decimal(ticket.tax_rate))
    except InvalidOperation:
        return None


def _off(ticket: SaleTicket, what: str, has: int, should: int | None) -> Broken:
    says = f"ticket {ticket.number} says {what} {dollars(has)}"
    comes = f"it comes to {dollars(should)}" if should is not None else f"{ticket.tax_rate!r} is no rate"
    return Broken(f"ticket {ticket.number}", f"{says}, {comes}", "Void the ticket with a reason and write it again.")


def weight_tickets_add_up(session: Session) -> Iterator[Broken]:
    """Net is gross less tare less deductions on whole divisions, and the money is the net at the price."""
    for ticket in session.scalars(select(WeightTicket).where(WeightTicket.voided_at.is_(None))):
        subject = f"weight ticket {ticket.number}"
        if ticket.net != ticket.gross - ticket.tare - ticket.deductions:
            yield Broken(
                subject, f"{subject} has a net of {ticket.net:f} that does not add up", "Void and weigh again."
            )
        off = [each for each in (ticket.gross, ticket.tare) if each % ticket.division]
        if off:
            yield Broken(
                subject, f"{subject} shows {off[0]:f}, no step of {ticket.division:f}", "Void and weigh again."
            )
        amount = _amount(ticket)
        if amount != ticket.amount_cents:
            yield Broken(subject, f"{subject} pays another sum than its net at its price", "Void and write again.")


def _amount(ticket: WeightTicket) -> int | None:
    if ticket.price_cents is None or not ticket.price_unit:
        return ticket.amount_cents
    try:
        return price(Weight(ticket.net, WeightUnit(ticket.unit)), ticket.price_cents, WeightUnit(ticket.price_unit))
    except ValueError:
        return None


def house_tags_are_whole(session: Session) -> Iterator[Broken]:
    """A tag that looks like one of ours has its check character and its kind's letter."""
    for kind, column in TAGGED.items():
        for tag in session.scalars(select(column).where(func.length(column) == 7)):
            if looks_like_house_tag(tag) and not (is_house_tag(tag) and tag[0] == kind.value):
                yield Broken(tag, f"{tag} is no whole {kind.name.lower()} tag", "Print a new tag for it.")


def rules_speak_of_what_there_is(session: Session) -> Iterator[Broken]:
    """Every fact, model and part type that rules, models and words name is in the book."""
    for subject, words in broken_references(session):
        yield Broken(subject, words, "Correct the sheet and load it again.")


def values_are_among_their_choices(session: Session) -> Iterator[Broken]:
    """What is said of a part, vehicle, model or design is one of its fact's choices, where these are listed."""
    for each in strange_values(session):
        words = f"{each.subject} is said to have {each.fact} {each.value!r}, which is none of its choices"
        choices = " or ".join(each.choices)
        yield Broken(each.subject, words, f"Say {choices}, or add the choice to the fact, and load the sheet again.")


def counters_are_ahead(session: Session) -> Iterator[Broken]:
    """A counter stands at the highest number used in its series, or above."""
    connection = session.connection()
    last = counters(connection)
    for series, used in highest_used(connection).items():
        if last.get(series, 0) < used:
            found = f"{series} has number {used}, its counter stands at {last.get(series, 0)}"
            yield Broken(series, found, f"Load a counters.csv with {series},{used}.")


def nothing_of_a_condemned_frame_is_free(session: Session) -> Iterator[Broken]:
    """Where a frame is scrap only, no part under the frame law is for sale."""
    query = (
        select(Part.tag, Donor.stock_number)
        .join(Donor, Part.donor_id == Donor.id)
        .join(PartType, Part.part_type_id == PartType.id)
        .where(
            Donor.frame_state == FrameState.SCRAP_ONLY,
            PartType.law == Law.FRAME,
            Part.standing.in_([Standing.FREE, Standing.HELD, Standing.ON_TICKET]),
        )
    )
    for tag, donor in session.execute(query):
        yield Broken(tag, f"{tag} is of {donor}, whose frame is scrap only, and is for sale", "Block it.")


def nothing_is_nowhere(session: Session) -> Iterator[Broken]:
    """A part is on a vehicle, in a hand, in a place, or gone and accounted for."""
    nowhere = or_(
        and_(Part.whereabouts == Whereabouts.IN_PLACE, Part.place_id.is_(None)),
        and_(Part.whereabouts == Whereabouts.IN_HAND, Part.holder_id.is_(None)),
        and_(Part.whereabouts == Whereabouts.ON_VEHICLE, Part.donor_id.is_(None)),
        and_(Part.whereabouts == Whereabouts.GONE, Part.standing.not_in([Standing.SOLD, Standing.WRITTEN_OFF])),
    )
    for tag in _tags(session, nowhere):
        yield Broken(tag, f"{tag} is nowhere", "Look for it and scan it into a place.")


def _tags(session: Session, *conditions: ColumnElement[bool]) -> Iterator[str]:
    yield from session.scalars(select(Part.tag).where(*conditions).order_by(Part.tag))


LAWS: dict[str, YardLaw] = {
    law.__name__.replace("_", " "): law
    for law in (
        the_file_is_whole,
        nothing_is_nowhere,
        one_live_line_a_part,
        a_sold_part_has_a_paid_line,
        a_part_on_a_paid_line_is_sold,
        a_part_on_a_ticket_has_a_live_line,
        a_piece_goes_with_its_lump,
        an_open_hold_and_a_held_part_go_together,
        places_bear_what_stands_in_them,
        parts_stand_where_the_law_lets_them,
        places_nest_without_a_loop,
        tickets_add_up,
        weight_tickets_add_up,
        house_tags_are_whole,
        rules_speak_of_what_there_is,
        values_are_among_their_choices,
        counters_are_ahead,
        nothing_of_a_condemned_frame_is_free,
    )
}
