"""The parts of the demo: what came off which vehicle, what was seen on it, what it costs, where it is."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal

from app.book.harvest import AIRBAG_BLOCK
from app.book.places import LAW_KINDS, OWN_KIND_ONLY
from app.book.schema import Law, PlaceKind, Standing, Whereabouts
from app.fit.terms import Condition, Side
from seed_demo.known import PartHabit, Spot, TypeKnown, meets
from seed_demo.seen import Saw, look_at
from seed_demo.vehicles import Vehicle
from seed_demo.yard import Yard, some

PULLERS = ("P1", "P2", "P3")
CONDITIONS = ((Condition.A, 40), (Condition.B, 46), (Condition.C, 9), (Condition.CORE, 4), (Condition.SCRAP, 1))
WORTH = {Condition.A: 1.0, Condition.B: 0.8, Condition.C: 0.45, Condition.CORE: 0.25, Condition.SCRAP: 0.05}
PLAIN_KINDS = (PlaceKind.SHELF, PlaceKind.LOW_HEAVY)
BOTH_SIDES_PERCENT = 50
COUNTED_DAYS = 75
"""Most shelves were counted within so many days; what was missed shows its age."""


@dataclass
class Piece:
    """A part on its way through the yard."""

    tag: str
    vehicle: Vehicle
    kind: TypeKnown
    side: Side
    condition: Condition
    damage: str
    price_cents: int
    weight_lb: Decimal
    weighed: bool
    made_at: datetime
    made_by: str
    proven: str
    design_id: int | None
    saw: list[Saw]
    standing: Standing = Standing.FREE
    block_reason: str = ""
    whereabouts: Whereabouts = Whereabouts.IN_PLACE
    spot: Spot | None = None
    holder: str = ""
    left_at: datetime | None = None
    seen_at: datetime | None = None
    note: str = ""
    row_id: int = 0

    @property
    def name(self) -> str:
        """The part as it is said, with its side."""
        return f"{self.kind.name} {self.side}".strip()


@dataclass
class Shelves:
    """Every place by kind, with the room left."""

    yard: Yard
    by_kind: dict[PlaceKind, list[Spot]] = field(default_factory=dict)
    brothers: dict[str, Spot] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for spot in self.yard.known.spots:
            self.by_kind.setdefault(spot.kind, []).append(spot)

    def kinds_for(self, kind: TypeKnown) -> tuple[PlaceKind, ...]:
        """The kinds of place a part type may stand in, the usual one first."""
        if kind.law in LAW_KINDS:
            return LAW_KINDS[kind.law]
        return kind.place_kinds or tuple(each for each in PLAIN_KINDS if each not in OWN_KIND_ONLY)

    def take(self, piece: Piece, rng: random.Random) -> Spot | None:
        """A place with room that bears the weight, near the part's brothers if it can be."""
        brother = self.brothers.get(piece.kind.name)
        if brother is not None and self._bears(brother, piece) and some(rng, 70):
            brother.room -= 1
            return brother
        for kind in self.kinds_for(piece.kind):
            found = [spot for spot in self.by_kind.get(kind, []) if self._bears(spot, piece)]
            if found:
                spot = rng.choice(found)
                spot.room -= 1
                self.brothers[piece.kind.name] = spot
                return spot
        return None

    def _bears(self, spot: Spot, piece: Piece) -> bool:
        return spot.room > 0 and (spot.limit_lb is None or piece.weight_lb <= spot.limit_lb)


def harvest_all(yard: Yard, vehicles: list[Vehicle]) -> list[Piece]:
    """Tag what came off every vehicle, oldest tag first."""
    pieces = [piece for vehicle in vehicles for piece in _off(yard, vehicle)]
    pieces.sort(key=lambda piece: piece.made_at)
    return pieces


def _off(yard: Yard, vehicle: Vehicle) -> Iterator[Piece]:
    """What is tagged off one vehicle; the last of it stays listed on the vehicle while that stands here."""
    rng = yard.chances(f"stock {vehicle.id}")
    start = vehicle.ready_at
    if start is None or start > yard.now or yard.days_since(start) < 1:
        return
    standing = yard.days_since(vehicle.arrived_at) < 110
    spread = rng.uniform(8, 45)
    for kind, side in _picked(yard, vehicle, rng):
        at = yard.after(start, rng.uniform(0.5, spread), rng)
        if at is None:
            continue
        piece = _piece(yard, vehicle, kind, side, at, rng)
        if standing and some(rng, 22):
            piece.whereabouts = Whereabouts.ON_VEHICLE
        yield piece


def _picked(yard: Yard, vehicle: Vehicle, rng: random.Random) -> list[tuple[TypeKnown, Side]]:
    chosen = [
        name
        for name, habit in yard.known.part_habits.items()
        if some(rng, habit.share) and _comes_with(yard.known.types[name], habit, vehicle)
    ]
    gone = {name for each in chosen for name in yard.known.part_habits[each].instead_of}
    picked: list[tuple[TypeKnown, Side]] = []
    for name in chosen:
        if name in gone:
            continue
        kind = yard.known.types[name]
        if not kind.sided:
            picked.append((kind, Side.NONE))
        elif some(rng, BOTH_SIDES_PERCENT):
            picked += [(kind, Side.LH), (kind, Side.RH)]
        else:
            picked.append((kind, rng.choice([Side.LH, Side.RH])))
    return picked


def _comes_with(kind: TypeKnown, habit: PartHabit, vehicle: Vehicle) -> bool:
    return vehicle.models[kind.group].key in habit.models and meets(habit.needs, vehicle.truth)


def _piece(yard: Yard, vehicle: Vehicle, kind: TypeKnown, side: Side, at: datetime, rng: random.Random) -> Piece:
    habit = yard.known.part_habits[kind.name]
    condition = rng.choices([each for each, _ in CONDITIONS], [weight for _, weight in CONDITIONS])[0]
    asked = rng.triangular(habit.low, habit.high) * WORTH[condition]
    usual = float(kind.usual_lb)
    weighed = usual < 300 and some(rng, 55)
    weight = Decimal(f"{usual * rng.uniform(0.9, 1.1):.1f}") if weighed else kind.usual_lb
    names = yard.known.names
    piece = Piece(
        tag="",
        vehicle=vehicle,
        kind=kind,
        side=side,
        condition=condition,
        damage="" if condition is Condition.A else rng.choice(names["damage"]),
        price_cents=max(5, round(asked / 5) * 5) * 100,
        weight_lb=max(weight, Decimal("0.1")),
        weighed=weighed,
        made_at=at,
        made_by=rng.choice(PULLERS),
        proven=rng.choice(names["proven"]) if kind.has_miles else "",
        design_id=_design(yard, vehicle, kind),
        saw=look_at(yard, vehicle, kind, side, at, rng),
    )
    _block(piece)
    return piece


def _design(yard: Yard, vehicle: Vehicle, kind: TypeKnown) -> int | None:
    """The design whose facts are all true of the vehicle."""
    found = [each for each in yard.known.designs.get(kind.name, []) if each.facts and meets(each.facts, vehicle.truth)]
    return max(found, key=lambda each: len(each.facts)).id if found else None


def _block(piece: Piece) -> None:
    """What yard law keeps off sale from the start."""
    seen = {saw.fact: saw.value for saw in piece.saw}
    reason = ""
    if piece.kind.law is Law.AIRBAG and "recall checked" not in seen:
        reason = AIRBAG_BLOCK
    if piece.kind.law is Law.FRAME and piece.vehicle.frame_known == "scrap only":
        reason = "frame is scrap only"
    if reason:
        piece.standing, piece.block_reason = Standing.BLOCKED, reason


def store(yard: Yard, pieces: list[Piece]) -> None:
    """Give what is still here its place; two are missing now and then, a few are still in a hand."""
    rng = yard.chances("places")
    shelves = Shelves(yard)
    for piece in pieces:
        if piece.whereabouts is not Whereabouts.IN_PLACE:
            continue
        age = yard.days_since(piece.made_at)
        if age < 2 and some(rng, 40):
            piece.whereabouts, piece.holder = Whereabouts.IN_HAND, piece.made_by
            continue
        piece.spot = shelves.take(piece, rng)
        assert piece.spot is not None, f"no room for a {piece.kind.name} of {piece.weight_lb} lb"
        away = piece.made_at + timedelta(minutes=rng.randrange(1, 30))
        piece.seen_at = min(away, yard.now)
        if some(rng, 82) and age > 2:
            piece.seen_at = max(away, yard.moment(rng.randrange(1, min(age, COUNTED_DAYS)), rng))
        if piece.standing is Standing.FREE and age > 90 and some(rng, 2.5):
            piece.standing = Standing.MISSING
