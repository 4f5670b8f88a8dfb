"""One part against one target: every world the unknown facts allow, and the grade they come to."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import product

from app.fit.bymeasure import figures_of
from app.fit.chains import Chains
from app.fit.closure import models_named
from app.fit.conditions import Pair
from app.fit.knowledge import Identity, Knowledge, Known, Offer, Subject, Target, UseInfo
from app.fit.laws import LAW_FACTS, law_doubt, law_fires
from app.fit.merging import by_value, deciding, deciding_together, merge_grades, same_words
from app.fit.outcomes import PROVEN, Outcome, chained, outcomes
from app.fit.rules import Direction, End, Op, Rule, RuleKind, RuleState
from app.fit.sets import already_there
from app.fit.terms import Grade, Group, Side
from app.fit.values import plain
from app.fit.worlds import BUILT_IN, NO_SUCH, Scope, World, closure, next_month, rows_of, worlds

MOST_PAIRS = 4096
Signature = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Decision:
    """One part against one target over all worlds: the grade, why, and which facts would decide.

    `kin` is False across families, where what was never compared is not shown.
    """

    offer: Offer
    grade: Grade
    outcomes: tuple[Outcome, ...]
    target_facts: tuple[str, ...] = ()
    part_facts: tuple[str, ...] = ()
    by_target: Mapping[str, Mapping[str, frozenset[Grade]]] = field(default_factory=dict)
    kin: bool = True

    @property
    def main(self) -> Outcome:
        """The outcome the line is explained by: the one of its grade, else the best there is."""
        matching = [each for each in self.outcomes if each.grade is self.grade]
        return matching[0] if matching else min(self.outcomes, key=lambda each: each.grade.rank)


@dataclass(frozen=True, slots=True)
class _Case:
    """What is the same for all parts of one type and side: the rules that may speak, and the target's worlds.

    `scope` is what the rules look at, `asked` also what tells it of the target, and so may be asked instead.
    """

    rules: tuple[tuple[Rule, bool], ...]
    scope: Scope
    asked: Scope
    part_names: tuple[str, ...]
    target_names: tuple[str, ...]
    theirs: tuple[tuple[World, Subject], ...]
    other_side: bool


class Judge:
    """Judges parts for one target. Parts that are alike in all that the rules look at are judged once."""

    def __init__(self, target: Target, know: Knowledge) -> None:
        self.target = target
        models = {identity.model.key for group in target.identities.values() for identity in group}
        uses = tuple(use for use in know.uses if use.model in models and use.known_by in PROVEN)
        self.know = replace(know, uses=uses)
        self._every = know
        self._cases: dict[tuple[str, Side, str], _Case] = {}
        self._heard: dict[tuple[int, str, str], tuple[tuple[Rule, bool], ...]] = {}
        self._judged: dict[Signature, Decision | None] = {}
        self._ties: dict[str, frozenset[str]] = {}
        self._alike: dict[Signature, Decision | None] = {}

    @cached_property
    def _chains(self) -> Chains:
        return Chains(self._every)

    def decide(self, offer: Offer) -> Decision | None:
        """The grade of one part; None when it does not belong in the answer at all."""
        case = self._case(offer)
        signature = (*_signature(offer, case.scope.facts | self._tied(offer)), figures_of(offer, self.know))
        if signature not in self._judged:
            self._judged[signature] = self._decide(offer, case)
        alike = self._judged[signature]
        return alike if alike is None or alike.offer is offer else replace(alike, offer=offer)

    def _tied(self, offer: Offer) -> frozenset[str]:
        """The facts of a part's model that tell another or hang on one."""
        identity = offer.subject.identity
        if identity is None:
            return frozenset()
        if identity.model.key not in self._ties:
            given = [row for row in identity.model.possible if row.given]
            names = {row.fact for row in given} | {name for row in given for name, _ in row.given}
            self._ties[identity.model.key] = frozenset(names)
        return self._ties[identity.model.key]

    def banned(self, offer: Offer) -> bool:
        """Whether law forbids a part, or may: then it is no companion either."""
        if law_fires(offer, self.know) or law_doubt(offer):
            return True
        laws = [rule for rule in self.know.rules if rule.kind is RuleKind.LAW and offer.part_type in rule.offered_types]
        if not laws:
            return False
        case = self._case(offer)
        ours = worlds(offer.subject, case.scope, self.know.facts)
        pairs = [
            Pair(one, other, offer.subject, subject, self.know.moves, self.know.today)
            for one, (other, subject) in product(ours, case.theirs)
        ]
        heard = [(rule, back) for rule, back in case.rules if rule.kind is RuleKind.LAW]
        found = self._each(case, pairs, lambda pair: outcomes(heard, pair, offer, self.know))
        return any(each.grade is Grade.WONT_FIT for _, _, each in found)

    def _case(self, offer: Offer) -> _Case:
        uses = tuple(use for use in self.know.uses if use.design == offer.design)
        key = (offer.part_type, offer.subject.side, offer.design if uses else "")
        if key not in self._cases:
            self._cases[key] = self._new_case(offer, uses)
        return self._cases[key]

    def _new_case(self, offer: Offer, uses: Sequence[UseInfo]) -> _Case:
        rules = [(rule, back) for rule in self.know.rules for back in _ways(rule, offer, self.target)]
        other_side = bool(self.target.side and offer.subject.side and offer.subject.side is not self.target.side)
        if other_side:
            rules = [(rule, back) for rule, back in rules if _speaks_of_sides(rule)]
        scope = _with_uses(scope_of([rule for rule, _ in rules], self.know), uses)
        subjects = _target_subjects(offer, self.target, self.know)
        told = [(each, _with_what_tells(scope, each, self.know)) for each in subjects]
        theirs = [(world, each) for each, tells in told for world in worlds(each, tells, self.know.facts)]
        asked = replace(scope, facts=scope.facts.union(*(tells.facts for _, tells in told)))
        asked = _without_takers_away(asked, scope, [world for world, _ in theirs])
        return _Case(tuple(rules), scope, asked, *_names(rules, self.know, scope, uses), tuple(theirs), other_side)

    def _decide(self, offer: Offer, case: _Case) -> Decision | None:
        """Judge a part by what the rules see of it; another of the same look was judged already."""
        ours = {_seen_of(world, case.part_names): world for world in worlds(offer.subject, case.scope, self.know.facts)}
        subject = offer.subject
        law = (offer.design, offer.blocked, offer.frame_verdict, subject.pieces, _law_facts(offer))
        figures = (figures_of(offer, self.know), subject.identity.model.frame_design if subject.identity else "")
        # Whether a figure was taken of this very part decides too, not only what it is.
        taken = case.scope.facts & set(subject.facts)
        alike = (offer.part_type, subject.side, law, figures, taken, tuple(ours))
        if alike not in self._alike:
            self._alike[alike] = self._judge(offer, case, tuple(ours.values()))
        return self._alike[alike]

    def _judge(self, offer: Offer, case: _Case, ours: tuple[World, ...]) -> Decision | None:
        pairs = [
            Pair(part_world, target_world, offer.subject, subject, self.know.moves, self.know.today)
            for part_world, (target_world, subject) in list(product(ours, case.theirs))[:MOST_PAIRS]
        ]
        judged = self._each(case, pairs, lambda pair: self._work_out(case, pair, offer))
        if case.other_side and any(each.grade is not Grade.WONT_FIT for _, _, each in judged):
            return None
        kin = any(_same_family(offer, subject) for _, subject in case.theirs)
        return _merge(offer, judged, case, kin)

    def _work_out(self, case: _Case, pair: Pair, offer: Offer) -> list[Outcome]:
        """What the rules come to in one pair of worlds; a chain is looked for where nothing speaks.

        Of a part of the other side only the rules about sides are heard, not even yard law.
        """
        found = outcomes(self._speaking(case, pair), pair, offer, self.know, with_law=not case.other_side)
        if case.other_side or any(each.resolved or each.design for each in found):
            return found
        return [chained(pair, offer, self.target, self._chains, self.know)]

    def _speaking(self, case: _Case, pair: Pair) -> tuple[tuple[Rule, bool], ...]:
        """The rules that are not silent already by the models they name."""
        ours, theirs = (world["model"].value if "model" in world else "" for world in (pair.part, pair.target))
        key = (id(case), ours, theirs)
        if key not in self._heard:
            self._heard[key] = tuple(
                (rule, back)
                for rule, back in case.rules
                if _may_be(rule, End.TARGET if back else End.PART, ours)
                and _may_be(rule, End.PART if back else End.TARGET, theirs)
            )
        return self._heard[key]

    @staticmethod
    def _each(
        case: _Case, pairs: Sequence[Pair], work_out: Callable[[Pair], list[Outcome]]
    ) -> list[tuple[World, World, Outcome]]:
        """The outcomes of every pair of worlds, worked out once for pairs the rules cannot tell apart."""
        known: dict[tuple[int, int, object], list[Outcome]] = {}
        judged = []
        for pair in pairs:
            key = (id(pair.part), id(pair.target_subject), _seen_of(pair.target, case.target_names))
            if key not in known:
                known[key] = work_out(pair)
            judged += [(pair.part, pair.target, each) for each in known[key]]
        return judged


Names = tuple[str, ...]


def _may_be(rule: Rule, end: End, model: str) -> bool:
    """False where an end of a rule must be of other models; of a vehicle of no known model nothing is said."""
    named = models_named(rule.conditions, end) if model else None
    return named is None or plain(model) in named


def _with_uses(scope: Scope, uses: Sequence[UseInfo]) -> Scope:
    """A use of a design is evidence only in its months, at its plants and with its options: they are looked at too."""
    months = {use.built_from for use in uses if use.built_from}
    months |= {next_month(use.built_to) for use in uses if use.built_to}
    given = {name for use in uses for name, _ in use.given} - BUILT_IN
    plants = {plant for use in uses for plant in use.plants}
    return Scope(scope.facts | given, scope.months | months, scope.plants | plants)


def _with_what_tells(scope: Scope, subject: Subject, know: Knowledge) -> Scope:
    """The scope with the facts of the target that its facts hang on: stick or automatic tells the radiator."""
    return replace(scope, facts=scope.facts | closure(scope.facts, rows_of(subject, know.facts)))


def _without_takers_away(asked: Scope, scope: Scope, theirs: Sequence[World]) -> Scope:
    """Who asks for a part has it: what would only take away a thing looked at is not asked for instead of it."""
    telling = {name for name in asked.facts - scope.facts if not any(_takes_away(name, x, theirs) for x in scope.facts)}
    return replace(asked, facts=scope.facts | telling)


def _takes_away(name: str, looked_at: str, theirs: Sequence[World]) -> bool:
    values = {
        (world[name].value, world[looked_at].value == NO_SUCH) for world in theirs if {name, looked_at} <= set(world)
    }
    gone = {value for value, absent in values if absent}
    return bool(gone) and gone != {value for value, _ in values}


def _names(
    rules: Sequence[tuple[Rule, bool]], know: Knowledge, scope: Scope, uses: Sequence[UseInfo]
) -> tuple[Names, Names]:
    """All that the rules look at on either end; of the target also what a use of a design looks at."""
    moving = (move.rule for move in know.moves)
    looked_at = {each.fact for rule in (*(rule for rule, _ in rules), *moving) for each in rule.conditions}
    both = scope.facts | (looked_at & BUILT_IN) | {"family", "model"}
    used = {"year", "built", "plant"} if uses else set()
    return tuple(sorted(both)), tuple(sorted(both | used))


def _seen_of(world: World, names: Names) -> tuple[tuple[str, str, float | None], ...]:
    """What the rules see of a world; worlds of which they see the same are one to them."""
    return tuple((name, world[name].value, world[name].u_mm) for name in names if name in world)


def _law_facts(offer: Offer) -> tuple[tuple[str, Known], ...]:
    seen = offer.subject.facts
    return tuple((name, seen[name]) for name in sorted(LAW_FACTS) if name in seen)


def _signature(offer: Offer, names: frozenset[str]) -> Signature:
    """All of a part that can bear on its grade."""
    subject, identity = offer.subject, offer.subject.identity
    known = {**subject.donor_facts, **subject.facts}
    facts = tuple((name, known[name]) for name in sorted(known) if name in names or name in LAW_FACTS)
    who = (identity.model.key, identity.year, identity.built, identity.plant) if identity else None
    return (
        offer.part_type,
        subject.side,
        offer.design,
        offer.blocked,
        offer.frame_verdict,
        subject.pieces,
        who,
        facts,
    )


def _ways(rule: Rule, offer: Offer, target: Target) -> Iterator[bool]:
    """In which directions the part types allow the rule to speak."""
    if rule.state is RuleState.CLOSED or rule.kind is RuleKind.MOVES_DATE:
        return
    wanted = rule.wanted_types or rule.offered_types
    if offer.part_type in rule.offered_types and (wanted & target.wanted or rule.kind is RuleKind.LAW):
        yield False
    # A turned rule adds something only where its two ends differ.
    turned = offer.part_type in wanted and bool(rule.offered_types & target.wanted)
    if rule.direction is Direction.BOTH_WAYS and turned:
        yield True


def _speaks_of_sides(rule: Rule) -> bool:
    return any(condition.fact == "side" and condition.op is not Op.SAME for condition in rule.conditions)


def _target_subjects(offer: Offer, target: Target, know: Knowledge) -> list[Subject]:
    group = know.groups.get(offer.part_type)
    identities = target.identities.get(group, ()) if group else ()
    side = target.side or offer.subject.side if offer.sided else Side.NONE
    wanted = offer.part_type if offer.part_type in target.wanted else min(target.wanted, default="")
    if group is None or not identities:
        return [Subject(None, target.facts, {}, side or Side.NONE, wanted, 1)]
    return [
        Subject(one[group], target.facts, {}, side or Side.NONE, "", 1, _of_others(one, group))
        for one in _one_each(target.identities)
    ]


def _one_each(identities: Mapping[Group, tuple[Identity, ...]]) -> Iterator[dict[Group, Identity]]:
    """Every vehicle it may be: groups that leave the same choice choose the same."""
    distinct = {id(each): each for each in identities.values() if each}
    for chosen in product(*distinct.values()):
        picked = dict(zip(distinct, chosen, strict=True))
        yield {group: picked[id(each)] for group, each in identities.items() if each}


def _of_others(one: Mapping[Group, Identity], own: Group) -> dict[Group, Identity]:
    return {group: identity for group, identity in one.items() if identity is not one[own]}


def scope_of(rules: Sequence[Rule], know: Knowledge) -> Scope:
    """The facts, months and plants that the rules look at, with those of the rules that move their dates."""
    codes = {rule.code for rule in rules}
    moving = [move for move in know.moves if move.moves in codes]
    every = [
        *(each for rule in rules for each in rule.conditions),
        *(c for move in moving for c in move.rule.conditions),
    ]
    facts = {name for each in every for name in (each.fact, each.other_fact) if name} - BUILT_IN
    facts |= {name for rule in rules for name in already_there(rule)}
    months = {value for each in every if each.op in (Op.BEFORE, Op.FROM) for value in each.values}
    months |= {month for move in moving for month in (move.from_month, move.to_month)}
    plants = {value for each in every if each.fact == "plant" for value in each.values}
    return Scope(frozenset(facts), frozenset(months), frozenset(plants))


def _same_family(offer: Offer, subject: Subject) -> bool:
    ours, theirs = offer.subject.identity, subject.identity
    return ours is not None and theirs is not None and ours.model.family == theirs.model.family


def _merge(offer: Offer, judged: Sequence[tuple[World, World, Outcome]], case: _Case, kin: bool) -> Decision | None:
    grades = {outcome.grade for _, _, outcome in judged}
    grade = merge_grades(grades)
    if grade is Grade.NOT_COMPARED and not kin:
        return None
    distinct: dict[tuple[object, ...], Outcome] = {}
    for _, _, outcome in judged:
        distinct.setdefault(same_words(outcome), outcome)
    by_target = by_value(judged, case.asked, 1)
    by_part = by_value(judged, case.scope, 0)
    looked_at = {name: values for name, values in by_target.items() if name not in case.asked.facts - case.scope.facts}
    theirs, ours = deciding(looked_at), deciding(by_part)
    if grade is not Grade.MEASURE:
        theirs = ours = ()
    elif not theirs and not ours:
        theirs, ours = deciding_together(judged, looked_at, 1), deciding_together(judged, by_part, 0)
    return Decision(offer, grade, tuple(distinct.values()), theirs, ours, by_target, kin)
