"""Where to lay one frame over another: the place where most mounts agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.fit.frames.motion import Point, Rigid
from app.fit.frames.shape import Mount
from app.fit.frames.verdicts import Verdict, length, verdict_of, worst
from app.fit.lengths import LengthUnit

_FUZZ_MM = 1e-9
_MOST_TRIED = 60


@dataclass(frozen=True, slots=True)
class Alignment:
    """How the second frame was moved to lie over the first, in mm rearward, to the right and up.

    `found_on` are the mounts that line up there; `datum` is the mount it was laid on, empty where the place was
    searched; `is_turned` where it was more than shifted.
    """

    motion: Rigid
    is_turned: bool
    found_on: tuple[str, ...]
    datum: str
    words: str

    @property
    def x_mm(self) -> float:
        """How far it was moved rearward."""
        return self.motion.shift[0]

    @property
    def z_mm(self) -> float:
        """How far it was moved up."""
        return self.motion.shift[2]

    @property
    def turned(self) -> Point:
        """Roll, pitch and yaw in degrees."""
        return self.motion.angles


@dataclass(frozen=True, slots=True)
class Pair:
    """One mount on both frames, what each coordinate may differ, and the doubts of both along each axis."""

    a: Mount
    b: Mount
    allowed: Point
    doubts: tuple[tuple[float, float], ...]

    def off(self, shift: Point = (0.0, 0.0, 0.0)) -> Point:
        """How far the second frame's lies from the first's, once moved: rearward, outboard, up."""
        x, y, z = (b + s - a for a, b, s in zip(self.a.at, self.b.at, shift, strict=True))
        return x, y, z

    def verdict(self, shift: Point) -> Verdict:
        """What the three coordinates say together."""
        axes = zip(self.off(shift), self.doubts, self.allowed, strict=True)
        return worst(tuple(verdict_of(off, doubts, allowed) for off, doubts, allowed in axes))


@dataclass(frozen=True, slots=True)
class Place:
    """A shift in x and z with what it comes to: the mounts that line up, those that may, and its datum."""

    shift: Point
    sure: tuple[Pair, ...]
    open: int
    datum: str

    @property
    def score(self) -> tuple[int, int]:
        """Most mounts that line up, then most that may."""
        return len(self.sure), self.open

    @property
    def names(self) -> tuple[str, ...]:
        """The mounts that line up, with their sides."""
        return tuple(pair.a.label for pair in self.sure)


def best_place(pairs: Sequence[Pair], data: Sequence[str]) -> Place:
    """The shift along x and z under which most mounts line up; on a stated datum where that does as well.

    Of equal places without a datum, that of the foremost mounts by name, so that either frame may come first.
    """
    on_data = [place for datum in sorted(set(data)) if (place := _on(pairs, datum)) is not None]
    searched = [_judged(pairs, _middle(chosen), "") for chosen in _largest(pairs)]
    best = min(searched, key=lambda place: (-place.score[0], -place.score[1], place.names))
    stated = min(on_data, key=lambda place: (-place.score[0], -place.score[1], place.datum), default=None)
    return stated if stated is not None and stated.score >= best.score else best


def as_it_stands(pairs: Sequence[Pair]) -> Place:
    """No shift at all, for frames that were laid over each other by a turn."""
    return _judged(pairs, (0.0, 0.0, 0.0), "")


def say_place(place: Place, pairs: Sequence[Pair], data: Sequence[str], moved: str, unit: LengthUnit) -> str:
    """Where the second frame was laid, on which mounts, and what its stated datum would have come to."""
    if place.datum:
        return f"laid on {place.datum}, the datum"
    x, z = (length(abs(place.shift[i]), unit) for i in (0, 2))
    ways = ("rearward" if place.shift[0] >= 0 else "forward", "up" if place.shift[2] >= 0 else "down")
    said = f"found {on_which(place.sure)}: {moved} moved {x} {ways[0]} and {z} {ways[1]}"
    stated = [found for datum in sorted(set(data)) if (found := _on(pairs, datum)) is not None]
    others = [f"{each.datum}, the datum, only {len(each.sure)} would line up" for each in stated]
    return f"{said}; on {' and on '.join(others)}" if others else said


def on_which(sure: Sequence[Pair]) -> str:
    """The mounts that agree, both sides in one."""
    sides: dict[str, list[str]] = {}
    for pair in sure:
        sides.setdefault(pair.a.name, []).append(str(pair.a.side))
    if not sides:
        return "by search, no mount agreeing"
    return "on " + ", ".join(name if len(each) > 1 else f"{name} {each[0]}".rstrip() for name, each in sides.items())


def _on(pairs: Sequence[Pair], datum: str) -> Place | None:
    """Laid on one mount; both its sides count alike."""
    offs = [pair.off() for pair in pairs if pair.a.name == datum]
    if not offs:
        return None
    x, z = (0.0 - (max(off[i] for off in offs) + min(off[i] for off in offs)) / 2 for i in (0, 2))
    return _judged(pairs, (x, 0.0, z), datum)


def _judged(pairs: Sequence[Pair], shift: Point, datum: str) -> Place:
    verdicts = [pair.verdict(shift) for pair in pairs]
    sure = tuple(pair for pair, verdict in zip(pairs, verdicts, strict=True) if verdict is Verdict.SAME)
    return Place(shift, sure, verdicts.count(Verdict.MEASURE_AGAIN), datum)


def _largest(pairs: Sequence[Pair]) -> list[list[Pair]]:
    """The largest sets that line up together under one shift, else that may, else each mount alone."""
    for sign in (-1.0, 1.0):
        across = _mask(pairs, 1, 0.0, sign)
        along = {_mask(pairs, 0, place, sign) & across for place in _ends(pairs, 0, sign)}
        upward = {_mask(pairs, 2, place, sign) for place in _ends(pairs, 2, sign)}
        sets = {x & z for x in along for z in upward}
        most = max((each.bit_count() for each in sets), default=0)
        if most:
            chosen = sorted(each for each in sets if each.bit_count() == most)
            picked = [[pair for i, pair in enumerate(pairs) if each >> i & 1] for each in chosen]
            return sorted(picked, key=lambda each: [pair.a.label for pair in each])[:_MOST_TRIED]
    return [[pair] for pair in pairs]


def _room(pair: Pair, axis: int, sign: float) -> float:
    """How far off a coordinate may be: without the doubt for a sure answer, with it for a possible one."""
    return pair.allowed[axis] + sign * sum(pair.doubts[axis])


def _ends(pairs: Sequence[Pair], axis: int, sign: float) -> list[float]:
    """The shifts at which a mount comes in or goes out."""
    ranges = [(-pair.off()[axis], _room(pair, axis, sign)) for pair in pairs]
    return [end for middle, room in ranges if room >= 0 for end in (middle - room, middle, middle + room)]


def _mask(pairs: Sequence[Pair], axis: int, shift: float, sign: float) -> int:
    """The mounts that agree along one axis under a shift, as bits."""
    found = 0
    for i, pair in enumerate(pairs):
        if abs(pair.off()[axis] + shift) <= _room(pair, axis, sign) + _FUZZ_MM:
            found |= 1 << i
    return found


def _middle(pairs: Sequence[Pair]) -> Point:
    """The shift that leaves most room at the tightest mount of a set, along x and z."""
    x, z = (_tightest(pairs, axis) for axis in (0, 2))
    return x, 0.0, z


def _tightest(pairs: Sequence[Pair], axis: int) -> float:
    low = max(-pair.off()[axis] - _room(pair, axis, -1.0) for pair in pairs)
    high = min(-pair.off()[axis] + _room(pair, axis, -1.0) for pair in pairs)
    return (low + high) / 2 + 0.0
