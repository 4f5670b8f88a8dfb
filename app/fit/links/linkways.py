"""The ways to meet a rule whose ends are looked at one by one, as those of the links of a chain are.

The vehicle between two links is only imagined, so nothing of it can be held against the other end. But where a fact has
a closed list of values, "the same on both" is: this value on either end, or the next one on either end, and so on.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain, islice, product

from app.fit.conditions import Pair, all_hold
from app.fit.known import FactInfo
from app.fit.rules import Condition, End, Op, Rule
from app.fit.terms import FactKind
from app.fit.values import number, unit_of

MOST_WAYS = 32
"""So many ways to meet one rule are looked at; a fact with more values than that makes none."""

EXACTLY = "0"
"""The allowed difference of a condition on a value that stands for what the other end has: it must be that very one."""

Facts = Mapping[str, FactInfo]


@dataclass(frozen=True, slots=True)
class MetWay:
    """One way to meet a rule.

    `met_on` has the end on which a group of alternatives is met, of those that do not look at one end alone; None where
    it is met by a value. `by_value` are conditions of either end in place of one held between the two.
    """

    met_on: Mapping[int, End | None] = field(default_factory=dict)
    by_value: tuple[Condition, ...] = ()

    def keeps(self, end: End, fact: str, alt: int) -> bool:
        """Whether a condition of the rule is looked at when it is met in this way."""
        return not _between(end, fact) and self.met_on.get(alt, end) is end

    def left(self, conditions: Iterable[Condition]) -> tuple[Condition, ...]:
        """What is to be looked at of the conditions of the rule."""
        kept = (each for each in conditions if self.keeps(each.end, each.fact, each.alt))
        return (*kept, *self.by_value)


PLAINLY = MetWay()
"""The one way to meet a rule all of whose conditions look at one end."""


def ways_of(conditions: Iterable[Condition], facts: Facts) -> tuple[MetWay, ...]:
    """Every way to meet a rule, always in the same order; none where it cannot be met end by end, or by a tolerance.

    Those that are met without a value come first.
    """
    every = list(conditions)
    if any(map(_bars, every)):
        return ()
    choices = list(_choices(every, facts))
    plainly = product(*([each for each in some if not each.by_value] for some in choices))
    by_value = (each for each in product(*choices) if any(one.by_value for one in each))
    return tuple(map(_together, islice(chain(plainly, by_value), MOST_WAYS)))


def _bars(condition: Condition) -> bool:
    """What no link may have, not even as one of several things that would do: a tolerance, or sides that differ."""
    return condition.op is Op.WITHIN or (condition.fact == "side" and condition.op is Op.DIFFERS)


def _choices(conditions: Iterable[Condition], facts: Facts) -> Iterator[list[MetWay]]:
    """The ways to meet each condition held between the ends, and each group of alternatives that look at several."""
    groups: dict[int, list[Condition]] = {}
    for condition in conditions:
        groups.setdefault(condition.alt, []).append(condition)
    alone = groups.pop(0, [])
    for alt, group in sorted(groups.items()):
        if len({each.end for each in group}) > 1 or any(_between(each.end, each.fact) for each in group):
            yield [*_met_on_ends(alt, group), *_met_by_value({alt: None}, group, facts)]
    yield from (list(_met_by_value({}, (each,), facts)) for each in alone if _between(each.end, each.fact))


def _met_on_ends(alt: int, group: Sequence[Condition]) -> Iterator[MetWay]:
    """What lies between the ends counts as an end if it is about sides."""
    ends = {each.end for each in group if not _between(each.end, each.fact)}
    yield from (MetWay({alt: end}) for end in End if end in ends)


def _met_by_value(met_on: Mapping[int, None], conditions: Iterable[Condition], facts: Facts) -> Iterator[MetWay]:
    for each in conditions:
        if _between(each.end, each.fact) and each.op in (Op.SAME, Op.DIFFERS):
            for value in _closed_list(facts.get(each.fact)):
                yield MetWay(met_on, _on_either_end(each, value))


def _closed_list(info: FactInfo | None) -> tuple[str, ...]:
    """Every value that a fact can have; none where nobody wrote a list, or it is too long."""
    if info is None:
        return ()
    values = ("yes", "no") if info.kind is FactKind.YES_NO else info.choices
    return values if len(values) <= MOST_WAYS else ()


def _on_either_end(condition: Condition, value: str) -> tuple[Condition, ...]:
    """What both ends must be where the part's own is this value."""
    theirs = Op.ANY_OF if condition.op is Op.SAME else Op.NONE_OF
    return (
        Condition(End.PART, condition.fact, Op.ANY_OF, (value,), allowed=EXACTLY),
        Condition(End.TARGET, condition.other_fact or condition.fact, theirs, (value,), allowed=EXACTLY),
    )


def _together(ways: Sequence[MetWay]) -> MetWay:
    met_on = {alt: end for way in ways for alt, end in way.met_on.items()}
    return MetWay(met_on, tuple(each for way in ways for each in way.by_value))


def _between(end: End, fact: str) -> bool:
    return end is End.BETWEEN and fact != "side"


def surely_hold(rule: Rule, conditions: Sequence[Condition], pair: Pair) -> bool:
    """Whether all conditions of a link surely hold, those that stand for what the other end has to the last digit."""
    return all_hold(rule, conditions, pair) and not any(_in_doubt(each, pair) for each in conditions if _exact(each))


def _exact(condition: Condition) -> bool:
    return condition.allowed == EXACTLY and condition.op in (Op.ANY_OF, Op.NONE_OF) and not condition.alt


def _in_doubt(condition: Condition, pair: Pair) -> bool:
    """True for a reading with a doubt, and for a figure without a unit against one that has one.

    Of a plain figure it is not said which of several it is the same as: 4 is what 4 in is, and what 4 ft is.
    """
    known = (pair.part if condition.end is End.PART else pair.target).get(condition.fact)
    if known is None or known.u_mm:
        return True
    return any(not _told_alike(known.value, value) for value in condition.values)


def _told_alike(one: str, other: str) -> bool:
    in_words = number(one) is None or number(other) is None
    return in_words or bool(unit_of(one)) is bool(unit_of(other))
