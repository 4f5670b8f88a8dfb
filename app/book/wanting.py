"""Wants: what nobody could sell, kept with all that it can mean, and who is to be called when it comes in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.asking import answer_again
from app.book.knowing import Knowing, knowing
from app.book.parts import find_part
from app.book.schema import Model, PartType, Want
from app.book.times import local_day
from app.book.words.linereading import years_words
from app.book.work import Book, Who
from app.errors import BadInput, YardError
from app.fit.answers import Answer, AnswerLine, Asked
from app.fit.terms import Grade, Side
from app.fit.values import number
from app.fit.wants import AT_MOST, LESS_THAN

PARTS, VEHICLES, PIECES, WISHES, YEARS = "parts", "vehicles", "pieces", "wishes", "year"
"""What a want keeps beside the facts of the vehicle: all meanings where there are several, a count, requirements."""
_NO_FACTS = frozenset({PARTS, VEHICLES, PIECES, WISHES, YEARS})


@dataclass(frozen=True, slots=True)
class WantRow:
    """A want as it is called back; `parts` and `vehicles` are all that it may mean, `wishes` what was required.

    `here` are the tags that answer it now, where that was looked up.
    """

    number: int
    words: str
    name: str
    phone: str
    most_cents: int | None
    made_at: datetime
    open: bool
    parts: tuple[str, ...] = ()
    vehicles: tuple[str, ...] = ()
    pieces: int | None = None
    wishes: tuple[str, ...] = ()
    here: tuple[str, ...] = ()

    @property
    def call(self) -> str:
        """Whom to call, and about what."""
        who = " ".join(word for word in (self.name, self.phone) if word)
        return f"call {who}: want {self.number}, {self.words}"


def write_want(
    book: Book,
    who: Who,
    found: Answer,
    name: str,
    phone: str = "",
    most_cents: int | None = None,
    *,
    as_said: bool = False,
) -> WantRow:
    """Keep an ask that found nothing good for when the part comes in, with all parts and vehicles it can mean.

    The most somebody pays is what was said in the words where it is not given. `as_said` keeps words of which no
    part was understood; nobody is called for these but by whoever reads them.

    Raises:
        BadInput: neither a name nor a phone number to call, or no part was understood.
    """
    if not name.strip() and not phone.strip():
        raise BadInput("nobody to call", "Write a name or a phone number.", place="name")
    asked = found.asked
    parts = asked.part_types or _open_parts(asked)
    if not parts and not as_said:
        said = f"no part is understood in {asked.words!r}"
        raise BadInput(said, "Say which part, or keep the words as they were said.", place="as_said")
    with book.write(who) as work:
        types = {row.name: row.id for row in work.session.scalars(select(PartType).where(PartType.name.in_(parts)))}
        models = work.session.scalars(select(Model.id).where(Model.key.in_(asked.models))).all()
        row = Want(
            number=work.number("wants"),
            words=asked.words,
            part_type_id=next(iter(types.values())) if len(types) == 1 else None,
            model_id=models[0] if len(models) == 1 else None,
            year=asked.year,
            side=str(asked.side),
            facts=_told(asked, [each for each in parts if each in types]),
            name=name.strip(),
            phone=phone.strip(),
            most_cents=_most(asked) if most_cents is None else most_cents,
            made_at=work.now,
        )
        work.session.add(row)
        work.note("want", f"want {row.number}", f"{asked.words} for {name or phone}")
        work.session.flush()
        return _want_row(work.session, row)


def _open_parts(asked: Asked) -> tuple[str, ...]:
    """The parts that a word may mean of which nobody said yet which; a name that the yard does not have means none."""
    told = [each for each in asked.meanings if each.field == "part" and not each.unknown]
    return tuple(choice for each in told for choice in each.choices)


def _most(asked: Asked) -> int | None:
    """The most somebody pays by his own words, in cents: "at most $60", a cent less for "less than $60"; else None."""
    said = [each.rpartition(" $") for each in asked.wants]
    limits = [(op, number(amount)) for op, _, amount in said if op in (AT_MOST, LESS_THAN)]
    cents = [round(limit * 100) - (op == LESS_THAN) for op, limit in limits if limit]
    return min(cents) if cents else None


def _told(asked: Asked, parts: Sequence[str]) -> dict[str, Any]:
    """The facts of an ask, when it was built, and what columns of their own have no room for."""
    built = {"built": asked.built} if asked.built else {}
    more: dict[str, Any] = {
        YEARS: years_words(asked.said_years) if asked.year is None and asked.years else "",
        PARTS: list(parts) if len(parts) > 1 else [],
        VEHICLES: list(asked.models) if len(asked.models) > 1 else [],
        PIECES: asked.quantity,
        WISHES: list(asked.wants),
    }
    return {**asked.facts, **built, **{name: value for name, value in more.items() if value}}


def wants(book: Book, *, open_only: bool = True, limit: int = 200, look: bool = False) -> tuple[WantRow, ...]:
    """The newest wants first; with `look` each with the tags that answer it now."""
    query = select(Want).order_by(Want.number.desc()).limit(limit)
    if open_only:
        query = query.where(Want.open)
    with book.read() as session:
        rows = session.scalars(query).all()
        here = _here(session, rows, local_day(book.clock())) if look else {}
        return tuple(_want_row(session, row, here.get(row.number, ())) for row in rows)


def callers(book: Book, tag: str) -> tuple[WantRow, ...]:
    """Who is to be called about a part that came in: the open wants that it answers, the oldest first.

    Raises:
        NotFound: the tag is not ours.
    """
    with book.read() as session:
        part = find_part(session, tag)
        kind = session.get_one(PartType, part.part_type_id).name
        rows = session.scalars(select(Want).where(Want.open).order_by(Want.number)).all()
        meant = [row for row in rows if kind in _parts(session, row)]
        here = _here(session, meant, local_day(book.clock()))
        told = [_want_row(session, row, here.get(row.number, ())) for row in meant]
    return tuple(row for row in told if part.tag in row.here)


def _here(session: Session, rows: Sequence[Want], day: date) -> dict[int, tuple[str, ...]]:
    """The tags that answer each want now."""
    known = knowing(session)
    rows = [row for row in rows if _parts(session, row)]
    return {row.number: tuple(_answering(session, known, row, day)) for row in rows}


def _answering(session: Session, known: Knowing, row: Want, day: date) -> Iterator[str]:
    stated = Asked(row.words, _parts(session, row), Side(row.side), row.year, models=_vehicles(session, row))
    facts = {name: value for name, value in row.facts.items() if name not in _NO_FACTS}
    try:
        found = answer_again(session, known, row.words, stated, facts, day)
    except YardError:
        # A fact that the yard has forgotten since: whoever reads the want asks anew.
        return
    for line in found.answers:
        if _is_worth_a_call(line, row):
            yield from line.tags


def _is_worth_a_call(line: AnswerLine, row: Want) -> bool:
    """What fits, were it after a look or with work, for what he pays; of no vehicle whatever is of the kind."""
    of_vehicle = row.model_id is not None or VEHICLES in row.facts
    fits = line.grade.rank < Grade.SET_SHORT.rank or (not of_vehicle and line.grade is Grade.NOT_COMPARED)
    return fits and (row.most_cents is None or line.price_cents <= row.most_cents)


def _parts(session: Session, row: Want) -> tuple[str, ...]:
    if row.part_type_id is not None:
        return (session.get_one(PartType, row.part_type_id).name,)
    return tuple(row.facts.get(PARTS, ()))


def _vehicles(session: Session, row: Want) -> tuple[str, ...]:
    if row.model_id is not None:
        return (session.get_one(Model, row.model_id).key,)
    return tuple(row.facts.get(VEHICLES, ()))


def _want_row(session: Session, row: Want, here: tuple[str, ...] = ()) -> WantRow:
    return WantRow(
        number=row.number,
        words=row.words,
        name=row.name,
        phone=row.phone,
        most_cents=row.most_cents,
        made_at=row.made_at,
        open=row.open,
        parts=_parts(session, row),
        vehicles=_vehicles(session, row),
        pieces=row.facts.get(PIECES),
        wishes=tuple(row.facts.get(WISHES, ())),
        here=here,
    )
