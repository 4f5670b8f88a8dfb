"""Front suspension, springs and bolt circles against published figures and geometry done another way."""

from __future__ import annotations

import json
from collections.abc import Mapping
from math import pi, sin
from pathlib import Path
from typing import Any

import pytest
from scipy import optimize

from app.fit.lookalikes.circles import NAMED_CIRCLES, Found, chord_of, circle_from_chord
from app.fit.lookalikes.readings import Size
from app.fit.suspension.geometry import FrontView, Point, at_travel, linkage_of
from app.fit.suspension.springs import SPRING_G, BarShape, TorsionBar, coil_rate, stiffer_by_wire, wire_words
from app.fit.suspension.swap import Reach, exact_swap, simple_swap
from app.fit.suspension.words import sentences

Case = Mapping[str, Any]
SHARED = Path(__file__).parents[2].parent / "shared" / "check_values.json"
INCH = 25.4

VIEW = FrontView(Point(250, 180), Point(680, 170), Point(330, 430), Point(640, 470), Point(760, 310))


def test_the_instant_center_and_swing_arm_of_a_reference_geometry() -> None:
    # Intersection of the arms' lines; swing arm is wheel center to instant center, travel over rotation (the
    # definition on a multibody program's output page). Numbers computed apart from this code.
    here = at_travel(linkage_of(VIEW), 0)
    assert here.instant_center() == pytest.approx((-1323.84236453, 216.60098522), abs=1e-6)
    assert here.swing_arm_mm() == pytest.approx(2083.84236453, abs=1e-6)
    assert -here.camber_rate() == pytest.approx(0.02749525611, abs=1e-10)


@pytest.mark.parametrize(
    ("travel", "rotation"), [(25, 0.73162481), (-25, -0.64495344), (50, 1.55661634), (-50, -1.20746878)]
)
def test_large_travel_is_the_solved_four_bar(travel: float, rotation: float) -> None:
    # The four-bar solved apart from this code; the linear rule is 13 % off at 50 mm.
    assert at_travel(linkage_of(VIEW), travel).rotation_deg == pytest.approx(rotation, abs=1e-6)


def test_the_rate_is_the_slope_of_the_exact_camber() -> None:
    # The instant center must be where the knuckle's motion turns: a difference quotient finds the same slope.
    for travel in (-60, -20, 0, 35):
        ahead, behind = (at_travel(linkage_of(VIEW), travel + step).camber_deg for step in (1e-3, -1e-3))
        slope = (ahead - behind) / 2e-3
        assert at_travel(linkage_of(VIEW), travel).camber_rate() == pytest.approx(slope, rel=1e-6)


def test_three_millimeters_on_the_upper_arm() -> None:
    # Solved four-bar with the lower arm where it was: 0.568 degrees; the small angle 3/300 makes 0.573.
    longer = linkage_of(VIEW, upper_by_mm=3)
    as_it_was = optimize.brentq(lambda travel: at_travel(longer, travel).lower_ball.z - VIEW.lower_ball.z, -5, 5)
    assert at_travel(longer, as_it_was).camber_deg == pytest.approx(0.568, abs=0.0005)
    assert simple_swap(300, upper_by_mm=3).camber_deg == pytest.approx(0.573, abs=0.0005)


def test_a_longer_lower_arm_by_the_figure_done_in_the_head() -> None:
    # The right triangle: atan(1.00/10.50) = 5.44 degrees; what is left is a subtraction.
    reach = Reach(camber_deg=1.75, tie_rod_out_mm=0.60 * INCH, shaft_out_mm=1.10 * INCH)
    found = simple_swap(10.50 * INCH, lower_by_mm=INCH, reach=reach)
    assert round(found.camber_deg, 2) == -5.44
    assert found.camber_left_deg is not None
    assert round(found.camber_left_deg, 2) == 3.69
    assert (found.track_side_mm, found.track_pair_mm) == (INCH, 2 * INCH)
    assert found.tie_rod.left_mm == pytest.approx(-0.40 * INCH)
    assert found.half_shaft.left_mm == pytest.approx(0.10 * INCH)
    said = " / ".join(sentences(found))
    assert "atan(1.00/10.50): 5.44 degrees, top leans in" in said
    assert "left over 5.44 - 1.75 = 3.69 degrees" in said
    assert "Track +1.00 in a side, +2.00 in as a pair" in said
    assert "must come out 1.00 in with 0.60 in of thread left: short by 0.40 in" in said
    assert "1.10 - 1.00 = 0.10 in" in said
    assert "never one side only" in said
    assert "Not for road use" in said


def test_the_wheel_that_the_yard_leans_in_five_and_a_half_degrees() -> None:
    # Common practice, no source: an inch on the bottom of ten and a half leans about five and a half degrees,
    # whichever way it is figured.
    arms = FrontView(
        Point(10 * INCH, 10 * INCH),
        Point(27.25 * INCH, 10 * INCH),
        Point(15 * INCH, 20.5 * INCH),
        Point(27.25 * INCH, 20.5 * INCH),
        Point(30 * INCH, 15 * INCH),
    )
    assert exact_swap(arms, lower_by_mm=INCH).camber_deg == pytest.approx(-5.5, abs=0.1)


def test_arms_an_inch_apart_on_frames_that_differ_to_match_keep_the_track() -> None:
    # Common practice, no source: two arms of one family an inch apart in length, pivots moved to match.
    light = FrontView(Point(300, 200), Point(738.15, 195), Point(350, 450), Point(700, 462), Point(790, 320))
    heavy = FrontView(
        light.lower_pivot._replace(y=300 - INCH),
        light.lower_ball,
        light.upper_pivot._replace(y=350 - INCH),
        light.upper_ball,
        light.wheel_center,
    )
    assert linkage_of(heavy).lower_mm - linkage_of(light).lower_mm == pytest.approx(INCH, abs=0.01)
    for travel in (-50, 0, 50):
        one, other = (at_travel(linkage_of(view), travel) for view in (light, heavy))
        assert other.tire.y == pytest.approx(one.tire.y, abs=0.5)
        assert other.camber_deg == pytest.approx(one.camber_deg, abs=0.15)


def test_heavier_wire_makes_a_stiffer_coil() -> None:
    # k = G d⁴/(8 D³n) (any text on springs): 0.660 against 0.620 is 28 % stiffer.
    assert wire_words(stiffer_by_wire(0.660, 0.620)) == "28 % stiffer"
    assert coil_rate(16.764, 140, 6.5) / coil_rate(15.748, 140, 6.5) == pytest.approx((0.66 / 0.62) ** 4)


def test_a_coil_is_a_torsion_bar_wound_up() -> None:
    # A bar as long as the wire, twisted by the load on half the coil's diameter (any text on springs).
    wire, mean, turns = 15.7, 140.0, 6.5
    bar = TorsionBar(pi * mean * turns, wire, BarShape.ROUND, SPRING_G)
    assert coil_rate(wire, mean, turns) == pytest.approx(bar.rate / (mean / 2) ** 2)


@pytest.mark.parametrize(
    ("name", "mm"),
    [("4.5 in", 114.3), ("4.75 in", 120.65), ("5 in", 127.0), ("5.5 in", 139.7), ("6.5 in", 165.1), ("135 mm", 135.0)],
)
def test_named_circles_are_inches_of_25_4(name: str, mm: float) -> None:
    # 25.4 mm an inch exact; printed names round 120.65 to 120.7.
    assert NAMED_CIRCLES[name] == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    ("studs", "circle", "chord"), [(5, 114.3, 67.18385434), (6, 139.7, 69.85), (8, 165.1, 63.18103468)]
)
def test_a_chord_makes_its_circle_and_back(studs: int, circle: float, chord: float) -> None:
    # D sin(π/n).
    assert chord_of(circle, studs) == pytest.approx(chord, abs=1e-6)
    found = circle_from_chord(Size(chord, 0.3), studs)
    assert found.circle.size.mm == pytest.approx(circle, abs=1e-6)
    assert found.circle.found is Found.ONE


def test_six_studs_on_135_mm_are_near_those_on_five_and_a_half_inches_and_told_apart() -> None:
    # Public fitment lists have 5 and 6 studs on 139.7 mm and 6 on 135 mm.
    near = circle_from_chord(Size(135 * sin(pi / 6), 1.5875), 6)
    assert near.circle.names == ("135 mm",)
    assert circle_from_chord(Size(139.7 * sin(pi / 6), 1.5875), 6).circle.names == ("5.5 in",)


def shared(*starts: str) -> list[Any]:
    """The shared cases whose names start so, where their file lies beside the checkout."""
    cases = json.loads(SHARED.read_text(encoding="utf-8")) if SHARED.exists() else []
    return [pytest.param(case, id=case["name"]) for case in cases if case["name"].startswith(starts)]


@pytest.mark.parametrize("case", shared("bolt circle", "adjacent stud chord"))
def test_the_shared_circles(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    if "in" in given:
        assert expected["mm"] in [pytest.approx(mm, abs=1e-9) for mm in NAMED_CIRCLES.values()]
    else:
        assert chord_of(given["D"], given["n"]) == pytest.approx(expected["chord"], abs=1e-6)


@pytest.mark.parametrize("case", shared("double wishbone"))
def test_the_shared_front_view(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    names = ("LCA_in", "LCA_out", "UCA_in", "UCA_out", "wheel_centre")
    lower_pivot, lower_ball, upper_pivot, upper_ball, wheel = (Point(*given[name]) for name in names)
    linkage = linkage_of(FrontView(lower_pivot, lower_ball, upper_pivot, upper_ball, wheel))
    assert at_travel(linkage, 0).instant_center() == pytest.approx(tuple(expected["IC"]), abs=1e-6)
    for travel, rotation in expected["rotation_deg"].items():
        assert at_travel(linkage, float(travel)).rotation_deg == pytest.approx(rotation, abs=1e-6)
