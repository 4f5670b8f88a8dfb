"""Names that rules, models and spoken words use without the database checking them: are they in the book?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from operator import itemgetter

from sqlalchemy import String, cast, select, text
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
_EACH_VALUE = {
    "sqlite": "json_each(c.values_) AS v",
    "postgresql": "LATERAL json_array_elements_text(CAST(c.values_ AS JSON)) AS v(value)",
}
_STRANGE = {
    name: text(
        f"SELECT r.code, c.number, c.fact, v.value FROM rules r JOIN rule_conditions c ON c.rule_id = r.id "
        f"CROSS JOIN {each} WHERE c.fact = 'model' AND NOT EXISTS (SELECT 1 FROM models m WHERE m.key = v.value) "
        f"OR c.fact = 'part type' AND NOT EXISTS (SELECT 1 FROM part_types t WHERE t.name = v.value)"
    )
    for name, each in _EACH_VALUE.items()
}
"""The values of conditions that should be models or part types of the book and are none."""


@dataclass(frozen=True, slots=True)
class Names:
    """What there is to be named."""

    facts: frozenset[str]
    models: frozenset[str]
    types: frozenset[str]

    def unknown_fact(self, name: str) -> bool:
        """True for a name that is neither a fact nor read from the vehicle or part itself."""
        return bool(name) and name not in self.facts and name not in BUILT_IN


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
    row = RuleCondition
    query = select(Rule.code, row.number, row.fact, row.other_fact).join(row, row.rule_id == Rule.id)
    strange = [each for each in _facts_named(session) if names.unknown_fact(each)]
    if strange:
        found = query.where(row.fact.in_(strange) | row.other_fact.in_(strange))
        for code, number, *facts in session.execute(found.order_by(Rule.code, row.number)):
            for fact in filter(names.unknown_fact, facts):
                yield code, f"condition {number} of {code} asks for the fact {fact!r}, which there is not"
    connection = session.connection()
    for code, number, fact, value in sorted(
        connection.execute(_STRANGE[connection.dialect.name]), key=itemgetter(0, 1)
    ):
        yield code, f"condition {number} of {code} names the {fact} {value!r}, which there is not"


def _facts_named(session: Session) -> set[str]:
    """Every fact that a condition asks for."""
    rows = session.execute(select(RuleCondition.fact, RuleCondition.other_fact).distinct())
    return {fact for row in rows for fact in row}


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
        rows = select(Model.key, table.number, table.given).join(Model, Model.id == table.model_id)
        # Most rows go with nothing, and there are a great many.
        for model, number, given in session.execute(rows.where(cast(table.given, String) != "[]")):
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
