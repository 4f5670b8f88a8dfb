"""Interchange rules: directed statements with their conditions, work, companions and evidence as data."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.book.schema.base import Base, one_of
from app.fit.rules import Direction, End, Evidence, Op, RuleKind, RuleState, Way
from app.fit.terms import Grade, Side


class Rule(Base):
    """One design serves in another's place, with a grade; closed with a reason, never deleted."""

    __tablename__ = "rules"
    __table_args__ = (
        UniqueConstraint("code"),
        CheckConstraint(
            "state <> 'closed' OR (state_reason <> '' AND state_on IS NOT NULL)", name="closed_with_reason"
        ),
        CheckConstraint("kind = 'moves date' OR grade IS NOT NULL", name="graded"),
        {"info": {"key": ("code",)}},
    )

    code: Mapped[str]
    kind: Mapped[RuleKind] = mapped_column(one_of(RuleKind), default=RuleKind.FIT)
    grade: Mapped[Grade | None] = mapped_column(one_of(Grade))
    direction: Mapped[Direction] = mapped_column(one_of(Direction), default=Direction.ONE_WAY)
    chains: Mapped[bool] = mapped_column(default=True, doc="no: this rule never serves as a link of a chain")
    why: Mapped[str]
    state: Mapped[RuleState] = mapped_column(one_of(RuleState), default=RuleState.OPEN)
    state_reason: Mapped[str] = mapped_column(default="")
    state_on: Mapped[date | None]


class RuleType(Base):
    """A part type the rule speaks of, on the offered or on the wanted end."""

    __tablename__ = "rule_types"
    __table_args__ = (
        UniqueConstraint("rule_id", "end", "part_type_id"),
        Index(None, "part_type_id", "end"),
        {"info": {"key": ("rule_id", "end", "part_type_id")}},
    )

    rule_id: Mapped[int] = mapped_column(ForeignKey("rules.id"))
    end: Mapped[End] = mapped_column(one_of(End), doc="part: what we hold; target: what is asked for")
    part_type_id: Mapped[int] = mapped_column(ForeignKey("part_types.id"))


class RuleCondition(Base):
    """One condition of a rule on the part, on the target, or between the two."""

    __tablename__ = "rule_conditions"
    __table_args__ = (UniqueConstraint("rule_id", "number"), {"info": {"key": ("rule_id", "number")}})

    rule_id: Mapped[int] = mapped_column(ForeignKey("rules.id"))
    number: Mapped[int]
    end: Mapped[End] = mapped_column(one_of(End))
    fact: Mapped[str] = mapped_column(doc="a fact's name, or model, year, built, plant, side, part type, pieces")
    op: Mapped[Op] = mapped_column(one_of(Op))
    values: Mapped[list[Any]] = mapped_column("values_", default=list)
    other_fact: Mapped[str] = mapped_column(default="", doc="between the two: the target's fact, if of another name")
    allowed: Mapped[str] = mapped_column(default="", doc="allowed difference or age, as typed with its unit")
    alt: Mapped[int] = mapped_column(default=0, doc="conditions with one number above 0: any one of them suffices")


class RuleOperation(Base):
    """Work that a rule asks for."""

    __tablename__ = "rule_operations"
    __table_args__ = (
        UniqueConstraint("rule_id", "number"),
        CheckConstraint("hours IS NULL OR hours >= 0", name="hours_not_negative"),
        {"info": {"key": ("rule_id", "number")}},
    )

    rule_id: Mapped[int] = mapped_column(ForeignKey("rules.id"))
    number: Mapped[int]
    way: Mapped[Way] = mapped_column(one_of(Way), default=Way.BOTH)
    work: Mapped[str]
    kind: Mapped[str] = mapped_column(default="", doc="move, plug, drill, weld, cut, splice, program, fit")
    count: Mapped[int | None]
    hours: Mapped[Decimal | None]
    by_whom: Mapped[str] = mapped_column(default="", doc="certified welder, outside programming, trained fitter")


class RuleCompanion(Base):
    """Another part without which the rule's set is not right."""

    __tablename__ = "rule_companions"
    __table_args__ = (
        UniqueConstraint("rule_id", "number"),
        CheckConstraint("count > 0", name="count_above_zero"),
        {"info": {"key": ("rule_id", "number")}},
    )

    rule_id: Mapped[int] = mapped_column(ForeignKey("rules.id"))
    number: Mapped[int]
    part_type_id: Mapped[int] = mapped_column(ForeignKey("part_types.id"))
    side: Mapped[Side] = mapped_column(one_of(Side), default=Side.NONE)
    count: Mapped[int] = mapped_column(default=1)
    same_donor: Mapped[bool] = mapped_column(default=False)
    given: Mapped[list[Any]] = mapped_column(default=list, doc="what the companion must be, as fact=value")
    or_else: Mapped[str] = mapped_column(default="", doc="what does instead of it, such as outside programming")
    already_there: Mapped[str] = mapped_column(default="", doc="fact=value under which the target has it already")


class RuleConsequence(Base):
    """What works differently afterwards, with its number."""

    __tablename__ = "rule_consequences"
    __table_args__ = (UniqueConstraint("rule_id", "number"), {"info": {"key": ("rule_id", "number")}})

    rule_id: Mapped[int] = mapped_column(ForeignKey("rules.id"))
    number: Mapped[int]
    words: Mapped[str] = mapped_column(doc="may hold {n}, the number")
    amount: Mapped[str] = mapped_column(default="", doc="the number as stated, with its unit")
    fact: Mapped[str] = mapped_column(default="", doc="the fact from which the number is worked out")
    worked_out: Mapped[str] = mapped_column(default="", doc="difference, percent, or ours: of the part itself")
    record: Mapped[list[Any]] = mapped_column(default=list, doc="what must stand on the ticket")


class RuleEvidence(Base):
    """Why the yard believes a rule, or doubts it."""

    __tablename__ = "rule_evidence"
    __table_args__ = (UniqueConstraint("rule_id", "number"), {"info": {"key": ("rule_id", "number")}})

    rule_id: Mapped[int] = mapped_column(ForeignKey("rules.id"))
    number: Mapped[int]
    kind: Mapped[Evidence] = mapped_column(one_of(Evidence))
    count: Mapped[int] = mapped_column(default=1)
    donors: Mapped[list[Any]] = mapped_column(default=list)
    on: Mapped[date | None] = mapped_column("on_", doc="when")
    by: Mapped[str] = mapped_column("by_", default="", doc="who")
    tool: Mapped[str] = mapped_column(default="")
    words: Mapped[str] = mapped_column(default="")


class RuleDateMove(Base):
    """A rule that moves the build-date split of another, such as a plant that used up old pieces first."""

    __tablename__ = "rule_date_moves"
    __table_args__ = (
        UniqueConstraint("rule_id", "moves_id"),
        CheckConstraint("rule_id <> moves_id", name="not_itself"),
        {"info": {"key": ("rule_id", "moves_id")}},
    )

    rule_id: Mapped[int] = mapped_column(ForeignKey("rules.id"))
    moves_id: Mapped[int] = mapped_column(ForeignKey("rules.id"))
    from_month: Mapped[str] = mapped_column(doc="YYYY-MM, the split as the moved rule has it")
    to_month: Mapped[str] = mapped_column(doc="YYYY-MM, the split where this rule's conditions hold")
