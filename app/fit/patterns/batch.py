"""One part against thousands of vehicles: least squares fits and three-valued verdicts as arrays.

`Vehicles` stacks the patterns once; each question after that costs milliseconds. The whole verdict of one of
them, with figures and words, is `match.fits`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.fit.patterns.clearance import Column, Fastening, column
from app.fit.patterns.errors import PatternError
from app.fit.patterns.hands import Told, judge_hands, mirrors_too, settled, told_by
from app.fit.patterns.judge import Code, Codes, ruled_out_by_lengths
from app.fit.patterns.pairing import Match, by_names, check_enough, mirror_ways, needed, searched
from app.fit.patterns.points import Pattern, Point
from app.fit.patterns.problem import Floats, Ints
from app.fit.patterns.stack import Group, join_ways, stack
from app.fit.patterns.turns import fit_many
from app.fit.tape import TapeOutcome

NOT_COMPARED = -1
"""The code of a vehicle that has too few of the part's points."""

_OUTCOMES = {
    Code.FITS: TapeOutcome.FITS,
    Code.MEASURE: TapeOutcome.MEASURE_AGAIN,
    Code.DOES_NOT: TapeOutcome.DOES_NOT_FIT,
}


@dataclass(frozen=True, slots=True)
class LeastSquares:
    """Turns (N, d, d), shifts (N, d) and root mean square distances (N,) in mm; NaN where points are wanting."""

    turn: Floats
    shift: Floats
    rms_mm: Floats


@dataclass(frozen=True, slots=True)
class Screened:
    """A code for each vehicle, in the order they were given, and how many ways its points matched."""

    codes: Codes
    ways: Ints

    def outcome(self, at: int) -> TapeOutcome | None:
        """The outcome of one vehicle; None where it has too few of the part's points."""
        code = int(self.codes[at])
        return None if code == NOT_COMPARED else _OUTCOMES[Code(code)]

    def with_outcome(self, outcome: TapeOutcome) -> list[int]:
        """The places of all vehicles with this outcome."""
        codes = [int(code) for code, own in _OUTCOMES.items() if own is outcome]
        return [int(at) for at in np.flatnonzero(np.isin(self.codes, codes))]


class Vehicles:
    """Patterns of many vehicles, stacked once for many questions. All of one dimension; PatternError otherwise."""

    def __init__(self, patterns: Sequence[Pattern]) -> None:
        """Stack them by names and by kinds."""
        dimensions = {pattern.dimensions for pattern in patterns}
        if len(dimensions) > 1:
            raise PatternError("some vehicles are measured on the page and some in space", "Hold them apart")
        self.patterns = tuple(patterns)
        self.dimensions = dimensions.pop() if dimensions else 0
        self.named = stack(self.patterns, by_name=True)
        self.alike = stack(self.patterns, by_name=False)

    def least_squares(self, part: Pattern) -> LeastSquares:
        """The least squares fit of the part on every vehicle, points by name."""
        count, d = len(self.patterns), part.dimensions
        turn, shift, rms = np.full((count, d, d), np.nan), np.full((count, d), np.nan), np.full(count, np.nan)
        for group in self.named:
            named = _matched(part, group)
            if named is None:
                continue
            a: Floats = np.array([[point.position for point in named[0]]], dtype=float)
            b = group.position[:, named[1]]
            turns, shifts = fit_many(np.broadcast_to(a, b.shape), b)
            apart = a @ turns.transpose(0, 2, 1) + shifts[:, None] - b
            turn[group.rows], shift[group.rows] = turns, shifts
            rms[group.rows] = np.sqrt((apart**2).sum(axis=2).mean(axis=1))
        return LeastSquares(turn, shift, rms)

    def screen(
        self,
        part: Pattern,
        fastening: Fastening | None = None,
        *,
        match: Match = Match.NAMES,
        may_turn: bool = False,
    ) -> Screened:
        """Fits, does not, or measure again for every vehicle, the same as `match.fits` says one by one.

        By name a vehicle that has too few of the points is not compared, and one that lacks a required point never
        fits for sure. PatternError names a point of the part that is wrong or lacks a size.
        """
        if self.patterns and part.dimensions != self.dimensions:
            raise PatternError(
                f"{part.name} is not measured as the vehicles are", "Measure both on the page or in space"
            )
        screened = Screened(
            np.full(len(self.patterns), NOT_COMPARED, dtype=np.int8), np.zeros(len(self.patterns), dtype=np.intp)
        )
        by_search = match is Match.SEARCH
        for group in self.alike if by_search else self.named:
            judged = _searched if by_search else _by_names
            judged(screened, part, group, fastening or Fastening(), told_by(part, group, may_turn=may_turn))
        return screened


def _matched(part: Pattern, group: Group) -> tuple[tuple[Point, ...], Ints, bool] | None:
    """The part's points on this group by name, where they are, and whether any required one is missing."""
    named = by_names(part, group.like, part.side)
    if len(named.part) < needed(part.dimensions):
        return None
    check_enough(part.name, named.part)
    return named.part, np.array(named.at, dtype=np.intp), any(point.required for point in named.missing)


def _by_names(screened: Screened, part: Pattern, group: Group, fastening: Fastening, told: Told) -> None:
    found = _matched(part, group)
    if found is None:
        return
    points, at, lacking = found
    vehicle = np.arange(len(group.rows), dtype=np.intp)
    orders = np.arange(len(at), dtype=np.intp)[None]
    if told is Told.NOTHING:
        orders = np.concatenate([orders, mirror_ways(points, group, fastening)])
    ways = np.tile(at[orders], (len(vehicle), 1))
    codes = _judged(part, points, group, np.repeat(vehicle, len(orders)), ways, fastening, told, by_name=True)
    screened.codes[group.rows] = np.maximum(codes, Code.MEASURE) if lacking else codes
    screened.ways[group.rows] = 1


def _searched(screened: Screened, part: Pattern, group: Group, fastening: Fastening, told: Told) -> None:
    points = tuple(point for point in part.points if point.required)
    check_enough(part.name, points)
    if len(points) > len(group.like):
        return
    vehicle, ways = searched(points, group, fastening, mirrored_too=mirrors_too(part, told))
    screened.codes[group.rows] = _judged(part, points, group, vehicle, ways, fastening, told)
    screened.ways[group.rows] = np.bincount(vehicle, minlength=len(group.rows))


def _judged(
    part: Pattern,
    points: Sequence[Point],
    group: Group,
    vehicle: Ints,
    ways: Ints,
    fastening: Fastening,
    told: Told,
    *,
    by_name: bool = False,
) -> Codes:
    """The code of every vehicle of the group: the best of its ways, both ways round put together.

    One way of each vehicle first, the others only where that does not fit already; of points matched by name these
    are for the other face alone.
    """
    columns: list[Column] = [column([point]) for point in points]
    normal = None if part.normal is None else np.array(part.normal)
    right = np.full(len(group.rows), Code.DOES_NOT, dtype=np.int8)
    over = right.copy()
    first = np.zeros(len(vehicle), dtype=bool)
    first[np.unique(vehicle, return_index=True)[1]] = True
    for wave in (first, ~first):
        open_ones = np.flatnonzero(wave & (np.maximum(right, over) != Code.FITS)[vehicle])
        for rows, joined in join_ways(columns, group, vehicle[open_ones], ways[open_ones], fastening):
            alive = np.flatnonzero(~ruled_out_by_lengths(joined.possible()))
            if not len(alive):
                continue
            at = vehicle[open_ones[rows[alive]]]
            hands = judge_hands(joined.take(alive), told, normal, group.normals[at])
            if not by_name or wave is first:
                np.minimum.at(right, at, hands.right)
            np.minimum.at(over, at, hands.over)
    return settled(right, over, told)
