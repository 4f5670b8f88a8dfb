"""What boxing a length of open rail does to the whole rail: how far it twists and how far it bends.

N, mm, N/mm² and N mm inside; angles in degrees.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees, isfinite, sqrt, tanh

from app.fit.sections.compare import WELDING, times
from app.fit.sections.rails import OpenChannel, Plated, Properties, SectionError

STEEL_E = 29_000 * 6.894757293168361
"""N/mm². 29,000 ksi, the value AISC 360 works with."""

STEEL_G = 11_200 * 6.894757293168361
"""N/mm². 11,200 ksi, the value AISC 360 works with; not E/2.6."""

NEWTONS_PER_POUND = 4.4482216152605
"""Exact: 0.45359237 kg times 9.80665 m/s²."""

NMM_PER_LB_FT = NEWTONS_PER_POUND * 304.8
"""N mm in a pound-foot."""

MODEL = (
    "The rail is held at both ends. Twist adds up over the open and the boxed lengths; with the ends of each open "
    "length free to warp it twists most, with them held flat (by the box, a crossmember) least, and the truth lies "
    "between; no open length counts as stiffer than boxed. Bending is under a load in the middle, ends resting. "
    "The plate is welded along its whole edges."
)
"""What is taken for granted, said with every answer."""

_ROUNDING = 1e-12
"""What a sum of lengths may be off, as a share of them."""


@dataclass(frozen=True, slots=True)
class BoxedLength:
    """A rail of `length_mm`, open but for `boxed_mm` from `start_mm` on; None puts the box in the middle.

    SectionError for a length not above zero, or a box that does not lie on the rail.
    """

    length_mm: float
    boxed_mm: float
    start_mm: float | None = None

    def __post_init__(self) -> None:
        for place, mm, least in (("length", self.length_mm, 1e-9), ("boxed length", self.boxed_mm, 0.0)):
            if not (isfinite(mm) and mm >= least):
                raise SectionError(f"a {place} of {mm:g} mm is none", "Type it above zero", place=place)
        left_mm = self.length_mm - self.boxed_mm
        # A box that begins just where it still fits may stand over by what is lost in rounding.
        if left_mm < 0 or not 0 <= self.start <= left_mm + _ROUNDING * self.length_mm:
            raise SectionError(
                f"{self.boxed_mm:.1f} mm boxed from {self.start:.1f} mm on do not lie on {self.length_mm:.1f} mm",
                "Give the boxed length and its start within the rail",
                place="boxed length",
            )

    @property
    def start(self) -> float:
        """Where the box begins, mm from one end."""
        return (self.length_mm - self.boxed_mm) / 2 if self.start_mm is None else self.start_mm

    @property
    def open_parts(self) -> tuple[float, ...]:
        """The lengths left open before and after the box, mm."""
        ends = (self.start, self.length_mm - self.start - self.boxed_mm)
        return tuple(part for part in ends if part > 0)


@dataclass(frozen=True, slots=True)
class Boxing:
    """What a boxed length does. Twist in degrees under the torque, free and held against warping.

    `twist_ratio` and `bending_ratio` say how many times as stiff as the same rail left open.
    """

    torque_nmm: float
    open_twist_deg: float
    open_twist_held_deg: float
    twist_deg: float
    twist_held_deg: float
    twist_ratio: float
    twist_held_ratio: float
    bending_ratio: float
    words: str
    model: str = MODEL
    caution: str = WELDING


def box_a_length(
    rail: OpenChannel,
    plate_mm: float,
    lengths: BoxedLength,
    torque_nmm: float = 1000 * NMM_PER_LB_FT,
) -> Boxing:
    """An open rail, plated over its open side for a length, against the same rail left open.

    Twist is T L/(G J) (Saint-Venant), for held ends T/(G J) (L - 2/k tanh(k L/2)) with k² = G J/(E Cw)
    (AISC Design Guide 9, Torsional Analysis, both ends fixed). Bending is by the unit load method.
    """
    section, boxed = rail.properties(), Plated(rail, plate_mm).properties()
    before = BoxedLength(lengths.length_mm, 0.0, 0.0)
    bare = _twist(section, boxed, before, torque_nmm), _twist(section, boxed, before, torque_nmm, held=True)
    after = _twist(section, boxed, lengths, torque_nmm), _twist(section, boxed, lengths, torque_nmm, held=True)
    bending = _give(section.ix_mm4, boxed.ix_mm4, before) / _give(section.ix_mm4, boxed.ix_mm4, lengths)
    free, held = bare[0] / after[0], bare[1] / after[1]
    words = _words(lengths.boxed_mm / lengths.length_mm, bending, free, held)
    return Boxing(torque_nmm, *bare, *after, free, held, bending, words)


def _words(share: float, *ratios: float) -> str:
    bending, free, held = (times(ratio, "as stiff", "stiffer") for ratio in ratios)
    return (
        f"boxed over {share:.0%} of its length, the whole rail is in bending {bending}, in twist {free} with ends "
        f"free to warp, {held} with them held"
    )


def _twist(rail: Properties, boxed: Properties, lengths: BoxedLength, torque: float, *, held: bool = False) -> float:
    parts = sum(max(_open_part(rail, part, held), part / boxed.j_mm4) for part in lengths.open_parts)
    return degrees(torque / STEEL_G * (lengths.boxed_mm / boxed.j_mm4 + parts))


def _open_part(rail: Properties, length: float, held: bool) -> float:
    """How far an open length twists for each unit of torque over G, its ends free to warp or held flat."""
    if not held:
        return length / rail.j_mm4
    assert rail.cw_mm6 is not None
    k = sqrt(STEEL_G * rail.j_mm4 / (STEEL_E * rail.cw_mm6))
    return (length - 2 / k * tanh(k * length / 2)) / rail.j_mm4


def _give(open_second: float, boxed_second: float, lengths: BoxedLength) -> float:
    """Sag in the middle under a load of one in the middle, for an elasticity of one."""
    length, start = lengths.length_mm, lengths.start
    boxed = _sag_up_to(start + lengths.boxed_mm, length) - _sag_up_to(start, length)
    return (_sag_up_to(length, length) - boxed) / open_second + boxed / boxed_second


def _sag_up_to(x: float, length: float) -> float:
    """∫ of the squared moment of a unit load in the middle, from one end to x."""
    half = length / 2
    return x**3 / 12 if x <= half else length**3 / 48 - (length - x) ** 3 / 12
