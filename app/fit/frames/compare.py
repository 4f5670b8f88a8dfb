"""Two frames held against each other: mounts, rails and suspension, and which groups of parts follow from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import hypot, prod
from statistics import median

from app.fit.frames.align import Alignment, Pair, Place, as_it_stands, best_place, say_place
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
from app.fit.frames.motion import InLine, Point, Rigid, largest_agreement, shifted
from app.fit.frames.rails import compare_rails, moved_rail
from app.fit.frames.shape import AXES, DIRECTIONS, FrameError, FrameKind, FrameShape, Mount, checked, slipped
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
    "laid_over",
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
        groups=groups(one, other, mounts, (only_a, only_b), settings),
        sides=_sides(mounts),
        words=_words(one, other, mounts, alignment),
    )


def laid_over(a: FrameShape, b: FrameShape, settings: CompareSettings = USUAL) -> tuple[Alignment, tuple[Pair, ...]]:
    """Where checked frame `b` comes to lie over checked frame `a`, and their mounts two by two.

    After a turn the second frame's mounts stand in the pairs where the turn puts them.
    """
    pairs = _paired(a, b, settings)
    if not pairs:
        if a.mounts and b.mounts:
            remedy = "Give the same mount the same name on both."
            raise FrameError("they have no mount in common", remedy, place=f"{a.name} and {b.name}")
        return Alignment(shifted(_NOWHERE), False, (), "", "no mounts to lay one over the other by"), ()
    _same_unit(a, b, pairs)
    place = best_place(pairs, [datum for datum in (a.datum, b.datum) if datum])
    if settings.turn_surveys and FrameKind.SURVEY in (a.kind, b.kind):
        motion, turned = _turned(pairs)
        there = as_it_stands(turned)
        if there.score > place.score:
            return _turned_alignment(motion, there, len(turned), b.name), turned
    words = say_place(place, len(pairs), b.name, settings.unit)
    return Alignment(shifted(place.shift), False, place.names, place.datum, words), pairs


def _paired(a: FrameShape, b: FrameShape, settings: CompareSettings) -> tuple[Pair, ...]:
    others = {(mount.name, mount.side): mount for mount in b.mounts}
    found = []
    for mount in a.mounts:
        other = others.get((mount.name, mount.side))
        if other is not None:
            doubts = zip(_doubts(a, mount), _doubts(b, other), strict=True)
            found.append(Pair(mount, other, _allowed(mount, other, settings), tuple(doubts)))
    return tuple(found)


def _doubts(shape: FrameShape, mount: Mount) -> Point:
    """The doubts of a mount; the datum's own x and z have none, being what the others are measured from."""
    doubt = mount.doubt
    if mount.name != shape.datum:
        return doubt.x, doubt.y, doubt.z
    both = [each for each in shape.mounts if each.name == mount.name]
    one_x, one_z = ({each.at[axis] for each in both} for axis in (0, 2))
    return (0.0 if len(one_x) == 1 else doubt.x), doubt.y, (0.0 if len(one_z) == 1 else doubt.z)


def _allowed(a: Mount, b: Mount, settings: CompareSettings) -> Point:
    """What each coordinate may differ: half of what the smaller hole leaves about the sleeve, and the shims."""
    around = (min(_hole(a, settings), _hole(b, settings)) - settings.sleeve_mm) / 2
    slots = [mount.slot_mm for mount in (a, b) if mount.slot_mm is not None]
    along = (min(slots) - settings.sleeve_mm) / 2 if len(slots) == 2 else around
    return max(along, 0.0), max(around, 0.0), settings.z_shims_mm


def _hole(mount: Mount, settings: CompareSettings) -> float:
    if mount.kind in ("hole", "slot") and mount.size_mm is not None:
        return mount.size_mm
    return settings.hole_mm


def _same_unit(a: FrameShape, b: FrameShape, pairs: Sequence[Pair]) -> None:
    """Two frames of which one is some 25 times as wide were typed in different units."""
    one, other = median(abs(pair.a.y_mm) for pair in pairs), median(abs(pair.b.y_mm) for pair in pairs)
    if slipped(one, other):
        small = a if one < other else b
        said = f"its mounts lie {length(min(one, other), LengthUnit.MM)} out, the other's some 25 times that"
        raise FrameError(f"{said}: units look mixed", "Type every length with its unit.", place=small.name)


def _turned(pairs: Sequence[Pair]) -> tuple[Rigid, tuple[Pair, ...]]:
    """The pairs with the second frame's mounts turned and shifted to where most agree."""
    points = [_spot(pair.b) for pair in pairs]
    targets = [_spot(pair.a) for pair in pairs]
    try:
        found = largest_agreement(points, targets, [pair.allowed for pair in pairs])
    except InLine:
        found = None
    if found is None:
        return shifted(_NOWHERE), tuple(pairs)
    moved = [(pair, found.motion.apply(point)) for pair, point in zip(pairs, points, strict=True)]
    return found.motion, tuple(replace(pair, b=_at(pair.b, spot)) for pair, spot in moved)


def _spot(mount: Mount) -> Point:
    return mount.x_mm, mount.lateral_mm, mount.z_mm


def _at(mount: Mount, spot: Point) -> Mount:
    return replace(mount, x_mm=spot[0], y_mm=-spot[1] if mount.side is Side.LH else spot[1], z_mm=spot[2])


def _turned_alignment(motion: Rigid, place: Place, of: int, name: str) -> Alignment:
    turn = hypot(*motion.angles)
    words = (
        f"found on {', '.join(place.names)}: {name} turned {turn:.2f}° and shifted; {len(place.sure)} of {of} line up"
    )
    return Alignment(motion, True, place.names, "", words)


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
