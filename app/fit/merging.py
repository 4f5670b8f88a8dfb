"""From the outcomes of all worlds to one grade, and to the facts that would decide it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace

from app.fit.making import record
from app.fit.matches import Match, TargetClass
from app.fit.outcomes import Outcome
from app.fit.sets import companions_of, had_already
from app.fit.terms import Grade
from app.fit.worlds import NO_SUCH, OTHER_PLANT, World

BUILT, PLANT = "built", "plant"
MODEL = "model"
"""Which of several models the target is decides like a fact of it."""
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
    distinct: dict[Words, Outcome] = {}
    for _, _, outcome in found:
        distinct.setdefault(same_words(outcome), outcome)
    told = tuple(distinct.values())
    main = next((each for each in told if each.grade is grade), None) or min(told, key=lambda each: each.grade.rank)
    in_company = any(map(companions_of, told))
    if grade is not Grade.MEASURE:
        return Merged(grade, told, main, kin, in_company, found, match)
    theirs, ours, by_target = _deciding(found, match)
    return Merged(grade, told, main, kin, in_company, found, match, theirs, ours, by_target)


def _deciding(found: Sequence[Finding], match: Match) -> tuple[tuple[str, ...], tuple[str, ...], ByValue]:
    """The facts of the target and of the part that would decide, and the grades under each value of the target's."""
    case = match.case
    by_target = _with_others(_by_value(_of_target(found), case.asked.facts), case.scope.plants)
    looked_at = _looked_at(by_target, match)
    by_part = _by_value(((ours, outcome.grade) for ours, _, outcome in found), match.scope.facts)
    theirs, ours = deciding(looked_at), deciding(by_part)
    if not theirs and not ours:
        every = [(ours, world, outcome) for ours, theirs, outcome in found for world in theirs.members]
        theirs, ours = deciding_together(every, looked_at, 1), deciding_together(every, by_part, 0)
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


def _of_target(found: Sequence[Finding]) -> Iterator[tuple[World, Grade]]:
    """The grades under each world of the target."""
    grades: dict[int, set[Grade]] = {}
    classes = {id(theirs): theirs for _, theirs, _ in found}
    for _, theirs, outcome in found:
        grades.setdefault(id(theirs), set()).add(outcome.grade)
    for key, theirs in classes.items():
        yield from ((world, grade) for grade in grades[key] for world in theirs.members)


def _by_value(graded: Iterable[tuple[World, Grade]], names: Iterable[str]) -> ByValue:
    """For each open fact of one end, the grades under each of its values."""
    table: dict[str, dict[str, set[Grade]]] = {}
    every = (*names, BUILT, PLANT, MODEL)
    for world, grade in graded:
        for name in every:
            known = world.get(name)
            if known is not None:
                table.setdefault(name, {}).setdefault(known.value, set()).add(grade)
    return {
        name: {value: frozenset(grades) for value, grades in values.items() if value != NO_SUCH}
        for name, values in table.items()
        if len(values) > 1
    }


def _with_others(by_value: ByValue, named: frozenset[str]) -> ByValue:
    """The same where one plant stands for all that no rule names; a model may list each of these, and have no other."""
    plants = by_value.get(PLANT, {})
    if OTHER_PLANT not in plants:
        return by_value
    told = {plant: grades for plant, grades in plants.items() if plant in named}
    others = frozenset().union(*(plants[each] for each in plants if each not in told))
    rest = {name: values for name, values in by_value.items() if name != PLANT}
    return {**rest, PLANT: {**told, OTHER_PLANT: others}} if told else rest


def deciding(table: Mapping[str, Mapping[str, frozenset[Grade]]]) -> tuple[str, ...]:
    """The facts whose value changes the grade, those that settle it alone first."""
    changing = [name for name, values in table.items() if len(set(values.values())) > 1]
    return tuple(sorted(changing, key=lambda name: (any(len(each) > 1 for each in table[name].values()), name)))


def deciding_together(found: Sequence[tuple[World, World, Outcome]], names: Iterable[str], end: int) -> tuple[str, ...]:
    """The facts of one end that decide only along with others: all else being equal, the grade goes with them."""
    mattering = []
    for name in sorted(names):
        alike: dict[tuple[object, ...], dict[str, set[Grade]]] = {}
        for row in found:
            world, other = (row[1], row[0]) if end else (row[0], row[1])
            if name in world:
                rest = tuple(sorted((each, known.value) for each, known in world.items() if each != name))
                alike.setdefault((id(other), rest), {}).setdefault(world[name].value, set()).add(row[2].grade)
        if any(len({frozenset(grades) for grades in values.values()}) > 1 for values in alike.values()):
            mattering.append(name)
    return tuple(mattering)
