"""One frame laid over another: their mounts two by two, shifted or turned to where most agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import hypot
from statistics import median

from app.fit.frames.align import Alignment, Pair, Place, as_it_stands, best_place, on_which, say_place
from app.fit.frames.comparison import USUAL, CompareSettings
from app.fit.frames.motion import InLine, Point, Rigid, largest_agreement, shifted
from app.fit.frames.shape import FrameError, FrameKind, FrameShape, Mount, slipped
from app.fit.frames.verdicts import length
from app.fit.lengths import LengthUnit
from app.fit.terms import Side

_NOWHERE = (0.0, 0.0, 0.0)


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
    data = [datum for datum in (a.datum, b.datum) if datum]
    place = best_place(pairs, data)
    if settings.turn_surveys and FrameKind.SURVEY in (a.kind, b.kind):
        motion, turned = _turned(pairs)
        there = as_it_stands(turned)
        if there.score > place.score:
            return _turned_alignment(motion, there, b.name), turned
    words = say_place(place, pairs, data, b.name, settings.unit)
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
    """The pairs with the second frame's mounts turned and shifted to where most agree.

    Always searched from the same one of the two frames and in the same order, so that either may come first.
    """
    ordered = sorted(pairs, key=lambda pair: pair.a.label)
    ahead, behind = ([_spot(mount) for mount in mounts] for mounts in _columns(ordered))
    if ahead <= behind:
        motion = _motion(ordered)
        return motion, tuple(replace(pair, b=_at(pair.b, motion.apply(_spot(pair.b)))) for pair in pairs)
    motion = _motion([replace(pair, a=pair.b, b=pair.a) for pair in ordered])
    return motion.inverse(), tuple(_back(pair, motion) for pair in pairs)


def _back(pair: Pair, motion: Rigid) -> Pair:
    """The second frame's mount as far off the first's as that lies off it once moved, the other way."""
    here, there, moved = _spot(pair.a), _spot(pair.b), motion.apply(_spot(pair.a))
    x, y, z = (h + t - m for h, t, m in zip(here, there, moved, strict=True))
    return replace(pair, b=_at(pair.b, (x, y, z)))


def _columns(pairs: Sequence[Pair]) -> tuple[list[Mount], list[Mount]]:
    return [pair.a for pair in pairs], [pair.b for pair in pairs]


def _motion(pairs: Sequence[Pair]) -> Rigid:
    """What brings most of the second frame's mounts within what is allowed of the first's; none where nothing does."""
    ones, others = _columns(pairs)
    try:
        found = largest_agreement(
            [_spot(mount) for mount in others], [_spot(mount) for mount in ones], [pair.allowed for pair in pairs]
        )
    except InLine:
        return shifted(_NOWHERE)
    return found.motion if found else shifted(_NOWHERE)


def _spot(mount: Mount) -> Point:
    return mount.x_mm, mount.lateral_mm, mount.z_mm


def _at(mount: Mount, spot: Point) -> Mount:
    return replace(mount, x_mm=spot[0], y_mm=-spot[1] if mount.side is Side.LH else spot[1], z_mm=spot[2])


def _turned_alignment(motion: Rigid, place: Place, name: str) -> Alignment:
    words = f"found {on_which(place.sure)}: {name} turned {hypot(*motion.angles):.2f}° and shifted"
    return Alignment(motion, True, place.names, "", words)
