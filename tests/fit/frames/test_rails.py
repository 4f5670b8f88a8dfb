"""Rails along their length: between two stations in proportion, beyond the last one unknown."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.fit.frames.compare import CompareSettings, compare
from app.fit.frames.rails import common_places, rail_at
from app.fit.frames.shape import FrameShape, Known, Mount, RailStation, Reading
from app.fit.frames.verdicts import Verdict
from app.fit.lengths import LengthUnit
from app.fit.terms import Section, Side

TAPERED = (
    RailStation(0.0, 200.0, 70.0, 4.0, 450.0, 200.0, 0.0, Section.BOXED, 0.5),
    RailStation(1000.0, 180.0, 70.0, 4.0, 430.0, 190.0, 10.0, Section.BOXED, 1.0),
    RailStation(3000.0, 180.0, 70.0, 4.0, 430.0, 190.0, 10.0, Section.OPEN, 1.0),
)


@given(st.floats(0, 1))
def test_between_stations_a_rail_is_in_proportion(share: float) -> None:
    found = rail_at(TAPERED, share * 1000.0)
    assert found is not None
    assert (found.height_mm, found.outer_mm) == pytest.approx((200 - 20 * share, 450 - 20 * share), abs=1e-6)


def test_where_the_section_changes_is_not_known_and_beyond_the_ends_nothing_is() -> None:
    middle = rail_at(TAPERED, 2000.0)
    assert middle is not None
    assert middle.section is None
    assert (rail_at(TAPERED, -1.0), rail_at(TAPERED, 3001.0), rail_at((), 0.0)) == (None, None, None)


def test_a_rail_measured_at_one_place_stands_for_its_whole_length() -> None:
    far = rail_at(TAPERED[:1], 2500.0)
    assert far is not None
    assert far.height_mm == 200.0
    assert common_places(TAPERED[:1], TAPERED) == (0.0, 1000.0, 3000.0)
    assert common_places(TAPERED[:2], TAPERED) == (0.0, 1000.0)


def shape(name: str, rail: tuple[RailStation, ...], x: float = 0.0) -> FrameShape:
    """A frame with that rail and two mounts; `x` is where its tape began."""
    mounts = tuple(Mount(f"P{i}", Side.NONE, i * 1000.0 + x, 500.0, 0.0) for i in range(2))
    return FrameShape(name, mounts=mounts, rail=tuple(replace(each, x_mm=each.x_mm + x) for each in rail), datum="P0")


def test_rails_are_compared_where_the_frames_lie_over_each_other() -> None:
    found = compare(shape("a", TAPERED), shape("b", TAPERED, x=-77.0)).rails
    assert sorted({round(rail.x_mm, 6) for rail in found}) == [0.0, 1000.0, 3000.0]
    assert {rail.verdict for rail in found} == {Verdict.SAME}
    assert {rail.what for rail in found} == {"height", "width", "wall", "spread", "top", "bottom", "section"}


def test_how_two_rails_differ_is_said_in_the_trades_words() -> None:
    other = replace(TAPERED[0], height_mm=210.0, outer_mm=440.0, top_mm=210.0, wall_mm=5.5, section=Section.OPEN)
    settings = CompareSettings(unit=LengthUnit.MM)
    found = {rail.what: rail for rail in compare(shape("a", TAPERED[:1]), shape("b", (other,)), settings).rails}
    assert found["height"].words == "height 200.00 against 210.00 mm: 10.00 mm taller"
    assert found["spread"].words == "spread 900.00 against 880.00 mm: 20.00 mm narrower"
    assert found["top"].words == "top 200.00 against 210.00 mm: 10.00 mm up"
    assert found["wall"].verdict is Verdict.DIFFERENT
    assert found["section"].words == "fully boxed against open C-channel"
    assert found["width"].verdict is Verdict.SAME


def test_a_spread_stands_for_both_outer_faces() -> None:
    bare = replace(TAPERED[0], outer_mm=None, height_mm=None)
    shapes = [replace(shape(name, (bare,)), readings=(Reading(Known.SPREAD, 900.0),)) for name in ("a", "b")]
    found = {rail.what: rail for rail in compare(shapes[0], shapes[1]).rails}
    assert (found["spread"].a, found["height"].a) == ("35.4331 in", "7.874 in")
