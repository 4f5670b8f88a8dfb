"""A part made for one frame held up to another: what both measure, and how far the other's mounts lie off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.fit.frames.comparison import AxisCheck, CompareSettings, GroupVerdict, MountCheck
from app.fit.frames.shape import DIRECTIONS, FrameShape, Reading
from app.fit.frames.verdicts import Judged, Verdict, figure, judge, length
from app.fit.terms import Grade, Hazard, Side

_OTHER_GROUPS = ("hitch", "receiver", "bumper", "tank", "engine", "gearbox", "transmission", "steering", "spring")
"""Words in a mount's name that say it does not carry the body."""


@dataclass(frozen=True, slots=True)
class Made:
    """The frame a part was made for, the frame it shall go onto, and how far off the latter's mounts lie.

    `missing` are mounts that only the first has.
    """

    frame: FrameShape
    onto: FrameShape
    mounts: tuple[MountCheck, ...]
    missing: tuple[str, ...]
    settings: CompareSettings

    def readings(self, name: str) -> tuple[Reading, Reading] | None:
        """That length of both frames, this one's first; None where one was not taken."""
        one, other = self.frame.reading(name), self.onto.reading(name)
        return (one, other) if one is not None and other is not None else None

    def judged(self, one: Reading, other: Reading, allowed_mm: float) -> Judged:
        """How far the part's length lies over (below zero: under) what the other frame takes."""
        return judge(one.mm - other.mm, (one.u_mm, other.u_mm), allowed_mm, self.settings.unit)

    def against(self, one: Reading, other: Reading) -> str:
        """Both lengths in words, the part's first."""
        return f"{figure(one.mm, self.settings.unit)} against {length(other.mm, self.settings.unit)}"

    def say(self, mm: float) -> str:
        """A length in the unit asked for, without its sign."""
        return length(abs(mm), self.settings.unit)

    def found(
        self, part: str, grade: Grade, words: str, arithmetic: Sequence[str] = (), cautions: Sequence[Hazard] = ()
    ) -> GroupVerdict:
        """The verdict on a part."""
        told = tuple(hazard.caution for hazard in cautions)
        return GroupVerdict(part, self.frame.name, self.onto.name, grade, words, tuple(arithmetic), told)

    def body_mounts(self) -> tuple[MountCheck, ...]:
        """The mounts that carry the body."""
        return tuple(mount for mount in self.mounts if carries_body(mount.name))

    def named(self, word: str) -> tuple[MountCheck, ...]:
        """The mounts with this word in their name."""
        return tuple(mount for mount in self.mounts if word in mount.name.casefold())

    def moves(self, mounts: Sequence[MountCheck]) -> tuple[str, ...]:
        """What would have to move on the other frame, both sides in one where they agree."""
        told: dict[tuple[str, str], list[Side]] = {}
        for mount in mounts:
            ways = [self._move(axis) for axis in mount.axes if axis.verdict is not Verdict.SAME]
            if ways:
                told.setdefault((mount.name, " and ".join(ways)), []).append(mount.side)
        return tuple(f"{_with_side(name, sides)} {way}" for (name, way), sides in told.items())

    def _move(self, axis: AxisCheck) -> str:
        more, less = DIRECTIONS[axis.axis]
        return f"{self.say(axis.difference_mm)} {less if axis.difference_mm > 0 else more}"


def carries_body(name: str) -> bool:
    """Whether a mount of this name carries the body."""
    return not any(word in name.casefold() for word in _OTHER_GROUPS)


def count_a_side(mounts: Sequence[MountCheck]) -> str:
    """How many line up: "3 of 6 mounts a side", or side by side where they differ."""
    by_side = {}
    for side in dict.fromkeys(mount.side for mount in mounts):
        here = [mount for mount in mounts if mount.side is side]
        by_side[side] = f"{sum(mount.verdict is Verdict.SAME for mount in here)} of {len(here)}"
    if set(by_side) == {Side.LH, Side.RH} and len(set(by_side.values())) == 1:
        return f"{by_side[Side.LH]} mounts a side line up"
    return ", ".join(f"{side or 'center'} {count}" for side, count in by_side.items()) + " mounts line up"


def _with_side(name: str, sides: Sequence[Side]) -> str:
    return name if len(sides) > 1 else f"{name} {sides[0]}".rstrip()
