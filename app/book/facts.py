"""Keeping facts of parts and vehicles: checked against the yard's list, typed words kept beside the figure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.schema import Donor, DonorFact, Fact, Part, PartFact
from app.book.times import local_day
from app.book.work import Work
from app.errors import BadInput
from app.fit.lengths import Tool, measured, with_unit
from app.fit.terms import FactKind

TODAY = "today"
"""What may be said for the day of a test or a look-up that was done just now."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A fact as seen or measured: what was typed, and with what tool a length was taken."""

    value: str
    tool: str = ""
    known_by: str = "seen"


def fact_named(session: Session, name: str) -> Fact:
    """The fact of a name.

    Raises:
        BadInput: the yard knows no such fact.
    """
    fact = session.scalar(select(Fact).where(Fact.name == name.strip()))
    if fact is None:
        raise BadInput(f"there is no fact {name!r}", "Take a fact the yard asks for.", place=name)
    return fact


def read_fact(fact: Fact, value: str) -> str:
    """A fact's value checked for its kind, written the one way the book writes it.

    Raises:
        BadInput: the value is none of the fact's choices, or no number, month or date.
    """
    value = value.strip()
    if fact.kind is FactKind.YES_NO:
        return _yes_no(fact, value)
    if fact.kind is FactKind.CHOICE and fact.choices:
        return _choice(fact, value)
    if fact.kind in (FactKind.COUNT, FactKind.NUMBER):
        return _number(fact, value)
    if fact.kind in (FactKind.MONTH, FactKind.DATE):
        return _day(fact, value)
    if not value:
        raise BadInput(f"{fact.name} is empty", "Type what was seen.", place=fact.name)
    return value


def _yes_no(fact: Fact, value: str) -> str:
    plain = {"y": "yes", "yes": "yes", "true": "yes", "n": "no", "no": "no", "false": "no"}.get(value.lower())
    if plain is None:
        raise BadInput(f"{value!r} is neither yes nor no", "Type yes or no.", place=fact.name)
    return plain


def _choice(fact: Fact, value: str) -> str:
    matching = [choice for choice in fact.choices if str(choice).lower() == value.lower()]
    if not matching:
        raise BadInput(
            f"{value!r} is none of the choices", f"Choose {' or '.join(map(str, fact.choices))}.", place=fact.name
        )
    return str(matching[0])


def _number(fact: Fact, value: str) -> str:
    plain = value.removesuffix(fact.unit).strip().replace(",", "")
    try:
        figure = float(plain)
    except ValueError:
        unit = fact.unit or "pieces"
        raise BadInput(f"{value!r} is not a number", f"Type a number of {unit}.", place=fact.name) from None
    if not 0 <= figure < float("inf"):
        raise BadInput(f"{value!r} cannot be", "Type a number that is not below zero.", place=fact.name)
    if fact.kind is FactKind.COUNT and figure != int(figure):
        raise BadInput(f"{value!r} is no count", "Type a whole number.", place=fact.name)
    return plain


def _day(fact: Fact, value: str) -> str:
    text = f"{value}-01" if fact.kind is FactKind.MONTH else value
    try:
        day = date.fromisoformat(text)
    except ValueError:
        shape = "2007-11" if fact.kind is FactKind.MONTH else "2026-03-01"
        raise BadInput(f"{value!r} is no {fact.kind}", f"Type it as {shape}.", place=fact.name) from None
    return f"{day:%Y-%m}" if fact.kind is FactKind.MONTH else day.isoformat()


def tool_named(said: str) -> Tool:
    """The measuring tool of a name.

    Raises:
        BadInput: there is no such tool.
    """
    try:
        return Tool(said.strip().lower())
    except ValueError:
        raise BadInput(f"{said!r} is no measuring tool", f"Tools are {', '.join(Tool)}.", place="tool") from None


def keep_part_facts(work: Work, part: Part, facts: Mapping[str, Seen]) -> tuple[str, ...]:
    """Write what was seen on a part, in the place of what was known; returns it in words, with what it was before.

    A length keeps what was typed beside its millimeters.
    """
    said = []
    for name, seen in facts.items():
        fact = fact_named(work.session, name)
        query = select(PartFact).where(PartFact.part_id == part.id, PartFact.fact_id == fact.id)
        row = work.session.scalar(query) or PartFact(part_id=part.id, fact_id=fact.id, value="")
        before = f" (was {row.value})" if row.value else ""
        row.tool, row.known_by = seen.tool, seen.known_by
        if fact.kind is FactKind.LENGTH:
            tool = tool_named(seen.tool or Tool.HOOK_TAPE)
            taken = measured(seen.value, tool, default_unit=fact.unit or "in")
            row.mm, row.u_mm = taken.length.mm, taken.u_mm
            row.tool, row.known_by = str(taken.tool), "measured"
            row.value = with_unit(taken.length.typed, fact.unit)
        else:
            row.value = read_fact(fact, _day_done(work, fact, seen.value))
        work.session.add(row)
        said.append(f"{fact.name}: {row.value}{before}")
    return tuple(said)


def _day_done(work: Work, fact: Fact, value: str) -> str:
    """The day of a test or a look-up as it is written; none is still to come."""
    plain, today = value.strip(), local_day(work.now).isoformat()
    if fact.kind is not FactKind.DATE:
        return value
    if plain.lower() == TODAY:
        return today
    if read_fact(fact, plain) > today:
        raise BadInput(f"{plain} is still to come", f"Type the day it was done, or {TODAY}.", place=fact.name)
    return plain


def keep_donor_facts(work: Work, donor: Donor, facts: Mapping[str, str]) -> None:
    """Write a vehicle's options and looks into the book."""
    for name, value in facts.items():
        fact = fact_named(work.session, name)
        work.session.add(DonorFact(donor_id=donor.id, fact_id=fact.id, value=read_fact(fact, value)))
