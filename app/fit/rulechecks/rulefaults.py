"""What is wrong with a body of rules, as findings: names of nothing, conditions that can never hold.

Each check is a function from rules to findings; it neither raises nor prints.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import combinations

from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo, ModelInfo
from app.fit.rulechecks.meeting import Spoken, apart, meetings, names_models, seen_whole, spoken, vehicles
from app.fit.rulechecks.rulewords import condition_words
from app.fit.rules import Condition, End, Op, Rule, RuleKind, RuleState
from app.fit.terms import FactKind
from app.fit.values import same
from app.fit.worlds import BUILT_IN, next_month


class Fault(StrEnum):
    """What kind of thing is wrong."""

    DEAD = "dead reference"
    NEVER = "never holds"
    UNREACHABLE = "unreachable"
    CONTRADICTION = "contradiction"
    ONE_WAY = "one way only"


@dataclass(frozen=True, slots=True)
class RuleFinding:
    """A fault of a rule: where it is, what it is in words, what to do; `other` is the rule it collides with.

    `example` is a part and a vehicle on which it shows.
    """

    code: str
    kind: Fault
    place: str
    words: str
    remedy: str
    other: str = ""
    example: str = ""


def open_rules(rules: Iterable[Rule]) -> list[Rule]:
    """Closed rules say nothing, so nothing is wrong with them."""
    return [rule for rule in rules if rule.state is not RuleState.CLOSED]


def not_a_choice(rules: Iterable[Rule], facts: Mapping[str, FactInfo]) -> Iterator[RuleFinding]:
    """Values that are not among a fact's closed list of choices."""
    for rule in open_rules(rules):
        for number, each in enumerate(rule.conditions, start=1):
            strange = _strange(each, facts.get(each.fact))
            if strange:
                yield RuleFinding(
                    rule.code,
                    Fault.DEAD,
                    f"condition {number}",
                    f"{each.fact} is never {' or '.join(strange)}",
                    f"Choose {' or '.join(_choices(facts[each.fact]))}, or add the choice to the fact.",
                )


def no_such_choice(rules: Iterable[Rule], facts: Mapping[str, FactInfo]) -> Iterator[RuleFinding]:
    """Values by which companions are told that are not among a fact's closed list of choices."""
    for rule in open_rules(rules):
        for number, companion in enumerate(rule.companions, start=1):
            for entry in (*companion.given, companion.already_there):
                name, _, value = (word.strip() for word in entry.partition("="))
                asked = Condition(End.PART, name, Op.ANY_OF, (value,))
                if value and value != "same" and _strange(asked, facts.get(name)):
                    yield RuleFinding(
                        rule.code,
                        Fault.DEAD,
                        f"companion {number}",
                        f"{name} is never {value}",
                        f"Choose {' or '.join(_choices(facts[name]))}, or add the choice to the fact.",
                    )


def moves_nothing(know: Knowledge) -> Iterator[RuleFinding]:
    """Moves of a month that the moved rule does not look at."""
    rules = {rule.code: rule for rule in know.rules}
    for move in know.moves:
        moved = rules.get(move.moves)
        if moved is None or moved.state is RuleState.CLOSED or move.rule.state is RuleState.CLOSED:
            continue
        # What names no fact of the yard is told as that.
        named = {each.fact for each in moved.conditions} <= know.facts.keys() | BUILT_IN
        if named and move.from_month not in _months(moved, know):
            yield RuleFinding(
                move.rule.code,
                Fault.DEAD,
                f"what {move.rule.code} moves",
                f"{move.moves} has no split at {move.from_month}",
                "Write the month as the moved rule has it.",
                other=move.moves,
            )


def _months(rule: Rule, know: Knowledge) -> set[str]:
    """The months at which a rule says another thing: its own, and those at which what it looks at is another."""
    own = {value for each in rule.conditions if each.op in (Op.BEFORE, Op.FROM) for value in each.values}
    names = {name for each in rule.conditions for name in (each.fact, each.other_fact)}
    rows = [row for model in know.models.values() for row in model.possible if row.fact in names]
    starts = {row.built_from for row in rows if row.built_from}
    return own | starts | {next_month(row.built_to) for row in rows if row.built_to}


def _strange(condition: Condition, info: FactInfo | None) -> list[str]:
    if info is None or condition.op not in (Op.ANY_OF, Op.NONE_OF):
        return []
    choices = _choices(info)
    return [value for value in condition.values if choices and not any(same(value, choice) for choice in choices)]


def _choices(info: FactInfo) -> tuple[str, ...]:
    return ("yes", "no") if info.kind is FactKind.YES_NO else info.choices


def never_hold(know: Knowledge) -> Iterator[RuleFinding]:
    """Rules that no part or no vehicle of the yard can ever meet."""
    ends = _Ends(know)
    for rule in open_rules(know.rules):
        clash = _clash(rule)
        if clash is not None:
            yield RuleFinding(
                rule.code,
                Fault.NEVER,
                _place(*clash[:2]),
                clash[2],
                "Mend one of them, or close the rule.",
            )
            continue
        found = list(ends.empty(rule))
        yield from found
        if not found and not _may_meet(rule, know):
            yield RuleFinding(
                rule.code,
                Fault.NEVER,
                "both ends together",
                f"nothing the yard knows is all of this: {'; '.join(map(condition_words, rule.conditions))}",
                "Mend one of the conditions, or close the rule.",
            )


def _place(first: int, second: int) -> str:
    return f"condition {first}" if first == second else f"conditions {first} and {second}"


def _may_meet(rule: Rule, know: Knowledge) -> bool:
    """False where no part and vehicle of the yard are what a rule asks of the two together.

    Only of what holds the ends against each other by more than their side there is anything to look at, and of a rule
    that names no model, for that speaks inside one family.
    """
    conditions = rule.conditions
    held = any(each.alt or (each.end is End.BETWEEN and each.fact != "side") for each in conditions)
    kept_inside = rule.kind is RuleKind.FIT and not any(each.fact == "model" for each in conditions)
    if not held and not (kept_inside and {End.PART, End.TARGET} <= {each.end for each in conditions}):
        return True
    one = spoken(rule)
    return not seen_whole(one, know) or next(meetings((one,), know), None) is not None


def _clash(rule: Rule) -> tuple[int, int, str] | None:
    """Two conditions of a rule, or one and its part types, that cannot both hold by their own words."""
    for number, each in enumerate(rule.conditions, start=1):
        if each.fact == "part type" and each.op is Op.ANY_OF and not each.alt:
            types = rule.offered_types if each.end is End.PART else rule.wanted_types or rule.offered_types
            if each.end is not End.BETWEEN and types.isdisjoint(each.values):
                return number, number, f"{condition_words(each)}: the rule is about {' or '.join(sorted(types))}"
    numbered = [(number, each) for number, each in enumerate(rule.conditions, start=1) if not each.alt]
    for (first, one), (second, other) in combinations(numbered, 2):
        if one.end is other.end and one.fact == other.fact and apart((one,), (other,)):
            return first, second, f"{condition_words(one)}, and {condition_words(other)}: nothing is both"
        if _apart_where_alike(one, other, rule):
            return first, second, f"{condition_words(one)}, and {condition_words(other)}: they must be the same"
    return None


def _apart_where_alike(one: Condition, other: Condition, rule: Rule) -> bool:
    """True where the two ends must be the same in a fact, and what is asked of the one is never so of the other."""
    alike = any(
        each.end is End.BETWEEN and each.op is Op.SAME and each.fact == one.fact and not (each.alt or each.other_fact)
        for each in rule.conditions
    )
    of_both = {one.end, other.end} == {End.PART, End.TARGET} and one.fact == other.fact
    return alike and of_both and apart((one,), (replace(other, end=one.end),))


class _Ends:
    """Which ends of rules some vehicle of the yard can be; ends that ask the same are looked at once."""

    def __init__(self, know: Knowledge) -> None:
        self.know = know
        self._known: dict[tuple[Condition, ...], bool] = {}

    def empty(self, rule: Rule) -> Iterator[RuleFinding]:
        """The ends of a rule that no model of the yard can be."""
        if all(each.end is End.BETWEEN or names_models(each) for each in rule.conditions):
            return
        one = spoken(rule)
        for end, named in ((End.PART, one.part_models), (End.TARGET, one.target_models)):
            # Models that are not in the book are dead references, told as such.
            known = named is None or any(key in self.know.models for key in named)
            if known and not self._can_be(one, end):
                asked = "; ".join(condition_words(each) for each in one.at(end))
                yield RuleFinding(
                    rule.code,
                    Fault.NEVER,
                    f"the {end} end",
                    f"no vehicle the yard knows is all of this: {asked}",
                    "Mend the condition, or teach the model what it can be.",
                )

    def _can_be(self, one: Spoken, end: End) -> bool:
        asked = one.at(end)
        if all(map(names_models, asked)):
            return True
        named = one.part_models if end is End.PART else one.target_models
        at_hand = (self.know.models[key] for key in named or () if key in self.know.models)
        if not self.know.moves and any(_plainly_can(model, asked, self.know.facts) for model in at_hand):
            return True
        if asked not in self._known:
            self._known[asked] = next(vehicles(one, end, self.know), None) is not None
        return self._known[asked]


def _plainly_can(model: ModelInfo, asked: Sequence[Condition], facts: Mapping[str, FactInfo]) -> bool:
    """True where a look at a model's rows is enough to see that it can be all of this, without working out worlds."""
    names = [each.fact for each in asked if each.fact != "model"]
    plain_ones = not any(each.alt for each in asked) and len(set(names)) == len(names)
    return plain_ones and all(_plainly_is(model, each, facts) for each in asked if each.fact != "model")


def _plainly_is(model: ModelInfo, asked: Condition, facts: Mapping[str, FactInfo]) -> bool:
    if asked.fact == "built" and asked.values:
        first, last = f"{model.year_from - 1}-07", f"{model.year_to}-12"
        return asked.values[0] > first if asked.op is Op.BEFORE else asked.op is Op.FROM and asked.values[0] <= last
    if asked.op is not Op.ANY_OF:
        return False
    rows = [row for row in model.possible if row.fact == asked.fact]
    if not rows and asked.fact in facts:
        # What no row lists may be anything the fact can be.
        return len(_strange(asked, facts[asked.fact])) < len(asked.values)
    free = (row.value for row in rows if not (row.given or row.plants or row.built_from or row.built_to))
    return any(same(value, each) for value in free for each in asked.values)
