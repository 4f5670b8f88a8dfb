"""The yard's own household: settings, people, numbers, drafts, and the history that cannot be changed."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import CheckConstraint, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.book.schema.base import Base, one_of


class Setting(Base):
    """A yard setting that differs from the default."""

    __tablename__ = "settings"
    __table_args__ = (UniqueConstraint("name"), {"info": {"key": ("name",)}})

    name: Mapped[str]
    value: Mapped[str]


class Role(StrEnum):
    """What a person may do."""

    INTAKE = "intake"
    PULLER = "puller"
    COUNTER = "counter"
    SCALE = "scale"
    OWNER = "owner"


class Person(Base):
    """Somebody who works in the yard."""

    __tablename__ = "people"
    __table_args__ = (UniqueConstraint("code"), {"info": {"key": ("code",)}})

    code: Mapped[str]
    name: Mapped[str]
    role: Mapped[Role] = mapped_column(one_of(Role))
    active: Mapped[bool] = mapped_column(default=True)


class Counter(Base):
    """The last number given out in a series."""

    __tablename__ = "counters"
    __table_args__ = (
        UniqueConstraint("series"),
        CheckConstraint("last >= 0", name="counts_up"),
        {"info": {"key": ("series",)}},
    )

    series: Mapped[str]
    last: Mapped[int]


class Draft(Base):
    """What somebody had typed and not finished; it outlives Escape, a crash and a power cut."""

    __tablename__ = "drafts"
    __table_args__ = (UniqueConstraint("seat", "by_", "form"), {"info": {"key": ("seat", "by", "form")}})

    seat: Mapped[str]
    form: Mapped[str]
    by: Mapped[str] = mapped_column("by_")
    at: Mapped[datetime]
    fields: Mapped[dict[str, Any]]


class Outcome(StrEnum):
    """Whether the thing was done or refused."""

    DONE = "done"
    REFUSED = "refused"


class History(Base):
    """Who did what, when, at which seat; rows are added and never altered."""

    __tablename__ = "history"
    __table_args__ = (
        UniqueConstraint("event"),
        Index(None, "subject"),
        {"info": {"key": ("event",)}},
    )

    event: Mapped[str] = mapped_column(doc="the same event arriving twice counts once")
    at: Mapped[datetime]
    seat: Mapped[str]
    by: Mapped[str] = mapped_column("by_")
    action: Mapped[str]
    subject: Mapped[str] = mapped_column(default="")
    outcome: Mapped[Outcome] = mapped_column(one_of(Outcome), default=Outcome.DONE)
    words: Mapped[str]
    details: Mapped[dict[str, Any]] = mapped_column(default=dict)
