"""The motion with the least worst excess, held against least squares, against itself, and against SciPy's optimizer."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings

from app.fit.patterns.errors import PatternError
from app.fit.patterns.problem import Floats
from app.fit.patterns.rigid import least_squares, minimax
from tests.fit.patterns.shapes import moved, seeds, two_alike

NEAR_MM = 1e-6


@given(seeds)
def test_it_is_never_worse_than_least_squares(seed: int) -> None:
    a, b, room = two_alike(seed)
    worst = (least_squares(a, b).residuals(a, b) - room).max()
    found = minimax(a, b, room)
    assert found.excess_mm <= worst + NEAR_MM
    assert found.excess_mm == pytest.approx((found.motion.residuals(a, b) - room).max(), abs=1e-9)


@settings(max_examples=40)
@given(seeds)
def test_moving_or_turning_either_pattern_changes_nothing(seed: int) -> None:
    a, b, room = two_alike(seed)
    chosen = np.random.default_rng(seed + 1)
    found = minimax(a, b, room).excess_mm
    assert minimax(moved(chosen, a), b, room).excess_mm == pytest.approx(found, abs=NEAR_MM)
    assert minimax(a, moved(chosen, b), room).excess_mm == pytest.approx(found, abs=NEAR_MM)


@settings(max_examples=40)
@given(seeds)
def test_the_vehicle_on_the_part_is_the_part_on_the_vehicle(seed: int) -> None:
    a, b, room = two_alike(seed)
    assert minimax(b, a, room).excess_mm == pytest.approx(minimax(a, b, room).excess_mm, abs=NEAR_MM)


@settings(max_examples=40)
@given(seeds)
def test_the_order_of_the_points_changes_nothing(seed: int) -> None:
    a, b, room = two_alike(seed)
    order = np.random.default_rng(seed).permutation(len(a))
    found = minimax(a[order], b[order], room[order]).excess_mm
    assert found == pytest.approx(minimax(a, b, room).excess_mm, abs=NEAR_MM)


def distances_after(a: Floats, b: Floats) -> Callable[[Floats], Floats]:
    """Distances as SciPy sees them: by a rotation vector of SciPy's own, and a shift."""
    rotation = pytest.importorskip("scipy.spatial.transform").Rotation

    def of(x: Floats) -> Floats:
        flat = a.shape[1] == 2
        vector = [0, 0, x[0] / 1000] if flat else x[:3] / 1000
        turn = rotation.from_rotvec(vector).as_matrix()[: a.shape[1], : a.shape[1]]
        distances: Floats = np.linalg.norm(a @ turn.T + x[1 if flat else 3 :][: a.shape[1]] - b, axis=1)
        return distances

    return of


def best_of_scipy(a: Floats, b: Floats, room: Floats, starts: int, seed: int) -> float:
    """The least worst excess that SLSQP finds: minimize s with every distance at most s + room."""
    optimize = pytest.importorskip("scipy.optimize")
    distances, count = distances_after(a, b), 3 if a.shape[1] == 2 else 6
    chosen, best = np.random.default_rng(seed), np.inf
    only_level = np.append(np.zeros(count), 1.0)
    for at in range(starts):
        x = chosen.normal(scale=3.0, size=count) * (at > 0)
        found = optimize.minimize(
            lambda x: x[-1],
            np.append(x, (distances(x) - room).max()),
            jac=lambda _: only_level,
            constraints={"type": "ineq", "fun": lambda x: x[-1] + room - distances(x[:-1])},
            method="SLSQP",
            options={"ftol": 1e-12, "maxiter": 400},
        )
        best = min(best, float((distances(found.x[:-1]) - room).max()))
    return best


@pytest.mark.parametrize("seed", range(30))
def test_an_independent_optimizer_finds_nothing_better(seed: int) -> None:
    # SciPy's SLSQP (Kraft 1988), from our motion and from places about it; and where it converges it finds the same.
    a, b, room = two_alike(seed)
    ours = minimax(a, b, room)
    theirs = best_of_scipy(ours.motion.apply(a), b, room, 4, seed)
    assert theirs >= ours.excess_mm - NEAR_MM
    assert theirs == pytest.approx(ours.excess_mm, abs=1e-3)


@pytest.mark.parametrize("seed", range(8))
def test_patterns_that_are_strangers_to_each_other_are_searched_all_round(seed: int) -> None:
    chosen = np.random.default_rng(seed)
    a, b = chosen.uniform(0, 100, (2, 6, 2))
    ours = minimax(a, b).excess_mm
    angles = np.linspace(0, 2 * np.pi, 25)[:-1]
    turns = [np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]]) for angle in angles]
    spins = [a @ turn.T for turn in turns]
    theirs = min(best_of_scipy(each - each.mean(axis=0) + b.mean(axis=0), b, np.zeros(6), 1, 0) for each in spins)
    assert ours <= theirs + NEAR_MM


@settings(max_examples=30)
@given(seeds)
def test_a_pattern_on_itself_leaves_the_smallest_clearance(seed: int) -> None:
    a, b, room = two_alike(seed, noise=0.0)
    assert minimax(a, b, room).excess_mm == pytest.approx(-room.min(), abs=NEAR_MM)


def test_two_points_too_far_apart_share_the_difference() -> None:
    # By hand: 100 on 106 mm leaves 3 mm at either end, less the clearance of a millimeter.
    found = minimax([(0, 0), (100, 0)], [(0, 0), (106, 0)], 1.0)
    assert found.excess_mm == pytest.approx(2.0, abs=NEAR_MM)
    assert found.excesses_mm == pytest.approx((2.0, 2.0), abs=NEAR_MM)


def test_one_point_out_of_a_square_is_shared_by_all_four() -> None:
    # By hand: a corner out by e along the diagonal. With the center shifted by x along it, the corner is e - x out, the
    # far corner x, the two others x too: all equal at e / 2.
    square = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]
    bent = [*square[:2], (104.0, 104.0), square[3]]
    assert minimax(square, bent).excess_mm == pytest.approx(np.hypot(4, 4) / 2, abs=NEAR_MM)


def test_a_mirrored_fit_only_where_it_is_asked_for() -> None:
    part = [(0.0, 0.0), (100.0, 0.0), (20.0, 40.0)]
    turned_over = [(-x, y) for x, y in part]
    assert minimax(part, turned_over).excess_mm > 10
    found = minimax(part, turned_over, mirrored=True)
    assert found.excess_mm < NEAR_MM
    assert found.motion.mirrored
    assert not minimax(part, part).motion.mirrored


def test_clearances_that_are_no_numbers_are_refused() -> None:
    with pytest.raises(PatternError, match="a clearance is no number"):
        minimax([(0, 0), (1, 0)], [(0, 0), (1, 0)], float("nan"))
    with pytest.raises(PatternError, match="point 2 has a coordinate"):
        minimax([(0, 0), (1, float("inf"))], [(0, 0), (1, 0)])
    with pytest.raises(PatternError, match="shapes"):
        least_squares([(0, 0), (1, 0)], [(0, 0, 0), (1, 0, 0)])
    with pytest.raises(PatternError, match="weights"):
        least_squares([(0, 0), (1, 0)], [(0, 0), (1, 0)], [0, 0])


@settings(max_examples=40)
@given(seeds)
def test_the_mirror_image_of_both_fits_the_same(seed: int) -> None:
    a, b, room = two_alike(seed)
    flip = np.ones(a.shape[1])
    flip[0] = -1
    assert minimax(a * flip, b * flip, room).excess_mm == pytest.approx(minimax(a, b, room).excess_mm, abs=NEAR_MM)
