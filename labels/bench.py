"""The sheets of the bench: two frames drawn over each other to scale, from above and from the side, with a table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from labels.geometry import Box, Paper
from labels.items import Drawn, Mark, Rule, Sign, Stroke, Words
from labels.text import ADVANCE, CAP, columns_in, height_of, plain, wrap

SHEET = Paper("bench sheet", 11 * 25.4, 8.5 * 25.4)
_LEFT, _WIDTH = 9.0, SHEET.width - 18.0
_SAME_MM = 1.5
"""Two marks nearer than this on the paper are one: drawn as a full dot."""
_DIMENSION = 3.4
_ROW_CAP, _LEAST_CAP = 1.75, 1.25
_NOTE_CAPS = (1.75, 1.6, 1.45, 1.3, 1.15)
_VIEW_GAP = 9.0
_UNITS = {"in": "inches", "mm": "millimeters"}


@dataclass(frozen=True, slots=True)
class SheetPoint:
    """A mount in millimeters: rearward, to the right as seated, up."""

    name: str
    x: float
    y: float
    z: float


@dataclass(frozen=True, slots=True)
class SheetRail:
    """A rail from `start` to `end` in millimeters rearward: outer face and width; top and bottom where known."""

    start: float
    end: float
    outer: float
    width: float
    bottom: float | None = None
    top: float | None = None

    @property
    def edges(self) -> tuple[float, ...]:
        """Its lower and upper edge, as far as known."""
        return tuple(edge for edge in (self.bottom, self.top) if edge is not None)


@dataclass(frozen=True, slots=True)
class SheetArrow:
    """How far a point moved, in millimeters; drawn `BenchSheet.magnified` times as long."""

    at: SheetPoint
    x: float
    y: float
    z: float


@dataclass(frozen=True, slots=True)
class BenchSheet:
    """All that a sheet shows; its strings are already worded for people.

    `first` is drawn as rings, `second` as crosses, and where both agree as full dots. `unit_mm` is the millimeters
    of the unit that dimensions are written in.
    """

    title: str
    headline: str
    first: str
    second: str
    first_points: tuple[SheetPoint, ...]
    second_points: tuple[SheetPoint, ...]
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    first_rail: SheetRail | None = None
    second_rail: SheetRail | None = None
    arrows: tuple[SheetArrow, ...] = ()
    magnified: int = 1
    notes: tuple[str, ...] = ()
    footer: tuple[str, ...] = ()
    date: str = ""
    yard: str = ""
    unit: str = "in"
    unit_mm: float = 25.4


@dataclass(frozen=True, slots=True)
class _View:
    """Where a millimeter of the truck stands on the paper: x to the right, up or left-hand side upward."""

    left: float
    middle: float
    from_x: float
    from_up: float
    scale: float

    def at(self, x: float, up: float) -> tuple[float, float]:
        return self.left + (x - self.from_x) * self.scale, self.middle - (up - self.from_up) * self.scale


def compose(sheet: BenchSheet) -> list[Drawn]:
    """The pieces of the sheet, in millimeters of the paper."""
    pieces: list[Drawn] = list(_head(sheet))
    top = 26.0
    points = (*sheet.first_points, *sheet.second_points)
    if points:
        scale = _scale(points)
        plan, top = _plan_view(points, scale, top)
        pieces += _plan(sheet, plan)
        side, top = _side_view(sheet, points, scale, top)
        pieces += _side(sheet, side)
        pieces += _legend(sheet, scale, top)
        top += 5.0
    pieces += _table(sheet, top)
    return [*pieces, *_foot(sheet)]


def _head(sheet: BenchSheet) -> Iterator[Drawn]:
    yield Sign(Box(_LEFT, 6.0, _WIDTH * 0.74, 8.5), sheet.title, 5.2)
    right = Box(_LEFT + _WIDTH * 0.75, 6.0, _WIDTH * 0.25, 4.0)
    yield Words(right, sheet.yard, 2.2, 1.4, align="right")
    yield Words(Box(right.left, 10.4, right.width, 4.0), sheet.date, 2.2, 1.4, align="right")
    yield Words(Box(_LEFT, 15.2, _WIDTH, 8.0), sheet.headline, 2.5, 1.6, 2)
    yield Rule(Box(_LEFT, 23.6, _WIDTH, 0.4))


def _scale(points: Sequence[SheetPoint]) -> float:
    """Millimeters on the paper for one on the truck, so that length and width fit."""
    long = max(each.x for each in points) - min(each.x for each in points)
    wide = 2 * max(abs(each.y) for each in points)
    return min((_WIDTH - 16.0) / max(long, 1.0), 66.0 / max(wide, 1.0))


def _plan_view(points: Sequence[SheetPoint], scale: float, top: float) -> tuple[_View, float]:
    half = max(abs(each.y) for each in points) * scale
    long = (max(each.x for each in points) - min(each.x for each in points)) * scale
    left = _LEFT + (_WIDTH - long) / 2
    middle = top + 2 * _DIMENSION + 3.0 + half
    return _View(left, middle, min(each.x for each in points), 0.0, scale), middle + half + 3.0 + 2 * _DIMENSION


def _side_view(sheet: BenchSheet, points: Sequence[SheetPoint], scale: float, top: float) -> tuple[_View, float]:
    edges = [edge for rail in (sheet.first_rail, sheet.second_rail) if rail is not None for edge in rail.edges]
    high = max([*(each.z for each in points), *edges])
    low = min([*(each.z for each in points), *edges])
    long = (max(each.x for each in points) - min(each.x for each in points)) * scale
    middle = top + _VIEW_GAP + high * scale
    left = _LEFT + (_WIDTH - long) / 2
    return _View(left, middle, min(each.x for each in points), 0.0, scale), middle - low * scale + 6.5


def _plan(sheet: BenchSheet, view: _View) -> Iterator[Drawn]:
    points = (*sheet.first_points, *sheet.second_points)
    start, _ = view.at(min(each.x for each in points), 0.0)
    end, _ = view.at(max(each.x for each in points), 0.0)
    yield Stroke((start - 4, view.middle), (end + 4, view.middle), 0.15, 2.5)
    for rail, dash in ((sheet.first_rail, 0.0), (sheet.second_rail, 1.2)):
        if rail is not None:
            for side in (-1, 1):
                for face in (rail.outer, rail.outer - rail.width):
                    front, rear = _reach(rail, points)
                    ends = view.at(front, side * face), view.at(rear, side * face)
                    yield Stroke(*ends, 0.15, dash)
    # Seen from above with the front to the left, the left side of the truck is below.
    places = [[view.at(each.x, each.y) for each in of] for of in (sheet.first_points, sheet.second_points)]
    yield from _merged(*places)
    yield from _arrows(sheet, view, plan=True)
    half = max(abs(each.y) for each in points) * view.scale
    yield from _chain(sheet, sheet.first_points, view, view.middle - half - 3.0, up=True)
    yield from _chain(sheet, sheet.second_points, view, view.middle + half + 3.0, up=False)
    yield from _spreads(sheet, sheet.first_points, view, above=True)
    yield from _spreads(sheet, sheet.second_points, view, above=False)


def _reach(rail: SheetRail, points: Sequence[SheetPoint]) -> tuple[float, float]:
    """As much of the rail as lies between the mounts."""
    xs = [each.x for each in points]
    return max(rail.start, min(xs)), min(rail.end, max(xs))


def _merged(first: Sequence[tuple[float, float]], second: Sequence[tuple[float, float]]) -> Iterator[Drawn]:
    """Rings and crosses, and one full dot where the two would lie on each other."""
    left = list(second)
    for at in first:
        near = next((other for other in left if _near(at, other)), None)
        if near is None:
            yield Mark(at, "ring")
        else:
            left.remove(near)
            yield Mark(at, "dot")
    for at in left:
        yield Mark(at, "cross")


def _near(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return max(abs(one[0] - other[0]), abs(one[1] - other[1])) < _SAME_MM / 2


def _arrows(sheet: BenchSheet, view: _View, *, plan: bool) -> Iterator[Drawn]:
    for arrow in sheet.arrows:
        up, by = (arrow.at.y, arrow.y) if plan else (arrow.at.z, arrow.z)
        start = view.at(arrow.at.x, up)
        end = view.at(arrow.at.x + arrow.x * sheet.magnified, up + by * sheet.magnified)
        if max(abs(start[0] - end[0]), abs(start[1] - end[1])) > 1.0:
            yield Stroke(start, end, 0.4, head=1.6)


def _chain(sheet: BenchSheet, points: Sequence[SheetPoint], view: _View, base: float, *, up: bool) -> Iterator[Drawn]:
    """Dimensions along the truck: how far back each mount is, in two rows so that near ones do not touch."""
    way = -1 if up else 1
    last = [-1e9, -1e9]
    named = {round(each.x, 1): _short(each.name) for each in points}
    for x, name in sorted(named.items()):
        at, _ = view.at(x, 0.0)
        row = 0 if at - last[0] > 22.0 else 1
        if at - last[row] <= 22.0:
            continue
        last[row] = at
        out = base + way * _DIMENSION * (row + 1)
        yield Stroke((at, base), (at, base + way * (_DIMENSION * row + 0.8)), 0.15)
        box = Box(at - 11.0, out - (0.6 if up else 2.4), 22.0, 3.0)
        yield Words(box, f"{name} {_figure(sheet, x)}", 1.9, 1.2, align="center")


def _spreads(sheet: BenchSheet, points: Sequence[SheetPoint], view: _View, *, above: bool) -> Iterator[Drawn]:
    """Across the truck, from mount to mount, written beside the centerline."""
    across: dict[str, list[SheetPoint]] = {}
    for each in points:
        across.setdefault(each.name, []).append(each)
    last = -1e9
    for pair in sorted(across.values(), key=lambda each: each[0].x):
        at, _ = view.at(sum(each.x for each in pair) / len(pair), 0.0)
        if len(pair) == 2 and at - last > 15.0:
            last = at
            top = view.middle - 3.8 if above else view.middle + 0.8
            wide = abs(pair[0].y - pair[1].y)
            yield Words(Box(at - 8.0, top, 16.0, 3.0), f"↕{_figure(sheet, wide)}", 1.9, 1.2, align="center")


def _side(sheet: BenchSheet, view: _View) -> Iterator[Drawn]:
    points = (*sheet.first_points, *sheet.second_points)
    start, level = view.at(min(each.x for each in points), 0.0)
    end, _ = view.at(max(each.x for each in points), 0.0)
    yield Stroke((start - 4, level), (end + 4, level), 0.15, 2.5)
    for rail, dash in ((sheet.first_rail, 0.0), (sheet.second_rail, 1.2)):
        if rail is not None:
            for edge in rail.edges:
                front, rear = _reach(rail, points)
                yield Stroke(view.at(front, edge), view.at(rear, edge), 0.15, dash)
    places = [{view.at(each.x, each.z): None for each in of} for of in (sheet.first_points, sheet.second_points)]
    yield from _merged(list(places[0]), list(places[1]))
    yield from _arrows(sheet, view, plan=False)
    yield from _heights(sheet, sheet.first_points, view, above=True)
    yield from _heights(sheet, sheet.second_points, view, above=False)


def _heights(sheet: BenchSheet, points: Sequence[SheetPoint], view: _View, *, above: bool) -> Iterator[Drawn]:
    """How high each mount lies, over the first frame's marks and under the second's; of two sides the mean."""
    at_x: dict[str, list[SheetPoint]] = {}
    for each in points:
        at_x.setdefault(each.name, []).append(each)
    last = -1e9
    for pair in sorted(at_x.values(), key=lambda each: each[0].x):
        z = sum(each.z for each in pair) / len(pair)
        at, up = view.at(pair[0].x, z)
        if at - last > 15.0:
            last = at
            top = up - 4.8 if above else up + 1.9
            yield Words(Box(at - 8.0, top, 16.0, 3.0), _figure(sheet, z), 1.9, 1.2, align="center")


def _legend(sheet: BenchSheet, scale: float, top: float) -> Iterator[Drawn]:
    arrows = f", arrows {sheet.magnified} times as long as the move" if sheet.arrows else ""
    unit = _UNITS.get(sheet.unit, sheet.unit)
    words = f"1 : {1 / scale:.1f}   front at the left, left side below; figures in {unit}{arrows}"
    yield Mark((_LEFT + 1.5, top + 1.5), "ring")
    yield Words(Box(_LEFT + 4.0, top, 46.0, 3.2), sheet.first, 1.9, 1.2)
    yield Mark((_LEFT + 53.5, top + 1.5), "cross")
    yield Words(Box(_LEFT + 56.0, top, 46.0, 3.2), sheet.second, 1.9, 1.2)
    yield Mark((_LEFT + 105.5, top + 1.5), "dot")
    yield Words(Box(_LEFT + 108.0, top, 14.0, 3.2), "both", 1.9, 1.2)
    yield Words(Box(_LEFT + 122.0, top, _WIDTH - 122.0, 3.2), words, 1.9, 1.2, align="right")


def _table(sheet: BenchSheet, top: float) -> Iterator[Drawn]:
    """The table as large as it can be with the notes below it, in two blocks where it is long."""
    bottom = SHEET.height - 8.0 - _foot_height(sheet)
    note_cap = next((cap for cap in _NOTE_CAPS if _notes_height(sheet, cap) <= (bottom - top) * 0.6), _NOTE_CAPS[-1])
    room = bottom - top - _notes_height(sheet, note_cap) - 2.0
    blocks = 1 if (len(sheet.rows) + 1) * height_of(1, _LEAST_CAP) <= room else 2
    each = -(-len(sheet.rows) // blocks)
    width = (_WIDTH - 4.0 * (blocks - 1)) / blocks
    widths = [max(len(row[n]) for row in (sheet.head, *sheet.rows)) + 2 for n in range(len(sheet.head))]
    cap = min(_ROW_CAP, room / (each + 1) / height_of(1, 1.0), width / (sum(widths) * _column(1.0)))
    cap = max(cap, _LEAST_CAP * 0.8)
    pitch = height_of(1, cap)
    fitting = max(1, int(room / pitch) - 1)
    for block in range(blocks):
        part = [sheet.head, *sheet.rows[block * each : (block + 1) * each][:fitting]]
        yield from _block(part, widths, Box(_LEFT + block * (width + 4.0), top, width, pitch), cap)
    yield from _notes(sheet, top + (min(each, fitting) + 1) * pitch + 1.5, bottom, note_cap)


def _column(cap: float) -> float:
    """Millimeters a column of the table takes at a capital height in millimeters, with a dot to spare."""
    return cap / CAP * ADVANCE + 0.5 * 25.4 / 203


def _notes(sheet: BenchSheet, top: float, bottom: float, cap: float) -> Iterator[Drawn]:
    for note in sheet.notes:
        lines = len(wrap(plain(note), columns_in(_WIDTH, cap)))
        if note and top + height_of(lines, cap) <= bottom:
            yield Words(Box(_LEFT, top, _WIDTH, height_of(lines, cap)), note, cap, cap * 0.9, lines)
            top += height_of(lines, cap)


def _notes_height(sheet: BenchSheet, cap: float) -> float:
    columns = columns_in(_WIDTH, cap)
    return sum(height_of(len(wrap(plain(note), columns)), cap) for note in sheet.notes)


def _block(rows: Sequence[tuple[str, ...]], widths: Sequence[int], first: Box, cap: float) -> Iterator[Drawn]:
    each = min(first.width / sum(widths), _column(cap))
    for number, row in enumerate(rows):
        at = first.left
        for cell, columns in zip(row, widths, strict=True):
            box = Box(at, first.top + number * first.height, columns * each, first.height)
            if cell:
                yield Words(box, cell, cap, cap * 0.8)
            at += columns * each
    if any(rows[0]):
        below = first.top + first.height
        yield Stroke((first.left, below), (first.left + first.width, below), 0.2)


def _foot_height(sheet: BenchSheet) -> float:
    lines = sum(len(wrap(plain(words), columns_in(_WIDTH, 1.7))) for words in sheet.footer)
    return height_of(lines, 1.7) if lines else 0.0


def _foot(sheet: BenchSheet) -> Iterator[Drawn]:
    top = SHEET.height - 7.0 - _foot_height(sheet)
    for words in sheet.footer:
        lines = len(wrap(plain(words), columns_in(_WIDTH, 1.7)))
        yield Words(Box(_LEFT, top, _WIDTH, height_of(lines, 1.7)), words, 1.7, 1.3, lines)
        top += height_of(lines, 1.7)


def _short(name: str) -> str:
    """The first word where it is a mount's number, else the whole name."""
    first = name.split(" ")[0]
    return first if any(letter.isdigit() for letter in first) else name


def _figure(sheet: BenchSheet, mm: float) -> str:
    return f"{mm / sheet.unit_mm + 0.0:.2f}" if abs(mm) > 1e-9 else "0"
