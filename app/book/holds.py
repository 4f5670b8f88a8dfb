"""Holding parts for somebody: one, a set all or none, a lump with its pieces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from sqlalchemy import select, update

from app.book.behind import Behind
from app.book.keeping import free_expired, free_hold, why_not_for_sale
from app.book.lawful import refuse_banned, refuse_by_law
from app.book.lumps import asking_price, pieces_on
from app.book.money import CASH, PAID_HOW, dollars, percent_of
from app.book.parts import find_part
from app.book.schema import Hold, Part, Standing
from app.book.tags import clean
from app.book.times import say_time
from app.book.work import Book, Who, Work
from app.errors import BadInput, NotFound

HOLD_SET, SETS = "hold set", "held sets"
"""The verb of a set's hold, and what its history line is about."""


@dataclass(frozen=True, slots=True)
class Held:
    """A hold as it was made."""

    number: int
    tag: str
    name: str
    until: datetime
    words: str
    deposit_cents: int = 0


@dataclass(frozen=True, slots=True)
class HeldSet:
    """Several parts held as one."""

    number: int
    tags: tuple[str, ...]
    name: str
    until: datetime
    words: str
    deposit_cents: int = 0


@dataclass(frozen=True, slots=True)
class _For:
    """For whom parts are held, and until when."""

    name: str
    phone: str
    until: datetime


def hold(
    book: Book,
    who: Who,
    tag: str,
    name: str,
    phone: str = "",
    *,
    hours: Decimal | None = None,
    behind: Behind | None = None,
) -> Held:
    """Keep a part for somebody: a day for nothing; longer needs a deposit (see hold_longer).

    A lump is held with its pieces. `behind` is what a word of "won't fit" stood on, where that was said.

    Raises:
        NotForSale: it is not free. BadInput: no name, or longer than the yard holds for nothing.
        Refused: law forbids it, for any vehicle or for the one that was stated.
    """
    with book.write(who) as work:
        kept = _for(work, name, phone, hours)
        part = find_part(work.session, tag)
        refuse_by_law(work, part, behind, "hold")
        row = _keep_for(work, part, kept)
        words = f"{part.tag} held for {row.name} until {say_time(kept.until)}"
        work.note("hold", part.tag, words, until=kept.until.isoformat())
        return Held(row.number, part.tag, row.name, kept.until, words)


def hold_longer(
    book: Book,
    who: Who,
    tag: str,
    name: str,
    phone: str = "",
    *,
    days: Decimal | None = None,
    paid_how: str = CASH,
    behind: Behind | None = None,
) -> Held:
    """Keep a part for days against a deposit, a share of its price that comes off the final ticket.

    No tax is due on a deposit. `days` is the longest the yard holds where none is said.

    Raises:
        NotForSale: it is not free. BadInput: no name, longer than the yard holds, or no way to pay.
        Refused: law forbids it, as for `hold`.
    """
    _check_paid(paid_how)
    with book.write(who) as work:
        kept = _for_days(work, name, phone, days)
        part = find_part(work.session, tag)
        refuse_by_law(work, part, behind, "hold")
        row = _keep_for_deposit(work, part, kept)
        deposit = f"{dollars(row.deposit_cents)} deposit {paid_how}"
        words = f"{part.tag} held for {row.name} until {say_time(kept.until)}, {deposit}"
        details = {"until": kept.until.isoformat(), "deposit_cents": row.deposit_cents, "paid_how": paid_how}
        work.note("hold", part.tag, words, **details)
        return Held(row.number, part.tag, row.name, kept.until, words, row.deposit_cents)


def _check_paid(paid_how: str) -> None:
    if paid_how not in PAID_HOW:
        raise BadInput(f"{paid_how!r} is no way to pay here", f"Say {', '.join(PAID_HOW)}.", place="paid")


def _keep_for_deposit(work: Work, part: Part, kept: _For) -> Hold:
    """Hold a part against its share of the deposit."""
    row = _keep_for(work, part, kept)
    row.deposit_cents = percent_of(asking_price(work.session, part), work.settings.hold_deposit_percent)
    return row


def _for_days(work: Work, name: str, phone: str, days: Decimal | None) -> _For:
    if not name.strip():
        raise BadInput("a hold needs a name", "Say for whom.", place="name")
    most = work.settings.hold_deposit_days
    wanted = most if days is None else days
    if not 0 < wanted <= most:
        raise BadInput(f"{wanted} days: the yard holds {most} at most", "Hold shorter.", place="days")
    return _For(name.strip(), phone, work.now + timedelta(days=float(wanted)))


def hold_set(
    book: Book,
    who: Who,
    tags: Sequence[str],
    name: str,
    phone: str = "",
    *,
    hours: Decimal | None = None,
    behind: Mapping[str, Behind] | None = None,
) -> HeldSet:
    """Keep several parts for somebody, all or none.

    `behind` is by tag what a word of "won't fit" stood on, where that was said.

    Raises:
        NotForSale: one of them is not free; then none is held. BadInput: as for one, or no tag, or one twice.
        Refused: law forbids one of them.
    """
    wanted = _each_once(tags)
    with book.write(who) as work:
        kept = _for(work, name, phone, hours)
        rows = [_keep_for(work, part, kept) for part in _in_one_order(work, wanted, behind or {})]
        return _noted(work, wanted, kept, rows)


def hold_set_longer(
    book: Book,
    who: Who,
    tags: Sequence[str],
    name: str,
    phone: str = "",
    *,
    days: Decimal | None = None,
    paid_how: str = CASH,
    behind: Mapping[str, Behind] | None = None,
) -> HeldSet:
    """Keep several parts for days, all or none, against a deposit on each; `behind` as for `hold_set`.

    Raises:
        NotForSale: one of them is not free; then none is held. BadInput: as for one, or no tag, or one twice.
        Refused: law forbids one of them.
    """
    _check_paid(paid_how)
    wanted = _each_once(tags)
    with book.write(who) as work:
        kept = _for_days(work, name, phone, days)
        rows = [_keep_for_deposit(work, part, kept) for part in _in_one_order(work, wanted, behind or {})]
        return _noted(work, wanted, kept, rows, paid_how)


def _each_once(tags: Sequence[str]) -> list[str]:
    wanted = [clean(tag) for tag in tags]
    if not wanted or len(set(wanted)) != len(wanted):
        raise BadInput("no tag, or one of them twice", "Name each tag of the set once.", place="tags")
    return wanted


def _in_one_order(work: Work, tags: Sequence[str], behind: Mapping[str, Behind]) -> list[Part]:
    """The parts in the same order for everybody, so that two sets that share some cannot wait for each other."""
    parts = sorted((find_part(work.session, tag) for tag in tags), key=lambda each: each.id)
    for part in parts:
        refuse_by_law(work, part, behind.get(part.tag), "hold")
    return parts


def _noted(work: Work, wanted: Sequence[str], kept: _For, rows: Sequence[Hold], paid_how: str = "") -> HeldSet:
    """The set as it is held, written into the history."""
    found = tuple(find_part(work.session, tag).tag for tag in wanted)
    number, deposit = work.number(SETS), sum(row.deposit_cents for row in rows)
    paid = f", {dollars(deposit)} deposit {paid_how}" if paid_how else ""
    words = f"{', '.join(found)} held for {kept.name} until {say_time(kept.until)}, all or none{paid}"
    details = {"number": number, "tags": list(found), "holds": [row.number for row in rows]}
    if paid_how:
        details |= {"deposit_cents": deposit, "paid_how": paid_how}
    work.note(HOLD_SET, SETS, words, name=kept.name, phone=kept.phone, until=kept.until.isoformat(), **details)
    return HeldSet(number, found, kept.name, kept.until, words, deposit)


def _for(work: Work, name: str, phone: str, hours: Decimal | None) -> _For:
    if not name.strip():
        raise BadInput("a hold needs a name", "Say for whom.", place="name")
    free = work.settings.hold_hours
    wanted = free if hours is None else hours
    if not 0 < wanted <= free:
        raise BadInput(f"{wanted} h: the yard holds {free} h for nothing", "Hold shorter.", place="hours")
    return _For(name.strip(), phone, work.now + timedelta(hours=float(wanted)))


def _keep_for(work: Work, part: Part, kept: _For) -> Hold:
    """Hold a part and the pieces that hang on it; the row of the part itself."""
    pieces = list(pieces_on(work.session, part))
    row, *_ = [_keep_one(work, each, kept) for each in (part, *pieces)]
    refuse_banned(work, (part, *pieces), "hold")
    return row


def _keep_one(work: Work, part: Part, kept: _For) -> Hold:
    free_expired(work, part)
    free_hold(work, part, "")
    free = update(Part).where(Part.id == part.id, Part.standing == Standing.FREE).values(standing=Standing.HELD)
    if work.session.execute(free.returning(Part.id)).scalar() is None:
        raise why_not_for_sale(work, part)
    row = Hold(
        number=work.number("holds"),
        part_id=part.id,
        name=kept.name,
        phone=kept.phone,
        made_at=work.now,
        until=kept.until,
        by=work.who.code,
    )
    work.session.add(row)
    work.session.flush()
    return row


def release_hold(book: Book, who: Who, tag: str, why: str = "released") -> str:
    """End a hold; the part is free again, and with a lump the pieces held with it."""
    with book.write(who) as work:
        part = find_part(work.session, tag)
        open_hold = work.session.scalar(select(Hold).where(Hold.part_id == part.id, Hold.ended_at.is_(None)))
        if open_hold is None:
            raise NotFound(f"{part.tag} is not held", "", place="tag")
        end_hold(work, open_hold, why)
        for piece in pieces_on(work.session, part):
            its = select(Hold).where(Hold.part_id == piece.id, Hold.ended_at.is_(None), Hold.name == open_hold.name)
            for row in work.session.scalars(its).all():
                end_hold(work, row, why)
        words = f"{part.tag} is free again: {why}"
        work.note("release hold", part.tag, words)
        return words


def end_hold(work: Work, row: Hold, why: str) -> None:
    """End one open hold and free its part."""
    row.ended_at, row.ended_why = work.now, why
    freed = update(Part).where(Part.id == row.part_id, Part.standing == Standing.HELD)
    work.session.execute(freed.values(standing=Standing.FREE))
    work.session.flush()
