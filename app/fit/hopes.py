"""What parts of one kind can come to at best, said from their rules alone, before any part is looked at."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from app.fit.cases import Voice
from app.fit.firing import counts_pieces, is_number
from app.fit.knowledge import Knowledge
from app.fit.known import ModelInfo, Offer, Target
from app.fit.making import record
from app.fit.matches import PLAIN, Match
from app.fit.rules import End, Op, RuleKind, RuleState
from app.fit.terms import Grade
from app.fit.values import same
from app.fit.worlds import World


@record(frozen=True, slots=True)
class Hope:
    """The rank of the best grade that is possible, and whether the part may be refused.

    `alike` says that nothing but the kind is looked at: all parts of it come to the same; `in_company` that a rule may
    ask for a set.
    """

    best: int
    may_be_refused: bool
    alike: bool = False
    in_company: bool = False


BEST = Grade.BOLTS_UP.rank
_OF_NOTHING_TOO = frozenset({Op.FRESH, Op.KNOWN})
"""What may be said of a fact that is not known."""
_OF_THE_KIND = frozenset({"side", "part type", "pieces"})
"""What is told of a vehicle by what is asked for."""


def hope_of(match: Match, offer: Offer, target: Target, know: Knowledge) -> Hope:
    """No part of this one's type, side, design and model is better than this."""
    identity = offer.subject.identity
    company = any(each.rule.companions for each in match.voices)
    plain = match.sight == PLAIN and not match.telling and not match.dated and identity is not None
    if match.case.other_side:
        # Not even the law is heard of these.
        return Hope(BEST if match.voices else Grade.NOT_COMPARED.rank, bool(match.voices), plain, company)
    if offer.law or any(each.rule.kind is RuleKind.LAW for each in match.voices):
        return Hope(BEST, may_be_refused=True, in_company=company)
    if any(name in target.facts for name in know.look_for.get(offer.part_type, ())):
        # The customer's own figures may be held against those of a part.
        return Hope(BEST, may_be_refused=True, in_company=company)
    if identity is not None and is_framed(offer, identity.model, know):
        return Hope(BEST, may_be_refused=True, alike=plain, in_company=company)
    # A rule that refuses may be silent in some world.
    ranks = [Grade.NOT_COMPARED.rank, *map(_best, match.voices)]
    if match.chained or match.case.uses:
        ranks.append(BEST)
    best = min(ranks)
    sure = _sure(match)
    in_some = not sure and not match.chained and not match.case.uses
    # What some worlds allow and others do not is measured first, and that ranks before what works differently.
    mixed = (in_some or Grade.MEASURE.rank < best) and best < Grade.SET_SHORT.rank
    refusing = any(each.rule.grade is Grade.WONT_FIT or each.rule.kind is RuleKind.NUMBERS for each in sure)
    return Hope(Grade.MEASURE.rank if mixed else best, refusing, plain, company)


def _sure(match: Match) -> Sequence[Voice]:
    """The rules that may surely speak; none where there is a world of the target in which surely none does."""
    if not match.voices:
        return ()
    theirs = [world for world, _ in match.case.theirs]
    # Of what is not known at all, as of which model it is, no rule surely speaks.
    needed = [(each, frozenset(_needed(each))) for each in match.voices]
    if any(not any(names <= world.keys() for _, names in needed) for world in theirs):
        return ()
    sure = [each for each, names in needed if any(names <= world.keys() for world in theirs)]
    if len(theirs) < 2:
        return sure
    # Of several values that the target may have a part has one.
    alike = [_same_on_both(each) for each in sure]
    common = set[str]().union(*alike[:1]).intersection(*alike)
    return () if any(_differs(name, theirs) for name in common) else sure


def _needed(voice: Voice) -> Iterator[str]:
    """The facts of the target without which a rule does not surely speak."""
    if voice.of_target is not None:
        yield "model"
    theirs = End.PART if voice.back else End.TARGET
    by_numbers = voice.rule.kind is RuleKind.NUMBERS
    for each in voice.rest:
        # Of several numbers one that is not known keeps no other from refusing.
        if each.alt or each.op in _OF_NOTHING_TOO or each.fact in _OF_THE_KIND or (by_numbers and is_number(each)):
            continue
        if each.end is theirs:
            yield from filter(None, (each.fact, each.other_fact))
        elif each.end is End.BETWEEN and not each.other_fact:
            yield each.fact


def _same_on_both(voice: Voice) -> set[str]:
    """The facts that must be the same on part and target for a rule to speak; of numbers another is a refusal."""
    if voice.rule.kind is RuleKind.NUMBERS:
        return set()
    between = [each for each in voice.rest if each.end is End.BETWEEN and each.op is Op.SAME and not each.alt]
    return {each.fact for each in between if not each.other_fact} - _OF_THE_KIND


def _differs(name: str, theirs: Sequence[World]) -> bool:
    values = [world[name].value for world in theirs if name in world]
    return any(not same(each, values[0]) for each in values[1:])


def _best(voice: Voice) -> int:
    """The rank of the best that a rule may say; what it says in doubt is to measure first."""
    rule = voice.rule
    if rule.state is RuleState.DISPUTED:
        return Grade.MEASURE.rank
    short = any(counts_pieces(rule, each) for each in rule.conditions)
    doubted = rule.kind is RuleKind.NUMBERS
    open_to = [rule.grade, *([Grade.MEASURE] if doubted else []), *([Grade.SET_SHORT] if short else [])]
    return min(each.rank for each in open_to)


def is_framed(offer: Offer, model: ModelInfo, know: Knowledge) -> bool:
    """Whether the frame that parts of this kind off a model were made for was measured, and may speak of them."""
    if know.frames is None:
        return False
    return know.frames.may_speak([name for name in (offer.part_type, offer.wider) if name], model.frame_design)
