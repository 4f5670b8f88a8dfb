"""The customer's own body carried over onto another frame of the yard: what rules say of that, and what it costs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.modelreading import read_facts, read_models
from app.book.reach.rulereading import read_rules
from app.book.schema import Donor, FrameState, Law, Model, Part, PartType, RuleType, Standing
from app.book.work import Book
from app.fit.answers import WorkLine
from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo, ModelInfo
from app.fit.plans import Option
from app.fit.rulechecks.meeting import Spoken, meetings, ways
from app.fit.rules import End, RuleKind, RuleState, Way
from app.fit.terms import Grade, Group, Hazard
from app.fit.values import plain

WHOLE_FRAME = "frame"
"""The wider name of a frame in one piece; a section of one carries no body."""


@dataclass(frozen=True, slots=True)
class Frame:
    """A frame for sale in one piece; `in_doubt` where its diagonals are to be measured again."""

    tag: str
    price_cents: int
    model: str
    in_doubt: bool
    cautions: tuple[str, ...]


def is_whole_frame(book: Book, part_types: Sequence[str]) -> bool:
    """True where one of the part types is a frame in one piece."""
    with book.read() as session:
        kinds = session.scalars(select(PartType).where(PartType.name.in_(part_types), PartType.law == Law.FRAME)).all()
        return any((kind.wider or kind.name) == WHOLE_FRAME for kind in kinds)


def carried_over(
    book: Book, models: Sequence[str], part_types: Sequence[str], off: Sequence[str]
) -> tuple[Option, ...]:
    """Each frame of these types off these models on which a rule lets a body of the customer's model sit."""
    with book.read() as session:
        frames = list(_frames(session, part_types, off))
        know, rules = _bodies(session, {*models, *(frame.model for frame in frames)})
        return tuple(_option(frame, one) for frame in frames for one in rules if _sits(one, models, frame.model, know))


def _frames(session: Session, part_types: Sequence[str], off: Sequence[str]) -> Iterator[Frame]:
    query = (
        select(Part.tag, Part.price_cents, Model.key, Donor.frame_state, PartType.hazards)
        .join(PartType, PartType.id == Part.part_type_id)
        .join(Donor, Donor.id == Part.donor_id)
        .join(Model, Model.id == Donor.model_id)
        .where(PartType.name.in_(part_types), Part.standing == Standing.FREE)
        .where(Donor.frame_state != FrameState.SCRAP_ONLY)
        .order_by(Part.price_cents, Part.tag)
    )
    for tag, price, model, state, hazards in session.execute(query.where(Model.key.in_(off)) if off else query):
        cautions = tuple(Hazard(hazard).caution for hazard in hazards)
        yield Frame(tag, price, model, state is FrameState.MEASURE_AGAIN, cautions)


def _bodies(session: Session, models: set[str]) -> tuple[Knowledge, list[Spoken]]:
    """What the yard knows of these models, and its rules about bodies that say how they go on."""
    connection = session.connection()
    types = {row.id: row.name for row in session.execute(select(PartType.id, PartType.name))}
    spoken_of = select(RuleType.rule_id).join(PartType, PartType.id == RuleType.part_type_id)
    ids = session.scalars(spoken_of.where(PartType.group == Group.BODY).distinct()).all()
    rules = read_rules(connection, ids, types).values()
    every = read_models(connection)
    every.bring(connection, models)
    known: dict[str, ModelInfo] = {plain(key): every.infos[key] for key in models if key in every.infos}
    facts = read_facts(connection)
    going = [
        one
        for rule in rules
        if rule.kind is RuleKind.FIT and rule.state is RuleState.OPEN and rule.grade.rank < Grade.SET_SHORT.rank
        for one in ways(rule)
        if one.part_models is not None and _looks_under(one, facts)
    ]
    return Knowledge(facts, tuple(rules), models=known, today=date.min), going


def _looks_under(one: Spoken, facts: Mapping[str, FactInfo]) -> bool:
    """A rule about a body that looks at the frame beneath it."""
    looked_at = (facts[each.fact] for each in one.at(End.TARGET) if each.fact in facts)
    return any(info.group is Group.FRAME for info in looked_at)


def _sits(one: Spoken, models: Sequence[str], frame_model: str, know: Knowledge) -> bool:
    """Whether a body of the customer's model can be what the rule asks, on a vehicle of the frame's model."""
    wanted = {plain(model) for model in models}
    return any(
        met.part_model is not None
        and met.target_model is not None
        and plain(met.part_model.key) in wanted
        and met.target_model.key == frame_model
        for met in meetings((one,), know)
    )


def _option(frame: Frame, one: Spoken) -> Option:
    direction = (Way.BOTH, Way.BACK if one.back else Way.FORTH)
    work = tuple(WorkLine(each.work, each.hours, each.by_whom) for each in one.rule.operations if each.way in direction)
    welded = any("weld" in f"{each.kind} {each.work}".lower() for each in one.rule.operations)
    return Option(
        tags=((frame.tag, frame.price_cents),),
        grade=Grade.MEASURE if frame.in_doubt else one.rule.grade,
        work=work,
        consequences=tuple(each.words.replace("{n}", each.amount) for each in one.rule.consequences),
        unknowns=("the frame's diagonals: measure them again first",) if frame.in_doubt else (),
        cautions=tuple(dict.fromkeys((*frame.cautions, *((Hazard.WELDING.caution,) if welded else ())))),
        say=f"Your own body goes on that frame: {one.rule.why} ({one.rule.code}).",
    )
