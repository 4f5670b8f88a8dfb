"""Frames drawn in characters: to scale, the right way up, and readable without a color."""

from __future__ import annotations

from collections.abc import Sequence

from hypothesis import given
from hypothesis import strategies as st

from app.screens.bench_drawing import BOTH, CROSS, RING, Bar, Scene, Spot, cursor, names_line, plan, scale_of, side

INCH = 25.4
LIGHT = [(0, 18.5, 0), (38, 21.75, 0), (66.5, 22, 0), (99, 22, 0), (128.5, 20.25, 0), (163.25, 18.75, 0)]
HEAVY = [(-1.5, 19.75, 0.4), (38, 21.75, 0), (66.55, 22.06, 0), (99.06, 22, 0), (131, 20.25, 0.75), (163.25, 20, 0.3)]


def spots(places: Sequence[tuple[float, float, float]]) -> tuple[Spot, ...]:
    """Both sides in millimeters."""
    return tuple(Spot(x * INCH, way * y * INCH, z * INCH) for x, y, z in places for way in (-1, 1))


SCENE = Scene(spots(LIGHT), spots(HEAVY), Bar(0, 4146, (457, 383)), Bar(0, 4146, (467, 396)))


def found(rows: list[str], mark: str) -> list[tuple[int, int]]:
    """Row and column of every mark."""
    return [(row, column) for row, line in enumerate(rows) for column, letter in enumerate(line) if letter == mark]


def test_the_plan_tells_first_second_and_both_by_marks_alone() -> None:
    rows = plan(SCENE, 78, 11)
    assert len(found(rows, BOTH)) == 6, "M2, M3 and M4 of both sides"
    assert len(found(rows, RING)) == 6
    assert len(found(rows, CROSS)) == 6
    assert len(rows) == 11
    assert {len(row) for row in rows} == {78}


def test_the_plan_is_to_scale_within_a_character() -> None:
    rows = plan(Scene(SCENE.first, ()), 78, 11)
    per_column = scale_of(Scene(SCENE.first, ()), 78, 11)
    marks = found(rows, RING)
    along = (max(c for _, c in marks) - min(c for _, c in marks)) * per_column
    across = (max(r for r, _ in marks) - min(r for r, _ in marks)) * per_column * 2
    assert abs(along - 163.25 * INCH) <= per_column
    assert abs(across - 44 * INCH) <= 2 * per_column


def test_the_right_side_is_above_and_the_front_at_the_left() -> None:
    rows = plan(Scene((Spot(0, 500, 0), Spot(1000, -500, 0)), ()), 40, 9)
    (first, second) = found(rows, RING)
    assert first[0] < second[0]
    assert first[1] < second[1]


def test_closer_by_zoom_about_the_mount_under_the_cursor() -> None:
    at = SCENE.first[8]
    near = Scene(SCENE.first, SCENE.second, at=at, zoom=8.0)
    assert scale_of(near, 78, 11) * 8 == scale_of(SCENE, 78, 11)
    row_column = cursor(near, 78, 11)
    assert row_column is not None
    assert plan(near, 78, 11)[row_column[0]][row_column[1]] in (RING, BOTH)


def test_heights_show_in_the_side_view_at_the_scale_of_the_plan() -> None:
    high = Scene((Spot(0, 500, 0), Spot(1000, 500, 300)), ())
    rows = side(high, 40, 5, 75.0)
    (up, _), (down, _) = sorted(found(rows, RING))
    assert down - up == 2, "300 mm at 150 mm a row"


def test_names_stand_over_their_mounts_and_never_on_each_other() -> None:
    line = names_line(SCENE, 78, 11, [("M1", 0), ("M2", 38 * INCH), ("M2b", 39 * INCH), ("M6", 163.25 * INCH)])
    assert line.split() == ["M1", "M2", "M6"]


@given(
    st.lists(st.tuples(st.floats(-1e4, 1e4), st.floats(-2e3, 2e3), st.floats(-1e3, 1e3)), max_size=8),
    st.integers(20, 120),
    st.integers(3, 20),
    st.floats(1, 32),
)
def test_whatever_was_measured_is_drawn_within_its_grid(
    places: list[tuple[float, float, float]], columns: int, rows: int, zoom: float
) -> None:
    drawn = tuple(Spot(*place) for place in places)
    scene = Scene(drawn, drawn[::2], at=drawn[0] if drawn else None, zoom=zoom)
    lines = plan(scene, columns, rows)
    assert [len(line) for line in lines] == [columns] * rows
    if zoom == 1.0:
        assert found(lines, RING) or found(lines, BOTH) or not drawn
    assert len(side(scene, columns, 3, scale_of(scene, columns, rows))) == 3
