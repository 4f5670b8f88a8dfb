"""The bench's sheets to pin to the wall: two frames compared, or one looked over for damage."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

import labels
from app.book.bench.holding import Compared, Damaged, compare_frames, damage_of
from app.book.bench.saying import condition, in_short, moved, off
from app.book.bench.shapes import Held
from app.book.settings import load_settings
from app.book.times import local_day
from app.book.work import Book
from app.errors import BadInput
from app.fit.frames.comparison import MountCheck
from app.fit.frames.shape import FrameShape, Mount, both_sides
from app.fit.terms import Hazard, Side

MAGNIFIED = (50, 20, 10, 5, 2, 1)
"""How many times as long as the move an arrow of the damage sheet may be; the longest that stays near its mount."""
LONGEST = 0.05
"""How long an arrow may get, of the frame's length."""
DPI = 300
_INCH = 25.4


def draw_comparison(book: Book, a: str, b: str, target: Path) -> Path:
    """Draw the sheet of two frames into a PNG or PDF file.

    Raises:
        NotFound, BadInput: a frame that is not there or cannot be compared, a file that cannot be written.
    """
    return _draw(comparison_sheet(compare_frames(book, a, b), *_yard(book)), target)


def draw_damage(book: Book, survey: str, design: str | None, target: Path) -> Path:
    """Draw the damage sheet of a surveyed frame into a PNG or PDF file.

    Raises:
        NotFound, BadInput: a frame that is not there or was not measured enough, a file that cannot be written.
    """
    return _draw(damage_sheet(damage_of(book, survey, design), *_yard(book)), target)


def _yard(book: Book) -> tuple[str, str]:
    with book.read() as session:
        return load_settings(session).yard_name, f"{local_day(book.clock()):%-d %b %Y}"


def _draw(sheet: labels.BenchSheet, target: Path) -> Path:
    try:
        return labels.save(labels.draw_sheet(sheet, dpi=DPI), target, DPI)
    except labels.LabelError as error:
        raise BadInput(error.title, error.next_step, place="file") from error
    except OSError as error:
        raise BadInput(f"{target} cannot be written: {error.strerror}", "Give another file.", place="file") from error


def comparison_sheet(compared: Compared, yard: str = "", date: str = "") -> labels.BenchSheet:
    """The comparison as a sheet: both frames over each other, a row for each mount and side, what follows."""
    found = compared.found
    notes = [f"{g.part} made for {g.made_for}, onto {g.onto}: {g.grade.said}. {g.words}" for g in found.groups]
    return labels.BenchSheet(
        title=f"{found.a} and {found.b}",
        headline=found.words,
        first=found.a,
        second=found.b,
        first_points=tuple(_point(each.a) for each in found.mounts) + _only(compared.a, found.only_a),
        second_points=tuple(_point(each.b) for each in found.mounts),
        first_rail=_rail(compared.a.shape),
        second_rail=_rail(compared.b.shape, found.alignment.x_mm, found.alignment.z_mm),
        head=("mount", "side", "A x", "y", "z", "B x", "y", "z", "verdict", "likely", "how B is off"),
        rows=_mount_rows(found.mounts),
        notes=tuple(notes),
        footer=(Hazard.WELDING.caution,),
        date=date,
        yard=yard,
    )


def _mount_rows(mounts: Sequence[MountCheck]) -> tuple[tuple[str, ...], ...]:
    """A row for each mount; both sides in one where they read alike."""
    rows: dict[tuple[str, ...], list[str]] = {}
    for each in mounts:
        said = (
            each.name,
            *_figures(each.a),
            *_figures(each.b),
            str(each.verdict),
            f"{each.probability:.0%}",
            off(each),
        )
        rows.setdefault(said, []).append(str(each.side))
    return tuple((said[0], " ".join(sides), *said[1:]) for said, sides in rows.items())


def damage_sheet(damaged: Damaged, yard: str = "", date: str = "") -> labels.BenchSheet:
    """The look for damage as a sheet: where each mount is and should be, the five conditions, the points that moved."""
    found = damaged.found
    survey = [mount for each in damaged.survey.shape.mounts for mount in both_sides(each)]
    moves = {(each.name, each.side): each for each in found.points}
    should = tuple(
        labels.SheetPoint(m.name, m.x_mm - move.x_mm, _right(m.side, m.y_mm - move.y_mm), m.z_mm - move.z_mm)
        for m in survey
        if (move := moves.get((m.name, m.side))) is not None
    )
    arrows = tuple(
        labels.SheetArrow(_point(mount), move.x_mm, _right(mount.side, move.y_mm), move.z_mm)
        for mount in survey
        if (move := moves.get((mount.name, mount.side))) is not None and not move.undamaged
    )
    rows = [(str(each.condition), str(each.verdict), condition(each)) for each in found.conditions]
    rows += [(f"{each.name} {each.side}".strip(), str(each.verdict), moved(each)) for each in found.points]
    notes = [f"diagonals {box}: {verdict.words}" for box, verdict in found.diagonals]
    notes += [f"sign of bad repair: {sign}" for sign in found.bad_repair]
    notes += [f"measured from {', '.join(found.base)}"] if found.base else []
    return labels.BenchSheet(
        title=f"{found.frame}: {found.verdict}",
        headline=in_short(found),
        first=f"{found.design or 'its other side'}, where it should be",
        second=f"{found.frame}, as measured",
        first_points=should,
        second_points=tuple(map(_point, survey)),
        first_rail=_rail(damaged.design.shape if damaged.design else damaged.survey.shape),
        head=("", "", ""),
        rows=tuple(rows),
        arrows=arrows,
        magnified=_magnified(survey, arrows),
        notes=tuple(notes),
        footer=found.cautions or (Hazard.WELDING.caution,),
        date=date,
        yard=yard,
    )


def _magnified(mounts: Sequence[Mount], arrows: Sequence[labels.SheetArrow]) -> int:
    long = max(each.x_mm for each in mounts) - min(each.x_mm for each in mounts) if mounts else 0.0
    farthest = max((max(abs(each.x), abs(each.y), abs(each.z)) for each in arrows), default=0.0)
    return next((times for times in MAGNIFIED if farthest * times <= long * LONGEST), 1)


def _figures(mount: Mount) -> tuple[str, str, str]:
    x, y, z = (f"{mm / _INCH + 0.0:.2f}" for mm in mount.at)
    return x, y, z


def _point(mount: Mount) -> labels.SheetPoint:
    return labels.SheetPoint(mount.name, mount.x_mm, mount.lateral_mm, mount.z_mm)


def _right(side: Side, outboard: float) -> float:
    return -outboard if side is Side.LH else outboard


def _only(held: Held, names: Iterable[str]) -> tuple[labels.SheetPoint, ...]:
    wanted = set(names)
    mounts: Sequence[Mount] = [mount for each in held.shape.mounts for mount in both_sides(each)]
    return tuple(_point(mount) for mount in mounts if mount.label in wanted or mount.name in wanted)


def _rail(shape: FrameShape, x_mm: float = 0.0, z_mm: float = 0.0) -> labels.SheetRail | None:
    """The rail drawn straight along all mounts, where its outer face and sizes are known."""
    known = [each for each in shape.rail if each.outer_mm is not None and each.width_mm is not None]
    if not known or not shape.mounts:
        return None
    first, xs = known[0], [mount.x_mm for mount in shape.mounts]
    top, bottom, high = first.top_mm, first.bottom_mm, first.height_mm
    if top is None and bottom is not None and high is not None:
        top = bottom + high
    if bottom is None and top is not None and high is not None:
        bottom = top - high
    edges = (None if edge is None else edge + z_mm for edge in (bottom, top))
    return labels.SheetRail(min(xs) + x_mm, max(xs) + x_mm, first.outer_mm or 0.0, first.width_mm or 0.0, *edges)
