"""A frame design entered at the bench: its look, its mounts as measured, its spans, and whose frame it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from sqlalchemy import func, select

from app.book.bench.finding import design_named
from app.book.bench.readings import read_length
from app.book.bench.shapes import SurveyRows, survey_held
from app.book.bench.typed import TypedMount, TypedStation, point_rows, station_rows
from app.book.facts import fact_named, tool_named
from app.book.schema import FrameDesign, FrameFact, FramePoint, FrameStation, Model
from app.book.vehicles import find_model
from app.book.versions import VERSION
from app.book.work import Book, Who, Work
from app.errors import BadInput
from app.fit.frames.shape import Mount
from app.fit.lengths import usual_doubt_mm
from app.fit.terms import FrontSuspension, RearSuspension, Section

SIZES = {
    "rail height": "rail_height_mm",
    "rail width": "rail_width_mm",
    "wall": "wall_mm",
    "spread": "spread_mm",
    "wheelbase": "wheelbase_mm",
}
"""Lengths that stand in the design itself, with their columns."""


@dataclass(frozen=True, slots=True)
class Sized:
    """A length as typed, with its tool."""

    typed: str
    tool: str = "hook tape"


@dataclass(frozen=True, slots=True)
class DesignTyped:
    """A frame design as it was measured. `measures` are sizes and spans by name; `models` whose frame it is, by key."""

    code: str
    section: Section
    front: FrontSuspension
    rear: RearSuspension
    name: str = ""
    datum: str = ""
    measures: Mapping[str, Sized] = field(default_factory=dict)
    mounts: Sequence[TypedMount] = ()
    rail: Sequence[TypedStation] = ()
    models: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class DesignWritten:
    """What was written: the code, how many mounts, and which of them again."""

    code: str
    is_new: bool
    mounts: int
    again: tuple[str, ...]
    models: tuple[str, ...]


def write_design(book: Book, who: Who, typed: DesignTyped) -> DesignWritten:
    """Write a frame design; one that is there gets the mounts as a further reading, and the finer or later decides.

    Raises:
        BadInput: no code, a length that cannot be read, a mount without all three coordinates or there twice.
        NotFound: no such model.
    """
    code = " ".join(typed.code.split())
    if not code:
        raise BadInput("the design has no name", "Give it a short one, such as: heavy open.", place="code")
    held = survey_held(code, [SurveyRows(points=point_rows(typed.mounts))])
    if held.left_out:
        place, _, missing = held.left_out[0].rpartition(": ")
        raise BadInput(missing, "Measure it, or take the mount out.", place=place)
    with book.write(who) as work:
        found = design_named(work.session, code)
        design = found or FrameDesign(code=code, name=typed.name or code)
        _look(design, typed)
        work.session.add(design)
        work.session.flush()
        _spans(work, design, typed.measures)
        _rail(work, design, typed.rail)
        again = tuple(mount.label for mount in held.shape.mounts if _point(work, design, mount, held.carries))
        models = tuple(_give(work, design, key) for key in typed.models)
        work.number(VERSION)
        words = f"{len(held.shape.mounts)} mounts of {design.code} written{' again' if again else ''}"
        work.note("frame design", design.code, words, models=list(models))
        return DesignWritten(design.code, found is None, len(held.shape.mounts), again, models)


def _look(design: FrameDesign, typed: DesignTyped) -> None:
    design.section, design.front, design.rear = typed.section, typed.front, typed.rear
    design.name = typed.name or design.name
    design.datum = typed.datum or design.datum or ""
    for name, column in SIZES.items():
        if name in typed.measures:
            said = typed.measures[name]
            setattr(design, column, read_length(said.typed, tool_named(said.tool), name).mm)


def _spans(work: Work, design: FrameDesign, measures: Mapping[str, Sized]) -> None:
    """Lengths that are facts of their own; one that was there is measured anew."""
    for name, said in measures.items():
        if name in SIZES:
            continue
        fact = fact_named(work.session, name)
        taken = read_length(said.typed, tool_named(said.tool), name)
        row = work.session.scalar(
            select(FrameFact).where(FrameFact.frame_design_id == design.id, FrameFact.fact_id == fact.id)
        ) or FrameFact(frame_design_id=design.id, fact_id=fact.id)
        row.value, row.u_mm, row.tool = said.typed, taken.u_mm, taken.tool
        work.session.add(row)


def _rail(work: Work, design: FrameDesign, rail: Sequence[TypedStation]) -> None:
    """Places along the rail; one that was there is measured anew."""
    for said in station_rows(rail):
        row = work.session.scalar(
            select(FrameStation).where(
                FrameStation.frame_design_id == design.id,
                FrameStation.station == said.station,
                FrameStation.side == said.side,
            )
        ) or FrameStation(frame_design_id=design.id, station=said.station, side=said.side)
        row.x_mm = said.x_mm or 0.0
        for name in ("face_mm", "height_mm", "width_mm", "wall_mm", "top_mm", "bottom_mm", "section", "fitted", "tool"):
            setattr(row, name, getattr(said, name))
        row.u_mm = usual_doubt_mm(tool_named(said.tool), max(said.face_mm or 0.0, said.height_mm or 0.0))
        work.session.add(row)


def _point(work: Work, design: FrameDesign, mount: Mount, carries: Mapping[str, str]) -> bool:
    """Write a mount; True when it was there and this is a further reading."""
    before = work.session.scalar(
        select(func.max(FramePoint.reading)).where(
            FramePoint.frame_design_id == design.id, FramePoint.mount == mount.name, FramePoint.side == mount.side
        )
    )
    work.session.add(
        FramePoint(
            frame_design_id=design.id,
            mount=mount.name,
            side=mount.side,
            reading=(before or 0) + 1,
            x_mm=mount.x_mm,
            y_mm=mount.y_mm,
            z_mm=mount.z_mm,
            u_mm=max(mount.doubt.x, mount.doubt.y, mount.doubt.z),
            u_x_mm=mount.doubt.x,
            u_y_mm=mount.doubt.y,
            u_z_mm=mount.doubt.z,
            kind=mount.kind,
            size_mm=mount.size_mm,
            carries=carries.get(mount.name, "body"),
            tool=mount.tool,
        )
    )
    work.session.flush()
    return before is not None


def _give(work: Work, design: FrameDesign, key: str) -> str:
    """Say that a model stands on this frame."""
    model: Model = find_model(work.session, key)
    model.frame_design_id = design.id
    return model.key
