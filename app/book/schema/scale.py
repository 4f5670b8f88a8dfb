"""Weight tickets: gross, tare, deductions, net, as the scale showed them."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.book.schema.base import Base, FineCents, cents, one_of


class TicketKind(StrEnum):
    """What went over the scale."""

    ARRIVAL = "arrival"
    HULK_OUT = "hulk out"
    SCRAP_IN = "scrap in"


class WeightTicket(Base):
    """A weighing as it was; never edited, only voided with a reason."""

    __tablename__ = "weight_tickets"
    __table_args__ = (
        UniqueConstraint("number"),
        CheckConstraint("tare > 0 AND gross > tare", name="gross_over_tare"),
        CheckConstraint("deductions >= 0", name="deductions_not_negative"),
        CheckConstraint("net = gross - tare - deductions", name="net_adds_up"),
        CheckConstraint("net > 0", name="net_above_zero"),
        CheckConstraint("division > 0 AND gross % division = 0 AND tare % division = 0", name="on_division"),
        CheckConstraint("(voided_at IS NULL) = (void_reason = '')", name="void_says_why"),
        {"info": {"key": ("number",)}},
    )

    number: Mapped[int]
    tag: Mapped[str]
    kind: Mapped[TicketKind] = mapped_column(one_of(TicketKind))
    donor_id: Mapped[int | None] = mapped_column(ForeignKey("donors.id"), index=True)
    commodity: Mapped[str] = mapped_column(default="")
    party: Mapped[str] = mapped_column(default="", doc="seller or buyer")
    plate: Mapped[str] = mapped_column(default="")
    scale: Mapped[str] = mapped_column(default="")
    gross: Mapped[Decimal]
    gross_at: Mapped[datetime]
    tare: Mapped[Decimal]
    tare_at: Mapped[datetime]
    deductions: Mapped[Decimal] = mapped_column(default=Decimal(0))
    deduction_lines: Mapped[list[Any]] = mapped_column(default=list)
    net: Mapped[Decimal]
    unit: Mapped[str]
    division: Mapped[Decimal]
    typed_by_hand: Mapped[bool] = mapped_column(default=True)
    price_cents: Mapped[Decimal | None] = mapped_column(FineCents(), doc="by price_unit, to five decimals")
    price_unit: Mapped[str] = mapped_column(default="")
    amount_cents: Mapped[int | None] = cents()
    at: Mapped[datetime]
    seat: Mapped[str]
    by: Mapped[str] = mapped_column("by_")
    voided_at: Mapped[datetime | None]
    void_reason: Mapped[str] = mapped_column(default="")
    voided_by: Mapped[str] = mapped_column(default="")
