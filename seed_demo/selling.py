"""The counter's year: what was sold to whom on which ticket, what is held, what was voided."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from app.book.money import dollars, percent_of
from app.book.sales import split
from app.book.schema import Hold, Law, SaleLine, SaleTicket, Standing, TicketState, Whereabouts
from app.book.tags import TagKind
from app.fit.terms import Condition, Grade
from seed_demo.stock import Piece
from seed_demo.vehicles import new_contact
from seed_demo.yard import Yard, phone, pick, some

SELLS_PERCENT = 66
DAYS_TO_SELL = 120
PAID_HOW = (("card", 55), ("cash", 33), ("check", 12))
SAID = (
    (Grade.BOLTS_UP, "bolts up", 82), (Grade.MOVE_OVER, "bolts up, pieces to move over", 6),
    (Grade.BOLTS_IN, "bolts in, works differently", 5), (Grade.NEEDS_WORK, "fits with work", 4),
    (Grade.MEASURE, "measured at the counter", 3),
)  # fmt: skip
DISCOUNTS = (("0", 78), ("5", 12), ("10", 10))
OPEN_HOLDS = 14
ENDED_HOLDS = 130


@dataclass(frozen=True, slots=True)
class Buyer:
    """Who buys: a contact of the yard, or a name said at the counter."""

    name: str
    contact_id: int | None
    exempt_number: str


@dataclass(frozen=True, slots=True)
class Basket:
    """A ticket before it is written."""

    at: datetime
    pieces: tuple[Piece, ...]
    state: TicketState


def clerk(yard: Yard, at: datetime, rng: random.Random) -> tuple[str, str]:
    """The seat and the person at the counter on a day; one of them left in the spring."""
    if yard.days_since(at) > 130:
        return rng.choice([("counter 1", "C1"), ("counter 2", "C3")])
    return rng.choice([("counter 1", "C1"), ("counter 2", "C2")])


def choose_sold(yard: Yard, pieces: Sequence[Piece]) -> list[Basket]:
    """Which parts were sold when; each leaves its place. Some tickets were voided and their parts are back."""
    rng = yard.chances("sales")
    sold: list[tuple[datetime, Piece]] = []
    for piece in pieces:
        if not _for_sale(piece) or not some(rng, SELLS_PERCENT):
            continue
        at = yard.after(piece.made_at, rng.expovariate(1 / DAYS_TO_SELL), rng)
        if at is not None and yard.days_since(at) > 0:
            sold.append((at, piece))
    sold.sort(key=lambda each: (each[0], each[1].made_at, each[1].name))
    return [_basket(yard, at, together, rng) for at, together in _together(sold, rng)]


def _for_sale(piece: Piece) -> bool:
    plain = piece.kind.law not in (Law.AIRBAG, Law.FRAME) and piece.condition is not Condition.SCRAP
    return plain and piece.standing is Standing.FREE and piece.whereabouts is Whereabouts.IN_PLACE


def _together(sold: Sequence[tuple[datetime, Piece]], rng: random.Random) -> list[tuple[datetime, tuple[Piece, ...]]]:
    """Parts sold on one day sometimes go on one ticket."""
    baskets: list[tuple[datetime, list[Piece]]] = []
    for at, piece in sold:
        if baskets and baskets[-1][0].date() == at.date() and len(baskets[-1][1]) < 4 and some(rng, 34):
            baskets[-1] = (at, [*baskets[-1][1], piece])
        else:
            baskets.append((at, [piece]))
    return [(at, tuple(together)) for at, together in baskets]


def _basket(yard: Yard, at: datetime, together: tuple[Piece, ...], rng: random.Random) -> Basket:
    voided = yard.days_since(at) > 3 and some(rng, 2)
    for piece in together:
        if not voided:
            piece.standing = Standing.SOLD
            piece.left_at = at
            waits = yard.days_since(at) < 4 and some(rng, 60)
            piece.whereabouts = Whereabouts.IN_PLACE if waits else Whereabouts.GONE
    return Basket(at, together, TicketState.VOIDED if voided else TicketState.PAID)


def write_tickets(yard: Yard, baskets: Sequence[Basket], pieces: Sequence[Piece]) -> None:
    """Write every ticket with its lines, the last one still waiting for its card slip to be looked at."""
    rng = yard.chances("tickets")
    buyers = _Buyers(yard)
    for basket in baskets:
        _ticket(yard, basket, buyers.one(rng), rng)
    free = [piece for piece in pieces if _for_sale(piece)]
    waiting = rng.choice(free)
    waiting.standing = Standing.ON_TICKET
    basket = Basket(yard.moment(0, rng), (waiting,), TicketState.NOT_RECORDED)
    _ticket(yard, basket, buyers.one(rng), rng)


@dataclass(frozen=True, slots=True)
class Sums:
    """What a ticket comes to, in cents, with each line's share of discount and cores."""

    parts: int
    discount: int
    shares: tuple[int, ...]
    cores: tuple[int, ...]
    rate: str
    tax: int

    @property
    def total(self) -> int:
        """What is paid."""
        return self.parts - self.discount + sum(self.cores) + self.tax

    def columns(self) -> dict[str, object]:
        """The ticket's money."""
        return {
            "parts_cents": self.parts,
            "discount_cents": self.discount,
            "core_cents": sum(self.cores),
            "tax_rate": self.rate,
            "tax_cents": self.tax,
            "deposit_cents": 0,
            "total_cents": self.total,
        }


def _sums(yard: Yard, pieces: Sequence[Piece], buyer: Buyer, rng: random.Random) -> Sums:
    prices = [piece.price_cents for piece in pieces]
    discount = percent_of(sum(prices), Decimal(pick(rng, DISCOUNTS)))
    rate = "0" if buyer.exempt_number else str(yard.known.tax)
    return Sums(
        parts=sum(prices),
        discount=discount,
        shares=tuple(split(discount, prices)),
        cores=tuple(0 if some(rng, 55) else piece.kind.core_cents for piece in pieces),
        rate=rate,
        tax=percent_of(sum(prices) - discount, Decimal(rate)),
    )


def _ticket(yard: Yard, basket: Basket, buyer: Buyer, rng: random.Random) -> None:
    seat, by = clerk(yard, basket.at, rng)
    number = yard.ledger.count(SaleTicket) + 1
    sums = _sums(yard, basket.pieces, buyer, rng)
    paid = basket.state is not TicketState.NOT_RECORDED
    how = pick(rng, PAID_HOW) if paid else ""
    voided = basket.state is TicketState.VOIDED
    void_at = yard.after(basket.at, rng.randrange(0, 3), rng) if voided else None
    reason = rng.choice(["wrong part sent", "changed his mind", "typed the wrong tag"]) if voided else ""
    ticket = yard.ledger.add(
        SaleTicket,
        number=number,
        tag=yard.new_tag(TagKind.SALE),
        made_at=basket.at,
        seat=seat,
        by_=by,
        contact_id=buyer.contact_id,
        customer=buyer.name,
        exempt_number=buyer.exempt_number,
        state=basket.state,
        discount_by=by if sums.discount else "",
        paid_how=how,
        slip=f"{rng.randrange(1000, 9999)}" if how == "card" else "",
        paid_at=basket.at if paid else None,
        receipts=1 if paid and some(rng, 92) else 0,
        voided_at=void_at,
        void_reason=reason,
        voided_by=by if voided else "",
        **sums.columns(),
    )
    for place in range(len(basket.pieces)):
        _line(yard, ticket, place, sums, basket, rng)
    _note_ticket(yard, number, (seat, by), basket, sums.total, how)
    if void_at is not None:
        back = f"{reason}: {dollars(sums.total)} {how} goes back"
        yard.ledger.note(void_at, seat, by, "void", f"ticket {number}", back, {"total_cents": sums.total})


def _note_ticket(yard: Yard, number: int, seat_by: tuple[str, str], basket: Basket, total: int, how: str) -> None:
    tags = [piece.tag for piece in basket.pieces]
    subject, said, at = f"ticket {number}", ", ".join(tags), basket.at
    if how:
        words = f"{said} sold, {dollars(total)} {how}"
        yard.ledger.note(at, *seat_by, "sell", subject, words, {"tags": tags, "total_cents": total})
        return
    yard.ledger.note(at, *seat_by, "start ticket", subject, f"draft with {said}", {"tags": tags})
    yard.ledger.note(at, *seat_by, "card started", subject, "payment not recorded yet: look at the card slip")


def _line(yard: Yard, ticket: int, place: int, sums: Sums, basket: Basket, rng: random.Random) -> None:
    grade, said = rng.choices([each[:2] for each in SAID], [each[2] for each in SAID])[0]
    piece = basket.pieces[place]
    waiting = basket.state is TicketState.NOT_RECORDED
    yard.ledger.add(
        SaleLine,
        ticket_id=ticket,
        number=place + 1,
        part_id=piece.row_id,
        words=f"{piece.kind.name}, {piece.vehicle.words}",
        grade=str(grade),
        said=said,
        price_cents=piece.price_cents,
        discount_cents=sums.shares[place],
        core_cents=sums.cores[place],
        keeps_until=basket.at + timedelta(minutes=15) if waiting else None,
        live=basket.state is not TicketState.VOIDED,
    )


class _Buyers:
    """Body shops with accounts, and everybody else."""

    def __init__(self, yard: Yard) -> None:
        self.yard = yard
        rng = yard.chances("buyers")
        exempt = {name: f"EX-{rng.randrange(10_000, 99_999)}" for name in yard.known.names["shop"][:4]}
        self.shops = [
            Buyer(name, new_contact(yard, name, rng, exempt_number=exempt.get(name, "")), exempt.get(name, ""))
            for name in yard.known.names["shop"]
        ]

    def one(self, rng: random.Random) -> Buyer:
        """A shop one time in four, else a person, who may not give a name."""
        if some(rng, 26):
            return rng.choice(self.shops)
        return Buyer(self.yard.person(rng) if some(rng, 60) else "", None, "")


def write_holds(yard: Yard, pieces: Sequence[Piece]) -> None:
    """Parts kept for somebody: the open ones, and those that were taken up or ran out."""
    rng = yard.chances("holds")
    free = [piece for piece in pieces if _for_sale(piece) and yard.days_since(piece.made_at) > 2]
    ended = [piece for piece in pieces if piece.standing is Standing.SOLD and piece.left_at is not None]
    holds: list[tuple[datetime, Piece, datetime | None]] = []
    for piece in rng.sample(ended, ENDED_HOLDS):
        assert piece.left_at is not None
        start = max(piece.made_at, piece.left_at - timedelta(hours=rng.randrange(1, 20)))
        if start < piece.left_at:
            holds.append((start, piece, piece.left_at))
    for piece in rng.sample(free, OPEN_HOLDS):
        piece.standing = Standing.HELD
        holds.append((yard.moment(0, rng), piece, None))
    for number, (at, piece, over) in enumerate(sorted(holds, key=lambda each: each[0]), start=1):
        _hold(yard, number, at, piece, over, rng)


def _hold(yard: Yard, number: int, at: datetime, piece: Piece, over: datetime | None, rng: random.Random) -> None:
    name, seat_by = yard.person(rng), clerk(yard, at, rng)
    until = at + timedelta(hours=24 if over or some(rng, 70) else 24 * 7)
    yard.ledger.add(
        Hold,
        number=number,
        part_id=piece.row_id,
        name=name,
        phone=phone(rng),
        made_at=at,
        until=until,
        deposit_cents=0,
        ended_at=over,
        ended_why="taken up" if over else "",
        by_=seat_by[1],
    )
    words = f"{piece.tag} held for {name} until {until:%Y-%m-%d %H:%M}"
    yard.ledger.note(at, *seat_by, "hold", piece.tag, words, {"until": until.isoformat()})
