"""Rails as a person measures them, and what follows from their size: stiffness in bending and in twist.

x runs from the back of the web (or the left wall) to the right, y up from the bottom; millimeters.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import isfinite, pi

from app.errors import BadInput
from app.fit.lengths import in_words
from app.fit.sections.pieces import LEFT, Piece, disc, rectangle, rounded, whole
from app.fit.sections.thin import ChannelMidline, box_shear_center, bredt, open_torsion

STEEL_KG_PER_MM3 = 7.85e-6
"""Density of structural steel, 7,850 kg/m³."""


MOST_MM = 2000.0
"""No rail is larger any way."""


class SectionError(BadInput, ValueError):
    """A rail that cannot be: the place names the measure that is wrong."""


@dataclass(frozen=True, slots=True)
class Properties:
    """What follows from a section; mm and its powers, kg a meter of steel.

    The section moduli are the lesser of both sides. `shear_x_mm` is below zero where the shear center lies
    behind the web. The torsion modulus is the torque for each unit of shear stress away from the corners:
    2 A t of the thinnest wall when closed, J/t of the thickest when open. `cw_mm6` is None where a closed
    wall leaves warping without weight.
    """

    area_mm2: float
    centroid_x_mm: float
    centroid_y_mm: float
    ix_mm4: float
    iy_mm4: float
    sx_mm3: float
    sy_mm3: float
    shear_x_mm: float
    shear_y_mm: float
    j_mm4: float
    j_by: str
    torsion_modulus_mm3: float
    cw_mm6: float | None
    steel_kg_per_m: float


class _Rail:
    """What all rails have in common."""

    __slots__ = ()

    @property
    def closed(self) -> bool:
        """Whether the wall closes round: what decides over twist."""
        return True


@dataclass(frozen=True, slots=True)
class Boxed(_Rail):
    """A closed rectangular rail with one wall all round and `radius` on its outer corners; mm.

    SectionError when a size is not above zero, the wall is half the rail or more, the radius too large.
    """

    height_mm: float
    width_mm: float
    wall_mm: float
    radius_mm: float = 0.0

    def __post_init__(self) -> None:
        _above_zero(height=self.height_mm, width=self.width_mm, wall=self.wall_mm)
        least = min(self.height_mm, self.width_mm)
        _wall_below(self.wall_mm, least / 2, f"half the rail's {_said(least)}")
        _radius_up_to(self.radius_mm, least / 2, f"half the rail's {_said(least)}")

    @property
    def words(self) -> str:
        """The rail as it is said."""
        return _words("boxed", self.height_mm, self.width_mm, self.wall_mm, self.radius_mm)

    def properties(self) -> Properties:
        """Exact closed forms; twist by Bredt with the mean radius of the corners."""
        h, b, t = self.height_mm, self.width_mm, self.wall_mm
        hole = rounded(t, t, b - 2 * t, h - 2 * t, max(self.radius_mm - t, 0.0))
        shape = whole([*rounded(0, 0, b, h, self.radius_mm), *(piece.taken_away() for piece in hole)])
        mean = _mean_radius(self.radius_mm, t)
        enclosed = (b - t) * (h - t) - mean**2 * (4 - pi)
        round_about = 2 * (b - t + h - t) - 2 * mean * (4 - pi)
        j = bredt(enclosed, [(round_about, t)])
        twist = _Twist(j, "Bredt, 4 A² t/s along the middle of the wall", 2 * enclosed * t)
        return _properties(shape, h, b, shape.x, twist)


@dataclass(frozen=True, slots=True)
class OpenChannel(_Rail):
    """An open channel, its web at the back, with `radius` on the two outer corners; mm.

    `flange_mm` is the flanges' thickness where it is not the wall's; that is computed with sharp corners only.
    """

    height_mm: float
    width_mm: float
    wall_mm: float
    radius_mm: float = 0.0
    flange_mm: float | None = None

    def __post_init__(self) -> None:
        _above_zero(height=self.height_mm, width=self.width_mm, wall=self.wall_mm)
        if self.flange_mm is not None:
            _above_zero(flange=self.flange_mm)
        half = self.height_mm / 2
        _wall_below(max(self.wall_mm, self.flange), half, f"half the rail's {_said(self.height_mm)}")
        _wall_below(self.wall_mm, self.width_mm, f"the rail's {_said(self.width_mm)} width")
        _radius_up_to(self.radius_mm, min(half, self.width_mm), "half the height or the width of the rail")
        if self.radius_mm and self.flange != self.wall_mm:
            raise SectionError(
                "round corners with a flange of another thickness are not computed",
                "Leave the radius out, or give one wall all over",
                place="radius",
            )

    @property
    def flange(self) -> float:
        """Thickness of the flanges."""
        return self.wall_mm if self.flange_mm is None else self.flange_mm

    @property
    def closed(self) -> bool:
        """Never."""
        return False

    @property
    def words(self) -> str:
        """The rail as it is said."""
        flange = f", flanges {_said(self.flange)}" if self.flange != self.wall_mm else ""
        return _words("open", self.height_mm, self.width_mm, self.wall_mm, self.radius_mm) + flange

    @property
    def midline(self) -> ChannelMidline:
        """The middle of its wall."""
        return ChannelMidline(
            self.height_mm - self.flange,
            self.width_mm - self.wall_mm / 2,
            self.wall_mm,
            self.flange,
            _mean_radius(self.radius_mm, self.wall_mm),
        )

    def pieces(self) -> list[Piece]:
        """The channel as an outer shape and the hollow taken from it."""
        h, b, t, flange = self.height_mm, self.width_mm, self.wall_mm, self.flange
        hollow = rounded(t, flange, b - t, h - 2 * flange, max(self.radius_mm - t, 0.0), LEFT)
        return [*rounded(0, 0, b, h, self.radius_mm, LEFT), *(piece.taken_away() for piece in hollow)]

    def properties(self) -> Properties:
        """Exact closed forms for bending; twist, shear center and warping along the middle of the wall."""
        middle = self.midline
        shear_x, j = self.wall_mm / 2 - middle.shear_center(), open_torsion(middle.lengths)
        modulus = j / max(self.wall_mm, self.flange)
        twist = _Twist(j, "sum of s t³/3 along the middle of the wall", modulus, middle.warping())
        return _properties(whole(self.pieces()), self.height_mm, self.width_mm, shear_x, twist)


@dataclass(frozen=True, slots=True)
class Tube(_Rail):
    """A round tube by outside diameter and wall; mm."""

    diameter_mm: float
    wall_mm: float

    def __post_init__(self) -> None:
        _above_zero(diameter=self.diameter_mm, wall=self.wall_mm)
        _wall_below(self.wall_mm, self.diameter_mm / 2, f"half the tube's {_said(self.diameter_mm)}")

    @property
    def words(self) -> str:
        """The tube as it is said."""
        return f"round tube {_said(self.diameter_mm)}, wall {_said(self.wall_mm)}"

    def properties(self) -> Properties:
        """Exact: the torsion constant is the polar second moment, π (D⁴ - d⁴)/32."""
        d, t = self.diameter_mm, self.wall_mm
        bore, shift = disc(d - 2 * t), t
        hole = Piece(bore.area, bore.x + shift, bore.y + shift, bore.ix, bore.iy).taken_away()
        shape = whole([disc(d), hole])
        polar = shape.ix + shape.iy
        return _properties(shape, d, d, d / 2, _Twist(polar, "exact, π (D⁴ - d⁴)/32", 2 * polar / d))


class PlateOn(StrEnum):
    """Where the plates of a part-boxed rail lie."""

    OPEN_SIDE = "open side"
    FLANGES = "flanges"


@dataclass(frozen=True, slots=True)
class Plated(_Rail):
    """An open rail with plate welded along its whole edges, the section where it is plated; mm.

    Over the open side: one plate as tall as the rail, on the tips of both flanges, closes the box. On the
    flanges: one plate as wide as the rail on top and one below; the rail stays open. Plate and rail are
    taken as one piece, as a full weld makes them.
    """

    rail: OpenChannel
    plate_mm: float
    plate_on: PlateOn = PlateOn.OPEN_SIDE

    def __post_init__(self) -> None:
        _above_zero(plate=self.plate_mm)
        _wall_below(self.plate_mm, self.rail.height_mm / 2, f"half the rail's {_said(self.rail.height_mm)}", "plate")
        if self.plate_on is PlateOn.FLANGES and self.rail.radius_mm:
            raise SectionError(
                "plates on flanges are computed with sharp corners only", "Leave the radius out", place="radius"
            )

    @property
    def closed(self) -> bool:
        """Closed by a plate over the open side, not by plates on the flanges."""
        return self.plate_on is PlateOn.OPEN_SIDE

    @property
    def words(self) -> str:
        """The rail as it is said."""
        return f"{self.rail.words} with plate {_said(self.plate_mm)} on its {self.plate_on}"

    def properties(self) -> Properties:
        """Exact closed forms for bending; twist by Bredt where the plate closes the rail."""
        return self._capped() if self.plate_on is PlateOn.FLANGES else self._closed()

    def _capped(self) -> Properties:
        rail, p = self.rail, self.plate_mm
        return OpenChannel(rail.height_mm + 2 * p, rail.width_mm, rail.wall_mm, flange_mm=rail.flange + p).properties()

    def _closed(self) -> Properties:
        rail, p = self.rail, self.plate_mm
        h, b, t, flange = rail.height_mm, rail.width_mm, rail.wall_mm, rail.flange
        shape = whole([*rail.pieces(), rectangle(b, 0, p, h)])
        mean, tall, wide = _mean_radius(rail.radius_mm, t), h - flange, b + p / 2 - t / 2
        enclosed = tall * wide - 2 * mean**2 * (1 - pi / 4)
        walls = [(tall - 2 * mean + pi * mean, t), (2 * (wide - mean), flange), (tall, p)]
        shear_x = t / 2 + box_shear_center(tall, wide, flange, t, p)
        by = "Bredt, 4 A²/Σ(s/t) along the middle of the walls"
        twist = _Twist(bredt(enclosed, walls), by, 2 * enclosed * min(t, flange, p))
        return _properties(shape, h, b + p, shear_x, twist)


Rail = Boxed | OpenChannel | Tube | Plated


@dataclass(frozen=True, slots=True)
class _Twist:
    constant: float
    by: str
    modulus: float
    warping: float | None = None


def _properties(shape: Piece, height: float, width: float, shear_x: float, twist: _Twist) -> Properties:
    return Properties(
        area_mm2=shape.area,
        centroid_x_mm=shape.x,
        centroid_y_mm=shape.y,
        ix_mm4=shape.ix,
        iy_mm4=shape.iy,
        sx_mm3=shape.ix / max(shape.y, height - shape.y),
        sy_mm3=shape.iy / max(shape.x, width - shape.x),
        shear_x_mm=shear_x,
        shear_y_mm=shape.y,
        j_mm4=twist.constant,
        j_by=twist.by,
        torsion_modulus_mm3=twist.modulus,
        cw_mm6=twist.warping,
        steel_kg_per_m=shape.area * STEEL_KG_PER_MM3 * 1000,
    )


def _mean_radius(outer: float, wall: float) -> float:
    return max(outer - wall / 2, 0.0)


def _said(mm: float) -> str:
    return f"{in_words(mm)} ({in_words(mm, 'mm')})"


def _words(kind: str, height: float, width: float, wall: float, radius: float) -> str:
    sizes = " x ".join(f"{_inches(each)}" for each in (height, width, wall))
    corners = f", corners {_inches(radius)}" if radius else ""
    return f"{kind} {sizes}{corners} in"


def _inches(mm: float) -> str:
    text = f"{mm / 25.4:.4f}".rstrip("0")
    whole_inches, _, decimals = text.partition(".")
    return f"{whole_inches}.{decimals.ljust(2, '0')}"


def _above_zero(**sizes: float) -> None:
    for place, mm in sizes.items():
        if not (isfinite(mm) and mm > 0):
            raise SectionError(f"a {place} of {mm:g} mm is none", "Measure it again; type it above zero", place=place)
        if mm > MOST_MM:
            raise SectionError(f"a {place} of {_said(mm)} is no rail's", "Check its unit: in or mm", place=place)


def _wall_below(wall: float, limit: float, of: str, place: str = "wall") -> None:
    if wall >= limit:
        raise SectionError(
            f"a {place} of {_said(wall)} is not below {of}",
            f"Measure the {place} with a caliper at a hole or an end, or check its unit",
            place=place,
        )


def _radius_up_to(radius: float, limit: float, of: str) -> None:
    if not (isfinite(radius) and 0 <= radius <= limit):
        raise SectionError(
            f"a corner radius of {_said(radius)} is more than {of}" if radius > 0 else "a radius is never below zero",
            "Measure the outer radius of the corner; leave it out for sharp corners",
            place="radius",
        )
