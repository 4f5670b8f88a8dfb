"""Rules held against each other: those that contradict, those always beaten, those nobody turned round.

Rules are looked up by part type and model, so that no rule is held against all others.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, product

from app.fit.conditions import Pair
from app.fit.knowledge import Knowledge
from app.fit.meeting import Meeting, Spoken, apart, may_speak, meetings, seen_whole, spoken, surely, ways
from app.fit.resolve import Fire, stands_over
from app.fit.rulefaults import Fault, RuleFinding
from app.fit.rules import Direction, Rule, RuleKind, RuleState
from app.fit.rulewords import rule_words
from app.fit.terms import Grade

ANY = ""
MOST_CELLS = 256
"""Pairs of models under which one rule is looked up; one that names more is looked up under none."""
MOST_MEETINGS = 2_000
"""Pairs of worlds looked at before a rule is taken to be reachable."""
Cell = tuple[str, str, str]


class Pairs:
    """Every rule in every direction, found by the part type it offers and the models of both ends."""

    def __init__(self, know: Knowledge) -> None:
        self.know = know
        self.every = [one for rule in know.rules if rule.state is not RuleState.CLOSED for one in ways(rule)]
        self.every = [one for one in self.every if one.rule.kind is not RuleKind.MOVES_DATE]
        self._by_cell: dict[Cell, list[Spoken]] = {}
        self._loose: dict[str, list[Spoken]] = {}
        self._by_type: dict[str, list[Spoken]] = {}
        for one in self.every:
            self._keep(one)

    def _keep(self, one: Spoken) -> None:
        cells = _cells(one)
        for name in one.offered:
            self._by_type.setdefault(name, []).append(one)
            if cells is None:
                self._loose.setdefault(name, []).append(one)
        for cell in cells or ():
            self._by_cell.setdefault(cell, []).append(one)

    def beside(self, one: Spoken) -> Iterator[Spoken]:
        """The rules of other codes that may speak where this one does, each once."""
        seen = {id(one)}
        for other in self._found(one):
            if id(other) not in seen and other.rule is not one.rule:
                seen.add(id(other))
                if (
                    one.wanted & other.wanted
                    and _models_meet(one, other)
                    and not apart(one.conditions, other.conditions)
                ):
                    yield other

    def _found(self, one: Spoken) -> Iterator[Spoken]:
        cells = _cells(one)
        if cells is None:
            for name in one.offered:
                yield from self._by_type.get(name, ())
            return
        for name in one.offered:
            yield from self._loose.get(name, ())
        for cell in cells:
            yield from self._by_cell.get(cell, ())


def _cells(one: Spoken) -> list[Cell] | None:
    """The cells of a rule: part type with the models of both ends; None where it names none or too many."""
    if one.part_models is None or one.target_models is None:
        return None
    cells = list(islice(product(one.offered, one.part_models, one.target_models), MOST_CELLS + 1))
    return cells if len(cells) <= MOST_CELLS else None


def _models_meet(one: Spoken, other: Spoken) -> bool:
    return _overlap(one.part_models, other.part_models) and _overlap(one.target_models, other.target_models)


def _overlap(one: frozenset[str] | None, other: frozenset[str] | None) -> bool:
    return one is None or other is None or bool(one & other)


def contradictions(pairs: Pairs) -> Iterator[RuleFinding]:
    """Two open rules of equal weight that say different grades of one part on one vehicle; the cautious one is said.

    Grades that add up, such as a set and work besides, are no contradiction: both are done. One that says there
    is nothing to tell, or that it won't fit, has to agree.
    """
    told: set[tuple[str, str]] = set()
    for one in pairs.every:
        if not _speaks_plainly(one.rule):
            continue
        for other in pairs.beside(one):
            key = (min(one.rule.code, other.rule.code), max(one.rule.code, other.rule.code))
            if key in told or not _speaks_plainly(other.rule) or not _disagree(one, other):
                continue
            met = next(meetings((one, other), pairs.know), None)
            if met is not None:
                told.add(key)
                yield _contradiction(one, other, met)


def _speaks_plainly(rule: Rule) -> bool:
    return rule.kind is RuleKind.FIT and rule.state is RuleState.OPEN


def _disagree(one: Spoken, other: Spoken) -> bool:
    grades = {one.rule.grade, other.rule.grade}
    if len(grades) == 1 or not grades & {Grade.BOLTS_UP, Grade.WONT_FIT}:
        return False
    first, second = _fire(one), _fire(other)
    return not stands_over(first, second) and not stands_over(second, first)


def _fire(one: Spoken) -> Fire:
    return Fire(one.rule, one.back, one.rule.grade, ())


def _contradiction(one: Spoken, other: Spoken, met: Meeting) -> RuleFinding:
    first, second = sorted((one.rule, other.rule), key=lambda rule: (len(rule.code), rule.code))
    cautious = max(first.grade, second.grade, key=lambda grade: grade.rank)
    return RuleFinding(
        first.code,
        Fault.CONTRADICTION,
        f"{first.code} and {second.code}",
        f"{rule_words(first)}; {rule_words(second)}: of equal weight, so {cautious.said!r} is answered",
        "Measure, and settle one over the other; or narrow one of them.",
        other=second.code,
        example=met.words,
    )


@dataclass(frozen=True, slots=True)
class _Beaten:
    """A rule that never comes to speak: what beats it first, and where that shows."""

    by: Spoken
    met: Meeting


def unreachable(pairs: Pairs) -> Iterator[RuleFinding]:
    """Rules that are beaten wherever they could speak."""
    by_rule: dict[str, list[Spoken]] = {}
    for one in pairs.every:
        if one.rule.kind in (RuleKind.FIT, RuleKind.NUMBERS):
            by_rule.setdefault(one.rule.code, []).append(one)
    for every_way in by_rule.values():
        beaten = _always_beaten(every_way, pairs)
        if beaten is not None:
            yield _unreachable(every_way[0].rule, beaten)


def _always_beaten(every_way: Sequence[Spoken], pairs: Pairs) -> _Beaten | None:
    """What beats a rule in each direction it speaks in; None where something is left to it."""
    found: _Beaten | None = None
    for one in every_way:
        beaters = [other for other in pairs.beside(one) if _beats(other, one)]
        beaten = _covered(one, beaters, pairs.know) if beaters else None
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
    for one in pairs.every:
        rule = one.rule
        plain_fit = rule.kind is RuleKind.FIT and rule.direction is Direction.ONE_WAY
        if plain_fit and not _spoken_back(one, pairs):
            yield RuleFinding(
                rule.code,
                Fault.ONE_WAY,
                f"the way back of {rule.code}",
                f"{rule_words(rule)}: no rule speaks of the other direction",
                "Compare them the other way round, and write down what comes of it.",
            )


def _spoken_back(one: Spoken, pairs: Pairs) -> bool:
    turned = spoken(one.rule, True)
    if _models_meet(one, turned) and one.offered & turned.offered and not apart(one.conditions, turned.conditions):
        return True  # its two ends are one kind of vehicle, so the way back is the rule itself
    return any(other.rule.kind is not RuleKind.LAW for other in pairs.beside(turned))
