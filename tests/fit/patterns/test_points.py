"""Patterns as people measure them: what is refused, naming the point and what to do."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.errors import YardError
from app.fit.patterns.clearance import Fastening
from app.fit.patterns.errors import PatternError
from app.fit.patterns.match import fits
from app.fit.patterns.pairing import Match
from app.fit.patterns.points import Kind, Pattern, Point, View, both_sides, mirrored, outboard
from app.fit.terms import Side
from tests.fit.patterns.shapes import pattern

SQUARE = [(0.0, 0.0), (100.0, 0.0), (100.0, 80.0), (0.0, 80.0)]
TIGHT = Fastening(allowance_mm=1.0)


def refused(caught: pytest.ExceptionInfo[PatternError], *words: str) -> None:
    """The error is one of the yard's, with a remedy, and says these words."""
    assert isinstance(caught.value, YardError)
    assert caught.value.remedy
    said = caught.value.in_one_line()
    assert all(word in said for word in words), said


def test_a_point_measured_twice_with_different_values() -> None:
    twice = (Point("M3", (10.0, 20.0)), Point("M4", (50.0, 0.0)), Point("M3", (13.0, 24.0)))
    with pytest.raises(PatternError) as caught:
        Pattern("left rail", twice)
    refused(caught, "M3", "5.00 mm apart", "left rail", "different names")


def test_a_point_measured_twice_alike_counts_once() -> None:
    twice = (Point("M3", (10.0, 20.0)), Point("M4", (50.0, 0.0)), Point("M3", (10.0, 20.0)))
    assert [point.name for point in Pattern("rail", twice).points] == ["M3", "M4"]


def test_left_and_right_of_one_name_are_two_points() -> None:
    assert len(Pattern("frame", both_sides("M1", 0, 470, 0)).points) == 2


def test_the_same_place_with_another_size_is_no_second_reading() -> None:
    with pytest.raises(PatternError) as caught:
        Pattern("rail", (Point("M3", (0.0, 0.0), size_mm=12), Point("M3", (0.0, 0.0), size_mm=14)))
    refused(caught, "M3", "different sizes")


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        (Point("M2", (1.0, 2.0, 3.0)), ("M2", "3 coordinates")),
        (Point("M2", (1.0, float("nan"))), ("M2", "no number", "again")),
        (Point("M2", (1.0, 2.0), u_mm=-0.5), ("M2", "the doubt", "below zero")),
        (Point("M2", (1.0, 2.0), size_mm=-3), ("M2", "the size", "below zero")),
        (Point("M2", (1.0, 2.0), Kind.SLOT, 12, length_mm=30), ("slot M2", "no direction")),
        (Point("M2", (1.0, 2.0), Kind.SLOT, 12, direction=(1.0, 0.0)), ("slot M2", "no length")),
        (Point("M2", (1.0, 2.0), Kind.SLOT, 12, direction=(1.0, 0.0), length_mm=10), ("M2", "shorter")),
        (Point("M2", (1.0, 2.0), Kind.SLOT, 12, direction=(0.0, 0.0), length_mm=30), ("M2", "direction", "zero")),
        (Point("M2", (1.0, 2.0), axis=(0.0, 0.0, 1.0)), ("M2", "axis")),
    ],
)
def test_a_point_that_cannot_be_is_named(bad: Point, words: tuple[str, ...]) -> None:
    with pytest.raises(PatternError) as caught:
        Pattern("rail", (Point("M1", (0.0, 0.0)), bad))
    refused(caught, *words)


def test_a_pattern_without_points_and_a_normal_that_says_nothing() -> None:
    with pytest.raises(PatternError) as caught:
        Pattern("rail", ())
    refused(caught, "rail", "no points")
    with pytest.raises(PatternError) as caught:
        replace(pattern(SQUARE), normal=(1.0, 0.0, 0.0))
    refused(caught, "normal")


def test_fewer_points_than_needed() -> None:
    one = pattern([(0.0, 0.0)])
    with pytest.raises(PatternError) as caught:
        fits(one, pattern(SQUARE), TIGHT)
    refused(caught, "1 of the 2 points needed", "a")
    two = pattern([(0.0, 0.0, 0.0), (100.0, 0.0, 0.0)])
    with pytest.raises(PatternError) as caught:
        fits(two, two, TIGHT)
    refused(caught, "2 of the 3 points needed", "a, b", "Measure 1 more")


def test_all_points_in_a_line_or_in_one_place() -> None:
    line = pattern([(0.0, 0.0, 0.0), (100.0, 0.0, 1.0), (200.0, 0.0, 2.0)], name="bar")
    with pytest.raises(PatternError) as caught:
        fits(line, line, TIGHT)
    refused(caught, "bar", "in a line", "a, b, c", "off that line")
    heap = pattern([(1.0, 1.0), (1.0, 1.0), (1.0, 1.0)], name="heap")
    with pytest.raises(PatternError) as caught:
        fits(heap, heap, TIGHT)
    refused(caught, "heap", "in one place", "a, b, c")


def test_on_the_page_a_line_of_bolts_is_enough() -> None:
    line = pattern([(0.0, 0.0), (100.0, 0.0), (250.0, 0.0)])
    assert fits(line, line, TIGHT).outcome == "fits"


def test_a_line_only_within_its_doubt_is_a_line() -> None:
    bent = [(0.0, 0.0, 0.0), (100.0, 0.0, 2.0), (200.0, 0.0, 0.0)]
    assert fits(pattern(bent), pattern(bent), TIGHT).outcome is not None
    with pytest.raises(PatternError, match="in a line within their doubt"):
        fits(pattern(bent, u=3.0), pattern(bent, u=3.0), TIGHT)


@pytest.mark.parametrize(
    ("part", "vehicle", "bolts", "words"),
    [
        (pattern(SQUARE, size=12), pattern(SQUARE, size=12), None, ("a", "bolt", "allowance")),
        (pattern(SQUARE), pattern(SQUARE, size=12), Fastening(10), ("a", "the part", "size")),
        (pattern(SQUARE, size=12), pattern(SQUARE), Fastening(10), ("a", "the vehicle", "size")),
        (pattern(SQUARE, Kind.STUD), pattern(SQUARE, size=12), None, ("a", "the part", "size")),
    ],
)
def test_a_size_that_is_missing_is_asked_for(
    part: Pattern, vehicle: Pattern, bolts: Fastening | None, words: tuple[str, ...]
) -> None:
    with pytest.raises(PatternError) as caught:
        fits(part, vehicle, bolts)
    refused(caught, *words)
    assert fits(part, vehicle, Fastening(allowance_mm=1.0)).outcome == "fits"


def test_patterns_that_are_not_measured_alike_are_not_compared() -> None:
    with pytest.raises(PatternError, match="2 coordinates"):
        fits(pattern(SQUARE), pattern([(x, y, 0.0) for x, y in SQUARE]), TIGHT)
    with pytest.raises(PatternError, match="seen in plan"):
        fits(pattern(SQUARE, view=View.PLAN), pattern(SQUARE, view=View.SIDE), TIGHT)


def test_names_that_have_nothing_in_common() -> None:
    other = Pattern("rail", tuple(Point(f"hole {at}", place) for at, place in enumerate(SQUARE)))
    with pytest.raises(PatternError, match="no point of rail has the name"):
        fits(pattern(SQUARE), other, TIGHT, match=Match.NAMES)
    assert fits(pattern(SQUARE), other, TIGHT).by_name is False


def test_more_points_on_the_part_than_on_the_vehicle_cannot_be_searched() -> None:
    other = Pattern("rail", tuple(Point(f"hole {at}", place) for at, place in enumerate(SQUARE[:3])))
    with pytest.raises(PatternError) as caught:
        fits(pattern(SQUARE), other, TIGHT, match=Match.SEARCH)
    refused(caught, "4 points", "3")


def test_a_mount_told_outboard_has_its_sign_by_its_side() -> None:
    left, right = both_sides("M1", 10, 470, 5, u_mm=2.0)
    assert (left.position, right.position) == ((10, -470, 5), (10, 470, 5))
    assert (left.said, right.side, left.u_mm) == ("M1 LH", Side.RH, 2.0)
    assert outboard("M1", 10, 470, 5, Side.NONE).position == (10, 470, 5)


def test_the_other_sides_part_is_mirrored_and_back_again() -> None:
    slot = Point("a", (1.0, 2.0, 3.0), Kind.SLOT, 12, side=Side.LH, direction=(0.0, 1.0, 0.0), length_mm=20)
    left = Pattern("arm", (slot, Point("b", (5.0, 6.0, 7.0))), side=Side.LH, normal=(0.0, 1.0, 0.0))
    right = mirrored(left)
    assert right.side is Side.RH
    assert right.points[0].position == (1.0, -2.0, 3.0)
    assert right.points[0].direction == (0.0, -1.0, 0.0)
    assert right.points[0].side is Side.RH
    assert mirrored(right) == left


@pytest.mark.parametrize(("view", "place"), [(View.PLAN, (1, -2)), (View.FRONT, (-1, 2)), (View.SIDE, (1, 2))])
def test_on_the_page_left_and_right_are_where_the_view_has_them(view: View, place: tuple[float, float]) -> None:
    assert mirrored(pattern([(1.0, 2.0), (5.0, 5.0)], view=view)).points[0].position == place
