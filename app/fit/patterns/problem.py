"""Many fits at once as arrays: points, clearances, and what may slide."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

_CYCLES = 40


@dataclass(frozen=True, slots=True)
class Slides:
    """What may slide, j = 1 … J, the same for all fits of a batch but for its directions and reaches.

    Slide j moves the point of pair `of[j]` along `along[:, j]` by at most `reach[:, j]` mm either way
    (infinite where nothing holds it); where `on_part[j]`, the direction turns with the part.
    """

    of: Ints
    on_part: Bools
    along: Floats
    reach: Floats


@dataclass(frozen=True, slots=True)
class Problem:
    """B fits of n pairs in d dimensions: part points `a` and vehicle points `b` (B, n, d), clearances (B, n), mm.

    The excess of a pair is its distance, with its slides where they bring it nearest, less its clearance; the
    excess of a fit is that of its worst pair. A pair counts where `counts` (B, n) says so. Where `across` is given,
    (B, n, d, d), only the part of an offset that this projection leaves counts: what is across a bolt, or along
    it. Then `mate` (n,) is the row with the rest of the same offset, -1 for none.
    """

    a: Floats
    b: Floats
    clearance: Floats
    slides: Slides
    counts: Bools
    across: Floats | None = None
    mate: Ints | None = None

    @property
    def size(self) -> int:
        """How many fits."""
        return len(self.a)

    @property
    def dimensions(self) -> int:
        """2 or 3."""
        return int(self.a.shape[2])

    def take(self, rows: NDArray[np.intp] | NDArray[np.bool_]) -> Problem:
        """The fits of these rows."""
        slides = replace(self.slides, along=self.slides.along[rows], reach=self.slides.reach[rows])
        across = None if self.across is None else self.across[rows]
        arrays = self.a[rows], self.b[rows], self.clearance[rows]
        return Problem(*arrays, slides, self.counts[rows], across, self.mate)

    def with_clearance(self, clearance: Floats) -> Problem:
        """The same fits with other clearances."""
        return replace(self, clearance=clearance)


def no_slides(size: int, dimensions: int) -> Slides:
    """Nothing slides."""
    return Slides(
        np.zeros(0, dtype=np.intp), np.zeros(0, dtype=bool), np.zeros((size, 0, dimensions)), np.zeros((size, 0))
    )


def plain(a: Floats, b: Floats, clearance: Floats) -> Problem:
    """Fits in which nothing slides and every pair counts."""
    return Problem(a, b, clearance, no_slides(len(a), a.shape[2]), np.ones(clearance.shape, dtype=bool))


def lengths(ways: Floats) -> Floats:
    """Lengths of (…, d)."""
    found: Floats = np.sqrt(np.einsum("...d,...d->...", ways, ways))
    return found


def directions(problem: Problem, turn: Floats) -> Floats:
    """Where each slide leads in the vehicle's axes, (B, J, d), so that the offset grows by it."""
    slides = problem.slides
    turned = np.einsum("bij,bkj->bki", turn, slides.along)
    led: Floats = np.where(slides.on_part[None, :, None], turned, -slides.along)
    return led


def held_directions(problem: Problem, turn: Floats) -> Floats:
    """The same as far as it counts."""
    led = directions(problem, turn)
    if problem.across is not None and len(problem.slides.of):
        led = (problem.across[:, problem.slides.of] @ led[..., None])[..., 0]
    return led


def offsets(problem: Problem, turn: Floats, shift: Floats, slid: Floats | None = None) -> Floats:
    """Moved part points less vehicle points as far as they count, (B, n, d), after slides `slid` (B, J) if given."""
    e: Floats = problem.a @ turn.transpose(0, 2, 1) + shift[:, None, :] - problem.b
    if problem.across is not None:
        e = (problem.across @ e[..., None])[..., 0]
    if slid is not None and len(problem.slides.of):
        led = held_directions(problem, turn) * slid[:, :, None]
        for j, k in enumerate(problem.slides.of):
            e[:, k] += led[:, j]
    return e


def slide_home(problem: Problem, turn: Floats, shift: Floats) -> Floats:
    """The slides (B, J) that bring each pair nearest: one after the other, round and round, as far as each reaches."""
    slides = problem.slides
    slid: Floats = np.zeros(slides.reach.shape)
    if not len(slides.of):
        return slid
    e, led = offsets(problem, turn, shift), held_directions(problem, turn)
    square = np.maximum((led**2).sum(axis=2), 1e-30)
    cycles = _CYCLES if len(set(slides.of.tolist())) < len(slides.of) else 1
    for _ in range(cycles):
        for j, k in enumerate(slides.of):
            wanted = slid[:, j] - np.einsum("bd,bd->b", e[:, k], led[:, j]) / square[:, j]
            bounded = np.clip(wanted, -slides.reach[:, j], slides.reach[:, j])
            e[:, k] += led[:, j] * (bounded - slid[:, j])[:, None]
            slid[:, j] = bounded
    return slid


def excesses(problem: Problem, turn: Floats, shift: Floats, slid: Floats | None = None) -> Floats:
    """Each pair's distance less its clearance, (B, n), mm; minus infinity where a pair does not count."""
    best = slide_home(problem, turn, shift) if slid is None else slid
    distance = lengths(offsets(problem, turn, shift, best))
    over: Floats = np.where(problem.counts, distance - problem.clearance, -np.inf)
    return over
