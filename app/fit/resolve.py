"""When several rules speak at once: yard law, the more specific, the better proven, else the cautious one.

Settled once here: a strictly more specific rule that was measured or kept beats the general one; a specific
rule that was only told against a proven general one is "measure first"; of equal rules all stand, and the
worst grade is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import permutations

from app.fit.conditions import Finding
from app.fit.making import record
from app.fit.rules import Condition, Evidence, Rule, RuleKind, RuleState
from app.fit.terms import Grade
from app.fit.within import all_within, turned_condition

WEAK = frozenset({Evidence.TOLD, Evidence.GUESS, Evidence.TRADE_PRACTICE})


@record(frozen=True, slots=True)
class Fire:
    """A rule that speaks, in which direction, with the grade it comes to here and the figures behind it.

    `taped` is a rule of numbers whose every figure was measured on this very part and this very target.
    """

    rule: Rule
    back: bool
    grade: Grade
    findings: tuple[Finding, ...]
    taped: bool = False


@record(frozen=True, slots=True)
class Resolved:
    """What the rules come to together; `against` are rules that were overruled or disagree."""

    grade: Grade
    fires: tuple[Fire, ...]
    against: tuple[Fire, ...] = ()


def resolve(fires: Sequence[Fire]) -> Resolved:
    """One grade from the rules that speak; at least one is given."""
    if len(fires) == 1:
        return Resolved(fires[0].grade, tuple(fires))
    law = tuple(fire for fire in fires if fire.rule.kind is RuleKind.LAW and fire.grade is Grade.WONT_FIT)
    if law:
        return Resolved(Grade.WONT_FIT, law)
    taped = tuple(fire for fire in fires if fire.taped)
    if taped:
        # A measurement of this very pair, outside the doubt band, beats any rule but the law.
        grade = max((fire.grade for fire in taped), key=lambda each: each.rank)
        return Resolved(grade, taped, tuple(fire for fire in fires if not fire.taped))
    disagreeing = [
        (one, other, stands_over(one, other)) for one, other in permutations(fires, 2) if _disagree(one, other)
    ]
    beaten = [other for _, other, verdict in disagreeing if verdict == "beats"]
    left = [fire for fire in fires if fire not in beaten]
    # What is beaten casts no doubt any more, and none is cast on it.
    pairs = [each for *each, verdict in disagreeing if verdict == "doubt" and all(fire in left for fire in each)]
    doubted = [fire for pair in pairs for fire in pair]
    dropped = tuple(fire for fire in fires if fire not in left)
    standing = [fire for fire in left if fire not in doubted]
    grades = [fire.grade for fire in standing]
    if len(standing) < len(left):
        grades.append(Grade.MEASURE)
    return Resolved(max(grades, key=lambda each: each.rank), tuple(left), dropped)


def _disagree(one: Fire, other: Fire) -> bool:
    return one.grade is not other.grade


def stands_over(one: Fire, other: Fire) -> str:
    """Does one rule beat the other, cast doubt on it, or neither."""
    narrower = is_more_specific(one, other)
    strong, other_strong = is_strong(one.rule), is_strong(other.rule)
    if one.rule.state is RuleState.DISPUTED:
        return ""
    if narrower:
        # Hearsay leaves one that is disputed where it stands, too: the dispute is no proof of what was told.
        return "beats" if strong else ("doubt" if other_strong else "")
    if not strong or other_strong or other.rule.state is RuleState.DISPUTED:
        return ""
    return "" if is_more_specific(other, one) else "beats"


def is_strong(rule: Rule) -> bool:
    """True for a rule that was measured, tried, seen or kept; told, guess and trade practice are weak."""
    return any(line.kind not in WEAK for line in rule.evidence)


def is_more_specific(one: Fire, other: Fire) -> bool:
    """True when on both ends everything the first asks for lies within what the other asks for, strictly."""
    return _is_within(one.rule, one.back, other.rule, other.back)


@lru_cache(maxsize=16_384)
def _is_within(one: Rule, back: bool, other: Rule, other_back: bool) -> bool:
    first, second = _conditions(one, back), _conditions(other, other_back)
    return all_within(first, second) and not all_within(second, first)


def _conditions(rule: Rule, back: bool) -> tuple[Condition, ...]:
    return _turned(rule) if back else rule.conditions


@lru_cache(maxsize=4096)
def _turned(rule: Rule) -> tuple[Condition, ...]:
    return tuple(map(turned_condition, rule.conditions))
