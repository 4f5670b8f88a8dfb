"""Under which looks at the customer's vehicle a part surely comes to a grade: the fewest facts that settle it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import combinations, product

from app.fit.making import record
from app.fit.matches import TargetClass
from app.fit.merging import BUILT, MODEL, PLANT, Finding, Merged, Words, deciders, stretches_of
from app.fit.outcomes import Outcome
from app.fit.saying.buildtimes import times
from app.fit.stretches import Stretches
from app.fit.terms import Grade
from app.fit.worlds import NO_SUCH, OTHER_PLANT, World

MOST_NAMES, MOST_TOGETHER = 6, 3
Row = tuple[tuple[str, ...], Outcome]
"""The values of some facts in one world of the target, empty where it has none, and what the part comes to there."""


@record(frozen=True, slots=True)
class If:
    """What a part comes to where facts of the customer's vehicle have these values, each a fact and its values."""

    outcome: Outcome
    values: tuple[tuple[str, tuple[str, ...]], ...]

    @property
    def grade(self) -> Grade:
        """The grade it then has."""
        return self.outcome.grade


@record(frozen=True, slots=True)
class Ifs:
    """What settles a part: facts of the target that would decide, of the part, and what it comes to if they are so.

    `plants` are those that are told apart, beside all others.
    """

    theirs: tuple[str, ...]
    ours: tuple[str, ...]
    plants: tuple[str, ...]
    told: tuple[If, ...] = ()

    @property
    def facts(self) -> tuple[str, ...]:
        """The facts of the target to ask for."""
        return tuple(dict.fromkeys([*self.theirs, *(name for each in self.told for name, _ in each.values)]))


def ifs(merged: Merged, wanted: frozenset[Grade], short: Collection[Words] = ()) -> Ifs:
    """The fewest facts of the target under which a part surely comes to one of the grades wanted, the best first.

    `short` are the outcomes, by the words they share, that ask for a set of which a piece is missing; under which of
    the same facts it comes to that is told too.
    """
    found, theirs, ours, by_target = deciders(merged, short)
    open_to_say = {name for name, values in by_target.items() if len(values) > 1}
    names = [*(name for name in theirs if name in open_to_say), *sorted(open_to_say - set(theirs))]
    # Which model it is, the customer has told already as far as he knows the names.
    names = sorted(names, key=lambda name: name == MODEL)[:MOST_NAMES]
    plants = tuple(sorted(by_target.get(PLANT, {})))
    told_of = wanted | {Grade.SET_SHORT} if short else wanted
    alone = next((name for name in names if _settles(by_target[name], wanted)), None)
    if alone is not None:
        return Ifs(theirs, ours, plants, _told(_rows(found, [alone], plants), [alone], (0,), told_of))
    rows = _rows(found, names, plants) if len(names) > 1 else []
    for size in range(2, min(MOST_TOGETHER, len(names)) + 1):
        for chosen in combinations(range(len(names)), size):
            told = _told(rows, names, chosen, told_of)
            if any(each.grade in wanted for each in told):
                return Ifs(theirs, ours, plants, told)
    return Ifs(theirs, ours, plants)


def _settles(by_value: Mapping[str, frozenset[Grade]], wanted: frozenset[Grade]) -> bool:
    return any(len(grades) == 1 and grades <= wanted for grades in by_value.values())


def _rows(found: Sequence[Finding], names: Sequence[str], plants: Collection[str]) -> list[Row]:
    """What the part comes to under the values of facts; plants that are not told apart are one."""
    rows: dict[tuple[object, ...], Row] = {}
    lasting = stretches_of(found)
    in_class: dict[int, dict[tuple[str, ...], None]] = {}
    for _, theirs, outcome in found:
        if id(theirs) not in in_class:
            in_class[id(theirs)] = dict.fromkeys(_values(theirs, names, plants, lasting))
        for values in in_class[id(theirs)]:
            rows.setdefault((values, outcome.grade), (values, outcome))
    return list(rows.values())


def _values(
    theirs: TargetClass, names: Sequence[str], plants: Collection[str], lasting: Stretches
) -> Iterator[tuple[str, ...]]:
    """The values of facts in worlds of which the same is seen."""
    for world in theirs.members:
        months = lasting.of(world, theirs.subject) or ("",)
        yield from product(*(months if name == BUILT else (_value(name, world, plants),) for name in names))


def _value(name: str, world: World, plants: Collection[str]) -> str:
    known = world.get(name)
    if known is None or known.value == NO_SUCH:
        return ""
    return OTHER_PLANT if name == PLANT and known.value not in plants else known.value


def _told(
    rows: Sequence[Row], names: Sequence[str], chosen: Sequence[int], wanted: Collection[Grade]
) -> tuple[If, ...]:
    """What the part comes to under values of the chosen facts, where that is sure, in the fewest words.

    Of one fact, where it is built the times of building, several values are said as one.
    """
    last = [at for at in chosen if names[at] == BUILT] or chosen[::-1]
    orders = [[*(each for each in chosen if each != at), at] for at in last]
    fewest = min((_in_order(rows, names, order, wanted) for order in orders), key=lambda found: len(found))
    return tuple(sorted(fewest, key=lambda each: each.grade.rank))


def _in_order(rows: Sequence[Row], names: Sequence[str], order: Sequence[int], wanted: Collection[Grade]) -> list[If]:
    """The same, with the values of the last of the facts together."""
    table: dict[tuple[str, ...], dict[Grade, Outcome]] = {}
    for values, outcome in rows:
        table.setdefault(tuple(values[at] for at in order), {}).setdefault(outcome.grade, outcome)
    alike: dict[tuple[Grade, tuple[str, ...]], tuple[Outcome, list[str]]] = {}
    for key, outcomes in sorted(table.items()):
        outcome = next(iter(outcomes.values()))
        if len(outcomes) == 1 and outcome.grade in wanted and all(key):
            alike.setdefault((outcome.grade, key[:-1]), (outcome, []))[1].append(key[-1])
    told = []
    for (_, first), (outcome, last) in alike.items():
        every = {key[-1] for key in table if key[:-1] == first}
        if names[order[-1]] == BUILT:
            last = list(times(sorted(filter(None, every)), last)) if set(last) != every else last
        kept = dict(zip(order, [*((value,) for value in first), tuple(last)], strict=True))
        if first and set(last) == every:
            # Whatever the last of them is, it comes to the same.
            del kept[order[-1]]
        told.append(If(outcome, tuple((names[at], kept[at]) for at in sorted(kept))))
    return told
