"""What a label is made of: immutable pieces, each with its own box in mm and nothing outside it."""

from dataclasses import dataclass
from typing import Literal

from labels.geometry import Box

Align = Literal["left", "center", "right"]


@dataclass(frozen=True, slots=True)
class Words:
    """Text in a box: as tall as `cap` if it fits, down to `least`, then an ellipsis. Heights of a capital, mm."""

    box: Box
    text: str
    cap: float
    least: float
    lines: int = 1
    align: Align = "left"


@dataclass(frozen=True, slots=True)
class Sign:
    """One line of big letters that keeps its height and is set narrower before it is made smaller."""

    box: Box
    text: str
    cap: float
    align: Align = "left"


@dataclass(frozen=True, slots=True)
class Square:
    """A QR symbol with its quiet zone, as large as whole dots allow, in the middle of its box."""

    box: Box
    payload: str


@dataclass(frozen=True, slots=True)
class Strip:
    """A Code 128 symbol with its quiet zones, as wide as whole dots allow, in the middle of its box."""

    box: Box
    payload: str


@dataclass(frozen=True, slots=True)
class Rule:
    """A black bar filling its box."""

    box: Box


@dataclass(frozen=True, slots=True)
class Frame:
    """A black outline just inside its box, `thick` mm; what it frames lies within it."""

    box: Box
    thick: float


Item = Words | Sign | Square | Strip | Rule | Frame


MarkKind = Literal["ring", "cross", "dot"]


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line from one point to another, mm; dashed where `dash` mm is given, with a head where `head`."""

    start: tuple[float, float]
    end: tuple[float, float]
    thick: float = 0.25
    dash: float = 0.0
    head: float = 0.0


@dataclass(frozen=True, slots=True)
class Mark:
    """A point of a drawing: a ring, a cross or a full dot, `size` mm across."""

    at: tuple[float, float]
    kind: MarkKind
    size: float = 2.4


Drawn = Item | Stroke | Mark
