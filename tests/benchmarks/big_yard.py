"""A generated yard of any size for measurements: 60,000 applications, 300,000 uses of designs, 200,000 rules.

All of it is invented, and the same for the same seed. A few families are common, most are rare, and parts, rules and
asks follow that alike. Three parts in ten are free to sell.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import Connection, Table, insert

from app.book import schema
from app.book.reach.closure import rebuild
from app.book.work import Book
from app.fit.terms import FactKind, Group

Rows = list[dict[str, Any]]
BATCH = 20_000
NOW = datetime(2026, 3, 2, 15, tzinfo=UTC)
SYLLABLES = "bar bel cor dan fen gal har jun kel lor mar nor pol quin ros sel tan ulm ver wil yar zon".split()
NOUNS = "arm bracket carrier cover drum elbow flange grille hinge intake joint knuckle link mount panel rack shaft tray"
KINDS = "front rear upper lower inner outer long short main spare".split()
SPANS = ((1992, 1997), (1998, 2003), (2004, 2008), (2009, 2014), (2015, 2021))
OPTIONS = 40
GRADES = (
    ("bolts_up", 55), ("wont_fit", 15), ("move_over", 8), ("bolts_in", 7), ("needs_work", 8), ("set", 5), ("measure", 2)
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Size:
    """How much of everything there is."""

    families: int = 1_500
    designs: int = 60_000
    rules: int = 200_000
    parts: int = 1_000_000
    types: int = 400
    evenly: bool = False
    """Whether every family has as many rules as any other; else the common ones have the most, as of parts."""
    unnamed: float = 0.0
    """The share of rules that name no model and look at an option on both ends."""


@dataclass
class BigYard:
    """What was made: the models of each family, the part types in use there, and the words for all of them."""

    size: Size
    random: random.Random
    models: dict[int, list[int]] = field(default_factory=dict)
    types_of: dict[int, list[int]] = field(default_factory=dict)
    words: dict[int, str] = field(default_factory=dict)
    spans: dict[int, tuple[int, int]] = field(default_factory=dict)
    type_words: dict[int, list[str]] = field(default_factory=dict)
    shares: list[float] = field(default_factory=list)

    def family(self) -> int:
        """A family, a common one more often than a rare one."""
        return self.random.choices(range(1, self.size.families + 1), cum_weights=self.shares)[0]

    def sided(self, part_type: int) -> bool:
        """Whether a part type has sides."""
        return part_type % 5 < 2


def looked_at(part_type: int) -> tuple[int, int, int]:
    """The facts that tell one design of a part type from another."""
    return (part_type % OPTIONS + 1, (part_type * 7 + 3) % OPTIONS + 1, (part_type * 11 + 5) % OPTIONS + 1)


def names(count: int, seed: int) -> list[str]:
    """Invented names of two or three syllables, none twice."""
    chosen, found = random.Random(seed), dict[str, None]()
    while len(found) < count:
        found["".join(chosen.choice(SYLLABLES) for _ in range(chosen.choice((2, 3, 3)))).capitalize()] = None
    return list(found)


def build(book: Book, size: Size, seed: int = 1) -> BigYard:
    """Fill an empty book; returns what asks can be made of."""
    yard = BigYard(size, random.Random(seed))
    total = 0.0
    for rank in range(1, size.families + 1):
        total += 1 / rank**0.8
        yard.shares.append(total)
    for make in (_types, _models, _designs, _rules):
        with book.engine.begin() as connection:
            make(yard, connection)
    with book.engine.begin() as connection:
        rebuild(connection)
    with book.engine.begin() as connection:
        _stock(yard, connection)
    with book.engine.begin() as connection:
        connection.exec_driver_sql("ANALYZE")
    return yard


def _keep(connection: Connection, rows: Iterator[tuple[Table, dict[str, Any]]]) -> None:
    """Write rows of several tables, parents as they come before their children."""
    waiting: dict[Table, Rows] = {}
    for count, (table, row) in enumerate(rows, start=1):
        waiting.setdefault(table, []).append(row)
        if count % BATCH == 0:
            _flush(connection, waiting)
    _flush(connection, waiting)


def _flush(connection: Connection, waiting: dict[Table, Rows]) -> None:
    for table in schema.Base.metadata.sorted_tables:
        if rows := waiting.pop(table, None):
            connection.execute(insert(table), rows)


def _table(kind: type[schema.Base]) -> Table:
    table = kind.__table__
    assert isinstance(table, Table)
    return table


def _types(yard: BigYard, connection: Connection) -> None:
    connection.execute(
        insert(_table(schema.Fact)),
        [
            {
                "id": number,
                "name": f"option {number}",
                "kind": FactKind.YES_NO if number % 3 else FactKind.CHOICE,
                "choices": [] if number % 3 else ["plain", "wide", "deep"],
                "question": f"Option {number}, has it?",
                "effort": number % 4,
            }
            for number in range(1, OPTIONS + 1)
        ],
    )
    chosen = random.Random(7)
    all_names = [f"{kind} {noun}" for noun in NOUNS.split() for kind in KINDS]
    all_names += [f"{kind} {noun} {tail}" for noun in NOUNS.split() for kind in KINDS for tail in ("plate", "set")]
    groups = list(Group)
    types, aliases = [], []
    for number, name in enumerate(chosen.sample(all_names, yard.size.types), start=1):
        spoken = [name, f"{name.split()[0]} {SYLLABLES[number % 22]}{SYLLABLES[number // 22 % 22]}"]
        yard.type_words[number] = spoken
        types.append({"id": number, "name": name, "group": groups[number % 4], "sided": yard.sided(number)})
        aliases.append({"said": spoken[1], "kind": schema.AliasKind.PART, "means": name})
    connection.execute(insert(_table(schema.PartType)), types)
    connection.execute(insert(_table(schema.Alias)), aliases)


def _models(yard: BigYard, connection: Connection) -> None:
    words = names(2 * yard.size.families, 11)
    makes = names(60, 12)
    _keep(connection, _model_rows(yard, words, makes))
    used = list(range(1, yard.size.types + 1))
    for family in range(1, yard.size.families + 1):
        yard.types_of[family] = yard.random.sample(used, 60 if family <= 300 else 4)


def _model_rows(yard: BigYard, words: Sequence[str], makes: Sequence[str]) -> Iterator[tuple[Table, dict[str, Any]]]:
    number = fact_row = 0
    for family in range(1, yard.size.families + 1):
        for name in (words[2 * family - 2], words[2 * family - 1]):
            for first, last in SPANS:
                for weight in ("light", "heavy"):
                    for variant in ("first body", "second body"):
                        number += 1
                        yard.models.setdefault(family, []).append(number)
                        yard.words[number] = f"{name} {weight} {variant}"
                        yard.spans[number] = (first, last)
                        yield (
                            _table(schema.Model),
                            {
                                "id": number,
                                "key": f"M{number}",
                                "make": makes[family % len(makes)],
                                "name": name,
                                "variant": variant,
                                "weight_class": weight,
                                "family": f"{words[2 * family - 2]} family",
                                "body_style": "",
                                "year_from": first,
                                "year_to": last,
                            },
                        )
                        for row, option in enumerate(yard.random.sample(range(1, OPTIONS + 1), 5), start=1):
                            fact_row += 1
                            value = "yes" if option % 3 else yard.random.choice(("plain", "wide"))
                            yield (
                                _table(schema.ModelFact),
                                {"model_id": number, "number": row, "fact_id": option, "value": value},
                            )


def _designs(yard: BigYard, connection: Connection) -> None:
    def rows() -> Iterator[tuple[Table, dict[str, Any]]]:
        for number in range(1, yard.size.designs + 1):
            family = yard.family()
            kind = yard.random.choice(yard.types_of[family])
            yield (
                _table(schema.Design),
                {"id": number, "code": f"DS{number}", "part_type_id": kind, "name": f"design {number}"},
            )
            for at, model in enumerate(yard.random.sample(yard.models[family], 5), start=1):
                how = yard.random.choice(("measured", "seen", "told", "guess"))
                yield _table(schema.DesignUse), {"design_id": number, "number": at, "model_id": model, "known_by": how}

    _keep(connection, rows())


def _rules(yard: BigYard, connection: Connection) -> None:
    _keep(connection, (row for number in range(1, yard.size.rules + 1) for row in _rule_rows(yard, number)))


def _rule_rows(yard: BigYard, number: int) -> Iterator[tuple[Table, dict[str, Any]]]:
    chosen = yard.random
    family = chosen.randrange(1, yard.size.families + 1) if yard.size.evenly else yard.family()
    kind = chosen.choice(yard.types_of[family])
    grade = chosen.choices([name for name, _ in GRADES], [share for _, share in GRADES])[0]
    way = "both ways" if chosen.random() < 0.6 else "one way"
    yield (
        _table(schema.Rule),
        {
            "id": number,
            "code": f"R{number}",
            "kind": "fit",
            "grade": grade,
            "direction": way,
            "why": f"mount spread {30 + number % 12}.{number % 100:02d} in on both",
            "state": "disputed" if chosen.random() < 0.005 else "open",
        },
    )
    for end in ("part", "target"):
        yield _table(schema.RuleType), {"rule_id": number, "end": end, "part_type_id": kind}
    for at, row in enumerate(_conditions(yard, family, kind), start=1):
        yield _table(schema.RuleCondition), {"rule_id": number, "number": at, **row}
    if grade in ("needs_work", "move_over"):
        hours = Decimal(chosen.randrange(2, 40)) / 10
        yield _table(schema.RuleOperation), {"rule_id": number, "number": 1, "work": "drill 2 holes", "hours": hours}
    if grade == "set":
        other = chosen.choice(yard.types_of[family])
        yield (
            _table(schema.RuleCompanion),
            {"rule_id": number, "number": 1, "part_type_id": other, "same_donor": chosen.random() < 0.5},
        )
    if grade == "bolts_in":
        yield _table(schema.RuleConsequence), {"rule_id": number, "number": 1, "words": "{n} longer", "amount": "1 in"}
    how = chosen.choice(("measured", "measured", "seen", "done", "told"))
    yield _table(schema.RuleEvidence), {"rule_id": number, "number": 1, "kind": how, "words": "two compared"}


def _conditions(yard: BigYard, family: int, kind: int) -> Iterator[dict[str, Any]]:
    chosen = yard.random
    unnamed = bool(yard.size.unnamed) and chosen.random() < yard.size.unnamed
    yield from _options(yard, kind) if unnamed else _models_named(yard, family)
    if yard.sided(kind):
        yield {"end": "between", "fact": "side", "op": "same", "values_": []}
    if chosen.random() < 0.15:
        month = f"{chosen.randrange(1999, 2018)}-06"
        yield {"end": "target", "fact": "built", "op": chosen.choice(("before", "from")), "values_": [month]}
    if chosen.random() < 0.25 and not unnamed:
        yield _option(yard, kind, "target")


def _models_named(yard: BigYard, family: int) -> Iterator[dict[str, Any]]:
    chosen = yard.random
    for end in ("part", "target"):
        there = yard.family() if chosen.random() < 0.03 else family
        models = chosen.sample(yard.models[there], chosen.choice((1, 2, 2, 3)))
        yield {"end": end, "fact": "model", "op": "any of", "values_": [f"M{each}" for each in models]}


def _options(yard: BigYard, kind: int) -> Iterator[dict[str, Any]]:
    for end in ("part", "target"):
        yield _option(yard, kind, end)


def _option(yard: BigYard, kind: int, end: str) -> dict[str, Any]:
    option = yard.random.choice(looked_at(kind))
    return {"end": end, "fact": f"option {option}", "op": "any of", "values_": ["yes" if option % 3 else "plain"]}


def _stock(yard: BigYard, connection: Connection) -> None:
    places = [{"id": at, "code": f"A{at // 40}-{at % 40}", "kind": schema.PlaceKind.SHELF} for at in range(1, 2_001)]
    connection.execute(insert(_table(schema.Place)), places)
    _keep(connection, _stock_rows(yard))


def _stock_rows(yard: BigYard) -> Iterator[tuple[Table, dict[str, Any]]]:
    chosen, donor = yard.random, 0
    for number in range(1, yard.size.parts + 1):
        if number % 40 == 1:
            donor += 1
            family = yard.family()
            model = chosen.choice(yard.models[family])
            year = chosen.randint(*yard.spans[model])
            yield (
                _table(schema.Donor),
                {"id": donor, "stock_number": f"D{donor}", "model_id": model, "year": year, "arrived_at": NOW},
            )
        kind = chosen.choice(yard.types_of[family])
        free = chosen.random() < 0.3
        side = chosen.choice(("LH", "RH")) if yard.sided(kind) else ""
        gone = {"standing": "sold", "whereabouts": "gone", "place_id": None}
        here = {"standing": "free", "whereabouts": "in place", "place_id": chosen.randrange(1, 2_001)}
        yield (
            _table(schema.Part),
            {
                "id": number,
                "tag": f"N{number}",
                "donor_id": donor,
                "part_type_id": kind,
                "side": side,
                "condition": chosen.choice("AABBBC"),
                "price_cents": chosen.randrange(10, 900) * 100,
                "made_at": NOW,
                "seen_at": NOW,
                **(here if free else gone),
            },
        )
        if free:
            option = chosen.choice(looked_at(kind))
            value = "yes" if option % 3 else "plain"
            yield _table(schema.PartFact), {"part_id": number, "fact_id": option, "value": value}


def asks(yard: BigYard, count: int, seed: int = 5) -> list[str]:
    """Lines of words as customers say them: year, name, class and part, often the side."""
    chosen = random.Random(seed)
    found = []
    for _ in range(count):
        family = chosen.choices(range(1, yard.size.families + 1), cum_weights=yard.shares)[0]
        model = chosen.choice(yard.models[family])
        kind = chosen.choice(yard.types_of[family])
        words = [str(chosen.randint(*yard.spans[model])), yard.words[model], chosen.choice(yard.type_words[kind])]
        if yard.sided(kind) and chosen.random() < 0.7:
            words.append(chosen.choice(("lh", "right")))
        found.append(" ".join(words).lower())
    return found
