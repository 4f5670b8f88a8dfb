"""Random patterns to hold against each other."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from hypothesis import strategies as st

from app.fit.patterns.points import Kind, Pattern, Point, View
from app.fit.patterns.problem import Floats

seeds = st.integers(0, 2**32 - 1)


def turn_at_random(chosen: np.random.Generator, dimensions: int) -> Floats:
    """A proper rotation."""
    turn, upper = np.linalg.qr(chosen.normal(size=(dimensions, dimensions)))
    turn = turn * np.sign(np.diag(upper))
    turn[:, 0] *= np.linalg.det(turn)
    turned: Floats = turn
    return turned


def moved(chosen: np.random.Generator, places: Floats) -> Floats:
    """The places turned and shifted at random."""
    dimensions = places.shape[1]
    return places @ turn_at_random(chosen, dimensions).T + chosen.uniform(-3000, 3000, dimensions)


def two_alike(seed: int, noise: float | None = None) -> tuple[Floats, Floats, Floats]:
    """A pattern of 4 to 12 points, the same moved and measured badly, and clearances; 2-D or 3-D."""
    chosen = np.random.default_rng(seed)
    dimensions, count = int(chosen.integers(2, 4)), int(chosen.integers(4, 13))
    scale = float(chosen.choice([0.1, 2.0, 20.0])) if noise is None else noise
    a = chosen.uniform(-1000, 1000, (count, dimensions))
    b = moved(chosen, a + chosen.normal(scale=scale, size=a.shape))
    return a, b, chosen.uniform(0, 5, count)


def pattern(
    places: Floats | Sequence[tuple[float, ...]],
    kind: Kind = Kind.HOLE,
    size: float | None = None,
    u: float = 0.0,
    *,
    name: str = "pattern",
    view: View | None = None,
) -> Pattern:
    """Points "a", "b", … at these places."""
    listed = np.asarray(places, dtype=float).tolist()
    points = [Point(chr(ord("a") + at), tuple(place), kind, size, u) for at, place in enumerate(listed)]
    return Pattern(name, tuple(points), view)
