"""Mounts and rails as a person types them, turned into rows of a survey."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.book.bench.readings import Taken, read_length
from app.book.facts import tool_named
from app.book.schema import SurveyPoint, SurveyStation
from app.errors import BadInput
from app.fit.lengths import Tool
from app.fit.terms import Section, Side


@dataclass(frozen=True, slots=True)
class TypedMount:
    """One reading of a mount as typed: rearward of the datum, out from the centerline, up; empty: not taken.

    A tool of one coordinate goes before `tool`. `carries` is what bolts on there.
    """

    mount: str
    side: Side
    x: str = ""
    y: str = ""
    z: str = ""
    tool: str = str(Tool.HOOK_TAPE)
    x_tool: str = ""
    y_tool: str = ""
    z_tool: str = ""
    kind: str = "hole"
    size: str = ""
    carries: str = "body"
    reading: int = 1

    @property
    def label(self) -> str:
        """The mount with its side, as it is called."""
        return f"{self.mount} {self.side}".rstrip()


@dataclass(frozen=True, slots=True)
class TypedStation:
    """The rail at one place as typed: the outer face from the centerline, sizes, top and bottom; empty: not taken."""

    station: str
    x: str
    side: Side = Side.NONE
    face: str = ""
    height: str = ""
    width: str = ""
    wall: str = ""
    top: str = ""
    bottom: str = ""
    tool: str = str(Tool.HOOK_TAPE)
    wall_tool: str = str(Tool.DIAL_CALIPER)
    section: Section | None = None
    fitted: str = ""
    reading: int = 1


def point_rows(mounts: Sequence[TypedMount]) -> list[SurveyPoint]:
    """The rows of these mounts, their lengths read.

    Raises:
        BadInput: a length that cannot be read, a mount without a name; the place names mount and coordinate.
    """
    return [_point(mount) for mount in mounts]


def _point(typed: TypedMount) -> SurveyPoint:
    if not typed.mount.strip():
        raise BadInput("a mount has no name", "Name it, such as M3 front floor.", place="mount")
    x, y, z = (_coordinate(typed, axis) for axis in "xyz")
    if typed.size.strip():
        read_length(typed.size, Tool.HOOK_TAPE, f"{typed.label}, size")
    return SurveyPoint(
        mount=typed.mount.strip(),
        side=typed.side,
        reading=typed.reading,
        x=typed.x,
        y=typed.y,
        z=typed.z,
        x_mm=x.mm if x else None,
        y_mm=y.mm if y else None,
        z_mm=z.mm if z else None,
        u_x_mm=x.u_mm if x else None,
        u_y_mm=y.u_mm if y else None,
        u_z_mm=z.u_mm if z else None,
        tool=str(tool_named(typed.tool)),
        x_tool=typed.x_tool,
        y_tool=typed.y_tool,
        z_tool=typed.z_tool,
        kind=typed.kind,
        size=typed.size,
        carries=typed.carries,
    )


def _coordinate(typed: TypedMount, axis: str) -> Taken | None:
    said = str(getattr(typed, axis))
    if not said.strip():
        return None
    tool = tool_named(str(getattr(typed, f"{axis}_tool")) or typed.tool)
    return read_length(said, tool, f"{typed.label}, {axis}", signed=True)


def station_rows(stations: Sequence[TypedStation]) -> list[SurveyStation]:
    """The rows of these places of the rail.

    Raises:
        BadInput: a length that cannot be read; the place names the station and the measure.
    """
    return [_station(station) for station in stations]


def _station(typed: TypedStation) -> SurveyStation:
    sizes = {
        name: _size(typed, name, typed.wall_tool if name == "wall" else typed.tool)
        for name in ("x", "face", "height", "width", "wall", "top", "bottom")
    }
    if sizes["x"] is None:
        raise BadInput("where along the rail is not said", "Type how far back it is.", place=f"{typed.station}, x")
    row = SurveyStation(
        station=typed.station,
        side=typed.side,
        reading=typed.reading,
        tool=str(tool_named(typed.tool)),
        wall_tool=str(tool_named(typed.wall_tool)),
        section=typed.section,
        fitted=typed.fitted,
    )
    for name, mm in sizes.items():
        setattr(row, name, getattr(typed, name))
        setattr(row, f"{name}_mm", mm)
    return row


def _size(typed: TypedStation, name: str, tool: str) -> float | None:
    said = str(getattr(typed, name))
    if not said.strip():
        return None
    return read_length(said, tool_named(tool), f"{typed.station}, {name}", signed=True).mm
