"""Sets quoted or held as one: all tags at one price, all or none, and short the moment one piece goes.

A quote keeps nothing; it is a line of the history, open for the days the setting says.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.accepting import NOTHING_AGAINST, Acceptance, refuse_unaccepted
from app.book.behind import Behind, read_behind
from app.book.holds import HOLD_SET, SETS
from app.book.lawful import refuse_banned
from app.book.lumps import asking_price
from app.book.money import dollars
from app.book.parts import find_part
from app.book.sales import Basket, Line, sell_in, split
from app.book.schema import History, Hold, Outcome, Part, SaleLine, SaleTicket, Standing
from app.book.tickets import SoldRow
from app.book.times import say_time
from app.book.work import Book, Who, Work
from app.book.written import ToWrite, to_write
from app.errors import BadInput, NotFound, Refused
from app.fit.terms import Grade

QUOTE, CLOSE_QUOTE, QUOTES = "quote", "close quote", "quotes"
WHOLE = "whole"


@dataclass(frozen=True, slots=True)
class SetRow:
    """A set that was quoted or is held; `state` is whole, or set_short with a line in `short` for each piece gone."""

    kind: str
    number: int
    name: str
    phone: str
    tags: tuple[str, ...]
    price_cents: int
    at: datetime
    until: datetime
    by: str
    state: str
    short: tuple[str, ...]
    accepted: str = ""

    @property
    def words(self) -> str:
        """The set in one line."""
        gone = f", short: {'; '.join(self.short)}" if self.short else ""
        said = f", {self.accepted}" if self.accepted else ""
        tags = " + ".join(self.tags)
        return f"{self.kind} {self.number} for {self.name}: {tags}, {dollars(self.price_cents)}{said}{gone}"


@dataclass(frozen=True, slots=True)
class Quoted:
    """Tags that one answer puts together, and what was said of them on the customer's vehicle.

    `price_cents` None is the sum they ask.
    """

    tags: tuple[str, ...]
    price_cents: int | None = None
    grade: str = ""
    behind: Behind | None = None
    accepted: Acceptance = NOTHING_AGAINST

    def as_record(self) -> dict[str, object]:
        """As the history keeps it of each tag."""
        stands_on = self.behind.as_record() if self.behind else None
        return {"grade": self.grade, "behind": stands_on, "against": self.accepted.against}


def quote(
    book: Book,
    who: Who,
    tags: Sequence[str],
    name: str,
    phone: str = "",
    *,
    price_cents: int | None = None,
    grade: str = "",
    behind: Behind | None = None,
    accepted: Acceptance = NOTHING_AGAINST,
) -> SetRow:
    """Quote tags as one, all or none, at the sum they ask or at a price for all.

    Raises:
        NotFound, BadInput, Refused: as for several answers.
    """
    return quote_together(book, who, [Quoted(tuple(tags), price_cents, grade, behind, accepted)], name, phone)


def quote_together(book: Book, who: Who, answers: Sequence[Quoted], name: str, phone: str = "") -> SetRow:
    """Quote several answers as one, all or none, each tag with what was said of its own.

    Raises:
        NotFound: a tag is not ours. BadInput: no name, no tag, or one twice.
        Refused: one is not free to sell, law forbids it, or it won't fit or is short on the vehicle stated and
            nobody accepted that in writing.
    """
    tags = [tag for each in answers for tag in each.tags]
    if not name.strip():
        raise BadInput("a quote needs a name", "Say for whom.", place="name")
    if not tags or len({tag.upper() for tag in tags}) != len(tags):
        raise BadInput("no tag, or one of them twice", "Name each tag of the set once.", place="tags")
    with book.write(who) as work:
        found = [[find_part(work.session, tag) for tag in each.tags] for each in answers]
        parts = [part for group in found for part in group]
        lost = [words for part in parts if (words := _lost(work.session, part, name, work.now))]
        if lost:
            raise Refused("; ".join(lost), "Quote others.", action=QUOTE, subject=", ".join(tags))
        refuse_banned(work, parts, QUOTE)
        for each in answers:
            refuse_unaccepted(work, each.tags, each.accepted, each.grade, each.behind, QUOTE)
        return _noted(work, list(zip(answers, found, strict=True)), name.strip(), phone)


def _noted(work: Work, found: Sequence[tuple[Quoted, Sequence[Part]]], name: str, phone: str) -> SetRow:
    """The quote as it is written into the history."""
    prices = [cents for each, parts in found for cents in _prices(work.session, parts, each.price_cents)]
    accepted = [each.accepted for each, _ in found if each.accepted.against]
    details: dict[str, Any] = {
        "number": work.number(QUOTES), "name": name, "phone": phone,
        "tags": [part.tag for _, parts in found for part in parts], "prices": prices,
        "until": (work.now + timedelta(days=float(work.settings.quote_days))).isoformat(),
        "said": {part.tag: each.as_record() for each, parts in found for part in parts},
        "accepted": accepted[0].words.strip() if accepted else "",
        "against": "; ".join(dict.fromkeys(each.against for each in accepted)),
    }  # fmt: skip
    told = f"{', '.join(details['tags'])} for {name}, {dollars(sum(prices))} all or none"
    told = "; ".join(words for words in (told, _accepted(details).said) if words)
    work.note(QUOTE, QUOTES, told, **details)
    work.session.flush()
    return _row(work.session, _open_quote(work.session, work.now, details["number"]), work.now)


def _prices(session: Session, parts: Sequence[Part], price_cents: int | None) -> list[int]:
    """What each part asks, or its share of a price for all; of those that ask nothing the first has it all."""
    asked = [asking_price(session, part) for part in parts]
    if price_cents is None:
        return asked
    return split(price_cents, asked) if any(asked) else [price_cents, *[0] * (len(parts) - 1)]


def open_sets(book: Book) -> tuple[SetRow, ...]:
    """Open quotes and held sets, the short ones first, then by their end."""
    with book.read() as session:
        now = book.clock()
        rows = [_row(session, line, now) for line in _open_quotes(session, now).values()]
        held = (_held_row(session, line, now) for line in _lines(session, SETS, HOLD_SET))
        rows += [row for row in held if row is not None]
    return tuple(sorted(rows, key=lambda row: (row.state == WHOLE, row.until, row.kind, row.number)))


def close_quote(book: Book, who: Who, number: int, why: str) -> str:
    """Close an open quote, with the reason.

    Raises:
        NotFound: there is no such open quote. BadInput: no reason.
    """
    if not why.strip():
        raise BadInput("closing a quote needs a reason", "Say why.", place="why")
    with book.write(who) as work:
        line = _open_quote(work.session, work.now, number)
        return _close(work, line, why.strip())


def quote_tags(book: Book, number: int) -> tuple[str, ...]:
    """The tags of an open quote.

    Raises:
        NotFound: there is no such open quote.
    """
    with book.read() as session:
        return tuple(_open_quote(session, book.clock(), number).details["tags"])


def quote_to_write(book: Book, number: int) -> tuple[ToWrite, ...]:
    """What must be asked for before a quote is sold, for a rule wants it on the ticket.

    Raises:
        NotFound: there is no such open quote.
    """
    with book.read() as session:
        kept = _open_quote(session, book.clock(), number).details
    return to_write(book, [(tag, _behind(_said(kept, tag))) for tag in kept["tags"]])


def sell_quote(
    book: Book,
    who: Who,
    number: int,
    paid_how: str = "cash",
    slip: str = "",
    written: Mapping[str, str] | None = None,
) -> SoldRow:
    """Sell a quoted set at its price on one ticket, all or none, and close the quote.

    Raises:
        NotFound: there is no such open quote. NotForSale: a piece is gone; then nothing is sold.
        Refused: what a rule wants on the ticket is not in `written`.
    """
    with book.write(who) as work:
        line = _open_quote(work.session, work.now, number)
        kept = line.details
        lines = [
            _line(kept, tag, price, written or {}) for tag, price in zip(kept["tags"], kept["prices"], strict=True)
        ]
        sold = sell_in(work, Basket(lines, customer=kept["name"], paid_how=paid_how, slip=slip))
        _close(work, line, f"sold on ticket {sold.number}")
        return sold


def _line(kept: Mapping[str, Any], tag: str, price: int, written: Mapping[str, str]) -> Line:
    """A tag of a quote as it goes on the ticket."""
    said = _said(kept, tag)
    grade = said.get("grade") or (str(Grade.SET) if len(kept["tags"]) > 1 else "")
    accepted = Acceptance(said.get("against", ""), kept.get("accepted", "") if said.get("against") else "")
    return Line(tag, price, grade=grade, behind=_behind(said), accepted=accepted, written=written)


def _said(kept: Mapping[str, Any], tag: str) -> Mapping[str, Any]:
    """What was said of one tag of a quote; a quote of one answer may have kept it of all together."""
    said: Mapping[str, Any] = kept.get("said", {}).get(tag, kept)
    return said


def _behind(kept: Mapping[str, Any]) -> Behind | None:
    return read_behind(kept["behind"]) if kept.get("behind") else None


def _accepted(kept: Mapping[str, Any]) -> Acceptance:
    return Acceptance(kept.get("against", ""), kept.get("accepted", ""))


def _close(work: Work, line: History, why: str) -> str:
    number = int(line.details["number"])
    told = f"quote {number} for {line.details['name']} is closed: {why}"
    work.note(CLOSE_QUOTE, QUOTES, told, number=number)
    return told


def _lines(session: Session, subject: str, *actions: str) -> Iterator[History]:
    query = select(History).where(History.subject == subject, History.outcome == Outcome.DONE)
    yield from session.scalars(query.where(History.action.in_(actions)).order_by(History.id))


def _open_quotes(session: Session, now: datetime) -> dict[int, History]:
    found: dict[int, History] = {}
    for line in _lines(session, QUOTES, QUOTE, CLOSE_QUOTE):
        if line.action == CLOSE_QUOTE:
            found.pop(int(line.details["number"]), None)
        elif datetime.fromisoformat(line.details["until"]) > now:
            found[int(line.details["number"])] = line
    return found


def _open_quote(session: Session, now: datetime, number: int) -> History:
    line = _open_quotes(session, now).get(number)
    if line is None:
        raise NotFound(f"no quote {number} is open", "See them with: donorbook set list.", place="quote")
    return line


def _row(session: Session, line: History, now: datetime) -> SetRow:
    kept = line.details
    parts = [find_part(session, tag) for tag in kept["tags"]]
    return _set_row(line, QUOTE, sum(kept["prices"]), [_lost(session, part, kept["name"], now) for part in parts])


def _held_row(session: Session, line: History, now: datetime) -> SetRow | None:
    """A held set as long as its time is not over and one of its holds is open."""
    kept = line.details
    if datetime.fromisoformat(kept["until"]) <= now:
        return None
    holds = {row.part_id: row for row in session.scalars(select(Hold).where(Hold.number.in_(kept["holds"])))}
    if all(row.ended_at is not None for row in holds.values()):
        return None
    parts = [find_part(session, tag) for tag in kept["tags"]]
    lost = [_lost(session, part, kept["name"], now) or _let_go(part, holds.get(part.id)) for part in parts]
    return _set_row(line, "hold", sum(asking_price(session, part) for part in parts), lost)


def _set_row(line: History, kind: str, price_cents: int, lost: Sequence[str]) -> SetRow:
    kept = line.details
    short = tuple(words for words in lost if words)
    return SetRow(
        kind=kind,
        number=int(kept["number"]),
        name=kept["name"],
        phone=kept.get("phone", ""),
        tags=tuple(kept["tags"]),
        price_cents=price_cents,
        at=line.at,
        until=datetime.fromisoformat(kept["until"]),
        by=line.by,
        state=str(Grade.SET_SHORT) if short else WHOLE,
        short=short,
        accepted=_accepted(kept).said,
    )


def _let_go(part: Part, row: Hold | None) -> str:
    if row is None or row.ended_at is None:
        return ""
    return f"the hold of {part.tag} ended: {row.ended_why}"


def _lost(session: Session, part: Part, name: str, now: datetime) -> str:
    """Why a piece of a set for somebody is not to be had any more; empty while it is."""
    if part.standing is Standing.FREE:
        return ""
    if part.standing is Standing.HELD:
        row = session.scalar(select(Hold).where(Hold.part_id == part.id, Hold.ended_at.is_(None)))
        own = row is not None and row.name.casefold() == name.strip().casefold()
        return (
            ""
            if own or row is None or row.until <= now
            else f"{part.tag} is held for {row.name} until {say_time(row.until)}"
        )
    if part.standing in (Standing.ON_TICKET, Standing.SOLD):
        return _ticket_words(session, part, name)
    return f"{part.tag} is {part.standing}{f': {part.block_reason}' if part.block_reason else ''}"


def _ticket_words(session: Session, part: Part, name: str) -> str:
    ticket = session.scalar(
        select(SaleTicket)
        .join(SaleLine, SaleLine.ticket_id == SaleTicket.id)
        .where(SaleLine.part_id == part.id, SaleLine.live)
    )
    if ticket is None:
        return f"{part.tag} is {part.standing}"
    own = ticket.customer.casefold() == name.strip().casefold()
    if part.standing is Standing.ON_TICKET and own:
        return ""
    return (
        f"{part.tag} is {part.standing} {ticket.number}"
        if part.standing is Standing.ON_TICKET
        else (f"{part.tag} was sold on ticket {ticket.number}")
    )
