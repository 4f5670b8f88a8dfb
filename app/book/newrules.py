"""Writing a rule of the yard's own: from a chain that was sold, or for a pair that was never compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.ruling import find_rule
from app.book.schema import Donor, DonorIdentity, Model, Part, PartType, Rule, RuleCondition, RuleType
from app.book.work import Work
from app.errors import BadInput, Refused
from app.fit.rules import Direction, End, Op, RuleKind
from app.fit.terms import Grade

BACK = " back"
_TURNED = {End.PART: End.TARGET, End.TARGET: End.PART, End.BETWEEN: End.BETWEEN}


@dataclass(frozen=True, slots=True)
class Pairing:
    """A kind of part off one model for other models, as it was sold."""

    part_type: str
    part_model: str
    models: tuple[str, ...]

    @property
    def words(self) -> str:
        """The pair as it is said."""
        return f"{self.part_type} of {self.part_model} on {' '.join(self.models)}"


def pairing_of(session: Session, part: Part, models: Sequence[str]) -> Pairing:
    """What was paired when a part was sold for a vehicle.

    Raises:
        BadInput: the part's own vehicle or the customer's is of no known model.
    """
    kind = session.get_one(PartType, part.part_type_id)
    own = _model_of(session, part, kind)
    if own is None or not models:
        missing = f"the model {part.tag} came off" if own is None else "which vehicle it was for"
        raise BadInput(
            f"nobody knows {missing}", "Say the vehicle in words, or dispute a rule by its code.", place="vehicle"
        )
    return Pairing(kind.name, own.key, tuple(models))


def _model_of(session: Session, part: Part, kind: PartType) -> Model | None:
    """The model a part came off, as its group's identity has it."""
    swapped = select(DonorIdentity.model_id).where(
        DonorIdentity.donor_id == part.donor_id, DonorIdentity.group == kind.group
    )
    by_plate = select(Donor.model_id).where(Donor.id == part.donor_id)
    found = session.scalar(swapped) or session.scalar(by_plate)
    return session.get(Model, found) if found else None


def write_pairing(
    work: Work,
    pairing: Pairing,
    grade: Grade,
    why: str,
    chain: Sequence[str] = (),
    *,
    sided: bool = False,
    doubted: bool = False,
) -> Rule:
    """Write a one-way rule for a pair; with a chain, all that its first and last link ask of the ends goes into it.

    A chain that is `doubted` is doubted for more than the very two, sooner than for less.

    Raises:
        Refused: a link holds more than the sides of its ends against each other, so a chain that is not doubted is good
            for some values and not for others.
    """
    made = Rule(
        code=_next_code(work),
        kind=RuleKind.FIT,
        grade=grade,
        direction=Direction.ONE_WAY,
        chains=grade is Grade.BOLTS_UP and not chain,
        why=why,
    )
    work.session.add(made)
    work.session.flush()
    type_id = work.session.scalars(select(PartType.id).where(PartType.name == pairing.part_type)).one()
    for end in (End.PART, End.TARGET):
        work.session.add(RuleType(rule_id=made.id, end=end, part_type_id=type_id))
    asked = [*_models(pairing), *_asked_by(work, chain, doubted)]
    if sided and not any(each.fact == "side" for each in asked):
        asked.append(RuleCondition(end=End.BETWEEN, fact="side", op=Op.SAME))
    for number, condition in enumerate(asked, start=1):
        condition.rule_id, condition.number = made.id, number
        work.session.add(condition)
    work.session.flush()
    return made


def _next_code(work: Work) -> str:
    """The next code of the yard's own rules: Y1, Y2 …"""
    while True:
        code = f"Y{work.number('yard rules')}"
        if work.session.scalar(select(Rule.id).where(Rule.code == code)) is None:
            return code


def _models(pairing: Pairing) -> list[RuleCondition]:
    return [
        RuleCondition(end=End.PART, fact="model", op=Op.ANY_OF, values=[pairing.part_model]),
        RuleCondition(end=End.TARGET, fact="model", op=Op.ANY_OF, values=list(pairing.models)),
    ]


def _asked_by(work: Work, chain: Sequence[str], doubted: bool) -> list[RuleCondition]:
    """What the first link asks of the part, the last of the target, and either of the sides, but for models."""
    if not chain:
        return []
    first, last = (_at_end(work, chain[at], end, doubted) for at, end in ((0, End.PART), (-1, End.TARGET)))
    found: dict[tuple[object, ...], RuleCondition] = {}
    for at, each in [*((0, one) for one in first), *((1, one) for one in last)]:
        if each.fact == "model":
            continue
        # Alternatives of two links stay apart.
        each.alt = each.alt * 2 + at if each.alt else 0
        found.setdefault(
            (each.end, each.fact, each.op, str(each.values), each.other_fact, each.allowed, each.alt), each
        )
    return list(found.values())


def _at_end(work: Work, link: str, end: End, doubted: bool) -> list[RuleCondition]:
    """What a link asks of the end where a chain has it, and of the sides.

    Its other end is no end of the chain, so what it holds against that one cannot go into a rule. Where it may be met
    there instead, a doubt leaves out what would do here, and a proof does not.
    """
    rows = _link(work, link)
    here = [each for each in rows if each.end is end or (each.end is End.BETWEEN and each.fact == "side")]
    if doubted:
        elsewhere = {each.alt for each in rows if each not in here}
        return [each for each in here if not each.alt or each.alt not in elsewhere]
    met_here = {each.alt for each in here if each.alt}
    for each in rows:
        if each.end is End.BETWEEN and each not in here and each.alt not in met_here:
            raise Refused(
                f"{link}, a link of it, holds the {each.fact} of its two ends against each other",
                "Load a rule that says for which it is good, or leave it a chain.",
                action="confirm chain",
                subject=link,
            )
    return here


def _link(work: Work, link: str) -> list[RuleCondition]:
    """The conditions of a link in the direction it ran."""
    turned = link.endswith(BACK)
    rule = find_rule(work, link.removesuffix(BACK))
    rows = work.session.scalars(
        select(RuleCondition).where(RuleCondition.rule_id == rule.id).order_by(RuleCondition.number)
    )
    return [
        RuleCondition(
            end=_TURNED[row.end] if turned else row.end,
            fact=row.fact,
            op=row.op,
            values=list(row.values),
            other_fact=row.other_fact,
            allowed=row.allowed,
            alt=row.alt,
        )
        for row in rows
    ]
