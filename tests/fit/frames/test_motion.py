"""Rigid motions of a few points, against SciPy and against every triple."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from app.fit.frames.motion import InLine, Point, best_motion, largest_agreement

LOTS = st.integers(0, 2**32 - 1)


def some(seed: int, count: int) -> tuple[np.random.Generator, list[Point]]:
    """Points of a box as big as a frame."""
    lots = np.random.default_rng(seed)
    return lots, [spot(each) for each in lots.uniform((0, -560, 0), (4200, 560, 300), (count, 3))]


def spot(each: np.ndarray) -> Point:
    """A row of an array as a point."""
    x, y, z = (float(value) for value in each)
    return x, y, z


@given(LOTS, st.integers(3, 12))
@settings(deadline=None)
def test_the_best_motion_is_scipys(seed: int, count: int) -> None:
    """The reference is Rotation.align_vectors on centered points (SciPy), weighted alike."""
    lots, points = some(seed, count)
    turn = Rotation.from_rotvec(lots.normal(size=3))
    targets = turn.apply(np.array(points)) + lots.normal(size=3) * 500 + lots.normal(size=(count, 3)) * 3
    weights = lots.uniform(0.1, 1.0, count)
    found = best_motion(points, [spot(each) for each in targets], list(weights))
    here, there = (np.average(each, axis=0, weights=weights) for each in (np.array(points), targets))
    expected, _ = Rotation.align_vectors(targets - there, np.array(points) - here, weights)
    assert np.array(found.rows) == pytest.approx(expected.as_matrix(), abs=1e-7)
    assert found.apply(spot(here)) == pytest.approx(there, abs=1e-6)


@given(LOTS, st.integers(4, 9), st.integers(0, 4))
@settings(max_examples=30, deadline=None)
def test_points_that_moved_are_told_from_those_that_did_not(seed: int, count: int, moved: int) -> None:
    lots, points = some(seed, count + moved)
    turn = Rotation.from_rotvec(lots.normal(size=3) * 0.05)
    targets = turn.apply(np.array(points)) + lots.normal(size=3) * 100
    targets[:moved] += lots.choice((-1, 1), (moved, 3)) * lots.uniform(150, 400, (moved, 3))
    found = largest_agreement(points, [spot(each) for each in targets], [(2.0, 2.0, 2.0)] * len(points))
    assert found is not None
    assert set(range(moved, count + moved)) <= set(found.points)


@given(LOTS)
@settings(max_examples=20, deadline=None)
def test_no_triple_brings_more_points_together(seed: int) -> None:
    lots, points = some(seed, 7)
    targets = [spot(np.array(each) + lots.normal(size=3) * 4) for each in points]
    found = largest_agreement(points, targets, [(3.0, 3.0, 3.0)] * 7)
    count = len(found.points) if found else 0
    for triple in combinations(range(7), 3):
        motion = best_motion([points[i] for i in triple], [targets[i] for i in triple], [1.0] * 3)
        members = within(motion.apply, points, targets)
        if len(members) > max(count, 2) and _wide([targets[i] for i in triple]):
            settled = best_motion([points[i] for i in members], [targets[i] for i in members], [1.0] * len(members))
            assert within(settled.apply, points, targets) != members


def within(move: Callable[[Point], Point], points: list[Point], targets: list[Point]) -> list[int]:
    """The points that a motion brings within 3 mm along each axis."""
    pairs = list(zip(map(move, points), targets, strict=True))
    return [i for i, (p, t) in enumerate(pairs) if all(abs(a - b) <= 3.0 for a, b in zip(p, t, strict=True))]


def _wide(points: list[Point]) -> bool:
    """Whether three points span a triangle that is no splinter."""
    a, b, c = (np.array(each) for each in points)
    area = np.linalg.norm(np.cross(b - a, c - a))
    longest = max(np.linalg.norm(b - a), np.linalg.norm(c - a), np.linalg.norm(c - b))
    return bool(area / longest >= 0.021 * longest)


def test_a_line_or_two_points_give_no_motion() -> None:
    line = [(float(x), 2.0 * x, 0.0) for x in range(0, 500, 100)]
    with pytest.raises(InLine, match="lie in a line"):
        largest_agreement(line, line, [(1.0, 1.0, 1.0)] * 5)
    with pytest.raises(InLine, match="2 points are in both, 3 are needed"):
        largest_agreement(line[:2], line[:2], [(1.0, 1.0, 1.0)] * 2)


def test_the_angles_of_a_motion_are_roll_pitch_and_yaw() -> None:
    turn = Rotation.from_euler("xyz", (1.0, -2.0, 3.0), degrees=True)
    _, points = some(3, 6)
    found = best_motion(points, [spot(each) for each in turn.apply(np.array(points))], [1.0] * 6)
    assert found.angles == pytest.approx((1.0, -2.0, 3.0))
