"""A part's mounting pattern held against a vehicle's frame or another design, from the book."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import cos, radians, sin
from typing import TYPE_CHECKING

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.book.bench.finding import design_named, design_rows, find_frame, frame_design_of
from app.book.bench.shapes import Held
from app.book.parts import find_part
from app.book.schema import Design, DesignPoint, Donor, Part, PartSeat, PartType
from app.book.settings import load_settings
from app.book.work import Book
from app.errors import BadInput, NotFound
from app.fit.frames.shape import Mount, both_sides
from app.fit.lengths import MM_PER_INCH
from app.fit.terms import Side

if TYPE_CHECKING:
    from app.fit.patterns.points import Pattern, Point
    from app.fit.patterns.verdict import PatternVerdict

UP = (0.0, 0.0, 1.0)
BODY, BODY_MOUNTS = "body shell", "body"
"""The part that sits on the body mounts by its name alone, and what these mounts carry."""
NEEDED = 3
"""Points that place a part in space."""


@dataclass(frozen=True, slots=True)
class HeldPattern:
    """A part's pattern against a vehicle's, in words, with the verdict."""

    part: str
    vehicle: str
    found: PatternVerdict


@dataclass(frozen=True, slots=True)
class How:
    """How two patterns are held against each other; lengths in millimeters, None: the yard's settings."""

    bolt_mm: float | None = None
    allowance_mm: float | None = None
    search: bool = False
    may_turn: bool = False
    mirror: bool = False


def hold_pattern(book: Book, part: str, vehicle: str, how: How = How()) -> HeldPattern:
    """Hold the pattern of a tag or design against that of a vehicle, frame design, survey file or other design.

    Raises:
        NotFound: nothing is called that. BadInput: a pattern that was not measured.
    """
    from app.fit.patterns.clearance import Fastening
    from app.fit.patterns.match import fits
    from app.fit.patterns.pairing import Match

    with book.read() as session:
        yard = load_settings(session)
        sleeve, hole, shim = (
            float(each) * float(MM_PER_INCH) for each in (yard.mount_sleeve_in, yard.mount_hole_in, yard.mount_shim_in)
        )
        words, one = part_pattern(session, part, sleeve)
        said, other = _vehicle_pattern(session, vehicle, shim)
    bolts = Fastening(
        sleeve if how.bolt_mm is None else how.bolt_mm,
        (hole - sleeve) / 2 if how.allowance_mm is None else how.allowance_mm,
    )
    match = Match.SEARCH if how.search else Match.AUTO
    return HeldPattern(words, said, fits(one, other, bolts, match=match, may_turn=how.may_turn, mirror=how.mirror))


def part_pattern(session: Session, said: str, sleeve_mm: float) -> tuple[str, Pattern]:
    """The pattern of a tag or design; a part without its own has the mounts it sat on, if its type sits on mounts.

    Raises:
        NotFound: no part or design is called that. BadInput: no pattern of it was measured.
    """
    design = _design(session, said)
    if design is not None:
        return design.name, _design_pattern(session, design)
    try:
        part = find_part(session, said)
    except NotFound:
        raise NotFound(
            f"no part or design is called {said!r}", "Give a tag, or the code of a design.", place="part"
        ) from None
    own = session.get(Design, part.design_id) if part.design_id else None
    kind = session.get_one(PartType, part.part_type_id)
    if own is not None and _points(session, own):
        return f"{part.tag} {kind.name}", _design_pattern(session, own)
    return f"{part.tag} {kind.name}", _sat_on(session, part, kind, sleeve_mm)


def _design(session: Session, said: str) -> Design | None:
    return session.scalar(select(Design).where(func.lower(Design.code) == " ".join(said.split()).lower()))


def _points(session: Session, design: Design) -> Sequence[DesignPoint]:
    points = select(DesignPoint).where(DesignPoint.design_id == design.id)
    return session.scalars(points.order_by(DesignPoint.id)).all()


def _design_pattern(session: Session, design: Design) -> Pattern:
    from app.fit.patterns.points import Pattern

    points = _points(session, design)
    if len(points) < NEEDED:
        raise BadInput(
            f"{len(points)} points of {design.code} are measured, {NEEDED} are needed",
            "Write them into design_points.csv and load it.",
            place=design.code,
        )
    return Pattern(design.code, tuple(map(_design_point, points)))


def _design_point(row: DesignPoint) -> Point:
    from app.fit.patterns.points import Kind, Point

    slot = Kind(row.kind) is Kind.SLOT
    along = radians(row.slot_degrees or 0.0)
    outward = -1.0 if row.side is Side.LH else 1.0
    return Point(
        row.point,
        (row.x_mm, outward * row.y_mm, row.z_mm),
        Kind(row.kind),
        row.size_mm,
        row.u_mm,
        row.side,
        direction=(cos(along), outward * sin(along), 0.0) if slot else None,
        length_mm=(row.slot_mm or 0.0) + (row.size_mm or 0.0) if slot else None,
    )


def _sat_on(session: Session, part: Part, kind: PartType, sleeve_mm: float) -> Pattern:
    """The mounts of the frame it was made for that carry it."""
    from app.fit.patterns.points import Kind

    seats = session.scalars(select(PartSeat).where(PartSeat.part_type_id == kind.id, PartSeat.mounts != "")).all()
    carried = {seat.mounts for seat in seats} or ({BODY_MOUNTS} if BODY in (kind.name, kind.wider) else set())
    donor = session.get(Donor, part.donor_id) if part.donor_id else None
    frame = frame_design_of(session, donor) if donor is not None else None
    if not carried or frame is None:
        raise BadInput(
            f"no mounting pattern of {part.tag} is measured",
            "Measure its points and write them into design_points.csv.",
            place=part.tag,
        )
    on_frame = frame_pattern(design_rows(session, frame), carried)
    # The part brings the sleeve that stands in the frame's hole.
    sleeve = next((seat.sleeve_mm for seat in seats if seat.sleeve_mm), sleeve_mm)
    return replace(on_frame, points=tuple(replace(each, kind=Kind.STUD, size_mm=sleeve) for each in on_frame.points))


def _vehicle_pattern(session: Session, said: str, shim_mm: float) -> tuple[str, Pattern]:
    design = _design(session, said) if design_named(session, said) is None else None
    if design is not None:
        return design.name, _design_pattern(session, design)
    held = find_frame(session, said)
    return held.words or held.shape.name, frame_pattern(held, shim_mm=shim_mm)


def frame_pattern(held: Held, carried: Iterable[str] = (), shim_mm: float | None = None) -> Pattern:
    """A frame's mounts as a pattern, or of them those that carry something; shims make up height.

    Raises:
        BadInput: fewer than three mounts are measured.
    """
    from app.fit.patterns.points import Pattern

    wanted = set(carried)
    mounts = [
        side
        for mount in held.shape.mounts
        if not wanted or held.carries.get(mount.name, "") in wanted
        for side in both_sides(mount)
    ]
    if len(mounts) < NEEDED:
        raise BadInput(
            f"{len(mounts)} mounts are measured, {NEEDED} are needed", "Measure more of them.", place=held.shape.name
        )
    return Pattern(held.shape.name, tuple(_mount_point(mount, shim_mm) for mount in mounts))


def _mount_point(mount: Mount, shim_mm: float | None) -> Point:
    from app.fit.patterns.points import Kind, outboard

    u_mm = max(mount.doubt.x, mount.doubt.y, mount.doubt.z)
    point = outboard(mount.name, *mount.at, mount.side, kind=Kind(mount.kind), size_mm=mount.size_mm, u_mm=u_mm)
    if point.kind is Kind.SLOT:
        along = (mount.slot_mm or 0.0) + (mount.size_mm or 0.0)
        point = replace(point, direction=(1.0, 0.0, 0.0), length_mm=along)
    return point if shim_mm is None else replace(point, axis=UP, height_mm=shim_mm)
