"""Frames against the yard's own casebook, published rigid fits, and facts of the trade.

The casebook's figures are the yard's measured pair of frames and its rulings on them. A fact of the trade stands with
"common practice, no source".
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from app.fit.diagonals import read_diagonal
from app.fit.frames.arms import track_mm
from app.fit.frames.compare import Comparison, GroupVerdict, compare
from app.fit.frames.damage import Condition, Damage, DamageSettings, DamageVerdict, DatumHeight, DiagonalPair, damage
from app.fit.frames.join import JoinResult, JoinSettings, Joint, join
from app.fit.frames.motion import best_motion
from app.fit.frames.shape import FrameKind, FrameShape, Known, Mount, Obstacle, RailStation, Reading
from app.fit.frames.verdicts import Verdict
from app.fit.lengths import Tool
from app.fit.terms import FrontSuspension, Grade, Section, Side
from tests.fit.frames.frame_yard import HEAVY, INCH, LIGHT, design, with_mount

SHARED = Path(__file__).parents[2].parent / "shared" / "check_values.json"
STRAIGHT = DamageVerdict.STRAIGHT
FIRST, SECOND = 1, 2
UP, AGAIN, OUT = Verdict.SAME, Verdict.MEASURE_AGAIN, Verdict.DIFFERENT


def both(reading: int = SECOND) -> Comparison:
    """The heavy frame held against the light one, by the first tape or with the second."""
    return compare(design(LIGHT, reading), design(HEAVY, reading))


def group(found: Comparison, part: str, made_for: str) -> GroupVerdict:
    """How the part made for one of the two does on the other."""
    return next(each for each in found.groups if (each.part, each.made_for) == (part, made_for))


# The yard's two frames, mount by mount: differences of the heavy from the light in inches, what the first tape says.
MOUNTS = [
    ("M1 core support", -1.50, 1.25, 0.40, OUT, ("forward", "outboard")),
    ("M2 cowl", 0.00, 0.00, 0.00, UP, ()),
    ("M3 front floor", 0.05, 0.06, 0.00, UP, ()),
    ("M4 rear floor", 0.19, 0.00, 0.06, AGAIN, ("rearward",)),
    ("M5 kick-up", 2.50, 0.00, 0.75, OUT, ("rearward", "up")),
    ("M6 tail", 0.00, 1.25, 0.30, OUT, ("outboard",)),
]


@pytest.mark.parametrize(("name", "dx", "dy", "dz", "verdict", "ways"), MOUNTS)
@pytest.mark.parametrize("side", [Side.LH, Side.RH])
def test_the_first_tape_over_both_frames(
    name: str, side: Side, dx: float, dy: float, dz: float, verdict: Verdict, ways: tuple[str, ...]
) -> None:
    found = next(each for each in both(FIRST).mounts if (each.name, each.side) == (name, side))
    assert found.verdict is verdict
    assert [axis.difference_mm / INCH for axis in found.axes] == pytest.approx([dx, dy, dz], abs=1e-6)
    assert tuple(axis.direction for axis in found.axes if axis.verdict is not UP) == ways


def test_the_arithmetic_of_the_first_tape() -> None:
    said = {mount.name: mount.words for mount in both(FIRST).mounts}
    assert "0.19 + 0.25 = 0.44, over 0.3125" in said["M4 rear floor"]
    assert "0.75 - 0.0625 = 0.6875, over 0.50" in said["M5 kick-up"]
    third = next(mount for mount in both(FIRST).mounts if mount.name == "M3 front floor").axes[0]
    assert (third.difference_mm + third.doubt_mm) / INCH == pytest.approx(0.30)
    assert third.allowed_mm / INCH == pytest.approx((1.125 - 0.50) / 2)
    cowl = next(mount for mount in both(FIRST).mounts if mount.name == "M2 cowl").axes
    assert [axis.doubt_mm / INCH for axis in cowl] == pytest.approx([0.0, 0.125, 0.0])


def test_four_of_twelve_by_the_first_tape_and_six_by_the_second() -> None:
    assert both(FIRST).sides == ((Side.LH, 2, 6), (Side.RH, 2, 6))
    assert both(SECOND).sides == ((Side.LH, 3, 6), (Side.RH, 3, 6))
    second = next(mount for mount in both(SECOND).mounts if mount.name == "M4 rear floor").axes[0]
    assert (second.difference_mm + second.doubt_mm) / INCH == pytest.approx(0.1225)
    assert both(SECOND).alignment.datum == "M2 cowl"


def test_without_a_datum_the_same_mounts_are_found() -> None:
    found = compare(*(replace(design(code), datum="") for code in (LIGHT, HEAVY)))  # type: ignore[arg-type]
    up = {mount.name for mount in found.mounts if mount.verdict is UP}
    assert up == {"M2 cowl", "M3 front floor", "M4 rear floor"}


def test_the_body_is_work_both_ways_and_what_moves_is_said() -> None:
    body = group(both(), "body shell", LIGHT)
    assert body.grade is Grade.NEEDS_WORK
    assert body.words.startswith("3 of 6 mounts a side line up")
    assert "M5 kick-up 2.50 in forward and 0.75 in down" in body.words
    assert "M6 tail 1.25 in inboard" in body.words
    assert "M5 kick-up 2.50 in rearward and 0.75 in up" in group(both(), "body shell", HEAVY).words


def test_what_follows_for_parts_does_not_hang_on_which_frame_came_first() -> None:
    for reading in (FIRST, SECOND):
        there = compare(design(LIGHT, reading), design(HEAVY, reading)).groups
        back = compare(design(HEAVY, reading), design(LIGHT, reading)).groups
        assert set(there) == set(back)


@pytest.mark.parametrize(
    ("part", "made_for", "grade", "words"),
    [
        ("hitch receiver", HEAVY, Grade.WONT_FIT, "36.90 inside on 36.00 rails: 0.45 in a side, shims stop at 0.25"),
        ("hitch receiver", LIGHT, Grade.WONT_FIT, "0.35 in a side too narrow"),
        ("fuel tank", HEAVY, Grade.NEEDS_WORK, "strap spacing 22.00 against 19.25 in"),
        ("fuel tank", HEAVY, Grade.NEEDS_WORK, "44.00 long in a 45.25 gap: 1.25 clear, 1.00 in needed"),
        ("core support", HEAVY, Grade.WONT_FIT, "mount spread 39.50 against 37.00 in"),
        ("front lower control arm", HEAVY, Grade.BOLTS_IN, "bolts to the same holes; 1.00 in longer"),
        ("front lower control arm", HEAVY, Grade.BOLTS_IN, "pair only; not for road use as it stands"),
        (
            "front lower control arm",
            LIGHT,
            Grade.WONT_FIT,
            "no torsion-bar socket: nothing holds the truck up; 1.00 in",
        ),
        ("front upper control arm", HEAVY, Grade.WONT_FIT, "bolt spacing 10.25 against 8.60 in"),
        ("torsion bar", HEAVY, Grade.WONT_FIT, "no crossmember, no socket"),
    ],
)
def test_what_the_yard_ruled_of_parts_follows_from_the_measures(
    part: str, made_for: str, grade: Grade, words: str
) -> None:
    found = group(both(), part, made_for)
    assert found.grade is grade
    assert words in found.words


def test_the_core_supports_spread_follows_from_its_mounts() -> None:
    bare = [
        replace(each, readings=tuple(reading for reading in each.readings if reading.name != Known.CORE_SPREAD))
        for each in (design(LIGHT), design(HEAVY))
    ]
    assert group(compare(bare[0], bare[1]), "core support", HEAVY).words == "mount spread 39.50 against 37.00 in"


def test_a_receiver_not_measured_is_known_by_the_frame_it_was_made_for() -> None:
    bare = [
        replace(each, readings=tuple(reading for reading in each.readings if reading.name != Known.RECEIVER))
        for each in (design(LIGHT), design(HEAVY))
    ]
    found = group(compare(bare[0], bare[1]), "hitch receiver", HEAVY)
    assert found.grade is Grade.WONT_FIT
    assert "0.40 in a side too wide" in found.words


@pytest.mark.parametrize(("long", "grade"), [(44.25, Grade.BOLTS_UP), (44.50, Grade.WONT_FIT), (48.50, Grade.WONT_FIT)])
def test_a_tank_needs_an_inch_in_its_gap(long: float, grade: Grade) -> None:
    tank = Reading(Known.TANK_LENGTH, long * INCH)
    light = design(LIGHT)
    others = tuple(reading for reading in light.readings if reading.name != Known.TANK_LENGTH)
    assert (
        group(compare(replace(light, name="other", readings=(*others, tank)), light), "fuel tank", "other").grade
        is grade
    )


def heavy_rail(span: float) -> FrameShape:
    """The heavy frame's rail, free and straight for so many inches between mount M4 and the spring hanger."""
    heavy = design(HEAVY)
    fourth = next(mount for mount in heavy.mounts if mount.name == "M4 rear floor")
    station = RailStation(0.0, None, 2.80 * INCH, 0.220 * INCH, 18.40 * INCH, 7.35 * INCH, -0.90 * INCH)
    hanger = Obstacle("spring hanger", fourth.x_mm + span * INCH)
    mounts = tuple(mount for mount in heavy.mounts if mount.name in ("M2 cowl", "M3 front floor", "M4 rear floor"))
    return replace(heavy, mounts=mounts, rail=(station,), obstacles=(hanger,))


def joined(a: FrameShape, b: FrameShape) -> Joint:
    """The joint of two frames whose diagonals passed."""
    return join(a, b, JoinSettings(), a_straight=STRAIGHT, b_straight=STRAIGHT)


def test_the_same_channel_joins_where_it_is_straight_for_forty_one_inches() -> None:
    found = joined(heavy_rail(41.0), replace(heavy_rail(41.0), name="donor"))
    assert found.grade is Grade.NEEDS_WORK
    (place,) = found.places
    assert place.between == ("M4 rear floor", "spring hanger")
    assert (place.free_mm / INCH, place.sleeve_mm / INCH, place.end_clear_mm / INCH) == pytest.approx((41.0, 33.0, 4.0))
    assert found.cost.hours == 18.0
    assert "16.50 in into each side of the joint" in found.conditions[0]
    station = next(each for each in found.stations if each.result is JoinResult.PASS)
    numbers = {test.what: test.number for test in station.tests}
    assert numbers["width"] == numbers["height"] == pytest.approx(100.0)
    assert numbers["step at the top"] == numbers["step at the bottom"] == 0.0
    assert numbers["wall"] == 1.0
    assert {test.what: (test.a, test.b) for test in station.tests}["width"] == ("15.60 to 18.40 in",) * 2


def test_thirty_six_inches_are_too_short_for_the_sleeve() -> None:
    found = joined(heavy_rail(36.0), replace(heavy_rail(36.0), name="donor"))
    assert found.grade is Grade.WONT_FIT
    assert [test.what for test in found.failed] == ["straight length for the sleeve"]
    assert "(36.00 - 33.00) / 2 = 1.50 in clear at each end, 2.00 needed" in found.failed[0].words


def test_boxed_rail_and_channel_join_nowhere() -> None:
    found = joined(design(LIGHT), design(HEAVY))
    assert (found.grade, found.places) == (Grade.WONT_FIT, ())
    failed = {test.what: test.number for test in found.failed}
    assert {"section type", "width", "steps", "wall"} <= set(failed)
    assert failed["steps"] == pytest.approx((8.25 - 7.10) / 2 * INCH)
    assert failed["wall"] == pytest.approx(0.220 / 0.150)


def test_a_small_rail_lies_whole_within_a_tall_one_and_still_steps() -> None:
    small = RailStation(0.0, None, 2.80 * INCH, 0.22 * INCH, 18.40 * INCH, 6.775 * INCH, -0.325 * INCH)
    found = joined(replace(heavy_rail(41.0), name="small", rail=(small,)), heavy_rail(41.0))
    station = found.stations[0]
    assert next(test for test in station.tests if test.what == "height").number == pytest.approx(100.0)
    assert {test.what for test in found.failed} == {"step at the top", "step at the bottom"}


def frame_in_doubt(tool: Tool, one: str, other: str) -> Damage:
    """The verdict on a frame by the diagonals of one box, with a quarter inch allowed."""
    pair = DiagonalPair("middle", read_diagonal(one, tool), read_diagonal(other, tool))
    return damage(FrameShape("D05", FrameKind.SURVEY), diagonals=[pair])


def test_a_frame_in_doubt_is_measured_again_and_then_straight() -> None:
    first = frame_in_doubt(Tool.HOOK_TAPE, "132 3/16", "132 1/2")
    assert first.verdict is DamageVerdict.MEASURE_AGAIN
    assert "0.3125" in first.words
    assert "0.4375" in first.words
    second = frame_in_doubt(Tool.TRAM_GAUGE, "132 8/32", "132 13/32")
    assert second.verdict is STRAIGHT
    assert "0.21875, within 0.25" in second.diagonals[0][1].words
    assert frame_in_doubt(Tool.HOOK_TAPE, "118 7/16", "118 15/16").verdict is DamageVerdict.BENT


def registrations() -> list[Any]:
    """The published rigid fits, where their file lies beside the checkout."""
    cases = json.loads(SHARED.read_text(encoding="utf-8")) if SHARED.exists() else []
    chosen = [case for case in cases if case["topic"] == "registration" and "P" in case["inputs"]]
    return [pytest.param(case, id=case["name"]) for case in chosen]


@pytest.mark.parametrize("case", registrations())
def test_the_shared_rigid_fits(case: dict[str, Any]) -> None:
    """Each case names its source: SciPy's align_vectors and an independent singular value decomposition."""
    points, targets = ([tuple(spot) for spot in case["inputs"][name]] for name in "PQ")
    found = best_motion(points, targets, [1.0] * len(points))
    for row, printed in zip(found.rows, case["expected"]["R"], strict=True):
        assert row == pytest.approx(printed, abs=case["tolerance"]["R"])
    assert found.shift == pytest.approx(case["expected"]["t"], abs=1e-5)


def test_a_rigid_fit_known_in_full() -> None:
    # SciPy 1.17.1 Rotation.align_vectors and an independent singular value decomposition, computed.
    points = [(0.0, 0.0, 0.0), (1000.0, 0.0, 0.0), (1000.0, 800.0, 0.0), (0.0, 800.0, 0.0), (500.0, 400.0, 150.0)]
    targets = [
        (12.5, -7.25, 4.0),
        (1010.787329354, 44.739296412, 30.823890642),
        (968.93291174, 843.588826355, 40.18531343),
        (-29.354417614, 791.599529943, 13.361422788),
        (486.789913624, 416.206646663, 172.028409001),
    ]
    found = best_motion(points, targets, [1.0] * 5)
    assert found.rows[0] == pytest.approx((0.998287329354, -0.052318022018, -0.026176948308), abs=1e-9)
    assert found.shift == pytest.approx((12.5, -7.25, 4.0), abs=1e-6)


def armed(name: str, arm: float, pivots: float) -> FrameShape:
    """A coil-over frame with arms of that length between pivots so far apart, in inches."""
    lengths = {Known.ARM_LENGTH: arm, Known.PIVOT_SPREAD: pivots, Known.SLEEVES: 9.5}
    readings = tuple(Reading(known, inches * INCH) for known, inches in lengths.items())
    return FrameShape(name, front=FrontSuspension.COIL_OVER, readings=readings)


def test_arms_an_inch_apart_on_frames_that_differ_to_match_keep_the_same_track() -> None:
    # Common practice, no source.
    short, long = armed("short arms", 17.25, 32.0), armed("long arms", 18.25, 30.0)
    assert track_mm(short) == track_mm(long) == pytest.approx(66.5 * INCH)
    found = group(compare(short, long), "front lower control arm", "long arms")
    assert found.grade is Grade.BOLTS_IN
    assert "each on its own frame keeps the same track" in found.words
    odd = group(compare(short, armed("odd", 18.25, 32.0)), "front lower control arm", "odd")
    assert "tracks differ by 2.00 in" in odd.words


def test_a_pad_two_inches_lower_against_four_does_not_line_up() -> None:
    # Common practice, no source.
    places = ((0.0, 0.0), (900.0, 0.0), (1800.0, 0.0))
    mounts = tuple(Mount(f"pad {i}", Side.NONE, x, 500.0, z, kind="pad") for i, (x, z) in enumerate(places, 1))
    level = FrameShape("level", mounts=mounts, datum="pad 1")
    two, four = (replace(with_mount(level, "pad 3", z_mm=-low * INCH), name=f"{low} low") for low in (2.0, 4.0))
    found = {mount.name: mount for mount in compare(two, four).mounts}
    assert found["pad 3"].verdict is OUT
    assert found["pad 3"].axes[2].words.startswith("2.00 in down")
    assert found["pad 2"].verdict is UP


def test_a_support_two_and_a_half_inches_taller_does_not_interchange() -> None:
    # Common practice, no source.
    def supported(name: str, tall: float) -> FrameShape:
        readings = (Reading(Known.CORE_SPREAD, 37.0 * INCH), Reading(Known.CORE_HEIGHT, tall * INCH))
        return FrameShape(name, readings=readings)

    found = group(compare(supported("low", 29.5), supported("tall", 32.0)), "core support", "tall")
    assert found.grade is Grade.WONT_FIT
    assert "2.50 in taller" in found.words
    level = group(compare(supported("low", 29.5), supported("same", 29.5)), "core support", "same")
    assert level.grade is Grade.BOLTS_UP


def test_straight_rails_and_rails_that_step_in_and_out_join_nowhere() -> None:
    # Common practice, no source: the stepped rail crosses the straight one's line and never runs along it.
    def rail(*faces: float) -> tuple[RailStation, ...]:
        return tuple(
            RailStation(
                i * 20.0 * INCH, 7.1 * INCH, 2.9 * INCH, 0.15 * INCH, face * INCH, 7.1 * INCH, 0.0, Section.BOXED
            )
            for i, face in enumerate(faces)
        )

    ends = tuple(Mount(f"P{i}", Side.NONE, x * INCH, 480.0, 0.0) for i, x in enumerate((0.0, 160.0)))
    straight = FrameShape("straight", mounts=ends, rail=rail(*[18.0] * 9), datum="P0")
    stepped = replace(straight, name="stepped", rail=rail(16.5, 16.5, 19.0, 20.5, 19.0, 17.0, 19.5, 16.5, 16.5))
    for one, other in ((straight, stepped), (stepped, straight)):
        assert joined(one, other).grade is Grade.WONT_FIT
    assert joined(straight, replace(straight, name="like it")).grade is Grade.NEEDS_WORK


def test_three_millimeters_are_the_common_tolerance() -> None:
    # Notes of a repair course: "common tolerance +-3 mm (1/8 in)"; a weak source, so it is a setting.
    assert DamageSettings().tolerance_mm == 3.0
    heights = [
        DatumHeight(name, x, z) for name, x, z in (("front", 0, 600), ("middle", 1500, 597), ("rear", 3000, 600))
    ]
    survey = FrameShape("D9", FrameKind.SURVEY)
    assert damage(survey, heights=heights).verdict is STRAIGHT
    lower = [replace(each, height_mm=596.9) if each.station == "middle" else each for each in heights]
    found = damage(survey, heights=lower)
    assert {each.condition for each in found.conditions if each.verdict is DamageVerdict.BENT} == {Condition.SAG}
