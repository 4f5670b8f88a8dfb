"""Rows of the book as frames for the computation: a design's reference, or all that was measured on a vehicle."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from app.book.bench.readings import Taken, deciding, refuse_mixed_units
from app.book.schema import (
    Fact,
    FrameDesign,
    FrameFact,
    FramePoint,
    FrameStation,
    FrameSurvey,
    SurveyMeasure,
    SurveyPoint,
    SurveyStation,
)
from app.errors import BadInput
from app.fit.frames.damage import DatumHeight, DiagonalPair
from app.fit.frames.shape import Doubt, FrameKind, FrameShape, Known, Mount, Obstacle, RailStation, Reading
from app.fit.lengths import Length, LengthUnit, Measured, Tool, parse_length, usual_doubt_mm
from app.fit.terms import Side

DIAGONAL = "diagonal"
RAIL = ("rail height", "rail width", "wall")
"""Names of survey measures that say the rail's size."""
SAID_AS = {"spread": Known.SPREAD.value}
"""Names a survey form uses for lengths that have a name of their own."""
_AXES = ("x", "y", "z")
_Point = TypeVar("_Point", SurveyPoint, FramePoint)


@dataclass(frozen=True, slots=True)
class SurveyRows:
    """One survey's rows, from the book or from a file."""

    points: Sequence[SurveyPoint] = ()
    stations: Sequence[SurveyStation] = ()
    measures: Sequence[SurveyMeasure] = ()
    look: FrameSurvey | None = None


@dataclass(frozen=True, slots=True)
class DesignRows:
    """One frame design's rows, from the book or from a file."""

    design: FrameDesign | None = None
    points: Sequence[FramePoint] = ()
    stations: Sequence[FrameStation] = ()
    facts: Sequence[tuple[Fact, FrameFact]] = ()


@dataclass(frozen=True, slots=True)
class Held:
    """A frame as it can be held against another.

    `left_out` says in words what was measured and cannot be used; `carries` is what bolts on at each mount.
    """

    shape: FrameShape
    words: str = ""
    stock_number: str = ""
    design: str = ""
    diagonals: tuple[DiagonalPair, ...] = ()
    heights: tuple[DatumHeight, ...] = ()
    left_out: tuple[str, ...] = ()
    carries: dict[str, str] = field(default_factory=dict)


def survey_held(name: str, surveys: Sequence[SurveyRows]) -> Held:
    """All surveys of one frame, first to last, as one frame: of two readings of a point the finer or later decides.

    Raises:
        BadInput: a point that is there twice with one number, units mixed, a minus where none can be.
    """
    points = [point for rows in surveys for point in rows.points]
    for rows in surveys:
        _check_points(rows.points)
    stations = [station for rows in surveys for station in rows.stations]
    measures = [measure for rows in surveys for measure in rows.measures]
    looks = [rows.look for rows in surveys if rows.look is not None]
    mounts, left_out = _mounts(points)
    look = looks[-1] if looks else None
    shape = FrameShape(
        name=name,
        kind=FrameKind.SURVEY,
        mounts=mounts,
        rail=_surveyed_rail(stations, measures),
        front=look.front if look else None,
        rear=look.rear if look else None,
        section=look.section if look else None,
        readings=tuple(_readings(measures)),
        obstacles=tuple(_obstacles((each.fitted, each.x_mm) for each in stations)),
        datum=next((each.datum for each in reversed(looks) if each.datum in {m.name for m in mounts}), ""),
        bad_repair=tuple(dict.fromkeys(str(sign) for each in looks for sign in each.bad_repair)),
    )
    return Held(
        shape,
        diagonals=diagonals_of(surveys),
        heights=tuple(_heights(stations)),
        left_out=left_out,
        carries={point.mount: point.carries for point in points},
    )


def design_held(name: str, rows: DesignRows) -> Held:
    """The reference of a frame design."""
    design = rows.design
    shape = FrameShape(
        name=name,
        kind=FrameKind.DESIGN,
        mounts=tuple(_design_mounts(rows.points)),
        rail=tuple(map(_design_station, _one_side(rows.stations))) or (_whole_rail(design) if design else ()),
        front=design.front if design else None,
        rear=design.rear if design else None,
        section=design.section if design else None,
        readings=tuple(_design_readings(rows)),
        obstacles=tuple(_obstacles((each.fitted, each.x_mm) for each in rows.stations)),
        datum=design.datum if design and design.datum in {point.mount for point in rows.points} else "",
    )
    words = design.name if design else ""
    return Held(shape, words=words, design=name, carries={point.mount: point.carries for point in rows.points})


def _check_points(points: Sequence[SurveyPoint]) -> None:
    kept: dict[tuple[str, Side, int], SurveyPoint] = {}
    for point in points:
        label = point_label(point)
        first = kept.setdefault((point.mount, point.side, point.reading), point)
        if (first.x_mm, first.y_mm, first.z_mm) != (point.x_mm, point.y_mm, point.z_mm):
            said = f"measured twice as reading {point.reading}: {_said(first)} and {_said(point)}"
            raise BadInput(said, "Take one out, or number the later one as the next reading.", place=label)
        if point.side is not Side.NONE and (point.y_mm or 0.0) < 0:
            said = f"y is {point.y}, and counts outward from the centerline on either side"
            raise BadInput(said, "Leave the minus off.", place=label)
    refuse_mixed_units([(f"{point_label(point)}, {axis}", getattr(point, axis)) for point in points for axis in _AXES])


def point_label(point: SurveyPoint) -> str:
    """A mount with its side, as it is called."""
    return f"{point.mount} {point.side}".rstrip()


def _said(point: SurveyPoint) -> str:
    return " / ".join(getattr(point, axis).strip() or "-" for axis in _AXES)


def _mounts(points: Sequence[SurveyPoint]) -> tuple[tuple[Mount, ...], tuple[str, ...]]:
    found, left_out = [], []
    for (name, side), readings in _by_mount(points).items():
        taken = [_axis(readings, axis) for axis in _AXES]
        missing = [axis for axis, each in zip(_AXES, taken, strict=True) if each is None]
        if missing:
            left_out.append(f"{name} {side}".rstrip() + f": {' and '.join(missing)} not measured")
        else:
            found.append(_mount(readings, side, [each for each in taken if each is not None]))
    return tuple(found), tuple(left_out)


def _axis(readings: Sequence[SurveyPoint], axis: str) -> Taken | None:
    said = (
        Taken(mm, getattr(each, f"u_{axis}_mm") or 0.0, getattr(each, f"{axis}_tool") or each.tool)
        for each in readings
        if (mm := getattr(each, f"{axis}_mm")) is not None
    )
    return deciding(said)


def _by_mount(points: Iterable[_Point]) -> dict[tuple[str, Side], list[_Point]]:
    """Readings by mount and side; one that stands for both sides counts for each where a side was taken apart."""
    listed = list(points)
    sided = {point.mount for point in listed if point.side is not Side.NONE}
    found: dict[tuple[str, Side], list[_Point]] = {}
    for point in listed:
        alike = point.side is Side.NONE and point.mount in sided
        for side in (Side.LH, Side.RH) if alike else (point.side,):
            found.setdefault((point.mount, side), []).append(point)
    return found


def _mount(readings: Sequence[SurveyPoint], side: Side, taken: Sequence[Taken]) -> Mount:
    point = readings[-1]
    sizes = [parse_length(each.size).mm for each in readings if each.size.strip()]
    x, y, z = taken
    tools = dict.fromkeys(each.tool for each in taken)
    return Mount(
        point.mount,
        side,
        x.mm,
        y.mm,
        z.mm,
        Doubt(x.u_mm, y.u_mm, z.u_mm),
        point.kind,
        sizes[-1] if sizes else None,
        tool=", ".join(tools),
    )


def _design_mounts(points: Iterable[FramePoint]) -> Iterator[Mount]:
    for (name, side), readings in _by_mount(points).items():
        taken = [_design_axis(readings, axis) for axis in _AXES]
        (x, y, z), last = taken, readings[-1]
        doubt = Doubt(x.u_mm, y.u_mm, z.u_mm)
        tools = ", ".join(dict.fromkeys(each.tool for each in taken if each.tool))
        size = next((each.size_mm for each in reversed(readings) if each.size_mm is not None), None)
        yield Mount(name, side, x.mm, y.mm, z.mm, doubt, last.kind, size, last.slot_mm, tools)


def _design_axis(readings: Sequence[FramePoint], axis: str) -> Taken:
    said = []
    for each in readings:
        u = getattr(each, f"u_{axis}_mm")
        said.append(Taken(getattr(each, f"{axis}_mm"), each.u_mm if u is None else u, each.tool))
    found = deciding(said)
    assert found is not None
    return found


def _whole_rail(design: FrameDesign) -> tuple[RailStation, ...]:
    sizes = (design.rail_height_mm, design.rail_width_mm, design.wall_mm)
    if not any(sizes):
        return ()
    outer = design.spread_mm / 2 if design.spread_mm else None
    return (RailStation(0.0, *sizes, outer_mm=outer, section=design.section),)


def _one_side(stations: Sequence[FrameStation]) -> list[FrameStation]:
    """Both rails alike; where they were told apart, the left one."""
    return [each for each in stations if each.side is not Side.RH]


def _design_station(row: FrameStation) -> RailStation:
    return RailStation(
        row.x_mm,
        row.height_mm,
        row.width_mm,
        row.wall_mm,
        row.face_mm,
        row.top_mm,
        row.bottom_mm,
        row.section,
        row.u_mm,
        row.u_mm,
    )


def _surveyed_rail(stations: Sequence[SurveyStation], measures: Sequence[SurveyMeasure]) -> tuple[RailStation, ...]:
    latest = {
        (each.station, each.side): each for each in stations if each.side is not Side.RH and each.x_mm is not None
    }
    return tuple(map(_surveyed_station, latest.values())) or _measured_rail(measures)


def _surveyed_station(row: SurveyStation) -> RailStation:
    u = max(usual_doubt_mm(Tool(row.tool), each) for each in (row.face_mm or 0.0, row.height_mm or 0.0))
    return RailStation(
        row.x_mm or 0.0,
        row.height_mm,
        row.width_mm,
        row.wall_mm,
        row.face_mm,
        row.top_mm,
        row.bottom_mm,
        row.section,
        u,
        usual_doubt_mm(Tool(row.wall_tool), row.wall_mm or 0.0),
    )


def _measured_rail(measures: Sequence[SurveyMeasure]) -> tuple[RailStation, ...]:
    by_name = _by_name(measures)
    height, width, wall = (by_name.get(name) for name in RAIL)
    if height is None and width is None and wall is None:
        return ()
    spread = by_name.get("spread") or by_name.get(Known.SPREAD.value)
    sizes = [each for each in (height, width, spread) if each is not None]
    return (
        RailStation(
            0.0,
            height.mm if height else None,
            width.mm if width else None,
            wall.mm if wall else None,
            spread.mm / 2 if spread else None,
            u_mm=max((each.u_mm for each in sizes), default=0.0),
            wall_u_mm=wall.u_mm if wall else 0.0,
        ),
    )


def _by_name(measures: Iterable[SurveyMeasure]) -> dict[str, Taken]:
    readings: dict[str, list[Taken]] = {}
    for each in measures:
        readings.setdefault(each.name, []).append(Taken(each.mm, each.u_mm, each.tool))
    return {name: found for name, taken in readings.items() if (found := deciding(taken)) is not None}


def _readings(measures: Iterable[SurveyMeasure]) -> Iterator[Reading]:
    for name, taken in _by_name(measures).items():
        if not name.startswith(DIAGONAL) and name not in RAIL:
            yield Reading(SAID_AS.get(name, name), taken.mm, taken.u_mm, taken.tool)


def _design_readings(rows: DesignRows) -> Iterator[Reading]:
    named = {fact.name for fact, _ in rows.facts}
    if rows.design is not None:
        for name, mm in ((Known.SPREAD, rows.design.spread_mm), (Known.WHEELBASE, rows.design.wheelbase_mm)):
            if mm is not None and name not in named:
                yield Reading(name.value, mm)
    for fact, row in rows.facts:
        if fact.kind.value == "length":
            mm = parse_length(row.value, fact.unit or "in").mm
            tool = Tool(row.tool) if row.tool else None
            doubt = row.u_mm if row.u_mm is not None else usual_doubt_mm(tool, mm) if tool else 0.0
            yield Reading(fact.name, mm, doubt, row.tool)


def _obstacles(fitted: Iterable[tuple[str, float | None]]) -> Iterator[Obstacle]:
    seen = set()
    for name, x_mm in fitted:
        if name and x_mm is not None and (name, x_mm) not in seen:
            seen.add((name, x_mm))
            yield Obstacle(name, x_mm)


def _heights(stations: Iterable[SurveyStation]) -> Iterator[DatumHeight]:
    for each in stations:
        if each.bottom_mm is not None and each.x_mm is not None:
            u = usual_doubt_mm(Tool(each.tool), each.bottom_mm)
            yield DatumHeight(each.station, each.x_mm, each.bottom_mm, each.side, u)


def diagonals_of(surveys: Sequence[SurveyRows]) -> tuple[DiagonalPair, ...]:
    """The two diagonals of each box; of a box measured again, the later or finer pair."""
    found: dict[str, DiagonalPair] = {}
    for rows in surveys:
        by_name = {each.name: each for each in rows.measures if each.name.startswith(DIAGONAL)}
        for name, first in by_name.items():
            second = by_name.get(f"{name[:-1]}2")
            if not name.endswith("1") or second is None:
                continue
            box = name.removeprefix(DIAGONAL)[:-1].strip()
            pair = DiagonalPair(box, _as_measured(first), _as_measured(second))
            if box not in found or _pair_takes_over(pair, found[box]):
                found[box] = pair
    return tuple(found.values())


def _as_measured(row: SurveyMeasure) -> Measured:
    return Measured(Length(row.typed, row.mm, LengthUnit.INCH), Tool(row.tool), row.u_mm)


def _pair_takes_over(later: DiagonalPair, earlier: DiagonalPair) -> bool:
    pairs = ((later.first, earlier.first), (later.second, earlier.second))
    return any(takes_over_measured(new, old) for new, old in pairs)


def takes_over_measured(new: Measured, old: Measured) -> bool:
    """Whether a later measurement decides over an earlier one."""
    return new.u_mm <= old.u_mm or abs(new.length.mm - old.length.mm) > new.u_mm + old.u_mm
