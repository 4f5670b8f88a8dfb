"""One weighing of the demo yard, as it is kept until all is known."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from app.book.schema import TicketKind
from app.fit.weights import Weight, WeightUnit, price


@dataclass(frozen=True, slots=True)
class Weighing:
    """Tare and net in pounds as the scale showed them, with the price of one `unit` in cents."""

    kind: TicketKind
    at: datetime
    tare: int
    net: int
    commodity: str
    stock_number: str = ""
    donor_id: int | None = None
    party: str = ""
    price_cents: int | None = None
    unit: WeightUnit | None = None

    @property
    def amount_cents(self) -> int | None:
        """What it brought or cost."""
        if self.price_cents is None or self.unit is None:
            return None
        return price(Weight(Decimal(self.net), WeightUnit.LB), self.price_cents, self.unit)
