"""Interchange rules as the screens and commands list and read them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from sqlalchemy import ColumnElement, exists, func, or_, select
from sqlalchemy.orm import Session

from app.book.history import HistoryRow, history
from app.book.schema import (
    PartType,
    Rule,
    RuleCompanion,
    RuleCondition,
    RuleConsequence,
    RuleEvidence,
    RuleOperation,
    RuleType,
)
from app.book.work import Book
from app.errors import NotFound
from app.fit.rulechecks.rulewords import conditions_words, evidence_words, tally_words
from app.fit.rules import Condition, End, EvidenceLine, Op, RuleState, Way
from app.fit.terms import Grade

PAGE = 200


@dataclass(frozen=True, slots=True)
class RuleRow:
    """A rule in a list; `tally` says how the sales made by it turned out."""

    code: str
    kind: str
    grade: Grade | None
    state: RuleState
    direction: str
    parts: tuple[str, ...]
    models: tuple[str, ...]
    why: str
    state_reason: str
    state_on: date | None
    tally: str

    @property
    def words(self) -> str:
        """What it speaks of, in short."""
        for_models = f" on {' '.join(self.models)}" if self.models else ""
        return f"{', '.join(self.parts)}{for_models}"


@dataclass(frozen=True, slots=True)
class RulePage:
    """The first rules of a list, and how many there are in all."""

    rows: tuple[RuleRow, ...]
    in_all: int


@dataclass(frozen=True, slots=True)
class RuleSheet:
    """A rule with all that stands under it, in words."""

    row: RuleRow
    for_parts: tuple[str, ...]
    conditions: tuple[str, ...]
    work: tuple[str, ...]
    companions: tuple[str, ...]
    consequences: tuple[str, ...]
    evidence: tuple[str, ...]
    history: tuple[HistoryRow, ...]


def rules(book: Book, *, like: str = "", part: str = "", state: RuleState | None = None, limit: int = PAGE) -> RulePage:
    """Rules by code; `like` are words of its code, its why or its parts, `part` a part type."""
    narrowed: list[ColumnElement[bool]] = []
    for word in like.lower().split():
        of_part = func.lower(PartType.name).contains(word, autoescape=True) | func.lower(PartType.wider).contains(
            word, autoescape=True
        )
        types = select(RuleType.rule_id).join(PartType, PartType.id == RuleType.part_type_id).where(of_part)
        of_rule = func.lower(Rule.why).contains(word, autoescape=True)
        narrowed.append(or_(func.lower(Rule.code) == word, of_rule, Rule.id.in_(types)))
    if part:
        speaks = exists().where(
            RuleType.rule_id == Rule.id, PartType.id == RuleType.part_type_id, func.lower(PartType.name) == part.lower()
        )
        narrowed.append(speaks)
    if state is not None:
        narrowed.append(Rule.state == state)
    with book.read() as session:
        found = session.scalars(select(Rule).where(*narrowed).order_by(func.length(Rule.code), Rule.code).limit(limit))
        in_all = session.scalar(select(func.count()).select_from(Rule).where(*narrowed)) or 0
        return RulePage(_rows(session, found.all()), in_all)


def disputes(book: Book, *, limit: int = PAGE) -> RulePage:
    """The rules in dispute."""
    return rules(book, state=RuleState.DISPUTED, limit=limit)


def rule(book: Book, code: str) -> RuleSheet:
    """One rule with everything under it.

    Raises:
        NotFound: there is none of that code.
    """
    with book.read() as session:
        found = session.scalar(select(Rule).where(func.upper(Rule.code) == code.strip().upper()))
        if found is None:
            raise NotFound(f"there is no rule {code!r}", "See them with: donorbook rules list.", place="rule")
        return _sheet(session, found, history(book, subject=found.code))


def _sheet(session: Session, found: Rule, told: tuple[HistoryRow, ...]) -> RuleSheet:
    types = {row.id: row.name for row in session.scalars(select(PartType))}
    own = session.scalars(select(RuleType).where(RuleType.rule_id == found.id)).all()
    return RuleSheet(
        row=_rows(session, [found])[0],
        for_parts=tuple(sorted(types[row.part_type_id] for row in own if row.end is End.TARGET)),
        conditions=conditions_words([_condition(row) for row in _under(session, RuleCondition, found.id)]),
        work=tuple(_work_words(row) for row in _under(session, RuleOperation, found.id)),
        companions=tuple(_companion_words(row, types) for row in _under(session, RuleCompanion, found.id)),
        consequences=tuple(_told_words(row) for row in _under(session, RuleConsequence, found.id)),
        evidence=tuple(_proof_words(row) for row in _under(session, RuleEvidence, found.id)),
        history=told,
    )


Child = TypeVar("Child", RuleCondition, RuleOperation, RuleCompanion, RuleConsequence, RuleEvidence)


def _under(session: Session, table: type[Child], rule_id: int) -> Sequence[Child]:
    return session.scalars(select(table).where(table.rule_id == rule_id).order_by(table.number)).all()


def _condition(row: RuleCondition) -> Condition:
    return Condition(row.end, row.fact, row.op, tuple(map(str, row.values)), row.other_fact, row.allowed, row.alt)


def _work_words(row: RuleOperation) -> str:
    hours = f", {row.hours:f} h" if row.hours is not None else ""
    by_whom = f", {row.by_whom}" if row.by_whom else ""
    way = "" if row.way is Way.BOTH else f" ({row.way})"
    return f"{row.work}{hours}{by_whom}{way}"


def _companion_words(row: RuleCompanion, types: dict[int, str]) -> str:
    count = f"{row.count} x " if row.count > 1 else ""
    given = f" ({', '.join(map(str, row.given))})" if row.given else ""
    same = ", of the same donor" if row.same_donor else ""
    instead = f", or {row.or_else}" if row.or_else else ""
    return f"{count}{types[row.part_type_id]} {row.side}".rstrip() + f"{given}{same}{instead}"


def _told_words(row: RuleConsequence) -> str:
    figure = row.amount or (f"the {row.worked_out} of {row.fact}" if row.fact else "")
    return row.words.replace("{n}", figure) if "{n}" in row.words else row.words


def _proof_words(row: RuleEvidence) -> str:
    said = evidence_words(EvidenceLine(row.kind, row.count, row.words))
    parts = (said, f"on {', '.join(map(str, row.donors))}" if row.donors else "", row.tool, str(row.on or ""), row.by)
    return ", ".join(part for part in parts if part)


def _rows(session: Session, found: Sequence[Rule]) -> tuple[RuleRow, ...]:
    """Rules as rows; three statements however many."""
    ids = [row.id for row in found]
    parts, models, proofs = _parts(session, ids), _models(session, ids), _proofs(session, ids)
    return tuple(
        RuleRow(
            code=row.code,
            kind=str(row.kind),
            grade=row.grade,
            state=row.state,
            direction=str(row.direction),
            parts=tuple(parts.get(row.id, ())),
            models=tuple(models.get(row.id, ())),
            why=row.why,
            state_reason=row.state_reason,
            state_on=row.state_on,
            tally=tally_words(proofs.get(row.id, ())),
        )
        for row in found
    )


def _parts(session: Session, ids: Sequence[int]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = {}
    named = select(RuleType.rule_id, PartType.name).join(PartType, PartType.id == RuleType.part_type_id)
    offered = named.where(RuleType.rule_id.in_(ids), RuleType.end == End.PART)
    for rule_id, name in session.execute(offered.order_by(PartType.name)):
        found.setdefault(rule_id, []).append(name)
    return found


def _models(session: Session, ids: Sequence[int]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = {}
    named = select(RuleCondition).where(
        RuleCondition.rule_id.in_(ids),
        RuleCondition.end == End.TARGET,
        RuleCondition.fact == "model",
        RuleCondition.op == Op.ANY_OF,
    )
    for row in session.scalars(named):
        found.setdefault(row.rule_id, []).extend(map(str, row.values))
    return found


def _proofs(session: Session, ids: Sequence[int]) -> dict[int, list[EvidenceLine]]:
    found: dict[int, list[EvidenceLine]] = {}
    for row in session.scalars(select(RuleEvidence).where(RuleEvidence.rule_id.in_(ids))):
        found.setdefault(row.rule_id, []).append(EvidenceLine(row.kind, row.count, row.words))
    return found
