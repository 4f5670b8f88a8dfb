"""The number in a consequence: as stated, the part's own, or worked out from the part and the target."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from app.fit.decide import Decision
from app.fit.known import FactInfo, Identity, Known, Subject, Target
from app.fit.outcomes import Outcome
from app.fit.rules import Consequence
from app.fit.tape import TapeOutcome
from app.fit.values import figure_in, length_unit, number, same, within
from app.fit.worlds import BUILT_IN, NO_SUCH, Scope, World, is_set_aside, worlds

WORKED_OUT = DIFFERENCE, PERCENT, OURS = "difference", "percent", "ours"
"""The ways in which a number is worked out."""
_NUMBERS = re.compile(r"\d[\d,]*(?:\.\d+)?")
_UNIT = re.compile(r"^\s*[-+]?[\d,.]+\s*(.*)$")


class Figures:
    """The numbers in what is said of parts for one target; what the book has of a vehicle is looked up once."""

    def __init__(self, target: Target, facts: Mapping[str, FactInfo]) -> None:
        self._target = target
        self._facts = facts
        self._book: dict[tuple[str, int], tuple[Known | None, Outcome]] = {}

    def of(self, each: Consequence, why: str, decision: Decision) -> tuple[str, str] | None:
        """The number with its unit, and the customer's own reading where that is another; None if nothing differs.

        The number is worked out with the customer's reading, which beats the book. Where the words, or the rule's
        `why`, quote the book's figure, or where the reading was set aside, it is the book's, so that what is said of
        one thing agrees. One that cannot be worked out is the stated amount, else empty.
        """
        if not each.fact or not each.worked_out:
            return each.amount, ""
        ours = _of_part(each.fact, decision)
        unit = self._facts[each.fact].unit if each.fact in self._facts else ""
        if each.worked_out == OURS:
            return _between(each, ours, ours, unit) or "", ""
        reading, quoted = self._target.facts.get(each.fact), _numbers(each.words, why)
        aside = reading is not None and is_set_aside(each.fact, reading, self._facts)
        if reading is None or quoted or aside:
            book = self._of_book(each.fact, decision.main)
            by_book = _between(each, ours, book, unit)
            if reading is None:
                return (by_book, "") if by_book is not None else None
            if aside or _is_quoted(by_book, book, quoted):
                return by_book or "", "" if book is not None and _agree(reading, book) else reading.value
        figure = _between(each, ours, reading, unit)
        return (figure, "") if figure is not None else None

    def _of_book(self, name: str, outcome: Outcome) -> Known | None:
        key = (name, id(outcome))
        if key not in self._book:
            # The outcome is kept along, so that no other takes its place in memory.
            self._book[key] = (_of_book(name, outcome, self._target), outcome)
        return self._book[key][0]


def _between(each: Consequence, ours: Known | None, theirs: Known | None, of_fact: str) -> str | None:
    """The number between two, in the unit of what is written, else `of_fact`; None where the two are the same."""
    if ours is None or theirs is None:
        return each.amount
    unit = _unit(ours.value) or _unit(each.amount) or of_fact
    first, second = figure_in(ours.value, unit), figure_in(theirs.value, unit)
    if first is None or second is None:
        return each.amount
    shown = "" if f"{{n}} {unit}" in each.words else unit
    if each.worked_out == OURS:
        return f"{_said(float(first), unit)} {shown}".strip()
    if first == second:
        return None
    if each.worked_out == PERCENT:
        more = "more" if first > second else "less"
        return f"{abs(float(first / second) - 1) * 100:.1f} % {more}" if second else each.amount
    return f"{_said(abs(float(first - second)), unit)} {shown}".strip()


@lru_cache(maxsize=4096)
def _numbers(*texts: str) -> frozenset[Fraction | None]:
    """The numbers in some texts."""
    return frozenset(number(each) for text in texts for each in _NUMBERS.findall(text))


def _is_quoted(by_book: str | None, book: Known | None, quoted: frozenset[Fraction | None]) -> bool:
    """Whether the book's figure is among numbers, or what is worked out with it."""
    figures = {number(by_book) if by_book else None, number(book.value) if book is not None else None}
    return bool(quoted & (figures - {None}))


def _agree(one: Known, other: Known) -> bool:
    outcome = within(one.value, one.u_mm, other.value, other.u_mm, "0")
    return same(one.value, other.value) if outcome is None else outcome is not TapeOutcome.DOES_NOT_FIT


def _of_part(name: str, decision: Decision) -> Known | None:
    subject = decision.offer.subject
    found = subject.facts.get(name) or subject.donor_facts.get(name)
    return found or _there(name, decision.main.part) or _only(name, subject.identity, decision.main.part)


def _of_book(name: str, outcome: Outcome, target: Target) -> Known | None:
    """What the vehicle has in this world by what is known of its model, whatever the customer reads on it."""
    key = outcome.target["model"].value if "model" in outcome.target else ""
    every = (each for group in target.identities.values() for each in group)
    identity = next((each for each in every if each.model.key == key), None)
    if name not in target.facts:
        return _there(name, outcome.target) or _only(name, identity, outcome.target)
    rest = {fact: known for fact, known in outcome.target.items() if fact != name}
    return _only(name, identity, rest)


def _there(name: str, world: World) -> Known | None:
    found = world.get(name)
    return found if found is not None and found.value != NO_SUCH else None


def _only(name: str, identity: Identity | None, world: World) -> Known | None:
    """The one value that a vehicle can have which is as this world says."""
    if identity is None:
        return None
    known = {fact: each for fact, each in world.items() if fact not in BUILT_IN and each.value != NO_SUCH}
    built = world["built"].value if "built" in world else identity.built
    found = worlds(Subject(replace(identity, built=built), known), Scope(frozenset({name})), {})
    values = {each[name].value: each[name] for each in found if name in each}
    return next(iter(values.values())) if len(values) == 1 and NO_SUCH not in values else None


def _unit(value: str) -> str:
    if unit := length_unit(value):
        return unit
    found = _UNIT.match(value)
    return found.group(1).strip() if found else ""


def _said(figure: float, unit: str) -> str:
    """Inches to the hundredth, as a tape is read; counts and all else as short as they are."""
    exact = f"{figure:,.2f}"
    return exact if unit == "in" else exact.rstrip("0").rstrip(".")
