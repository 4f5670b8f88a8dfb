"""Bolt circles from any chord, and sizes against a short list."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.fit.lookalikes.circles import Found, among, chord_of, circle_from_chord
from app.fit.lookalikes.readings import LookalikeError, Size

INCH = 25.4
studs = st.integers(2, 24).flatmap(lambda n: st.tuples(st.just(n), st.integers(1, n // 2)))


@given(studs, st.floats(50, 400), st.floats(0, 3))
def test_any_stud_count_goes_there_and_back(counted: tuple[int, int], circle: float, u: float) -> None:
    n, apart = counted
    found = circle_from_chord(Size(chord_of(circle, n, apart), u), n, apart)
    assert found.circle.size.mm == pytest.approx(circle)
    assert found.circle.size.u_mm >= u


def test_opposite_studs_are_the_circle_itself() -> None:
    assert chord_of(165.1, 8, 4) == pytest.approx(165.1)
    assert chord_of(165.1, 2) == pytest.approx(165.1)


def test_a_coarse_chord_leaves_two_circles_and_says_how_to_tell() -> None:
    found = circle_from_chord(Size(chord_of(117.5, 5), 3.0), 5)
    assert found.circle.found is Found.SEVERAL
    assert found.circle.names == ("4.5 in", "4.75 in")
    assert "measure 2 places apart instead" in found.words


def test_a_chord_of_no_named_circle_names_the_nearest_and_picks_none() -> None:
    found = circle_from_chord(Size(chord_of(150, 6), 0.5), 6)
    assert (found.circle.found, found.circle.names, found.circle.nearest) == (Found.NONE, (), "5.5 in")
    assert "misread" in found.words


@pytest.mark.parametrize(
    ("studs", "apart", "place"), [(1, 1, "studs"), (25, 1, "studs"), (5, 3, "apart"), (5, 0, "apart")]
)
def test_studs_that_make_no_circle_are_refused(studs: int, apart: int, place: str) -> None:
    with pytest.raises(LookalikeError) as caught:
        circle_from_chord(Size(67, 1), studs, apart)
    assert caught.value.place == place


def test_spring_wire_by_caliper_is_one_of_two_and_by_tape_is_not() -> None:
    wires = {"standard": 0.620 * INCH, "towing": 0.660 * INCH}
    assert among(Size(0.658 * INCH, 0.005 * INCH), wires).names == ("towing",)
    assert among(Size(0.640 * INCH, INCH / 16), wires).found is Found.SEVERAL
    assert among(Size(0.640 * INCH, 0.005 * INCH), wires).found is Found.NONE


def test_an_empty_list_is_refused() -> None:
    with pytest.raises(LookalikeError):
        among(Size(10), {})
