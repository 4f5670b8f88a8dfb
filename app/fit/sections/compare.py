"""Two rails held against each other: how many times as stiff, as strong, as heavy, and that said in words."""

from __future__ import annotations

from dataclasses import dataclass

from app.fit.sections.rails import Rail

WELDING = (
    "Boxing or welding on a frame is structural work: only for people certified for it, under local rules and "
    "the maker's repair instructions; these figures approve nothing."
)
"""The caution that goes with every answer about welding on rails."""

WARPING = (
    "An open rail's twist is figured with its ends free to warp; crossmembers that hold them flat make it stiffer, "
    "so the ratio in twist is the most there can be."
)
"""What a comparison of an open rail with a closed one leaves out."""

NEAR_EQUAL = 1.25
"""Within this factor two rails are called near equal: people do not feel less. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class RailRatios:
    """How many times as much the first rail has as the second, of one steel; plain numbers.

    Stiffness: `bending` up and down (I), `sideways`, `twist` (J, ends free to warp). Strength, to the first
    yield: `bending_strength` (section modulus), `twist_strength` (torsion modulus). `weight` for one length.
    """

    bending: float
    sideways: float
    twist: float
    bending_strength: float
    twist_strength: float
    weight: float
    first: str
    second: str
    words: str


def compare_rails(first: Rail, second: Rail) -> RailRatios:
    """How the first rail stands against the second, as ratios and in words."""
    one, other = first.properties(), second.properties()
    bending, twist = one.ix_mm4 / other.ix_mm4, one.j_mm4 / other.j_mm4
    strength, weight = one.sx_mm3 / other.sx_mm3, one.area_mm2 / other.area_mm2
    words = (
        f"in bending {times(bending, 'as stiff', 'stiffer')}, in twist {times(twist, 'as stiff', 'stiffer')}; "
        f"strength in bending {times(strength, 'as strong', 'stronger')}, weight {weight:.2f} times"
    )
    return RailRatios(
        bending=bending,
        sideways=one.iy_mm4 / other.iy_mm4,
        twist=twist,
        bending_strength=strength,
        twist_strength=one.torsion_modulus_mm3 / other.torsion_modulus_mm3,
        weight=weight,
        first=first.words,
        second=second.words,
        words=words,
    )


def times(ratio: float, alike: str, more: str) -> str:
    """A ratio in words: "near equal (1.23)", "1.6 times as stiff", "about a thousand times stiffer"."""
    if 1 / NEAR_EQUAL <= ratio <= NEAR_EQUAL:
        return f"near equal ({ratio:.2f})"
    if ratio < 1:
        return f"{ratio:.2f} times {alike}" if ratio >= 0.1 else f"about 1/{_about(1 / ratio)} {alike}"
    if ratio < 10:
        return f"{ratio:.1f} times {alike}"
    return f"about {'a thousand' if 800 <= ratio < 1250 else _about(ratio)} times {more}"


def _about(ratio: float) -> str:
    digits = len(f"{ratio:.0f}") - 2
    return f"{round(ratio, -digits):,.0f}"
