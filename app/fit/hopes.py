"""What parts of one kind can come to at best, said from their rules alone, before any world is looked at."""

from __future__ import annotations

from dataclasses import dataclass

from app.fit.cases import Voice
from app.fit.knowledge import Knowledge, Offer, Target
from app.fit.matches import Match
from app.fit.outcomes import counts_pieces
from app.fit.rules import RuleKind, RuleState
from app.fit.terms import Grade


@dataclass(frozen=True, slots=True)
class Hope:
    """The rank of the best grade that is possible, and whether the part may be refused."""

    best: int
    may_be_refused: bool


ANYTHING = Hope(Grade.BOLTS_UP.rank, True)


def hope_of(match: Match, offer: Offer, target: Target, know: Knowledge) -> Hope:
    """No part of this one's type, side, design and model is better than this."""
    voices = list({id(each): each for heard in match.heard.values() for each in heard}.values())
    if offer.law or match.case.other_side or any(each.rule.kind is RuleKind.LAW for each in voices):
        return ANYTHING
    if _measured(offer, target, know):
        return ANYTHING
    # A rule that refuses may be silent in some world.
    ranks = [Grade.NOT_COMPARED.rank, *map(_best, voices)]
    if match.chained or match.case.uses:
        ranks.append(Grade.BOLTS_UP.rank)
    best = min(ranks)
    # What some worlds allow and others do not is measured first, and that ranks before what works differently.
    mixed = Grade.MEASURE.rank < best < Grade.SET_SHORT.rank
    refusing = any(each.rule.grade is Grade.WONT_FIT or each.rule.kind is RuleKind.NUMBERS for each in voices)
    return Hope(Grade.MEASURE.rank if mixed else best, refusing)


def _best(voice: Voice) -> int:
    """The rank of the best that a rule may say; what it says in doubt is to measure first."""
    rule = voice.rule
    doubted = rule.state is RuleState.DISPUTED or rule.kind is RuleKind.NUMBERS
    if rule.state is RuleState.DISPUTED:
        return Grade.MEASURE.rank
    short = any(counts_pieces(rule, each) for each in rule.conditions)
    open_to = [rule.grade, *([Grade.MEASURE] if doubted else []), *([Grade.SET_SHORT] if short else [])]
    return min(each.rank for each in open_to)


def _measured(offer: Offer, target: Target, know: Knowledge) -> bool:
    """Whether measuring may speak of parts of this kind: of their frames, or of the customer's own figures."""
    identity = offer.subject.identity
    frames = know.frames is not None and identity is not None and bool(identity.model.frame_design)
    return frames or any(name in target.facts for name in know.look_for.get(offer.part_type, ()))
