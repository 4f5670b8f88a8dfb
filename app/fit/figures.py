"""The number in a consequence: as stated, the part's own, or worked out from the part and the target."""

from __future__ import annotations

import re
from dataclasses import replace

from app.fit.decide import Decision
from app.fit.knowledge import Identity, Known, Subject, Target
from app.fit.outcomes import Outcome
from app.fit.rules import Consequence
from app.fit.values import number
from app.fit.worlds import BUILT_IN, NO_SUCH, Scope, World, worlds

DIFFERENCE, PERCENT, OURS = "difference", "percent", "ours"
_UNIT = re.compile(r"^\s*[-+]?[\d,.]+\s*(.*)$")


def figure_of(each: Consequence, decision: Decision, target: Target) -> str:
    """The number with its unit; the stated amount where it cannot be worked out, else empty."""
    if not each.fact or not each.worked_out:
        return each.amount
    ours = _of_part(each.fact, decision)
    theirs = _of_target(each.fact, decision.main, target) if each.worked_out != OURS else ours
    a, b = _figure(ours), _figure(theirs)
    if ours is None or a is None or b is None:
        return each.amount
    unit = _unit(ours.value) or _unit(each.amount)
    if each.worked_out == OURS:
        return f"{_said(a, unit)} {unit}".strip()
    if each.worked_out == PERCENT:
        return f"{abs(a / b - 1) * 100:.1f} % {'more' if a > b else 'less'}" if b else each.amount
    return f"{_said(abs(a - b), unit)} {unit}".strip()


def _of_part(name: str, decision: Decision) -> Known | None:
    subject = decision.offer.subject
    found = subject.facts.get(name) or subject.donor_facts.get(name)
    return found or _there(name, decision.main.part) or _only(name, subject.identity, decision.main.part)


def _of_target(name: str, outcome: Outcome, target: Target) -> Known | None:
    if name in target.facts:
        return target.facts[name]
    key = outcome.target["model"].value if "model" in outcome.target else ""
    every = (each for group in target.identities.values() for each in group)
    identity = next((each for each in every if each.model.key == key), None)
    return _there(name, outcome.target) or _only(name, identity, outcome.target)


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


def _figure(known: Known | None) -> float | None:
    found = number(known.value) if known is not None else None
    return None if found is None else float(found)


def _unit(value: str) -> str:
    found = _UNIT.match(value)
    return found.group(1).strip() if found else ""


def _said(figure: float, unit: str) -> str:
    """Inches to the hundredth, as a tape is read; counts and all else as short as they are."""
    exact = f"{figure:,.2f}"
    return exact if unit == "in" else exact.rstrip("0").rstrip(".")
