"""Every vehicle an end of a rule may be: one world for each way the unknown facts can stand.

A vehicle of a model and year can be built in any month from July of the year before to December of the
year, at any plant, with any options its model came with. What was seen beats what the year says.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import product

from app.fit.known import FactInfo, Identity, Known, Possible, Subject
from app.fit.making import record
from app.fit.plants import plants_of
from app.fit.tape import TapeOutcome
from app.fit.terms import FactKind, Group
from app.fit.values import plain, same, within

NO_SUCH = "\x00none"
"""The value of a fact in a world where the vehicle has no such thing."""

CUSTOMER = "customer"
"""How that is known which the customer himself looked at, counted or measured."""
NEAR = (TapeOutcome.FITS, TapeOutcome.MEASURE_AGAIN)
OTHER_PLANT = "?"
MOST_WORLDS = 512
YEARS = "\x00years"
"""Under this stand the model years that a vehicle may be of, where nobody said which."""
_PLATE = ("model", "make", "family", "weight class", "frame design", "body style", "year", YEARS)
BUILT_IN = frozenset(
    {
        "model",
        "make",
        "family",
        "year",
        "built",
        "plant",
        "side",
        "part type",
        "pieces",
        "weight class",
        "frame design",
        "body style",
    }
)


@record(frozen=True, slots=True)
class Scope:
    """What the rules at hand look at: facts, build months at which something changes, plants."""

    facts: frozenset[str]
    months: frozenset[str] = frozenset()
    plants: frozenset[str] = frozenset()


World = Mapping[str, Known]


def worlds(subject: Subject, scope: Scope, facts: Mapping[str, FactInfo]) -> tuple[World, ...]:
    """The worlds a subject may be, over the facts in scope; at least one."""
    known = _identified({**subject.donor_facts, **subject.facts}, facts)
    identity = subject.identity
    if identity is None:
        return tuple(_branch({}, sorted(scope.facts), _Sight(known, facts)))[:MOST_WORLDS] or ({},)
    sources = _sources(identity, subject, facts)
    sight = _Sight(known, facts, tuple(row for _, rows in sources for row in rows))
    # What was seen beats the year: any month and plant of the model's whole run may be it. What cannot be on
    # any vehicle of the model is believed all the same.
    found = (
        _for_vehicle(sources, scope, sight)
        or _for_vehicle(tuple((Identity(each.model), rows) for each, rows in sources), scope, sight)
        or _for_vehicle(sources, scope, replace(sight, agreeing=False))
    )
    return found[:MOST_WORLDS] or ({},)


def rows_of(subject: Subject, facts: Mapping[str, FactInfo]) -> tuple[Possible, ...]:
    """What decides the facts of a subject: the rows of its own model, and of the others for the groups they decide."""
    if subject.identity is None:
        return ()
    return tuple(row for _, rows in _sources(subject.identity, subject, facts) for row in rows)


def narrowing(subject: Subject, wanted: frozenset[str], facts: Mapping[str, FactInfo]) -> frozenset[str]:
    """The known facts of a subject that leave fewer worlds of those wanted: an option that another hangs on."""
    known = {*subject.donor_facts, *subject.facts}
    if subject.identity is None or not known:
        return wanted & known
    rows = rows_of(subject, facts)
    return _with_known(closure(wanted, rows), known, rows) & known


def dating(
    scope: Scope, rows: Iterable[Possible], group: Group | None, facts: Mapping[str, FactInfo]
) -> frozenset[str]:
    """The facts that change with the very months or plants that rules look at: a look at one tells what the label says.

    Only those of the part's own group do, for another may be off another vehicle.
    """
    if not scope.months and not scope.plants:
        return frozenset()
    told = {row.fact for row in rows if changes_with(row.built_from, row.built_to, row.plants, scope)}
    return frozenset(name for name in told if name in facts and facts[name].group in (None, group))


def changes_with(start: str, end: str, plants: frozenset[str], scope: Scope) -> bool:
    """Whether what was so from one month to another, at some plants, changes with those that are looked at."""
    return bool({start, next_month(end) if end else ""} & scope.months) or not scope.plants.isdisjoint(plants)


Sources = tuple[tuple[Identity, tuple[Possible, ...]], ...]
"""The identities a vehicle is made of, its own first, each with the rows of the facts that it decides."""


def _sources(identity: Identity, subject: Subject, facts: Mapping[str, FactInfo]) -> Sources:
    if not subject.others:
        return ((identity, identity.model.possible),)
    rows: dict[int, tuple[Identity, list[Possible]]] = {id(identity): (identity, [])}
    for each in (identity, *subject.others.values()):
        rows.setdefault(id(each), (each, []))
    for each, kept in rows.values():
        for row in each.model.possible:
            group = facts[row.fact].group if row.fact in facts else None
            if (subject.others.get(group, identity) if group else identity) is each:
                kept.append(row)
    return tuple((each, tuple(kept)) for each, kept in rows.values())


def _identified(known: Mapping[str, Known], facts: Mapping[str, FactInfo]) -> dict[str, Known]:
    """What is known, where a tape's reading of a closed list stands for the one design that lies inside its doubt.

    A reading inside whose doubt several lie leaves these open; one that matches none is wrong and set aside, and so
    is a customer's count that is none of a closed list.
    """
    found: dict[str, Known] = {}
    for name, each in known.items():
        info = facts.get(name)
        if info is None or not info.choices or each.among:
            found[name] = each
        elif info.kind is FactKind.LENGTH:
            inside = tuple(
                choice for choice in info.choices if within(each.value, each.u_mm, choice, None, "0") in NEAR
            )
            if len(inside) == 1:
                found[name] = Known(inside[0], None, each.known_by)
            elif inside:
                found[name] = Known(each.value, None, each.known_by, inside)
        elif not _miscounted(each, info):
            found[name] = each
    return found


@record(frozen=True, slots=True)
class _Sight:
    """What is known of a vehicle and what its model can be; `rows` are those of the month and plant.

    `agreeing` asks that what was seen of it can be on such a vehicle.
    """

    known: Mapping[str, Known]
    facts: Mapping[str, FactInfo]
    every: tuple[Possible, ...] = ()
    rows: tuple[Possible, ...] = ()
    agreeing: bool = True


def _for_vehicle(sources: Sources, scope: Scope, sight: _Sight) -> tuple[World, ...]:
    possible = sight.every
    telling = _telling_dates(scope, sight.known, possible)
    wanted = _with_known(closure(scope.facts | telling, possible), sight.known, possible)
    names = _ordered(wanted, possible)
    looked_at = ("built", "plant", *scope.facts)
    found: dict[tuple[str | None, ...], World] = {}
    # Months and plants that rules name are those of the identity that decides; of others only the rows look at them.
    scopes = (scope, *(Scope(scope.facts) for _ in sources[1:]))
    dates = [_dates(source, each, wanted) for source, each in zip(sources, scopes, strict=True)]
    for when in product(*dates):
        start = given_by(sources[0][0])
        start["built"], start["plant"] = map(Known, when[0])
        dated = zip(sources, when, strict=True)
        rows = tuple(row for (_, own), (month, plant) in dated for row in own if _in_time(row, month, plant))
        for world in _branch(start, names, _Sight(sight.known, sight.facts, possible, rows, sight.agreeing)):
            found.setdefault(tuple([world[name].value if name in world else None for name in looked_at]), world)
            if len(found) >= MOST_WORLDS:
                return tuple(found.values())
    return tuple(found.values())


def is_set_aside(name: str, known: Known, facts: Mapping[str, FactInfo]) -> bool:
    """True for a reading or count that matches nothing of a closed list."""
    return name not in _identified({name: known}, facts)


def _miscounted(known: Known, info: FactInfo) -> bool:
    counted = info.kind is FactKind.COUNT and known.known_by == CUSTOMER
    return counted and not any(same(known.value, choice) for choice in info.choices)


def _dates(
    source: tuple[Identity, tuple[Possible, ...]], scope: Scope, wanted: frozenset[str]
) -> list[tuple[str, str]]:
    identity, rows = source
    return list(product(_months(identity, scope, rows, wanted), _plants(identity, scope, rows, wanted)))


def closure(wanted: frozenset[str], possible: Iterable[Possible]) -> frozenset[str]:
    """The facts wanted and those they depend on."""
    names, grown = set(wanted), True
    rows = [row for row in possible if row.given]
    while grown and rows:
        more = {fact for row in rows if row.fact in names for fact, _ in row.given}
        grown = not more <= names
        names |= more
    return frozenset(names - BUILT_IN)


def _telling_dates(scope: Scope, known: Collection[str], possible: Sequence[Possible]) -> frozenset[str]:
    """The known facts that leave fewer months, or plants, where these are looked at or what is looked at hangs on them.

    What was seen of one thing that changed tells another that changed.
    """
    told = [row for row in possible if row.fact in known and (row.built_from or row.built_to or row.plants)]
    if not told:
        return frozenset()
    wanted = closure(scope.facts, possible)
    hanging = [row for row in possible if row.fact in wanted]
    by_month = bool(scope.months) or any(row.built_from or row.built_to for row in hanging)
    by_plant = bool(scope.plants) or any(row.plants for row in hanging)
    return frozenset(
        row.fact for row in told if (by_month and (row.built_from or row.built_to)) or (by_plant and row.plants)
    )


def _with_known(wanted: frozenset[str], known: Iterable[str], possible: tuple[Possible, ...]) -> frozenset[str]:
    """The facts wanted and the known ones that hang on them: 55 teeth on the ring tell the plug."""
    hangs: dict[str, set[str]] = {}
    for row in possible:
        if row.given:
            hangs.setdefault(row.fact, set()).update(fact for fact, _ in row.given)
    telling = [name for name in known if name in hangs and name not in wanted]
    told = [each for name in telling if (each := closure(frozenset({name}), possible)) & wanted]
    return wanted.union(*told)


def _ordered(wanted: frozenset[str], possible: tuple[Possible, ...]) -> list[str]:
    """Facts that others depend on first, so that a branch sees what it is given."""
    rows = [row for row in possible if row.given]
    waits = {name: {fact for row in rows if row.fact == name for fact, _ in row.given} & wanted for name in wanted}
    done: list[str] = []
    while waits:
        ready = sorted(name for name, on in waits.items() if on <= set(done)) or sorted(waits)[:1]
        done += ready
        for name in ready:
            del waits[name]
    return done


def given_by(identity: Identity) -> dict[str, Known]:
    """What a vehicle is by its model and year, with nothing else told."""
    of = identity.model
    known = identity.year is not None
    year, years = (str(identity.year), "") if known else ("", _listed(years_of(identity)))
    return dict(_by_plate(of.key, of.make, of.family, of.weight_class, of.frame_design, of.body_style, year, years))


@lru_cache(maxsize=4096)
def _by_plate(*values: str) -> Mapping[str, Known]:
    return {name: Known(value) for name, value in zip(_PLATE, values, strict=True) if value}


def _months(identity: Identity, scope: Scope, possible: tuple[Possible, ...], wanted: frozenset[str]) -> list[str]:
    if identity.built:
        return [identity.built]
    first, last = run_of(identity)
    cuts = {row.built_from for row in possible if row.fact in wanted and row.built_from}
    cuts |= {next_month(row.built_to) for row in possible if row.fact in wanted and row.built_to}
    return sorted({first} | {month for month in cuts | scope.months if first < month <= last})


def run_of(identity: Identity) -> tuple[str, str]:
    """The first and the last month, YYYY-MM, in which a vehicle may have been built."""
    if identity.built:
        return identity.built, identity.built
    year = identity.year
    first = max(f"{(year or identity.model.year_from) - 1}-07", identity.built_from)
    return first, min(f"{year or identity.model.year_to}-12", identity.built_to or "9")


def years_of(identity: Identity) -> tuple[int, ...]:
    """The model years that a vehicle may be of: those of its model in which the month it was built in falls, if any."""
    model = identity.model
    first, last = identity.built or identity.built_from, identity.built or identity.built_to or "9"
    return _years_between(model.year_from, model.year_to, first, last)


@lru_cache(maxsize=4096)
def _years_between(year_from: int, year_to: int, first: str, last: str) -> tuple[int, ...]:
    every = range(year_from, year_to + 1)
    return tuple(year for year in every if f"{year - 1}-07" <= last and f"{year}-12" >= first) or tuple(every)


@lru_cache(maxsize=4096)
def _listed(years: tuple[int, ...]) -> str:
    return " ".join(map(str, years))


def next_month(month: str) -> str:
    """The month after YYYY-MM."""
    year, number = int(month[:4]), int(month[5:7])
    return f"{year + number // 12}-{number % 12 + 1:02d}"


def _plants(identity: Identity, scope: Scope, possible: tuple[Possible, ...], wanted: frozenset[str]) -> list[str]:
    left_open = plants_of(identity.plant)
    if len(left_open) == 1:
        return [*left_open]
    rows = [row for row in possible if row.fact in wanted and row.plants]
    named = scope.plants.union(*(row.plants for row in rows)) & left_open
    # Plants that no rule names and every row treats alike are one world.
    alike: dict[tuple[str | bool, ...], str] = {}
    for plant in sorted(named):
        asked_for = plant if plant in scope.plants else ""
        alike.setdefault((asked_for, *(plant in row.plants for row in rows)), plant)
    return [*([] if named >= left_open else [OTHER_PLANT]), *alike.values()]


def _in_time(row: Possible, month: str, plant: str) -> bool:
    if row.built_from and month < row.built_from:
        return False
    if row.built_to and month > row.built_to:
        return False
    return not row.plants or plant in row.plants


def _branch(world: dict[str, Known], names: list[str], sight: _Sight) -> Iterator[World]:
    if not names:
        yield dict(world)
        return
    name, rest = names[0], names[1:]
    for value in _values(name, world, sight):
        if value is None:
            world.pop(name, None)
        else:
            world[name] = value
        yield from _branch(world, rest, sight)
    world.pop(name, None)


def _values(name: str, world: Mapping[str, Known], sight: _Sight) -> list[Known | None]:
    """The values a fact may have here; None stands for a value nobody can list. Empty: no such world."""
    of_model = [row for row in sight.every if row.fact == name]
    here = [row for row in sight.rows if row.fact == name and _given_holds(row, world)]
    seen = sight.known.get(name)
    if seen is not None:
        return [each for value in _left_open(seen, of_model) for each in _seen_values(value, here, of_model, sight)]
    if of_model:
        return list(_distinct(here)) or [Known(NO_SUCH, known_by="model")]
    info = sight.facts.get(name)
    if info is not None and info.kind is FactKind.YES_NO:
        return [Known("yes", known_by="unknown"), Known("no", known_by="unknown")]
    if info is not None and info.choices:
        return [Known(choice, known_by="unknown") for choice in info.choices]
    return [None]


def _left_open(seen: Known, of_model: list[Possible]) -> list[Known]:
    """What is known; of several values left open those that the model ever carried."""
    if not seen.among:
        return [seen]
    carried = [value for value in seen.among if any(same(row.value, value) for row in of_model)]
    return [Known(value, None, seen.known_by) for value in carried or seen.among]


def _seen_values(seen: Known, here: list[Possible], of_model: list[Possible], sight: _Sight) -> list[Known]:
    """What was seen stands; where the model ever carried it, only in a world that has it."""
    if not sight.agreeing or any(_lists(row, seen) for row in here):
        return [seen]
    return [] if any(_lists(row, seen) for row in of_model) else [seen]


def _lists(row: Possible, seen: Known) -> bool:
    """True when a row lists what was seen, a measured figure within its doubt and the row's."""
    if seen.u_mm or row.u_mm:
        return within(row.value, row.u_mm, seen.value, seen.u_mm, "0") in NEAR
    return same(row.value, seen.value)


def _distinct(rows: list[Possible]) -> Iterator[Known]:
    given: dict[str, Known] = {}
    for row in rows:
        given.setdefault(plain(row.value), Known(row.value, row.u_mm, "model"))
    yield from given.values()


def _given_holds(row: Possible, world: Mapping[str, Known]) -> bool:
    return all(name in world and same(world[name].value, value) for name, value in row.given)
