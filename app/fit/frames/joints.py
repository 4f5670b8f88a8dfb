"""What a look for a joint takes and says: tests at every station, places for it, what it costs."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from app.fit.lengths import LengthUnit
from app.fit.terms import Grade


class JoinResult(StrEnum):
    """What one test of a joint says."""

    PASS = "pass"
    MEASURE_AGAIN = "measure again"
    FAIL = "fail"


@dataclass(frozen=True, slots=True)
class JoinSettings:
    """Limits of a joint: shares of the smaller rail, millimeters, ratios. Common practice, no source.

    The sleeve reaches `sleeve_heights` rail heights each way from the joint, and `end_clear_mm` must be free
    beyond each of its ends. Money in cents.
    """

    overlap: float = 0.95
    step_mm: float = 6.35
    wall_ratio: float = 1.25
    sleeve_heights: float = 2.0
    end_clear_mm: float = 50.8
    straight_mm: float = 1.5875
    hours: float = 18.0
    rate_cents: int | None = None
    parts_cents: int | None = None
    straight_frame_cents: int | None = None
    unit: LengthUnit = LengthUnit.INCH


USUAL_JOINT = JoinSettings()


@dataclass(frozen=True, slots=True)
class JoinTest:
    """One test at one place: both rails' figures, the result's figure, the limit, and the words."""

    what: str
    result: JoinResult
    a: str
    b: str
    number: float | None
    unit: str
    limit: float | None
    words: str


@dataclass(frozen=True, slots=True)
class JoinStation:
    """All tests at one place, x on the first frame."""

    x_mm: float
    result: JoinResult
    tests: tuple[JoinTest, ...]


@dataclass(frozen=True, slots=True)
class JoinPlace:
    """A stretch in which the joint can lie, from `from_mm` to `to_mm`, with room for the sleeve about `best_mm`."""

    from_mm: float
    to_mm: float
    best_mm: float
    between: tuple[str, str]
    free_mm: float
    sleeve_mm: float
    end_clear_mm: float
    result: JoinResult
    words: str


@dataclass(frozen=True, slots=True)
class JoinCost:
    """Hours × rate and the parts against a straight frame, in cents; None where a price is not known."""

    hours: float
    labor_cents: int | None
    parts_cents: int | None
    total_cents: int | None
    straight_frame_cents: int | None
    words: str


@dataclass(frozen=True, slots=True)
class Joint:
    """Where the first frame's front can take the second frame's rear, if anywhere; never offered as a fit.

    `grade` is needs_work at best. `failed` are the tests that fail everywhere or at their best place.
    """

    a: str
    b: str
    grade: Grade
    places: tuple[JoinPlace, ...]
    stations: tuple[JoinStation, ...]
    failed: tuple[JoinTest, ...]
    sound: tuple[JoinTest, ...]
    cost: JoinCost
    words: str
    conditions: tuple[str, ...]
    cautions: tuple[str, ...]
