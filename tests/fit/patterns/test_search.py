"""Points without names: what belongs to what is found, quickly where everything is alike, and never missed."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings

from app.fit.patterns.clearance import Fastening
from app.fit.patterns.errors import PatternError
from app.fit.patterns.match import fits
from app.fit.patterns.pairing import Match
from app.fit.patterns.points import Kind, Pattern, Point, View
from app.fit.patterns.problem import Floats
from app.fit.patterns.rigid import least_squares, minimax
from app.fit.patterns.verdict import Hand
from app.fit.tape import TapeOutcome
from tests.fit.patterns.shapes import moved, pattern, seeds

FITS, NOT = TapeOutcome.FITS, TapeOutcome.DOES_NOT_FIT


def unnamed(places: Floats, kind: Kind, size: float, view: View | None = None) -> Pattern:
    """Points called by their number alone."""
    listed = np.asarray(places).tolist()
    points = (Point(f"{kind} {at}", tuple(place), kind, size) for at, place in enumerate(listed))
    return Pattern("pattern", tuple(points), view)


def bolt_circle(count: int, diameter: float, kind: Kind, size: float, turned: float = 0.0) -> Pattern:
    """Holes or studs evenly on a circle."""
    angles = turned + np.arange(count) * 2 * np.pi / count
    return unnamed(diameter / 2 * np.stack([np.cos(angles), np.sin(angles)], axis=1), kind, size)


@settings(max_examples=15)
@given(seeds)
def test_the_search_finds_what_trying_every_order_finds(seed: int) -> None:
    chosen = np.random.default_rng(seed)
    dimensions = int(chosen.integers(2, 4))
    view = View.PLAN if dimensions == 2 else View.BODY
    places = chosen.uniform(-60, 60, (4, dimensions))
    spare = chosen.uniform(-60, 60, (1, dimensions))
    other = moved(chosen, np.concatenate([places + chosen.normal(scale=1.5, size=places.shape), spare]))
    other = other[chosen.permutation(5)]
    verdict = fits(unnamed(places, Kind.STUD, 12, view), unnamed(other, Kind.HOLE, 18, view), match=Match.SEARCH)
    orders = (other[list(order)] for order in permutations(range(5), 4))
    # Where the mean square distance is over the clearance, so is the worst.
    near = (each for each in orders if (least_squares(places, each).residuals(places, each) ** 2).mean() <= 9.0)
    least = min((minimax(places, each, 3.0).excess_mm for each in near), default=1.0)
    assert verdict.outcome is (FITS if least <= 1e-6 else NOT)
    if least <= 0:
        assert verdict.excess_mm == pytest.approx(least, abs=1e-6)


@settings(max_examples=25)
@given(seeds)
def test_the_order_of_the_points_and_spare_holes_do_not_matter(seed: int) -> None:
    chosen = np.random.default_rng(seed)
    places = chosen.uniform(-800, 800, (8, 3))
    other = moved(chosen, np.concatenate([places, chosen.uniform(-800, 800, (4, 3))]))
    order = chosen.permutation(12)
    verdict = fits(unnamed(places, Kind.STUD, 12), unnamed(other[order], Kind.HOLE, 14), match=Match.SEARCH)
    assert verdict.outcome is FITS
    assert [pair.vehicle for pair in verdict.pairs] == [
        f"hole {int(np.flatnonzero(order == at)[0])}" for at in range(8)
    ]
    assert len(verdict.spare_points) == 4


@pytest.mark.parametrize("count", [4, 5, 6, 8, 12])
def test_a_bolt_circle_goes_on_in_as_many_ways_as_it_has_holes_and_from_either_face(count: int) -> None:
    studs, hub = bolt_circle(count, 139.7, Kind.STUD, 12), bolt_circle(count, 139.7, Kind.HOLE, 13, 0.3)
    verdict = fits(studs, hub, match=Match.SEARCH)
    assert (verdict.outcome, verdict.hand, verdict.ways) == (FITS, Hand.EITHER_WAY, 2 * count)
    assert verdict.slack_mm == pytest.approx(0.5, abs=1e-6)


def test_circles_that_are_nearly_alike_are_told_apart() -> None:
    # Both circles exist: 6 on 135 and 6 on 139.7 mm (public fitment lists); 2.35 mm at each hole.
    verdict = fits(bolt_circle(6, 135, Kind.STUD, 12), bolt_circle(6, 139.7, Kind.HOLE, 13), match=Match.SEARCH)
    assert verdict.outcome is NOT
    assert verdict.excess_mm == pytest.approx(2.35 - 0.5, abs=1e-6)
    five = fits(bolt_circle(5, 139.7, Kind.STUD, 12), bolt_circle(6, 139.7, Kind.HOLE, 13), match=Match.SEARCH)
    assert five.outcome is NOT


def test_a_stud_is_never_matched_with_a_stud() -> None:
    places = np.array([(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0)])
    part, vehicle = unnamed(places, Kind.STUD, 12, View.PLAN), unnamed(places, Kind.HOLE, 14, View.PLAN)
    first = replace(vehicle.points[0], kind=Kind.STUD)
    mixed = replace(vehicle, points=(first, *vehicle.points[1:]))
    with pytest.raises(PatternError, match="too few points of the kinds"):
        fits(part, mixed, match=Match.SEARCH)


def test_a_mixed_pattern_is_matched_kind_by_kind() -> None:
    places = np.array([(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)])
    part, vehicle = unnamed(places, Kind.STUD, 12, View.PLAN), unnamed(places, Kind.HOLE, 14, View.PLAN)

    def with_hole(pattern: Pattern, at: int, kind: Kind, size: float) -> Pattern:
        points = list(pattern.points)
        points[at] = replace(points[at], kind=kind, size_mm=size)
        return replace(pattern, points=tuple(points))

    own, other = with_hole(part, 1, Kind.HOLE, 14), with_hole(vehicle, 3, Kind.STUD, 12)
    verdict = fits(own, other, Fastening(bolt_mm=12), match=Match.SEARCH)
    assert (verdict.outcome, verdict.ways) == (FITS, 1)
    assert verdict.pairs[1].vehicle == "hole 3"


def test_a_field_of_holes_all_alike_asks_for_names() -> None:
    wide = Fastening(bolt_mm=2)
    chosen = np.random.default_rng(3)
    sieve = pattern(chosen.uniform(0, 40, (14, 2)), Kind.HOLE, 30, name="sieve")
    with pytest.raises(PatternError, match="too many ways") as caught:
        fits(sieve, sieve, wide, match=Match.SEARCH)
    assert "same names" in caught.value.remedy
