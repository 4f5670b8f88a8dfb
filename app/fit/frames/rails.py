"""Rails along their length: what a rail measures at any place, and how two differ where both reach."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from app.fit.frames.comparison import CompareSettings, RailCheck
from app.fit.frames.motion import Rigid
from app.fit.frames.shape import RailStation
from app.fit.frames.verdicts import Verdict, figure, judge, length

Rail = Sequence[RailStation]

_FUZZ_MM = 1e-6


def rail_at(rail: Rail, x_mm: float) -> RailStation | None:
    """The rail at a place: between two stations in proportion, a single station standing for the whole length.

    None beyond the first and the last station. Where the section changes between two stations it is not known.
    """
    if len(rail) == 1:
        return replace(rail[0], x_mm=x_mm)
    for station in rail:
        if abs(station.x_mm - x_mm) <= _FUZZ_MM:
            return station
    for one, other in pairwise(rail):
        if one.x_mm < x_mm < other.x_mm:
            return _between(one, other, x_mm)
    return None


def _between(one: RailStation, other: RailStation, x_mm: float) -> RailStation:
    share = (x_mm - one.x_mm) / (other.x_mm - one.x_mm)

    def part(a: float | None, b: float | None) -> float | None:
        return None if a is None or b is None else a + (b - a) * share

    return RailStation(
        x_mm=x_mm,
        height_mm=part(one.height_mm, other.height_mm),
        width_mm=part(one.width_mm, other.width_mm),
        wall_mm=part(one.wall_mm, other.wall_mm),
        outer_mm=part(one.outer_mm, other.outer_mm),
        top_mm=part(one.top_mm, other.top_mm),
        bottom_mm=part(one.bottom_mm, other.bottom_mm),
        section=one.section if one.section is other.section else None,
        u_mm=max(one.u_mm, other.u_mm),
        wall_u_mm=max(one.wall_u_mm, other.wall_u_mm),
    )


def moved_rail(rail: Rail, motion: Rigid) -> tuple[RailStation, ...]:
    """The rail where a motion puts it; its own sizes stay."""

    def up(x: float, z: float | None) -> float | None:
        return None if z is None else motion.apply((x, 0.0, z))[2]

    return tuple(
        replace(
            each,
            x_mm=motion.apply((each.x_mm, 0.0, 0.0))[0],
            top_mm=up(each.x_mm, each.top_mm),
            bottom_mm=up(each.x_mm, each.bottom_mm),
        )
        for each in rail
    )


def common_places(a: Rail, b: Rail) -> tuple[float, ...]:
    """The stations of either rail that both reach, from front to rear; a single station needs no place of its own."""
    if not a or not b:
        return ()
    stations = [rail for rail in (a, b) if len(rail) > 1] or [a]
    places = sorted({each.x_mm for rail in stations for each in rail})
    return tuple(x for x in places if rail_at(a, x) is not None and rail_at(b, x) is not None)


@dataclass(frozen=True, slots=True)
class _Measure:
    """One measure of a rail, how to read it and what more and less are called."""

    name: str
    read: Callable[[RailStation], float | None]
    more: str
    less: str


_MEASURES = (
    _Measure("height", lambda each: each.height_mm, "taller", "shorter"),
    _Measure("width", lambda each: each.width_mm, "wider", "narrower"),
    _Measure("wall", lambda each: each.wall_mm, "thicker", "thinner"),
    _Measure("spread", lambda each: None if each.outer_mm is None else 2 * each.outer_mm, "wider", "narrower"),
    _Measure("top", lambda each: each.top_mm, "up", "down"),
    _Measure("bottom", lambda each: each.bottom_mm, "up", "down"),
)


def compare_rails(a: Rail, b: Rail, settings: CompareSettings) -> tuple[RailCheck, ...]:
    """Height, width, wall, spread, flanges and section at every place that both rails reach, in checked frames."""
    found = []
    for x in common_places(a, b):
        one, other = rail_at(a, x), rail_at(b, x)
        if one is not None and other is not None:
            found += [check for measure in _MEASURES if (check := _check(measure, one, other, settings)) is not None]
            found += [_section(one, other)] if one.section and other.section else []
    return tuple(found)


def _check(measure: _Measure, one: RailStation, other: RailStation, settings: CompareSettings) -> RailCheck | None:
    a, b = measure.read(one), measure.read(other)
    if a is None or b is None:
        return None
    wall = measure.name == "wall"
    doubts = tuple(each.wall_u_mm if wall else each.u_mm for each in (one, other))
    allowed = (settings.wall_ratio - 1.0) * min(a, b) if wall else settings.rail_mm
    judged = judge(b - a, doubts, allowed, settings.unit)
    said = f"{figure(a, settings.unit)} against {length(b, settings.unit)}"
    if abs(b - a) > _FUZZ_MM:
        said += f": {length(abs(b - a), settings.unit)} {measure.more if b > a else measure.less}"
    again = ", measure again" if judged.verdict is Verdict.MEASURE_AGAIN else ""
    words = f"{measure.name} {said}{again}"
    shown = (length(a, settings.unit), length(b, settings.unit))
    return RailCheck(one.x_mm, measure.name, *shown, b - a, judged.doubt_mm, judged.verdict, words)


def _section(one: RailStation, other: RailStation) -> RailCheck:
    verdict = Verdict.SAME if one.section is other.section else Verdict.DIFFERENT
    words = (
        f"section {one.section} on both" if one.section is other.section else f"{one.section} against {other.section}"
    )
    return RailCheck(one.x_mm, "section", str(one.section), str(other.section), None, 0.0, verdict, words)
