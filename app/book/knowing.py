"""What the yard knows, read into the engine's form and kept until somebody changes it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import TypeVar
from weakref import WeakKeyDictionary

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from app.book import schema
from app.book.schema import Counter
from app.book.vocabulary import Vocabulary, load_vocabulary
from app.fit.knowledge import DateMove, FactInfo, Kind, ModelInfo, Possible, UseInfo
from app.fit.outcomes import PROVEN
from app.fit.rules import Companion, Condition, Consequence, End, EvidenceLine, Operation, Rule
from app.fit.terms import Grade, Group, Side

VERSION = "knowledge"
"""The counter that everything which changes models, facts, designs or rules moves on by one."""


@dataclass
class Knowing:
    """All the yard's knowledge at one version."""

    version: int
    vocabulary: Vocabulary
    facts: dict[str, FactInfo]
    models: dict[str, ModelInfo]
    models_by_id: dict[int, ModelInfo]
    rules: tuple[Rule, ...]
    moves: tuple[DateMove, ...]
    groups: dict[str, Group]
    types: dict[int, schema.PartType]
    uses: dict[str, tuple[UseInfo, ...]]
    by_type: dict[str, list[Rule]] = field(default_factory=dict)

    def uses_for(self, wanted: Iterable[str]) -> tuple[UseInfo, ...]:
        """The proven uses of the designs of these part types."""
        return tuple(use for name in sorted(wanted) for use in self.uses.get(name, ()))

    def rules_for(self, wanted: Iterable[str]) -> tuple[Rule, ...]:
        """The rules that may speak when any of these part types is asked for."""
        found = {rule.code: rule for name in wanted for rule in self.by_type.get(name, [])}
        return tuple(found.values())


_kept: WeakKeyDictionary[Engine, Knowing] = WeakKeyDictionary()


def knowing(session: Session, engine: Engine) -> Knowing:
    """The yard's knowledge as it stands; read again only when it was changed."""
    version = session.scalar(select(Counter.last).where(Counter.series == VERSION)) or 0
    kept = _kept.get(engine)
    if kept is None or kept.version != version:
        kept = _read(session, version)
        _kept[engine] = kept
    return kept


def _read(session: Session, version: int) -> Knowing:
    vocabulary = load_vocabulary(session)
    facts = {row.name: _fact(row) for row in vocabulary.facts.values()}
    models_by_id = _models(session, vocabulary)
    types = {row.id: row for row in session.scalars(select(schema.PartType))}
    rules, moves = _rules(session, {row.id: row.name for row in types.values()})
    known = Knowing(
        version=version,
        vocabulary=vocabulary,
        facts=facts,
        models={model.key: model for model in models_by_id.values()},
        models_by_id=models_by_id,
        rules=rules,
        moves=moves,
        groups={row.name: row.group for row in types.values()},
        types=types,
        uses=_uses(session, models_by_id, types),
    )
    for rule in rules:
        for name in rule.offered_types | rule.wanted_types:
            known.by_type.setdefault(name, []).append(rule)
    session.expunge_all()
    return known


def _fact(row: schema.Fact) -> FactInfo:
    choices = tuple(str(choice) for choice in row.choices)
    return FactInfo(row.name, Kind(row.kind.value), row.unit, choices, row.question, row.effort, row.group)


def _pairs(given: Iterable[object]) -> tuple[tuple[str, str], ...]:
    split = (str(each).partition("=") for each in given)
    return tuple((name.strip(), value.strip()) for name, _, value in split)


def _models(session: Session, vocabulary: Vocabulary) -> dict[int, ModelInfo]:
    frames: dict[int, str] = {row.id: row.code for row in session.scalars(select(schema.FrameDesign))}
    names = {row.id: row.name for row in vocabulary.facts.values()}
    possible: dict[int, list[Possible]] = {}
    for row in session.scalars(select(schema.ModelFact).order_by(schema.ModelFact.model_id, schema.ModelFact.number)):
        possible.setdefault(row.model_id, []).append(
            Possible(
                names[row.fact_id],
                row.value,
                row.u_mm,
                row.built_from or "",
                row.built_to or "",
                frozenset(map(str, row.plants)),
                _pairs(row.given),
            )
        )
    return {
        row.id: ModelInfo(
            row.key,
            row.make,
            row.name,
            row.variant,
            row.weight_class,
            row.family,
            row.body_style,
            frames.get(row.frame_design_id or 0, ""),
            row.year_from,
            row.year_to,
            tuple(possible.get(row.id, ())),
        )
        for row in vocabulary.models
    }


def _uses(
    session: Session, models: dict[int, ModelInfo], types: dict[int, schema.PartType]
) -> dict[str, tuple[UseInfo, ...]]:
    """The uses of designs that are evidence of their own, by part type."""
    rows = session.execute(
        select(schema.DesignUse, schema.Design.code, schema.Design.part_type_id)
        .join(schema.Design, schema.Design.id == schema.DesignUse.design_id)
        .where(schema.DesignUse.known_by.in_(PROVEN))
    )
    found: dict[str, list[UseInfo]] = {}
    for use, code, type_id in rows:
        made = UseInfo(
            code,
            models[use.model_id].key,
            use.year_from,
            use.year_to,
            use.built_from or "",
            use.built_to or "",
            frozenset(map(str, use.plants)),
            _pairs(use.given),
            use.known_by,
        )
        found.setdefault(types[type_id].name, []).append(made)
    return {name: tuple(uses) for name, uses in found.items()}


def _rules(session: Session, types: dict[int, str]) -> tuple[tuple[Rule, ...], tuple[DateMove, ...]]:
    ends: dict[tuple[int, End], set[str]] = {}
    for each in session.scalars(select(schema.RuleType)):
        ends.setdefault((each.rule_id, each.end), set()).add(types[each.part_type_id])
    conditions = _children(session, schema.RuleCondition, _condition)
    operations = _children(session, schema.RuleOperation, _operation)
    companions = _children(session, schema.RuleCompanion, lambda row: _companion(row, types))
    consequences = _children(session, schema.RuleConsequence, _consequence)
    evidence = _children(session, schema.RuleEvidence, lambda row: EvidenceLine(row.kind, row.count, row.words))
    made: dict[int, Rule] = {}
    for row in session.scalars(select(schema.Rule).order_by(schema.Rule.id)):
        offered = frozenset(ends.get((row.id, End.PART), set()))
        made[row.id] = Rule(
            code=row.code,
            kind=row.kind,
            grade=row.grade or Grade.MEASURE,
            direction=row.direction,
            state=row.state,
            why=row.why,
            offered_types=offered,
            wanted_types=frozenset(ends.get((row.id, End.TARGET), set())) or offered,
            conditions=tuple(conditions.get(row.id, ())),
            operations=tuple(operations.get(row.id, ())),
            companions=tuple(companions.get(row.id, ())),
            consequences=tuple(consequences.get(row.id, ())),
            evidence=tuple(evidence.get(row.id, ())),
            chains=row.chains,
        )
    moves = tuple(
        DateMove(made[move.rule_id], made[move.moves_id].code, move.from_month, move.to_month)
        for move in session.scalars(select(schema.RuleDateMove))
    )
    return tuple(made.values()), moves


Child = TypeVar(
    "Child",
    schema.RuleCondition,
    schema.RuleOperation,
    schema.RuleCompanion,
    schema.RuleConsequence,
    schema.RuleEvidence,
)
Made = TypeVar("Made")


def _children(session: Session, table: type[Child], make: Callable[[Child], Made]) -> dict[int, list[Made]]:
    found: dict[int, list[Made]] = {}
    for row in session.scalars(select(table).order_by(table.rule_id, table.number)):
        found.setdefault(row.rule_id, []).append(make(row))
    return found


def _condition(row: schema.RuleCondition) -> Condition:
    return Condition(row.end, row.fact, row.op, tuple(map(str, row.values)), row.other_fact, row.allowed, row.alt)


def _operation(row: schema.RuleOperation) -> Operation:
    return Operation(row.work, row.hours, row.kind, row.by_whom, row.way)


def _companion(row: schema.RuleCompanion, types: dict[int, str]) -> Companion:
    given = tuple(map(str, row.given))
    side = Side(row.side)
    return Companion(types[row.part_type_id], side, row.count, row.same_donor, given, row.or_else, row.already_there)


def _consequence(row: schema.RuleConsequence) -> Consequence:
    return Consequence(row.words, row.amount, row.fact, row.worked_out)
