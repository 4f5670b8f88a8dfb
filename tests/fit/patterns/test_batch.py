"""One part against many vehicles says what it says against each alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.fit.patterns.batch import Vehicles
from app.fit.patterns.clearance import Fastening
from app.fit.patterns.errors import PatternError
from app.fit.patterns.match import fits
from app.fit.patterns.pairing import Match
from app.fit.patterns.points import Kind, Pattern, Point, View
from app.fit.patterns.rigid import least_squares
from app.fit.patterns.turns import fit_many
from app.fit.tape import TapeOutcome
from tests.fit.patterns.shapes import moved, pattern, seeds, two_alike

NEAR_MM = 1e-6


@settings(max_examples=60)
@given(seeds, st.booleans(), st.booleans())
def test_many_least_squares_fits_are_each_the_plain_one(seed: int, mirrored: bool, weighted: bool) -> None:
    a, b, room = two_alike(seed)
    chosen = np.random.default_rng(seed)
    many = np.stack([b, moved(chosen, b), b + chosen.normal(scale=300, size=b.shape)])
    weights = np.tile(room + 0.1, (3, 1)) if weighted else None
    turns, shifts = fit_many(np.broadcast_to(a, many.shape), many, weights, mirrored)
    for at, each in enumerate(many):
        plain = least_squares(a, each, room + 0.1 if weighted else None, mirrored=mirrored)
        assert np.abs(a @ turns[at].T + shifts[at] - plain.apply(a)).max() < NEAR_MM


@pytest.mark.parametrize(
    "places",
    [
        [(0, 0, 0), (100, 0, 0), (200, 0, 0)],
        [(0, 0, 0), (100, 0, 0), (100, 100, 0), (0, 100, 0)],
        [(5, 5, 5), (5, 5, 5), (5, 5, 5)],
        [(0, 0, 0), (1, 0, 0), (0, 1, 0), (0, 0, 1), (1, 1, 1)],
    ],
)
@pytest.mark.parametrize("mirrored", [False, True])
def test_patterns_without_depth_or_length_still_get_a_best_motion(
    places: list[tuple[float, ...]], mirrored: bool
) -> None:
    chosen = np.random.default_rng(1)
    a = np.array(places, dtype=float)
    b = moved(chosen, a)
    turns, shifts = fit_many(a[None], b[None], None, mirrored)
    ours = np.linalg.norm(a @ turns[0].T + shifts[0] - b, axis=1)
    plain = least_squares(a, b, mirrored=mirrored).residuals(a, b)
    assert (ours**2).sum() == pytest.approx((plain**2).sum(), abs=NEAR_MM)
    assert np.allclose(turns[0] @ turns[0].T, np.eye(3), atol=1e-9)
    assert np.linalg.det(turns[0]) == pytest.approx(-1.0 if mirrored else 1.0)


def yard(seed: int, dimensions: int, *, view: View | None = None, flat: bool = False) -> tuple[Pattern, list[Pattern]]:
    """A part and vehicles that are near its pattern, far from it, or turned over."""
    chosen = np.random.default_rng(seed)
    places = chosen.uniform(-400, 400, (5, dimensions))
    if flat:
        places[:, 2] = 20.0
    vehicles = []
    for at in range(8):
        noise = (0.2, 1.5, 2.5, 0.4, 2.0, 200.0, 1.0, 3.0)[at]
        other = places + chosen.normal(scale=noise, size=places.shape)
        if at % 3 == 0:
            other[:, 0] *= -1
        vehicles.append(pattern(moved(chosen, other), Kind.HOLE, 18.0, float(chosen.uniform(0, 1)), view=view))
    return pattern(places, Kind.STUD, 12.0, 0.3, view=view), vehicles


@pytest.mark.parametrize("match", [Match.NAMES, Match.SEARCH])
@pytest.mark.parametrize("may_turn", [False, True])
@pytest.mark.parametrize("seed", [7])
@pytest.mark.parametrize(
    ("dimensions", "view", "flat"),
    [(2, View.PLAN, False), (2, None, False), (3, None, False), (3, None, True)],
    ids=["page, told", "page", "space", "flat in space"],
)
def test_every_verdict_is_that_of_the_vehicle_alone(
    seed: int, dimensions: int, view: View | None, flat: bool, match: Match, may_turn: bool
) -> None:
    part, vehicles = yard(seed, dimensions, view=view, flat=flat)
    screened = Vehicles(vehicles).screen(part, match=match, may_turn=may_turn)
    alone = [fits(part, vehicle, match=match, may_turn=may_turn).outcome for vehicle in vehicles]
    assert [screened.outcome(at) for at in range(len(vehicles))] == alone
    assert len(set(alone)) > 1


def test_a_yard_of_all_sorts_is_sorted_out() -> None:
    square = [(0.0, 0.0), (100.0, 0.0), (110.0, 80.0), (0.0, 80.0)]
    studs = pattern(square, Kind.STUD, 12, view=View.PLAN)
    holes = pattern(square, Kind.HOLE, 14, view=View.PLAN)
    slot = Point("a", (3.0, 0.0), Kind.SLOT, 14, direction=(1.0, 0.0), length_mm=30)
    slotted = replace(holes, points=(slot, *holes.points[1:]))
    fewer = replace(holes, points=holes.points[:3])
    stranger = replace(holes, points=tuple(replace(point, name=f"hole {point.name}") for point in holes.points))
    blocked = replace(holes, points=(replace(holes.points[0], kind=Kind.STUD), *holes.points[1:]))
    yard = Vehicles([holes, slotted, fewer, stranger, blocked, holes])
    screened = yard.screen(studs)
    fine, again, not_at_all = TapeOutcome.FITS, TapeOutcome.MEASURE_AGAIN, TapeOutcome.DOES_NOT_FIT
    assert [screened.outcome(at) for at in range(6)] == [fine, fine, again, None, not_at_all, fine]
    assert screened.with_outcome(fine) == [0, 1, 5]
    rms = yard.least_squares(studs).rms_mm
    assert rms[[0, 5]] == pytest.approx([0, 0], abs=NEAR_MM)
    assert np.isnan(rms[3])
    searched = yard.screen(studs, match=Match.SEARCH)
    assert [searched.outcome(at) for at in (0, 3)] == [fine, fine]


def test_a_part_that_is_wrong_is_named_for_the_whole_yard() -> None:
    holes = pattern([(0.0, 0.0), (100.0, 0.0), (110.0, 80.0)], Kind.HOLE, 14)
    with pytest.raises(PatternError, match="does not say the bolt"):
        Vehicles([holes]).screen(holes)
    with pytest.raises(PatternError, match="on the page and some in space"):
        Vehicles([holes, pattern([(0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)])])
    with pytest.raises(PatternError, match="not measured as the vehicles"):
        Vehicles([holes]).screen(pattern([(0.0, 0.0, 0.0), (9.0, 0.0, 0.0), (0.0, 9.0, 0.0)]), Fastening(12))
    assert len(Vehicles([]).screen(holes, Fastening(12)).codes) == 0
