"""A frame bent on purpose gives its bend back; where it was laid down does not matter; doubt is never rounded."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.book.bench.saying import in_short
from app.fit.diagonals import read_diagonal
from app.fit.frames.damage import (
    BookLength,
    Condition,
    Damage,
    DamageSettings,
    DamageVerdict,
    DatumHeight,
    DiagonalPair,
    damage,
)
from app.fit.frames.shape import Doubt, FrameError, FrameKind, FrameShape, RailStation
from app.fit.lengths import LengthUnit, Tool
from app.fit.terms import Side
from tests.fit.frames.frame_yard import Bend, Spot, bent, plain, surveyed

DESIGN = plain()
LONG, NOSE = 4150.0, 1700.0
FRONT_HALF, REAR_HALF = 470.0, 480.0
STRAIGHT, AGAIN, BENT, OPEN = (
    DamageVerdict.STRAIGHT,
    DamageVerdict.MEASURE_AGAIN,
    DamageVerdict.BENT,
    DamageVerdict.NOT_MEASURED,
)


def sagged(by: float) -> Bend:
    """The middle stations low, the ends where they were; `by` at 1,700 mm."""
    return lambda p: (p[0], p[1], p[2] - by * p[0] * (LONG - p[0]) / (NOSE * (LONG - NOSE)))


def swayed(by: float) -> Bend:
    """The nose pushed to the right."""
    return lambda p: (p[0], p[1] + by * max(NOSE - p[0], 0.0) / NOSE, p[2])


def mashed(by: float) -> Bend:
    """The nose driven back."""
    return lambda p: (p[0] + (by if p[0] < 500 else 0.0), p[1], p[2])


def twisted(by: float) -> Bend:
    """The right front corner up and the left one down, so that cross level changes by `by` over the mean spread."""
    wide = FRONT_HALF + REAR_HALF
    return lambda p: (p[0], p[1], p[2] + by * max(NOSE - p[0], 0.0) / NOSE * p[1] / wide)


def diamonded(by: float) -> Bend:
    """The right rail behind the left."""
    return lambda p: (p[0] + (by if p[1] > 0 else 0.0), p[1], p[2])


BENDS: dict[Condition, Callable[[float], Bend]] = {
    Condition.SAG: sagged,
    Condition.SWAY: swayed,
    Condition.MASH: mashed,
    Condition.TWIST: twisted,
    Condition.DIAMOND: diamonded,
}


def number(found: Damage, kind: Condition) -> float:
    """The number of a condition that was measured."""
    return next(each.number_mm for each in found.conditions if each.condition is kind and each.number_mm is not None)


def states(found: Damage) -> dict[Condition, DamageVerdict]:
    """The verdict on each condition."""
    return {each.condition: each.verdict for each in found.conditions}


def noisy(shape: FrameShape, most_mm: float, seed: int) -> FrameShape:
    """Every coordinate misread by at most so much."""
    lots = Random(seed)

    def misread(p: Spot) -> Spot:
        x, y, z = (each + lots.uniform(-most_mm, most_mm) for each in p)
        return x, y, z

    return bent(shape, misread, most_mm)


@pytest.mark.parametrize("kind", Condition)
@given(by=st.floats(8, 60), sign=st.sampled_from((-1.0, 1.0)))
@settings(max_examples=15, deadline=None)
def test_a_frame_bent_one_way_gives_that_number_and_no_other(kind: Condition, by: float, sign: float) -> None:
    found = damage(bent(DESIGN, BENDS[kind](sign * by), 0.5), DESIGN)
    assert number(found, kind) == pytest.approx(sign * by, abs=0.05 + by * by / 1000)
    assert states(found)[kind] is BENT
    assert {each for each, state in states(found).items() if state is not STRAIGHT} == {kind}
    assert found.verdict is BENT


@pytest.mark.parametrize("kind", Condition)
@given(by=st.floats(12, 40), seed=st.integers(0, 10**6), u=st.floats(0.1, 1.0))
@settings(max_examples=10, deadline=None)
def test_a_misread_bend_comes_back_within_its_doubt(kind: Condition, by: float, seed: int, u: float) -> None:
    survey = noisy(bent(DESIGN, BENDS[kind](by)), u, seed)
    found = damage(survey, DESIGN)
    for each in found.conditions:
        true = by if each.condition is kind else 0.0
        assert each.number_mm == pytest.approx(true, abs=each.doubt_mm + 0.05 + by * by / 1000)
        assert not (true == 0.0 and each.verdict is BENT)


@pytest.mark.parametrize("kind", Condition)
@given(
    by=st.floats(-40, 40),
    turn=st.tuples(st.floats(-2, 2), st.floats(-2, 2), st.floats(-2, 2)),
    shift=st.tuples(st.floats(-500, 500), st.floats(-50, 50), st.floats(-300, 300)),
)
@settings(max_examples=8, deadline=None)
def test_where_the_frame_was_laid_down_changes_nothing(kind: Condition, by: float, turn: Spot, shift: Spot) -> None:
    survey = bent(DESIGN, BENDS[kind](by), 0.5)
    askew = surveyed(survey, turn, shift, 0.5)
    one, other = damage(survey, DESIGN), damage(askew, DESIGN)
    assert other.verdict is one.verdict
    assert other.base == one.base
    for a, b in zip(one.points, other.points, strict=True):
        assert (a.x_mm, a.y_mm, a.z_mm) == pytest.approx((b.x_mm, b.y_mm, b.z_mm), abs=1e-5)
    for condition in Condition:
        assert number(other, condition) == pytest.approx(number(one, condition), abs=1e-5)


def test_the_undamaged_points_are_found_and_the_others_measured_from_them() -> None:
    found = damage(bent(DESIGN, swayed(-30.0), 0.5), DESIGN)
    assert {"P3 LH", "P3 RH", "P4 LH", "P4 RH", "P5 LH", "P5 RH", "P6 LH", "P6 RH"} <= set(found.base)
    moved = {(each.name, each.side): each for each in found.points}
    assert moved["P1", Side.LH].y_mm == pytest.approx(30.0, abs=0.01)
    assert moved["P1", Side.RH].y_mm == pytest.approx(-30.0, abs=0.01)
    assert "1.1811 in outboard" in moved["P1", Side.LH].words
    assert "1.1811 in inboard" in moved["P1", Side.RH].words
    assert "nose to the left at P1" in found.words


def test_one_corner_bent_alone_is_no_condition_of_the_whole_frame_but_bent() -> None:
    def corner(p: Spot) -> Spot:
        return (p[0], p[1] + 20.0, p[2]) if p[0] > 4000 and p[1] > 0 else p

    found = damage(bent(DESIGN, corner, 0.5), DESIGN)
    off = [each.words for each in found.points if each.verdict is BENT]
    assert len(off) == 1
    assert off[0].startswith("P6 RH: 0.7874 in outboard")
    assert found.verdict is BENT
    assert found.words.startswith("survey: bent; P6 RH: 0.7874 in outboard")
    assert in_short(found).startswith("bent: sway, P6 out of place")
    assert len(found.base) == 11


def test_a_coarse_tape_can_neither_clear_nor_condemn_a_small_bend() -> None:
    small = bent(DESIGN, mashed(4.0), 1.5875)
    assert states(damage(small, DESIGN))[Condition.MASH] is AGAIN
    assert damage(small, DESIGN).verdict is AGAIN
    assert states(damage(small, DESIGN, settings=DamageSettings(tolerance_mm=12.0)))[Condition.MASH] is STRAIGHT
    assert states(damage(bent(DESIGN, mashed(4.0), 0.2), DESIGN))[Condition.MASH] is BENT


def test_a_frame_that_agrees_nowhere_is_laid_over_all_of_it_and_says_so() -> None:
    lots = Random(4)
    found = damage(
        bent(DESIGN, lambda p: (p[0], p[1] + lots.uniform(-300, 300), p[2] + lots.uniform(-300, 300))), DESIGN
    )
    assert found.verdict is BENT
    assert not found.base
    assert "no three points agree" in found.words


def test_signs_of_bad_repair_condemn_by_themselves() -> None:
    straight = replace(bent(DESIGN, lambda p: p, 0.1), bad_repair=("heat blue",))
    found = damage(straight, DESIGN)
    assert set(states(found).values()) == {STRAIGHT}
    assert (found.verdict, found.bad_repair) == (BENT, ("heat blue",))
    assert damage(FrameShape("D9", FrameKind.SURVEY, bad_repair=("clamp teeth",)), DESIGN).verdict is BENT


def test_what_was_not_measured_is_neither_straight_nor_bent() -> None:
    found = damage(FrameShape("D9", FrameKind.SURVEY))
    assert (found.verdict, set(states(found).values())) == (OPEN, {OPEN})


@pytest.mark.parametrize("kind", [Condition.SWAY, Condition.TWIST, Condition.DIAMOND])
@given(by=st.floats(8, 60))
@settings(max_examples=10, deadline=None)
def test_left_against_right_tells_three_conditions_without_a_design(kind: Condition, by: float) -> None:
    found = damage(bent(DESIGN, BENDS[kind](by), 0.5))
    assert number(found, kind) == pytest.approx(by, abs=0.05 + by * by / 1000)
    assert {each for each, state in states(found).items() if state is BENT} == {kind}
    assert states(found)[Condition.MASH] is OPEN


def test_a_mount_taken_once_for_both_sides_tells_nothing_of_left_and_right() -> None:
    once = tuple(
        replace(each, side=Side.NONE) for each in bent(DESIGN, sagged(20.0), 0.5).mounts if each.side is Side.RH
    )
    found = damage(FrameShape("D9", FrameKind.SURVEY, once), DESIGN)
    assert number(found, Condition.SAG) == pytest.approx(20.0, abs=0.5)
    assert [states(found)[kind] for kind in (Condition.SWAY, Condition.TWIST, Condition.DIAMOND)] == [OPEN] * 3
    assert damage(FrameShape("D9", FrameKind.SURVEY, once)).verdict is OPEN


def heights(low: float = 0.0, up: float = 0.0, u: float = 0.5) -> list[DatumHeight]:
    """Heights at three stations: the middle low by so much, the right front up by so much."""
    found = []
    for name, x in (("front", 0.0), ("middle", 1500.0), ("rear", 4000.0)):
        for side in (Side.LH, Side.RH):
            raised = (up if (name, side) == ("front", Side.RH) else 0.0) - (low if name == "middle" else 0.0)
            found.append(DatumHeight(name, x, 600.0 + raised, side, u))
    return found


def test_heights_alone_tell_sag_and_twist() -> None:
    survey = FrameShape("D9", FrameKind.SURVEY)
    found = damage(survey, heights=heights(low=10.0))
    assert number(found, Condition.SAG) == pytest.approx(10.0)
    assert states(found)[Condition.TWIST] is STRAIGHT
    assert "low at middle" in found.words
    found = damage(survey, heights=heights(up=-9.0))
    assert number(found, Condition.TWIST) == pytest.approx(-9.0)
    assert "left front corner" in found.words
    assert damage(survey, heights=heights(low=3.5)).verdict is AGAIN


def test_heights_of_a_rail_that_kicks_up_are_held_against_its_book() -> None:
    rail = tuple(RailStation(x, 200.0, bottom_mm=z) for x, z in ((0.0, 100.0), (1500.0, 40.0), (4000.0, 100.0)))
    low = [replace(each, height_mm=each.height_mm - (60.0 if each.station == "middle" else 0.0)) for each in heights()]
    survey = FrameShape("D9", FrameKind.SURVEY)
    assert damage(survey, replace(DESIGN, rail=rail), heights=low).verdict is STRAIGHT
    assert states(damage(survey, DESIGN, heights=low))[Condition.SAG] is OPEN
    assert damage(survey, heights=[replace(each, book_mm=0.0) for each in low]).verdict is BENT


def pair(box: str, one: str, other: str, tool: Tool = Tool.TRAM_GAUGE, length: float | None = None) -> DiagonalPair:
    """Both diagonals of a box."""
    return DiagonalPair(box, read_diagonal(one, tool), read_diagonal(other, tool), length)


def test_diagonals_that_differ_through_all_boxes_are_a_diamond_and_at_one_end_a_sway() -> None:
    survey = FrameShape("D9", FrameKind.SURVEY)
    through = [pair("nose", "60 1/2", "60"), pair("middle", "80 3/4", "80"), pair("tail", "70 1/2", "70")]
    found = damage(survey, diagonals=through)
    assert (states(found)[Condition.DIAMOND], states(found)[Condition.SWAY]) == (BENT, OPEN)
    assert "left rail is ahead" in found.words
    nose = [pair("nose", "60 1/2", "60"), pair("middle", "80", "80"), pair("tail", "70 1/32", "70")]
    found = damage(survey, diagonals=nose)
    assert (states(found)[Condition.DIAMOND], states(found)[Condition.SWAY]) == (STRAIGHT, BENT)
    assert found.conditions[1].where == "nose"


def test_no_box_that_is_bent_is_lost_among_the_others() -> None:
    survey = FrameShape("D9", FrameKind.SURVEY)
    milder = [pair("nose", "60 3/4", "60"), pair("middle", "80 1/4", "80")]
    found = damage(survey, diagonals=milder)
    assert (states(found)[Condition.DIAMOND], states(found)[Condition.SWAY], found.verdict) == (AGAIN, BENT, BENT)
    opposite = damage(survey, diagonals=[pair("nose", "60 3/4", "60"), pair("tail", "80", "80 3/4")])
    assert (states(opposite)[Condition.DIAMOND], opposite.verdict) == (STRAIGHT, BENT)
    assert "opposite ways" in opposite.conditions[-1].words


def test_one_box_cannot_tell_diamond_from_sway_and_says_so() -> None:
    found = damage(FrameShape("D9", FrameKind.SURVEY), diagonals=[pair("middle", "80 3/4", "80")])
    assert found.verdict is BENT
    assert "measure the other boxes too" in found.words


@given(st.integers(20, 400), st.integers(600, 1500), st.integers(1000, 4000))
def test_the_diagonals_of_a_diamond_tell_how_far_one_rail_is_ahead(by: int, wide: int, long: int) -> None:
    one, other = (f"{((long + way * by) ** 2 + wide**2) ** 0.5:.3f} mm" for way in (1, -1))
    box = pair("middle", one, other, length=float(long))
    words = damage(
        FrameShape("D9", FrameKind.SURVEY), diagonals=[box], settings=DamageSettings(unit=LengthUnit.MM)
    ).words
    told = float(words.partition("ahead by ")[2].partition(" mm")[0])
    assert told == pytest.approx(by, abs=0.01)


def test_a_length_against_the_book_tells_mash() -> None:
    found = damage(FrameShape("D9", FrameKind.SURVEY), lengths=[BookLength("M2 to M5", 2280.0, 2298.7, 0.8)])
    assert number(found, Condition.MASH) == pytest.approx(18.7)
    assert "shorter, M2 to M5" in found.words


def only(*names: str) -> FrameShape:
    """A straight survey of these points."""
    mounts = tuple(each for each in DESIGN.mounts if each.label in names)
    return FrameShape("D9", FrameKind.SURVEY, mounts)


@pytest.mark.parametrize(
    ("survey", "title"),
    [
        (only("P1 LH", "P6 RH"), "2 points are in both, 3 are needed"),
        (FrameShape("D9", FrameKind.SURVEY, tuple(replace(m, y_mm=m.y_mm) for m in DESIGN.mounts[:1])), "1 points"),
    ],
)
def test_too_few_points_are_refused_with_a_remedy(survey: FrameShape, title: str) -> None:
    with pytest.raises(FrameError, match=title) as caught:
        damage(survey, DESIGN)
    assert (caught.value.place, bool(caught.value.remedy)) == ("D9", True)
    assert damage(survey, DESIGN, diagonals=[pair("middle", "80", "80")]).verdict is STRAIGHT


def test_points_all_in_a_line_are_refused() -> None:
    line = tuple(replace(each, y_mm=500.0, z_mm=0.0) for each in DESIGN.mounts if each.side is Side.LH)
    with pytest.raises(FrameError, match="all the points lie in a line"):
        damage(FrameShape("D9", FrameKind.SURVEY, line), replace(DESIGN, mounts=line))


def test_a_height_taken_twice_with_different_values_is_refused() -> None:
    twice = [*heights(), replace(heights()[0], height_mm=1.0)]
    with pytest.raises(FrameError, match="measured twice") as caught:
        damage(FrameShape("D9", FrameKind.SURVEY), heights=twice)
    assert caught.value.place == "height at front LH"


def test_the_cautions_defer_to_certified_people() -> None:
    assert any("certified welder" in each for each in damage(bent(DESIGN, sagged(30.0)), DESIGN).cautions)


def test_doubt_may_be_along_one_axis_only() -> None:
    survey = bent(DESIGN, sagged(5.0))
    vague = tuple(replace(each, doubt=Doubt(0.0, 0.0, 4.0)) for each in survey.mounts)
    found = damage(replace(survey, mounts=vague), DESIGN)
    assert (states(found)[Condition.SAG], states(found)[Condition.SWAY]) == (AGAIN, STRAIGHT)
