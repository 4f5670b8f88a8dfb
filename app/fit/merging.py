"""From the outcomes of all worlds to one grade, and to the facts that would decide it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace

from app.fit.conditions import Truth
from app.fit.making import record
from app.fit.matches import Match, TargetClass
from app.fit.outcomes import Outcome
from app.fit.sets import companions_of, had_already
from app.fit.stretches import Stretches, stretches
from app.fit.terms import Grade
from app.fit.worlds import NO_SUCH, OTHER_PLANT, World

BUILT, PLANT = "built", "plant"
MODEL = "model"
"""Which of several models the target is decides like a fact of it."""
DATED = (BUILT, PLANT, MODEL)
"""What a vehicle's plate tells."""
Finding = tuple[World, TargetClass, Outcome]
"""What a part comes to in one world of its own and one class of worlds of the target."""
Words = tuple[object, ...]
"""What outcomes share that are told in the same words."""
ByValue = Mapping[str, Mapping[str, frozenset[Grade]]]
"""For each open fact the grades under each of its values."""


@record(frozen=True, slots=True)
class Merged:
    """What a part comes to over all worlds: the grade, why, and which facts would decide.

    `kin` is False across families, where what was never compared is not shown; `in_company` says whether any outcome
    asks for companions. What it was merged from is kept in `found` and `match`, for those who ask what would decide.
    """

    grade: Grade
    outcomes: tuple[Outcome, ...]
    main: Outcome
    kin: bool
    in_company: bool
    found: Sequence[Finding]
    match: Match
    target_facts: tuple[str, ...] = ()
    part_facts: tuple[str, ...] = ()
    by_target: ByValue = field(default_factory=dict)


def merged(found: Sequence[Finding], match: Match, *, kin: bool) -> Merged | None:
    """One verdict from the outcomes of all worlds; None for what was never compared, across families."""
    grade = merge_grades({outcome.grade for _, _, outcome in found})
    if grade is Grade.NOT_COMPARED and not kin:
        return None
    told = _told_apart(found)
    # What is said is what rests on least: a rule that speaks in some worlds only is claimed of none.
    # A companion goes along unless the customer is known to have it.
    main = min(
        (each for each in told if each.grade is grade),
        key=lambda each: (_resting_on(each), len(had_already(each))),
        default=None,
    )
    main = main or min(told, key=lambda each: each.grade.rank)
    in_company = any(map(companions_of, told))
    if grade is not Grade.MEASURE:
        return Merged(grade, told, main, kin, in_company, found, match)
    theirs, ours, by_target = _deciding(found, match)
    return Merged(grade, told, main, kin, in_company, found, match, theirs, ours, by_target)


def _told_apart(found: Sequence[Finding]) -> tuple[Outcome, ...]:
    """The outcomes that are told in different words, as they come."""
    distinct: dict[Words, Outcome] = {}
    seen: set[tuple[int, int, str]] = set()
    for _, _, outcome in found:
        if not outcome.chain:
            # What rules come to together is worked out once, so most are the very same.
            alike = (id(outcome.resolved), id(outcome.target), outcome.design)
            if alike in seen:
                continue
            seen.add(alike)
        words = same_words(outcome)
        known = distinct.setdefault(words, outcome)
        # A figure that nobody knows is met in one of the worlds: it is not said to be wrong.
        if outcome.grade is Grade.WONT_FIT and _not_met(outcome) < _not_met(known):
            distinct[words] = outcome
    return tuple(distinct.values())


def _resting_on(outcome: Outcome) -> int:
    """How many rules an outcome rests on."""
    return len(outcome.resolved.fires) if outcome.resolved else 0


def _not_met(outcome: Outcome) -> int:
    """How many conditions of the rules that speak are not met: the figures of a rule of numbers."""
    fires = outcome.resolved.fires if outcome.resolved else ()
    return sum(finding.truth is Truth.NO for fire in fires for finding in fire.findings)


def _deciding(found: Sequence[Finding], match: Match) -> tuple[tuple[str, ...], tuple[str, ...], ByValue]:
    """The facts of the target and of the part that would decide, and the grades under each value of the target's."""
    case = match.case
    names = (*case.asked.facts, *DATED)
    by_target = _with_others(_by_value(_of_target(found, names)), case.scope.plants)
    looked_at = _looked_at(by_target, match)
    by_part = _by_value(_of_part(found, (*match.scope.facts, *DATED)))
    theirs, ours = deciding(looked_at), deciding(by_part)
    if not theirs and not ours:
        pairs = _pairs(found)
        theirs = deciding_together(pairs, looked_at)
        ours = deciding_together([(world, other, grades) for other, world, grades in pairs], by_part)
    return theirs, ours, by_target


def deciders(
    merged: Merged, short: Collection[Words] = ()
) -> tuple[Sequence[Finding], tuple[str, ...], tuple[str, ...], ByValue]:
    """What a part comes to in all worlds, the facts of the target and of the part by which that goes, and the grades.

    Whatever the one grade is. Outcomes whose words are among `short` ask for a set that is short. Only facts that rules
    look at are among those of the target, with the grades under each of their values.
    """
    if merged.grade is Grade.MEASURE and not short:
        return merged.found, merged.target_facts, merged.part_facts, _looked_at(merged.by_target, merged.match)
    found = [(ours, theirs, _as_short(outcome, short)) for ours, theirs, outcome in merged.found]
    theirs, ours, by_target = _deciding(found, merged.match)
    return found, theirs, ours, _looked_at(by_target, merged.match)


def _as_short(outcome: Outcome, short: Collection[Words]) -> Outcome:
    return replace(outcome, grade=Grade.SET_SHORT) if short and same_words(outcome) in short else outcome


def _looked_at(by_target: ByValue, match: Match) -> ByValue:
    only_tells = match.case.asked.facts - match.case.scope.facts
    return {name: values for name, values in by_target.items() if name not in only_tells}


def merge_grades(grades: set[Grade]) -> Grade:
    """One grade from those of all worlds."""
    if len(grades) == 1:
        return next(iter(grades))
    if min(grade.rank for grade in grades) < Grade.SET_SHORT.rank:
        return Grade.MEASURE
    return Grade.NOT_COMPARED if Grade.NOT_COMPARED in grades else Grade.SET_SHORT


def same_words(outcome: Outcome) -> Words:
    """What two outcomes share that are told in the same words."""
    fires = outcome.resolved.fires if outcome.resolved else ()
    return (
        outcome.grade,
        outcome.design,
        tuple(link.key for link in outcome.chain),
        tuple((fire.rule.code, fire.back, fire.grade) for fire in fires),
        had_already(outcome),
    )


Values = Mapping[str, tuple[str, ...]]
"""The values that facts have in some worlds."""


def stretches_of(found: Iterable[Finding]) -> Stretches:
    """How long the months last in which the target may have been built."""
    classes = {id(theirs): theirs for _, theirs, _ in found}
    return stretches((world, theirs.subject) for theirs in classes.values() for world in theirs.members)


def _of_target(found: Sequence[Finding], names: Sequence[str]) -> Iterator[tuple[Values, set[Grade]]]:
    """What the target may be in each class of its worlds, and the grades under it."""
    grades: dict[int, tuple[TargetClass, set[Grade]]] = {}
    for _, theirs, outcome in found:
        grades.setdefault(id(theirs), (theirs, set()))[1].add(outcome.grade)
    lasting = None
    for theirs, some in grades.values():
        if not theirs.values:
            lasting = lasting or stretches_of(found)
            theirs.values.update(_values(theirs.members, names))
            months = [month for world in theirs.members for month in lasting.of(world, theirs.subject)]
            theirs.values.update({BUILT: tuple(dict.fromkeys(months))} if months else {})
        yield theirs.values, some


def _of_part(found: Iterable[Finding], names: Sequence[str]) -> Iterator[tuple[Values, set[Grade]]]:
    """What the part may be, and the grades under it."""
    grades: dict[int, tuple[World, set[Grade]]] = {}
    for ours, _, outcome in found:
        grades.setdefault(id(ours), (ours, set()))[1].add(outcome.grade)
    return ((_values((ours,), names), some) for ours, some in grades.values())


def _values(worlds: Sequence[World], names: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """The values of facts that have any, as they come."""
    found = ((name, dict.fromkeys([world[name].value for world in worlds if name in world])) for name in names)
    return {name: tuple(values) for name, values in found if values}


def _by_value(graded: Iterable[tuple[Values, set[Grade]]]) -> ByValue:
    """For each open fact of one end, the grades under each of its values."""
    table: dict[str, dict[str, set[Grade]]] = {}
    for every, grades in graded:
        for name, values in every.items():
            by_value = table.setdefault(name, {})
            for value in values:
                by_value.setdefault(value, set()).update(grades)
    return {
        name: {value: frozenset(grades) for value, grades in values.items() if value != NO_SUCH}
        for name, values in table.items()
        if len(values) > 1
    }


def _with_others(by_value: ByValue, named: frozenset[str]) -> ByValue:
    """The same where one plant stands for all that no rule names; a model may list each of these, and have no other."""
    plants = by_value.get(PLANT, {})
    told = {plant: grades for plant, grades in plants.items() if plant in named}
    if len(told) == len(plants) or (not told and OTHER_PLANT not in plants):
        return by_value
    others = frozenset().union(*(plants[each] for each in plants if each not in told))
    rest = {name: values for name, values in by_value.items() if name != PLANT}
    return {**rest, PLANT: {**told, OTHER_PLANT: others}} if told else rest


def deciding(table: Mapping[str, Mapping[str, frozenset[Grade]]]) -> tuple[str, ...]:
    """The facts whose value changes the grade, those that settle it alone first."""
    changing = [name for name, values in table.items() if len(set(values.values())) > 1]
    return tuple(sorted(changing, key=lambda name: (any(len(each) > 1 for each in table[name].values()), name)))


Pairs = Sequence[tuple[World, World, set[Grade]]]
"""Worlds of one end with those of the other, and the grades in both."""


def _pairs(found: Iterable[Finding]) -> Pairs:
    """Each world of the target with each of the part."""
    grades: dict[tuple[int, int], tuple[World, TargetClass, set[Grade]]] = {}
    for ours, theirs, outcome in found:
        grades.setdefault((id(ours), id(theirs)), (ours, theirs, set()))[2].add(outcome.grade)
    return [(world, ours, some) for ours, theirs, some in grades.values() for world in theirs.members]


def deciding_together(pairs: Pairs, names: Iterable[str]) -> tuple[str, ...]:
    """The facts of one end that decide only along with the other: all else on this end equal, the grade goes with them.

    Facts that tell each other are never equal in all else: of these the ones are taken that settle it by themselves
    for whatever the other end may be, else those the grade goes with.
    """
    every = sorted(names)
    found = [name for name in every if _matters(_by_rest(name, pairs, every))]
    if found:
        return tuple(found)
    tables = {name: _by_rest(name, pairs, ()) for name in every}
    alone = [name for name in every if _matters(tables[name])]
    settling = [name for name in alone if all(len(each) == 1 for some in tables[name] for each in some.values())]
    return tuple(settling or alone)


def _by_rest(name: str, pairs: Pairs, names: Sequence[str]) -> list[Mapping[str, set[Grade]]]:
    """The grades under each value of a fact, apart for each world of the other end with the rest of these facts."""
    tables: dict[tuple[object, ...], dict[str, set[Grade]]] = {}
    for world, other, grades in pairs:
        if name in world:
            rest = [(each, world[each].value) for each in names if each != name and each in world]
            table = tables.setdefault((id(other), *rest), {})
            table.setdefault(world[name].value, set()).update(grades)
    return list(tables.values())


def _matters(tables: Iterable[Mapping[str, set[Grade]]]) -> bool:
    return any(len(set(map(frozenset, values.values()))) > 1 for values in tables)
