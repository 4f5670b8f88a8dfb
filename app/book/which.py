"""Which design is this piece? The book's designs of a part type as a closed list for the look-alikes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from app.book.facts import fact_named, read_fact, tool_named
from app.book.harvest import find_type
from app.book.schema import Design, DesignFact, Fact, PartType
from app.book.work import Book
from app.errors import BadInput
from app.fit.lengths import LengthError, Tool, measured, parse_length, usual_doubt_mm
from app.fit.lookalikes import readings
from app.fit.lookalikes.asking import Ask
from app.fit.lookalikes.odds import MISREAD
from app.fit.lookalikes.which import Answer, which_one
from app.fit.terms import FactKind

CALIPER_OPENS_MM = 152.4
"""A dial caliper opens six inches. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Read:
    """What was read on the piece as typed; `tool` for a length, a hook tape when none is named."""

    fact: str
    value: str
    tool: str = ""


def which_part(book: Book, part_type: str, taken: Sequence[Read], *, misread: float = MISREAD) -> Answer:
    """Hold what was read against every design the book has of a part type, or of all types under a wider name.

    Raises:
        NotFound: no part type has that name. BadInput: there is no such fact, or what was read cannot be.
        LookalikeError: the book has no design of it, or a fact was read twice.
    """
    with book.read() as session:
        kinds = _kinds(session, part_type)
        facts = {row.id: row for row in session.scalars(select(Fact))}
        designs = _designs(session, kinds, facts)
        known = {fact for design in designs for fact in design.traits}
        read = [_reading(session, each) for each in taken]
        _refuse_unknown(read, known, part_type)
        asks = _asks([fact for fact in facts.values() if fact.name in known], designs, read)
    return which_one(designs, read, asks, misread=misread)


def _kinds(session: Session, name: str) -> list[int]:
    plain = " ".join(name.lower().split())
    named = or_(func.lower(PartType.name) == plain, func.lower(PartType.wider) == plain)
    return list(session.scalars(select(PartType.id).where(named))) or [find_type(session, name).id]


def _designs(session: Session, kinds: Sequence[int], facts: Mapping[int, Fact]) -> list[readings.Design]:
    rows = session.scalars(select(Design).where(Design.part_type_id.in_(kinds)).order_by(Design.code)).all()
    traits: dict[int, dict[str, readings.Trait]] = {row.id: {} for row in rows}
    for each in session.scalars(select(DesignFact).where(DesignFact.design_id.in_(traits)).order_by(DesignFact.id)):
        fact = facts[each.fact_id]
        traits[each.design_id][fact.name] = _trait(fact, each)
    return [readings.Design(row.code, row.name, traits[row.id]) for row in rows]


def _trait(fact: Fact, row: DesignFact) -> readings.Trait:
    if fact.kind is not FactKind.LENGTH:
        return row.value
    try:
        return readings.Size(parse_length(row.value, fact.unit or "in").mm, row.u_mm or 0.0)
    except LengthError:
        return row.value


def _reading(session: Session, taken: Read) -> readings.Reading:
    fact = fact_named(session, taken.fact)
    if fact.kind is not FactKind.LENGTH:
        return readings.Reading(fact.name, read_fact(fact, taken.value))
    found = measured(taken.value, tool_named(taken.tool or Tool.HOOK_TAPE), default_unit=fact.unit or "in")
    return readings.Reading(fact.name, readings.Size(found.length.mm, found.u_mm), found.length.unit)


def _refuse_unknown(read: Sequence[readings.Reading], known: set[str], part_type: str) -> None:
    for each in read:
        if each.fact not in known:
            raise BadInput(
                f"no design of {part_type} has {each.fact} on record",
                f"Take one of: {', '.join(sorted(known)) or 'none yet'}.",
                place=each.fact,
            )


def _asks(facts: Sequence[Fact], designs: Sequence[readings.Design], read: Sequence[readings.Reading]) -> list[Ask]:
    taken = {each.fact: each.value for each in read}
    asks = []
    for fact in facts:
        if fact.kind is FactKind.LENGTH:
            asks += _by_tools(fact, designs, taken.get(fact.name))
        elif fact.name not in taken:
            asks.append(Ask(fact.name, fact.effort, question=fact.question))
    return asks


def _by_tools(fact: Fact, designs: Sequence[readings.Design], taken: readings.Trait | None) -> list[Ask]:
    """A length by each tool that suits it; one already read only by a finer tool. A finer tool costs one more."""
    sizes = readings.sizes_of(designs, fact.name)
    if not sizes:
        return []
    longest = max(size.mm for size in sizes)
    finer = Tool.DIAL_CALIPER if longest <= CALIPER_OPENS_MM else Tool.TRAM_GAUGE
    found = []
    for more, tool in enumerate((Tool.HOOK_TAPE, finer)):
        u_mm = usual_doubt_mm(tool, longest)
        if not isinstance(taken, readings.Size) or u_mm < taken.u_mm:
            found.append(Ask(fact.name, fact.effort + more, u_mm, str(tool), fact.question))
    return found
