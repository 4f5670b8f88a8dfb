"""The bench's questions about frames: do two agree, is one bent, can two be joined."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.bench.finding import design_named, design_rows, find_frame
from app.book.bench.shapes import Held
from app.book.schema import Donor, FrameState
from app.book.settings import Settings, load_settings
from app.book.work import Book
from app.errors import BadInput
from app.fit.frames.damage import DamageVerdict
from app.fit.frames.shape import Mount
from app.fit.lengths import MM_PER_INCH

if TYPE_CHECKING:
    from app.fit.frames.compare import CompareSettings, Comparison
    from app.fit.frames.damage import Damage, DamageSettings
    from app.fit.frames.join import Joint

_STRAIGHT = {
    FrameState.STRAIGHT: DamageVerdict.STRAIGHT,
    FrameState.MEASURE_AGAIN: DamageVerdict.MEASURE_AGAIN,
    FrameState.SCRAP_ONLY: DamageVerdict.BENT,
}


@dataclass(frozen=True, slots=True)
class Compared:
    """Two frames and what holding the second against the first says."""

    a: Held
    b: Held
    found: Comparison


@dataclass(frozen=True, slots=True)
class Damaged:
    """A surveyed frame, the reference it was held against if there is one, and the verdict."""

    survey: Held
    design: Held | None
    found: Damage


@dataclass(frozen=True, slots=True)
class Joined:
    """Two frames and where the front of the first can take the rear of the second."""

    a: Held
    b: Held
    found: Joint


@dataclass(frozen=True, slots=True)
class JoinPrices:
    """What decides whether a joint pays, in hours and cents; None: the yard's settings, or not known."""

    hours: Decimal | None = None
    rate_cents: int | None = None
    parts_cents: int | None = None
    straight_frame_cents: int | None = None


def frame_held(book: Book, said: str) -> Held:
    """A frame by what it is called.

    Raises:
        NotFound: nothing is called that.
        BadInput: a survey that cannot be read.
    """
    with book.read() as session:
        return find_frame(session, said)


def compare_frames(book: Book, a: str, b: str) -> Compared:
    """Hold the second frame against the first.

    Raises:
        NotFound, BadInput: a frame that is not there or cannot be compared.
    """
    from app.fit.frames.compare import compare

    with book.read() as session:
        one, other = find_frame(session, a), find_frame(session, b)
        settings = compare_settings(load_settings(session))
    for held in (one, other):
        refuse_unmeasured(held)
    return Compared(one, other, compare(one.shape, other.shape, settings))


def mounts_to_take(book: Book, said: str) -> tuple[Mount, ...]:
    """The mounts that a survey of this vehicle should take, by its frame's design, front to rear; none if unknown."""
    with book.read() as session:
        held = find_frame(session, said)
        design = design_named(session, held.design) if held.design else None
        mounts = design_rows(session, design).shape.mounts if design is not None else held.shape.mounts
    return tuple(sorted(mounts, key=lambda each: (each.x_mm, each.name)))


def refuse_unmeasured(held: Held) -> None:
    """A frame without any measured mount says so, and what to do.

    Raises:
        BadInput: naming the frame.
    """
    if held.shape.mounts:
        return
    instead = f", or take its design {held.design!r}" if held.design and held.stock_number else ""
    missing = "; ".join(held.left_out)
    said = f"no mount of it has all three coordinates ({missing})" if missing else "none of its mounts is measured"
    raise BadInput(said, f"Measure its mounts on the bench{instead}.", place=held.shape.name)


def damage_of(book: Book, survey: str, design: str | None = None) -> Damaged:
    """Is this frame bent: held against a named design, else against the design it is known to be of.

    Raises:
        NotFound, BadInput: a frame that is not there, or was not measured enough.
    """
    with book.read() as session:
        held = find_frame(session, survey)
        return Damaged(held, *judge_damage(session, held, design))


def judge_damage(session: Session, held: Held, design: str | None = None) -> tuple[Held | None, Damage]:
    """The reference and the verdict of a surveyed frame."""
    from app.fit.frames.damage import damage

    reference = _reference(session, held, design)
    settings = damage_settings(load_settings(session))
    shape = reference.shape if reference is not None and reference.shape.mounts else None
    return reference, damage(held.shape, shape, held.diagonals, held.heights, settings)


def _reference(session: Session, held: Held, design: str | None) -> Held | None:
    if design:
        return find_frame(session, design)
    if not held.stock_number:
        return None
    found = design_named(session, held.design) if held.design else None
    return design_rows(session, found) if found is not None else None


def join_frames(
    book: Book, a: str, b: str, *, shift_mm: float | None = None, prices: JoinPrices = JoinPrices()
) -> Joined:
    """Where the front of the first frame and the rear of the second can be joined, if anywhere.

    Raises:
        NotFound, BadInput: a frame that is not there, or was not measured enough.
    """
    from app.fit.frames.join import JoinSettings, join

    with book.read() as session:
        one, other = find_frame(session, a), find_frame(session, b)
        yard = load_settings(session)
        straight = [_straight(session, each) for each in (one, other)]
    settings = replace(
        JoinSettings(),
        hours=float(yard.joint_hours if prices.hours is None else prices.hours),
        rate_cents=int(yard.shop_rate_cents_per_hour) if prices.rate_cents is None else prices.rate_cents,
        parts_cents=prices.parts_cents,
        straight_frame_cents=prices.straight_frame_cents,
    )
    found = join(one.shape, other.shape, settings, shift_mm=shift_mm, a_straight=straight[0], b_straight=straight[1])
    return Joined(one, other, found)


def _straight(session: Session, held: Held) -> DamageVerdict:
    """What the book says of a vehicle's frame; of a design or a file it says nothing."""
    if not held.stock_number:
        return DamageVerdict.NOT_MEASURED
    state = session.scalar(select(Donor.frame_state).where(Donor.stock_number == held.stock_number))
    return _STRAIGHT.get(state, DamageVerdict.NOT_MEASURED) if state else DamageVerdict.NOT_MEASURED


def compare_settings(yard: Settings) -> CompareSettings:
    """What may differ between two frames, by the yard's settings."""
    from app.fit.frames.compare import CompareSettings

    return CompareSettings(
        sleeve_mm=_mm(yard.mount_sleeve_in), hole_mm=_mm(yard.mount_hole_in), z_shims_mm=_mm(yard.mount_shim_in)
    )


def damage_settings(yard: Settings) -> DamageSettings:
    """What a straight frame may be off, by the yard's settings."""
    from app.fit.frames.damage import DamageSettings

    return DamageSettings(tolerance_mm=float(yard.frame_tolerance_mm), diagonal_mm=_mm(yard.frame_limit_in))


def _mm(inches: Decimal) -> float:
    return float(inches) * float(MM_PER_INCH)
