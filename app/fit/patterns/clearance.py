"""What a pair of points leaves free: holes by their bolts, slots along their run, pads in height, pins not at all.

A hole or slot leaves a bolt half the difference of their sizes; two holes with one bolt leave what both leave
together, or what the one lacks that the bolt does not pass. The smaller of two pads lies wholly on the larger.
Plain geometry, common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from app.fit.patterns.errors import PatternError
from app.fit.patterns.points import Kind, Point, View
from app.fit.patterns.problem import Bools, Floats, Ints, Problem, Slides

_LEAST_REACH_MM = 1e-8


@dataclass(frozen=True, slots=True)
class Fastening:
    """What goes between the two patterns.

    `bolt_mm` is the bolt's diameter, one for all or by the point's name (with or without its side);
    `allowance_mm` is how far a pair may be off where no sizes say it.
    """

    bolt_mm: float | Mapping[str, float] | None = None
    allowance_mm: float | None = None

    def bolt(self, point: Point) -> float:
        """The bolt of this point, NaN where none is known."""
        if isinstance(self.bolt_mm, Mapping):
            return float(self.bolt_mm.get(point.said, self.bolt_mm.get(point.name, np.nan)))
        return np.nan if self.bolt_mm is None else float(self.bolt_mm)


@dataclass(frozen=True, slots=True)
class Column:
    """One point of N like patterns: `first` stands for what they share, the arrays hold what they do not."""

    first: Point
    position: Floats
    size: Floats
    length: Floats
    height: Floats
    u: Floats
    direction: Floats
    axis: Floats


@dataclass(frozen=True, slots=True)
class Joined:
    """Pairs of points as B fits: the problem, each row's doubt (B, rows), its pair, and pairs that can never meet."""

    problem: Problem
    doubt: Floats
    pair: Ints
    blocked: tuple[tuple[int, str], ...]

    def sure(self, mm: float = 0.0) -> Problem:
        """The fits with what is left of the clearances when all doubt goes against them."""
        return self.problem.with_clearance(self.problem.clearance - self.doubt + mm)

    def possible(self, mm: float = 0.0) -> Problem:
        """The fits with what the clearances may be when all doubt goes for them."""
        return self.problem.with_clearance(self.problem.clearance + self.doubt + mm)

    def take(self, rows: Ints | Bools) -> Joined:
        """The fits of these rows."""
        return Joined(self.problem.take(rows), self.doubt[rows], self.pair, self.blocked)


@dataclass(slots=True)
class _Slide:
    row: int
    on_part: bool
    along: Floats
    reach: Floats


@dataclass(slots=True)
class _Rows:
    """The rows as they gather."""

    size: int
    a: list[Floats] = field(default_factory=list)
    b: list[Floats] = field(default_factory=list)
    clearance: list[Floats] = field(default_factory=list)
    doubt: list[Floats] = field(default_factory=list)
    pair: list[int] = field(default_factory=list)
    counts: list[bool] = field(default_factory=list)
    slides: list[_Slide] = field(default_factory=list)
    across: dict[int, Floats] = field(default_factory=dict)
    mate: dict[int, int] = field(default_factory=dict)

    def free(self, row: int, way: Floats, on_part: bool) -> None:
        """Nothing holds this row along a unit way (N, d)."""
        if on_part:
            self.slides.append(_Slide(row, on_part, way, np.full(len(way), np.inf)))
            return
        before = self.across.get(row, np.eye(way.shape[1])[None])
        self.across[row] = before - way[:, :, None] * way[:, None, :]

    def add(self, at: int, one: Column, other: Column, clearance: Floats) -> int:
        """A row for a pair; its number."""
        self.a.append(one.position)
        self.b.append(other.position)
        self.clearance.append(clearance)
        self.doubt.append(one.u + other.u)
        self.pair.append(at)
        self.counts.append(one.first.required and other.first.required)
        return len(self.pair) - 1


def column(points: Sequence[Point]) -> Column:
    """One point of several like patterns as arrays; missing sizes are NaN."""
    dimensions = len(points[0].position)
    none = (np.nan,) * dimensions

    def numbers(name: str) -> Floats:
        return np.array([getattr(point, name) for point in points], dtype=float)

    def ways(name: str) -> Floats:
        found: Floats = np.array([getattr(point, name) or none for point in points], dtype=float)
        unit: Floats = found / np.linalg.norm(found, axis=1, keepdims=True)
        return unit

    position: Floats = np.array([point.position for point in points], dtype=float)
    size, length, height, u = (numbers(name) for name in ("size_mm", "length_mm", "height_mm", "u_mm"))
    return Column(points[0], position, size, length, height, u, ways("direction"), ways("axis"))


def join(part: Sequence[Column], vehicle: Sequence[Column], fastening: Fastening, view: View) -> Joined:
    """The fits of part points on vehicle points, pair by pair; a column of one pattern serves for all.

    PatternError names the point whose size is missing.
    """
    size = max(len(each.position) for each in (*part, *vehicle))
    rows = _Rows(size)
    blocked = []
    for at, (one, other) in enumerate(zip(part, vehicle, strict=True)):
        why = _blocked(one.first, other.first)
        if why:
            blocked.append((at, why))
            rows.add(at, one, other, np.zeros(size))
        elif one.first.kind is Kind.PAD:
            _join_pads(rows, at, one, other, fastening, view)
        else:
            _join_round(rows, at, one, other, fastening)
    return Joined(_problem(rows), _stack(rows.doubt, size), np.array(rows.pair, dtype=np.intp), tuple(blocked))


def _blocked(one: Point, other: Point) -> str:
    kinds = {one.kind, other.kind}
    open_ones = kinds & {Kind.HOLE, Kind.SLOT}
    if kinds == {Kind.PAD} or (open_ones and Kind.PAD not in kinds):
        return ""
    return f"{one.said}: a {one.kind} cannot go on a {other.kind}"


def _join_round(rows: _Rows, at: int, one: Column, other: Column, fastening: Fastening) -> None:
    row = rows.add(at, one, other, _room(one, other, fastening))
    for each, on_part in ((one, True), (other, False)):
        if each.first.kind is Kind.SLOT:
            width = np.where(np.isnan(each.size), 0.0, each.size)
            reach = np.maximum((each.length - width) / 2, _LEAST_REACH_MM)
            rows.slides.append(_Slide(row, on_part, each.direction, reach))
    if one.position.shape[1] == 3 and (one.first.axis or other.first.axis):
        _along_axis(rows, row, at, one, other)


def _along_axis(rows: _Rows, row: int, at: int, one: Column, other: Column) -> None:
    """Along its bolt a pair is free, or held by its height allowance in a row of its own."""
    on_part = other.first.axis is None
    axis = one.axis if on_part else other.axis
    rows.free(row, axis, on_part)
    height = _height(one, other)
    if height is not None:
        rows.mate[row] = rows.add(at, one, other, height)
        _hold_height(rows, rows.mate[row], axis, on_part)


def _join_pads(rows: _Rows, at: int, one: Column, other: Column, fastening: Fastening, view: View) -> None:
    flat = one.position.shape[1] == 2
    on_part = other.first.axis is None and one.first.axis is not None
    axis = one.axis if on_part else other.axis
    axis = np.where(np.isnan(axis), np.array([0.0, 1.0] if flat else [0.0, 0.0, 1.0]), axis)
    if not flat or view in (View.SIDE, View.FRONT):
        height = _height(one, other)
        if height is None:
            height = _allowed(fastening, one, other, "how far its height may be off")
        _hold_height(rows, rows.add(at, one, other, height), axis, on_part)
    if one.first.size_mm is not None and other.first.size_mm is not None:
        row = rows.add(at, one, other, np.abs(one.size - other.size) / 2)
        if not flat or view in (View.SIDE, View.FRONT):
            rows.free(row, axis, on_part)


def _hold_height(rows: _Rows, row: int, axis: Floats, on_part: bool) -> None:
    """Only the height counts in this row: everything across the axis slides."""
    for across in _across(axis):
        rows.free(row, across, on_part)


def _across(axis: Floats) -> list[Floats]:
    """Unit vectors square to the axis and to each other, one in 2-D and two in 3-D."""
    if axis.shape[1] == 2:
        return [np.stack([axis[:, 1], -axis[:, 0]], axis=1)]
    least = np.eye(3)[np.argmin(np.abs(axis), axis=1)]
    first = np.cross(axis, least)
    first /= np.linalg.norm(first, axis=1, keepdims=True)
    return [first, np.cross(axis, first)]


def _height(one: Column, other: Column) -> Floats | None:
    """Both height allowances together; None where neither is given."""
    if one.first.height_mm is None and other.first.height_mm is None:
        return None
    return np.nan_to_num(one.height) + np.nan_to_num(other.height)


def _room(one: Column, other: Column, fastening: Fastening) -> Floats:
    """The radial clearance of a pair that is round or slotted."""
    known = one.first.size_mm is not None and other.first.size_mm is not None
    kinds = {one.first.kind, other.first.kind}
    if kinds <= {Kind.HOLE, Kind.SLOT}:
        bolt = fastening.bolt(one.first)
        if known and not np.isnan(bolt):
            first, second = (one.size - bolt) / 2, (other.size - bolt) / 2
            return np.where(np.minimum(first, second) < 0, np.minimum(first, second), first + second)
        missing = "its size" if not known else "the bolt that goes through it"
        return _allowed(fastening, one, other, missing)
    if known:
        sign = 1.0 if one.first.kind in (Kind.HOLE, Kind.SLOT) else -1.0
        return sign * (one.size - other.size) / 2
    if Kind.PIN in kinds:
        return np.zeros(max(len(one.size), len(other.size)))
    return _allowed(fastening, one, other, "its size")


def _allowed(fastening: Fastening, one: Column, other: Column, missing: str) -> Floats:
    if fastening.allowance_mm is not None:
        return np.full(max(len(one.size), len(other.size)), float(fastening.allowance_mm))
    lacks = other if one.first.size_mm is not None and other.first.size_mm is None else one
    whose = "the vehicle" if lacks is other else "the part"
    title = f"{lacks.first.said} on {whose} does not say {missing}"
    remedy = f"Give {missing} for {lacks.first.said}, or an allowance in mm for what the sizes leave open"
    raise PatternError(title, remedy, place=lacks.first.said)


def _stack(columns: list[Floats], size: int) -> Floats:
    return np.stack([np.broadcast_to(each, (size, *each.shape[1:])) for each in columns], axis=1)


def _problem(rows: _Rows) -> Problem:
    size, dimensions = rows.size, rows.a[0].shape[1] if rows.a else 2
    slides = Slides(
        np.array([each.row for each in rows.slides], dtype=np.intp),
        np.array([each.on_part for each in rows.slides], dtype=bool),
        _stack([each.along for each in rows.slides], size) if rows.slides else np.zeros((size, 0, dimensions)),
        _stack([each.reach for each in rows.slides], size) if rows.slides else np.zeros((size, 0)),
    )
    counts = np.broadcast_to(np.array(rows.counts, dtype=bool), (size, len(rows.counts)))
    across = None
    if rows.across:
        whole = np.eye(dimensions)[None]
        across = _stack([rows.across.get(row, whole) for row in range(len(rows.pair))], size)
    mate = np.array([rows.mate.get(row, -1) for row in range(len(rows.pair))], dtype=np.intp)
    arrays = _stack(rows.a, size), _stack(rows.b, size), _stack(rows.clearance, size)
    return Problem(*arrays, slides, counts, across, mate)
