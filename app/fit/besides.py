"""What is worth asking where no fact decides a grade by itself: what changes the answer in another way.

In this order: figures of the vehicle that nobody wrote down and ours are held against, what decides along with a look
at our own part, what a companion is for that the customer may have, figures that were taken of our part and not of the
vehicle, and what the number of a consequence is worked out from.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from app.fit.answers import Question
from app.fit.bymeasure import figures_of
from app.fit.cases import target_subjects
from app.fit.conditions import Truth
from app.fit.decide import Decision
from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo, Offer, Subject, Target
from app.fit.laws import tells_condition
from app.fit.rules import End, RuleState
from app.fit.saying.figures import DIFFERENCE, PERCENT
from app.fit.saying.reasons import question_about
from app.fit.sets import companions_of, had_already
from app.fit.terms import FactKind, Grade, Side
from app.fit.worlds import NO_SUCH, Scope, is_set_aside, narrowing, worlds

MOST = 2


class _Vehicle:
    """What the book has of the customer's vehicle; for all parts of a kind it is looked up once."""

    def __init__(self, target: Target, know: Knowledge) -> None:
        self.know = know
        self._target = target
        self._has: dict[tuple[str, str, Side], bool] = {}

    def has(self, name: str, offer: Offer) -> bool:
        """Whether it has one figure of a fact, whatever else of the vehicle is open."""
        key = (name, offer.part_type, offer.subject.side)
        if key not in self._has:
            subjects = target_subjects(offer, self._target, self.know)
            self._has[key] = all(self._is_one(name, subject) for subject in subjects)
        return self._has[key]

    def _is_one(self, name: str, subject: Subject) -> bool:
        wanted = frozenset({name})
        scope = Scope(wanted | narrowing(subject, wanted, self.know.facts))
        found = [world[name].value for world in worlds(subject, scope, self.know.facts) if name in world]
        return len(set(found) - {NO_SUCH}) == 1


Facts = Callable[[Decision, _Vehicle], Iterable[str]]


def besides(decisions: Sequence[Decision], target: Target, know: Knowledge) -> tuple[Question, ...]:
    """At most two questions about the answers given, best first; what is known already is not asked."""
    vehicle = _Vehicle(target, know)
    for facts in WORTH_ASKING:
        changed: dict[str, int] = {}
        for each in decisions:
            for name in facts(each, vehicle):
                known = facts is _numbers and len(_carried(name, target)) == 1
                if name in know.facts and not known and not _is_told(name, target, know):
                    changed[name] = changed.get(name, 0) + 1
        if changed:
            asked = list(changed.items())[:MOST]
            return tuple(_question(know.facts[name], count, target) for name, count in asked)
    return ()


def _is_told(name: str, target: Target, know: Knowledge) -> bool:
    """True where the customer said it; a reading that was set aside is asked for again."""
    return name in target.facts and not is_set_aside(name, target.facts[name], know.facts)


def _question(info: FactInfo, changed: int, target: Target) -> Question:
    choices = ("yes", "no") if info.kind is FactKind.YES_NO else _can_be(info, target)
    return Question(info.name, info.question or question_about(info.name), choices, changed)


def _can_be(info: FactInfo, target: Target) -> tuple[str, ...]:
    """The choices that the vehicle comes with, where it comes with several; else all there are."""
    own = _carried(info.name, target)
    return tuple(each for each in info.choices if each in own) if len(own) > 1 else info.choices


def _carried(name: str, target: Target) -> set[str]:
    """The values of a fact that the vehicle comes with, by what is written of its models."""
    models = {each.model.key: each.model for some in target.identities.values() for each in some}
    return {row.value for model in models.values() for row in model.possible if row.fact == name}


def _not_written(decision: Decision, vehicle: _Vehicle) -> Iterator[str]:
    """The figures of the vehicle that ours are held against and that nobody wrote down."""
    del vehicle
    outcome = decision.main
    fires = outcome.resolved.fires if outcome.resolved and decision.grade is Grade.MEASURE else ()
    for each in (finding for fire in fires for finding in fire.findings):
        held = each.condition
        if each.truth is Truth.UNKNOWN and held.end is End.BETWEEN and held.fact in outcome.part:
            yield held.other_fact or held.fact


def _along_with_ours(decision: Decision, vehicle: _Vehicle) -> Iterable[str]:
    """What decides once our own part was looked at too."""
    del vehicle
    merged = decision.merged
    return merged.target_facts if merged.part_facts else ()


def _had_perhaps(decision: Decision, vehicle: _Vehicle) -> Iterator[str]:
    """What tells whether the customer has a companion: with it the answer is another price."""
    del vehicle
    if decision.grade is Grade.SET:
        for companion in companions_of(decision.main):
            name, says, _ = companion.already_there.partition("=")
            if says and (name.strip() not in decision.main.target or len(set(map(had_already, decision.outcomes))) > 1):
                yield name.strip()


def _figures(decision: Decision, vehicle: _Vehicle) -> Iterator[str]:
    """The figures of our part, where it was never compared or its rule is in dispute: held against the vehicle's."""
    fires = decision.main.resolved.fires if decision.main.resolved else ()
    disputed = any(fire.rule.state is RuleState.DISPUTED for fire in fires)
    if disputed or decision.grade is Grade.NOT_COMPARED:
        facts = vehicle.know.facts
        for name, known in figures_of(decision.offer, vehicle.know):
            # Counts and papers alone are no measurement of the pair: telling them would change nothing.
            is_length = bool(known.u_mm) and name in facts and facts[name].kind is FactKind.LENGTH
            if is_length and (disputed or _would_tell(name, decision.offer, vehicle)):
                yield name


def _would_tell(name: str, offer: Offer, vehicle: _Vehicle) -> bool:
    """Whether a figure of the vehicle can be held against ours of a part that no rule speaks of.

    A size of a closed list only says which design it is, and what the book has of such a vehicle is known.
    """
    listed = vehicle.know.facts[name].choices
    return not listed and not tells_condition(offer, name) and not vehicle.has(name, offer)


def _numbers(decision: Decision, vehicle: _Vehicle) -> Iterator[str]:
    """What the number of a consequence is worked out from."""
    del vehicle
    outcome = decision.main
    for fire in outcome.resolved.fires if outcome.resolved else ():
        for each in fire.rule.consequences:
            if each.worked_out in (DIFFERENCE, PERCENT) and not each.amount and each.fact not in outcome.target:
                yield each.fact


WORTH_ASKING: tuple[Facts, ...] = (_not_written, _along_with_ours, _had_perhaps, _figures, _numbers)
