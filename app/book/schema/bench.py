"""What the yard knows of shapes: rails of frame designs, spans, mounting patterns, and how a part type sits."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.book.schema.base import Base, one_of
from app.fit.terms import Section, Side


class FrameStation(Base):
    """The rail of a frame design at one place along its length, in millimeters from the frame's datum lines."""

    __tablename__ = "frame_stations"
    __table_args__ = (
        UniqueConstraint("frame_design_id", "station", "side"),
        CheckConstraint("u_mm >= 0", name="doubt_not_negative"),
        {"info": {"key": ("frame_design_id", "station", "side")}},
    )

    frame_design_id: Mapped[int] = mapped_column(ForeignKey("frame_designs.id"))
    station: Mapped[str] = mapped_column(doc="the place's name: nose, at M3, spring hanger …")
    side: Mapped[Side] = mapped_column(one_of(Side), default=Side.NONE, doc="empty: the same on both sides")
    x_mm: Mapped[float] = mapped_column(doc="rearward of the datum")
    face_mm: Mapped[float | None] = mapped_column(doc="outer face of the rail, from the centerline")
    height_mm: Mapped[float | None]
    width_mm: Mapped[float | None]
    wall_mm: Mapped[float | None]
    top_mm: Mapped[float | None] = mapped_column(doc="top of the rail, up from the datum")
    bottom_mm: Mapped[float | None] = mapped_column(doc="bottom of the rail, up from the datum")
    u_mm: Mapped[float] = mapped_column(default=0.0)
    section: Mapped[Section | None] = mapped_column(one_of(Section), doc="empty: that of the frame")
    fitted: Mapped[str] = mapped_column(default="", doc="what sits on the rail there and ends a sleeve; empty: nothing")
    tool: Mapped[str] = mapped_column(default="")


class FrameFact(Base):
    """A span or other fact of a frame design: strap spacing, hitch spread, arm bolt spacing."""

    __tablename__ = "frame_facts"
    __table_args__ = (
        UniqueConstraint("frame_design_id", "fact_id"),
        {"info": {"key": ("frame_design_id", "fact_id")}},
    )

    frame_design_id: Mapped[int] = mapped_column(ForeignKey("frame_designs.id"))
    fact_id: Mapped[int] = mapped_column(ForeignKey("facts.id"))
    value: Mapped[str] = mapped_column(doc="as typed")
    u_mm: Mapped[float | None] = mapped_column(doc="measuring doubt of a length; empty: that of the tool")
    tool: Mapped[str] = mapped_column(default="")


class DesignPoint(Base):
    """A named point of a design's mounting pattern: x rearward, y outboard, z up, in millimeters from any datum."""

    __tablename__ = "design_points"
    __table_args__ = (
        UniqueConstraint("design_id", "point", "side"),
        CheckConstraint("u_mm >= 0", name="doubt_not_negative"),
        {"info": {"key": ("design_id", "point", "side")}},
    )

    design_id: Mapped[int] = mapped_column(ForeignKey("designs.id"))
    point: Mapped[str] = mapped_column(doc="the name of the mount it sits on, where that is known")
    side: Mapped[Side] = mapped_column(one_of(Side), default=Side.NONE, doc="empty: a point that has no side")
    x_mm: Mapped[float]
    y_mm: Mapped[float]
    z_mm: Mapped[float] = mapped_column(default=0.0)
    u_mm: Mapped[float] = mapped_column(default=0.0)
    kind: Mapped[str] = mapped_column(default="hole", doc="hole, slot, stud, pad or pin")
    size_mm: Mapped[float | None] = mapped_column(doc="hole, stud or pin diameter, or a slot's width")
    slot_mm: Mapped[float | None] = mapped_column(doc="how far a bolt can slide in a slot, from end to end")
    slot_degrees: Mapped[float | None] = mapped_column(doc="where a slot points: 0 rearward, 90 outboard")
    tool: Mapped[str] = mapped_column(default="")


class PartSeat(Base):
    """How a part type sits on a frame: by a group of mounts, or by a span that must agree within a limit."""

    __tablename__ = "part_seats"
    __table_args__ = (
        UniqueConstraint("part_type_id", "number"),
        CheckConstraint("mounts <> '' OR fact_id IS NOT NULL", name="mounts_or_a_span"),
        CheckConstraint("allowed_mm IS NULL OR allowed_mm >= 0", name="limit_not_negative"),
        CheckConstraint("sleeve_mm IS NULL OR sleeve_mm > 0", name="sleeve_above_zero"),
        CheckConstraint("shim_mm IS NULL OR shim_mm >= 0", name="shim_not_negative"),
        {"info": {"key": ("part_type_id", "number")}},
    )

    part_type_id: Mapped[int] = mapped_column(ForeignKey("part_types.id"))
    number: Mapped[int]
    mounts: Mapped[str] = mapped_column(default="", doc="what the frame's mounts carry: body, hitch …; empty: a span")
    fact_id: Mapped[int | None] = mapped_column(ForeignKey("facts.id"), doc="the span that must agree; empty: mounts")
    allowed_mm: Mapped[float | None] = mapped_column(
        doc="how far apart still fits; empty: half of what a mount's hole is wider than the sleeve"
    )
    sleeve_mm: Mapped[float | None] = mapped_column(doc="sleeve or bolt that goes through the mount's hole")
    shim_mm: Mapped[float | None] = mapped_column(doc="height that shims make up; empty: as sideways")
    note: Mapped[str] = mapped_column(default="")
