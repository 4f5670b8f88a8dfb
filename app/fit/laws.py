"""What yard law says of a part by its type, whatever the rules say: worn out, untested, off a scrap frame."""

from __future__ import annotations

from enum import StrEnum

from app.fit.ages import fresh
from app.fit.conditions import Finding, Truth
from app.fit.knowledge import Knowledge, Offer
from app.fit.resolve import Fire
from app.fit.rules import Condition, Direction, End, Evidence, EvidenceLine, Op, Rule, RuleKind, RuleState
from app.fit.tape import TapeOutcome
from app.fit.terms import Grade
from app.fit.values import reaches

THICKNESS, LEAST, TESTED = "rotor thickness", "least thickness", "tested on"
LAW_FACTS = frozenset({THICKNESS, LEAST, TESTED})
TEST_GOOD_FOR = "30 d"


class TypeLaw(StrEnum):
    """Which law a part type stands under."""

    NONE = ""
    AIRBAG = "airbag"
    BELT = "belt"
    HIGH_VOLTAGE = "high voltage"
    FRAME = "frame"
    WEAR = "wear"


class FrameVerdict(StrEnum):
    """What the surveys say of the frame a part was cut from."""

    FINE = ""
    AGAIN = "measure again"
    SCRAP = "scrap only"


def law_fires(offer: Offer, know: Knowledge) -> tuple[Fire, ...]:
    """The laws that speak against a part as it is, as fires of rules of their own."""
    if offer.blocked:
        return (_fire("yard law", Grade.WONT_FIT, offer.blocked, Truth.NO),)
    if offer.law == TypeLaw.WEAR:
        return _worn(offer)
    if offer.law == TypeLaw.HIGH_VOLTAGE:
        return _untested(offer, know)
    if offer.law == TypeLaw.FRAME and offer.frame_verdict == FrameVerdict.SCRAP:
        return (_fire("yard law", Grade.WONT_FIT, "the frame it was cut from is scrap only", Truth.NO),)
    return ()


def law_doubt(offer: Offer) -> tuple[Fire, ...]:
    """What law may forbid is measured first: a piece of a frame in doubt, a thickness in doubt or never taken."""
    if offer.law == TypeLaw.WEAR and _wear(offer) not in (TapeOutcome.FITS, TapeOutcome.DOES_NOT_FIT):
        return (_fire("thickness first", Grade.MEASURE, "its thickness is not sure to be over the least", Truth.DOUBT),)
    if offer.law == TypeLaw.FRAME and offer.frame_verdict == FrameVerdict.AGAIN:
        return (_fire("diagonals first", Grade.MEASURE, "the frame's first readings are in doubt", Truth.DOUBT),)
    return ()


def _worn(offer: Offer) -> tuple[Fire, ...]:
    thick, least = offer.subject.facts.get(THICKNESS), offer.subject.facts.get(LEAST)
    if thick is None or least is None or _wear(offer) is not TapeOutcome.DOES_NOT_FIT:
        return ()
    return (_fire("yard law", Grade.WONT_FIT, f"{thick.value} thick, under the least allowed {least.value}", Truth.NO),)


def _wear(offer: Offer) -> TapeOutcome | None:
    """The thickness against the least, with the doubt of both; None where one was not recorded."""
    thick, least = offer.subject.facts.get(THICKNESS), offer.subject.facts.get(LEAST)
    return reaches(thick.value, thick.u_mm, least.value, least.u_mm) if thick and least else None


def _untested(offer: Offer, know: Knowledge) -> tuple[Fire, ...]:
    tested = offer.subject.facts.get(TESTED)
    if tested is not None and fresh(tested.value, TEST_GOOD_FOR, know.today):
        return ()
    said = f"last tested {tested.value}" if tested is not None else "never tested"
    return (_fire("yard law", Grade.WONT_FIT, f"{said}, a test is good for 30 days", Truth.NO),)


def _fire(code: str, grade: Grade, why: str, truth: Truth) -> Fire:
    kind = RuleKind.LAW if grade is Grade.WONT_FIT else RuleKind.FIT
    rule = Rule(
        code,
        kind,
        grade,
        Direction.ONE_WAY,
        RuleState.OPEN,
        why,
        frozenset(),
        frozenset(),
        evidence=(EvidenceLine(Evidence.YARD_LAW),),
    )
    return Fire(rule, False, grade, (Finding(Condition(End.PART, "part type", Op.KNOWN), truth, "", why),))
