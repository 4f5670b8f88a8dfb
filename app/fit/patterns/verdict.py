"""What comes out of holding a part against a vehicle: plain data, all lengths in millimeters."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from app.fit.patterns.rigid import Motion
from app.fit.tape import TapeOutcome


class Hand(StrEnum):
    """Whether the points tell a left part from a right one, or a part face up from one face down."""

    TOLD = "told by the shape, a side or a normal"
    EITHER_WAY = "goes on either way round"
    TURNED_OVER = "goes on turned over"
    NOT_TOLD = "cannot be told from the points"


@dataclass(frozen=True, slots=True)
class PairVerdict:
    """One point of the part on its point of the vehicle, at the best position.

    `off_mm` is how far they are apart after what slides has slid, `free_mm` its clearance, `doubt_mm` the
    measuring doubts of both together, `spare_mm` clearance less distance (below zero: over). `way_mm` leads
    from the vehicle's point to the part's, in the vehicle's axes, and `way` says it in words.
    """

    part: str
    vehicle: str
    outcome: TapeOutcome
    off_mm: float
    free_mm: float
    doubt_mm: float
    spare_mm: float
    way_mm: tuple[float, ...]
    way: str


@dataclass(frozen=True, slots=True)
class Move:
    """A point that would have to move for the part to fit, were the others to stay.

    `least_mm` brings it just within its clearance, `whole_mm` right home. `way` is the whole way that the vehicle's
    point would go, `part_way` the way the part's would go instead.
    """

    part: str
    vehicle: str
    least_mm: float
    whole_mm: float
    way_mm: tuple[float, ...]
    way: str
    part_way: str


@dataclass(frozen=True, slots=True)
class Decider:
    """The one point to measure better; `decides` where it alone would decide, were its reading to stay.

    `enough_mm` is the doubt of both its readings together that would do, where that is known.
    """

    part: str
    vehicle: str
    decides: bool
    enough_mm: float | None
    outcome: TapeOutcome | None
    words: str


@dataclass(frozen=True, slots=True)
class PatternVerdict:
    """Fits, does not fit, or measure again, with all that stands behind it.

    `motion` carries the part's points onto the vehicle's. `excess_mm` is the least worst excess (distance less
    clearance) as measured, at or below zero where it fits; `surely_mm` the same with all doubt against it, `at_best_mm`
    with all doubt for it: it fits where `surely_mm` is not above zero and does not where `at_best_mm` is.
    `slack_mm` is what is left of the clearances in the worst case, zero unless it fits. `worst` is the point that
    leaves least. `moves` are the fewest points that would have to move (empty if it fits or may fit);
    `moves_few` is false where so few agree that the best position of all is shown instead. `missing` are points the
    vehicle has no reading of, `rms_mm` the root mean square distance at the least squares position.
    """

    part: str
    vehicle: str
    outcome: TapeOutcome
    motion: Motion
    excess_mm: float
    surely_mm: float
    at_best_mm: float
    slack_mm: float
    rms_mm: float
    worst: str
    pairs: tuple[PairVerdict, ...]
    moves: tuple[Move, ...]
    moves_few: bool
    decider: Decider | None
    hand: Hand
    mirrored: bool
    by_name: bool
    ways: int
    missing: tuple[str, ...]
    spare_points: tuple[str, ...]
    blocked: tuple[str, ...]
    words: tuple[str, ...]
