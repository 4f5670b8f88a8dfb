"""From the outcomes of all worlds to one grade, and to the facts that would decide it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from app.fit.outcomes import Outcome
from app.fit.sets import had_already
from app.fit.terms import Grade
from app.fit.worlds import NO_SUCH, Scope, World

PLANT = "plant"
MODEL = "model"
"""Which of several models the target is decides like a fact of it."""
Judged = tuple[World, World, Outcome]
"""What a part comes to in one world of its own and one of the target."""


def merge_grades(grades: set[Grade]) -> Grade:
    """One grade from those of all worlds."""
    if len(grades) == 1:
        return next(iter(grades))
    if min(grade.rank for grade in grades) < Grade.SET_SHORT.rank:
        return Grade.MEASURE
    return Grade.NOT_COMPARED if Grade.NOT_COMPARED in grades else Grade.SET_SHORT


def same_words(outcome: Outcome) -> tuple[object, ...]:
    """What two outcomes share that are told in the same words."""
    fires = outcome.resolved.fires if outcome.resolved else ()
    return (
        outcome.grade,
        outcome.design,
        outcome.chain,
        tuple((fire.rule.code, fire.back, fire.grade) for fire in fires),
        had_already(outcome),
    )


def by_value(judged: Sequence[Judged], scope: Scope, end: int) -> dict[str, dict[str, frozenset[Grade]]]:
    """For each open fact of one end, the grades under each of its values."""
    table: dict[str, dict[str, set[Grade]]] = {}
    for row in judged:
        world = row[1] if end else row[0]
        outcome = row[2]
        for name in (*scope.facts, "built", PLANT, MODEL):
            if name in world:
                table.setdefault(name, {}).setdefault(world[name].value, set()).add(outcome.grade)
    return {
        name: {value: frozenset(grades) for value, grades in values.items() if value != NO_SUCH}
        for name, values in table.items()
        if len(values) > 1
    }


def deciding(table: Mapping[str, Mapping[str, frozenset[Grade]]]) -> tuple[str, ...]:
    """The facts whose value changes the grade, those that settle it alone first."""
    changing = [name for name, values in table.items() if len(set(values.values())) > 1]
    return tuple(sorted(changing, key=lambda name: (any(len(each) > 1 for each in table[name].values()), name)))


def deciding_together(
    judged: Sequence[tuple[World, World, Outcome]], names: Iterable[str], end: int
) -> tuple[str, ...]:
    """The facts of one end that decide only along with others: all else being equal, the grade goes with them."""
    mattering = []
    for name in sorted(names):
        alike: dict[tuple[object, ...], dict[str, set[Grade]]] = {}
        for row in judged:
            world, other = (row[1], row[0]) if end else (row[0], row[1])
            if name in world:
                rest = tuple(sorted((each, known.value) for each, known in world.items() if each != name))
                alike.setdefault((id(other), rest), {}).setdefault(world[name].value, set()).add(row[2].grade)
        if any(len({frozenset(grades) for grades in values.values()}) > 1 for values in alike.values()):
            mattering.append(name)
    return tuple(mattering)
