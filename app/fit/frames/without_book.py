"""What diagonals, datum heights and lengths tell of a frame by themselves."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from app.fit.diagonals import DiagonalVerdict, check_diagonals
from app.fit.frames.findings import (
    BookLength,
    Condition,
    ConditionCheck,
    DamageSettings,
    DamageVerdict,
    DatumHeight,
    DiagonalPair,
)
from app.fit.frames.judging import damage_verdict, diagonal_verdict
from app.fit.frames.shape import FrameError
from app.fit.frames.verdicts import Judged, judge, length, way
from app.fit.terms import Side

Checked = tuple[DiagonalPair, DiagonalVerdict]

_SAG = "mean height at the station under the straight line from the front station to the rear one, over the book's"
_TWIST = "right height less left at the front station, less the same at the rear one"
_MASH = "length less than the book's"
_DIAMOND = "difference of both diagonals, where it goes through all boxes; one rail ahead by (d1² - d2²) / (4 × length)"
_SWAY = "difference of both diagonals at one end, where another box is square"
_RANK = {verdict: rank for rank, verdict in enumerate(DamageVerdict)}


def check_pairs(pairs: Sequence[DiagonalPair], settings: DamageSettings) -> tuple[Checked, ...]:
    """Every box by its two diagonals."""
    return tuple(
        (pair, check_diagonals(pair.first, pair.second, settings.diagonal_mm, settings.unit)) for pair in pairs
    )


def by_diagonals(checked: Sequence[Checked], settings: DamageSettings) -> tuple[ConditionCheck, ...]:
    """Diamond where the diagonals differ the same way through all boxes, sway where they do at one end only."""
    if not checked:
        return ()
    least = min(checked, key=lambda each: _RANK[_state(each)])
    most = max(checked, key=lambda each: _RANK[_state(each)])
    ways = {_difference(pair) > 0 for pair, _ in checked if _difference(pair)}
    if len(ways) > 1:
        least = min(checked, key=lambda each: abs(_difference(each[0])))
    through = _state(least) is not DamageVerdict.STRAIGHT and len(ways) <= 1
    found = [_diamond(least, through, len(checked), settings)]
    if len(checked) > 1 and (not through or _state(most) is not _state(least)):
        found.append(_sway(most, settings))
    return tuple(found)


def _diamond(found: Checked, through: bool, boxes: int, settings: DamageSettings) -> ConditionCheck:
    pair, verdict = found
    difference = _difference(pair)
    state = _state(found) if through else DamageVerdict.STRAIGHT
    said = f"diamond: {state}, {pair.box} {verdict.words}"
    if not through and _state(found) is not state:
        said = f"diamond: {state}, the boxes differ opposite ways"
    if through:
        ahead = "left" if difference > 0 else "right"
        one, other = pair.first.length.mm, pair.second.length.mm
        slide = (
            "" if not pair.length_mm else f" by {length(abs(one**2 - other**2) / (4 * pair.length_mm), settings.unit)}"
        )
        said += f"; the {ahead} rail is ahead{slide}"
        said += "" if boxes > 1 else ", or one end is pushed aside: measure the other boxes too"
    doubt = pair.first.u_mm + pair.second.u_mm
    limit = settings.diagonal_mm
    judged = judge(difference, (pair.first.u_mm, pair.second.u_mm), limit, settings.unit)
    return ConditionCheck(
        Condition.DIAMOND,
        state,
        difference,
        doubt,
        limit,
        judged.probability,
        pair.box,
        _DIAMOND,
        said,
        "diagonals",
    )


def _sway(found: Checked, settings: DamageSettings) -> ConditionCheck:
    pair, verdict = found
    difference = _difference(pair)
    judged = judge(difference, (pair.first.u_mm, pair.second.u_mm), settings.diagonal_mm, settings.unit)
    said = f"sway: {_state(found)}, {pair.box} {verdict.words}"
    return ConditionCheck(
        Condition.SWAY,
        _state(found),
        difference,
        judged.doubt_mm,
        settings.diagonal_mm,
        judged.probability,
        pair.box,
        _SWAY,
        said,
        "diagonals",
    )


def _state(found: Checked) -> DamageVerdict:
    return diagonal_verdict(found[1].outcome)


def _difference(pair: DiagonalPair) -> float:
    return pair.first.length.mm - pair.second.length.mm


def by_heights(heights: Sequence[DatumHeight], settings: DamageSettings) -> tuple[ConditionCheck, ...]:
    """Sag from three stations whose height by the book is known, twist from two that have both rails.

    FrameError where a height was taken twice with different values, or two stations lie at one place.
    """
    stations = _stations(heights)
    known = [each for each in stations if all(height.book_mm is not None for height in each)]
    found = [_sag(known, settings)] if len(known) > 2 else []
    both = [each for each in stations if {height.side for height in each} >= {Side.LH, Side.RH}]
    return (*found, *([_twist(both[0], both[-1], settings)] if len(both) > 1 else []))


def _stations(heights: Sequence[DatumHeight]) -> list[list[DatumHeight]]:
    found: dict[str, dict[Side, DatumHeight]] = {}
    for each in heights:
        first = found.setdefault(each.station, {}).setdefault(each.side, each)
        if (first.height_mm, first.x_mm) != (each.height_mm, each.x_mm):
            said = f"measured twice: {length(first.height_mm)} and {length(each.height_mm)}"
            raise FrameError(said, "Keep the finer reading.", place=f"height at {each.station} {each.side}".rstrip())
    ordered = sorted((list(each.values()) for each in found.values()), key=_place)
    for one, other in pairwise(ordered):
        if _place(one) == _place(other):
            said = f"{one[0].station} and {other[0].station} lie at one place"
            raise FrameError(said, "Measure how far rearward each of them is.", place=f"height at {other[0].station}")
    return ordered


def _over_book(height: DatumHeight) -> float:
    return height.height_mm - (height.book_mm or 0.0)


def _place(station: Sequence[DatumHeight]) -> float:
    return sum(each.x_mm for each in station) / len(station)


def _level(station: Sequence[DatumHeight]) -> float:
    return sum(map(_over_book, station)) / len(station)


def _doubt(station: Sequence[DatumHeight]) -> float:
    return sum(each.u_mm for each in station) / len(station)


def _sag(stations: Sequence[Sequence[DatumHeight]], settings: DamageSettings) -> ConditionCheck:
    front, *between, rear = stations
    checks = []
    for station in between:
        share = (_place(station) - _place(front)) / (_place(rear) - _place(front))
        number = (1 - share) * _level(front) + share * _level(rear) - _level(station)
        doubts = ((1 - share) * _doubt(front), share * _doubt(rear), _doubt(station))
        judged = judge(number, doubts, settings.tolerance_mm, settings.unit)
        name = station[0].station
        checks.append(_told(Condition.SAG, judged, name, (f"low at {name}", f"high at {name}"), _SAG, settings))
    return max(checks, key=lambda each: (_RANK[each.verdict], abs(each.number_mm or 0.0)))


def _twist(front: Sequence[DatumHeight], rear: Sequence[DatumHeight], settings: DamageSettings) -> ConditionCheck:
    number = _cross(front) - _cross(rear)
    doubts = tuple(each.u_mm for each in (*front, *rear) if each.side is not Side.NONE)
    judged = judge(number, doubts, settings.tolerance_mm, settings.unit)
    where = f"{front[0].station} to {rear[0].station}"
    ways = ("up at the right front corner", "up at the left front corner")
    return _told(Condition.TWIST, judged, where, ways, _TWIST, settings)


def _cross(station: Sequence[DatumHeight]) -> float:
    by_side = {each.side: _over_book(each) for each in station}
    return by_side[Side.RH] - by_side[Side.LH]


def by_lengths(lengths: Sequence[BookLength], settings: DamageSettings) -> tuple[ConditionCheck, ...]:
    """Mash at the length that falls shortest of its book."""
    checks = []
    for each in lengths:
        judged = judge(each.book_mm - each.mm, (each.u_mm,), settings.tolerance_mm, settings.unit)
        ways = (f"shorter, {each.name}", f"longer, {each.name}")
        checks.append(_told(Condition.MASH, judged, each.name, ways, _MASH, settings, "lengths"))
    ranked = sorted(checks, key=lambda each: (_RANK[each.verdict], each.number_mm or 0.0))
    return tuple(ranked[-1:])


def _told(
    kind: Condition,
    judged: Judged,
    where: str,
    ways: tuple[str, str],
    formula: str,
    settings: DamageSettings,
    by: str = "heights",
) -> ConditionCheck:
    state = damage_verdict(judged.verdict)
    said = f"{kind}: {state}, {way(judged.difference_mm, *ways, settings.unit)} ({judged.arithmetic})"
    return ConditionCheck(
        kind,
        state,
        judged.difference_mm,
        judged.doubt_mm,
        judged.allowed_mm,
        judged.probability,
        where,
        formula,
        said,
        by,
    )
