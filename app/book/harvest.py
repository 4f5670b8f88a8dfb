"""Taking a part off: the tag is made when the part is in the hand, never before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.book.bench.blocking import REASON
from app.book.facts import Seen, keep_part_facts
from app.book.numbers import new_tag
from app.book.parts import PartRow, part_row
from app.book.people import person_id
from app.book.schema import (
    Design,
    Donor,
    DonorState,
    Fact,
    FrameState,
    Law,
    Part,
    PartType,
    Standing,
    Whereabouts,
)
from app.book.tags import TagKind
from app.book.vehicles import find_donor, refuse_if_held
from app.book.work import Book, Who, Work
from app.errors import BadInput, NotFound, YardError
from app.fit.terms import Condition, Hazard, Side

AIRBAG_BLOCK = "no recall check on this vehicle yet"
RECALL_BLOCK = "open safety recall on the donor"
RECALL_CHECKED, OPEN_RECALL = "recall checked", "open recall"
"""The facts of a recall that was looked up for the vehicle an airbag came off."""


@dataclass(frozen=True, slots=True)
class Harvest:
    """A part as the puller says it; weight in pounds, money in cents.

    `on_vehicle` lists it for sale while it is still on, with its pull hours. `sure` names the doubtful
    fields that the puller confirmed.
    """

    vehicle: str
    part_type: str
    side: Side = Side.NONE
    position: str = ""
    condition: Condition = Condition.B
    damage: str = ""
    proven: str = ""
    pieces: int = 1
    facts: Mapping[str, Seen] = field(default_factory=dict)
    design: str = ""
    weight_lb: Decimal | None = None
    price_cents: int = 0
    core_cents: int | None = None
    on_vehicle: bool = False
    pull_hours: Decimal | None = None
    note: str = ""
    sure: frozenset[str] = frozenset()


class Doubtful(YardError):
    """Something that is rarely so; harvest again with the field confirmed if it is."""

    kind = "doubtful"

    def __init__(self, field_name: str, title: str) -> None:
        super().__init__(title, "Check it, and confirm if it is so.", place=field_name)
        self.field = field_name


@dataclass(frozen=True, slots=True)
class TypeRow:
    """A part type as the floor sees it: what to look for and what can hurt."""

    name: str
    group: str
    sided: bool
    positions: tuple[str, ...]
    hazards: tuple[Hazard, ...]
    comes_off_after: tuple[str, ...]
    look_for: tuple[LookFor, ...]
    usual_weight_lb: Decimal | None
    usual_hours: Decimal | None
    core_cents: int
    label_size: str


@dataclass(frozen=True, slots=True)
class LookFor:
    """One fact that tells a part from its look-alikes."""

    fact: str
    kind: str
    unit: str
    choices: tuple[str, ...]
    question: str


def find_type(session: Session, name: str) -> PartType:
    """The part type of a name.

    Raises:
        NotFound: no part type has that name.
    """
    plain = " ".join(name.lower().split())
    found = session.scalar(select(PartType).where(func.lower(PartType.name) == plain))
    if found is None:
        raise NotFound(f"there is no part type {name!r}", "Take one of the yard's part names.", place="part")
    return found


def part_types(book: Book) -> tuple[str, ...]:
    """The names of all part types."""
    with book.read() as session:
        return tuple(session.scalars(select(PartType.name).order_by(PartType.name)))


def part_type(book: Book, name: str) -> TypeRow:
    """What the floor needs to know before a part of a type is taken off."""
    with book.read() as session:
        row = find_type(session, name)
        facts = {fact.name: fact for fact in session.scalars(select(Fact).where(Fact.name.in_(row.look_for)))}
        look_for = tuple(
            LookFor(name, str(facts[name].kind), facts[name].unit, tuple(facts[name].choices), facts[name].question)
            for name in row.look_for
            if name in facts
        )
        return TypeRow(
            name=row.name,
            group=str(row.group),
            sided=row.sided,
            positions=tuple(row.positions),
            hazards=tuple(Hazard(hazard) for hazard in row.hazards),
            comes_off_after=tuple(row.comes_off_after),
            look_for=look_for,
            usual_weight_lb=row.usual_weight_lb,
            usual_hours=row.usual_hours,
            core_cents=row.core_cents,
            label_size=row.label_size,
        )


def harvest(book: Book, who: Who, form: Harvest) -> PartRow:
    """Make a tag for the part in hand (or list it on the vehicle).

    Raises:
        NotFound: no such vehicle or part type.
        BadInput: a side that is missing or does not belong, a fact that cannot be read.
        Refused: a hold on the vehicle blocks teardown.
        Doubtful: an unlikely weight that nobody confirmed.
    """
    with book.write(who) as work:
        donor = find_donor(work.session, form.vehicle)
        kind = find_type(work.session, form.part_type)
        refuse_if_held(work, donor, "teardown")
        _check(form, kind)
        part = _new_part(work, donor, kind, form)
        said = keep_part_facts(work, part, form.facts)
        if donor.state is DonorState.ARRIVED:
            donor.state = DonorState.TEARDOWN
        work.session.flush()
        row = part_row(work.session, part)
        work.note("harvest", part.tag, f"{row.name} off {donor.stock_number}", facts=list(said))
        return row


def _check(form: Harvest, kind: PartType) -> None:
    if kind.sided and form.side is Side.NONE:
        raise BadInput(f"a {kind.name} has a side", "Say LH or RH, as seated facing forward.", place="side")
    if not kind.sided and form.side is not Side.NONE:
        raise BadInput(f"a {kind.name} has no side", "Leave the side empty.", place="side")
    if form.pieces < 1:
        raise BadInput("less than one piece", "Count the pieces.", place="pieces")
    if form.price_cents < 0 or (form.core_cents or 0) < 0:
        raise BadInput("money below zero", "Type the price.", place="price")
    if form.weight_lb is not None:
        _check_weight(form, kind)


def _check_weight(form: Harvest, kind: PartType) -> None:
    weight = form.weight_lb
    assert weight is not None
    if weight <= 0:
        raise BadInput(f"{weight} lb cannot be", "Read the scale again.", place="weight")
    low, high = kind.weight_low_lb, kind.weight_high_lb
    outside = (low is not None and weight < low) or (high is not None and weight > high)
    if outside and "weight" not in form.sure:
        raise Doubtful("weight", f"{weight} lb: a {kind.name} is usually {low} to {high} lb")


def _new_part(work: Work, donor: Donor, kind: PartType, form: Harvest) -> Part:
    part = Part(
        tag=new_tag(work, TagKind.PART),
        donor_id=donor.id,
        part_type_id=kind.id,
        design_id=_design(work.session, form.design, kind),
        side=form.side,
        position=form.position,
        condition=form.condition,
        damage=form.damage,
        proven=form.proven,
        pieces=form.pieces,
        miles=donor.miles if kind.has_miles else None,
        price_cents=form.price_cents,
        core_cents=kind.core_cents if form.core_cents is None else form.core_cents,
        weight_lb=form.weight_lb or kind.usual_weight_lb,
        weight_how="weighed" if form.weight_lb else "estimated",
        made_at=work.now,
        made_by=work.who.code,
        note=form.note,
    )
    part.block_reason = _block_reason(donor, kind, form.facts)
    part.standing = Standing.BLOCKED if part.block_reason else Standing.FREE
    if form.on_vehicle:
        part.whereabouts = Whereabouts.ON_VEHICLE
        part.pull_hours = form.pull_hours if form.pull_hours is not None else kind.usual_hours
    else:
        part.whereabouts = Whereabouts.IN_HAND
        part.holder_id = person_id(work.session, work.who.code)
    work.session.add(part)
    work.session.flush()
    return part


def _design(session: Session, code: str, kind: PartType) -> int | None:
    if not code:
        return None
    design = session.scalar(select(Design).where(Design.code == code, Design.part_type_id == kind.id))
    if design is None:
        raise NotFound(f"no {kind.name} is of design {code!r}", "Leave the design empty if unsure.", place="design")
    return design.id


def _block_reason(donor: Donor, kind: PartType, facts: Mapping[str, Seen]) -> str:
    if kind.law is Law.AIRBAG:
        return airbag_block({name: seen.value for name, seen in facts.items()})
    if kind.law is Law.FRAME and donor.frame_state is FrameState.SCRAP_ONLY:
        return REASON
    return ""


def airbag_block(facts: Mapping[str, str]) -> str:
    """Why an airbag waits, by what is known of its vehicle's recall; empty when that was looked up and none is open.

    How old the look-up may be, and what else forbids it, is for the rules.
    """
    if not facts.get(RECALL_CHECKED):
        return AIRBAG_BLOCK
    return RECALL_BLOCK if facts.get(OPEN_RECALL, "").strip().lower() in ("yes", "y") else ""
