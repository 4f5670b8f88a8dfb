"""What is typed where words are expected: a tag, a ticket's number, a customer's phone or name."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum

from sqlalchemy import ColumnElement, Select, func, select
from sqlalchemy.orm import Session

from app.book.asking import heard_beside, reading_of
from app.book.knowing import knowing
from app.book.lawful import ban_on
from app.book.money import dollars, short_dollars
from app.book.parts import PartRow, find_part, part_row
from app.book.reverse import fits, standing, why
from app.book.schema import Hold, Part, SaleTicket, Standing, TicketState, Want
from app.book.tags import clean, is_house_tag
from app.book.tickets import SoldRow, ticket_row
from app.book.times import local_day, say_time
from app.book.words.settling import UNKNOWN
from app.book.work import Book
from app.errors import NotFound, YardError
from app.fit.answers import AnswerLine, Asked
from app.fit.terms import Grade

MOST = 200
_TICKET = re.compile(r"^(?:#\s*|ticket\s*(?:no\b\.?|nr\b\.?|number\b)?\s*#?\s*)(\d{1,9})[.?]?$", re.IGNORECASE)
_PHONE = re.compile(r"^[+(]?[0-9][0-9 ().+-]{5,20}[0-9]$")
_CALLED = re.compile(r"^(?:call(?: back)?|phone|telephone|ph|tel|cell|text|number)\b[:.]?\s+", re.IGNORECASE)
_AROUND = ",.;:?!()"
"""Marks that stand right behind or before a tag in a line, and are none of it."""
_TAG = re.compile(r"^(?=.*[0-9])[A-Za-z0-9-]{2,10}$")
LEAST_DIGITS, MOST_DIGITS = 7, 15
"""Digits of a phone number."""
MOST_OF_A_NAME = 4
"""Words of a customer's name."""


class TypedKind(StrEnum):
    """What the text turned out to be."""

    PART = "part"
    TICKET = "sale ticket"
    CUSTOMER = "customer"


@dataclass(frozen=True, slots=True)
class TypedRow:
    """One thing found: its kind (fit, line, hold, want, ticket), the name it is opened by, and what to say of it.

    `lead` stands before the words in a column of its own.
    """

    kind: str
    name: str
    words: str
    lead: str = ""

    @property
    def said(self) -> str:
        """All of it in one line."""
        return f"{self.lead}: {self.words}" if self.lead else self.words


@dataclass(frozen=True, slots=True)
class Typed:
    """A tag with what it fits, a ticket with its lines, or what hangs on a phone number.

    `line` is the part judged against the vehicle that was said beside its tag; with no vehicle nothing was compared.
    `more` are the parts of the other tags in the same line, and `asked` what was understood beside the tags.
    """

    kind: TypedKind
    name: str
    title: str
    rows: tuple[TypedRow, ...]
    line: AnswerLine | None = None
    ticket: SoldRow | None = None
    more: tuple[AnswerLine, ...] = ()
    asked: Asked = field(default_factory=lambda: Asked(""))

    def as_record(self) -> dict[str, object]:
        """The find as plain data."""
        return {
            "kind": str(self.kind),
            "name": self.name,
            "words": self.title,
            "rows": [{"kind": row.kind, "name": row.name, "words": row.said} for row in self.rows],
            "line": self.line.as_record() if self.line else None,
        }


def typed(
    book: Book, words: str, *, vehicle: str = "", facts: Mapping[str, str] | None = None, on: date | None = None
) -> Typed | None:
    """What the words are when they are no ask: a tag of ours, a ticket's or a phone number, a name; None for words.

    A tag with a vehicle beside it is that part on that vehicle; so is one for which `vehicle` and `facts` are stated.

    Raises:
        BadInput: a vehicle stated of which nothing is understood, or a fact that the yard does not know.
    """
    text = " ".join(words.split())
    if not text:
        return None
    if vehicle or facts:
        return _of_tag(book, text.split(), _Stated(vehicle, facts or {}, on))
    digits = "".join(letter for letter in text if letter.isdigit() and letter.isascii())
    called = _CALLED.sub("", text)
    if _PHONE.match(called) and LEAST_DIGITS <= len(digits) <= MOST_DIGITS:
        return _of_customer(book, called, digits)
    if numbered := _TICKET.match(text):
        number = numbered.group(1)
        found = _of_ticket(book, SaleTicket.number == int(number))
        return found or Typed(TypedKind.TICKET, number, f"there is no ticket {number}", ())
    first, *others = text.split()
    if is_house_tag(clean(first)) and not others and clean(first).startswith("S"):
        found = _of_ticket(book, SaleTicket.tag == clean(first))
        if found is not None:
            return found
    # A name of one word may be a word of the yard's.
    named = _of_name(book, text) if not digits and 2 <= len(text.split()) <= MOST_OF_A_NAME else None
    return named or _of_tag(book, text.split(), _Stated(on=on))


def typed_name(book: Book, words: str) -> Typed | None:
    """Whoever has something held or wanted under this name, one word though it be; for words that are no ask."""
    text = " ".join(words.split())
    return _of_name(book, text) if text else None


@dataclass(frozen=True, slots=True)
class _Stated:
    """What is known of the vehicle that a tag shall go on: its words, facts beside them, and the day."""

    vehicle: str = ""
    facts: Mapping[str, str] = field(default_factory=dict)
    on: date | None = None


def _of_tag(book: Book, words: list[str], stated: _Stated) -> Typed | None:
    names = [clean(bare) for word in words if _TAG.match(bare := word.strip(_AROUND))]
    if not names:
        return None
    with book.read() as session:
        found = {part.tag: part for part in session.scalars(select(Part).where(Part.tag.in_(names)))}
        rows = [part_row(session, found[name]) for name in dict.fromkeys(names) if name in found]
        others = [word for word in words if clean(word.strip(_AROUND)) not in found and word.lower() != "tag"]
        if not rows:
            return None
        vehicle = " ".join((*others, stated.vehicle)).strip()
        asked = _heard(session, " ".join(others), vehicle, stated)
        holds = tuple(_hold_row(hold, part) for hold, part in session.execute(_open_holds(names)))
    row = rows[0]
    title = _title(book, row)
    if asked.not_understood:
        title += f"; not understood: {' '.join(asked.not_understood)}"
    target = replace(stated, vehicle=vehicle)
    lines = {each.tag: _on_offer(book, each, target, said=bool(asked.models) or _is_unknown(asked)) for each in rows}
    first, *more = lines.values()
    told = (*holds, *(_also(each, lines[each.tag]) for each in rows[1:]), *_fit_rows(book, row.tag, stated.on))
    asked = replace(asked, words=" ".join(words))
    return Typed(TypedKind.PART, row.tag, title, told, first, more=tuple(filter(None, more)), asked=asked)


def _is_unknown(asked: Asked) -> bool:
    """Whether a vehicle was said that the book does not have."""
    return any(chip.field == UNKNOWN for chip in asked.chips)


def _title(book: Book, row: PartRow) -> str:
    """A part in one line: what it is, where, and whether it is free, sold, held or scrap."""
    kept = standing(book, row.tag).removeprefix(f"{row.tag} is ")
    # A hold whose time is over keeps nothing.
    state = (kept if row.standing is Standing.FREE else row.standing) if kept else Standing.FREE
    return f"{row.tag}  {row.name}, {dollars(row.price_cents)}, {row.where}, {state}, off {row.vehicle}"


def _heard(session: Session, beside: str, vehicle: str, stated: _Stated) -> Asked:
    """What was understood of the vehicle: what is stated must be one, words beside the tag need not."""
    if stated.vehicle or stated.facts:
        return reading_of(session, knowing(session), vehicle, stated.facts)
    return heard_beside(session, knowing(session), beside)


def _on_offer(book: Book, row: PartRow, target: _Stated, *, said: bool) -> AnswerLine | None:
    """The part on the vehicle that was `said`; None for what is not on offer."""
    if row.standing is not Standing.BLOCKED and standing(book, row.tag):
        return None
    try:
        if target.vehicle:
            return why(book, row.tag, target.vehicle, facts=target.facts, on=target.on)
        apart = None
    except YardError as error:
        # Words beside a tag that name no vehicle say nothing of it.
        apart = error if said else None
    return _alone(book, row, target.on, apart) if row.standing is not Standing.BLOCKED else None


def _also(row: PartRow, line: AnswerLine | None) -> TypedRow:
    """Another part of which the tag was typed."""
    words = line.say if line is not None else f"{row.name}, {row.where}, {row.standing}"
    return TypedRow("part", row.tag, f"{row.tag}  {words}", line.grade.said if line is not None else "")


def _alone(book: Book, row: PartRow, on: date | None, apart: YardError | None = None) -> AnswerLine:
    """The part on no vehicle: none was said, or nothing joins it with that one (`apart`).

    What law forbids for any vehicle is not offered.
    """
    with book.read() as session:
        ban = ban_on(session, find_part(session, row.tag), on or local_day(book.clock()))
    offered = f"That one is here: {row.name}, for {short_dollars(row.price_cents)}. What is it for?"
    offered = f"{apart.title[0].upper()}{apart.title[1:]}. {apart.remedy}" if apart else offered
    reasons = (apart.title, apart.remedy) if apart else ("no vehicle was said",)
    return AnswerLine(
        tags=(row.tag,),
        names=(row.name,),
        grade=Grade.WONT_FIT if ban else Grade.NOT_COMPARED,
        price_cents=row.price_cents,
        core_cents=row.core_cents,
        condition=row.condition,
        where=(row.where,),
        donors=(row.vehicle,),
        seen_days=None,
        say=f"That must not be sold: {ban.why}." if ban else offered,
        reasons=(ban.why, ban.mend) if ban else reasons,
    )


def _fit_rows(book: Book, tag: str, on: date | None) -> tuple[TypedRow, ...]:
    rows = []
    for row in fits(book, tag, on=on)[:MOST]:
        years = str(row.year_from) if row.year_from == row.year_to else f"{row.year_from}-{row.year_to}"
        told = row.line.consequences or row.line.unknowns
        but = f": {'; '.join(told)}" if told else ""
        rows.append(TypedRow("fit", row.model, f"{years} {row.vehicle}{but}", row.said))
    return tuple(rows)


def _of_ticket(book: Book, match: ColumnElement[bool]) -> Typed | None:
    with book.read() as session:
        found = session.scalar(select(SaleTicket).where(match))
        if found is None:
            return None
        row = ticket_row(session, found)
    who = f" for {row.customer}" if row.customer else ""
    title = f"ticket {row.number}{who}: {row.state}, {dollars(row.total_cents)} {row.paid_how}".rstrip()
    lines = tuple(TypedRow("line", line.tag, f"{line.tag}  {line.words}") for line in row.lines)
    return Typed(TypedKind.TICKET, str(row.number), title, lines, ticket=row)


def _of_customer(book: Book, phone: str, digits: str) -> Typed:
    with book.read() as session:
        holds = [row for row in _held(session) if _same_phone(row[0].phone, digits)]
        wants = [row for row in session.scalars(_WANTS) if _same_phone(row.phone, digits)]
        names = {row[0].name for row in holds} | {row.name for row in wants}
        rows = _customer_rows(session, holds, wants, [*names, phone])
    who = ", ".join(sorted(name for name in names if name))
    title = f"{phone}: {who}" if who else f"{phone}: nobody of that number is in the book"
    return Typed(TypedKind.CUSTOMER, phone, title, rows)


def _of_name(book: Book, name: str) -> Typed | None:
    """Whoever has something held or wanted now under this very name; None for other words."""
    same = name.lower()
    with book.read() as session:
        held = select(Hold, Part).join(Part, Part.id == Hold.part_id).where(Hold.ended_at.is_(None))
        holds = [(hold, part) for hold, part in session.execute(held.where(func.lower(Hold.name) == same))]
        wants = session.scalars(select(Want).where(Want.open, func.lower(Want.name) == same)).all()
        told = [*((hold.name, hold.phone) for hold, _ in holds), *((want.name, want.phone) for want in wants)]
        if not told:
            return None
        rows = _customer_rows(session, holds, wants, [named for named, _ in told])
    named, phones = told[0][0], ", ".join(dict.fromkeys(phone for _, phone in told if phone))
    return Typed(TypedKind.CUSTOMER, named, ": ".join(filter(None, (named, phones))), rows)


def _customer_rows(
    session: Session, holds: Sequence[tuple[Hold, Part]], wants: Sequence[Want], names: Sequence[str]
) -> tuple[TypedRow, ...]:
    """What a customer has held, wanted and bought, the newest first."""
    mine = select(SaleTicket).where(SaleTicket.customer.in_(names), SaleTicket.customer != "")
    tickets = session.scalars(mine.order_by(SaleTicket.number.desc()).limit(MOST)).all()
    return (
        *(_hold_row(hold, part) for hold, part in holds if hold.ended_at is None),
        *(TypedRow("want", str(row.number), f"want {row.number}: {row.words}") for row in wants if row.open),
        *(TypedRow("ticket", str(row.number), _ticket_words(row)) for row in tickets),
    )


_WANTS = select(Want).where(Want.phone != "").order_by(Want.number.desc())


def _held(session: Session) -> list[tuple[Hold, Part]]:
    query = select(Hold, Part).join(Part, Part.id == Hold.part_id).where(Hold.phone != "")
    return [(hold, part) for hold, part in session.execute(query.order_by(Hold.number.desc()))]


def _same_phone(kept: str, digits: str) -> bool:
    """The same number, also where one is written with its country or area code."""
    own = "".join(letter for letter in kept if letter.isdigit())
    return len(own) >= LEAST_DIGITS and (own.endswith(digits) or digits.endswith(own))


def _open_holds(tags: Sequence[str]) -> Select[Hold, Part]:
    return select(Hold, Part).join(Part, Part.id == Hold.part_id).where(Part.tag.in_(tags), Hold.ended_at.is_(None))


def _hold_row(hold: Hold, part: Part) -> TypedRow:
    deposit = f", {dollars(hold.deposit_cents)} deposit" if hold.deposit_cents else ""
    return TypedRow("hold", part.tag, f"held {part.tag} for {hold.name} until {say_time(hold.until)}{deposit}")


def held_part(book: Book, tag: str, *, on: date | None = None) -> tuple[str, AnswerLine]:
    """Whom a part is held for, and the part as he comes for it, with nothing said of what it is for.

    Raises:
        NotFound: the tag is not ours, or not held any more.
    """
    with book.read() as session:
        row = part_row(session, find_part(session, tag))
        found = session.execute(_open_holds([row.tag])).first()
    if found is None:
        raise NotFound(f"{row.tag} is not held", "Type its tag to see who has it.", place="tag")
    return found[0].name, _alone(book, row, on)


def _ticket_words(row: SaleTicket) -> str:
    paid = say_time(row.paid_at) if row.paid_at and row.state is TicketState.PAID else str(row.state)
    return f"ticket {row.number}: {dollars(row.total_cents)}, {paid}"
