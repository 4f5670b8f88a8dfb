"""Surveying a donor's frame: what it is, whether it is straight, and whose frame it really is."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from sqlalchemy import func, select, update

from app.book.facts import tool_named
from app.book.schema import (
    Donor,
    DonorIdentity,
    FrameDesign,
    FrameState,
    FrameSurvey,
    Law,
    Model,
    Part,
    PartType,
    Role,
    Standing,
    SurveyMeasure,
)
from app.book.times import local_day
from app.book.vehicles import find_donor, say_model
from app.book.work import Book, Who, Work
from app.errors import BadInput
from app.fit.diagonals import DiagonalOutcome, check_diagonals, read_diagonal
from app.fit.lengths import MM_PER_INCH, LengthError, Measured, measured
from app.fit.terms import FrontSuspension, Group, RearSuspension, Section

DIAGONAL = "diagonal"
CAUTION = "Structural work on a frame is for a certified welder, under local rules."
_STATES = {
    DiagonalOutcome.STRAIGHT: FrameState.STRAIGHT,
    DiagonalOutcome.BENT: FrameState.SCRAP_ONLY,
    DiagonalOutcome.MEASURE_AGAIN: FrameState.MEASURE_AGAIN,
}
_WORST_FIRST = (FrameState.SCRAP_ONLY, FrameState.MEASURE_AGAIN, FrameState.STRAIGHT)


@dataclass(frozen=True, slots=True)
class Measure:
    """One length as typed, with the tool it was taken with."""

    typed: str
    tool: str = "hook tape"


@dataclass(frozen=True, slots=True)
class Survey:
    """A look at a frame. `diagonals` are pairs by box ("nose", "middle", "tail"); `measures` are by name."""

    vehicle: str
    section: Section
    front: FrontSuspension
    rear: RearSuspension
    diagonals: Mapping[str, tuple[Measure, Measure]] = field(default_factory=dict)
    measures: Mapping[str, Measure] = field(default_factory=dict)
    datum: str = ""
    bad_repair: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class Surveyed:
    """What the survey says: the verdict with its arithmetic, and whose frame it is."""

    stock_number: str
    state: FrameState
    arithmetic: tuple[str, ...]
    identity: str
    agrees: bool | None
    blocked: tuple[str, ...]


def survey_frame(book: Book, who: Who, survey: Survey) -> Surveyed:
    """Write a frame survey; a bent or badly repaired frame becomes scrap only.

    Only the owner lifts "scrap only", and only with new readings that say straight.

    Raises:
        NotFound: no such vehicle.
        BadInput: a length that cannot be read, or one diagonal of a pair missing.
    """
    with book.write(who) as work:
        donor = find_donor(work.session, survey.vehicle)
        limit = float(work.settings.frame_limit_in) * MM_PER_INCH
        state, arithmetic = _verdict(survey, float(limit))
        row = FrameSurvey(
            donor_id=donor.id,
            number=_next_number(work, donor),
            at=work.now,
            by=work.who.code,
            section=survey.section,
            front=survey.front,
            rear=survey.rear,
            datum=survey.datum,
            bad_repair=list(survey.bad_repair),
            verdict=state,
            arithmetic="; ".join(arithmetic),
        )
        work.session.add(row)
        work.session.flush()
        _keep_measures(work, row, survey)
        state = _decide(work, donor, state)
        identity, agrees = _whose_frame(work, donor, survey)
        blocked = _block_frame_parts(work, donor) if state is FrameState.SCRAP_ONLY else ()
        work.note(
            "frame survey",
            donor.stock_number,
            f"frame {state}: {'; '.join(arithmetic) or 'looked at, no diagonals'}",
            identity=identity,
            blocked=list(blocked),
        )
        return Surveyed(donor.stock_number, state, arithmetic, identity, agrees, blocked)


def _verdict(survey: Survey, limit_mm: float) -> tuple[FrameState, tuple[str, ...]]:
    states, words = [], []
    for box, (one, other) in survey.diagonals.items():
        verdict = check_diagonals(_diagonal(box, one), _diagonal(box, other), limit_mm)
        states.append(_STATES[verdict.outcome])
        words.append(f"{box}: {verdict.words}")
    if survey.bad_repair:
        states.append(FrameState.SCRAP_ONLY)
        words.append(f"signs of bad repair: {', '.join(survey.bad_repair)}")
    if survey.section is Section.UNIBODY and not states:
        return FrameState.NO_FRAME, ("unibody, no separate frame",)
    found = next((state for state in _WORST_FIRST if state in states), FrameState.UNMEASURED)
    return found, tuple(words)


def _diagonal(box: str, measure: Measure) -> Measured:
    if not measure.typed.strip():
        raise BadInput("one diagonal of the pair is missing", "Measure both ways across.", place=f"{DIAGONAL} {box}")
    return _at(f"{DIAGONAL} {box}", lambda: read_diagonal(measure.typed, tool_named(measure.tool)))


def _at(place: str, read: Callable[[], Measured]) -> Measured:
    """Read a length; one that cannot be read names its place in the survey."""
    try:
        return read()
    except LengthError as error:
        error.place = place
        raise


def _measure(name: str, measure: Measure) -> Measured:
    return _at(name, lambda: measured(measure.typed, tool_named(measure.tool)))


def _next_number(work: Work, donor: Donor) -> int:
    used = work.session.scalar(select(func.max(FrameSurvey.number)).where(FrameSurvey.donor_id == donor.id))
    return (used or 0) + 1


def _keep_measures(work: Work, row: FrameSurvey, survey: Survey) -> None:
    taken = {name: _measure(name, each) for name, each in survey.measures.items()}
    for box, pair in survey.diagonals.items():
        for number, measure in enumerate(pair, start=1):
            taken[f"{DIAGONAL} {box} {number}"] = _diagonal(box, measure)
    for name, value in taken.items():
        work.session.add(
            SurveyMeasure(
                survey_id=row.id,
                name=name,
                typed=value.length.typed,
                mm=value.length.mm,
                u_mm=value.u_mm,
                tool=str(value.tool),
            )
        )


def _decide(work: Work, donor: Donor, found: FrameState) -> FrameState:
    """The state after this survey: a scrap verdict stays unless the owner brings straight readings."""
    lifts = found is FrameState.STRAIGHT and work.who.role is Role.OWNER
    if donor.frame_state is FrameState.SCRAP_ONLY and not lifts:
        return FrameState.SCRAP_ONLY
    if found is FrameState.UNMEASURED:
        return donor.frame_state
    donor.frame_state = found
    donor.frame_reason = f"survey of {local_day(work.now)}"
    return found


def _whose_frame(work: Work, donor: Donor, survey: Survey) -> tuple[str, bool | None]:
    """Which model's frame this is; a frame that is not the plate's becomes the frame identity."""
    plate = work.session.get(Model, donor.model_id) if donor.model_id else None
    fitting = [model for model in _models_on(work, survey) if plate is None or model.family == plate.family]
    if plate is None:
        return (say_model(fitting[0]) if len(fitting) == 1 else "not known"), None
    if any(model.id == plate.id for model in fitting):
        return f"{say_model(plate)}, agrees with the plate", True
    of_the_year = [model for model in fitting if donor.year and model.year_from <= donor.year <= model.year_to]
    kin = [model for model in of_the_year if model.body_style == plate.body_style] or of_the_year
    other = kin[0] if len(kin) == 1 else None
    _set_identity(work, donor, other)
    name = say_model(other) if other else "another frame, not yet known which"
    return f"{name}, differs from the plate ({say_model(plate)})", False


def _models_on(work: Work, survey: Survey) -> list[Model]:
    designs = select(FrameDesign.id).where(
        FrameDesign.section == survey.section, FrameDesign.front == survey.front, FrameDesign.rear == survey.rear
    )
    return list(work.session.scalars(select(Model).where(Model.frame_design_id.in_(designs)).order_by(Model.key)))


def _set_identity(work: Work, donor: Donor, model: Model | None) -> None:
    row = work.session.scalar(
        select(DonorIdentity).where(DonorIdentity.donor_id == donor.id, DonorIdentity.group == Group.FRAME)
    ) or DonorIdentity(donor_id=donor.id, group=Group.FRAME)
    row.model_id = model.id if model else None
    row.known_by = "look"
    row.note = "the frame under it is not the plate's: body swap, or worse; ask and write both"
    work.session.add(row)


def _block_frame_parts(work: Work, donor: Donor) -> tuple[str, ...]:
    kinds = select(PartType.id).where(PartType.law == Law.FRAME)
    tags = work.session.scalars(
        update(Part)
        .where(Part.donor_id == donor.id, Part.part_type_id.in_(kinds), Part.standing == Standing.FREE)
        .values(standing=Standing.BLOCKED, block_reason="frame is scrap only")
        .returning(Part.tag)
    )
    return tuple(sorted(tags))
