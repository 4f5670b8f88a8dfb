"""The measured frames of the book, for answers where no rule speaks."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.bench.finding import designs_held
from app.book.bench.holding import compare_settings
from app.book.schema import Fact, FrameDesign, PartSeat, PartType
from app.book.settings import load_settings
from app.fit import computed


def measured_frames(session: Session) -> computed.MeasuredFrames:
    """Every frame design with its mounts and spans, and how part types sit; read once for each state of knowledge."""
    held = designs_held(session, session.scalars(select(FrameDesign).order_by(FrameDesign.code)).all())
    known = [each for each in held if each.shape.mounts or each.shape.readings]
    return computed.MeasuredFrames(
        shapes={each.design: each.shape for each in known},
        seats=_seats(session),
        carries={each.design: each.carries for each in known},
        settings=compare_settings(load_settings(session)),
    )


def _seats(session: Session) -> dict[str, tuple[computed.PartSeat, ...]]:
    rows = session.execute(
        select(PartType.name, PartSeat, Fact.name)
        .join(PartSeat, PartSeat.part_type_id == PartType.id)
        .outerjoin(Fact, Fact.id == PartSeat.fact_id)
        .order_by(PartType.name, PartSeat.number)
    )
    found: dict[str, tuple[computed.PartSeat, ...]] = {}
    for name, row, span in rows:
        seat = computed.PartSeat(row.mounts, span or "", row.allowed_mm, row.sleeve_mm, row.shim_mm)
        found[name] = (*found.get(name, ()), seat)
    return found
