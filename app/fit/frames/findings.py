"""What a look for damage takes and says: the five conditions, the points that moved, the verdict."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from app.fit.diagonals import DiagonalVerdict
from app.fit.lengths import LengthUnit, Measured
from app.fit.terms import Side


class Condition(StrEnum):
    """The five ways a frame is bent."""

    SAG = "sag"
    SWAY = "sway"
    MASH = "mash"
    TWIST = "twist"
    DIAMOND = "diamond"


class DamageVerdict(StrEnum):
    """What the readings say, best first."""

    STRAIGHT = "straight"
    NOT_MEASURED = "not measured"
    MEASURE_AGAIN = "measure again"
    BENT = "bent"


@dataclass(frozen=True, slots=True)
class DamageSettings:
    """Limits in millimeters either way. 3 mm is common practice (a repair course's notes), the diagonals' a quarter
    inch likewise; the maker's data sheet goes before both.
    """

    tolerance_mm: float = 3.0
    diagonal_mm: float = 6.35
    unit: LengthUnit = LengthUnit.INCH


USUAL_LIMITS = DamageSettings()


@dataclass(frozen=True, slots=True)
class DiagonalPair:
    """Both diagonals of one box; `first` runs from the front left to the rear right.

    `length_mm` is the box's length along the rails, with which the diagonals tell how far one rail is ahead.
    """

    box: str
    first: Measured
    second: Measured
    length_mm: float | None = None


@dataclass(frozen=True, slots=True)
class DatumHeight:
    """The height of a rail over a level line at one station, in millimeters; NONE for both rails' mean.

    `book_mm` is what a straight frame has there. None: what the design's rail has, and without a design the same
    all along.
    """

    station: str
    x_mm: float
    height_mm: float
    side: Side = Side.NONE
    u_mm: float = 0.0
    book_mm: float | None = None


@dataclass(frozen=True, slots=True)
class BookLength:
    """A length along the frame with what the book has for it, in millimeters."""

    name: str
    mm: float
    book_mm: float
    u_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class ConditionCheck:
    """One condition: the number in mm (its sign told in `words`), its doubt and limit, where, and the formula.

    `by` says what it was told from: mounts, heights, diagonals or lengths.
    """

    condition: Condition
    verdict: DamageVerdict
    number_mm: float | None
    doubt_mm: float
    limit_mm: float
    probability: float | None
    where: str
    formula: str
    words: str
    by: str = "mounts"


@dataclass(frozen=True, slots=True)
class PointMove:
    """How far a point lies from where the design has it, as x rearward, y outboard, z up in mm, and in words."""

    name: str
    side: Side
    x_mm: float
    y_mm: float
    z_mm: float
    doubt_mm: float
    undamaged: bool
    verdict: DamageVerdict
    words: str


@dataclass(frozen=True, slots=True)
class Damage:
    """The whole verdict. `base` are the points found undamaged, against which the others were measured."""

    frame: str
    design: str
    verdict: DamageVerdict
    conditions: tuple[ConditionCheck, ...]
    diagonals: tuple[tuple[str, DiagonalVerdict], ...]
    base: tuple[str, ...]
    points: tuple[PointMove, ...]
    bad_repair: tuple[str, ...]
    words: str
    cautions: tuple[str, ...]
