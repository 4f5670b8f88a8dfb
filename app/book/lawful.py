"""What yard law forbids to sell, quote or hold, with its reason and what would mend it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.asking import knowledge
from app.book.bearing import bearing
from app.book.behind import Behind
from app.book.knowing import knowing
from app.book.offers import offer_tagged
from app.book.schema import Part, Rule
from app.book.times import local_day
from app.book.work import Work
from app.errors import Refused
from app.fit.conditions import Truth
from app.fit.decide import Decision, Judge
from app.fit.known import Offer, Target
from app.fit.laws import TypeLaw
from app.fit.rules import Op, RuleKind
from app.fit.saying.reasons import fires, reasons
from app.fit.terms import Grade

YARD_LAW = "yard law"
"""The code of what the law says by part type, for which there is no rule in the book."""
_MENDS: Mapping[str, str] = {
    TypeLaw.HIGH_VOLTAGE: "Have it tested, and write the date of the test down.",
    TypeLaw.WEAR: "Measure it again; what is under its least goes to scrap.",
    TypeLaw.FRAME: "Only new readings of the frame, by the owner, change that.",
}


@dataclass(frozen=True, slots=True)
class Ban:
    """Why law forbids a part, and what would mend it."""

    tag: str
    why: str
    mend: str


def refuse_banned(work: Work, parts: Sequence[Part], action: str) -> None:
    """Let nothing through that law forbids for whatever vehicle.

    Raises:
        Refused: a part is worn out, untested, off a scrap frame, or a rule of law speaks against it.
    """
    work.session.flush()
    # In a session of its own, for what the yard knows is read without what this one has begun.
    with Session(work.session.connection()) as reading:
        bans = [ban for part in parts if (ban := ban_on(reading, part, local_day(work.now))) is not None]
    if bans:
        raise Refused(
            "; ".join(f"{ban.tag} must not be sold: {ban.why}" for ban in bans),
            " ".join(dict.fromkeys(ban.mend for ban in bans)),
            action=action,
            subject=", ".join(ban.tag for ban in bans),
        )


def refuse_by_law(work: Work, part: Part, behind: Behind | None, action: str) -> None:
    """Let nothing through that won't fit the vehicle stated because of the law; `behind` is what that stood on.

    Raises:
        Refused: law forbids this part on that vehicle.
    """
    if is_law(work.session, behind):
        why = f"law forbids it on that vehicle: {', '.join(behind.rules if behind else ())}"
        tag = part.tag
        raise Refused(f"{tag} must not be sold: {why}", "Offer another.", action=action, subject=tag)


def is_law(session: Session, behind: Behind | None) -> bool:
    """Whether what an answer stands on is law, which no acceptance of a customer sets aside."""
    codes = behind.rules if behind is not None else ()
    if YARD_LAW in codes:
        return True
    law = select(Rule.id).where(Rule.code.in_(codes), Rule.kind == RuleKind.LAW).limit(1)
    return bool(codes) and session.scalar(law) is not None


def ban_on(session: Session, part: Part, day: date) -> Ban | None:
    """What law says of a part alone on a day; what it says only for some vehicles is not asked here.

    The session must have nothing begun: what the yard knows may be read in it anew.
    """
    known, connection = knowing(session), session.connection()
    name = known.type_names[part.part_type_id]
    # Without models these are the few rules that are heard for every vehicle.
    bears = bearing(connection, known, [name], ())
    laws = tuple(rule for rule in bears.rules if rule.kind is RuleKind.LAW and name in rule.offered_types)
    if not laws and name not in known.under_law:
        return None
    offer = offer_tagged(connection, known, part.tag, day)
    know = replace(knowledge(session, known, bears, day), rules=laws, uses=())
    decision = Judge(Target(frozenset({name}), {}), know).decide(offer)
    if decision is None or decision.grade is not Grade.WONT_FIT:
        return None
    return Ban(part.tag, "; ".join(reasons(decision)), _mend(offer, decision))


def _mend(offer: Offer, decision: Decision) -> str:
    """What would make law let it go: a look or test that is fresh again, or what its type's law asks for."""
    spoken = [each for fire in fires(decision.main) for each in fire.findings if each.truth is Truth.YES]
    fresh = [each.condition.fact for each in spoken if each.condition.op is Op.FRESH]
    if fresh:
        return f"Check it again, and write the day down: {', '.join(dict.fromkeys(fresh))}."
    if spoken:
        facts = ", ".join(dict.fromkeys(each.condition.fact for each in spoken))
        return f"Only another look at it changes that: {facts}."
    return _MENDS.get(offer.law, "Offer another.")
