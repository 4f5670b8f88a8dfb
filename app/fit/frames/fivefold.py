"""Sag, sway, mash, twist and diamond as plain sums over the points' displacements.

Each sum is blind to shifting and turning the whole frame a little, so that it does not hang on where the frame was laid
down; and each is a weighted sum, so that its worst-case doubt is the same sum over the doubts.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from app.fit.frames.findings import Condition, ConditionCheck, DamageSettings, DamageVerdict
from app.fit.frames.judging import damage_verdict
from app.fit.frames.motion import Point
from app.fit.frames.shape import Mount
from app.fit.frames.verdicts import judge, way
from app.fit.terms import Side

FORMULAS = {
    Condition.SAG: "height of both rails' mean under the straight line from the front station to the rear one",
    Condition.SWAY: "the rails' middle at a station, to the side of the line through the undamaged stations' middles",
    Condition.MASH: "length from the front station to the rear one, both rails' mean, less than the design's",
    Condition.TWIST: "cross level at the front station less that at the rear one, over the rails' spread",
    Condition.DIAMOND: "right rail behind the left one, square to the frame's own line, at the median station",
}
_X, _SIDE, _UP = range(3)
_NARROWEST_MM = 50.0
"""Two mounts nearer to each other tell nothing of the cross level."""

Sum = tuple[tuple[int, int, float], ...]
"""Terms of point, axis and weight."""


@dataclass(frozen=True, slots=True)
class Station:
    """Both rails at one place: left and right by their places in the list of points."""

    name: str
    x_mm: float
    left: int
    right: int
    wide_mm: float


@dataclass(frozen=True, slots=True)
class Bend:
    """A condition's sum, the station it speaks of, and what its sign is called."""

    terms: Sum
    where: str
    more: str
    less: str


@dataclass(frozen=True, slots=True)
class Field:
    """Displacements of points in x, to the right and up with their doubts, and the stations that are undamaged."""

    stations: tuple[Station, ...]
    base: tuple[Station, ...]
    moves: Sequence[Point]
    doubts: Sequence[Point]

    def value(self, terms: Sum) -> float:
        """The sum."""
        return sum(weight * self.moves[place][axis] for place, axis, weight in terms)

    def doubt(self, terms: Sum) -> tuple[float, ...]:
        """What each point adds to the doubt in the worst case."""
        gathered: dict[tuple[int, int], float] = {}
        for place, axis, weight in terms:
            gathered[place, axis] = gathered.get((place, axis), 0.0) + weight
        return tuple(abs(weight) * self.doubts[place][axis] for (place, axis), weight in gathered.items())


def stations_of(mounts: Sequence[Mount]) -> tuple[Station, ...]:
    """The stations with a mount on each side, from front to rear."""
    places = {(mount.name, mount.side): i for i, mount in enumerate(mounts)}
    found = []
    for name in dict.fromkeys(mount.name for mount in mounts):
        left, right = places.get((name, Side.LH)), places.get((name, Side.RH))
        if left is not None and right is not None:
            one, other = mounts[left], mounts[right]
            wide = other.lateral_mm - one.lateral_mm
            if wide > _NARROWEST_MM:
                found.append(Station(name, (one.x_mm + other.x_mm) / 2, left, right, wide))
    return tuple(sorted(found, key=lambda each: each.x_mm))


def condition(kind: Condition, field: Field, settings: DamageSettings) -> ConditionCheck:
    """One condition at the station where it is worst; not measured where the stations do not tell."""
    bends = _BENDS[kind](field)
    if not bends:
        said = f"{kind}: not measured, {_NEEDS[kind]}"
        return ConditionCheck(
            kind, DamageVerdict.NOT_MEASURED, None, 0.0, settings.tolerance_mm, None, "", FORMULAS[kind], said
        )
    checks = [_check(kind, bend, field, settings) for bend in bends]
    return max(checks, key=lambda each: (_RANK[each.verdict], abs(each.number_mm or 0.0)))


def _check(kind: Condition, bend: Bend, field: Field, settings: DamageSettings) -> ConditionCheck:
    number = field.value(bend.terms)
    judged = judge(number, field.doubt(bend.terms), settings.tolerance_mm, settings.unit)
    verdict = damage_verdict(judged.verdict)
    said = f"{kind}: {verdict}, {way(number, bend.more, bend.less, settings.unit)} ({judged.arithmetic})"
    return ConditionCheck(
        kind,
        verdict,
        number,
        judged.doubt_mm,
        settings.tolerance_mm,
        judged.probability,
        bend.where,
        FORMULAS[kind],
        said,
    )


def _sag(field: Field) -> list[Bend]:
    if len(field.stations) < 3 or field.stations[0].x_mm == field.stations[-1].x_mm:
        return []
    front, *between, rear = field.stations
    found = []
    for station in between:
        share = (station.x_mm - front.x_mm) / (rear.x_mm - front.x_mm)
        terms = _mean(front, _UP, 1 - share) + _mean(rear, _UP, share) + _mean(station, _UP, -1.0)
        found.append(Bend(terms, station.name, f"low at {station.name}", f"high at {station.name}"))
    return found


def _sway(field: Field) -> list[Bend]:
    found = []
    for station in field.stations:
        shares = _on_line(field.base, station.x_mm)
        if shares is None:
            return []
        line = tuple(
            term for share, each in zip(shares, field.base, strict=True) for term in _mean(each, _SIDE, -share)
        )
        end = _end(field, station)
        right, left = (f"{end} to the {side} at {station.name}" for side in ("right", "left"))
        found.append(Bend(_mean(station, _SIDE, 1.0) + line, station.name, right, left))
    return found


def _mash(field: Field) -> list[Bend]:
    if len(field.stations) < 2:
        return []
    front, rear = field.stations[0], field.stations[-1]
    where = f"{front.name} to {rear.name}"
    terms = _mean(front, _X, 1.0) + _mean(rear, _X, -1.0)
    return [Bend(terms, where, f"shorter, {where}", f"longer, {where}")]


def _twist(field: Field) -> list[Bend]:
    if len(field.stations) < 2:
        return []
    front, rear = field.stations[0], field.stations[-1]
    wide = (front.wide_mm + rear.wide_mm) / 2
    terms = _across(front, _UP, wide / front.wide_mm) + _across(rear, _UP, -wide / rear.wide_mm)
    where = f"{front.name} to {rear.name}"
    right, left = (f"up at the {side} front corner" for side in ("right", "left"))
    return [Bend(terms, where, right, left)]


def _diamond(field: Field) -> list[Bend]:
    slopes = _slope(field.base)
    if slopes is None:
        return []
    sums = []
    for station in field.stations:
        turn = tuple(
            term
            for slope, each in zip(slopes, field.base, strict=True)
            for term in _mean(each, _SIDE, slope * station.wide_mm)
        )
        sums.append((_across(station, _X, 1.0) + turn, station.name))
    sums.sort(key=lambda each: field.value(each[0]))
    one, other = sums[(len(sums) - 1) // 2], sums[len(sums) // 2]
    terms = tuple((place, axis, weight / 2) for place, axis, weight in one[0] + other[0])
    return [Bend(terms, one[1], "right rail behind the left", "left rail behind the right")]


_BENDS: dict[Condition, Callable[[Field], list[Bend]]] = {
    Condition.SAG: _sag,
    Condition.SWAY: _sway,
    Condition.MASH: _mash,
    Condition.TWIST: _twist,
    Condition.DIAMOND: _diamond,
}
_NEEDS = {
    Condition.SAG: "it takes three stations with a mount on each side",
    Condition.SWAY: "it takes two undamaged stations with a mount on each side",
    Condition.MASH: "it takes two stations with a mount on each side",
    Condition.TWIST: "it takes two stations with a mount on each side",
    Condition.DIAMOND: "it takes two stations with a mount on each side",
}
_RANK = {verdict: rank for rank, verdict in enumerate(DamageVerdict)}


def _mean(station: Station, axis: int, weight: float) -> Sum:
    return (station.left, axis, weight / 2), (station.right, axis, weight / 2)


def _across(station: Station, axis: int, weight: float) -> Sum:
    return (station.right, axis, weight), (station.left, axis, -weight)


def _end(field: Field, station: Station) -> str:
    middle = (field.stations[0].x_mm + field.stations[-1].x_mm) / 2
    return "nose" if station.x_mm < middle else "tail"


def _slope(base: Sequence[Station]) -> list[float] | None:
    """The weights with which the stations' offsets make the slope of the least-squares line through them."""
    if len(base) < 2:
        return None
    middle = sum(each.x_mm for each in base) / len(base)
    spread = sum((each.x_mm - middle) ** 2 for each in base)
    return [(each.x_mm - middle) / spread for each in base] if spread else None


def _on_line(base: Sequence[Station], x_mm: float) -> list[float] | None:
    """The weights with which they make that line's offset at a place."""
    slopes = _slope(base)
    if slopes is None:
        return None
    middle = sum(each.x_mm for each in base) / len(base)
    return [1 / len(base) + (x_mm - middle) * slope for slope in slopes]
