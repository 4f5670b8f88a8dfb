"""Every vehicle an end of a rule may be: one world for each way the unknown facts can stand.

A vehicle of a model and year can be built in any month from July of the year before to December of the
year, at any plant, with any options its model came with. What was seen beats what the year says.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from app.fit.knowledge import FactInfo, Identity, Kind, Known, Possible, Subject
from app.fit.tape import TapeOutcome
from app.fit.values import plain, same, within

NO_SUCH = "\x00none"
"""The value of a fact in a world where the vehicle has no such thing."""

NEAR = (TapeOutcome.FITS, TapeOutcome.MEASURE_AGAIN)
OTHER_PLANT = "?"
MOST_WORLDS = 512
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


@dataclass(frozen=True, slots=True)
class Scope:
    """What the rules at hand look at: facts, build months at which something changes, plants."""

    facts: frozenset[str]
    months: frozenset[str]
    plants: frozenset[str]


World = Mapping[str, Known]


def worlds(subject: Subject, scope: Scope, facts: Mapping[str, FactInfo]) -> tuple[World, ...]:
    """The worlds a subject may be, over the facts in scope; at least one."""
    known = _identified({**subject.donor_facts, **subject.facts}, facts)
    identity = subject.identity
    if identity is None:
        return tuple(_branch({}, sorted(scope.facts), known, (), facts))[:MOST_WORLDS] or ({},)
    found = _for_identity(identity, scope, facts, known)
    if not found:
        # What was seen beats the year: any month and plant of the model's whole run may be it.
        free = Identity(identity.model)
        found = _for_identity(free, scope, facts, known) or _set_aside(subject, free, scope, facts)
    return found[:MOST_WORLDS] or ({},)


def _identified(known: Mapping[str, Known], facts: Mapping[str, FactInfo]) -> dict[str, Known]:
    """What is known, where a tape's reading of a closed list stands for the one design that lies inside its doubt.

    A reading inside whose doubt several lie leaves these open; one that matches none is wrong and set aside.
    """
    found: dict[str, Known] = {}
    for name, each in known.items():
        info = facts.get(name)
        if info is None or info.kind is not Kind.LENGTH or not info.choices or each.among:
            found[name] = each
            continue
        inside = tuple(choice for choice in info.choices if within(each.value, each.u_mm, choice, None, "0") in NEAR)
        if len(inside) == 1:
            found[name] = Known(inside[0], None, each.known_by)
        elif inside:
            found[name] = Known(each.value, None, each.known_by, inside)
    return found


def _for_identity(
    identity: Identity, scope: Scope, facts: Mapping[str, FactInfo], known: Mapping[str, Known]
) -> tuple[World, ...]:
    possible = identity.model.possible
    wanted = closure(scope.facts, possible)
    found: dict[tuple[tuple[str, str], ...], World] = {}
    for month in _months(identity, scope, possible, wanted):
        for plant in _plants(identity, scope, possible, wanted):
            start = dict(_given_by(identity))
            start["built"], start["plant"] = Known(month), Known(plant)
            rows = [row for row in possible if _in_time(row, month, plant)]
            for world in _branch(start, _ordered(wanted, possible), known, (tuple(rows), possible), facts):
                looked_at = scope.facts | {"built", "plant"}
                key = tuple(sorted((name, each.value) for name, each in world.items() if name in looked_at))
                found.setdefault(key, world)
                if len(found) >= MOST_WORLDS:
                    return tuple(found.values())
    return tuple(found.values())


def _set_aside(subject: Subject, free: Identity, scope: Scope, facts: Mapping[str, FactInfo]) -> tuple[World, ...]:
    """A fact no design of the model has: seen on a part or stated by the customer it is believed.

    Only a customer's tape reading that matches no design is set aside, to be asked for again.
    """
    found = _for_identity(subject.identity or free, scope, facts, {})
    stands = bool(subject.part_type)
    seen = {
        name: each
        for name, each in subject.facts.items()
        if name in scope.facts and (stands or name not in facts or facts[name].kind is not Kind.LENGTH)
    }
    return tuple({**world, **seen} for world in found)


def closure(wanted: frozenset[str], possible: Iterable[Possible]) -> frozenset[str]:
    """The facts wanted and those they depend on."""
    names, grown = set(wanted), True
    rows = tuple(possible)
    while grown:
        more = {fact for row in rows if row.fact in names for fact, _ in row.given}
        grown = not more <= names
        names |= more
    return frozenset(names - BUILT_IN)


def _ordered(wanted: frozenset[str], possible: tuple[Possible, ...]) -> list[str]:
    """Facts that others depend on first, so that a branch sees what it is given."""
    waits = {name: {fact for row in possible if row.fact == name for fact, _ in row.given} & wanted for name in wanted}
    done: list[str] = []
    while waits:
        ready = sorted(name for name, on in waits.items() if on <= set(done)) or sorted(waits)[:1]
        done += ready
        for name in ready:
            del waits[name]
    return done


def _given_by(identity: Identity) -> Iterator[tuple[str, Known]]:
    model = identity.model
    built_in = {
        "model": model.key,
        "make": model.make,
        "family": model.family,
        "weight class": model.weight_class,
        "frame design": model.frame_design,
        "body style": model.body_style,
        "year": str(identity.year) if identity.year is not None else "",
    }
    for name, value in built_in.items():
        if value:
            yield name, Known(value)


def _months(identity: Identity, scope: Scope, possible: tuple[Possible, ...], wanted: frozenset[str]) -> list[str]:
    if identity.built:
        return [identity.built]
    year = identity.year
    first = f"{(year or identity.model.year_from) - 1}-07"
    last = f"{year or identity.model.year_to}-12"
    cuts = {row.built_from for row in possible if row.fact in wanted and row.built_from}
    cuts |= {next_month(row.built_to) for row in possible if row.fact in wanted and row.built_to}
    return sorted({first} | {month for month in cuts | scope.months if first < month <= last})


def next_month(month: str) -> str:
    """The month after YYYY-MM."""
    year, number = int(month[:4]), int(month[5:7])
    return f"{year + number // 12}-{number % 12 + 1:02d}"


def _plants(identity: Identity, scope: Scope, possible: tuple[Possible, ...], wanted: frozenset[str]) -> list[str]:
    if identity.plant:
        return [identity.plant]
    rows = [row for row in possible if row.fact in wanted and row.plants]
    named = scope.plants.union(*(row.plants for row in rows))
    # Plants that every row treats alike are one world.
    alike: dict[tuple[bool, ...], str] = {}
    for plant in sorted(named):
        alike.setdefault((plant in scope.plants, *(plant in row.plants for row in rows)), plant)
    return [OTHER_PLANT, *alike.values()]


def _in_time(row: Possible, month: str, plant: str) -> bool:
    if row.built_from and month < row.built_from:
        return False
    if row.built_to and month > row.built_to:
        return False
    return not row.plants or plant in row.plants


def _branch(
    world: dict[str, Known],
    names: list[str],
    known: Mapping[str, Known],
    rows: tuple[tuple[Possible, ...], tuple[Possible, ...]] | tuple[()],
    facts: Mapping[str, FactInfo],
) -> Iterator[World]:
    if not names:
        yield dict(world)
        return
    name, rest = names[0], names[1:]
    for value in _values(name, world, known, rows, facts):
        if value is None:
            world.pop(name, None)
        else:
            world[name] = value
        yield from _branch(world, rest, known, rows, facts)
    world.pop(name, None)


def _values(
    name: str,
    world: Mapping[str, Known],
    known: Mapping[str, Known],
    rows: tuple[tuple[Possible, ...], tuple[Possible, ...]] | tuple[()],
    facts: Mapping[str, FactInfo],
) -> list[Known | None]:
    """The values a fact may have here; None stands for a value nobody can list. Empty: no such world."""
    in_time, every = rows if rows else ((), ())
    of_model = [row for row in every if row.fact == name]
    here = [row for row in in_time if row.fact == name and _given_holds(row, world)]
    seen = known.get(name)
    if seen is not None and seen.among:
        open_values = [row for row in here if any(same(row.value, value) for value in seen.among)]
        return list(_distinct(open_values)) if of_model else [Known(value) for value in seen.among]
    if seen is not None:
        return _seen_values(seen, here, of_model, facts.get(name))
    if of_model:
        return list(_distinct(here)) or [Known(NO_SUCH, known_by="model")]
    info = facts.get(name)
    if info is not None and info.kind is Kind.YES_NO:
        return [Known("yes", known_by="unknown"), Known("no", known_by="unknown")]
    if info is not None and info.choices:
        return [Known(choice, known_by="unknown") for choice in info.choices]
    return [None]


def _seen_values(
    seen: Known, here: list[Possible], of_model: list[Possible], info: FactInfo | None
) -> list[Known | None]:
    if not of_model or any(same(row.value, seen.value) for row in here):
        return [seen]
    measured_differently = info is not None and info.kind in (Kind.LENGTH, Kind.NUMBER, Kind.COUNT)
    # A measured figure stands by itself; a look must be one the model came with in this month.
    return [seen] if measured_differently else []


def _distinct(rows: list[Possible]) -> Iterator[Known]:
    given: dict[str, Known] = {}
    for row in rows:
        given.setdefault(plain(row.value), Known(row.value, row.u_mm, "model"))
    yield from given.values()


def _given_holds(row: Possible, world: Mapping[str, Known]) -> bool:
    return all(name in world and same(world[name].value, value) for name, value in row.given)
