"""Two rails held up for a joint: every test has its number, and it is never a fit."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.fit.frames.findings import DamageVerdict
from app.fit.frames.join import JoinResult, JoinSettings, Joint, JoinTest, join
from app.fit.frames.shape import FrameError, FrameShape, Mount, Obstacle, RailStation
from app.fit.lengths import LengthUnit
from app.fit.terms import Grade, Section, Side

STRAIGHT = DamageVerdict.STRAIGHT
MM = JoinSettings(unit=LengthUnit.MM)


def rail(*stations: tuple[float, float], tall: float = 200.0, wall: float = 5.0) -> tuple[RailStation, ...]:
    """A rail 70 wide by x and outer face, its bottom on zero."""
    return tuple(RailStation(x, tall, 70.0, wall, outer, tall, 0.0, Section.OPEN) for x, outer in stations)


def frame(name: str, *stations: tuple[float, float], tall: float = 200.0, wall: float = 5.0) -> FrameShape:
    """A frame with mounts at both ends only."""
    mounts = tuple(Mount(f"P{i}", Side.NONE, x, 500.0, 0.0) for i, x in enumerate((0.0, 4000.0), 1))
    return FrameShape(name, mounts=mounts, rail=rail(*stations, tall=tall, wall=wall), section=Section.OPEN, datum="P1")


STRAIGHT_RAILS = frame("straight", (0.0, 450.0), (4000.0, 450.0))
BOXED = replace(STRAIGHT_RAILS, rail=tuple(replace(each, section=Section.BOXED) for each in STRAIGHT_RAILS.rail))


def joined(a: FrameShape, b: FrameShape, limits: JoinSettings = MM) -> Joint:
    """The joint of two frames known to be straight."""
    return join(a, b, limits, a_straight=STRAIGHT, b_straight=STRAIGHT)


def results_of(found: Joint, what: str) -> list[JoinTest]:
    """One test at every station shown."""
    return [test for station in found.stations for test in station.tests if test.what == what]


def test_a_rail_joins_its_like_and_is_work_at_best() -> None:
    found = joined(STRAIGHT_RAILS, replace(STRAIGHT_RAILS, name="other"))
    assert found.grade is Grade.NEEDS_WORK
    (place,) = found.places
    assert (place.sleeve_mm, place.free_mm, place.best_mm) == (800.0, 4000.0, 2000.0)
    assert (place.from_mm, place.to_mm) == pytest.approx((450.8, 3549.2))
    assert place.end_clear_mm == pytest.approx(1600.0)
    assert "never a fit" in found.words
    assert any("certified welder" in each for each in found.cautions)
    assert "the buyer's engineer signs for the joint" in found.conditions


@pytest.mark.parametrize(
    ("other", "what", "number"),
    [
        (frame("b", (0.0, 460.0), (4000.0, 460.0)), "width", 100 * 60 / 70),
        (frame("b", (0.0, 450.0), (4000.0, 450.0), tall=208.0), "step at the top", 8.0),
        (frame("b", (0.0, 450.0), (4000.0, 450.0), wall=6.5), "wall", 1.3),
        (BOXED, "section type", None),
    ],
)
def test_each_test_fails_alone_with_its_number(other: FrameShape, what: str, number: float | None) -> None:
    found = joined(STRAIGHT_RAILS, other)
    assert (found.grade, found.places) == (Grade.WONT_FIT, ())
    assert [test.what for test in found.failed] == [what]
    if number is not None:
        assert found.failed[0].number == pytest.approx(number)
        assert all(test.number == pytest.approx(number) for test in results_of(found, what))


def test_what_stands_in_the_way_on_the_cut_off_end_does_not_matter() -> None:
    """The first frame gives the front: behind the joint its hangers are gone, and before it the second frame's."""
    a = replace(STRAIGHT_RAILS, name="a", obstacles=(Obstacle("rear hanger", 2500.0),))
    b = replace(STRAIGHT_RAILS, name="b", obstacles=(Obstacle("front hanger", 1500.0),))
    place = next(place for place in joined(a, b).places if place.from_mm < 2000 < place.to_mm)
    assert place.between == ("P1", "P2")
    between = {place.between for place in joined(b, a).places}
    assert between == {("P1", "rear hanger"), ("front hanger", "rear hanger"), ("front hanger", "P2")}


def test_between_two_hangers_the_sleeve_may_not_fit() -> None:
    tight = tuple(Obstacle(f"hanger at {x:.0f}", x) for x in (700.0, 1400.0, 2200.0, 3000.0, 3700.0))
    found = joined(replace(STRAIGHT_RAILS, obstacles=tight), STRAIGHT_RAILS)
    assert all(place.between[1] == "P2" for place in found.places)
    found = joined(replace(STRAIGHT_RAILS, obstacles=tight), replace(STRAIGHT_RAILS, obstacles=tight))
    assert found.grade is Grade.WONT_FIT
    (failed,) = found.failed
    assert failed.number == pytest.approx((800.0 - 800.0) / 2)
    assert "50.80 needed" in failed.words


def test_a_kink_ends_the_straight_length() -> None:
    kinked = frame("kinked", (0.0, 450.0), (1500.0, 450.0), (2500.0, 400.0), (4000.0, 400.0))
    found = joined(kinked, replace(kinked, name="other"))
    assert [place.between for place in found.places] == [
        ("P1", "where the rail stops being straight"),
        ("where the rail stops being straight", "where the rail stops being straight"),
        ("where the rail stops being straight", "P2"),
    ]
    assert [(place.from_mm >= 450.8 - 1e-6, place.to_mm <= 3549.2 + 1e-6) for place in found.places] == [
        (True, True)
    ] * 3


def test_two_straight_rails_that_cross_at_an_angle_do_not_join() -> None:
    splayed = frame("splayed", (0.0, 400.0), (4000.0, 500.0))
    found = joined(STRAIGHT_RAILS, splayed)
    assert found.grade is Grade.WONT_FIT
    assert [test.what for test in found.failed] == ["in line"]


@given(st.floats(0, 20), st.floats(0, 4))
@settings(max_examples=40, deadline=None)
def test_a_step_is_passed_failed_or_measured_again_by_its_doubt(step: float, u: float) -> None:
    higher = tuple(replace(each, top_mm=200.0 + step, height_mm=200.0 + step, u_mm=u) for each in STRAIGHT_RAILS.rail)
    found = joined(STRAIGHT_RAILS, replace(STRAIGHT_RAILS, name="b", rail=higher))
    result = {test.result for test in results_of(found, "step at the top")}
    expected = JoinResult.MEASURE_AGAIN
    if step + u <= MM.step_mm:
        expected = JoinResult.PASS
    if step - u > MM.step_mm:
        expected = JoinResult.FAIL
    assert result == {expected}


def test_a_frame_sliding_rearward_lengthens_what_comes_out() -> None:
    a = replace(STRAIGHT_RAILS, obstacles=(Obstacle("hanger", 1500.0),))
    plain, longer = (
        join(a, a, MM, shift_mm=shift, a_straight=STRAIGHT, b_straight=STRAIGHT) for shift in (None, 600.0)
    )
    assert max(place.free_mm for place in longer.places) > max(place.free_mm for place in plain.places)


@pytest.mark.parametrize(
    ("straight", "grade"),
    [
        (DamageVerdict.STRAIGHT, Grade.NEEDS_WORK),
        (DamageVerdict.MEASURE_AGAIN, Grade.MEASURE),
        (DamageVerdict.NOT_MEASURED, Grade.MEASURE),
        (DamageVerdict.BENT, Grade.WONT_FIT),
    ],
)
def test_both_frames_must_be_straight(straight: DamageVerdict, grade: Grade) -> None:
    for one, other in ((straight, STRAIGHT), (STRAIGHT, straight)):
        assert join(STRAIGHT_RAILS, STRAIGHT_RAILS, MM, a_straight=one, b_straight=other).grade is grade


def test_bad_repair_forbids_the_joint() -> None:
    assert joined(replace(STRAIGHT_RAILS, bad_repair=("heat blue",)), STRAIGHT_RAILS).grade is Grade.WONT_FIT


def test_what_was_not_measured_is_asked_for() -> None:
    bare = replace(STRAIGHT_RAILS, name="b", rail=(RailStation(0.0, 200.0, None, None, None),), section=None)
    found = joined(STRAIGHT_RAILS, bare)
    assert found.grade is Grade.MEASURE
    asked = {
        test.what for station in found.stations for test in station.tests if test.result is JoinResult.MEASURE_AGAIN
    }
    assert asked >= {"section type", "width", "wall"}
    with pytest.raises(FrameError, match="rail was not measured") as caught:
        joined(STRAIGHT_RAILS, replace(bare, rail=()))
    assert caught.value.place == "b"


def test_the_joint_is_paid_for_against_a_straight_frame() -> None:
    limits = replace(MM, hours=10.0, rate_cents=12_050, parts_cents=45_000, straight_frame_cents=90_000)
    cost = joined(STRAIGHT_RAILS, STRAIGHT_RAILS, limits).cost
    assert (cost.labor_cents, cost.total_cents) == (120_500, 165_500)
    assert "a straight frame is 900, 755 less than the joint" in cost.words
    assert joined(STRAIGHT_RAILS, STRAIGHT_RAILS).cost.total_cents is None


def test_two_rails_that_reach_no_place_in_common_join_nowhere() -> None:
    nose, tail = frame("nose", (0.0, 450.0), (1000.0, 450.0)), frame("tail", (2000.0, 450.0), (4000.0, 450.0))
    found = joined(nose, tail)
    assert (found.grade, found.stations) == (Grade.WONT_FIT, ())
    assert "no place in common" in found.failed[0].words
