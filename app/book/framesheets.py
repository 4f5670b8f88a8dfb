"""What is known of a frame: a donor's latest survey, or a design's reference measures and mounts."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.schema import Donor, FrameDesign, FramePoint, FrameState, FrameSurvey, Model, SurveyMeasure, SurveyPoint
from app.book.vehicles import find_donor, say_model, say_vehicle
from app.book.work import Book
from app.errors import NotFound
from app.fit.lengths import in_words

PAGE = 200
ONE_BOX = re.compile(r"; (?=(?:nose|middle|tail|mounts|signs of bad repair): )")
"""Where one box's arithmetic ends and the next begins in a survey's line."""


@dataclass(frozen=True, slots=True)
class FrameRow:
    """A frame in the list to choose from; `what` is "donor" or "design"."""

    what: str
    name: str
    words: str
    state: str


@dataclass(frozen=True, slots=True)
class MeasureRow:
    """One length: its name, as it was typed or as it is said, in inches with its doubt, and the tool."""

    name: str
    typed: str
    inches: str
    doubt: str
    tool: str


@dataclass(frozen=True, slots=True)
class MountRow:
    """One mount of a design in inches: rearward of the datum, out from the centerline, up."""

    name: str
    x: str
    y: str
    z: str
    doubt: str
    kind: str


@dataclass(frozen=True, slots=True)
class FrameSheet:
    """A frame's page: what it looks like, what was measured, and what that says."""

    name: str
    words: str
    section: str
    front: str
    rear: str
    datum: str
    at: datetime | None
    by: str
    state: str
    arithmetic: tuple[str, ...]
    bad_repair: tuple[str, ...]
    measures: tuple[MeasureRow, ...]
    mounts: tuple[MountRow, ...]
    surveys: int


def frames(book: Book, *, limit: int = PAGE) -> tuple[FrameRow, ...]:
    """Frames to choose from: the yard's donors with a survey, newest first, then the designs."""
    with book.read() as session:
        surveyed = select(Donor).where(Donor.id.in_(select(FrameSurvey.donor_id)))
        donors = session.scalars(surveyed.order_by(Donor.arrived_at.desc()).limit(limit)).all()
        designs = session.scalars(select(FrameDesign).order_by(FrameDesign.code).limit(limit)).all()
        rows = [
            FrameRow("donor", donor.stock_number, _vehicle(session, donor), str(donor.frame_state)) for donor in donors
        ]
        return (*rows, *(FrameRow("design", each.code, each.name, "reference") for each in designs))


def donor_frame(book: Book, said: str) -> FrameSheet:
    """A donor's latest survey; before any, a sheet without measures.

    Raises:
        NotFound: no vehicle of that name.
    """
    with book.read() as session:
        donor = find_donor(session, said)
        rows = session.scalars(
            select(FrameSurvey).where(FrameSurvey.donor_id == donor.id).order_by(FrameSurvey.number)
        ).all()
        if not rows:
            return _unmeasured(session, donor)
        return _survey_sheet(session, donor, rows[-1], len(rows))


def design_frame(book: Book, code: str) -> FrameSheet:
    """The reference measures and mounts of a frame design.

    Raises:
        NotFound: no design of that code.
    """
    with book.read() as session:
        design = session.scalar(select(FrameDesign).where(FrameDesign.code == code))
        if design is None:
            raise NotFound(f"no frame design is called {code!r}", "Choose one from the list.", place="frame")
        points = session.scalars(
            select(FramePoint)
            .where(FramePoint.frame_design_id == design.id)
            .order_by(FramePoint.mount, FramePoint.side, FramePoint.reading)
        )
        users = session.scalars(select(Model).where(Model.frame_design_id == design.id).order_by(Model.key))
        return FrameSheet(
            name=design.code,
            words="; ".join([design.name, *(f"{say_model(m)} {m.year_from}-{m.year_to}" for m in users)]),
            section=str(design.section),
            front=str(design.front),
            rear=str(design.rear),
            datum=design.datum,
            at=None,
            by="",
            state="reference",
            arithmetic=(),
            bad_repair=(),
            measures=_reference(design),
            mounts=tuple(_mount(point) for point in points),
            surveys=0,
        )


def _vehicle(session: Session, donor: Donor) -> str:
    return say_vehicle(donor, session.get(Model, donor.model_id) if donor.model_id else None)


def _unmeasured(session: Session, donor: Donor) -> FrameSheet:
    return FrameSheet(
        name=donor.stock_number,
        words=_vehicle(session, donor),
        section="not looked at",
        front="not looked at",
        rear="not looked at",
        datum="",
        at=None,
        by="",
        state=str(FrameState.UNMEASURED),
        arithmetic=(),
        bad_repair=(),
        measures=(),
        mounts=(),
        surveys=0,
    )


def _survey_sheet(session: Session, donor: Donor, row: FrameSurvey, surveys: int) -> FrameSheet:
    measures = session.scalars(
        select(SurveyMeasure).where(SurveyMeasure.survey_id == row.id).order_by(SurveyMeasure.id)
    )
    points = session.scalars(
        select(SurveyPoint)
        .join(FrameSurvey, FrameSurvey.id == SurveyPoint.survey_id)
        .where(FrameSurvey.donor_id == donor.id)
        .order_by(SurveyPoint.side, FrameSurvey.number, SurveyPoint.id)
    )
    return FrameSheet(
        name=donor.stock_number,
        words=_vehicle(session, donor),
        section=str(row.section),
        front=str(row.front),
        rear=str(row.rear),
        datum=row.datum,
        at=row.at,
        by=row.by,
        state=str(donor.frame_state),
        arithmetic=tuple(part for part in ONE_BOX.split(row.arithmetic) if part),
        bad_repair=tuple(map(str, row.bad_repair)),
        measures=tuple(
            MeasureRow(each.name, each.typed, in_words(each.mm), f"± {in_words(each.u_mm)}", each.tool)
            for each in measures
        ),
        mounts=tuple(map(_taken, points)),
        surveys=surveys,
    )


def _reference(design: FrameDesign) -> tuple[MeasureRow, ...]:
    sizes = (
        ("rail height", design.rail_height_mm),
        ("rail width", design.rail_width_mm),
        ("wall", design.wall_mm),
        ("spread", design.spread_mm),
        ("wheelbase", design.wheelbase_mm),
    )
    return tuple(MeasureRow(name, "", in_words(mm), "", "reference") for name, mm in sizes if mm is not None)


def _taken(point: SurveyPoint) -> MountRow:
    """A mount as it was typed; every reading is shown."""
    doubts = [u for u in (point.u_x_mm, point.u_y_mm, point.u_z_mm) if u is not None]
    return MountRow(
        name=f"{point.mount} {point.side}".strip(),
        x=point.x,
        y=point.y,
        z=point.z,
        doubt=f"± {in_words(max(doubts, default=0.0))}",
        kind=point.tool,
    )


def _mount(point: FramePoint) -> MountRow:
    size = f" {in_words(point.size_mm)}" if point.size_mm is not None else ""
    return MountRow(
        name=f"{point.mount} {point.side}".strip(),
        x=in_words(point.x_mm),
        y=in_words(point.y_mm),
        z=in_words(point.z_mm),
        doubt=f"± {in_words(point.u_mm)}",
        kind=f"{point.kind}{size}",
    )
