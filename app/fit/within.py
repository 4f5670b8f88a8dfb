"""Whether all that one rule asks for lies within what another asks for."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace

from app.fit.ages import age
from app.fit.rules import Condition, End, Op
from app.fit.values import compare, plain, same

Clause = tuple[Condition, ...]
"""Alternatives, one of which must hold."""

_TURNED = {End.PART: End.TARGET, End.TARGET: End.PART, End.BETWEEN: End.BETWEEN}
_TURNED_OPS = {Op.AT_LEAST: Op.AT_MOST, Op.AT_MOST: Op.AT_LEAST}
_DAYS_A_MONTH = 30.4


def turned_condition(condition: Condition) -> Condition:
    """What a condition asks with its two ends changed over, each end keeping its own fact."""
    if condition.fact == "pieces":
        # The lot in hand is counted, whichever end it stands on.
        return condition
    end = _TURNED[condition.end]
    if condition.end is not End.BETWEEN:
        return replace(condition, end=end)
    theirs = condition.other_fact or condition.fact
    op = _TURNED_OPS.get(condition.op, condition.op)
    return replace(condition, fact=theirs, other_fact=condition.fact if theirs != condition.fact else "", op=op)


def all_within(inner: Sequence[Condition], outer: Sequence[Condition]) -> bool:
    """Every clause of the outer rule follows from the inner; of alternatives any one suffices."""
    given = clauses(inner)
    return all(any(_follows(narrow, wide) for narrow in given) or _by_the_ends(inner, wide) for wide in clauses(outer))


def clauses(conditions: Sequence[Condition]) -> list[Clause]:
    """Conditions that must all hold, each standing alone or as a group of alternatives."""
    groups: dict[int, Clause] = {}
    for each in conditions:
        if each.alt:
            groups[each.alt] = (*groups.get(each.alt, ()), each)
    return [*((each,) for each in conditions if not each.alt), *groups.values()]


def _follows(narrow: Clause, wide: Clause) -> bool:
    """Whichever alternative of the narrow clause holds, one of the wide clause holds too."""
    return all(any(_implies(one, other) for other in wide) for one in narrow)


def _by_the_ends(inner: Sequence[Condition], wide: Clause) -> bool:
    """What each end must be tells how the two stand to each other: 1.2 on one and 1.6 on the other differ."""
    return any(_told_by_the_ends(inner, each) for each in wide if each.end is End.BETWEEN)


def _told_by_the_ends(inner: Sequence[Condition], wide: Condition) -> bool:
    if wide.op not in (Op.SAME, Op.DIFFERS):
        return False
    ours = _listed(inner, End.PART, wide.fact)
    theirs = _listed(inner, End.TARGET, wide.other_fact or wide.fact)
    if not ours or not theirs:
        return False
    if wide.op is Op.DIFFERS:
        return not any(_is_among(each, theirs) for each in ours)
    return len(theirs) == 1 and all(_is_among(each, theirs) for each in ours)


def _listed(conditions: Sequence[Condition], end: End, fact: str) -> Collection[str]:
    """The values of which an end must have one; empty where it may have any."""
    for each in conditions:
        if (each.end, each.fact, each.op) == (end, fact, Op.ANY_OF) and not each.alt:
            return each.values
    return ()


def _implies(narrow: Condition, wide: Condition) -> bool:
    if (narrow.end, narrow.fact, narrow.other_fact) != (wide.end, wide.fact, wide.other_fact):
        return False
    if narrow.op is Op.ANY_OF:
        return bool(narrow.values) and _all_meet(narrow.values, wide)
    if wide.op is Op.KNOWN:
        return narrow.op is not Op.FRESH or narrow.values != ("no",)
    if narrow.op is not wide.op:
        return False
    if narrow.op is Op.NONE_OF:
        return all(_is_among(each, narrow.values) for each in wide.values)
    return _TIGHTER[narrow.op](narrow, wide) if narrow.op in _TIGHTER else narrow.allowed == wide.allowed


def _all_meet(values: Sequence[str], wide: Condition) -> bool:
    """Whether whatever is one of some values meets a condition on the same fact."""
    if wide.op is Op.ANY_OF:
        return {*map(plain, values)} <= {*map(plain, wide.values)} or all(
            _is_among(each, wide.values) for each in values
        )
    if wide.op is Op.NONE_OF:
        return not any(_is_among(each, wide.values) for each in values)
    if wide.op is Op.KNOWN:
        return True
    meets = _MEETS.get(wide.op)
    return meets is not None and bool(wide.values) and all(meets(each, wide.values[0]) for each in values)


def _is_among(value: str, values: Collection[str]) -> bool:
    return value in values or any(same(value, each) for each in values)


def _reaches(value: str, bound: str) -> bool:
    return compare(value, bound) in (0, 1)


def _keeps_below(value: str, bound: str) -> bool:
    return compare(value, bound) in (0, -1)


_MEETS: Mapping[Op, Callable[[str, str], bool]] = {
    Op.BEFORE: lambda value, month: value < month,
    Op.FROM: lambda value, month: value >= month,
    Op.AT_LEAST: _reaches,
    Op.AT_MOST: _keeps_below,
}


def _earlier(narrow: Condition, wide: Condition) -> bool:
    return narrow.values <= wide.values


def _later(narrow: Condition, wide: Condition) -> bool:
    return narrow.values >= wide.values


def _higher(narrow: Condition, wide: Condition) -> bool:
    return not narrow.values or not wide.values or _reaches(narrow.values[0], wide.values[0])


def _lower(narrow: Condition, wide: Condition) -> bool:
    return not narrow.values or not wide.values or _keeps_below(narrow.values[0], wide.values[0])


def _closer(narrow: Condition, wide: Condition) -> bool:
    return narrow.allowed == wide.allowed or _keeps_below(narrow.allowed, wide.allowed)


def _younger(narrow: Condition, wide: Condition) -> bool:
    """A shorter age lies within a longer one; of what is no longer good it is the other way about."""
    if narrow.values != wide.values:
        return False
    ages = [_in_days(each.allowed) for each in (narrow, wide)]
    return ages[0] >= ages[1] if narrow.values == ("no",) else ages[0] <= ages[1]


def _in_days(said: str) -> float:
    found = age(said)
    return found.months * _DAYS_A_MONTH + found.days if found is not None else -1.0


_TIGHTER: Mapping[Op, Callable[[Condition, Condition], bool]] = {
    Op.BEFORE: _earlier,
    Op.FROM: _later,
    Op.AT_LEAST: _higher,
    Op.AT_MOST: _lower,
    Op.WITHIN: _closer,
    Op.FRESH: _younger,
}
