"""The rules that may be heard beside a link of a chain, where one of them may contradict it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property, lru_cache

from app.fit.firing import counts_pieces
from app.fit.knowledge import Knowledge
from app.fit.links.link import models_named
from app.fit.links.linkgraph import Step
from app.fit.looks import NOTHING, Looks, looks_of, looks_of_moves, together
from app.fit.making import record
from app.fit.rules import Condition, Direction, End, Rule, RuleKind, RuleState
from app.fit.terms import Grade
from app.fit.within import turned_condition

Models = frozenset[str] | None
Types = frozenset[str]
_ENDS = (End.PART, End.TARGET)


@record(frozen=True, slots=True)
class Beside:
    """A rule in a direction, with its models and looks in it; `against` is one that may not say "bolts up"."""

    rule: Rule
    back: bool
    offered: Types
    wanted: Types
    of_part: Models
    of_target: Models
    looks: Mapping[End, Looks]
    against: bool

    def serves(self, part_type: str, wanted: Types) -> bool:
        """Whether it speaks of such parts at all."""
        return part_type in self.offered and (self.rule.kind is RuleKind.LAW or not self.wanted.isdisjoint(wanted))

    def may_speak(self, ours: str, theirs: str) -> bool:
        """Whether it may speak of such models, in plain words; of one that is not known it may."""
        at_part = not ours or self.of_part is None or ours in self.of_part
        return at_part and (not theirs or self.of_target is None or theirs in self.of_target)

    def meets(self, step: Step) -> bool:
        """Whether it may speak where a link does, as far as types and models tell."""
        link = step.link
        return (
            self.rule.code != link.rule.code
            and not self.offered.isdisjoint(link.offered)
            and (self.rule.kind is RuleKind.LAW or not self.wanted.isdisjoint(link.wanted))
            and _may_be(self.of_part, step.models[End.PART])
            and _may_be(self.of_target, step.models[End.TARGET])
        )


def _may_be(one: Models, other: Models) -> bool:
    return one is None or other is None or not one.isdisjoint(other)


class Besides:
    """Finds the rules beside links; what was found once is kept."""

    def __init__(self, know: Knowledge) -> None:
        self._know = know
        self._of: dict[int, Sequence[Beside]] = {}
        self._heard: dict[tuple[int, str, Types], Sequence[Beside]] = {}
        self._between: dict[tuple[int, str, Types, str, str], Sequence[Beside]] = {}
        self._contested: dict[tuple[int, str, str], bool] = {}
        self._looks: dict[tuple[int, End, str], Looks] = {}

    def of(self, step: Step) -> Sequence[Beside]:
        """The rules that may be heard beside a link; none where nothing may contradict it."""
        key = id(step)
        if key not in self._of:
            met = [each for each in self._near(step) if each.meets(step)]
            self._of[key] = met if any(each.against for each in met) else ()
        return self._of[key]

    def heard(self, step: Step, part_type: str, wanted: Types) -> Sequence[Beside]:
        """Those of them that speak of such parts at all."""
        key = (id(step), part_type, wanted)
        if key not in self._heard:
            self._heard[key] = [each for each in self.of(step) if each.serves(part_type, wanted)]
        return self._heard[key]

    def between(self, step: Step, part_type: str, wanted: Types, ours: str, theirs: str) -> Sequence[Beside]:
        """Those heard of such parts off one model on another, in plain words; none where none may contradict it."""
        key = (id(step), part_type, wanted, ours, theirs)
        if key not in self._between:
            met = [each for each in self.heard(step, part_type, wanted) if each.may_speak(ours, theirs)]
            self._between[key] = met if any(each.against for each in met) else ()
        return self._between[key]

    def _near(self, step: Step) -> Sequence[Beside]:
        """The rules that may speak where a link ends, in their order."""
        models = step.models[End.TARGET]
        if models is None:
            return self._every
        places = {at for name in (*models, "") for at in self._places.get(name, ())}
        return [self._every[at] for at in sorted(places)]

    @cached_property
    def _places(self) -> Mapping[str, Sequence[int]]:
        """The places of rules by the models they name on the target; of those that name none under no name."""
        found: dict[str, list[int]] = {}
        for at, each in enumerate(self._every):
            for name in each.of_target if each.of_target is not None else ("",):
                found.setdefault(name, []).append(at)
        return found

    def contest(self, path: Sequence[Step], ours: str, theirs: str) -> bool:
        """Whether some rule may contradict a link of a chain, as far as the models at its two ends tell."""
        first, last = path[0], path[-1]
        return any(
            self._is_contested(step, ours if step is first else "", theirs if step is last else "") for step in path
        )

    def _is_contested(self, step: Step, ours: str, theirs: str) -> bool:
        key = (id(step), ours, theirs)
        if key not in self._contested:
            self._contested[key] = any(each.against and each.may_speak(ours, theirs) for each in self.of(step))
        return self._contested[key]

    def looks(self, step: Step, end: End, model: str) -> Looks:
        """What the rules beside a link look at on one end of a model, in plain words, and what moves their dates."""
        key = (id(step), end, model)
        if key not in self._looks:
            every = [each for each in self.of(step) if _names(each, end, model)]
            moved = looks_of_moves(self._know.moves, {each.rule.code for each in every}) if every else NOTHING
            self._looks[key] = together([*(each.looks[end] for each in every), moved])
        return self._looks[key]

    def whole(self, rule: Rule) -> Rule:
        """The rule of a link with all that it stands on, which a link is read without."""
        return self._rules.get(rule.code, rule)

    @cached_property
    def _rules(self) -> Mapping[str, Rule]:
        read = self._know.beside
        return {rule.code: rule for rule in (*self._know.rules, *(read() if read is not None else ()))}

    @cached_property
    def _every(self) -> Sequence[Beside]:
        return [each for rule in self._rules.values() for each in _directions(rule)]


def _names(each: Beside, end: End, model: str) -> bool:
    return each.may_speak(model, "") if end is End.PART else each.may_speak("", model)


def _may_contradict(rule: Rule) -> bool:
    """Whether a rule may say anything else than "bolts up"."""
    fits = rule.grade is Grade.BOLTS_UP and rule.state is RuleState.OPEN and rule.kind is RuleKind.FIT
    return not fits or any(counts_pieces(rule, each) for each in rule.conditions)


@lru_cache(maxsize=20_000)
def _directions(rule: Rule) -> tuple[Beside, ...]:
    """The directions in which a rule may be heard, as it is written first."""
    if rule.state is RuleState.CLOSED or rule.kind is RuleKind.MOVES_DATE:
        return ()
    types = (rule.offered_types, rule.wanted_types or rule.offered_types)
    found = [_direction(rule, False, *types, rule.conditions)]
    if rule.direction is Direction.BOTH_WAYS:
        found.append(_direction(rule, True, *types[::-1], tuple(map(turned_condition, rule.conditions))))
    return tuple(found)


def _direction(rule: Rule, back: bool, offered: Types, wanted: Types, conditions: tuple[Condition, ...]) -> Beside:
    return Beside(
        rule,
        back,
        offered,
        wanted,
        models_named(conditions, End.PART),
        models_named(conditions, End.TARGET),
        {end: looks_of([each for each in conditions if each.end in (end, End.BETWEEN)]) for end in _ENDS},
        _may_contradict(rule),
    )
