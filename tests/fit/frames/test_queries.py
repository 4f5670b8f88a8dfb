"""What is asked again at once while a frame is being measured."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from app.fit.frames.queries import SIDES_APART_MM, Spot, queries
from app.fit.terms import Side

INCH = 25.4


def mount(name: str, side: Side, x: float, y: float, z: float) -> Spot:
    """A mount in inches."""
    return Spot(name, side, x * INCH, y * INCH, z * INCH)


LEFT = (mount("M2", Side.LH, 38, 21.75, 0), mount("M3", Side.LH, 66.5, 22, 0), mount("M4", Side.LH, 99, 22, 0))
RIGHT = tuple(Spot(each.name, Side.RH, each.x_mm, each.y_mm, each.z_mm) for each in LEFT)


def test_an_inch_between_left_and_right_is_asked_about_with_its_axis_and_way() -> None:
    typo = mount("M3", Side.RH, 67.5, 22, 0)
    (query,) = queries([*LEFT, RIGHT[0], typo, RIGHT[2]])
    assert (query.name, query.side, query.axis) == ("M3", Side.RH, "x")
    assert "1.00 in farther rearward than on LH" in query.words


def test_the_same_on_both_sides_asks_nothing() -> None:
    assert queries([*LEFT, *RIGHT]) == ()


def test_a_figure_without_its_unit_is_too_far_for_any_mount() -> None:
    (query,) = queries([mount("M3", Side.LH, 1689, 22, 0)])
    assert query.axis == "x"
    assert "unit" in query.words


def test_one_mount_off_the_design_is_asked_about_whatever_the_datum() -> None:
    # Measured from another datum, ten inches farther back: only M4 is off, by four inches.
    moved = [Spot(e.name, e.side, (e.x_mm or 0) + 10 * INCH, e.y_mm, e.z_mm) for e in LEFT[:2]]
    (query,) = queries([*moved, mount("M4", Side.LH, 113, 22, 0)], LEFT)
    assert (query.name, query.axis) == ("M4", "x")
    assert "4.00 in farther rearward than its design has it" in query.words


def test_what_was_not_read_yet_asks_nothing() -> None:
    assert queries([*LEFT, Spot("M2", Side.RH), Spot("M3", Side.RH, x_mm=66.5 * INCH)], LEFT) == ()


@given(st.floats(-100, 100), st.sampled_from(["x", "y", "z"]))
def test_left_and_right_are_asked_about_only_beyond_the_usual(apart: float, axis: str) -> None:
    place = {"x": 1000.0, "y": 500.0, "z": 0.0}
    moved = {**place, axis: place[axis] + apart}
    spots = [Spot("M", Side.LH, *place.values()), Spot("M", Side.RH, *moved.values())]
    assert bool(queries(spots)) == (abs(moved[axis] - place[axis]) > SIDES_APART_MM)
