"""What a comparison of two frames says; every difference is that of the second frame from the first."""

from __future__ import annotations

from dataclasses import dataclass

from app.fit.frames.align import Alignment
from app.fit.frames.shape import Mount
from app.fit.frames.verdicts import Verdict
from app.fit.lengths import LengthUnit
from app.fit.terms import Grade, Side


@dataclass(frozen=True, slots=True)
class CompareSettings:
    """What may differ, in millimeters; the yard's own figures go before these.

    Mounts may be off in x and y by half of what is left of the hole about the sleeve, in z by what shims make up.
    All common practice, no source.
    """

    unit: LengthUnit = LengthUnit.INCH
    sleeve_mm: float = 12.7
    hole_mm: float = 28.575
    z_shims_mm: float = 12.7
    rail_mm: float = 3.175
    wall_ratio: float = 1.25
    hitch_shims_mm: float = 6.35
    tank_clear_mm: float = 25.4
    straps_mm: float = 6.35
    arm_mm: float = 1.5875
    sleeves_mm: float = 3.175
    core_mm: float = 15.875
    bumper_mm: float = 6.35
    turn_surveys: bool = True


USUAL = CompareSettings()


@dataclass(frozen=True, slots=True)
class AxisCheck:
    """One coordinate of one mount: how far the second frame's lies off and which way in the trade's words."""

    axis: str
    difference_mm: float
    doubt_mm: float
    allowed_mm: float
    probability: float
    verdict: Verdict
    direction: str
    words: str


@dataclass(frozen=True, slots=True)
class MountCheck:
    """One mount on one side on both frames; the second frame's stands where the alignment puts it."""

    name: str
    side: Side
    verdict: Verdict
    axes: tuple[AxisCheck, ...]
    probability: float
    a: Mount
    b: Mount
    words: str


@dataclass(frozen=True, slots=True)
class RailCheck:
    """One measure of the rail at one place; the places are those of either frame that both reach."""

    x_mm: float
    what: str
    a: str
    b: str
    difference_mm: float | None
    doubt_mm: float
    verdict: Verdict
    words: str


@dataclass(frozen=True, slots=True)
class SuspensionCheck:
    """What carries one end of both; `same` is None where one was not looked at."""

    end: str
    a: str
    b: str
    same: bool | None
    words: str


@dataclass(frozen=True, slots=True)
class GroupVerdict:
    """How a group of parts made for one frame does on the other: a grade, the arithmetic, what it comes to."""

    part: str
    made_for: str
    onto: str
    grade: Grade
    words: str
    arithmetic: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Comparison:
    """All of it. `sides` counts as "3 of 6 mounts a side" does: by side, those that line up and all."""

    a: str
    b: str
    alignment: Alignment
    mounts: tuple[MountCheck, ...]
    only_a: tuple[str, ...]
    only_b: tuple[str, ...]
    rails: tuple[RailCheck, ...]
    suspension: tuple[SuspensionCheck, ...]
    groups: tuple[GroupVerdict, ...]
    sides: tuple[tuple[Side, int, int], ...]
    words: str
