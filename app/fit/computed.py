"""What two measured frames say of a part where no rule speaks: its grade with the arithmetic."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from app.errors import BadInput
from app.fit.terms import Grade

if TYPE_CHECKING:
    from app.fit.frames.comparison import CompareSettings, Comparison, MountCheck
    from app.fit.frames.shape import FrameShape, Reading

MOST_KEPT = 5000
"""So many comparisons are kept before the shelf is cleared."""


@dataclass(frozen=True, slots=True)
class PartSeat:
    """How a part type sits on a frame: on the mounts that carry `mounts`, or by the length `span`; millimeters.

    `allowed_mm` is how far apart a span still fits; `sleeve_mm` and `shim_mm` are what goes through a mount's hole
    and under it, None as usual.
    """

    mounts: str = ""
    span: str = ""
    allowed_mm: float | None = None
    sleeve_mm: float | None = None
    shim_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Computed:
    """How a part made for one frame does on another: what it comes to, said, the arithmetic, and the cautions."""

    grade: Grade
    made_for: str
    onto: str
    words: str
    arithmetic: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass
class MeasuredFrames:
    """The frames that were measured, by design, and how part types sit on them; what was worked out is kept.

    `carries` says by frame what bolts on at each of its mounts.
    """

    shapes: Mapping[str, FrameShape]
    seats: Mapping[str, tuple[PartSeat, ...]] = field(default_factory=dict)
    carries: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    settings: CompareSettings | None = None
    _kept: dict[tuple[object, ...], Comparison | None] = field(default_factory=dict)

    def may_speak(self, names: Sequence[str], made_for: str) -> bool:
        """Whether a frame was measured, and it is written down how such a part sits on it."""
        return made_for in self.shapes and any(self.seats.get(name) for name in names)

    def computed(
        self, names: Sequence[str], made_for: str, onto: str, lengths: Sequence[Reading] = ()
    ) -> Computed | None:
        """What the two frames say of a part; None where they are one design, or were not measured for it, or it
        is not written down how such a part sits.

        `names` are the part type and the wider name it goes by; `lengths` were taken on this very part and stand
        before those of the frame it was made for.
        """
        seats = [seat for name in names for seat in self.seats.get(name, ())]
        if not seats or made_for == onto or made_for not in self.shapes or onto not in self.shapes:
            return None
        comparison = self._compared(made_for, onto, tuple(lengths), None)
        for group in comparison.groups if comparison else ():
            if group.part in names and group.made_for == made_for:
                return Computed(group.grade, made_for, onto, group.words, group.arithmetic, group.cautions)
        spans = (self._by_span(seat, made_for, onto, lengths) for seat in seats if seat.span)
        return next((each for each in spans if each is not None), None) or self._by_mounts(seats, made_for, onto)

    def _compared(
        self, made_for: str, onto: str, lengths: tuple[Reading, ...], seat: PartSeat | None
    ) -> Comparison | None:
        key = (made_for, onto, lengths, seat)
        if key not in self._kept:
            if len(self._kept) >= MOST_KEPT:
                self._kept.clear()
            self._kept[key] = self._compare(made_for, onto, lengths, seat)
        return self._kept[key]

    def _compare(
        self, made_for: str, onto: str, lengths: tuple[Reading, ...], seat: PartSeat | None
    ) -> Comparison | None:
        from app.fit.frames.compare import compare
        from app.fit.frames.comparison import CompareSettings

        settings = self.settings or CompareSettings()
        if seat is not None and seat.sleeve_mm is not None:
            settings = replace(settings, sleeve_mm=seat.sleeve_mm)
        if seat is not None and seat.shim_mm is not None:
            settings = replace(settings, z_shims_mm=seat.shim_mm)
        own = {each.name for each in lengths}
        frame = self.shapes[made_for]
        kept = tuple(each for each in frame.readings if each.name not in own)
        try:
            return compare(replace(frame, readings=(*lengths, *kept)), self.shapes[onto], settings)
        except BadInput:
            # Frames without a mount in common say nothing; the bench tells why.
            return None

    def _by_span(self, seat: PartSeat, made_for: str, onto: str, lengths: Sequence[Reading]) -> Computed | None:
        from app.fit.frames.verdicts import Verdict, judge, length

        ours = next((each for each in lengths if each.name == seat.span), self.shapes[made_for].reading(seat.span))
        theirs = self.shapes[onto].reading(seat.span)
        if ours is None or theirs is None:
            return None
        judged = judge(ours.mm - theirs.mm, (ours.u_mm, theirs.u_mm), seat.allowed_mm or 0.0)
        grades = {
            Verdict.SAME: Grade.BOLTS_UP,
            Verdict.MEASURE_AGAIN: Grade.MEASURE,
            Verdict.DIFFERENT: Grade.WONT_FIT,
        }
        words = f"{seat.span} {length(ours.mm)} against {length(theirs.mm)}"
        return Computed(grades[judged.verdict], made_for, onto, words, (judged.arithmetic,))

    def _by_mounts(self, seats: Sequence[PartSeat], made_for: str, onto: str) -> Computed | None:
        seat = next((each for each in seats if each.mounts), None)
        comparison = self._compared(made_for, onto, (), seat) if seat is not None else None
        if seat is None or comparison is None:
            return None
        carried = self.carries.get(made_for, {})
        checks = [each for each in comparison.mounts if carried.get(each.name, "") == seat.mounts]
        bare = [name for name in comparison.only_a if carried.get(name, "") == seat.mounts]
        return _on_mounts(checks, bare, made_for, onto) if checks else None


def _on_mounts(checks: Sequence[MountCheck], bare: Sequence[str], made_for: str, onto: str) -> Computed:
    from app.fit.frames.verdicts import Verdict

    fitting = [each for each in checks if each.verdict is Verdict.SAME]
    again = [each for each in checks if each.verdict is Verdict.MEASURE_AGAIN]
    off = len(checks) - len(fitting) - len(again)
    if not off and not bare:
        grade = Grade.MEASURE if again else Grade.BOLTS_UP
    else:
        grade = Grade.NEEDS_WORK if fitting or again else Grade.WONT_FIT
    words = f"{len(fitting)} of {len(checks) + len(bare)} mounts line up"
    words += f", {len(again)} to measure again" if again else ""
    arithmetic = (*(each.words for each in checks), *(f"{name}: nothing to sit on" for name in bare))
    return Computed(grade, made_for, onto, words, arithmetic)
