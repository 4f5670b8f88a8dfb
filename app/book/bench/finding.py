"""Finding a frame by what people call it: a design's code, a vehicle in the yard, or a survey file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.book.bench.shapes import DesignRows, Held, SurveyRows, design_held, survey_held
from app.book.schema import (
    Donor,
    DonorIdentity,
    Fact,
    FrameDesign,
    FrameFact,
    FramePoint,
    FrameStation,
    FrameSurvey,
    Model,
    ModelFact,
    SurveyMeasure,
    SurveyPoint,
    SurveyStation,
)
from app.book.vehicles import find_donor, say_vehicle
from app.errors import NotFound
from app.fit.terms import FactKind, Group

_Row = TypeVar("_Row", FramePoint, FrameStation)


def find_frame(session: Session, said: str) -> Held:
    """The frame of a design's code, of a vehicle's surveys, or in a survey file.

    Raises:
        NotFound: nothing is called that.
        BadInput: a file or a survey that cannot be read.
    """
    design = design_named(session, said)
    if design is not None:
        return design_rows(session, design)
    if looks_like_file(said):
        from app.book.bench.files import read_frame

        return read_frame(Path(said).expanduser())
    try:
        donor = find_donor(session, said)
    except NotFound:
        raise NotFound(
            f"no frame is called {said!r}",
            "Give a frame design's code, a vehicle's stock number, or a survey file such as survey.csv.",
            place="frame",
        ) from None
    return donor_held(session, donor)


def looks_like_file(said: str) -> bool:
    """Whether this names a file or folder rather than a frame of the book."""
    return said.lower().endswith(".csv") or "/" in said or Path(said).is_dir()


def design_named(session: Session, said: str) -> FrameDesign | None:
    """The frame design of a code, whatever its capitals."""
    return session.scalar(select(FrameDesign).where(func.lower(FrameDesign.code) == " ".join(said.split()).lower()))


def design_rows(session: Session, design: FrameDesign) -> Held:
    """A frame design's reference."""
    return designs_held(session, [design])[0]


def designs_held(session: Session, designs: Sequence[FrameDesign]) -> list[Held]:
    """The references of several frame designs, read with one statement a table."""
    ids = [design.id for design in designs]
    points = _by_design(
        session.scalars(
            select(FramePoint)
            .where(FramePoint.frame_design_id.in_(ids))
            .order_by(FramePoint.mount, FramePoint.side, FramePoint.reading)
        )
    )
    stations = _by_design(
        session.scalars(select(FrameStation).where(FrameStation.frame_design_id.in_(ids)).order_by(FrameStation.x_mm))
    )
    facts = _facts(session, ids)
    return [
        design_held(
            design.code,
            DesignRows(design, points.get(design.id, []), stations.get(design.id, []), facts.get(design.id, [])),
        )
        for design in designs
    ]


def _by_design(rows: Iterable[_Row]) -> dict[int, list[_Row]]:
    found: dict[int, list[_Row]] = {}
    for row in rows:
        found.setdefault(row.frame_design_id, []).append(row)
    return found


def _facts(session: Session, ids: Sequence[int]) -> dict[int, list[tuple[Fact, FrameFact]]]:
    """The spans of each design: its own, and those in which all the models on it agree."""
    found: dict[int, list[tuple[Fact, FrameFact]]] = {}
    own = select(Fact, FrameFact).join(Fact, Fact.id == FrameFact.fact_id).where(FrameFact.frame_design_id.in_(ids))
    for fact, row in session.execute(own):
        found.setdefault(row.frame_design_id, []).append((fact, row))
    for design_id, fact, said in _told_by_models(session, ids):
        if all(fact.id != known.id for known, _ in found.get(design_id, [])):
            found.setdefault(design_id, []).append((fact, said))
    return found


def _told_by_models(session: Session, ids: Sequence[int]) -> list[tuple[int, Fact, FrameFact]]:
    rows = session.execute(
        select(Model.frame_design_id, Fact, ModelFact)
        .join(ModelFact, ModelFact.model_id == Model.id)
        .join(Fact, Fact.id == ModelFact.fact_id)
        .where(Model.frame_design_id.in_(ids), Fact.kind == FactKind.LENGTH, Fact.group == Group.FRAME)
        .order_by(Fact.name, ModelFact.id)
    )
    told: dict[tuple[int, int], list[tuple[Fact, ModelFact]]] = {}
    for design_id, fact, row in rows:
        if design_id is not None:
            told.setdefault((design_id, fact.id), []).append((fact, row))
    return [
        (design_id, said[0][0], FrameFact(value=said[0][1].value, u_mm=said[0][1].u_mm, tool=""))
        for (design_id, _), said in told.items()
        if len({row.value for _, row in said}) == 1
    ]


def donor_held(session: Session, donor: Donor) -> Held:
    """All that was measured of a vehicle's frame, over all its surveys."""
    looks = session.scalars(
        select(FrameSurvey).where(FrameSurvey.donor_id == donor.id).order_by(FrameSurvey.number)
    ).all()
    held = survey_held(donor.stock_number, survey_rows(session, looks))
    design = frame_design_of(session, donor)
    model = session.get(Model, donor.model_id) if donor.model_id else None
    return replace(
        held,
        words=say_vehicle(donor, model),
        stock_number=donor.stock_number,
        design=design.code if design else "",
    )


def survey_rows(session: Session, looks: Sequence[FrameSurvey]) -> list[SurveyRows]:
    """The rows of each of these surveys, in their order."""
    ids = [look.id for look in looks]
    points = session.scalars(
        select(SurveyPoint).where(SurveyPoint.survey_id.in_(ids)).order_by(SurveyPoint.reading, SurveyPoint.id)
    ).all()
    stations = session.scalars(select(SurveyStation).where(SurveyStation.survey_id.in_(ids))).all()
    measures = session.scalars(select(SurveyMeasure).where(SurveyMeasure.survey_id.in_(ids))).all()
    return [
        SurveyRows(
            [row for row in points if row.survey_id == look.id],
            [row for row in stations if row.survey_id == look.id],
            [row for row in measures if row.survey_id == look.id],
            look,
        )
        for look in looks
    ]


def frame_design_of(session: Session, donor: Donor) -> FrameDesign | None:
    """The design of the frame that is under a vehicle: by a look, else by its plate; None where it is not known."""
    looked = session.scalar(
        select(DonorIdentity).where(DonorIdentity.donor_id == donor.id, DonorIdentity.group == Group.FRAME)
    )
    model_id = looked.model_id if looked is not None else donor.model_id
    model = session.get(Model, model_id) if model_id else None
    return session.get(FrameDesign, model.frame_design_id) if model and model.frame_design_id else None
