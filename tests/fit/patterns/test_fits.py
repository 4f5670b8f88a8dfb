"""Does this part go on that vehicle: clearances, slots, pads, three values, hands, and what would have to move."""

from __future__ import annotations

import json
from dataclasses import asdict, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.fit.patterns.clearance import Fastening
from app.fit.patterns.iso273 import Series, clearance_hole
from app.fit.patterns.match import fits
from app.fit.patterns.pairing import Match
from app.fit.patterns.points import Kind, Pattern, Place, Point, View, both_sides, mirrored
from app.fit.patterns.rigid import minimax
from app.fit.patterns.verdict import Hand
from app.fit.tape import TapeOutcome
from app.fit.terms import Side
from tests.fit.patterns.shapes import moved, pattern, seeds, turn_at_random

FITS, AGAIN, NOT = TapeOutcome.FITS, TapeOutcome.MEASURE_AGAIN, TapeOutcome.DOES_NOT_FIT
INCH = 25.4
BRACKET = [(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (20.0, 40.0)]
"""Four bolts that are not their own mirror image."""


def on_the_page(places: list[tuple[float, float]], kind: Kind, size: float, u: float = 0.0) -> Pattern:
    """A flat part seen from the side it is told to be seen from."""
    return pattern(places, kind, size, u, view=View.PLAN)


# The rule of three values is the yard's own: fits when d + U <= a, does not when d - U > a, else measured again;
# U is both doubts added, because two men with one tape make the same mistake.
@pytest.mark.parametrize(
    ("spread", "u", "outcome"),
    [
        (104.0, 0.0, FITS),
        (104.0001, 0.0, NOT),
        (103.0, 0.25, FITS),
        (103.0, 0.26, AGAIN),
        (105.0, 0.25, AGAIN),
        (105.0, 0.24, NOT),
    ],
)
def test_two_bolts_by_hand(spread: float, u: float, outcome: TapeOutcome) -> None:
    # Studs 100 apart in holes 4 mm wider: each hole may be 2 mm off, so the holes may be 96 to 104 apart.
    part = on_the_page([(0, 0), (100, 0)], Kind.STUD, 12.0, u)
    vehicle = on_the_page([(0, 0), (spread, 0)], Kind.HOLE, 16.0, u)
    verdict = fits(part, vehicle)
    assert verdict.outcome is outcome
    over = (spread - 100) / 2 - 2
    assert verdict.excess_mm == pytest.approx(over, abs=1e-6)
    assert verdict.surely_mm == pytest.approx(over + 2 * u, abs=1e-6)
    assert verdict.at_best_mm == pytest.approx(over - 2 * u, abs=1e-6)
    assert verdict.slack_mm == pytest.approx(max(0.0, -over - 2 * u) if outcome is FITS else 0.0, abs=1e-6)


def test_two_holes_with_one_bolt_leave_what_both_leave() -> None:
    # ISO 273 medium, M12: 13.5 mm, so three quarters of a millimeter in either hole.
    hole = clearance_hole("M12", Series.MEDIUM)
    part, vehicle = (on_the_page([(0, 0), (x, 0)], Kind.HOLE, hole) for x in (100.0, 102.9))
    verdict = fits(part, vehicle, Fastening(bolt_mm=12))
    assert verdict.pairs[0].free_mm == pytest.approx(1.5)
    assert verdict.excess_mm == pytest.approx(1.45 - 1.5, abs=1e-6)
    by_name = fits(part, vehicle, Fastening(bolt_mm={"a": 12, "b": 13}))
    assert [pair.free_mm for pair in by_name.pairs] == pytest.approx([1.5, 0.5])


def test_a_bolt_that_does_not_pass_one_hole_does_not_pass() -> None:
    part, vehicle = on_the_page(BRACKET, Kind.HOLE, 30.0), on_the_page(BRACKET, Kind.HOLE, 11.0)
    verdict = fits(part, vehicle, Fastening(bolt_mm=12))
    assert verdict.outcome is NOT
    assert verdict.pairs[0].free_mm == pytest.approx(-0.5)


def test_a_pin_is_tight_and_a_reamed_hole_leaves_it_what_it_leaves() -> None:
    pins = on_the_page([(0, 0), (100, 0)], Kind.PIN, 10.0)
    assert fits(pins, pattern([(0, 0), (100, 0)], view=View.PLAN)).outcome is FITS
    assert fits(pins, pattern([(0, 0), (100.01, 0)], view=View.PLAN)).outcome is NOT
    assert fits(pins, on_the_page([(0, 0), (100.01, 0)], Kind.HOLE, 10.02)).outcome is FITS
    doubtful = on_the_page([(0, 0), (100, 0)], Kind.HOLE, 10.0, u=1.0)
    assert fits(pins, doubtful).outcome is AGAIN


@pytest.mark.parametrize(("kind", "other"), [(Kind.STUD, Kind.STUD), (Kind.PIN, Kind.STUD), (Kind.PAD, Kind.HOLE)])
def test_kinds_that_cannot_meet_do_not_fit_and_are_named(kind: Kind, other: Kind) -> None:
    verdict = fits(on_the_page(BRACKET, kind, 10.0), on_the_page(BRACKET, other, 12.0))
    assert verdict.outcome is NOT
    assert len(verdict.blocked) == 4
    assert verdict.words[1:] != ()
    assert f"A: a {kind} cannot go on a {other}." in verdict.words


def slotted(direction: Place, length: float = 30.0) -> Pattern:
    """A hole and a slot of 12 mm bolts' size, told apart by name."""
    slot = Point("b", (100.0, 0.0), Kind.SLOT, 13.0, direction=direction, length_mm=length)
    return Pattern("slotted", (Point("a", (0.0, 0.0), Kind.HOLE, 13.0), slot), View.PLAN)


@pytest.mark.parametrize("on_part", [True, False])
@pytest.mark.parametrize(
    ("x", "direction", "outcome"),
    [
        (109.4, (1.0, 0.0), FITS),
        (109.6, (1.0, 0.0), NOT),
        (90.6, (-2.0, 0.0), FITS),
        (101.0, (0.0, 1.0), FITS),
        (101.2, (0.0, 1.0), NOT),
    ],
)
def test_a_slot_slides_along_its_run_and_not_across(
    on_part: bool, x: float, direction: Place, outcome: TapeOutcome
) -> None:
    # A slot 13 by 30 lets a 12 mm stud slide (30 - 13) / 2 = 8.5 mm either way, and half a millimeter more all round;
    # the hole gives another half. Across its run there is but half a millimeter at each end: 99 to 101. (Turning the
    # part to use the slot's length across gains cos: nothing here to a tenth.)
    studs = Pattern("studs", tuple(Point(n, (at, 0.0), Kind.STUD, 12.0) for n, at in (("a", 0.0), ("b", x))), View.PLAN)
    pair = (slotted(direction), studs) if on_part else (studs, slotted(direction))
    assert fits(*pair).outcome is outcome


def test_two_slots_crossed_slide_both_ways() -> None:
    def plate(direction: Place, x: float, y: float) -> Pattern:
        slot = Point("b", (x, y), Kind.SLOT, 13.0, direction=direction, length_mm=30.0)
        return Pattern("plate", (Point("a", (0.0, 0.0), Kind.HOLE, 13.0), slot), View.PLAN)

    bolts = Fastening(bolt_mm=12)
    along, crossed = plate((1.0, 0.0), 100, 0), plate((0.0, 1.0), 108, 0)
    assert fits(along, crossed, bolts).outcome is FITS
    assert fits(plate((0.0, 1.0), 100, 0), crossed, bolts).outcome is NOT


@settings(max_examples=40)
@given(seeds)
def test_sliding_is_never_worse_than_standing_and_no_better_than_a_hole_as_wide_as_long(seed: int) -> None:
    chosen = np.random.default_rng(seed)
    places = chosen.uniform(-400, 400, (5, 2))
    vehicle = pattern(moved(chosen, places + chosen.normal(scale=4, size=(5, 2))), Kind.STUD, 12.0, view=View.PLAN)

    def part(kind: Kind, size: float) -> Pattern:
        ways = [tuple(np.random.default_rng(seed + at).normal(size=2).tolist()) for at in range(5)]
        points = pattern(places, kind=Kind.HOLE, size=size, view=View.PLAN).points
        if kind is Kind.SLOT:
            points = tuple(
                replace(point, kind=kind, direction=way, length_mm=20.0)
                for point, way in zip(points, ways, strict=True)
            )
        return Pattern("part", points, View.PLAN)

    slots = fits(part(Kind.SLOT, 13.0), vehicle).excess_mm
    assert fits(part(Kind.HOLE, 20.0), vehicle).excess_mm - 1e-6 <= slots
    assert slots <= fits(part(Kind.HOLE, 13.0), vehicle).excess_mm + 1e-6


@settings(max_examples=25)
@given(seeds)
def test_slots_turn_with_the_part_they_are_in(seed: int) -> None:
    chosen = np.random.default_rng(seed)
    places = chosen.uniform(-400, 400, (4, 2))
    angles = chosen.uniform(0, np.pi, 4)
    studs = pattern(places + chosen.normal(scale=4, size=(4, 2)), Kind.STUD, 12.0, view=View.PLAN)

    def plate(turn: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Pattern:
        ways = np.stack([np.cos(angles), np.sin(angles)], axis=1) @ turn.T
        points = [
            replace(point, kind=Kind.SLOT, direction=tuple(way), length_mm=24.0)
            for point, way in zip(pattern(places @ turn.T, size=13.0).points, ways.tolist(), strict=True)
        ]
        return Pattern("plate", tuple(points), View.PLAN)

    as_it_was = fits(plate(np.eye(2)), studs).excess_mm
    turn = turn_at_random(chosen, 2)
    assert fits(plate(turn), studs).excess_mm == pytest.approx(as_it_was, abs=1e-6)
    assert fits(studs, plate(turn)).excess_mm == pytest.approx(as_it_was, abs=1e-6)


def test_pads_hold_the_height_and_nothing_else() -> None:
    def seats(lift: float, aside: float) -> Pattern:
        places = [(0.0, 0.0, 0.0), (800.0, 0.0, 0.0), (0.0, 600.0, 0.0), (800.0, 600.0, lift)]
        pads = tuple(
            Point(f"pad {at}", (x + aside, y, z), Kind.PAD, height_mm=3.0) for at, (x, y, z) in enumerate(places)
        )
        return Pattern("seats", pads)

    # By hand: one foot of four lifted by 16 is 4 out at each at best, of 3 + 3 allowed.
    low = fits(seats(0, 0), seats(16, 40))
    assert low.excess_mm == pytest.approx(4 - 6, abs=1e-4)
    assert low.outcome is FITS
    assert fits(seats(0, 0), seats(26, 0)).outcome is NOT


def test_a_pad_with_a_face_must_lie_on_the_other() -> None:
    small, large = on_the_page(BRACKET, Kind.PAD, 60.0), on_the_page([(x + 9, y) for x, y in BRACKET], Kind.PAD, 80.0)
    assert fits(small, large).pairs[0].free_mm == pytest.approx(10)
    stretched = on_the_page([(1.25 * x, y) for x, y in BRACKET], Kind.PAD, 80.0)
    assert fits(small, stretched).outcome is NOT


def body(mounts: list[tuple[str, float, float, float]], kind: Kind, u: float = 0.8) -> Pattern:
    """Body mounts of both sides as a yard tells them, in inches: half-inch sleeves, holes of an inch and an eighth."""
    size = INCH * (0.5 if kind is Kind.STUD else 1.125)
    more = {"kind": kind, "size_mm": size, "u_mm": u, "axis": (0.0, 0.0, 1.0)}
    height = {"height_mm": INCH / 2} if kind is Kind.STUD else {}
    points = [
        point for name, x, y, z in mounts for point in both_sides(name, x * INCH, y * INCH, z * INCH, **more, **height)
    ]
    return Pattern("mounts", tuple(points))


LIGHT = [
    ("M1", 0.0, 18.5, 0.0),
    ("M2", 38.0, 21.75, 0.0),
    ("M3", 66.5, 22.0, 0.0),
    ("M4", 99.0, 22.0, 0.0),
    ("M5", 128.5, 20.25, 0.0),
    ("M6", 163.25, 18.75, 0.0),
]
HEAVY = [
    ("M1", -1.5, 19.75, 0.4),
    ("M2", 38.0, 21.75, 0.0),
    ("M3", 66.55, 22.06, 0.0),
    ("M4", 99.06, 22.0, 0.06),
    ("M5", 131.0, 20.25, 0.75),
    ("M6", 163.25, 20.0, 0.3),
]
"""Invented frames: half of the twelve mounts line up."""


def test_a_body_on_another_frame_says_which_mounts_would_have_to_move_and_which_way() -> None:
    verdict = fits(body(LIGHT, Kind.STUD), body(HEAVY, Kind.HOLE))
    assert verdict.outcome is NOT
    assert verdict.moves_few
    assert [move.vehicle for move in verdict.moves] == ["M1 LH", "M1 RH", "M5 LH", "M5 RH", "M6 LH", "M6 RH"]
    way = {move.vehicle: move.way for move in verdict.moves}
    for side in ("LH", "RH"):
        assert "rearward" in way[f"M1 {side}"]
        assert "31.8 mm inboard" in way[f"M1 {side}"]
        assert "forward" in way[f"M5 {side}"]
        assert "down" in way[f"M5 {side}"]
        assert "31.8 mm inboard" in way[f"M6 {side}"]
    # By hand: M5 is 2.5 in back and 0.75 in high; the other six leave but millimeters of play about that.
    back = next(move for move in verdict.moves if move.vehicle == "M5 RH").way_mm[0]
    assert back == pytest.approx(-2.5 * INCH, abs=2.5)
    assert "6 of 12 points fit together" in verdict.words[2]


def test_the_same_body_on_its_own_frame_has_its_hand_told_by_its_sides() -> None:
    verdict = fits(body(LIGHT, Kind.STUD), body(LIGHT, Kind.HOLE))
    assert (verdict.outcome, verdict.hand) == (FITS, Hand.TOLD)
    # By hand: (1.125 - 0.5) / 2 inches less both doubts.
    assert verdict.slack_mm == pytest.approx(0.3125 * INCH - 1.6, abs=1e-6)


def test_one_hole_out_is_named_and_the_others_stay() -> None:
    vehicle = list(BRACKET)
    vehicle[2] = (100.0, 67.0)
    verdict = fits(on_the_page(BRACKET, Kind.STUD, 12), on_the_page(vehicle, Kind.HOLE, 13))
    assert verdict.outcome is NOT
    (move,) = verdict.moves
    assert move.vehicle == "c"
    assert move.whole_mm == pytest.approx(7, abs=0.6)
    assert move.least_mm == pytest.approx(move.whole_mm - 0.5, abs=1e-6)
    assert "to the left" in move.way or "inboard" in move.way
    assert "outboard" in move.part_way


def test_what_would_have_to_move_once_moved_lets_the_part_fit() -> None:
    chosen = np.random.default_rng(5)
    for _ in range(10):
        places = chosen.uniform(-500, 500, (7, 2))
        other = places + chosen.normal(scale=0.2, size=places.shape)
        other[2] += (9, -14)
        other[5] += (-20, 4)
        part, vehicle = on_the_page(places.tolist(), Kind.STUD, 12), on_the_page(other.tolist(), Kind.HOLE, 14)
        verdict = fits(part, vehicle)
        assert {move.vehicle for move in verdict.moves} == {"c", "f"}
        by = {move.vehicle: move.way_mm for move in verdict.moves}
        mended = tuple(
            replace(point, position=tuple(np.add(point.position, by.get(point.said, (0.0, 0.0))).tolist()))
            for point in vehicle.points
        )
        assert fits(part, replace(vehicle, points=mended)).outcome is FITS


def test_the_one_point_to_measure_again() -> None:
    # All is well but for one reading taken by a long tape.
    part = on_the_page(BRACKET, Kind.STUD, 12, u=0.1)
    vehicle = on_the_page(BRACKET, Kind.HOLE, 14, u=0.1)
    points = tuple(replace(point, u_mm=3.0) if point.name == "d" else point for point in vehicle.points)
    verdict = fits(part, replace(vehicle, points=points))
    assert verdict.outcome is AGAIN
    assert verdict.decider is not None
    assert (verdict.decider.vehicle, verdict.decider.decides, verdict.decider.outcome) == ("d", True, FITS)
    assert verdict.decider.enough_mm is not None
    assert 0 < verdict.decider.enough_mm <= 1.0 + 1e-6
    better = tuple(
        replace(point, u_mm=verdict.decider.enough_mm - 0.1) if point.name == "d" else point for point in points
    )
    assert fits(part, replace(vehicle, points=better)).outcome is FITS


def test_where_no_single_point_decides_that_is_said() -> None:
    part, vehicle = (on_the_page(BRACKET, kind, size, u=0.6) for kind, size in ((Kind.STUD, 12), (Kind.HOLE, 14)))
    verdict = fits(part, vehicle)
    assert verdict.outcome is AGAIN
    assert verdict.decider is not None
    assert not verdict.decider.decides
    assert "no single point" in verdict.decider.words


def test_a_required_point_without_a_reading_is_never_a_yes() -> None:
    vehicle = on_the_page(BRACKET[:3], Kind.HOLE, 14)
    part = on_the_page(BRACKET, Kind.STUD, 12)
    verdict = fits(part, vehicle)
    assert (verdict.outcome, verdict.missing) == (AGAIN, ("d",))
    assert verdict.decider is not None
    assert verdict.decider.words == "measure d on the vehicle"
    points = tuple(replace(point, required=point.name != "d") for point in part.points)
    assert fits(replace(part, points=points), vehicle).outcome is FITS


def test_a_point_that_is_not_required_is_told_and_decides_nothing() -> None:
    vehicle = [*BRACKET[:3], (50.0, 90.0)]
    part = on_the_page(BRACKET, Kind.STUD, 12)
    points = tuple(replace(point, required=point.name != "d") for point in part.points)
    verdict = fits(replace(part, points=points), on_the_page(vehicle, Kind.HOLE, 14))
    assert verdict.outcome is FITS
    assert verdict.pairs[3].outcome is NOT
    assert verdict.worst != "d"


@settings(max_examples=60)
@given(seeds, st.floats(0, 1))
def test_noise_below_what_is_left_never_turns_a_verdict_into_its_opposite(seed: int, share: float) -> None:
    chosen = np.random.default_rng(seed)
    dimensions = int(chosen.integers(2, 4))
    places = chosen.uniform(-500, 500, (int(chosen.integers(4, 8)), dimensions))
    view = View.PLAN if dimensions == 2 else View.BODY
    u = float(chosen.uniform(0, 1))
    other = moved(chosen, places + chosen.normal(scale=chosen.uniform(0, 4), size=places.shape))
    part = pattern(places, Kind.STUD, 12.0, u, view=view)
    before = fits(part, pattern(other, Kind.HOLE, 18.0, u, view=view))
    left = before.slack_mm if before.outcome is FITS else max(before.at_best_mm, 0.0)
    push = chosen.normal(size=other.shape)
    push *= share * left / np.linalg.norm(push, axis=1, keepdims=True)
    after = fits(part, pattern(other + push, Kind.HOLE, 18.0, u, view=view))
    assert {before.outcome, after.outcome} != {FITS, NOT}


@settings(max_examples=40)
@given(seeds)
def test_the_verdict_is_that_of_the_exact_figures(seed: int) -> None:
    chosen = np.random.default_rng(seed)
    places = chosen.uniform(-500, 500, (6, 3))
    u = chosen.uniform(0, 1.5, 6)
    other = moved(chosen, places + chosen.normal(scale=2, size=places.shape))
    part = pattern(places, Kind.STUD, 12.0)
    vehicle = pattern(other, Kind.HOLE, 18.0)
    points = tuple(replace(point, u_mm=float(doubt)) for point, doubt in zip(vehicle.points, u, strict=True))
    verdict = fits(part, replace(vehicle, points=points))
    sure, best = minimax(places, other, 3 - u).excess_mm, minimax(places, other, 3 + u).excess_mm
    assert verdict.outcome is (FITS if sure <= 1e-6 else NOT if best > 1e-6 else AGAIN)
    assert verdict.surely_mm == pytest.approx(sure, abs=1e-6)
    assert verdict.at_best_mm == pytest.approx(best, abs=1e-6)


def turned_over(places: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The same bolts measured from the back."""
    return [(-x, y) for x, y in places]


def flat(places: list[tuple[float, float]], kind: Kind, height: float | None = None) -> Pattern:
    """The bracket on the page, or in space at a height, without a word on which face is which."""
    if height is None:
        return pattern(places, kind, 12.0 if kind is Kind.STUD else 14.0)
    return pattern([(x, y, height) for x, y in places], kind, 12.0 if kind is Kind.STUD else 14.0)


@pytest.mark.parametrize("height", [None, 50.0])
@pytest.mark.parametrize("match", list(Match))
@pytest.mark.parametrize("back", [False, True])
def test_a_flat_pattern_alone_does_not_tell_left_from_right(height: float | None, match: Match, back: bool) -> None:
    vehicle = flat(turned_over(BRACKET) if back else BRACKET, Kind.HOLE, height)
    verdict = fits(flat(BRACKET, Kind.STUD, height), vehicle, match=match)
    assert (verdict.outcome, verdict.hand) == (AGAIN, Hand.NOT_TOLD)
    assert any("do not tell a left part from a right one" in words for words in verdict.words)


@pytest.mark.parametrize("height", [None, 50.0])
@pytest.mark.parametrize("match", list(Match))
@pytest.mark.parametrize(
    ("back", "part_up", "vehicle_up", "outcome"),
    [
        (False, 1, 1, FITS),
        (False, 1, -1, NOT),
        (True, 1, -1, FITS),
        (True, 1, 1, NOT),
        (True, -1, 1, FITS),
        (False, -1, -1, FITS),
    ],
)
def test_normals_tell_which_face_is_which(
    height: float | None, match: Match, back: bool, part_up: int, vehicle_up: int, outcome: TapeOutcome
) -> None:
    part = replace(flat(BRACKET, Kind.STUD, height), normal=(0, 0, part_up))
    vehicle = flat(turned_over(BRACKET) if back else BRACKET, Kind.HOLE, height)
    vehicle = replace(vehicle, normal=(0, 0, vehicle_up))
    verdict = fits(part, vehicle, match=match)
    assert (verdict.outcome, verdict.hand) == (outcome, Hand.TOLD)
    either = fits(part, vehicle, match=match, may_turn=True)
    assert either.outcome is FITS


@pytest.mark.parametrize("height", [None, 50.0])
def test_a_part_that_may_be_turned_over_is(height: float | None) -> None:
    part, vehicle = flat(BRACKET, Kind.STUD, height), flat(turned_over(BRACKET), Kind.HOLE, height)
    verdict = fits(part, vehicle, may_turn=True)
    assert verdict.outcome is FITS
    assert verdict.motion.mirrored is (height is None)
    assert max(verdict.motion.residuals([p.position for p in part.points], [p.position for p in vehicle.points])) < 1e-6


def test_a_side_tells_and_the_other_sides_part_is_its_mirror_image() -> None:
    left = replace(flat(BRACKET, Kind.STUD), side=Side.LH)
    right_mount = replace(flat(turned_over(BRACKET), Kind.HOLE), side=Side.RH)
    assert fits(left, right_mount).outcome is NOT
    verdict = fits(left, right_mount, mirror=True)
    assert (verdict.outcome, verdict.mirrored) == (FITS, True)
    assert "other side's part" in verdict.words[-1]


@pytest.mark.parametrize("height", [None, 50.0])
@pytest.mark.parametrize("match", list(Match))
def test_a_flat_pattern_alike_both_ways_round_fits_either_way(height: float | None, match: Match) -> None:
    oblong = [(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0)]
    verdict = fits(flat(oblong, Kind.STUD, height), flat(oblong, Kind.HOLE, height), match=match)
    assert (verdict.outcome, verdict.hand) == (FITS, Hand.EITHER_WAY)


@settings(max_examples=8)
@given(seeds)
def test_a_part_with_depth_tells_its_own_hand_and_its_mirror_image_does_not_fit(seed: int) -> None:
    chosen = np.random.default_rng(seed)
    places = chosen.uniform((0, 200, 0), (1500, 500, 400), (6, 3))
    part, vehicle = pattern(places, Kind.STUD, 12), pattern(moved(chosen, places), Kind.HOLE, 14)
    verdict = fits(part, vehicle)
    assert (verdict.outcome, verdict.hand) == (FITS, Hand.TOLD)
    assert fits(mirrored(part), vehicle).outcome is NOT
    assert fits(part, vehicle, mirror=True).outcome is NOT
    assert fits(mirrored(part), vehicle, mirror=True).outcome is FITS
    both = fits(mirrored(part), mirrored(vehicle))
    assert both.excess_mm == pytest.approx(verdict.excess_mm, abs=1e-6)


@settings(max_examples=30)
@given(seeds)
def test_moving_or_turning_either_pattern_leaves_the_verdict(seed: int) -> None:
    chosen = np.random.default_rng(seed)
    dimensions = int(chosen.integers(2, 4))
    places = chosen.uniform(-500, 500, (5, dimensions))
    other = places + chosen.normal(scale=1.5, size=places.shape)
    view = View.PLAN if dimensions == 2 else View.BODY

    def held(a: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Pattern:
        return pattern(a, Kind.STUD, 12.0, 0.3, view=view)

    vehicle = pattern(other, Kind.HOLE, 16.0, 0.3, view=view)
    first, second = fits(held(places), vehicle), fits(held(moved(chosen, places)), vehicle)
    assert first.outcome is second.outcome
    assert second.surely_mm == pytest.approx(first.surely_mm, abs=1e-6)


def test_a_verdict_is_plain_data() -> None:
    verdict = fits(body(LIGHT, Kind.STUD), body(HEAVY, Kind.HOLE))
    record = json.loads(json.dumps(asdict(verdict)))
    assert record["outcome"] == "does not fit"
    assert record["moves"][0]["way_mm"][0] == pytest.approx(verdict.moves[0].way_mm[0])
