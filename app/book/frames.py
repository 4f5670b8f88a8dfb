"""Surveying a donor's frame: what it is, whether it is straight, and whose frame it really is."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from sqlalchemy import func, select

from app.book.bench.blocking import Blocked, block_frame_parts, give_back_frame_parts
from app.book.bench.finding import design_named, frame_design_of
from app.book.bench.holding import judge_damage
from app.book.bench.shapes import SurveyRows, survey_held
from app.book.bench.typed import TypedMount, TypedStation, point_rows, station_rows
from app.book.facts import tool_named
from app.book.schema import (
    Donor,
    DonorIdentity,
    FrameDesign,
    FrameState,
    FrameSurvey,
    Model,
    Role,
    SurveyMeasure,
)
from app.book.times import local_day
from app.book.vehicles import find_donor, say_model
from app.book.work import Book, Who, Work
from app.errors import BadInput, NotFound
from app.fit.diagonals import DiagonalOutcome, check_diagonals, read_diagonal
from app.fit.frames.damage import Damage, DamageVerdict
from app.fit.frames.shape import FrameError
from app.fit.lengths import MM_PER_INCH, LengthError, Measured, measured
from app.fit.terms import FrontSuspension, Group, RearSuspension, Section

DIAGONAL = "diagonal"
MOUNTS = "mounts"
CAUTION = "Structural work on a frame is for a certified welder, under local rules."
_STATES = {
    DiagonalOutcome.STRAIGHT: FrameState.STRAIGHT,
    DiagonalOutcome.BENT: FrameState.SCRAP_ONLY,
    DiagonalOutcome.MEASURE_AGAIN: FrameState.MEASURE_AGAIN,
}
_BENT = {
    DamageVerdict.STRAIGHT: FrameState.STRAIGHT,
    DamageVerdict.BENT: FrameState.SCRAP_ONLY,
    DamageVerdict.MEASURE_AGAIN: FrameState.MEASURE_AGAIN,
}
_WORST_FIRST = (FrameState.SCRAP_ONLY, FrameState.MEASURE_AGAIN, FrameState.STRAIGHT)


@dataclass(frozen=True, slots=True)
class Measure:
    """One length as typed, with the tool it was taken with."""

    typed: str
    tool: str = "hook tape"


@dataclass(frozen=True, slots=True)
class Survey:
    """A look at a frame. `diagonals` are pairs by box ("nose", "middle", "tail"); `measures` are by name.

    `mounts` and `rail` are as typed; `design` is the frame design to hold them against, empty: that of the vehicle.
    """

    vehicle: str
    section: Section
    front: FrontSuspension
    rear: RearSuspension
    diagonals: Mapping[str, tuple[Measure, Measure]] = field(default_factory=dict)
    measures: Mapping[str, Measure] = field(default_factory=dict)
    datum: str = ""
    bad_repair: Sequence[str] = ()
    mounts: Sequence[TypedMount] = ()
    rail: Sequence[TypedStation] = ()
    design: str = ""


@dataclass(frozen=True, slots=True)
class Surveyed:
    """What the survey says: the verdict with its arithmetic, whose frame it is, what went off sale, whom to tell."""

    stock_number: str
    state: FrameState
    arithmetic: tuple[str, ...]
    identity: str
    agrees: bool | None
    blocked: tuple[str, ...]
    given_back: tuple[str, ...] = ()
    to_tell: tuple[str, ...] = ()


def survey_frame(book: Book, who: Who, survey: Survey) -> Surveyed:
    """Write a frame survey; a bent or badly repaired frame becomes scrap only.

    Bent is found from diagonals and from the mounts against the frame's design. Only the owner lifts "scrap only",
    and only with new readings that say straight.

    Raises:
        NotFound: no such vehicle or frame design.
        BadInput: a length that cannot be read, one diagonal of a pair missing, a mount measured twice.
    """
    survey_held(survey.vehicle, [SurveyRows(points=point_rows(survey.mounts))])
    with book.write(who) as work:
        donor = find_donor(work.session, survey.vehicle)
        row = _written(work, donor, survey)
        identity, agrees = _whose_frame(work, donor, survey)
        state, arithmetic = _judged(work, donor, survey, row)
        was = donor.frame_state
        state = _decide(work, donor, state)
        blocked = block_frame_parts(work, donor) if state is FrameState.SCRAP_ONLY else Blocked()
        lifted = was is FrameState.SCRAP_ONLY and state is not was
        given_back = give_back_frame_parts(work, donor) if lifted else ()
        work.note(
            "frame survey",
            donor.stock_number,
            f"frame {state}: {'; '.join(arithmetic) or 'looked at, nothing measured across'}",
            identity=identity,
            blocked=list(blocked.tags),
            to_tell=list(blocked.to_tell),
            given_back=list(given_back),
        )
        return Surveyed(
            donor.stock_number, state, arithmetic, identity, agrees, blocked.tags, given_back, blocked.to_tell
        )


def _written(work: Work, donor: Donor, survey: Survey) -> FrameSurvey:
    """The survey's row with all its measures; the verdict is not known yet."""
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
        verdict=FrameState.UNMEASURED,
    )
    work.session.add(row)
    work.session.flush()
    _keep_measures(work, row, survey)
    for point in point_rows(survey.mounts):
        point.survey_id = row.id
        work.session.add(point)
    for station in station_rows(survey.rail):
        station.survey_id = row.id
        work.session.add(station)
    return row


def _judged(work: Work, donor: Donor, survey: Survey, row: FrameSurvey) -> tuple[FrameState, tuple[str, ...]]:
    """The verdict of this survey's own readings, written into its row."""
    state, arithmetic = _verdict(survey, float(work.settings.frame_limit_in) * float(MM_PER_INCH))
    if survey.mounts or any(each.bottom.strip() for each in survey.rail):
        by_mounts, words = _by_mounts(work, donor, survey)
        # A tape is too coarse to doubt what diagonals cleared, and fine enough to condemn.
        unsure = by_mounts is FrameState.MEASURE_AGAIN and state is FrameState.STRAIGHT
        state = state if unsure else next((each for each in _WORST_FIRST if each in (state, by_mounts)), state)
        arithmetic = (*arithmetic, *words)
    row.verdict, row.arithmetic = state, "; ".join(arithmetic)
    work.session.flush()
    return state, arithmetic


def _by_mounts(work: Work, donor: Donor, survey: Survey) -> tuple[FrameState, tuple[str, ...]]:
    """What the mounts say: bent or straight against the design, or that they do not tell."""
    rows = SurveyRows(points=point_rows(survey.mounts), stations=station_rows(survey.rail))
    held = survey_held(donor.stock_number, [rows])
    design = frame_design_of(work.session, donor)
    if survey.design and design_named(work.session, survey.design) is None:
        raise NotFound(f"no frame design is called {survey.design!r}", "Leave it empty if unsure.", place="design")
    try:
        code = survey.design or (design.code if design else None)
        _, found = judge_damage(work.session, held, code)
    except FrameError as error:
        return FrameState.UNMEASURED, (f"{MOUNTS}: {error.in_one_line().rstrip('.')}",)
    return _BENT.get(found.verdict, FrameState.UNMEASURED), _say_mounts(found)


def _say_mounts(found: Damage) -> tuple[str, ...]:
    told = [each.words for each in found.conditions if each.verdict is found.verdict and each.number_mm is not None]
    return (f"{MOUNTS}: {found.verdict}{', ' if told else ''}{', '.join(told)}",)


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
