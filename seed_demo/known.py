"""What the demo's generator reads: the yard's knowledge out of the book, its own habits out of its data files."""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from importlib.resources import files

from sqlalchemy import Connection, select

from app.book import schema
from app.book.schema import AliasKind, Law, PlaceKind
from app.fit.terms import FactKind, Group

Pairs = tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Possible:
    """A value that a vehicle of a model can have, and when."""

    fact: str
    value: str
    built_from: str
    built_to: str
    plants: frozenset[str]
    given: Pairs

    def holds(self, built: str, plant: str, truth: Mapping[str, str]) -> bool:
        """True on a vehicle built in that month at that plant, of which so much is known."""
        in_time = (not self.built_from or built >= self.built_from) and (not self.built_to or built <= self.built_to)
        return in_time and (not self.plants or plant in self.plants) and meets(self.given, truth)


@dataclass(frozen=True, slots=True)
class ModelKnown:
    """A model with all it can be, facts that others depend on first."""

    id: int
    key: str
    make: str
    name: str
    variant: str
    weight_class: str
    year_from: int
    year_to: int
    possible: tuple[tuple[str, tuple[Possible, ...]], ...]

    @property
    def words(self) -> str:
        """The model as the book says it."""
        return " ".join(word for word in (self.make, self.name, self.weight_class, self.variant) if word)


@dataclass(frozen=True, slots=True)
class TypeKnown:
    """A part type with what the generator needs of it."""

    id: int
    name: str
    wider: str
    group: Group
    law: Law
    sided: bool
    has_miles: bool
    pieces: int
    usual_lb: Decimal
    hours: Decimal
    core_cents: int
    place_kinds: tuple[PlaceKind, ...]
    look_for: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FactKnown:
    """A fact: which identity decides it, and how its value is read."""

    id: int
    kind: FactKind
    group: Group | None


@dataclass(frozen=True, slots=True)
class DesignKnown:
    """A design with the facts that tell it."""

    id: int
    facts: Pairs


@dataclass
class Spot:
    """A place with the room that is left in it."""

    id: int
    code: str
    kind: PlaceKind
    limit_lb: Decimal | None
    room: int


@dataclass(frozen=True, slots=True)
class ModelHabit:
    """How a model comes to the yard: VIN beginnings, curb weight, price in dollars, share of what comes in."""

    maker: str
    line: str
    weight_class: str
    curb_lb: int
    price: int
    share: int


@dataclass(frozen=True, slots=True)
class PartHabit:
    """How a part type is tagged: price in dollars, percent of the vehicles it comes off, what they must have."""

    low: int
    high: int
    share: int
    models: frozenset[str]
    needs: Pairs
    instead_of: tuple[str, ...]


@dataclass
class Known:
    """Everything the generator reads."""

    models: dict[str, ModelKnown]
    types: dict[str, TypeKnown]
    facts: dict[str, FactKnown]
    designs: dict[str, list[DesignKnown]]
    spots: list[Spot]
    people: dict[str, int]
    spoken: dict[str, list[str]]
    tax: Decimal
    model_habits: dict[str, ModelHabit]
    part_habits: dict[str, PartHabit]
    names: dict[str, list[str]] = field(default_factory=dict)


def read_known(connection: Connection) -> Known:
    """Read the book's knowledge and the generator's habits."""
    types = _types(connection)
    tax = connection.scalar(select(schema.Setting.value).where(schema.Setting.name == "tax_percent"))
    assert tax is not None
    return Known(
        models=_models(connection),
        types=types,
        facts=_facts(connection),
        designs=_designs(connection),
        spots=_spots(connection),
        people={row.code: row.id for row in connection.execute(select(schema.Person.code, schema.Person.id))},
        spoken=_spoken(connection, types),
        tax=Decimal(tax),
        model_habits=_model_habits(),
        part_habits=_part_habits(),
        names=_names(),
    )


def pairs(given: Iterable[object]) -> Pairs:
    """`fact=value` entries; several values of one fact stand with a slash between them."""
    split = (str(each).partition("=") for each in given)
    return tuple((name.strip(), tuple(value.strip().split("/"))) for name, _, value in split)


def meets(wanted: Pairs, truth: Mapping[str, str]) -> bool:
    """True when every fact wanted has one of its values."""
    return all(truth.get(name) in values for name, values in wanted)


def _models(connection: Connection) -> dict[str, ModelKnown]:
    facts = {row.id: row.name for row in connection.execute(select(schema.Fact.id, schema.Fact.name))}
    possible: dict[int, dict[str, list[Possible]]] = defaultdict(lambda: defaultdict(list))
    rows = connection.execute(
        select(schema.ModelFact.__table__).order_by(schema.ModelFact.model_id, schema.ModelFact.number)
    )
    for row in rows:
        made = Possible(
            facts[row.fact_id],
            row.value,
            row.built_from or "",
            row.built_to or "",
            frozenset(map(str, row.plants)),
            pairs(row.given),
        )
        possible[row.model_id][made.fact].append(made)
    return {
        row.key: ModelKnown(
            row.id,
            row.key,
            row.make,
            row.name,
            row.variant,
            row.weight_class,
            row.year_from,
            row.year_to,
            _in_order(possible[row.id]),
        )
        for row in connection.execute(select(schema.Model.__table__).order_by(schema.Model.id))
    }


def _in_order(possible: Mapping[str, list[Possible]]) -> tuple[tuple[str, tuple[Possible, ...]], ...]:
    """Facts that others depend on first."""
    done: dict[str, tuple[Possible, ...]] = {}
    while len(done) < len(possible):
        ready = [
            name
            for name, rows in possible.items()
            if name not in done and all(fact in done or fact not in possible for row in rows for fact, _ in row.given)
        ]
        assert ready, "facts that depend on each other in a circle"
        done.update((name, tuple(possible[name])) for name in ready)
    return tuple(done.items())


def _types(connection: Connection) -> dict[str, TypeKnown]:
    return {
        row.name: TypeKnown(
            row.id,
            row.name,
            row.wider,
            row.group,
            row.law,
            row.sided,
            row.has_miles,
            row.pieces,
            row.usual_weight_lb,
            row.usual_hours,
            row.core_cents,
            tuple(PlaceKind(kind) for kind in row.place_kinds),
            tuple(row.look_for),
        )
        for row in connection.execute(select(schema.PartType.__table__).order_by(schema.PartType.id))
    }


def _facts(connection: Connection) -> dict[str, FactKnown]:
    rows = connection.execute(select(schema.Fact.__table__).order_by(schema.Fact.id))
    return {row.name: FactKnown(row.id, row.kind, row.group) for row in rows}


def _designs(connection: Connection) -> dict[str, list[DesignKnown]]:
    told: dict[int, list[str]] = defaultdict(list)
    query = select(schema.DesignFact.design_id, schema.Fact.name, schema.DesignFact.value).join(
        schema.Fact, schema.Fact.id == schema.DesignFact.fact_id
    )
    for design, fact, value in connection.execute(query):
        told[design].append(f"{fact}={value}")
    found: dict[str, list[DesignKnown]] = defaultdict(list)
    rows = connection.execute(
        select(schema.Design.id, schema.PartType.name)
        .join(schema.PartType, schema.PartType.id == schema.Design.part_type_id)
        .order_by(schema.Design.id)
    )
    for design, name in rows:
        found[name].append(DesignKnown(design, pairs(told[design])))
    return found


def _spots(connection: Connection) -> list[Spot]:
    rows = connection.execute(select(schema.Place.__table__).order_by(schema.Place.id))
    return [
        Spot(row.id, row.code, row.kind, row.weight_limit_lb, 10_000 if row.piece_limit is None else row.piece_limit)
        for row in rows
    ]


def _spoken(connection: Connection, types: Mapping[str, TypeKnown]) -> dict[str, list[str]]:
    """The words that customers say for each part type: its own name and the slang that points to it alone."""
    rows = connection.execute(
        select(schema.Alias.said, schema.Alias.means)
        .where(schema.Alias.kind == AliasKind.PART)
        .order_by(schema.Alias.id)
    ).all()
    meanings: dict[str, list[str]] = defaultdict(list)
    for said, means in rows:
        meanings[said].append(means)
    clear = [(said, means[0]) for said, means in meanings.items() if len(means) == 1]
    # A comma is not said.
    return {
        name: [name.replace(",", ""), *(said for said, means in clear if means in (name, kind.wider))]
        for name, kind in types.items()
    }


def _table(name: str) -> list[dict[str, str]]:
    text = files("seed_demo").joinpath("habits", f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def _entries(cell: str) -> list[str]:
    return [entry.strip() for entry in cell.split(";") if entry.strip()]


def _model_habits() -> dict[str, ModelHabit]:
    return {
        row["model"]: ModelHabit(
            row["maker"], row["line"], row["class"], int(row["curb_lb"]), int(row["price"]), int(row["share"])
        )
        for row in _table("model_habits")
    }


def _part_habits() -> dict[str, PartHabit]:
    return {
        row["part_type"]: PartHabit(
            int(row["price_low"]),
            int(row["price_high"]),
            int(row["share"]),
            frozenset(_entries(row["models"])),
            pairs(_entries(row["needs"])),
            tuple(_entries(row["instead_of"])),
        )
        for row in _table("part_habits")
    }


def _names() -> dict[str, list[str]]:
    found: dict[str, list[str]] = defaultdict(list)
    for row in _table("names"):
        found[row["kind"]].append(row["name"])
    return dict(found)
