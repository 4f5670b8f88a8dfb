"""Thin-walled formulas along the midline of the wall: torsion, shear center, warping.

Lengths in one unit; torsion constants in its fourth power, warping constants in its sixth.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import pi


def bredt(enclosed: float, walls: Iterable[tuple[float, float]]) -> float:
    """Torsion constant of a closed section, 4 A²/Σ(s/t), of the area the midline encloses and (length, wall).

    Source: Bredt's second formula, in any text on thin-walled sections (Johnson, Advanced Structural
    Mechanics, eq 2.40).
    """
    return 4 * enclosed**2 / sum(length / wall for length, wall in walls)


def open_torsion(walls: Iterable[tuple[float, float]]) -> float:
    """Torsion constant of an open section, Σ s t³/3 of (midline length, wall)."""
    return sum(length * wall**3 for length, wall in walls) / 3


@dataclass(frozen=True, slots=True)
class ChannelMidline:
    """The midline of an open channel: `height` between the flanges' midlines, `width` from web to tips.

    `radius` is that of the midline in the two corners; it asks for one wall all over.
    """

    height: float
    width: float
    web: float
    flange: float
    radius: float = 0.0

    @property
    def lengths(self) -> tuple[tuple[float, float], ...]:
        """(length, wall) of web, corners and flanges."""
        flange = 2 * (self.width - self.radius)
        return ((self.height - 2 * self.radius, self.web), (pi * self.radius, self.web), (flange, self.flange))

    @property
    def second_moment(self) -> float:
        """About the axis of symmetry, thin walled."""
        r, half = self.radius, self.height / 2
        straight = half - r
        web = self.web * straight**3 * 2 / 3
        arcs = 2 * self.web * r * (straight**2 * pi / 2 + 2 * straight * r + r**2 * pi / 4)
        return web + arcs + 2 * self.flange * (self.width - r) * half**2

    def shear_center(self) -> float:
        """How far the shear center lies behind the web's midline.

        Sharp corners with one wall give 3 b²/(6 b + h), the textbook formula.
        """
        return -self._sectorial_product() / self.second_moment

    def warping(self) -> float:
        """Warping constant about the shear center: ∫ω² t ds - e² I.

        Sharp corners give t b³ h² (3 b t + 2 h w)/(12 (6 b t + h w)) with flange t and web w (Vlasov;
        Roark's Formulas for Stress and Strain, table of thin-walled sections).
        """
        return self._sectorial_square() - self.shear_center() ** 2 * self.second_moment

    def _corner(self) -> tuple[float, float, float, float]:
        """Straight half of the web, corner radius, straight flange, and ω where the flange begins.

        ω is the sectorial coordinate about the middle of the web: 0 along it, r²(sin θ - θ) + a r(cos θ - 1)
        round the corner, then falling by half the height for each unit along the flange.
        """
        r, a = self.radius, self.height / 2 - self.radius
        return a, r, self.width - r, r**2 * (1 - pi / 2) - a * r

    def _sectorial_product(self) -> float:
        """∫ω y t ds over both halves."""
        a, r, c, start = self._corner()
        half = self.height / 2
        level = r**2 * (1 - pi**2 / 8) + a * r * (1 - pi / 2)
        raised = r**2 * (pi / 4 - 1) - a * r / 2
        arc = self.web * r * (a * level + r * raised)
        return 2 * (arc + self.flange * half * (start * c - half * c**2 / 2))

    def _sectorial_square(self) -> float:
        """∫ω² t ds over both halves."""
        a, r, c, start = self._corner()
        half = self.height / 2
        turning = pi / 4 - 2 + pi**3 / 24
        mixed = 0.5 - pi / 2 + pi**2 / 8
        arc = self.web * r * (r**4 * turning + 2 * a * r**3 * mixed + (a * r) ** 2 * (3 * pi / 4 - 2))
        flange = self.flange * (start**2 * c - start * half * c**2 + half**2 * c**3 / 3)
        return 2 * (arc + flange)


def box_shear_center(height: float, width: float, flange: float, left: float, right: float) -> float:
    """Shear center of a box of two side walls that differ, from the left wall's midline; all midline lengths.

    The shear flow starts at the corners such that the box does not twist: ∮ q/t ds = 0 (Bredt and Batho).
    """
    h, b = height, width
    second = (left + right) * h**3 / 12 + 2 * b * flange * (h / 2) ** 2
    start = (h**2 * flange * b / (2 * right) + h * b**2 / 2) / (h * (1 / left + 1 / right) + 2 * b / flange)
    right_force = (h * flange * b / 2 - start) * h + right * h**3 / 12
    flange_force = start * b - h * flange * b**2 / 4
    return (right_force * b - flange_force * h) / second
