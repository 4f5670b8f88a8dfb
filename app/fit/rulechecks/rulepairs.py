"""Rules held against each other: those that contradict, those always beaten, those nobody turned round."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from app.fit.conditions import Pair
from app.fit.knowledge import Knowledge
from app.fit.resolve import Fire, stands_over
from app.fit.rulechecks.meeting import Meeting, Spoken, may_speak, meetings, seen_whole, spoken, surely
from app.fit.rulechecks.rulefaults import Fault, RuleFinding
from app.fit.rulechecks.ruleways import Pairs, RuleWay, ends_meet
from app.fit.rulechecks.rulewords import rule_words
from app.fit.rules import Direction, Rule, RuleKind, RuleState
from app.fit.terms import Grade

MOST_MEETINGS = 2_000
"""Pairs of worlds looked at before a rule is taken to be reachable."""


def contradictions(pairs: Pairs) -> Iterator[RuleFinding]:
    """Two open rules, neither of which stands over the other, that say different grades of one part on one vehicle.

    Of equal weight the cautious one is said. Grades that add up, such as a set and work besides, are then no
    contradiction: both are done. One that says there is nothing to tell, or that it won't fit, has to agree.
    Hearsay that is more specific than what was measured says "measure first", whatever the two grades are.
    """
    told: set[tuple[int, int]] = set()
    for way in pairs.every:
        if not _speaks_plainly(way.rule):
            continue
        for other in pairs.beside(way):
            # Of two rules the one that stands later was held against the first already.
            if other.at < way.at or not _speaks_plainly(other.rule) or (way.at, other.at) in told:
                continue
            met = _met_at_odds(way.one, other.one, pairs.know)
            if met is not None:
                told.add((way.at, other.at))
                yield _contradiction(way.one, other.one, met)


def _met_at_odds(one: Spoken, other: Spoken, know: Knowledge) -> Meeting | None:
    """Where two rules that disagree first meet."""
    return next(meetings((one, other), know), None) if _disagree(one, other) else None


def _speaks_plainly(rule: Rule) -> bool:
    return rule.kind is RuleKind.FIT and rule.state is RuleState.OPEN


def _disagree(one: Spoken, other: Spoken) -> bool:
    grades = {one.rule.grade, other.rule.grade}
    if len(grades) == 1:
        return False
    first, second = _fire(one), _fire(other)
    verdicts = {stands_over(first, second), stands_over(second, first)}
    return verdicts == {"", "doubt"} or (verdicts == {""} and bool(grades & {Grade.BOLTS_UP, Grade.WONT_FIT}))


def _fire(one: Spoken) -> Fire:
    return Fire(one.rule, one.back, one.rule.grade, ())


def _contradiction(one: Spoken, other: Spoken, met: Meeting) -> RuleFinding:
    first, second = sorted((one.rule, other.rule), key=lambda rule: (len(rule.code), rule.code))
    return RuleFinding(
        first.code,
        Fault.CONTRADICTION,
        f"{first.code} and {second.code}",
        f"{rule_words(first)}; {rule_words(second)}: {_what_stands(one, other)}",
        "Measure, and settle one over the other; or narrow one of them.",
        other=second.code,
        example=met.words,
    )


def _what_stands(one: Spoken, other: Spoken) -> str:
    """Which kind of contradiction it is: what the counter is told as long as it lasts."""
    for doubting, doubted in ((one, other), (other, one)):
        if stands_over(_fire(doubting), _fire(doubted)) == "doubt":
            narrow, wide = doubting.rule.code, doubted.rule.code
            return f'{narrow} is narrower but only told, {wide} is proven, so "{Grade.MEASURE.said}" stands'
    cautious = max(one.rule.grade, other.rule.grade, key=lambda grade: grade.rank)
    return f'of equal weight, so "{cautious.said}" is answered'


@dataclass(frozen=True, slots=True)
class _Beaten:
    """A rule that never comes to speak: what beats it first, and where that shows."""

    by: Spoken
    met: Meeting


def unreachable(pairs: Pairs) -> Iterator[RuleFinding]:
    """Rules that are beaten wherever they could speak."""
    by_rule: dict[int, list[RuleWay]] = {}
    for way in pairs.every:
        if way.rule.kind in (RuleKind.FIT, RuleKind.NUMBERS):
            by_rule.setdefault(way.at, []).append(way)
    for every_way in by_rule.values():
        beaten = _always_beaten(every_way, pairs)
        if beaten is not None:
            yield _unreachable(every_way[0].rule, beaten)


def _always_beaten(every_way: Sequence[RuleWay], pairs: Pairs) -> _Beaten | None:
    """What beats a rule in each direction it speaks in; None where something is left to it."""
    found: _Beaten | None = None
    for way in every_way:
        beaters = [other.one for other in pairs.beside(way) if _beats(other.one, way.one)]
        beaten = _covered(way.one, beaters, pairs.know) if beaters else None
        if beaten is None:
            return None
        found = found or beaten
    return found


def _beats(one: Spoken, other: Spoken) -> bool:
    if one.rule.kind is RuleKind.LAW:
        return one.rule.grade is Grade.WONT_FIT
    if one.rule.kind is not RuleKind.FIT or one.rule.grade is other.rule.grade:
        return False
    return stands_over(_fire(one), _fire(other)) == "beats"


def _covered(one: Spoken, beaters: Sequence[Spoken], know: Knowledge) -> _Beaten | None:
    """The first of the rules that beat one, when together they speak wherever it can; None when they do not."""
    first: _Beaten | None = None
    if not seen_whole(one, know):
        return None
    for count, met in enumerate(meetings((one,), know, beside=beaters)):
        by = next((other for other in beaters if surely(other, met.pair) and _heard_so(other, met.pair)), None)
        if by is None or count >= MOST_MEETINGS:
            return None
        first = first or _Beaten(by, met)
    return first


def _heard_so(one: Spoken, pair: Pair) -> bool:
    """A rule that speaks both ways is heard turned round only where it does not speak as it is written."""
    return not one.back or not may_speak(spoken(one.rule), pair)


def _unreachable(rule: Rule, beaten: _Beaten) -> RuleFinding:
    return RuleFinding(
        rule.code,
        Fault.UNREACHABLE,
        f"{rule.code} under {beaten.by.rule.code}",
        f"{rule_words(rule)}: wherever it could speak, a stronger rule does, such as {rule_words(beaten.by.rule)}",
        "Close it with a reason, or give it the evidence it stands on.",
        other=beaten.by.rule.code,
        example=beaten.met.words,
    )


def never_turned(pairs: Pairs) -> Iterator[RuleFinding]:
    """One-way rules of which nobody wrote down what the other direction comes to."""
    for way in pairs.every:
        rule = way.rule
        plain_fit = rule.kind is RuleKind.FIT and rule.direction is Direction.ONE_WAY
        if plain_fit and not _spoken_back(way, pairs):
            yield RuleFinding(
                rule.code,
                Fault.ONE_WAY,
                f"the way back of {rule.code}",
                f"{rule_words(rule)}: no rule speaks of the other direction",
                "Compare them the other way round, and write down what comes of it.",
            )


def _spoken_back(way: RuleWay, pairs: Pairs) -> bool:
    turned = way.turned()
    # Where its two ends are one kind of vehicle the way back is the rule itself.
    if way.one.offered & turned.one.offered and ends_meet(way, turned) and _can_meet(turned, way, pairs.know):
        return True
    others = (other for other in pairs.near(turned) if other.rule.kind is not RuleKind.LAW)
    return any(_can_meet(turned, other, pairs.know) for other in others)


def _can_meet(way: RuleWay, other: RuleWay, know: Knowledge) -> bool:
    """True unless no part and vehicle of the yard is what both rules ask for, though their words would allow it."""
    if (not way.beyond and not other.beyond) or not seen_whole(way.one, know):
        return True
    return next(meetings((way.one, other.one), know), None) is not None
