"""Every vehicle that one end of a question can be, written out in full (settled readings 1, 8 and 9)."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo, Identity, Known, Possible
from app.fit.rules import Condition, End, Op
from app.fit.terms import FactKind, Group, Side
from tests.fit.oracle_values import GONE, NEAR, NUMERIC, Value, equal, figure, identified, number_of, plain, spread


class OpenQuestion(Exception):
    """The rules of the game leave this corner open, so there is nothing to compare."""


LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"
BUILT_IN = ("model", "year", "built", "plant", "side", "part type", "pieces", "weight class", "frame design")
MONTH_OPS = (Op.BEFORE, Op.FROM)


@dataclass(frozen=True)
class Vehicle:
    """One end in one world: which vehicle it is, and what every fact of it is."""

    identity: Identity
    year: int | None
    built: str
    plant: str
    facts: Mapping[str, Value]
    side: Side = Side.NONE
    part_type: str = ""
    pieces: int = 1
    measured: frozenset[str] = frozenset()

    @property
    def model(self) -> str:
        return self.identity.model.key

    @property
    def family(self) -> str:
        return self.identity.model.family


@dataclass
class Mentions:
    """What the rules look at, so that worlds which differ in nothing that matters count once."""

    know: Knowledge
    conditions: Sequence[Condition]
    by_tape: Sequence[Condition] = ()
    numbers: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.exact = list((Counter(self.conditions) - Counter(self.by_tape)).elements())
        self.numbers = sorted({number for each in self.conditions for number in self._critical(each)})

    def facts(self, ends: frozenset[End]) -> set[str]:
        """The facts that matter of a vehicle that stands on these ends."""
        looked = [each for each in self.conditions if each.end in ends or each.end is End.BETWEEN]
        named = {each.fact for each in looked} | {each.other_fact for each in looked}
        if End.TARGET not in ends:
            return {name for name in named if name and name not in BUILT_IN}
        named |= {name for use in self.know.uses for name, _ in use.given}
        return {name for name in named if name and name not in BUILT_IN}

    def truly(self, fact: str) -> list[Condition]:
        """The conditions that look at what a number truly is."""
        return [each for each in self.exact if fact in (each.fact, each.other_fact)]

    def words(self, fact: str) -> set[str]:
        found = {value for each in self.conditions if each.fact == fact for value in each.values}
        rows = [row.given for model in self.know.models.values() for row in model.possible]
        rows += [use.given for use in self.know.uses]
        return found | {value for given in rows for name, value in given if name == fact}

    def months(self) -> list[str]:
        found = {value for each in self.conditions if each.op in MONTH_OPS for value in each.values}
        found |= {month for move in self.know.moves for month in (move.from_month, move.to_month)}
        found |= {_after(use.built_to) for use in self.know.uses if use.built_to}
        return sorted(found | {use.built_from for use in self.know.uses if use.built_from})

    def letters(self) -> set[str]:
        found = {value for each in self.conditions if each.fact == "plant" for value in each.values}
        return found | {letter for use in self.know.uses for letter in use.plants}

    def looks_at(self, name: str) -> bool:
        return any(each.fact == name for each in self.conditions)

    def _critical(self, each: Condition) -> Iterator[float]:
        """The numbers at which a condition on a numeric fact turns."""
        info = self.know.facts.get(each.fact)
        if info is None or info.kind not in NUMERIC:
            return
        for text in each.values:
            yield number_of(info, text)
        if each.allowed:
            allowed = figure(each.allowed, info.unit) if info.kind is FactKind.LENGTH else figure(each.allowed)
            for known in self._listed(each):
                yield from (known - allowed, known + allowed)
        yield from self._listed(each)

    def _listed(self, each: Condition) -> Iterator[float]:
        for name in (each.fact, each.other_fact):
            info = self.know.facts.get(name)
            if info is None or info.kind not in NUMERIC:
                continue
            for model in self.know.models.values():
                yield from (number_of(info, row.value) for row in model.possible if row.fact == name)


def _after(month: str) -> str:
    year, number = int(month[:4]), int(month[5:])
    return f"{year + 1}-01" if number == 12 else f"{year}-{number + 1:02d}"


def months_of(year: int) -> list[str]:
    """Model year Y is built from July of Y-1 to December of Y."""
    return [f"{year - 1}-{m:02d}" for m in range(7, 13)] + [f"{year}-{m:02d}" for m in range(1, 13)]


def years_of(identity: Identity) -> list[int]:
    """The years it can be: the stated one, else those of the model in which the known month falls."""
    if identity.year is not None:
        return [identity.year]
    years = list(range(identity.model.year_from, identity.model.year_to + 1))
    return [year for year in years if identity.built is None or identity.built in months_of(year)] or years


def dates_of(identity: Identity, named: set[str]) -> list[tuple[int, str, str]]:
    """Every year, build month and plant letter it can be; of the letters nobody names one stands for all."""
    unnamed = [letter for letter in LETTERS if letter not in named][:1]
    plants = [identity.plant] if identity.plant else [*sorted(named), *unnamed]
    return [
        (year, month, plant)
        for year in years_of(identity)
        for month in ([identity.built] if identity.built else months_of(year))
        for plant in plants
    ]


def in_span(built: str, built_from: str, built_to: str) -> bool:
    return (not built_from or built >= built_from) and (not built_to or built <= built_to)


class Ends:
    """Writes out the worlds of one vehicle."""

    def __init__(
        self, mentions: Mentions, ends: frozenset[End], stated: Mapping[str, Known], pool: Sequence[float]
    ) -> None:
        self.mentions = mentions
        # What is known narrows the rest where the rules look at it on any end, or where it tells the date they look at;
        # whether a look at something else narrows it too is not said.
        self.either = mentions.facts(frozenset({End.PART, End.TARGET}))
        self.looked_at = mentions.facts(ends) | (self.either & set(stated))
        self.know = mentions.know
        self.stated = stated
        self.pool = pool

    def worlds(self, identities: Mapping[Group, Identity], own: Group, other: str) -> list[Vehicle]:
        """All that the facts allow; `own` is the group that decides, `other` the word of an unlisted choice."""
        found: dict[object, Vehicle] = {}
        distinct = list({id(each): each for each in identities.values()}.values())
        named = self._closure(identities, own)
        for agreeing in (True, False):
            for when in self._all_dates(distinct, named):
                for facts in self._facts(identities, own, when, sorted(named), other, agreeing):
                    year, built, plant = when[id(identities[own])]
                    vehicle = Vehicle(identities[own], year, built, plant, facts)
                    found.setdefault(self._key(vehicle), vehicle)
            if found:
                break
            self._refuse_contradiction(named)
        return list(found.values())

    def _all_dates(self, distinct: Sequence[Identity], named: set[str]) -> Iterator[dict[int, tuple[int, str, str]]]:
        for dated in itertools.product(*(self._dates(each, named) for each in distinct)):
            yield {id(identity): one for identity, one in zip(distinct, dated, strict=True)}

    def _refuse_contradiction(self, named: set[str]) -> None:
        """A look that cannot be on such a vehicle beats its year (1.5.2); what then becomes of the rest is open."""
        dated = bool(self.mentions.months()) or any(map(self.mentions.looks_at, ("built", "year", "plant")))
        if dated or len(named - set(self.stated)) > 0:
            raise OpenQuestion("a look against the year, and rules that look at more than it")

    def _dates(self, identity: Identity, named: set[str]) -> list[tuple[int, str, str]]:
        """One date for every way of standing to the split months and the rows of the model."""
        splits = self.mentions.months()
        cells: dict[object, tuple[int, str, str]] = {}
        letters = self.mentions.letters()
        looked_at = [row for row in identity.model.possible if row.fact in named]
        in_rows = {letter for row in looked_at for letter in row.plants}
        for year, built, plant in dates_of(identity, letters | in_rows):
            rows = tuple(
                in_span(built, row.built_from, row.built_to) and (not row.plants or plant in row.plants)
                for row in looked_at
            )
            cell = (year, tuple(built >= month for month in splits), rows, plant if plant in letters else "")
            cells.setdefault(cell, (year, built, plant))
        return list(cells.values())

    def _closure(self, identities: Mapping[Group, Identity], own: Group) -> set[str]:
        """The facts the rules look at, and those on which the rows of these depend."""
        distinct = {id(each): each for each in identities.values()}.values()
        rows = [row for each in distinct for row in each.model.possible if self._decides(identities, own, row) is each]
        named = _grown(self.looked_at | (_grown(self.either, rows) & set(self.stated)), rows)
        # What is known and hangs on one of these tells it: the teeth of the ring tell the plug.
        reached = named | _grown(self.either, rows)
        telling = {name for name in self.stated if (_grown({name}, rows) - {name}) & reached}
        # A look beats the year (1.7.9): what is known leaves only the months and plants in which that was so.
        dating = {row.fact for row in rows if row.built_from or row.built_to or row.plants}
        return _grown(named | telling | (dating & set(self.stated)), rows)

    def _decides(self, identities: Mapping[Group, Identity], own: Group, row: Possible) -> Identity:
        info = self.know.facts.get(row.fact)
        return identities[info.group] if info and info.group else identities[own]

    def _facts(
        self,
        identities: Mapping[Group, Identity],
        own: Group,
        when: Mapping[int, tuple[int, str, str]],
        named: Sequence[str],
        other: str,
        agreeing: bool,
    ) -> Iterator[dict[str, Value]]:
        rows: dict[str, list[Possible] | None] = {}
        choices: list[list[Value]] = []
        for name in named:
            info = self.know.facts.get(name)
            identity = identities[info.group] if info and info.group else identities[own]
            every = [row for row in identity.model.possible if row.fact == name]
            stated = self._stated(name, info, {row.value for row in every})
            if stated:
                # What is stated stands; where the model ever carried it, the world must be one that has it.
                carried = agreeing and any(_is_row(info, row, value) for row in every for value in stated)
                rows[name] = _at_that_time(every, when[id(identity)]) if carried else None
                choices.append(stated)
                continue
            rows[name] = _at_that_time(every, when[id(identity)]) if every else None
            possible = {row.value: row.u_mm or 0.0 for row in rows[name] or []}
            values = [value for text, doubt in possible.items() for value in self._doubted(name, info, text, doubt)]
            choices.append([*values, GONE] if every else self._imagined(name, info, other))
        for chosen in itertools.product(*choices):
            world = dict(zip(named, chosen, strict=True))
            if all(self._can_be(name, world, rows[name]) for name in named):
                yield world

    def _stated(self, name: str, info: FactInfo | None, carried: set[str]) -> list[Value]:
        """What was said or seen; of several open values those that the model ever carried (1.7.9)."""
        if name not in self.stated:
            return []
        found: list[Value] = []
        left = identified(info, self.stated[name])
        if len(left) > 1:
            left = [known for known in left if known.value in carried] or left
        for known in left:
            listed = info is not None and info.kind is FactKind.LENGTH and bool(info.choices)
            found += self._doubted(name, info, known.value, 0.0 if listed else known.u_mm or 0.0)
        return found

    def _doubted(self, name: str, info: FactInfo | None, text: str, doubt: float) -> list[Value]:
        """A number with a doubt may truly be any number inside it."""
        value = plain(info, text, u=doubt)
        if value.exact is None or not value.u or not self.mentions.truly(name):
            return [value]
        exacts = spread(self.pool, value.m - value.u, value.m + value.u)
        return [Value(value.text, exact, value.m, value.u) for exact in exacts]

    def _imagined(self, name: str, info: FactInfo | None, other: str) -> list[Value]:
        """What a fact may be of which nothing at all is known."""
        if info is not None and info.kind in NUMERIC and not info.choices:
            held = self.mentions.truly(name)
            if not held:
                return [Value("?", 0.0, recorded=False)]
            if any(sum(each.end is end for each in held) > 1 for end in (End.PART, End.TARGET)):
                # The engine asks each of them alone, as if one said nothing of the other.
                raise OpenQuestion("a figure nobody wrote down against several bounds")
            return [Value("?", exact, recorded=False) for exact in spread(self.pool, -1e9, 1e9)]
        if info is not None and info.kind is FactKind.DATE:
            return [Value("", recorded=False)]
        words = list(info.choices) if info else []
        if info is not None and info.kind is FactKind.YES_NO:
            words = ["yes", "no"]
        if not words:
            words = [*sorted(self.mentions.words(name)), "something else", other]
        # Of a closed list it is one or the other (1.7.1): a number that nobody recorded waits for its measuring (1.7.5)
        # only where a look could decide, which is what `measure` says (1.1). Where all of the list pass, none could.
        listed = info is not None and bool(info.choices)
        return [plain(info, word, recorded=listed) for word in dict.fromkeys(words)]

    def _can_be(self, name: str, world: Mapping[str, Value], rows: list[Possible] | None) -> bool:
        """A value is possible when one of its rows holds; where none holds the thing is not there."""
        if rows is None:
            return True
        held = [row for row in rows if all(self._given(world, one, value) for one, value in row.given)]
        if not held:
            return not world[name].there
        if name not in self.stated:
            return world[name].there and any(row.value == world[name].text for row in held)
        info = self.know.facts.get(name)
        return any(_is_row(info, row, world[name]) for row in held)

    def _given(self, world: Mapping[str, Value], name: str, value: str) -> bool:
        return name in world and world[name].there and equal(self.know.facts.get(name), world[name], value)

    def _tells(self, name: str, value: Value) -> object:
        """What of a value matters: how it stands to the figures, where it is held against nothing but figures."""
        held = self.mentions.truly(name)
        if not held:
            return (value.there, value.recorded, value.text, value.m, value.u)
        if value.exact is None or any(each.end is End.BETWEEN or each.other_fact for each in held):
            return value.key
        info = self.know.facts[name]
        figures = sorted({number_of(info, text) for each in held for text in each.values})
        return (
            value.there,
            value.recorded,
            value.m,
            value.u,
            *((value.exact > x) - (value.exact < x) for x in figures),
        )

    def _key(self, vehicle: Vehicle) -> object:
        named = self.looked_at
        facts = tuple(
            (name, self._tells(name, value)) for name, value in sorted(vehicle.facts.items()) if name in named
        )
        splits = tuple(vehicle.built >= month for month in self.mentions.months())
        plants = self.mentions.letters()
        looks_at_year = self.mentions.looks_at("year") or any(use.year_from or use.year_to for use in self.know.uses)
        year = vehicle.year if looks_at_year else None
        return (vehicle.model, year, splits, vehicle.plant if vehicle.plant in plants else "", facts)


def _grown(named: set[str], rows: Sequence[Possible]) -> set[str]:
    """Facts with those that their rows are given by, and so on."""
    more = {name for row in rows if row.fact in named for name, _ in row.given}
    return named if more <= named else _grown(named | more, rows)


def _is_row(info: FactInfo | None, row: Possible, value: Value) -> bool:
    """Whether a value is what a row lists; a measured one within its doubt and the row's."""
    if info is None or value.exact is None:
        return value.text == row.value
    return abs(value.m - number_of(info, row.value)) <= value.u + (row.u_mm or 0.0) + NEAR


def _at_that_time(rows: list[Possible], date: tuple[int, str, str]) -> list[Possible]:
    _, built, plant = date
    return [
        row for row in rows if in_span(built, row.built_from, row.built_to) and (not row.plants or plant in row.plants)
    ]


def targets(identities: Mapping[Group, tuple[Identity, ...]]) -> Iterator[dict[Group, Identity]]:
    """Which vehicle it may be: the same choice in all groups where they leave the same choice."""
    distinct = list(dict.fromkeys(identities.values()))
    for chosen in itertools.product(*distinct):
        one = dict(zip(distinct, chosen, strict=True))
        yield {group: one[every] for group, every in identities.items()}
