"""Is this frame bent: sag, sway, mash, twist and diamond, each with its number, and which points are undamaged."""

from __future__ import annotations

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from itertools import combinations

from app.fit.frames.findings import (
    USUAL_LIMITS,
    BookLength,
    Condition,
    ConditionCheck,
    Damage,
    DamageSettings,
    DamageVerdict,
    DatumHeight,
    DiagonalPair,
    PointMove,
)
from app.fit.frames.fivefold import Field, Station, condition, stations_of
from app.fit.frames.judging import diagonal_verdict, worst_damage
from app.fit.frames.motion import InLine
from app.fit.frames.rails import rail_at
from app.fit.frames.shape import FrameError, FrameShape, checked
from app.fit.frames.undamaged import SHARES, Moved, find_moved, point_moves
from app.fit.frames.without_book import by_diagonals, by_heights, by_lengths, check_pairs
from app.fit.terms import Hazard, Side

__all__ = [
    "BookLength",
    "Condition",
    "ConditionCheck",
    "Damage",
    "DamageSettings",
    "DamageVerdict",
    "DatumHeight",
    "DiagonalPair",
    "PointMove",
    "damage",
]

_SIDE_BY_SIDE = (Condition.SWAY, Condition.TWIST, Condition.DIAMOND)
"""What left against right tells, even without a design; a mount taken once for both sides tells nothing of it."""
_CAUTIONS = (Hazard.LIFT.caution, Hazard.WELDING.caution)


def damage(
    survey: FrameShape,
    design: FrameShape | None = None,
    diagonals: Sequence[DiagonalPair] = (),
    heights: Sequence[DatumHeight] = (),
    settings: DamageSettings = USUAL_LIMITS,
    *,
    lengths: Sequence[BookLength] = (),
) -> Damage:
    """Is the surveyed frame bent, against its design, or by its own mounts, diagonals and datum heights alone.

    Signs of bad repair condemn by themselves. FrameError for fewer points than needed or all of them in a line,
    where nothing else was measured, and for a frame that cannot be worked with.
    """
    taken = checked(survey)
    book = checked(design) if design is not None and design.mounts else None
    pairs = check_pairs(diagonals, settings)
    alone = not (pairs or heights or lengths or survey.bad_repair)
    moved, note = _against(taken, book, settings, alone=alone)
    level = [_with_book(each, book, moved) for each in heights]
    others = (*by_diagonals(pairs, settings), *by_heights(level, settings), *by_lengths(lengths, settings))
    points = point_moves(moved, settings) if moved else ()
    alike = {mount.name for mount in survey.mounts if mount.side is Side.NONE}
    own = _by_mounts(moved, alike, settings) if moved else _by_itself(taken, alike, settings)
    conditions = _each_told((*own, *others), settings)
    states = [each.verdict for each in conditions] + [each.verdict for each in points]
    states += [diagonal_verdict(each.outcome) for _, each in pairs]
    states += [DamageVerdict.BENT] if survey.bad_repair else []
    verdict = worst_damage(states)
    return Damage(
        frame=taken.name,
        design=book.name if book else "",
        verdict=verdict,
        conditions=conditions,
        diagonals=tuple((pair.box, each) for pair, each in pairs),
        base=tuple(moved.mounts[i].label for i in moved.base) if moved else (),
        points=points,
        bad_repair=tuple(survey.bad_repair),
        words=_words(survey, verdict, conditions, points, note),
        cautions=_CAUTIONS,
    )


def _against(
    survey: FrameShape, design: FrameShape | None, settings: DamageSettings, *, alone: bool
) -> tuple[Moved | None, str]:
    """The survey laid over its design; where it cannot be and something else was measured, a note of why."""
    if design is None or not survey.mounts:
        return None, ""
    try:
        moved = find_moved(survey, design, settings)
    except InLine as error:
        if alone:
            raise FrameError(error.title, error.remedy, place=survey.name) from error
        return None, error.title
    if moved.base:
        return moved, ""
    return moved, "no three points agree with the design: all of them were laid over it, measure them again"


def _with_book(height: DatumHeight, design: FrameShape | None, moved: Moved | None) -> DatumHeight:
    """The height with what the book has there: as given, else the design's rail, else the same all along."""
    if height.book_mm is not None:
        return height
    if design is None:
        return replace(height, book_mm=0.0)
    x = moved.motion.apply((height.x_mm, 0.0, 0.0))[0] if moved else height.x_mm
    there = rail_at(design.rail, x) if len(design.rail) > 1 else None
    return replace(height, book_mm=there.bottom_mm if there else None)


def _by_mounts(moved: Moved, alike: AbstractSet[str], settings: DamageSettings) -> tuple[ConditionCheck, ...]:
    stations = stations_of(moved.mounts)
    told_apart = tuple(each for each in stations if each.name not in alike)
    found = []
    for kind in Condition:
        used = told_apart if kind in _SIDE_BY_SIDE else stations
        field = Field(used, _undamaged(used, moved.base), moved.evenly, moved.doubts)
        found.append(condition(kind, field, settings))
    return tuple(found)


def _undamaged(stations: Sequence[Station], base: Sequence[int]) -> tuple[Station, ...]:
    """The stations undamaged on both sides; where that is not two, on either; where neither, all."""
    whole = [each for each in stations if {each.left, each.right} <= set(base)]
    half = [each for each in stations if {each.left, each.right} & set(base)]
    return tuple(next((found for found in (whole, half) if len(found) > 1), stations))


def _by_itself(survey: FrameShape, alike: AbstractSet[str], settings: DamageSettings) -> tuple[ConditionCheck, ...]:
    """Left against right of the frame's own mounts, its centerline being that of most stations."""
    stations = tuple(each for each in stations_of(survey.mounts) if each.name not in alike)
    if len(stations) < 2:
        return ()
    spots = [(mount.x_mm, mount.lateral_mm, mount.z_mm) for mount in survey.mounts]
    doubts = [(mount.doubt.x, mount.doubt.y, mount.doubt.z) for mount in survey.mounts]
    field = Field(stations, stations, spots, doubts)
    field = Field(stations, _straight_line(field, settings), spots, doubts)
    return tuple(condition(kind, field, settings) for kind in _SIDE_BY_SIDE)


def _straight_line(field: Field, settings: DamageSettings) -> tuple[Station, ...]:
    """The most stations whose middles lie on one line within doubt and tolerance, the longest such line first.

    As with points in space, half of them within a part of the tolerance go before more that take all of it.
    """
    best = field.stations
    for share in SHARES:
        lines = [
            _on_line(field, one, other, share * settings.tolerance_mm) for one, other in combinations(field.stations, 2)
        ]
        best = max(lines, key=lambda on: (len(on), on[-1].x_mm - on[0].x_mm))
        if len(best) > 2 and 2 * len(best) >= len(field.stations):
            break
    return best


def _on_line(field: Field, one: Station, other: Station, limit_mm: float) -> tuple[Station, ...]:
    """The stations whose middles lie on the line through two of them."""
    slope = (_middle(field, other) - _middle(field, one)) / (other.x_mm - one.x_mm)

    def off(station: Station) -> float:
        return abs(_middle(field, station) - _middle(field, one) - slope * (station.x_mm - one.x_mm))

    return tuple(each for each in field.stations if off(each) <= limit_mm + _doubt(field, each))


def _doubt(field: Field, station: Station) -> float:
    return (field.doubts[station.left][1] + field.doubts[station.right][1]) / 2


def _middle(field: Field, station: Station) -> float:
    return (field.moves[station.left][1] + field.moves[station.right][1]) / 2


def _each_told(found: Sequence[ConditionCheck], settings: DamageSettings) -> tuple[ConditionCheck, ...]:
    """What was told of each condition, in their order; one that nothing tells of is not measured."""
    told = []
    for kind in Condition:
        here = [each for each in found if each.condition is kind]
        measured = [each for each in here if each.verdict is not DamageVerdict.NOT_MEASURED]
        told += measured or here[:1] or [_not_measured(kind, settings)]
    return tuple(told)


def _not_measured(kind: Condition, settings: DamageSettings) -> ConditionCheck:
    said = f"{kind}: not measured"
    return ConditionCheck(
        kind, DamageVerdict.NOT_MEASURED, None, 0.0, settings.tolerance_mm, None, "", "", said, "nothing"
    )


def _words(
    survey: FrameShape,
    verdict: DamageVerdict,
    conditions: Sequence[ConditionCheck],
    points: Sequence[PointMove],
    note: str,
) -> str:
    parts = [f"signs of bad repair: {', '.join(survey.bad_repair)}"] if survey.bad_repair else []
    wrong = [each.words for each in conditions if each.verdict in (DamageVerdict.BENT, DamageVerdict.MEASURE_AGAIN)]
    off = [each.words for each in points if each.verdict is verdict and verdict is not DamageVerdict.STRAIGHT]
    parts += [*off, *wrong] if verdict is DamageVerdict.BENT else wrong or off
    parts += [note] if note else []
    return f"{survey.name}: {verdict}" + (f"; {'; '.join(parts)}" if parts else "")
