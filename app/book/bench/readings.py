"""Of several readings of one length, which decides: the finer, and a later one that contradicts it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from app.errors import BadInput
from app.fit.lengths import LengthUnit, Tool, parse_length, usual_doubt_mm

LONGEST_MM = 12_000.0
"""No frame is longer; common practice, no source."""

_UNIT = re.compile(r"[A-Za-z\"'′″’”]")
_METRIC = (LengthUnit.MM, LengthUnit.CM, LengthUnit.METER)


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading of a length in millimeters with its doubt and tool."""

    mm: float
    u_mm: float
    tool: str = ""


T = TypeVar("T", bound=Taken)


def deciding(readings: Iterable[T]) -> T | None:
    """The reading that decides, from the first to the last; None where there is none.

    A later reading takes over when it is at least as fine, or when the two cannot both be true.
    """
    found: T | None = None
    for reading in readings:
        if found is None or takes_over(reading, found):
            found = reading
    return found


def takes_over(later: Taken, earlier: Taken) -> bool:
    """Whether a later reading decides over an earlier one."""
    return later.u_mm <= earlier.u_mm or abs(later.mm - earlier.mm) > later.u_mm + earlier.u_mm


def read_length(typed: str, tool: Tool, place: str, *, signed: bool = False) -> Taken:
    """A length as typed, with its tool's usual doubt.

    Raises:
        BadInput: it cannot be read, or is longer than any frame; the place is named.
    """
    try:
        length = parse_length(typed, signed=signed)
    except BadInput as error:
        error.place = place
        raise
    if abs(length.mm) > LONGEST_MM:
        said = f"{typed.strip()} is {abs(length.mm) / 304.8:,.0f} feet, longer than any frame"
        raise BadInput(said, "Type its unit, such as 812 mm, or measure it again.", place=place)
    return Taken(length.mm, usual_doubt_mm(tool, length.mm), str(tool))


def refuse_mixed_units(typed: Sequence[tuple[str, str]]) -> None:
    """Pairs of a place and a length as typed: bare figures beside metric ones are no survey.

    Raises:
        BadInput: naming the place of the odd one.
    """
    said = [(place, text) for place, text in typed if text.strip()]
    bare = [(place, text) for place, text in said if not _UNIT.search(text)]
    metric = [
        (place, text) for place, text in said if _UNIT.search(text) and parse_length(text, signed=True).unit in _METRIC
    ]
    if not bare or not metric:
        return
    odd, others = (bare, metric) if len(bare) <= len(metric) else (metric, bare)
    (place, text), (_, other) = odd[0], others[0]
    title = f"{text.strip()!r} beside {other.strip()!r}: units look mixed"
    raise BadInput(title, "Type every length with its unit, or all of them in inches.", place=place)
