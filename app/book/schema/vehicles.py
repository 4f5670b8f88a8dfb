"""Vehicles the yard took in or turned away: papers, readings, identity by group, frame, costs, holds."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from app.book.schema.base import Base, cents, one_of
from app.fit.terms import FrontSuspension, Group, RearSuspension, Section, Side


class Contact(Base):
    """A seller or a customer."""

    __tablename__ = "contacts"
    __table_args__ = (UniqueConstraint("code"), {"info": {"key": ("code",)}})

    code: Mapped[str]
    name: Mapped[str]
    phone: Mapped[str] = mapped_column(default="")
    address: Mapped[str] = mapped_column(default="")
    id_kind: Mapped[str] = mapped_column(default="")
    id_number: Mapped[str] = mapped_column(default="")
    id_expires: Mapped[date | None]
    exempt_number: Mapped[str] = mapped_column(default="", doc="tax exemption number, empty: taxed")
    note: Mapped[str] = mapped_column(default="")


class Paper(StrEnum):
    """What paper came with a vehicle."""

    CLEAN = "clean title"
    SALVAGE = "salvage title"
    REBUILT = "rebuilt title"
    PARTS_ONLY = "parts only"
    DESTRUCTION = "certificate of destruction"
    BILL_OF_SALE = "bill of sale"
    LIEN_SALE = "lien sale papers"
    LOST = "lost title, affidavit"
    NONE = "none yet"


class FrameState(StrEnum):
    """What the surveys say of a donor's frame."""

    UNMEASURED = "not measured"
    STRAIGHT = "straight"
    MEASURE_AGAIN = "measure again"
    SCRAP_ONLY = "scrap only"
    NO_FRAME = "no frame"


class DonorState(StrEnum):
    """How far a vehicle has come through the yard."""

    ARRIVED = "arrived"
    TEARDOWN = "teardown"
    HULK = "hulk"
    WEIGHED_OUT = "weighed out"


class Donor(Base):
    """A vehicle the yard took in."""

    __tablename__ = "donors"
    __table_args__ = (
        UniqueConstraint("stock_number"),
        Index("uq_donors_vin", "vin", unique=True, sqlite_where=text("vin <> ''"), postgresql_where=text("vin <> ''")),
        CheckConstraint("length(stock_number) > 0", name="has_number"),
        CheckConstraint("built IS NULL OR length(built) = 7", name="built_is_month"),
        CheckConstraint("miles IS NULL OR miles >= 0", name="miles_not_negative"),
        {"info": {"key": ("stock_number",)}},
    )

    stock_number: Mapped[str]
    tag: Mapped[str] = mapped_column(default="")
    vin: Mapped[str] = mapped_column(default="")
    vin_note: Mapped[str] = mapped_column(default="", doc="why a number without a valid check digit was taken")
    model_id: Mapped[int | None] = mapped_column(ForeignKey("models.id"), index=True)
    words: Mapped[str] = mapped_column(default="", doc="the vehicle in words")
    year: Mapped[int | None]
    built: Mapped[str | None] = mapped_column(doc="YYYY-MM from the door label")
    miles: Mapped[int | None] = mapped_column(doc="empty: unknown, which is not 0")
    keys: Mapped[int | None]
    paper: Mapped[Paper] = mapped_column(one_of(Paper), default=Paper.NONE)
    source: Mapped[str] = mapped_column(default="", doc="auction, walk-in, tow yard, dealer, fleet")
    seller_id: Mapped[int | None] = mapped_column(ForeignKey("contacts.id"))
    arrived_at: Mapped[datetime]
    paid_how: Mapped[str] = mapped_column(default="")
    body: Mapped[str] = mapped_column(default="", doc="state of the body in plain words")
    frame_state: Mapped[FrameState] = mapped_column(one_of(FrameState), default=FrameState.UNMEASURED)
    frame_reason: Mapped[str] = mapped_column(default="")
    state: Mapped[DonorState] = mapped_column(one_of(DonorState), default=DonorState.ARRIVED)
    place_id: Mapped[int | None] = mapped_column(ForeignKey("places.id"))
    arrival_net_lb: Mapped[Decimal | None]
    carried_weighed_lb: Mapped[Decimal] = mapped_column(
        default=Decimal(0), doc="off before this book: weighed, metered"
    )
    carried_estimated_lb: Mapped[Decimal] = mapped_column(default=Decimal(0), doc="off before this book: estimated")
    carried_cost_cents: Mapped[int] = cents(default=0)
    carried_money_cents: Mapped[int] = cents(default=0)
    note: Mapped[str] = mapped_column(default="")


class VinReading(Base):
    """One reading of a plate as it was read; kept even when it was wrong."""

    __tablename__ = "vin_readings"
    __table_args__ = (UniqueConstraint("number"), {"info": {"key": ("number",)}})

    number: Mapped[int]
    donor_id: Mapped[int | None] = mapped_column(ForeignKey("donors.id"), index=True)
    source: Mapped[str]
    read: Mapped[str]
    at: Mapped[datetime]
    by: Mapped[str] = mapped_column("by_")


class DonorIdentity(Base):
    """What a vehicle is for one group of parts, where that differs from its plate or was looked at."""

    __tablename__ = "donor_identities"
    __table_args__ = (UniqueConstraint("donor_id", "group"), {"info": {"key": ("donor_id", "group")}})

    donor_id: Mapped[int] = mapped_column(ForeignKey("donors.id"))
    group: Mapped[Group] = mapped_column(one_of(Group))
    model_id: Mapped[int | None] = mapped_column(ForeignKey("models.id"))
    year: Mapped[int | None]
    built: Mapped[str | None]
    plant: Mapped[str] = mapped_column(default="")
    known_by: Mapped[str] = mapped_column(default="vin", doc="vin, words, look")
    note: Mapped[str] = mapped_column(default="")


class DonorFact(Base):
    """An option or fact of a vehicle, with how it is known."""

    __tablename__ = "donor_facts"
    __table_args__ = (UniqueConstraint("donor_id", "fact_id"), {"info": {"key": ("donor_id", "fact_id")}})

    donor_id: Mapped[int] = mapped_column(ForeignKey("donors.id"))
    fact_id: Mapped[int] = mapped_column(ForeignKey("facts.id"))
    value: Mapped[str]
    known_by: Mapped[str] = mapped_column(default="seen", doc="seen, measured, papers, told")


class DonorCost(Base):
    """Money spent on a vehicle."""

    __tablename__ = "donor_costs"
    __table_args__ = (UniqueConstraint("donor_id", "number"), {"info": {"key": ("donor_id", "number")}})

    donor_id: Mapped[int] = mapped_column(ForeignKey("donors.id"))
    number: Mapped[int]
    kind: Mapped[str] = mapped_column(doc="price, fee, tow, labor, disposal, other")
    amount_cents: Mapped[int] = cents()
    hours: Mapped[Decimal | None]
    at: Mapped[datetime]
    words: Mapped[str] = mapped_column(default="")


class VehicleHold(Base):
    """A hold on a vehicle: what it blocks, until when, and who lets it go."""

    __tablename__ = "vehicle_holds"
    __table_args__ = (
        UniqueConstraint("donor_id", "number"),
        CheckConstraint("ends IS NULL OR ends > starts", name="ends_after_start"),
        {"info": {"key": ("donor_id", "number")}},
    )

    donor_id: Mapped[int] = mapped_column(ForeignKey("donors.id"))
    number: Mapped[int]
    kind: Mapped[str]
    starts: Mapped[datetime]
    ends: Mapped[datetime | None] = mapped_column(doc="empty: until released")
    blocks: Mapped[list[Any]] = mapped_column(default=list)
    released_at: Mapped[datetime | None]
    released_by: Mapped[str] = mapped_column(default="")
    words: Mapped[str] = mapped_column(default="")


class Removal(Base):
    """What came off a vehicle and is no tagged part: fluids, battery, cat, wheels, scrap."""

    __tablename__ = "removals"
    __table_args__ = (
        UniqueConstraint("donor_id", "number"),
        CheckConstraint("weight_lb >= 0", name="weight_not_negative"),
        CheckConstraint("how IN ('weighed', 'metered', 'estimated')", name="how_known"),
        {"info": {"key": ("donor_id", "number")}},
    )

    donor_id: Mapped[int] = mapped_column(ForeignKey("donors.id"))
    number: Mapped[int]
    what: Mapped[str]
    gallons: Mapped[Decimal | None]
    weight_lb: Mapped[Decimal]
    how: Mapped[str]
    at: Mapped[datetime]
    by: Mapped[str] = mapped_column("by_", default="")


class FrameSurvey(Base):
    """A look at a frame, with what was measured; a later, finer survey decides, the earlier stays."""

    __tablename__ = "frame_surveys"
    __table_args__ = (UniqueConstraint("donor_id", "number"), {"info": {"key": ("donor_id", "number")}})

    donor_id: Mapped[int] = mapped_column(ForeignKey("donors.id"))
    number: Mapped[int]
    at: Mapped[datetime]
    by: Mapped[str] = mapped_column("by_")
    section: Mapped[Section] = mapped_column(one_of(Section))
    front: Mapped[FrontSuspension] = mapped_column(one_of(FrontSuspension))
    rear: Mapped[RearSuspension] = mapped_column(one_of(RearSuspension))
    datum: Mapped[str] = mapped_column(default="", doc="the mount from which all is measured")
    bad_repair: Mapped[list[Any]] = mapped_column(default=list, doc="signs of bad repair, each condemns")
    verdict: Mapped[FrameState] = mapped_column(one_of(FrameState))
    arithmetic: Mapped[str] = mapped_column(default="")


class SurveyMeasure(Base):
    """One measured length of a survey: a diagonal, a rail size, a mount's coordinate."""

    __tablename__ = "survey_measures"
    __table_args__ = (
        UniqueConstraint("survey_id", "name"),
        CheckConstraint("u_mm >= 0", name="doubt_not_negative"),
        {"info": {"key": ("survey_id", "name")}},
    )

    survey_id: Mapped[int] = mapped_column(ForeignKey("frame_surveys.id"))
    name: Mapped[str] = mapped_column(doc="rail height, rail width, wall, diagonal 1, M2 LH x …")
    typed: Mapped[str]
    mm: Mapped[float]
    u_mm: Mapped[float]
    tool: Mapped[str]


class SurveyPoint(Base):
    """One reading of a mount in a survey: x rearward of the datum, y out from the centerline, z up, as typed.

    A coordinate that was not taken is empty. A later reading decides where it is finer, or where it contradicts.
    """

    __tablename__ = "survey_points"
    __table_args__ = (
        UniqueConstraint("survey_id", "mount", "side", "reading"),
        CheckConstraint("reading > 0", name="reading_counts_from_one"),
        CheckConstraint("u_x_mm >= 0 AND u_y_mm >= 0 AND u_z_mm >= 0", name="doubt_not_negative"),
        {"info": {"key": ("survey_id", "mount", "side", "reading")}},
    )

    survey_id: Mapped[int] = mapped_column(ForeignKey("frame_surveys.id"))
    mount: Mapped[str]
    side: Mapped[Side] = mapped_column(one_of(Side), default=Side.NONE, doc="empty: the same on both sides")
    reading: Mapped[int] = mapped_column(default=1)
    x: Mapped[str] = mapped_column(default="", doc="as typed; a bare figure is inches")
    y: Mapped[str] = mapped_column(default="", doc="as typed, from the centerline out, on either side")
    z: Mapped[str] = mapped_column(default="", doc="as typed; below the datum with a minus")
    x_mm: Mapped[float | None] = mapped_column(doc="worked out from x where empty")
    y_mm: Mapped[float | None] = mapped_column(doc="worked out from y where empty")
    z_mm: Mapped[float | None] = mapped_column(doc="worked out from z where empty")
    u_x_mm: Mapped[float | None] = mapped_column(doc="doubt of x; worked out from the tool where empty")
    u_y_mm: Mapped[float | None] = mapped_column(doc="doubt of y; worked out from the tool where empty")
    u_z_mm: Mapped[float | None] = mapped_column(doc="doubt of z; worked out from the tool where empty")
    tool: Mapped[str] = mapped_column(default="hook tape")
    x_tool: Mapped[str] = mapped_column(default="", doc="empty: tool")
    y_tool: Mapped[str] = mapped_column(default="", doc="empty: tool")
    z_tool: Mapped[str] = mapped_column(default="", doc="empty: tool")
    kind: Mapped[str] = mapped_column(default="hole", doc="hole, slot, stud, pad or pin")
    size: Mapped[str] = mapped_column(default="", doc="hole or stud as typed; empty: as the design has it")
    carries: Mapped[str] = mapped_column(default="body", doc="what bolts on there: body, hitch, tank, bumper, arms …")


class SurveyStation(Base):
    """The rail at one place along the length in a survey, as typed."""

    __tablename__ = "survey_stations"
    __table_args__ = (
        UniqueConstraint("survey_id", "station", "side", "reading"),
        CheckConstraint("reading > 0", name="reading_counts_from_one"),
        {"info": {"key": ("survey_id", "station", "side", "reading")}},
    )

    survey_id: Mapped[int] = mapped_column(ForeignKey("frame_surveys.id"))
    station: Mapped[str] = mapped_column(doc="the place's name: nose, at M3, spring hanger …")
    side: Mapped[Side] = mapped_column(one_of(Side), default=Side.NONE, doc="empty: the same on both sides")
    reading: Mapped[int] = mapped_column(default=1)
    x: Mapped[str] = mapped_column(doc="rearward of the datum, as typed; a bare figure is inches")
    face: Mapped[str] = mapped_column(default="", doc="outer face of the rail from the centerline, as typed")
    height: Mapped[str] = mapped_column(default="")
    width: Mapped[str] = mapped_column(default="")
    wall: Mapped[str] = mapped_column(default="")
    top: Mapped[str] = mapped_column(default="", doc="top of the rail, up from the datum")
    bottom: Mapped[str] = mapped_column(default="", doc="bottom of the rail, up from the datum")
    x_mm: Mapped[float | None] = mapped_column(doc="worked out from x where empty")
    face_mm: Mapped[float | None] = mapped_column(doc="worked out from face where empty")
    height_mm: Mapped[float | None] = mapped_column(doc="worked out from height where empty")
    width_mm: Mapped[float | None] = mapped_column(doc="worked out from width where empty")
    wall_mm: Mapped[float | None] = mapped_column(doc="worked out from wall where empty")
    top_mm: Mapped[float | None] = mapped_column(doc="worked out from top where empty")
    bottom_mm: Mapped[float | None] = mapped_column(doc="worked out from bottom where empty")
    tool: Mapped[str] = mapped_column(default="hook tape")
    wall_tool: Mapped[str] = mapped_column(default="dial caliper")
    section: Mapped[Section | None] = mapped_column(one_of(Section), doc="empty: that of the frame")
    fitted: Mapped[str] = mapped_column(default="", doc="what sits on the rail there and ends a sleeve; empty: nothing")


class Refusal(Base):
    """A vehicle the yard turned away; it uses up no stock number."""

    __tablename__ = "refusals"
    __table_args__ = (UniqueConstraint("number"), {"info": {"key": ("number",)}})

    number: Mapped[int]
    vin: Mapped[str] = mapped_column(default="")
    words: Mapped[str] = mapped_column(default="")
    reasons: Mapped[list[Any]]
    photo: Mapped[str] = mapped_column(default="", doc="file name of the photo")
    offered_by: Mapped[str] = mapped_column(default="")
    at: Mapped[datetime]
    by: Mapped[str] = mapped_column("by_")
