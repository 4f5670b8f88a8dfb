"""Arms through travel and after a swap: what must hold of any front end, and what cannot be."""

from __future__ import annotations

from dataclasses import replace
from math import atan, degrees, dist, inf
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.fit.suspension.geometry import FrontView, Point, SuspensionError, at_travel, linkage_of, meeting
from app.fit.suspension.swap import Joined, Reach, TrackAt, exact_swap, over_travel, simple_swap, steps
from app.fit.suspension.words import sentences, spoken

INCH = 25.4
VIEW = FrontView(Point(250, 180), Point(680, 170), Point(330, 430), Point(640, 470), Point(760, 310), 380)
EVEN = FrontView(Point(250, 200), Point(680, 200), Point(380, 467), Point(680, 467), Point(760, 320), 380)
"""Both arms level, the ball joints 10.5 in apart, one above the other."""

views = st.builds(
    lambda ly, lz, uy, uz, oy, oz: FrontView(
        Point(ly, 180), Point(680, 180 + lz), Point(uy, 450), Point(650 + oy, 450 + uz), Point(760, 310 + oz), 380
    ),
    st.floats(200, 350),
    st.floats(-40, 40),
    st.floats(250, 400),
    st.floats(-40, 60),
    st.floats(-20, 20),
    st.floats(-20, 20),
)


@given(views, st.floats(-60, 60))
def test_nothing_that_is_rigid_changes_its_length(view: FrontView, travel: float) -> None:
    here = at_travel(linkage_of(view), travel)
    assert here.wheel_center.z == pytest.approx(view.wheel_center.z + travel, abs=1e-7)
    assert dist(view.lower_pivot, here.lower_ball) == pytest.approx(dist(view.lower_pivot, view.lower_ball))
    assert dist(view.upper_pivot, here.upper_ball) == pytest.approx(dist(view.upper_pivot, view.upper_ball))
    assert dist(here.lower_ball, here.upper_ball) == pytest.approx(dist(view.lower_ball, view.upper_ball))
    assert dist(here.lower_ball, here.wheel_center) == pytest.approx(dist(view.lower_ball, view.wheel_center))
    assert here.carry(view.upper_ball) == pytest.approx(here.upper_ball)


@given(views)
def test_at_the_measured_height_nothing_has_moved(view: FrontView) -> None:
    here = at_travel(linkage_of(view), 0)
    assert here.rotation_deg == pytest.approx(0, abs=1e-9)
    assert here.lower_ball == pytest.approx(view.lower_ball)
    assert exact_swap(view).track_side_mm == pytest.approx(0, abs=1e-6)


@given(views, st.floats(-500, 500), st.floats(-500, 500))
def test_moving_the_whole_truck_changes_nothing(view: FrontView, y: float, z: float) -> None:
    names = ("lower_pivot", "lower_ball", "upper_pivot", "upper_ball", "wheel_center")
    moved: dict[str, Any] = {name: Point(getattr(view, name).y + y, getattr(view, name).z + z) for name in names}
    elsewhere = replace(view, **moved)
    one, other = exact_swap(view, 10, -5), exact_swap(elsewhere, 10, -5)
    assert other.camber_deg == pytest.approx(one.camber_deg, abs=1e-9)
    assert other.track_side_mm == pytest.approx(one.track_side_mm, abs=1e-6)


@given(views, st.floats(-20, 20))
def test_swapping_back_is_where_it_was(view: FrontView, more: float) -> None:
    new = at_travel(linkage_of(view, more), 0)
    back = FrontView(view.lower_pivot, new.lower_ball, view.upper_pivot, new.upper_ball, new.wheel_center)
    assert exact_swap(back, -more).camber_deg == pytest.approx(-exact_swap(view, more).camber_deg, abs=1e-7)


@given(st.floats(-30, 30), st.floats(-30, 30))
def test_the_simple_figure_and_the_exact_one_are_neighbors_on_level_arms(lower: float, upper: float) -> None:
    simple, exact = simple_swap(267, lower, upper), exact_swap(EVEN, lower, upper)
    assert exact.camber_deg == pytest.approx(simple.camber_deg, rel=0.04, abs=0.2)
    assert simple.camber_deg == pytest.approx(-degrees(atan((lower - upper) / 267)))


def test_both_arms_longer_alike_move_the_wheel_straight_out() -> None:
    found = exact_swap(EVEN, INCH, INCH)
    assert found.camber_deg == pytest.approx(0, abs=1e-9)
    assert found.track_side_mm == pytest.approx(INCH)
    assert found.track_at is TrackAt.GROUND
    assert "no lean" in sentences(found)[0]


def test_a_longer_upper_arm_leans_the_top_out_and_a_shorter_lower_one_too() -> None:
    assert exact_swap(VIEW, upper_by_mm=10).camber_deg > 0
    assert exact_swap(VIEW, lower_by_mm=-10).camber_deg > 0
    assert exact_swap(VIEW, lower_by_mm=10).camber_deg < 0


def test_travel_is_told_before_and_after_from_rebound_to_bump() -> None:
    rows = over_travel(VIEW, steps(50, 40, 2), INCH)
    assert [row.travel_mm for row in rows] == [-40, -20, 0, 25, 50]
    ride = rows[2]
    found = exact_swap(VIEW, INCH)
    assert (ride.camber_old_deg, ride.track_old_mm) == pytest.approx((0, 0), abs=1e-6)
    assert ride.camber_new_deg - ride.camber_old_deg == pytest.approx(found.camber_deg)
    assert ride.track_new_mm == pytest.approx(found.track_side_mm)
    assert rows[0].camber_old_deg > 0 > rows[-1].camber_old_deg


def test_parallel_arms_have_no_instant_center() -> None:
    here = at_travel(linkage_of(EVEN), 0)
    assert (here.instant_center(), here.swing_arm_mm(), here.camber_rate()) == (None, inf, 0.0)
    assert meeting(Point(0, 0), Point(1, 0), Point(0, 1), Point(1, 1)) is None
    assert meeting(Point(0, 0), Point(1, 1), Point(2, 0), Point(0, 2)) == Point(1, 1)


def test_a_tie_rod_level_with_the_lower_arm_needs_what_the_ball_joint_moved() -> None:
    rod = Joined(Point(300, 200), Point(680, 200))
    found = exact_swap(EVEN, INCH, INCH, Reach(tie_rod_out_mm=0.60 * INCH), tie_rod=rod, half_shaft=rod)
    assert found.tie_rod.needed_mm == pytest.approx(INCH)
    assert found.tie_rod.left_mm == pytest.approx(-0.40 * INCH)
    assert found.roadworthy is False


def test_inward_moves_ask_for_inward_reach() -> None:
    reach = Reach(1.75, tie_rod_out_mm=10, tie_rod_in_mm=20, shaft_out_mm=30, shaft_in_mm=40)
    found = simple_swap(267, -INCH, -INCH, reach)
    assert (found.tie_rod.has_mm, found.half_shaft.has_mm) == (20, 40)
    assert found.tie_rod.left_mm == pytest.approx(20 - INCH)
    said = sentences(found)
    assert any("must come in 1.00 in" in each and "short by" in each for each in said)


def test_what_was_not_looked_at_is_never_called_roadworthy() -> None:
    assert simple_swap(267, 2).roadworthy is None
    assert simple_swap(267, 2, reach=Reach(1.75)).roadworthy is None
    whole = Reach(1.75, 15, 15, 20, 20)
    assert simple_swap(267, 2, reach=whole).roadworthy is True
    assert "Cam adjusters take it out: 0.43 of 1.75 degrees" in sentences(simple_swap(267, 2, reach=whole))


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"lower_ball": Point(240, 170)}, "lower arm"),
        ({"upper_ball": Point(330, 470)}, "upper arm"),
        ({"upper_ball": Point(640, 160)}, "ball joints"),
        ({"camber_deg": float("nan")}, "wheel"),
        ({"camber_deg": 80.0}, "wheel"),
        ({"tire_radius_mm": -1.0}, "wheel"),
    ],
)
def test_points_that_are_no_front_end_are_refused(change: dict[str, Any], place: str) -> None:
    with pytest.raises(SuspensionError) as caught:
        replace(VIEW, **change)
    assert caught.value.place == place


def test_more_travel_than_the_arms_have_says_where_they_end() -> None:
    with pytest.raises(SuspensionError, match=r"\+900") as caught:
        at_travel(linkage_of(VIEW), 900)
    assert "end at about" in caught.value.remedy
    with pytest.raises(SuspensionError, match=r"-900"):
        at_travel(linkage_of(VIEW), -900)


def test_arms_that_nothing_joins_are_refused() -> None:
    with pytest.raises(SuspensionError) as caught:
        exact_swap(VIEW, lower_by_mm=900)
    assert caught.value.place in ("arms", "travel")
    with pytest.raises(SuspensionError, match="nothing is left"):
        linkage_of(VIEW, lower_by_mm=-500)


@given(st.floats(-1, 1))
def test_a_small_change_is_a_small_change(more: float) -> None:
    assume(abs(more) > 1e-6)
    assert abs(exact_swap(VIEW, more).camber_deg) < 0.3 * abs(more)


@pytest.mark.parametrize("reach", [{"camber_deg": -1.0}, {"shaft_out_mm": float("nan")}])
def test_less_than_nothing_is_no_reach(reach: dict[str, float]) -> None:
    with pytest.raises(SuspensionError):
        Reach(**reach)


def test_the_simple_figure_needs_a_height() -> None:
    for height in (0.0, -267.0, 10.5, 26_700.0, float("nan")):
        with pytest.raises(SuspensionError) as caught:
            simple_swap(height, 25.4)
        assert caught.value.place == "ball height"


def test_it_is_said_to_a_customer_in_round_figures() -> None:
    reach = Reach(camber_deg=1.75, tie_rod_out_mm=0.60 * INCH)
    assert spoken(simple_swap(266.7, INCH, reach=reach)) == (
        "It moves the bottom of the tire out 1.00 in and leans the top in about 5.5 degrees, and your cams take out "
        "1.75. I wouldn't put it on the road."
    )
    assert spoken(simple_swap(266.7)) == "It leaves the wheel where it is."
    assert spoken(simple_swap(266.7, INCH, INCH)) == "It moves the bottom of the tire out 1.00 in."


def test_one_side_alone_is_warned_of_with_its_number() -> None:
    assert any(
        "never one side only: alone it stands 5.44 degrees" in each for each in sentences(simple_swap(266.7, INCH))
    )
