"""Two frames held against each other: mounts, rails and suspension, and which groups of parts follow from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import prod

from app.fit.frames.align import Alignment, Pair
from app.fit.frames.comparison import (
    USUAL,
    AxisCheck,
    CompareSettings,
    Comparison,
    GroupVerdict,
    MountCheck,
    RailCheck,
    SuspensionCheck,
)
from app.fit.frames.groups import groups
from app.fit.frames.laying import laid_over
from app.fit.frames.made import Made
from app.fit.frames.motion import Point
from app.fit.frames.rails import compare_rails, moved_rail
from app.fit.frames.shape import AXES, DIRECTIONS, FrameShape, checked
from app.fit.frames.verdicts import Judged, Verdict, judge, length, worst
from app.fit.lengths import LengthUnit
from app.fit.terms import Side

__all__ = [
    "AxisCheck",
    "CompareSettings",
    "Comparison",
    "GroupVerdict",
    "MountCheck",
    "RailCheck",
    "SuspensionCheck",
    "compare",
]

_NOWHERE = (0.0, 0.0, 0.0)
_NOT_MEASURED = "not looked at"


def compare(a: FrameShape, b: FrameShape, settings: CompareSettings = USUAL) -> Comparison:
    """Hold frame `b` against frame `a`, placed so that most mounts agree.

    Designs are only shifted along x and z, their centerlines being one; a survey may be turned a little as well, if
    more mounts line up that way. A stated datum is kept where no other place does better. FrameError where a frame
    cannot be worked with, units are mixed, or the two have mounts and none of them in common.
    """
    one, other = checked(a), checked(b)
    alignment, pairs = laid_over(one, other, settings)
    shift = _NOWHERE if alignment.is_turned else alignment.motion.shift
    mounts = tuple(_check(pair, shift, settings) for pair in pairs)
    rails = compare_rails(one.rail, moved_rail(other.rail, alignment.motion), settings)
    ends = (_suspension("front", one.front, other.front), _suspension("rear", one.rear, other.rear))
    only_a, only_b = _missing(one, other), _missing(other, one)
    return Comparison(
        a=one.name,
        b=other.name,
        alignment=alignment,
        mounts=mounts,
        only_a=only_a,
        only_b=only_b,
        rails=rails,
        suspension=ends,
        groups=groups(
            Made(one, other, mounts, only_a, settings),
            Made(other, one, _other_way(mounts, pairs, settings), only_b, settings),
        ),
        sides=_sides(mounts),
        words=_words(one, other, mounts, alignment),
    )


def _check(pair: Pair, shift: Point, settings: CompareSettings) -> MountCheck:
    off = pair.off(shift)
    axes = tuple(
        _axis(axis, judge(each, doubts, allowed, settings.unit), settings)
        for axis, each, doubts, allowed in zip(AXES, off, pair.doubts, pair.allowed, strict=True)
    )
    verdict = worst(tuple(axis.verdict for axis in axes))
    b = replace(pair.b, x_mm=pair.b.x_mm + shift[0], z_mm=pair.b.z_mm + shift[2])
    words = f"{pair.a.label}: {verdict}{_because(verdict, axes)}"
    return MountCheck(
        pair.a.name, pair.a.side, verdict, axes, prod(axis.probability for axis in axes), pair.a, b, words
    )


def _other_way(
    mounts: Sequence[MountCheck], pairs: Sequence[Pair], settings: CompareSettings
) -> tuple[MountCheck, ...]:
    """The same mounts, the first frame's held against the second's."""
    return tuple(
        _check(replace(pair, a=mount.b, b=pair.a), _NOWHERE, settings)
        for mount, pair in zip(mounts, pairs, strict=True)
    )


def _axis(axis: str, judged: Judged, settings: CompareSettings) -> AxisCheck:
    more, less = DIRECTIONS[axis]
    size = length(abs(judged.difference_mm), settings.unit)
    off = abs(judged.difference_mm) > 1e-9
    direction = (more if judged.difference_mm > 0 else less) if off else ""
    words = f"{size} {direction}" if off else f"{axis} the same"
    if judged.verdict is not Verdict.SAME:
        words += f" ({judged.arithmetic}{_finer(judged, settings.unit)})"
    return AxisCheck(
        axis,
        judged.difference_mm,
        judged.doubt_mm,
        judged.allowed_mm,
        judged.probability,
        judged.verdict,
        direction,
        words,
    )


def _finer(judged: Judged, unit: LengthUnit) -> str:
    """What tool would decide, were the readings to stay."""
    enough = abs(judged.allowed_mm - abs(judged.difference_mm)) / 2
    if judged.verdict is not Verdict.MEASURE_AGAIN or not enough:
        return ""
    return f"; a tool good to {length(enough, unit)} a reading decides"


def _because(verdict: Verdict, axes: Sequence[AxisCheck]) -> str:
    if verdict is Verdict.SAME:
        shown = [axis.words for axis in axes if axis.direction]
    else:
        shown = [axis.words for axis in axes if axis.verdict is not Verdict.SAME]
    return f", {', '.join(shown)}" if shown else ""


def _suspension(end: str, a: str | None, b: str | None) -> SuspensionCheck:
    said = (str(a) if a else _NOT_MEASURED, str(b) if b else _NOT_MEASURED)
    same = None if a is None or b is None else a == b
    words = f"{end}: {said[0]} on both" if same else f"{end}: {said[0]} against {said[1]}"
    return SuspensionCheck(end, said[0], said[1], same, words)


def _missing(one: FrameShape, other: FrameShape) -> tuple[str, ...]:
    there = {(mount.name, mount.side) for mount in other.mounts}
    return tuple(mount.label for mount in one.mounts if (mount.name, mount.side) not in there)


def _sides(mounts: Sequence[MountCheck]) -> tuple[tuple[Side, int, int], ...]:
    found = []
    for side in (Side.LH, Side.RH, Side.NONE):
        here = [mount for mount in mounts if mount.side is side]
        if here:
            found.append((side, sum(mount.verdict is Verdict.SAME for mount in here), len(here)))
    return tuple(found)


def _words(a: FrameShape, b: FrameShape, mounts: Sequence[MountCheck], alignment: Alignment) -> str:
    count = {verdict: sum(mount.verdict is verdict for mount in mounts) for verdict in Verdict}
    up, again, out = count[Verdict.SAME], count[Verdict.MEASURE_AGAIN], count[Verdict.DIFFERENT]
    parts = [f"{up} of {len(mounts)} mounts line up"]
    parts += [f"{again} to measure again"] if again else []
    parts += [f"{out} do not"] if out else []
    return f"{b.name} against {a.name}: {', '.join(parts)}; {alignment.words}"
