"""Names that rules, models and spoken words use without the database checking them: are they in the book?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.schema import (
    Alias,
    AliasKind,
    DesignUse,
    Fact,
    Model,
    ModelFact,
    PartType,
    Rule,
    RuleCompanion,
    RuleCondition,
    RuleConsequence,
)
from app.fit.sets import INSIDE
from app.fit.worlds import BUILT_IN

Named = Iterator[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Names:
    """What there is to be named."""

    facts: frozenset[str]
    models: frozenset[str]
    types: frozenset[str]

    def unknown_fact(self, name: str) -> bool:
        """True for a name that is neither a fact nor read from the vehicle or part itself."""
        return bool(name) and name not in self.facts and name not in BUILT_IN

    def unknown_values(self, fact: str, values: Iterable[object]) -> list[str]:
        """The models or part types among a condition's values that are not in the book."""
        known = {"model": self.models, "part type": self.types}.get(fact)
        return [str(value) for value in values if value not in known] if known is not None else []


def broken_references(session: Session) -> Named:
    """Each name that means nothing: what uses it, and which it is."""
    names = Names(
        facts=frozenset(session.scalars(select(Fact.name))),
        models=frozenset(session.scalars(select(Model.key))),
        types=frozenset(session.scalars(select(PartType.name))),
    )
    yield from _of_conditions(session, names)
    yield from _of_companions(session, names)
    yield from _of_consequences(session, names)
    yield from _of_givens(session, names)
    yield from _of_part_types(session, names)
    yield from _of_aliases(session, names)


def _of_conditions(session: Session, names: Names) -> Named:
    query = select(Rule.code, RuleCondition).join(RuleCondition, RuleCondition.rule_id == Rule.id)
    for code, row in session.execute(query.order_by(Rule.code, RuleCondition.number)):
        for fact in (row.fact, row.other_fact):
            if names.unknown_fact(fact):
                yield code, f"condition {row.number} of {code} asks for the fact {fact!r}, which there is not"
        for value in names.unknown_values(row.fact, row.values):
            yield code, f"condition {row.number} of {code} names the {row.fact} {value!r}, which there is not"


def _of_companions(session: Session, names: Names) -> Named:
    query = select(Rule.code, RuleCompanion).join(RuleCompanion, RuleCompanion.rule_id == Rule.id)
    for code, row in session.execute(query.order_by(Rule.code, RuleCompanion.number)):
        for fact in _facts_in(entry for entry in (*row.given, row.already_there) if entry != INSIDE):
            if names.unknown_fact(fact):
                yield code, f"companion {row.number} of {code} asks for the fact {fact!r}, which there is not"


def _of_consequences(session: Session, names: Names) -> Named:
    query = select(Rule.code, RuleConsequence).join(RuleConsequence, RuleConsequence.rule_id == Rule.id)
    for code, row in session.execute(query.order_by(Rule.code, RuleConsequence.number)):
        for fact in (row.fact, *map(str, row.record)):
            if names.unknown_fact(fact):
                yield code, f"consequence {row.number} of {code} names the fact {fact!r}, which there is not"


def _of_givens(session: Session, names: Names) -> Named:
    for table in (ModelFact, DesignUse):
        for model, number, given in session.execute(
            select(Model.key, table.number, table.given).join(Model, Model.id == table.model_id)
        ):
            for fact in _facts_in(given):
                if names.unknown_fact(fact):
                    yield model, f"row {number} of {model} goes with the fact {fact!r}, which there is not"


def _of_part_types(session: Session, names: Names) -> Named:
    for row in session.scalars(select(PartType).order_by(PartType.name)):
        for fact in row.look_for:
            if names.unknown_fact(str(fact)):
                yield row.name, f"{row.name} is looked at for the fact {fact!r}, which there is not"
        for other in row.comes_off_after:
            if other not in names.types:
                yield row.name, f"{row.name} comes off after {other!r}, which is no part type"


def _of_aliases(session: Session, names: Names) -> Named:
    wider = frozenset(session.scalars(select(PartType.wider)))
    known = {AliasKind.PART: names.types | wider, AliasKind.MODEL: names.models}
    for row in session.scalars(select(Alias).order_by(Alias.said)):
        if row.kind is AliasKind.FACT:
            missing = any(names.unknown_fact(fact) for fact in _facts_in([row.means]))
        else:
            missing = row.means not in known[row.kind]
        if missing:
            yield row.said, f"{row.said!r} means the {row.kind} {row.means!r}, which there is not"


def _facts_in(given: Iterable[object]) -> Iterator[str]:
    """The facts of entries written as fact=value."""
    for entry in given:
        fact, equals, _ = str(entry).partition("=")
        if equals:
            yield fact.strip()
