"""What is typed at the bench: lengths, points of a front view, rails in words, torsion bars."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import click

from app.errors import BadInput
from app.fit.lengths import MM_PER_INCH, Length, Measured, Tool, in_words, measured, parse_length

if TYPE_CHECKING:
    from app.fit.sections.rails import Rail
    from app.fit.suspension.geometry import Point
    from app.fit.suspension.springs import TorsionBar

    ParamType = click.ParamType[Any]
else:
    # Only newer versions of click can be told what a type gives back.
    ParamType = click.ParamType

_BAR = re.compile(r"(?P<length>.+?)\s*x\s*(?P<size>.+?)(?:\s+(?P<shape>round|hex))?$")


def _place(param: click.Parameter | None) -> str:
    return param.opts[0] if param is not None and param.opts else "length"


class LengthKind(ParamType):
    """A length with or without its unit, inches else; `signed` lets a minus stand in front."""

    name = "length"

    def __init__(self, *, signed: bool = False) -> None:
        self.signed = signed

    def convert(self, value: Any, param: click.Parameter | None, _ctx: click.Context | None) -> Length:
        """The length as typed and in millimeters."""
        if isinstance(value, Length):
            return value
        try:
            return parse_length(value, signed=self.signed)
        except BadInput as error:
            raise BadInput(error.title, error.remedy, place=_place(param), details=error.details) from error


class MeasuredLength(ParamType):
    """LENGTH or LENGTH@TOOL, a hook tape when no tool is named."""

    name = "length[@tool]"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Measured:
        """The length with its tool's usual doubt."""
        if isinstance(value, Measured):
            return value
        typed, at, said = str(value).rpartition("@")
        tools = {tool.value: tool for tool in Tool}
        name = " ".join(said.lower().split()) if at else Tool.HOOK_TAPE.value
        if name not in tools:
            self.fail(f"{said!r} is none of: {', '.join(tools)}", param, ctx)
        length = LENGTH.convert(typed if at else said, param, ctx)
        return measured(length.typed, tools[name])


class PointKind(ParamType):
    """A point Y,Z: outboard from the truck's centerline, and up."""

    name = "y,z"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Point:
        """The point in millimeters."""
        from app.fit.suspension.geometry import Point

        if isinstance(value, Point):
            return value
        parts = str(value).split(",")
        if len(parts) != 2:
            self.fail(f"{value!r} is no point such as 14.5,7.25 or 368mm,184mm", param, ctx)
        signed = LengthKind(signed=True)
        return Point(*(signed.convert(part.strip(), param, ctx).mm for part in parts))


class RailInWords(ParamType):
    """A rail such as "open 8.25x2.80x0.220"."""

    name = "rail"

    def convert(self, value: Any, _param: click.Parameter | None, _ctx: click.Context | None) -> Rail:
        """The rail."""
        from app.fit.sections.build import read_rail

        return read_rail(value) if isinstance(value, str) else value


class Bar(ParamType):
    """A torsion bar such as "46.50x1.25 hex": the length that twists, and its width."""

    name = "bar"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> TorsionBar:
        """The bar."""
        from app.fit.suspension.springs import BarShape, TorsionBar

        if isinstance(value, TorsionBar):
            return value
        found = _BAR.fullmatch(" ".join(str(value).lower().replace("×", "x").split()))
        if found is None:
            self.fail(f'{value!r} is no bar such as "46.50x1.25 hex" or "1180mm x 27mm round"', param, ctx)
        length, size = (LENGTH.convert(found[part], param, ctx).mm for part in ("length", "size"))
        return TorsionBar(length, size, BarShape(found["shape"] or BarShape.ROUND))


LENGTH = LengthKind()
OFFSET = LengthKind(signed=True)
MEASURED_LENGTH = MeasuredLength()
POINT = PointKind()
RAIL = RailInWords()
BAR = Bar()


def both(mm: float) -> str:
    """A length in inches with millimeters beside it."""
    return f"{in_words(mm)} ({in_words(mm, 'mm')})"


def inches(mm: float, power: int = 1) -> float:
    """Millimeters, or a power of them, in inches to that power."""
    return mm / float(MM_PER_INCH) ** power
