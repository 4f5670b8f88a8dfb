"""Asks, wants, holds and sale tickets."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from app.book.schema.base import Base, cents, one_of


class Ask(Base):
    """A customer's question; what was understood and what was answered are kept."""

    __tablename__ = "asks"
    __table_args__ = (UniqueConstraint("number"), {"info": {"key": ("number",)}})

    number: Mapped[int]
    at: Mapped[datetime]
    seat: Mapped[str]
    by: Mapped[str] = mapped_column("by_")
    words: Mapped[str]
    part_type_id: Mapped[int | None] = mapped_column(ForeignKey("part_types.id"))
    model_id: Mapped[int | None] = mapped_column(ForeignKey("models.id"))
    understood: Mapped[dict[str, Any]]
    found: Mapped[int]
    best_grade: Mapped[str] = mapped_column(default="")
    tags: Mapped[list[Any]] = mapped_column(default=list)


class Want(Base):
    """An ask that found nothing, kept for when the part comes in."""

    __tablename__ = "wants"
    __table_args__ = (
        UniqueConstraint("number"),
        CheckConstraint("most_cents IS NULL OR most_cents > 0", name="most_above_zero"),
        {"info": {"key": ("number",)}},
    )

    number: Mapped[int]
    words: Mapped[str]
    part_type_id: Mapped[int | None] = mapped_column(ForeignKey("part_types.id"))
    model_id: Mapped[int | None] = mapped_column(ForeignKey("models.id"))
    year: Mapped[int | None]
    side: Mapped[str] = mapped_column(default="")
    facts: Mapped[dict[str, Any]] = mapped_column(default=dict)
    contact_id: Mapped[int | None] = mapped_column(ForeignKey("contacts.id"))
    name: Mapped[str] = mapped_column(default="")
    phone: Mapped[str] = mapped_column(default="")
    most_cents: Mapped[int | None] = cents()
    made_at: Mapped[datetime]
    until: Mapped[datetime | None]
    open: Mapped[bool] = mapped_column(default=True)
    closed_by: Mapped[str] = mapped_column(default="")


class Hold(Base):
    """A part kept for somebody; a part is in one open hold at most."""

    __tablename__ = "holds"
    __table_args__ = (
        UniqueConstraint("number"),
        Index(
            "uq_holds_open_part",
            "part_id",
            unique=True,
            sqlite_where=text("ended_at IS NULL"),
            postgresql_where=text("ended_at IS NULL"),
        ),
        CheckConstraint("until > made_at", name="ends_after_start"),
        {"info": {"key": ("number",)}},
    )

    number: Mapped[int]
    part_id: Mapped[int] = mapped_column(ForeignKey("parts.id"))
    name: Mapped[str]
    phone: Mapped[str] = mapped_column(default="")
    made_at: Mapped[datetime]
    until: Mapped[datetime]
    deposit_cents: Mapped[int] = cents(default=0)
    ended_at: Mapped[datetime | None]
    ended_why: Mapped[str] = mapped_column(default="")
    by: Mapped[str] = mapped_column("by_")


class TicketState(StrEnum):
    """Draft, between card and key, paid, or voided with a reason."""

    DRAFT = "draft"
    NOT_RECORDED = "payment not recorded"
    PAID = "paid"
    VOIDED = "voided"


class SaleTicket(Base):
    """What was sold, to whom, with which words, paid how; never edited once paid."""

    __tablename__ = "sale_tickets"
    __table_args__ = (
        UniqueConstraint("number"),
        CheckConstraint(
            "total_cents = parts_cents - discount_cents + core_cents + tax_cents - deposit_cents", name="adds_up"
        ),
        CheckConstraint("discount_cents BETWEEN 0 AND parts_cents", name="discount_in_range"),
        CheckConstraint("tax_cents >= 0 AND core_cents >= 0 AND deposit_cents >= 0", name="not_negative"),
        CheckConstraint("state <> 'voided' OR void_reason <> ''", name="void_says_why"),
        CheckConstraint("state NOT IN ('paid', 'voided') OR paid_at IS NOT NULL", name="paid_has_time"),
        {"info": {"key": ("number",)}},
    )

    number: Mapped[int]
    tag: Mapped[str]
    made_at: Mapped[datetime]
    seat: Mapped[str]
    by: Mapped[str] = mapped_column("by_")
    contact_id: Mapped[int | None] = mapped_column(ForeignKey("contacts.id"))
    customer: Mapped[str] = mapped_column(default="")
    exempt_number: Mapped[str] = mapped_column(default="")
    state: Mapped[TicketState] = mapped_column(one_of(TicketState), default=TicketState.DRAFT)
    parts_cents: Mapped[int] = cents(default=0)
    discount_cents: Mapped[int] = cents(default=0)
    discount_by: Mapped[str] = mapped_column(default="")
    core_cents: Mapped[int] = cents(default=0)
    tax_rate: Mapped[str] = mapped_column(default="0", doc="percent, as a decimal in words")
    tax_cents: Mapped[int] = cents(default=0)
    deposit_cents: Mapped[int] = cents(default=0)
    total_cents: Mapped[int] = cents(default=0)
    paid_how: Mapped[str] = mapped_column(default="")
    slip: Mapped[str] = mapped_column(default="")
    paid_at: Mapped[datetime | None]
    receipts: Mapped[int] = mapped_column(default=0, doc="how often the receipt was sent to a printer")
    voided_at: Mapped[datetime | None]
    void_reason: Mapped[str] = mapped_column(default="")
    voided_by: Mapped[str] = mapped_column(default="")


class SaleLine(Base):
    """One part on one ticket; a part has one live line at most."""

    __tablename__ = "sale_lines"
    __table_args__ = (
        UniqueConstraint("ticket_id", "number"),
        Index(
            "uq_sale_lines_live_part",
            "part_id",
            unique=True,
            sqlite_where=text("live"),
            postgresql_where=text("live"),
        ),
        CheckConstraint("core_cents >= 0 AND discount_cents BETWEEN 0 AND price_cents", name="money_in_range"),
        {"info": {"key": ("ticket_id", "number")}},
    )

    ticket_id: Mapped[int] = mapped_column(ForeignKey("sale_tickets.id"))
    number: Mapped[int]
    part_id: Mapped[int] = mapped_column(ForeignKey("parts.id"))
    words: Mapped[str]
    grade: Mapped[str] = mapped_column(default="", doc="the grade of fit as it was said")
    said: Mapped[str] = mapped_column(default="", doc="the consequence as it was said")
    price_cents: Mapped[int] = cents()
    discount_cents: Mapped[int] = cents(default=0, doc="this line's share of the ticket's discount")
    core_cents: Mapped[int] = cents(default=0)
    keeps_until: Mapped[datetime | None] = mapped_column(doc="while a draft: the line keeps the part until then")
    live: Mapped[bool] = mapped_column(default=True)
