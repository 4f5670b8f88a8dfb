"""Where no rule speaks: what two measured frames, or figures taken of the very pair, say of a part."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from app.fit import computed_lengths
from app.fit.computed import MeasuredFrames
from app.fit.conditions import Finding, Pair, Truth
from app.fit.knowledge import Knowledge
from app.fit.known import Known, Offer
from app.fit.links.link import models_named
from app.fit.resolve import Fire, Resolved
from app.fit.rules import Condition, Direction, End, Evidence, EvidenceLine, Op, Rule, RuleKind, RuleState
from app.fit.terms import FactKind, Grade, Group
from app.fit.values import plain
from app.fit.worlds import World

CODE = "by measure"
"""What stands where a rule's code stands, for an answer that no rule gives."""

_TRUTHS = {Grade.BOLTS_UP: Truth.YES, Grade.MEASURE: Truth.DOUBT, Grade.WONT_FIT: Truth.NO}


def figures_of(offer: Offer, know: Knowledge) -> tuple[tuple[str, Known], ...]:
    """What was taken of a part itself of all that parts of its kind are told apart by."""
    seen = offer.subject.facts
    return tuple((name, seen[name]) for name in know.look_for.get(offer.part_type, ()) if name in seen)


def measured(pair: Pair, offer: Offer, know: Knowledge) -> Resolved | None:
    """What measuring comes to; None where nothing was measured of both."""
    return _by_figures(pair, offer, know) or _by_frames(pair, offer, know.frames)


def _by_figures(pair: Pair, offer: Offer, know: Knowledge) -> Resolved | None:
    if not _taken(offer.subject.facts) or not _taken(pair.target_subject.facts):
        return None
    look_for = know.look_for.get(offer.part_type, ())
    found = computed_lengths.computed_fit(
        offer.subject.facts,
        pair.target_subject.facts,
        look_for,
        know.facts,
        computed_lengths.allowances_of(_rules_for(pair.target, know), offer.part_type),
    )
    # Counts, papers and a size by which designs are called say what it is; that somebody measured the pair shows by
    # a length with its doubt on both.
    ours, theirs = offer.subject.facts, pair.target_subject.facts
    names = [each.fact for each in found.dimensions] if found is not None else []
    taken = [name for name in names if name in ours and name in theirs and ours[name].u_mm and theirs[name].u_mm]
    if found is None or not any(know.facts[name].kind is FactKind.LENGTH for name in taken):
        return None
    return _resolved(found.grade, found.words, "the pair itself was measured")


def _rules_for(target: World, know: Knowledge) -> Iterator[Rule]:
    """The rules that may be held against such a vehicle: what another takes up says nothing of this one."""
    model = plain(target["model"].value) if "model" in target else ""
    for rule in know.rules:
        named = models_named(rule.conditions, End.TARGET)
        if named is None or model in named:
            yield rule


def _taken(facts: Mapping[str, Known]) -> bool:
    """Whether anything was measured, with its doubt."""
    return any(each.u_mm for each in facts.values())


def _by_frames(pair: Pair, offer: Offer, frames: MeasuredFrames | None) -> Resolved | None:
    """A part goes onto the frame that is under the target now, whatever shell stands on it."""
    identity, under = offer.subject.identity, pair.target_subject.others.get(Group.FRAME, pair.target_subject.identity)
    if frames is None or identity is None or under is None:
        return None
    names = [name for name in (offer.part_type, offer.wider) if name]
    found = frames.computed(names, identity.model.frame_design, under.model.frame_design)
    if found is None:
        return None
    return _resolved(found.grade, found.words, "; ".join(("both frames were measured", *found.arithmetic)))


def _resolved(grade: Grade, why: str, proof: str) -> Resolved:
    rule = Rule(
        CODE,
        RuleKind.FIT,
        grade,
        Direction.ONE_WAY,
        RuleState.OPEN,
        why,
        frozenset(),
        frozenset(),
        evidence=(EvidenceLine(Evidence.MEASURED, words=proof),),
    )
    truth = _TRUTHS.get(grade, Truth.YES)
    finding = Finding(Condition(End.PART, "part type", Op.KNOWN), truth, "", why)
    return Resolved(grade, (Fire(rule, False, grade, (finding,)),))
