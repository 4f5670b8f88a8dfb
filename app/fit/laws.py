"""What yard law says of a part by its type, whatever the rules say: worn out, untested, off a scrap frame."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from app.fit.ages import fresh
from app.fit.conditions import Finding, Truth
from app.fit.knowledge import Knowledge
from app.fit.known import Known, Offer
from app.fit.resolve import Fire
from app.fit.rules import Condition, Direction, End, Evidence, EvidenceLine, Op, Rule, RuleKind, RuleState
from app.fit.tape import TapeOutcome
from app.fit.terms import FactKind, Grade
from app.fit.values import reaches

THICKNESS, LEAST, TESTED = "rotor thickness", "least thickness", "tested on"
DIAGONAL = "diagonal"
TEST_GOOD_FOR = "30 d"
_THICK_WORDS = frozenset({"thickness", "thick"})
_LEAST_WORDS = frozenset({"least", "minimum", "min", "smallest", "discard"})
_TEST_WORDS = frozenset({"tested", "test"})
_FIGURES = (FactKind.LENGTH, FactKind.NUMBER)
_DAYS = (FactKind.DATE, FactKind.MONTH)


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
    if offer.blocked and offer.law:
        # What stands in quarantine for another reason is not offered, and no law speaks against it.
        return (_fire("yard law", Grade.WONT_FIT, offer.blocked, Truth.NO),)
    if offer.law == TypeLaw.WEAR:
        return _worn(offer, know)
    if offer.law == TypeLaw.HIGH_VOLTAGE:
        return _untested(offer, know)
    if offer.law == TypeLaw.FRAME and offer.frame_verdict == FrameVerdict.SCRAP:
        return (_fire("yard law", Grade.WONT_FIT, "the frame it was cut from is scrap only", Truth.NO),)
    return ()


def law_doubt(offer: Offer, know: Knowledge) -> tuple[Fire, ...]:
    """What law may forbid is measured first: a piece of a frame in doubt, a thickness in doubt or never taken."""
    if offer.law == TypeLaw.WEAR and _wear(offer, know) not in (TapeOutcome.FITS, TapeOutcome.DOES_NOT_FIT):
        return (_fire("thickness first", Grade.MEASURE, "its thickness is not sure to be over the least", Truth.DOUBT),)
    if offer.law == TypeLaw.FRAME and offer.frame_verdict == FrameVerdict.AGAIN:
        return (_fire("diagonals first", Grade.MEASURE, "the frame's first readings are in doubt", Truth.DOUBT),)
    return ()


def tells_condition(offer: Offer, name: str) -> bool:
    """Whether a figure says how good the part is, which is nothing that the vehicle's is held against.

    How far it is worn, and the diagonals of what was cut from a frame.
    """
    if offer.law == TypeLaw.WEAR:
        return _says(name, _THICK_WORDS) or _says(name, _LEAST_WORDS)
    return offer.law == TypeLaw.FRAME and DIAGONAL in name.lower().split()


def looked_at(offer: Offer) -> tuple[tuple[str, Known], ...]:
    """What was seen on a part that its law may look at: all of it where its type is under a law of figures or tests."""
    if offer.law not in (TypeLaw.WEAR, TypeLaw.HIGH_VOLTAGE):
        return ()
    return tuple(sorted(offer.subject.facts.items(), key=lambda each: each[0]))


def _seen(offer: Offer, know: Knowledge, usual: str, kinds: Sequence[FactKind], words: frozenset[str]) -> Known | None:
    """What was seen on a part under a fact's usual name, else under the only name that says the same in these words."""
    if usual in offer.subject.facts:
        return offer.subject.facts[usual]
    found = [
        known
        for name, known in offer.subject.facts.items()
        if name in know.facts and know.facts[name].kind in kinds and _says(name, words)
    ]
    return found[0] if len(found) == 1 else None


def _says(name: str, words: frozenset[str]) -> bool:
    """Whether a fact's name has one of some words; a least thickness is a least and no thickness."""
    said = set(name.lower().split())
    return bool(said & words) and (words is _LEAST_WORDS or not said & _LEAST_WORDS)


def _thickness(offer: Offer, know: Knowledge) -> tuple[Known, Known] | None:
    """The thickness of a part and the least it may have; None where one was not recorded."""
    thick = _seen(offer, know, THICKNESS, _FIGURES, _THICK_WORDS)
    least = _seen(offer, know, LEAST, _FIGURES, _LEAST_WORDS)
    return (thick, least) if thick is not None and least is not None else None


def _worn(offer: Offer, know: Knowledge) -> tuple[Fire, ...]:
    figures = _thickness(offer, know)
    if figures is None or _wear(offer, know) is not TapeOutcome.DOES_NOT_FIT:
        return ()
    said = f"{figures[0].value} thick, under the least allowed {figures[1].value}"
    return (_fire("yard law", Grade.WONT_FIT, said, Truth.NO),)


def _wear(offer: Offer, know: Knowledge) -> TapeOutcome | None:
    """The thickness against the least, with the doubt of both; None where one was not recorded."""
    figures = _thickness(offer, know)
    return reaches(figures[0].value, figures[0].u_mm, figures[1].value, figures[1].u_mm) if figures else None


def _untested(offer: Offer, know: Knowledge) -> tuple[Fire, ...]:
    tested = _seen(offer, know, TESTED, _DAYS, _TEST_WORDS)
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
