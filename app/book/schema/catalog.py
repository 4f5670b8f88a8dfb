"""What the yard knows before any vehicle comes in: models, part types, facts, designs and spoken words."""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.book.schema.base import Base, cents, one_of
from app.fit.terms import FactKind, FrontSuspension, Group, RearSuspension, Section, Side


class FrameDesign(Base):
    """The reference pattern of a frame: section, rail size in millimeters, suspension."""

    __tablename__ = "frame_designs"
    __table_args__ = (UniqueConstraint("code"), {"info": {"key": ("code",)}})

    code: Mapped[str]
    name: Mapped[str]
    section: Mapped[Section] = mapped_column(one_of(Section))
    front: Mapped[FrontSuspension] = mapped_column(one_of(FrontSuspension))
    rear: Mapped[RearSuspension] = mapped_column(one_of(RearSuspension))
    rail_height_mm: Mapped[float | None]
    rail_width_mm: Mapped[float | None]
    wall_mm: Mapped[float | None]
    spread_mm: Mapped[float | None]
    wheelbase_mm: Mapped[float | None]
    datum: Mapped[str] = mapped_column(default="")
    note: Mapped[str] = mapped_column(default="")


class FramePoint(Base):
    """A named mount of a frame design: x rearward, y from the centerline, z up, in millimeters.

    A mount measured again has a second reading; the later or finer decides, both are kept.
    """

    __tablename__ = "frame_points"
    __table_args__ = (
        UniqueConstraint("frame_design_id", "mount", "side", "reading"),
        CheckConstraint("u_mm >= 0", name="doubt_not_negative"),
        CheckConstraint("reading > 0", name="reading_counts_from_one"),
        {"info": {"key": ("frame_design_id", "mount", "side", "reading")}},
    )

    frame_design_id: Mapped[int] = mapped_column(ForeignKey("frame_designs.id"))
    mount: Mapped[str]
    side: Mapped[Side] = mapped_column(one_of(Side), default=Side.NONE, doc="empty: the same on both sides")
    reading: Mapped[int] = mapped_column(default=1)
    x_mm: Mapped[float]
    y_mm: Mapped[float]
    z_mm: Mapped[float]
    u_mm: Mapped[float] = mapped_column(default=0.0)
    u_x_mm: Mapped[float | None] = mapped_column(doc="doubt along the truck; empty: u_mm")
    u_y_mm: Mapped[float | None] = mapped_column(doc="doubt across; empty: u_mm")
    u_z_mm: Mapped[float | None] = mapped_column(doc="doubt in height; empty: u_mm")
    kind: Mapped[str] = mapped_column(default="hole", doc="hole, slot, stud, pad or pin")
    size_mm: Mapped[float | None] = mapped_column(doc="hole, stud or pin diameter, or a slot's width")
    slot_mm: Mapped[float | None] = mapped_column(doc="how far a bolt can slide in a slot, from end to end")
    slot_degrees: Mapped[float | None] = mapped_column(doc="where a slot points: 0 rearward, 90 outboard")
    carries: Mapped[str] = mapped_column(default="body", doc="what bolts on there: body, hitch, tank, bumper, arms …")
    tool: Mapped[str] = mapped_column(default="")


class Model(Base):
    """One make and model over a run of model years on one frame design."""

    __tablename__ = "models"
    __table_args__ = (
        UniqueConstraint("key"),
        CheckConstraint("year_from <= year_to", name="years_in_order"),
        {"info": {"key": ("key",)}},
    )

    key: Mapped[str]
    make: Mapped[str]
    name: Mapped[str] = mapped_column(doc="the model's name alone, without make or weight class")
    variant: Mapped[str] = mapped_column(default="", doc="what tells it from models of the same name")
    weight_class: Mapped[str] = mapped_column(default="", doc="light, heavy or empty")
    family: Mapped[str] = mapped_column(doc="inside one family, no rule means never compared")
    body_style: Mapped[str] = mapped_column(default="")
    year_from: Mapped[int]
    year_to: Mapped[int]
    frame_design_id: Mapped[int | None] = mapped_column(ForeignKey("frame_designs.id"))
    note: Mapped[str] = mapped_column(default="")


class ModelFact(Base):
    """What a vehicle of a model is or can be; several rows for one fact are the values it came with."""

    __tablename__ = "model_facts"
    __table_args__ = (
        UniqueConstraint("model_id", "number"),
        CheckConstraint("built_from IS NULL OR built_to IS NULL OR built_from <= built_to", name="built_in_order"),
        {"info": {"key": ("model_id", "number")}},
    )

    model_id: Mapped[int] = mapped_column(ForeignKey("models.id"))
    number: Mapped[int]
    fact_id: Mapped[int] = mapped_column(ForeignKey("facts.id"))
    value: Mapped[str]
    u_mm: Mapped[float | None] = mapped_column(doc="measuring doubt of a length")
    built_from: Mapped[str | None] = mapped_column(doc="YYYY-MM")
    built_to: Mapped[str | None] = mapped_column(doc="YYYY-MM, last month it was so")
    plants: Mapped[list[Any]] = mapped_column(default=list, doc="plant letters; empty: every plant")
    given: Mapped[list[Any]] = mapped_column(default=list, doc="other facts it goes with, as fact=value")


class PlateWord(Base):
    """A VIN position and letter with what it means, taught by plates the yard has read."""

    __tablename__ = "plate_words"
    __table_args__ = (
        UniqueConstraint("maker", "position", "symbol", "year_from"),
        CheckConstraint("position BETWEEN 1 AND 17", name="position_on_plate"),
        {"info": {"key": ("maker", "position", "symbol", "year_from")}},
    )

    maker: Mapped[str] = mapped_column(doc="first three characters")
    position: Mapped[int]
    symbol: Mapped[str]
    year_from: Mapped[int] = mapped_column(default=0)
    year_to: Mapped[int] = mapped_column(default=9999)
    meaning: Mapped[str]
    seen: Mapped[int] = mapped_column(default=0, doc="how many plates agreed")


class Fact(Base):
    """A fact about a part or a vehicle that decides where a part fits, with the words that ask for it."""

    __tablename__ = "facts"
    __table_args__ = (
        UniqueConstraint("name"),
        CheckConstraint("effort >= 0", name="effort_not_negative"),
        {"info": {"key": ("name",)}},
    )

    name: Mapped[str]
    kind: Mapped[FactKind] = mapped_column(one_of(FactKind))
    group: Mapped[Group | None] = mapped_column(one_of(Group), doc="empty: the whole vehicle or the part alone")
    unit: Mapped[str] = mapped_column(default="")
    choices: Mapped[list[Any]] = mapped_column(default=list)
    question: Mapped[str] = mapped_column(default="", doc="in the customer's words")
    effort: Mapped[int] = mapped_column(default=1, doc="0 knows it, 1 a look, 2 a count, 3 a tape, 5 a jack")
    note: Mapped[str] = mapped_column(default="")


class Law(StrEnum):
    """Which law of the yard a part type stands under."""

    NONE = ""
    AIRBAG = "airbag"
    BELT = "belt"
    HIGH_VOLTAGE = "high voltage"
    FRAME = "frame"
    WEAR = "wear"


class PartType(Base):
    """One spoken name for a part, with what the floor and the counter need to know about it."""

    __tablename__ = "part_types"
    __table_args__ = (
        UniqueConstraint("name"),
        CheckConstraint("usual_weight_lb IS NULL OR usual_weight_lb > 0", name="weight_above_zero"),
        CheckConstraint("usual_hours IS NULL OR usual_hours >= 0", name="hours_not_negative"),
        {"info": {"key": ("name",)}},
    )

    name: Mapped[str]
    wider: Mapped[str] = mapped_column(default="", doc="the wider name under which it is also asked for")
    group: Mapped[Group] = mapped_column(one_of(Group))
    law: Mapped[Law] = mapped_column(one_of(Law), default=Law.NONE)
    sided: Mapped[bool] = mapped_column(default=False)
    positions: Mapped[list[Any]] = mapped_column(default=list)
    has_miles: Mapped[bool] = mapped_column(default=False)
    pieces: Mapped[int] = mapped_column(default=1)
    usual_weight_lb: Mapped[Decimal | None]
    weight_low_lb: Mapped[Decimal | None]
    weight_high_lb: Mapped[Decimal | None]
    usual_hours: Mapped[Decimal | None]
    core_cents: Mapped[int] = cents(default=0)
    hazards: Mapped[list[Any]] = mapped_column(default=list)
    comes_off_after: Mapped[list[Any]] = mapped_column(default=list)
    place_kinds: Mapped[list[Any]] = mapped_column(default=list, doc="kinds of place it may stand in; empty: any")
    look_for: Mapped[list[Any]] = mapped_column(default=list, doc="facts that tell it from its look-alikes")
    label_size: Mapped[str] = mapped_column(default="standard")


class AliasKind(StrEnum):
    """What a spoken word points to."""

    PART = "part"
    MODEL = "model"
    FACT = "fact"


class Alias(Base):
    """Spoken words and what they mean; one phrase with several rows is ambiguous and is asked back."""

    __tablename__ = "aliases"
    __table_args__ = (UniqueConstraint("said", "kind", "means"), {"info": {"key": ("said", "kind", "means")}})

    said: Mapped[str]
    kind: Mapped[AliasKind] = mapped_column(one_of(AliasKind))
    means: Mapped[str] = mapped_column(doc="part type, model key, fact=value, or a requirement: fact at least value")


class Design(Base):
    """One physical design of a part type: the same thing on every application it was built for."""

    __tablename__ = "designs"
    __table_args__ = (UniqueConstraint("code"), {"info": {"key": ("code",)}})

    code: Mapped[str]
    part_type_id: Mapped[int] = mapped_column(ForeignKey("part_types.id"), index=True)
    name: Mapped[str]
    note: Mapped[str] = mapped_column(default="")


class DesignFact(Base):
    """A fitment tag or key dimension of a design."""

    __tablename__ = "design_facts"
    __table_args__ = (UniqueConstraint("design_id", "fact_id"), {"info": {"key": ("design_id", "fact_id")}})

    design_id: Mapped[int] = mapped_column(ForeignKey("designs.id"))
    fact_id: Mapped[int] = mapped_column(ForeignKey("facts.id"))
    value: Mapped[str]
    u_mm: Mapped[float | None]
    tool: Mapped[str] = mapped_column(default="")


class DesignUse(Base):
    """A design on an application: model, model years, build months, plants and options."""

    __tablename__ = "design_uses"
    __table_args__ = (
        UniqueConstraint("design_id", "number"),
        Index(None, "model_id", "design_id"),
        {"info": {"key": ("design_id", "number")}},
    )

    design_id: Mapped[int] = mapped_column(ForeignKey("designs.id"))
    number: Mapped[int]
    model_id: Mapped[int] = mapped_column(ForeignKey("models.id"))
    year_from: Mapped[int | None]
    year_to: Mapped[int | None]
    built_from: Mapped[str | None]
    built_to: Mapped[str | None]
    plants: Mapped[list[Any]] = mapped_column(default=list)
    given: Mapped[list[Any]] = mapped_column(default=list, doc="options, as fact=value")
    known_by: Mapped[str] = mapped_column(default="measured", doc="seen, measured, told or guess")
