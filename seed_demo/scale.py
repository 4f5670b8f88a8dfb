"""What went over the scale: kept until all is known, then written in order of time."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

from app.book.money import dollars
from app.book.schema import TicketKind, WeightTicket
from app.book.tags import TagKind
from app.fit.weights import WeightUnit
from seed_demo.weighing import Weighing
from seed_demo.yard import Yard

DIVISION = 20
"""Pounds between two steps of the truck scale."""

SCALE = "truck scale 1"
SCRAP = (
    ("aluminum wheels", 58, WeightUnit.LB),
    ("copper-brass radiators", 192, WeightUnit.LB),
    ("cut steel", 23_500, WeightUnit.GROSS_TON),
)
WALK_IN_TICKETS = 42


def on_division(pounds: float) -> int:
    """A weight as the truck scale shows it."""
    return round(pounds / DIVISION) * DIVISION


def buy_scrap(yard: Yard) -> None:
    """Walk-in scrap over the scale."""
    rng = yard.chances("scrap")
    for _ in range(WALK_IN_TICKETS):
        commodity, cents, unit = rng.choice(SCRAP)
        yard.weighings.append(
            Weighing(
                kind=TicketKind.SCRAP_IN,
                at=yard.moment(rng.randrange(1, 360), rng),
                tare=on_division(rng.uniform(4_800, 6_600)),
                net=on_division(rng.uniform(60, 620)),
                commodity=commodity,
                party=yard.person(rng),
                price_cents=cents,
                unit=unit,
            )
        )


def write_weighings(yard: Yard) -> None:
    """Give every weighing its ticket, numbered in order of time, and its history line."""
    yard.weighings.sort(key=lambda each: (each.at, each.stock_number))
    for number, weighing in enumerate(yard.weighings, start=1):
        _ticket(yard, number, weighing)
        action, subject, words = _said(number, weighing)
        details: dict[str, object] = {} if weighing.kind is TicketKind.SCRAP_IN else {"ticket": number}
        yard.ledger.note(weighing.at + timedelta(minutes=2), "scale", "SC", action, subject, words, details)


def _said(number: int, weighing: Weighing) -> tuple[str, str, str]:
    net = f"net {weighing.net:,} lb"
    if weighing.kind is TicketKind.ARRIVAL:
        return "weigh in", weighing.stock_number, net
    if weighing.kind is TicketKind.SCRAP_IN:
        return "weigh scrap", f"weight ticket {number}", f"{weighing.commodity}: {net}"
    amount = dollars(weighing.amount_cents or 0)
    return "weigh out", weighing.stock_number, f"hulk {net}, {amount}; as expected"


def _ticket(yard: Yard, number: int, weighing: Weighing) -> None:
    tare_at = weighing.at + timedelta(minutes=2)
    yard.ledger.add(
        WeightTicket,
        number=number,
        tag=yard.new_tag(TagKind.WEIGHT),
        kind=weighing.kind,
        donor_id=weighing.donor_id,
        commodity=weighing.commodity,
        party=weighing.party,
        plate="",
        scale=SCALE,
        gross=Decimal(weighing.tare + weighing.net),
        gross_at=weighing.at,
        tare=Decimal(weighing.tare),
        tare_at=tare_at,
        deductions=Decimal(0),
        deduction_lines=[],
        net=Decimal(weighing.net),
        unit="lb",
        division=Decimal(DIVISION),
        typed_by_hand=True,
        price_cents=weighing.price_cents,
        price_unit=str(weighing.unit or ""),
        amount_cents=weighing.amount_cents,
        at=tare_at,
        seat="scale",
        by_="SC",
        voided_at=None,
        void_reason="",
        voided_by="",
    )
