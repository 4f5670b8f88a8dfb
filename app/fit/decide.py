"""One part against one target: every world the unknown facts allow, and the grade they come to."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from functools import cached_property
from itertools import product

from app.fit.bymeasure import figures_of
from app.fit.cases import case_of
from app.fit.chains.chains import Chains
from app.fit.conditions import Pair
from app.fit.hopes import Hope, hope_of, is_framed
from app.fit.knowledge import Knowledge
from app.fit.known import Identity, ModelInfo, Offer, Target
from app.fit.laws import law_doubt, law_fires, looked_at
from app.fit.making import record
from app.fit.matches import Match, Matches
from app.fit.merging import DATED, Finding, Merged, merged
from app.fit.outcomes import PROVEN, Hearing, Outcome, chained, outcomes
from app.fit.rules import Rule, RuleKind
from app.fit.terms import Grade, Side
from app.fit.worlds import World, given_by, worlds

MOST_PAIRS = 4096
Signature = tuple[object, ...]
Kind = tuple[str, Side, str]
"""Type, side, and the design where a use of it is known."""


@record(frozen=True, slots=True)
class Decision:
    """One part against one target over all worlds: what they come to is shared by all parts that are alike."""

    offer: Offer
    merged: Merged

    @property
    def grade(self) -> Grade:
        """The one grade of all worlds."""
        return self.merged.grade

    @property
    def outcomes(self) -> tuple[Outcome, ...]:
        """The outcomes that are told in different words."""
        return self.merged.outcomes

    @property
    def main(self) -> Outcome:
        """The outcome the line is explained by: the one of its grade, else the best there is."""
        return self.merged.main

    @property
    def target_facts(self) -> tuple[str, ...]:
        """The facts of the target that would decide, the best first."""
        return self.merged.target_facts


class Judge:
    """Judges parts for one target. Parts that are alike in all that the rules look at are judged once."""

    def __init__(self, target: Target, know: Knowledge) -> None:
        self.target = target
        models = {identity.model.key for group in target.identities.values() for identity in group}
        uses = tuple(use for use in know.uses if use.model in models and use.known_by in PROVEN)
        self.know = replace(know, uses=uses)
        self._hearing = Hearing(self.know)
        self._used = frozenset(use.design for use in uses)
        self._every = know
        self._matches: dict[Kind, Matches] = {}
        self._judged: dict[Signature, Merged | None] = {}
        self._alike: dict[Signature, Merged | None] = {}
        self._silent: dict[tuple[int, str], tuple[Hope, Merged | None]] = {}

    @cached_property
    def _chains(self) -> Chains:
        return Chains(self._every)

    @cached_property
    def _laws(self) -> tuple[Rule, ...]:
        return tuple(rule for rule in self.know.rules if rule.kind is RuleKind.LAW)

    def decide(self, offer: Offer) -> Decision | None:
        """The grade of one part; None when it does not belong in the answer at all."""
        match = self._of_kind(offer).of(offer)
        signature = _signature(offer, match, self.know)
        if signature not in self._judged:
            self._judged[signature] = self._decide(offer, match)
        alike = self._judged[signature]
        return None if alike is None else Decision(offer, alike)

    def hope(self, offer: Offer) -> tuple[Hope, Merged | None]:
        """What parts off this one's model, of its type, side and design, can come to at best.

        Where nothing but that is looked at, also what all of them come to; None for what does not belong in the answer.
        """
        matches = self._of_kind(offer)
        match = matches.of(offer)
        hope = hope_of(match, offer, self.target, self.know)
        identity = offer.subject.identity
        if not hope.alike or identity is None:
            return hope, None
        found = self._judge(offer, match, (given_by(identity),))
        if match.silent and hope.best == Grade.NOT_COMPARED.rank:
            self._silent[id(matches), identity.model.family] = (hope, found)
        return hope, found

    def hope_off(self, offer: Offer, model: ModelInfo) -> tuple[Hope, Merged | None] | None:
        """The same for parts off another model; None where something may speak of these, or of none of its family yet.

        `offer` is of their type, side and design.
        """
        matches = self._of_kind(offer)
        known = self._silent.get((id(matches), model.family))
        if known is None or is_framed(offer, model, self.know) or not matches.is_silent(offer.part_type, model):
            return None
        return known

    def banned(self, offer: Offer) -> bool:
        """Whether law forbids a part, or may: then it is no companion either."""
        if law_fires(offer, self.know) or law_doubt(offer, self.know):
            return True
        if not any(offer.part_type in rule.offered_types for rule in self._laws):
            return False
        case = self._of_kind(offer).case
        ours = worlds(offer.subject, case.scope, self.know.facts)
        laws = [each for each in case.voices if each.rule.kind is RuleKind.LAW]
        return any(
            each.grade is Grade.WONT_FIT
            for one, (other, subject) in product(ours, case.theirs)
            for each in outcomes(
                laws, Pair(one, other, offer.subject, subject, self.know.moves, self.know.today), offer, self._hearing
            )
        )

    def _of_kind(self, offer: Offer) -> Matches:
        kind = (offer.part_type, offer.subject.side, offer.design if offer.design in self._used else "")
        if kind not in self._matches:
            uses = [use for use in self.know.uses if use.design == kind[2]] if kind[2] else []
            case = case_of(offer, self.target, self.know, uses)
            self._matches[kind] = Matches(case, self._chains, self.know, self.target.wanted)
        return self._matches[kind]

    def _decide(self, offer: Offer, match: Match) -> Merged | None:
        """Judge a part by what the rules see of it; another of the same look was judged already."""
        ours = match.ours(offer, self.know)
        subject = offer.subject
        law = (offer.design, offer.blocked, offer.frame_verdict, subject.pieces, looked_at(offer))
        figures = (figures_of(offer, self.know), subject.identity.model.frame_design if subject.identity else "")
        # Whether a figure was taken of this very part decides too, not only what it is.
        taken = match.scope.facts & set(subject.facts)
        alike = (offer.part_type, subject.side, law, figures, taken, tuple(ours), _telling(ours.values()))
        if alike not in self._alike:
            self._alike[alike] = self._judge(offer, match, tuple(ours.values()))
        return self._alike[alike]

    def _judge(self, offer: Offer, match: Match, ours: tuple[World, ...]) -> Merged | None:
        found: list[Finding] = []
        for world, theirs in list(product(ours, match.classes))[:MOST_PAIRS]:
            pair = Pair(world, theirs.world, offer.subject, theirs.subject, self.know.moves, self.know.today)
            found += [(world, theirs, each) for each in self._work_out(match, pair, offer)]
        if match.case.other_side and any(each.grade is not Grade.WONT_FIT for _, _, each in found):
            return None
        asked_for = offer.part_type in self.target.wanted
        if not asked_for and not any(map(_rests_on_a_rule, found)):
            return None
        kin = asked_for and any(_same_family(offer, theirs.subject.identity) for theirs in match.classes)
        return merged(found, match, kin=kin)

    def _work_out(self, match: Match, pair: Pair, offer: Offer) -> list[Outcome]:
        """What the rules come to in one pair of worlds; a chain is looked for where nothing speaks.

        A rule of which it is not known whether it speaks leaves that open.
        Of a part of the other side only the rules about sides are heard, not even yard law. One of another type than
        was asked for is there only where a rule puts it in the place of that.
        """
        model = pair.target["model"].value if "model" in pair.target else ""
        other_side = match.case.other_side
        named = bool(model) and "model" in pair.part
        found = outcomes(match.heard[model], pair, offer, self._hearing, named=named, with_law=not other_side)
        if other_side:
            return found
        if offer.part_type not in self.target.wanted:
            # That a vehicle carries its design says nothing of the place of another type.
            return [each if each.resolved else replace(each, grade=Grade.NOT_COMPARED, design="") for each in found]
        if all(each.resolved or each.design for each in found):
            return found
        way = chained(pair, offer, self.target, self._chains if match.chained else None, self.know)
        return [each if each.resolved or each.design else way for each in found]


def _rests_on_a_rule(finding: Finding) -> bool:
    """Whether more than law speaks of a part in a pair of worlds."""
    resolved = finding[2].resolved
    return resolved is not None and any(each.rule.kind is not RuleKind.LAW for each in resolved.fires)


def _signature(offer: Offer, match: Match, know: Knowledge) -> Signature:
    """All of a part that can bear on its grade."""
    subject, identity = offer.subject, offer.subject.identity
    who: object = None
    if identity is not None:
        model = identity.model.key
        who = (model, identity.year, identity.built, identity.plant) if match.dated else model
    facts: Signature = ()
    if subject.facts or subject.donor_facts:
        known = {**subject.donor_facts, **subject.facts}
        names = match.telling
        facts = (
            *((name, known[name], name in subject.facts) for name in sorted(known) if name in names),
            *looked_at(offer),
            *figures_of(offer, know),
        )
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


def _telling(ours: Collection[World]) -> Signature:
    """Where a part may be several things, which of them a look at its vehicle's month, plant or model tells apart."""
    if len(ours) < 2:
        return ()
    values = [[world[name].value if name in world else "" for world in ours] for name in DATED]
    return tuple(tuple(map(each.index, each)) for each in values)


def _same_family(offer: Offer, theirs: Identity | None) -> bool:
    ours = offer.subject.identity
    return ours is not None and theirs is not None and ours.model.family == theirs.model.family
