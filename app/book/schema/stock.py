"""Places and parts: one tag, one piece, one place, one state."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from enum import StrEnum

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from app.book.schema.base import Base, cents, one_of
from app.book.schema.closure import WORKED_OUT
from app.fit.terms import Condition, Side


class PlaceKind(StrEnum):
    """What sort of place, which decides what may stand in it."""

    SHELF = "shelf"
    DOOR_SLOT = "door slot"
    GLASS_RACK = "glass rack"
    ENGINE_STAND = "engine stand"
    LOW_HEAVY = "low heavy shelf"
    HOOD_RACK = "hood rack"
    AXLE_ROW = "axle row"
    FRAME_RACK = "frame rack"
    AIRBAG_LOCKER = "airbag locker"
    HV_CAGE = "HV cage"
    YARD_ROW = "yard row"
    WILL_CALL = "will-call"
    QUARANTINE = "quarantine"
    SCRAP_BIN = "scrap bin"
    AREA = "area"


class Place(Base):
    """A row, rack, shelf, bin, pallet or yard slot; places nest."""

    __tablename__ = "places"
    __table_args__ = (
        UniqueConstraint("code"),
        Index("uq_places_tag", "tag", unique=True, sqlite_where=text("tag <> ''"), postgresql_where=text("tag <> ''")),
        CheckConstraint("piece_limit IS NULL OR piece_limit > 0", name="room_for_one"),
        CheckConstraint("weight_limit_lb IS NULL OR weight_limit_lb > 0", name="bears_something"),
        {"info": {"key": ("code",)}},
    )

    code: Mapped[str]
    tag: Mapped[str] = mapped_column(default="")
    kind: Mapped[PlaceKind] = mapped_column(one_of(PlaceKind))
    inside_id: Mapped[int | None] = mapped_column(ForeignKey("places.id", deferrable=True, initially="DEFERRED"))
    weight_limit_lb: Mapped[Decimal | None] = mapped_column(doc="a piece")
    piece_limit: Mapped[int | None]
    note: Mapped[str] = mapped_column(default="")


class Whereabouts(StrEnum):
    """Where a part is; nothing is ever nowhere."""

    ON_VEHICLE = "on vehicle"
    IN_HAND = "in hand"
    IN_PLACE = "in place"
    GONE = "gone"


class Standing(StrEnum):
    """Whether a part can be sold."""

    FREE = "free"
    HELD = "held"
    ON_TICKET = "on ticket"
    SOLD = "sold"
    BLOCKED = "blocked"
    MISSING = "missing"
    WRITTEN_OFF = "written off"


class Part(Base):
    """One piece on hand with its own tag."""

    __tablename__ = "parts"
    __table_args__ = (
        UniqueConstraint("tag"),
        CheckConstraint("length(tag) BETWEEN 1 AND 10 AND tag = upper(tag)", name="tag_short_capitals"),
        CheckConstraint("(whereabouts = 'in place') = (place_id IS NOT NULL)", name="placed_has_place"),
        CheckConstraint("(whereabouts = 'in hand') = (holder_id IS NOT NULL)", name="in_hand_has_holder"),
        CheckConstraint("whereabouts <> 'on vehicle' OR donor_id IS NOT NULL", name="on_vehicle_has_donor"),
        CheckConstraint("whereabouts <> 'gone' OR standing IN ('sold', 'written off')", name="gone_is_accounted_for"),
        CheckConstraint("standing <> 'blocked' OR block_reason <> ''", name="blocked_says_why"),
        CheckConstraint("price_cents >= 0 AND core_cents >= 0", name="money_not_negative"),
        CheckConstraint("weight_lb IS NULL OR weight_lb > 0", name="weight_above_zero"),
        CheckConstraint("pieces > 0", name="has_pieces"),
        CheckConstraint("donor_id IS NOT NULL OR past <> ''", name="has_a_past"),
        Index(
            "ix_parts_free",
            "part_type_id",
            "model_id",
            "condition",
            "price_cents",
            # What follows is read off the index alone when an ask looks over what there is.
            "side",
            "miles",
            "made_at",
            "tag",
            "place_id",
            "donor_id",
            "design_id",
            "pieces",
            "standing",
            sqlite_where=text("standing = 'free'"),
            postgresql_where=text("standing = 'free'"),
        ),
        Index(
            "ix_parts_not_offered",
            "part_type_id",
            sqlite_where=text("standing IN ('held', 'on ticket', 'blocked')"),
            postgresql_where=text("standing IN ('held', 'on ticket', 'blocked')"),
        ),
        Index(
            "ix_parts_lump",
            "lump_id",
            sqlite_where=text("lump_id IS NOT NULL"),
            postgresql_where=text("lump_id IS NOT NULL"),
        ),
        Index(None, "donor_id"),
        Index(None, "place_id"),
        {"info": {"key": ("tag",)}},
    )

    tag: Mapped[str]
    donor_id: Mapped[int | None] = mapped_column(ForeignKey("donors.id"))
    past: Mapped[str] = mapped_column(default="", doc="why the donor is unknown")
    part_type_id: Mapped[int] = mapped_column(ForeignKey("part_types.id"))
    design_id: Mapped[int | None] = mapped_column(ForeignKey("designs.id"), index=True)
    side: Mapped[Side] = mapped_column(one_of(Side), default=Side.NONE)
    position: Mapped[str] = mapped_column(default="")
    condition: Mapped[Condition] = mapped_column(one_of(Condition))
    damage: Mapped[str] = mapped_column(default="", doc="in plain words, with size and place")
    proven: Mapped[str] = mapped_column(default="", doc="ran, heard, turned by hand, not tested")
    pieces: Mapped[int] = mapped_column(default=1)
    miles: Mapped[int | None]
    price_cents: Mapped[int] = cents(default=0)
    core_cents: Mapped[int] = cents(default=0)
    weight_lb: Mapped[Decimal | None]
    weight_how: Mapped[str] = mapped_column(default="estimated", doc="weighed or estimated")
    weight_carried: Mapped[bool] = mapped_column(
        default=False, doc="yes: the weight is inside its donor's carried_weighed or carried_estimated"
    )
    standing: Mapped[Standing] = mapped_column(one_of(Standing), default=Standing.FREE)
    block_reason: Mapped[str] = mapped_column(default="")
    whereabouts: Mapped[Whereabouts] = mapped_column(one_of(Whereabouts))
    place_id: Mapped[int | None] = mapped_column(ForeignKey("places.id"))
    holder_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    pull_hours: Mapped[Decimal | None] = mapped_column(doc="hours to take it off, while on the vehicle")
    lump_id: Mapped[int | None] = mapped_column(
        ForeignKey("parts.id", deferrable=True, initially="DEFERRED"), doc="the lump it is a piece of"
    )
    made_at: Mapped[datetime] = mapped_column(doc="tag date")
    made_by: Mapped[str] = mapped_column(default="")
    seen_at: Mapped[datetime | None] = mapped_column(doc="when it was last seen in its place")
    note: Mapped[str] = mapped_column(default="")
    model_id: Mapped[int | None] = mapped_column(
        info=WORKED_OUT, doc="the model it counts as: its donor's, for the group of its part type"
    )


class PartFact(Base):
    """What was seen, counted or measured on a part; it beats what the donor's data says."""

    __tablename__ = "part_facts"
    __table_args__ = (UniqueConstraint("part_id", "fact_id"), {"info": {"key": ("part_id", "fact_id")}})

    part_id: Mapped[int] = mapped_column(ForeignKey("parts.id"))
    fact_id: Mapped[int] = mapped_column(ForeignKey("facts.id"))
    value: Mapped[str] = mapped_column(doc="as typed")
    mm: Mapped[float | None] = mapped_column(doc="a length in millimeters")
    u_mm: Mapped[float | None]
    tool: Mapped[str] = mapped_column(default="")
    known_by: Mapped[str] = mapped_column(default="seen", doc="seen, measured, from donor, told")


class PrintJob(Base):
    """A label or paper sent to a printer: sent, never 'printed'."""

    __tablename__ = "print_jobs"
    __table_args__ = (
        UniqueConstraint("number"),
        CheckConstraint("copy > 0", name="copy_counts_from_one"),
        {"info": {"key": ("number",)}},
    )

    number: Mapped[int]
    tag: Mapped[str] = mapped_column(index=True)
    kind: Mapped[str]
    copy: Mapped[int] = mapped_column(default=1)
    reason: Mapped[str] = mapped_column(default="")
    sent_to: Mapped[str] = mapped_column(default="")
    at: Mapped[datetime]
    by: Mapped[str] = mapped_column("by_")
    seen_good: Mapped[bool] = mapped_column(default=False, doc="a person said this label came out right")
