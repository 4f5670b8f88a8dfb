"""Groups of parts from one frame to the other: the measures decide, what was not measured is asked for."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.fit.frames.compare import GroupVerdict, compare
from app.fit.frames.shape import FrameShape, Known, Mount, Reading
from app.fit.terms import FrontSuspension, Grade, Side

MADE, ONTO = "made for", "onto"
COIL, BAR, SOLID = FrontSuspension.COIL_OVER, FrontSuspension.TORSION_BAR, FrontSuspension.COIL_SOLID_AXLE


def frame(name: str, front: FrontSuspension | None = None, u_mm: float = 0.0, **lengths: float) -> FrameShape:
    """A frame of which only these lengths are known, in millimeters."""
    readings = tuple(Reading(Known[known.upper()], mm, u_mm) for known, mm in lengths.items())
    return FrameShape(name, front=front, readings=readings)


def ruled(part: str, made: FrameShape, onto: FrameShape) -> GroupVerdict:
    """How the part made for the first frame does on the second."""
    found = compare(made, onto).groups
    return next(each for each in found if (each.part, each.made_for) == (part, made.name))


@pytest.mark.parametrize(
    ("inside", "rails", "u_mm", "grade"),
    [
        (920.0, 914.0, 0.0, Grade.MEASURE),
        (914.0, 914.0, 0.0, Grade.MEASURE),
        (926.8, 914.0, 0.0, Grade.WONT_FIT),
        (913.0, 914.0, 0.0, Grade.WONT_FIT),
        (913.0, 914.0, 1.6, Grade.MEASURE),
        (920.0, 914.0, 1.6, Grade.MEASURE),
    ],
)
def test_a_receiver_goes_over_the_rails_and_shims_fill_the_rest(
    inside: float, rails: float, u_mm: float, grade: Grade
) -> None:
    made = frame(MADE, u_mm=u_mm, spread=900.0, receiver=inside)
    assert ruled("hitch receiver", made, frame(ONTO, u_mm=u_mm, spread=rails)).grade is grade


def holed(shape: FrameShape, *places: float) -> FrameShape:
    """The frame with hitch holes at these places."""
    mounts = [Mount("M2", Side.NONE, 1000.0, 500.0, 0.0)]
    mounts += [Mount(f"hitch hole {i}", Side.NONE, x, 450.0, 0.0, size_mm=15.7) for i, x in enumerate(places, 1)]
    return replace(shape, mounts=tuple(mounts), datum="M2")


def test_a_receivers_holes_that_do_not_meet_are_drilled() -> None:
    made, onto = frame(MADE, spread=914.0, receiver=917.0), frame(ONTO, spread=914.0)
    like = ruled("hitch receiver", holed(made, 4000, 4050, 4100, 4150), holed(onto, 4000, 4050, 4100, 4150))
    assert like.grade is Grade.BOLTS_UP
    off = ruled("hitch receiver", holed(made, 4000, 4050, 4100, 4150), holed(onto, 4000, 4050, 4100, 4170))
    assert (off.grade, "drill 2" in off.words) == (Grade.NEEDS_WORK, True)
    assert "3 of 4 holes a side line up" in off.words


@given(st.floats(880, 940), st.floats(880, 940))
def test_a_receiver_known_by_its_frame_alone_is_never_a_yes_to_another_width(own: float, other: float) -> None:
    found = ruled("hitch receiver", frame(MADE, spread=own), frame(ONTO, spread=other))
    assert found.grade is (Grade.WONT_FIT if abs(round(own - other, 8)) / 2 > 6.35 else Grade.MEASURE)


@pytest.mark.parametrize(
    ("sleeves", "arms", "fronts", "grade", "words"),
    [
        ((240, 240), (440, 440), (COIL, COIL), Grade.BOLTS_UP, "pivot to ball joint"),
        ((240, 240), (440, 440), (BAR, COIL), Grade.BOLTS_UP, "sleeve spacing"),
        ((240, 240), (465, 440), (COIL, COIL), Grade.BOLTS_IN, "longer"),
        ((240, 240), (415, 440), (COIL, COIL), Grade.BOLTS_IN, "short"),
        ((240, 240), (440, 440), (COIL, BAR), Grade.WONT_FIT, "no torsion-bar socket"),
        ((250, 240), (440, 440), (COIL, COIL), Grade.WONT_FIT, "sleeve spacing"),
        ((240, 240), (440, 440), (SOLID, COIL), Grade.WONT_FIT, "coil, solid axle against coil-over"),
    ],
)
def test_a_lower_arm(
    sleeves: tuple[float, float],
    arms: tuple[float, float],
    fronts: tuple[FrontSuspension, FrontSuspension],
    grade: Grade,
    words: str,
) -> None:
    made, onto = (
        frame(name, front, sleeves=sleeve, arm_length=arm)
        for name, front, sleeve, arm in zip((MADE, ONTO), fronts, sleeves, arms, strict=True)
    )
    found = ruled("front lower control arm", made, onto)
    assert found.grade is grade
    assert words in found.words


def test_a_longer_arm_says_what_it_does_to_the_wheel_where_the_ball_joints_were_measured() -> None:
    """An inch over 10.50 in: atan(1.00 / 10.50) = 5.44 degrees; 1.00 - 0.60 = 0.40 short of thread, 0.10 left."""
    inch = 25.4
    made = frame(MADE, sleeves=9.5 * inch, arm_length=18.25 * inch)
    onto = frame(
        ONTO,
        sleeves=9.5 * inch,
        arm_length=17.25 * inch,
        ball_height=10.5 * inch,
        thread=0.6 * inch,
        plunge=1.1 * inch,
    )
    found = ruled("front lower control arm", made, onto)
    assert found.grade is Grade.BOLTS_IN
    assert "1.00 in longer; leans the top in 5.44 degrees" in found.words
    told = "; ".join(found.arithmetic)
    assert "0.40" in told
    assert "0.10" in told
    blind = ruled("front lower control arm", made, frame(ONTO, sleeves=9.5 * inch, arm_length=17.25 * inch))
    assert "leans" not in blind.words


def test_an_arm_in_doubt_is_measured_first() -> None:
    made = frame(MADE, COIL, 1.6, sleeves=240, arm_length=441)
    assert (
        ruled("front lower control arm", made, frame(ONTO, COIL, 1.6, sleeves=240, arm_length=440)).grade
        is Grade.MEASURE
    )
    bare = ruled("front lower control arm", made, frame(ONTO, COIL, arm_length=440))
    assert (bare.grade, bare.words) == (Grade.MEASURE, "measure the sleeve spacing of both")


def test_torsion_bars_of_one_length_are_looked_at_for_their_side() -> None:
    made, onto = frame(MADE, BAR, torsion_bar=1181.1), frame(ONTO, BAR, torsion_bar=1181.1)
    assert "same side stamp only" in ruled("torsion bar", made, onto).words
    assert ruled("torsion bar", made, frame(ONTO, BAR, torsion_bar=1136.65)).grade is Grade.WONT_FIT


def test_upper_arms_whose_bolts_meet_are_measured_themselves() -> None:
    found = ruled("front upper control arm", frame(MADE, upper_bolts=218.0), frame(ONTO, upper_bolts=218.5))
    assert found.grade is Grade.MEASURE


@pytest.mark.parametrize(("apart", "grade"), [(0, Grade.BOLTS_UP), (30, Grade.NEEDS_WORK)])
def test_a_bumper_of_other_spacing_has_its_brackets_moved(apart: float, grade: Grade) -> None:
    found = ruled("bumper", frame(MADE, bumper=800.0 + apart), frame(ONTO, bumper=800.0))
    assert found.grade is grade
    assert ("0.5906 in a side" in found.words) is (apart == 30)


def test_a_tank_that_hangs_alike_and_has_room_bolts_up() -> None:
    made = frame(MADE, straps=489.0, tank_length=900.0)
    assert ruled("fuel tank", made, frame(ONTO, straps=489.0, tank_gap=1100.0)).grade is Grade.BOLTS_UP
    assert "measure the gap" in ruled("fuel tank", made, frame(ONTO, straps=489.0)).words
    close = frame(ONTO, u_mm=3.0, straps=489.0, tank_gap=927.0)
    assert ruled("fuel tank", made, close).grade is Grade.MEASURE


def test_fuel_springs_and_lifting_carry_their_cautions() -> None:
    made, onto = frame(MADE, COIL, straps=489.0, sleeves=240), frame(ONTO, COIL, straps=520.0, sleeves=240)
    found = {each.part: each.cautions for each in compare(made, onto).groups}
    assert any("No flame" in each for each in found["fuel tank"])
    assert any("Stored force" in each for each in found["front lower control arm"])


def test_what_neither_frame_was_measured_for_is_not_ruled_on() -> None:
    assert compare(frame(MADE), frame(ONTO)).groups == ()
