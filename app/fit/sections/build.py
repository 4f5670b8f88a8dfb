"""A rail from its kind and sizes, or from words such as "open 8.25x2.80x0.220"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from enum import StrEnum

from app.fit.lengths import LengthError, parse_length
from app.fit.sections.rails import Boxed, OpenChannel, Plated, PlateOn, Rail, SectionError, Tube


class RailKind(StrEnum):
    """What kind of rail, as it is typed."""

    BOXED = "boxed"
    OPEN = "open"
    TUBE = "tube"
    PART_BOXED = "part-boxed"


_LIKE = 'Write it like "open 8.25x2.80x0.220" or "boxed 180x73x3.8 mm r8"'
_RADIUS = re.compile(r"\s+r\s*([0-9./ ]+(?:in|mm|cm|\")?)$")
_UNIT = re.compile(r"(in|mm|cm|\")\s*$")


def rail_of(
    kind: RailKind,
    sizes_mm: Sequence[float],
    radius_mm: float = 0.0,
    plate_mm: float | None = None,
    plate_on: PlateOn = PlateOn.OPEN_SIDE,
) -> Rail:
    """A rail of height, width and wall in mm; a tube of diameter and wall. A plate not given is as thick as the wall.

    SectionError names what is missing or cannot be.
    """
    if kind is RailKind.TUBE:
        return _tube(sizes_mm, radius_mm)
    if len(sizes_mm) != 3:
        raise SectionError(
            f"{len(sizes_mm)} sizes are not the three of a {kind} rail", "Give height, width and wall", place="sizes"
        )
    height, width, wall = sizes_mm
    if kind is RailKind.BOXED:
        return Boxed(height, width, wall, radius_mm)
    rail = OpenChannel(height, width, wall, radius_mm)
    return rail if kind is RailKind.OPEN else Plated(rail, wall if plate_mm is None else plate_mm, plate_on)


def _tube(sizes: Sequence[float], radius: float) -> Tube:
    if len(sizes) == 3 and sizes[0] != sizes[1]:
        raise SectionError(
            "a round tube has one diameter", "Give diameter and wall; a rectangular one is boxed", place="width"
        )
    if len(sizes) not in (2, 3):
        raise SectionError(f"{len(sizes)} sizes are none of a tube", "Give diameter and wall", place="sizes")
    if radius:
        raise SectionError("a round tube has no corners", "Leave the radius out", place="radius")
    return Tube(sizes[0], sizes[-1])


def read_rail(text: str) -> Rail:
    """A rail from words: its kind, sizes with x between them, and perhaps r and the outer corner radius.

    Inches unless a unit is typed; a unit behind the last size goes for all. SectionError, LengthError.
    """
    plain = " ".join(text.replace("×", "x").split())
    name, _, rest = plain.partition(" ")
    kinds = {kind.value: kind for kind in RailKind}
    if name.lower() not in kinds:
        raise SectionError(f"{name!r} is none of {', '.join(kinds)}", _LIKE, place="kind")
    corner = _RADIUS.search(rest)
    sizes = (rest[: corner.start()] if corner else rest).lower().split("x")
    unit = _UNIT.search(sizes[-1])
    default = {'"': "in"}.get(unit.group(1), unit.group(1)) if unit else "in"
    try:
        lengths = [parse_length(size.strip(), default).mm for size in sizes]
        radius = parse_length(corner.group(1).strip(), default).mm if corner else 0.0
    except LengthError as error:
        raise SectionError(error.title, _LIKE, place=text) from error
    return rail_of(kinds[name.lower()], lengths, radius)
