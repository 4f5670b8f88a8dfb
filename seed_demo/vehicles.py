"""The vehicles of the demo: what they are, their VINs, papers and money."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal

from app.book.intake import WAITING_BLOCKS
from app.book.schema import Contact, DonorCost, DonorFact, DonorIdentity, Paper, VehicleHold, VinReading
from app.book.tags import TagKind
from app.fit.terms import Group
from app.fit.vin import YEAR_CODES, check_digit
from seed_demo.known import ModelKnown
from seed_demo.yard import Yard, phone, pick, some

COUNT = 330
OLDEST_DAYS = 540
PLANTS = "ABBTTM"
CAB_LETTERS = {"regular": "R", "extended": "X", "crew": "C", "wagon": "W", "hatch": "W"}
ENGINE_LETTERS = {"4.9": "V", "6.3": "Z", "7.4": "7", "3.9": "S", "1.9": "F", "1.9 hybrid": "N"}
DRIVE_MARKS = {"4x4": "4D", "2WD": "2B"}
LIKELY = {
    "drive=4x4": 3, "cab=crew": 3, "cab=extended": 2, "transmission=automatic": 6, "window=power": 5, "trim=plain": 3,
    "bed=short": 3, "towing=yes": 2, "engine=6.3": 4, "rear air=yes": 2, "transfer case control=push-button": 2,
}  # fmt: skip
WRITTEN_DOWN = (
    "drive", "cab", "bed", "engine", "transmission", "gearbox", "transfer case control", "towing", "rear air",
    "rear air control", "window", "color", "trim", "axle ratio", "wheel diameter", "brake size",
)  # fmt: skip
ALWAYS = ("drive", "engine", "gearbox", "cab")
SOURCES = (("auction", 46), ("walk-in", 20), ("tow yard", 14), ("dealer", 12), ("fleet", 8))
PAPERS = (
    (Paper.SALVAGE, 38), (Paper.CLEAN, 30), (Paper.PARTS_ONLY, 12), (Paper.LIEN_SALE, 8), (Paper.REBUILT, 5),
    (Paper.DESTRUCTION, 4), (Paper.BILL_OF_SALE, 2), (Paper.NONE, 1),
)  # fmt: skip
OTHER_FRAME = {"HL2": "HH2", "GL2": "GH2"}


@dataclass
class Vehicle:
    """A vehicle with all that is true of it, known to the yard or not."""

    id: int
    stock_number: str
    tag: str
    models: dict[Group, ModelKnown]
    plate: ModelKnown
    year: int
    built: str
    plant: str
    vin: str
    truth: dict[str, str]
    arrived_at: datetime
    miles: int | None
    source: str
    frame_known: str = "not measured"
    frame_reason: str = ""
    ready_at: datetime | None = None
    net_lb: int | None = None
    gone_at: datetime | None = None
    costs: int = 0
    metered_lb: Decimal = Decimal(0)
    landed_cents: int = 0
    values: dict[str, object] = field(default_factory=dict)

    @property
    def words(self) -> str:
        """The vehicle as the book says it."""
        return f"{self.year} {self.plate.words}"


def bring_in(yard: Yard) -> list[Vehicle]:
    """Every vehicle that came in, oldest first."""
    rng = yard.chances("vehicles")
    days = sorted((rng.randrange(1, OLDEST_DAYS) for _ in range(COUNT - 3)), reverse=True)
    moments = sorted(yard.moment(ago, rng) for ago in [*days, 1, 0, 0])
    sellers = _Sellers(yard)
    made = [_vehicle(yard, rng, number, at, sellers) for number, at in enumerate(moments, start=1)]
    _swap_some(yard, made)
    for vehicle in made:
        _write_down(yard, vehicle)
    return made


def _vehicle(yard: Yard, rng: random.Random, number: int, at: datetime, sellers: _Sellers) -> Vehicle:
    habits = yard.known.model_habits
    key = pick(rng, [(name, habit.share) for name, habit in habits.items()])
    model = yard.known.models[key]
    year = rng.randint(model.year_from, model.year_to)
    month = rng.randrange(8, 20)
    built = f"{year - 1}-{month:02d}" if month < 13 else f"{year}-{month - 12:02d}"
    plant = rng.choice(PLANTS)
    truth = truth_of(model, built, plant, rng)
    source = pick(rng, SOURCES)
    miles = None if some(rng, 6) else int(rng.triangular(48_000, 245_000, 140_000)) // 100 * 100
    vehicle = Vehicle(
        id=number,
        stock_number=f"D{number}",
        tag=yard.new_tag(TagKind.VEHICLE),
        models=dict.fromkeys(Group, model),
        plate=model,
        year=year,
        built=built,
        plant=plant,
        vin=_vin(yard, key, year, plant, truth, 100_000 + number * 37 + rng.randrange(37)),
        truth=truth,
        arrived_at=at,
        miles=miles,
        source=source,
    )
    paper = Paper(pick(rng, [(str(name), weight) for name, weight in PAPERS]))
    vehicle.values = {
        "keys": rng.choice([0, 1, 1, 2, 2]),
        "paper": paper,
        "seller_id": sellers.of(source, at, rng),
        "paid_how": "check" if source == "walk-in" else "transfer",
        "body": rng.choice(yard.known.names["body"]),
    }
    _costs(yard, vehicle, rng)
    _holds(yard, vehicle, rng)
    return vehicle


def truth_of(model: ModelKnown, built: str, plant: str, rng: random.Random) -> dict[str, str]:
    """One vehicle that the model can be, every fact agreeing with the others."""
    truth: dict[str, str] = {}
    for fact, rows in model.possible:
        values = list(dict.fromkeys(row.value for row in rows if row.holds(built, plant, truth)))
        if values:
            weights = [LIKELY.get(f"{fact}={value}", 1) for value in values]
            truth[fact] = rng.choices(values, weights)[0]
    return truth


def _vin(yard: Yard, key: str, year: int, plant: str, truth: Mapping[str, str], serial: int) -> str:
    """A VIN with a right check digit; it begins with 0, which is nobody's."""
    habit = yard.known.model_habits[key]
    cab, engine = CAB_LETTERS[truth["cab"]], ENGINE_LETTERS[truth["engine"]]
    # Position 7 is a digit up to 2009 and a letter from 2010 on, which tells the two cycles of position 10 apart.
    mark = DRIVE_MARKS.get(truth.get("drive", ""), "1A")[year > 2009]
    start = f"{habit.maker}{habit.line}{habit.weight_class}{cab}{mark}{engine}"
    end = f"{YEAR_CODES[(year - 1980) % 30]}{plant}{serial:06d}"
    return f"{start}{check_digit(f'{start}0{end}')}{end}"


def _swap_some(yard: Yard, vehicles: list[Vehicle]) -> None:
    """A few bodies stand on the other frame, as found by a look underneath."""
    rng = yard.chances("swaps")
    for vehicle in rng.sample([each for each in vehicles if each.plate.key in OTHER_FRAME], 6):
        model = yard.known.models[OTHER_FRAME[vehicle.plate.key]]
        vehicle.models[Group.FRAME] = model
        other = truth_of(model, vehicle.built, vehicle.plant, rng)
        frame = {name for name, fact in yard.known.facts.items() if fact.group is Group.FRAME}
        kept = {name: value for name, value in vehicle.truth.items() if name not in frame}
        vehicle.truth = kept | {name: value for name, value in other.items() if name in frame}
        yard.ledger.add(
            DonorIdentity,
            donor_id=vehicle.id,
            group=Group.FRAME,
            model_id=model.id,
            year=vehicle.year,
            built=None,
            plant="",
            known_by="look",
            note="the frame under it is not the plate's: bought so, both written on the papers",
        )


def _write_down(yard: Yard, vehicle: Vehicle) -> None:
    """What the intake desk wrote down: readings of the plate, what it saw, the history line."""
    rng = yard.chances(f"intake {vehicle.id}")
    places = ["dash", "door label"] + (["frame stamp"] if vehicle.truth["frame section"] != "unibody" else [])
    for source in places:
        yard.ledger.add(
            VinReading,
            number=yard.ledger.count(VinReading) + 1,
            donor_id=vehicle.id,
            source=source,
            read=vehicle.vin,
            at=vehicle.arrived_at,
            by_="IN",
        )
    for name in WRITTEN_DOWN:
        if name in vehicle.truth and (name in ALWAYS or some(rng, 92)):
            yard.ledger.add(
                DonorFact,
                donor_id=vehicle.id,
                fact_id=yard.known.facts[name].id,
                value=vehicle.truth[name],
                known_by="seen",
            )
    yard.ledger.note(
        vehicle.arrived_at,
        "intake",
        "IN",
        "take in",
        vehicle.stock_number,
        f"{vehicle.words} taken in",
        {"vin": vehicle.vin, "landed_cents": vehicle.landed_cents},
    )


def add_cost(yard: Yard, vehicle: Vehicle, kind: str, cents: int, at: datetime, words: str = "") -> None:
    """Money spent on a vehicle."""
    vehicle.costs += 1
    yard.ledger.add(
        DonorCost,
        donor_id=vehicle.id,
        number=vehicle.costs,
        kind=kind,
        amount_cents=cents,
        hours=None,
        at=at,
        words=words,
    )


def _costs(yard: Yard, vehicle: Vehicle, rng: random.Random) -> None:
    usual = yard.known.model_habits[vehicle.plate.key].price
    price = int(usual * rng.uniform(0.45, 1.35)) // 25 * 2500
    fee = rng.randrange(95, 420, 5) * 100 if vehicle.source == "auction" else 0
    tow = rng.randrange(65, 185, 5) * 100 if vehicle.source != "walk-in" or some(rng, 50) else 0
    for kind, cents in (("price", price), ("fee", fee), ("tow", tow)):
        if cents:
            add_cost(yard, vehicle, kind, cents, vehicle.arrived_at)
    vehicle.landed_cents = price + fee + tow


def _holds(yard: Yard, vehicle: Vehicle, rng: random.Random) -> None:
    """The waiting period of a walk-in purchase, and now and then a hold that somebody has to release."""
    recent = yard.days_since(vehicle.arrived_at) < 60
    number = 0
    if vehicle.source == "walk-in":
        number += 1
        ends = vehicle.arrived_at + timedelta(hours=72)
        _hold(yard, vehicle, number, "waiting period", ends, WAITING_BLOCKS, "bought from a walk-in seller")
        vehicle.ready_at = ends
    if recent and some(rng, 7):
        number += 1
        kind, blocks = rng.choice([("title query", ["crush"]), ("insurer", ["everything"]), ("lien", ["crush"])])
        _hold(yard, vehicle, number, kind, None, blocks, "until the release paper is here")
        if "everything" in blocks:
            vehicle.ready_at = yard.now + timedelta(days=30)


def _hold(
    yard: Yard, vehicle: Vehicle, number: int, kind: str, ends: datetime | None, blocks: list[str], words: str
) -> None:
    yard.ledger.add(
        VehicleHold,
        donor_id=vehicle.id,
        number=number,
        kind=kind,
        starts=vehicle.arrived_at,
        ends=ends,
        blocks=list(blocks),
        released_at=None,
        released_by="",
        words=words,
    )


class _Sellers:
    """Sellers as contacts: businesses once, walk-ins one by one with their papers."""

    def __init__(self, yard: Yard) -> None:
        self.yard = yard
        self.kept: dict[str, int] = {}

    def of(self, source: str, at: datetime, rng: random.Random) -> int:
        """The contact a vehicle was bought from."""
        if source == "walk-in":
            expires = at.date() + timedelta(days=rng.randrange(40, 1500))
            number = f"{rng.randrange(10**7, 10**8)}"
            return new_contact(self.yard, self.yard.person(rng), rng, id_number=number, id_expires=expires)
        name = rng.choice(self.yard.known.names[source])
        if name not in self.kept:
            self.kept[name] = new_contact(self.yard, name, rng)
        return self.kept[name]


def new_contact(yard: Yard, name: str, rng: random.Random, **papers: object) -> int:
    """A seller or customer; `papers` are the ID's number and expiry, or the exemption number."""
    number = yard.ledger.count(Contact) + 1
    street = f"{rng.randrange(1, 400)} {rng.choice(yard.known.names['street'])}, Umberlow"
    id_number = papers.get("id_number", "")
    return yard.ledger.add(
        Contact,
        code=f"K{number}",
        name=name,
        phone=phone(rng),
        address=street,
        id_kind="driver's license" if id_number else "",
        id_number=id_number,
        id_expires=papers.get("id_expires"),
        exempt_number=papers.get("exempt_number", ""),
        note="",
    )
