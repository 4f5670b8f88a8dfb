"""The demo yard's year and a half out of one seed: vehicles, parts, weighings, tickets and asks that agree."""

from __future__ import annotations

from collections import Counter as Tally
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal

from sqlalchemy import Connection, bindparam, insert, select, update

from app.book.schema import (
    Base,
    Counter,
    Donor,
    DonorState,
    FrameState,
    Part,
    PartFact,
    Place,
    PlateWord,
    Standing,
    TicketKind,
    Whereabouts,
)
from app.book.sheets.series import raise_counters
from app.book.tags import TagKind
from app.fit import mass
from app.fit.weights import WeightUnit
from seed_demo.arrival import settle_in
from seed_demo.asking import turn_away_some, write_asks
from seed_demo.known import read_known
from seed_demo.scale import DIVISION, buy_scrap, on_division, write_weighings
from seed_demo.selling import choose_sold, write_holds, write_tickets
from seed_demo.stock import Piece, harvest_all, store
from seed_demo.vehicles import Vehicle, bring_in
from seed_demo.weighing import Weighing
from seed_demo.yard import Yard, some

SEED = 20
STEPS = ("vehicles", "parts", "tickets", "asks", "writing")
SERIES = ("asks", "wants", "holds", "sale_tickets", "weight_tickets", "vin_readings", "refusals", "donors", "contacts")
LEAST_HULK_LB = 700
CRUSHED_AFTER_DAYS = 120

Step = Callable[[str], None]


def fill(connection: Connection, today: date, step: Step, *, seed: int = SEED) -> None:
    """Fill a book that has the demo's knowledge and nothing else; the same rows for the same day and seed."""
    yard = Yard(seed, today, read_known(connection))
    step(STEPS[0])
    vehicles = bring_in(yard)
    settle_in(yard, vehicles)
    step(STEPS[1])
    pieces = harvest_all(yard, vehicles)
    for number, piece in enumerate(pieces, start=1):
        piece.tag, piece.row_id = yard.new_tag(TagKind.PART), number
    baskets = choose_sold(yard, pieces)
    write_off_some(yard, pieces)
    crush(yard, vehicles, pieces)
    store(yard, pieces)
    step(STEPS[2])
    write_tickets(yard, baskets, pieces)
    write_holds(yard, pieces)
    buy_scrap(yard)
    write_weighings(yard)
    step(STEPS[3])
    write_asks(yard, pieces)
    turn_away_some(yard)
    step(STEPS[4])
    _write_donors(yard, vehicles, pieces)
    _write_parts(yard, pieces)
    yard.ledger.write(connection, yard.chances("history"))
    _finish(yard, connection, vehicles)


def write_off_some(yard: Yard, pieces: Sequence[Piece]) -> None:
    """The owner gave up on a few old parts."""
    rng = yard.chances("written off")
    for piece in pieces:
        old = yard.days_since(piece.made_at) > 260
        here = piece.standing is Standing.FREE and piece.whereabouts is Whereabouts.IN_PLACE
        if old and here and some(rng, 12):
            piece.standing, piece.whereabouts = Standing.WRITTEN_OFF, Whereabouts.GONE
            piece.note = "over a year on the shelf, to scrap"
            piece.left_at = yard.moment(rng.randrange(1, 60), rng)


def crush(yard: Yard, vehicles: Sequence[Vehicle], pieces: Sequence[Piece]) -> None:
    """Weigh old hulks out, each as heavy as what came off it says."""
    rng = yard.chances("hulks")
    by_vehicle: dict[int, list[Piece]] = defaultdict(list)
    for piece in pieces:
        by_vehicle[piece.vehicle.id].append(piece)
    for vehicle in vehicles:
        off = by_vehicle[vehicle.id]
        last = max((piece.made_at for piece in off), default=vehicle.arrived_at)
        at = yard.after(last, rng.uniform(20, 110), rng)
        ready = yard.days_since(vehicle.arrived_at) > CRUSHED_AFTER_DAYS and vehicle.net_lb is not None
        if at is None or yard.days_since(at) < 1 or not ready or not some(rng, 82):
            continue
        net = _hulk(vehicle, off, rng.uniform(-0.6, 0.6))
        if net < LEAST_HULK_LB:
            continue
        vehicle.gone_at = at
        yard.weighings.append(
            Weighing(
                kind=TicketKind.HULK_OUT,
                at=at,
                tare=on_division(rng.uniform(15_200, 16_400)),
                net=net,
                commodity="hulk",
                stock_number=vehicle.stock_number,
                donor_id=vehicle.id,
                party=rng.choice(yard.known.names["mill"]),
                price_cents=rng.randrange(188, 236) * 100,
                unit=WeightUnit.GROSS_TON,
            )
        )


def _hulk(vehicle: Vehicle, off: Sequence[Piece], stray: float) -> int:
    """What the hulk weighs: what is expected, astray by a share of the doubt."""
    removals = [mass.Removal("metered and weighed", vehicle.metered_lb, mass.How.WEIGHED)]
    removals += [
        mass.Removal(piece.tag, piece.weight_lb, mass.How.WEIGHED if piece.weighed else mass.How.ESTIMATED)
        for piece in off
    ]
    found = mass.balance(Decimal(vehicle.net_lb or 0), removals, Decimal(DIVISION))
    return on_division(float(found.expected) + stray * float(found.doubt))


def _write_donors(yard: Yard, vehicles: Sequence[Vehicle], pieces: Sequence[Piece]) -> None:
    rows = [spot.id for spot in yard.known.spots if spot.kind == "yard row"]
    busy = {piece.vehicle.id for piece in pieces}
    for vehicle in vehicles:
        yard.ledger.add(
            Donor,
            stock_number=vehicle.stock_number,
            tag=vehicle.tag,
            vin=vehicle.vin,
            vin_note="",
            model_id=vehicle.plate.id,
            words=f"{vehicle.truth['color']}, {vehicle.truth['engine']}",
            year=vehicle.year,
            built=vehicle.built,
            miles=vehicle.miles,
            source=vehicle.source,
            arrived_at=vehicle.arrived_at,
            frame_state=FrameState(vehicle.frame_known),
            frame_reason=vehicle.frame_reason,
            state=_state(yard, vehicle, busy),
            place_id=None if vehicle.gone_at else rows[vehicle.id % len(rows)],
            arrival_net_lb=None if vehicle.net_lb is None else Decimal(vehicle.net_lb),
            note="",
            **vehicle.values,
        )


def _state(yard: Yard, vehicle: Vehicle, busy: set[int]) -> DonorState:
    if vehicle.gone_at:
        return DonorState.WEIGHED_OUT
    if vehicle.id not in busy:
        return DonorState.ARRIVED
    return DonorState.TEARDOWN if yard.days_since(vehicle.arrived_at) < CRUSHED_AFTER_DAYS else DonorState.HULK


def _write_parts(yard: Yard, pieces: Sequence[Piece]) -> None:
    for piece in pieces:
        on_vehicle = piece.whereabouts is Whereabouts.ON_VEHICLE
        yard.ledger.add(
            Part,
            tag=piece.tag,
            donor_id=piece.vehicle.id,
            part_type_id=piece.kind.id,
            design_id=piece.design_id,
            side=piece.side,
            condition=piece.condition,
            damage=piece.damage,
            proven=piece.proven,
            pieces=piece.kind.pieces,
            miles=piece.vehicle.miles if piece.kind.has_miles else None,
            price_cents=piece.price_cents,
            core_cents=piece.kind.core_cents,
            weight_lb=piece.weight_lb,
            weight_how="weighed" if piece.weighed else "estimated",
            standing=piece.standing,
            block_reason=piece.block_reason,
            whereabouts=piece.whereabouts,
            place_id=piece.spot.id if piece.spot else None,
            holder_id=yard.known.people[piece.holder] if piece.holder else None,
            pull_hours=piece.kind.hours if on_vehicle else None,
            made_at=piece.made_at,
            made_by=piece.made_by,
            seen_at=piece.seen_at,
            note=piece.note,
        )
        _write_facts(yard, piece)
        _note_part(yard, piece)


def _write_facts(yard: Yard, piece: Piece) -> None:
    for saw in piece.saw:
        yard.ledger.add(
            PartFact,
            part_id=piece.row_id,
            fact_id=yard.known.facts[saw.fact].id,
            value=saw.value,
            mm=saw.mm,
            u_mm=saw.u_mm,
            tool=saw.tool,
            known_by=saw.known_by,
        )


def _note_part(yard: Yard, piece: Piece) -> None:
    off = f"{piece.kind.name} off {piece.vehicle.stock_number}"
    details: dict[str, object] = {"facts": [saw.fact for saw in piece.saw]}
    yard.ledger.note(piece.made_at, "floor", piece.made_by, "harvest", piece.tag, off, details)
    if piece.spot is not None:
        code, at = piece.spot.code, min(piece.made_at + timedelta(minutes=3), yard.now)
        moved: dict[str, object] = {"place": code, "came_from": "in hand"}
        yard.ledger.note(at, "floor", piece.made_by, "put away", piece.tag, f"{piece.tag} is in {code}", moved)


def _finish(yard: Yard, connection: Connection, vehicles: Sequence[Vehicle]) -> None:
    """Place tags, what the plates taught, and every counter brought up to what was given out."""
    places = connection.scalars(select(Place.id).order_by(Place.id)).all()
    _change(connection, "places", "tag", {row: yard.new_tag(TagKind.PLACE) for row in places})
    seen = Tally((each.vin[:3], place, symbol) for each in vehicles for place, symbol in enumerate(each.vin, start=1))
    words = connection.execute(select(PlateWord.id, PlateWord.maker, PlateWord.position, PlateWord.symbol)).all()
    _change(connection, "plate_words", "seen", {row: seen[maker, place, symbol] for row, maker, place, symbol in words})
    counters = [{"series": f"tag {kind.value}", "last": last} for kind, last in sorted(yard.tags.items())]
    connection.execute(insert(Counter), counters)
    raise_counters(connection, SERIES)


def _change(connection: Connection, table: str, column: str, values: Mapping[int, object]) -> None:
    """Give one column of rows that are there its new values, by the rows' ids."""
    kept = Base.metadata.tables[table]
    statement = update(kept).where(kept.c.id == bindparam("row")).values({column: bindparam("new")})
    connection.execute(statement, [{"row": row, "new": new} for row, new in values.items()])
