"""How far a rail runs straight and free from a cut, and what ends the run."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from app.fit.frames.joints import JoinSettings
from app.fit.frames.rails import Rail, rail_at
from app.fit.frames.shape import FrameShape, RailStation

_FUZZ_MM = 1e-6
_END = "the rail's end"
_NOT_STRAIGHT = "where the rail stops being straight"

Read = Callable[[RailStation], float | None]
_FACES: tuple[Read, ...] = (
    lambda each: each.outer_mm,
    lambda each: None if each.outer_mm is None or each.width_mm is None else each.outer_mm - each.width_mm,
    lambda each: each.top_mm,
    lambda each: each.bottom_mm,
)
"""What must keep to a straight line."""
_SIZES: tuple[Read, ...] = (lambda each: each.height_mm, lambda each: each.width_mm)
"""What must stay the same, or the sleeve jams."""


@dataclass(frozen=True, slots=True)
class Stop:
    """What ends a run and where."""

    x_mm: float
    name: str


def stops_of(shape: FrameShape, shift_mm: float = 0.0) -> tuple[Stop, ...]:
    """Mounts and other things on a rail that a sleeve keeps clear of, from front to rear."""
    found = {Stop(mount.x_mm + shift_mm, mount.name) for mount in shape.mounts}
    found |= {Stop(each.x_mm + shift_mm, each.name) for each in shape.obstacles}
    return tuple(sorted(found, key=lambda stop: (stop.x_mm, stop.name)))


def run_end(rail: Rail, stops: Sequence[Stop], x_mm: float, way: int, settings: JoinSettings) -> Stop | None:
    """The first thing that ends the straight free run from a cut, forward (way -1) or rearward (way 1).

    None where nothing on a rail known at one place only is in the way: how far it runs was not measured.
    """
    ahead = [stop for stop in stops if (stop.x_mm - x_mm) * way > -_FUZZ_MM]
    ends = [min(ahead, key=lambda stop: abs(stop.x_mm - x_mm))] if ahead else []
    if len(rail) > 1:
        ends.append(_straight_end(rail, x_mm, way, settings))
    return min(ends, key=lambda stop: abs(stop.x_mm - x_mm), default=None)


def _straight_end(rail: Rail, x_mm: float, way: int, settings: JoinSettings) -> Stop:
    here = rail_at(rail, x_mm)
    beyond = sorted(
        (each for each in rail if (each.x_mm - x_mm) * way > _FUZZ_MM), key=lambda each: abs(each.x_mm - x_mm)
    )
    if here is None or not beyond:
        return Stop(x_mm, _END)
    last = x_mm
    for station in beyond:
        if not (_on_line(here, beyond[0], station, settings) and _as_big(here, station, settings)):
            return Stop(last, _NOT_STRAIGHT)
        last = station.x_mm
    return Stop(last, _END)


def _on_line(here: RailStation, next_one: RailStation, station: RailStation, settings: JoinSettings) -> bool:
    """Whether every face at a station still lies on the line that it leaves the cut with."""
    reach = (station.x_mm - here.x_mm) / (next_one.x_mm - here.x_mm)
    for read in _FACES:
        start, direction, there = read(here), read(next_one), read(station)
        if start is not None and direction is not None and there is not None:
            off = there - (start + (direction - start) * reach)
            if abs(off) > settings.straight_mm + _FUZZ_MM:
                return False
    return True


def _as_big(here: RailStation, station: RailStation, settings: JoinSettings) -> bool:
    if station.section is not here.section:
        return False
    for read in _SIZES:
        one, other = read(here), read(station)
        if one is not None and other is not None and abs(one - other) > settings.step_mm + _FUZZ_MM:
            return False
    return True


def slope(rail: Rail, x_mm: float, way: int, read: Read) -> float | None:
    """How a face leaves the cut, in mm a mm rearward; zero for a rail known at one place."""
    if len(rail) == 1:
        return 0.0
    here = rail_at(rail, x_mm)
    beyond = [each for each in rail if (each.x_mm - x_mm) * way > _FUZZ_MM]
    if here is None or not beyond:
        return None
    there = min(beyond, key=lambda each: abs(each.x_mm - x_mm))
    one, other = read(here), read(there)
    return None if one is None or other is None else (other - one) / (there.x_mm - x_mm)


OUTER, TOP = _FACES[0], _FACES[2]
