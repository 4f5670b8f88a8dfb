"""Two frames drawn over each other in characters, from above and from the side, to scale and without colors."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

ROW_PER_COLUMN = 2.0
"""A character is about twice as high as wide."""
RING, CROSS, BOTH = "○", "×", "●"
LINE_A, LINE_B = "─", "┄"
MIDLINE = "·"


@dataclass(frozen=True, slots=True)
class Spot:
    """A mount in millimeters: rearward, to the right as seated, up."""

    x: float
    y: float
    z: float


@dataclass(frozen=True, slots=True)
class Bar:
    """A rail's lines in millimeters, from front to rear: faces from the centerline, edges up where known."""

    start: float
    end: float
    faces: tuple[float, ...]
    edges: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Scene:
    """What is drawn: the first frame's mounts and rail and the second's; `at` is the mount under the cursor."""

    first: tuple[Spot, ...]
    second: tuple[Spot, ...]
    first_bar: Bar | None = None
    second_bar: Bar | None = None
    at: Spot | None = None
    zoom: float = 1.0


@dataclass(frozen=True, slots=True)
class Window:
    """Which millimeters a grid of characters shows: its left edge, its top edge, and millimeters a column."""

    columns: int
    rows: int
    left: float
    top: float
    per_column: float

    @property
    def per_row(self) -> float:
        """Millimeters a row."""
        return self.per_column * ROW_PER_COLUMN

    def cell(self, x: float, up: float) -> tuple[int, int] | None:
        """Row and column of a place; None outside."""
        column = round((x - self.left) / self.per_column)
        row = round((self.top - up) / self.per_row)
        return (row, column) if 0 <= column < self.columns and 0 <= row < self.rows else None


def scale_of(scene: Scene, columns: int, rows: int) -> float:
    """Millimeters a column, so that the plan fits at no zoom."""
    spots = (*scene.first, *scene.second)
    if not spots:
        return 1.0
    long = max(each.x for each in spots) - min(each.x for each in spots)
    wide = 2 * max(abs(each.y) for each in spots)
    return max(long / max(columns - 3, 1), wide / (max(rows - 1, 1) * ROW_PER_COLUMN), 0.1) / scene.zoom


def plan(scene: Scene, columns: int, rows: int) -> list[str]:
    """From above, the front to the left and the right side up."""
    per_column = scale_of(scene, columns, rows)
    window = _window(scene, columns, rows, per_column, scene.at.y if scene.at and scene.zoom > 1 else 0.0)
    grid = _Grid(window)
    grid.line(window.left, window.left + columns * per_column, 0.0, MIDLINE)
    for bar, mark in ((scene.second_bar, LINE_B), (scene.first_bar, LINE_A)):
        for face in bar.faces if bar else ():
            for side in (-1, 1):
                assert bar is not None
                grid.line(bar.start, bar.end, side * face, mark)
    grid.marks([(each.x, each.y) for each in scene.first], [(each.x, each.y) for each in scene.second])
    return grid.rows()


def side(scene: Scene, columns: int, rows: int, per_column: float) -> list[str]:
    """From the left, at the scale of the plan."""
    spots = (*scene.first, *scene.second)
    edges = [edge for bar in (scene.first_bar, scene.second_bar) if bar for edge in bar.edges]
    heights = [*(each.z for each in spots), *edges] or [0.0]
    middle = scene.at.z if scene.at and scene.zoom > 1 else (max(heights) + min(heights)) / 2
    window = _window(scene, columns, rows, per_column, middle)
    grid = _Grid(window)
    grid.line(window.left, window.left + columns * per_column, 0.0, MIDLINE)
    for bar, mark in ((scene.second_bar, LINE_B), (scene.first_bar, LINE_A)):
        for edge in bar.edges if bar else ():
            assert bar is not None
            grid.line(bar.start, bar.end, edge, mark)
    grid.marks([(each.x, each.z) for each in scene.first], [(each.x, each.z) for each in scene.second])
    return grid.rows()


def _window(scene: Scene, columns: int, rows: int, per_column: float, middle: float) -> Window:
    spots = (*scene.first, *scene.second)
    xs = [each.x for each in spots] or [0.0]
    center = scene.at.x if scene.at and scene.zoom > 1 else (min(xs) + max(xs)) / 2
    top = middle + (rows - 1) / 2 * per_column * ROW_PER_COLUMN
    return Window(columns, rows, center - (columns - 1) / 2 * per_column, top, per_column)


class _Grid:
    """Characters that lines and marks are put on; marks cover lines."""

    def __init__(self, window: Window) -> None:
        self.window = window
        self.cells = [[" "] * window.columns for _ in range(window.rows)]

    def line(self, start: float, end: float, up: float, mark: str) -> None:
        """A line along the truck, over whatever is blank."""
        window = self.window
        first = max(0, round((start - window.left) / window.per_column))
        last = min(window.columns - 1, round((end - window.left) / window.per_column))
        row = round((window.top - up) / window.per_row)
        if 0 <= row < window.rows:
            for column in range(first, last + 1):
                if self.cells[row][column] in (" ", MIDLINE, LINE_B):
                    self.cells[row][column] = mark

    def marks(self, first: Iterable[tuple[float, float]], second: Iterable[tuple[float, float]]) -> None:
        """The mounts of both; where two fall on one character, the mark of both."""
        rings = {cell for at in first if (cell := self.window.cell(*at)) is not None}
        crosses = {cell for at in second if (cell := self.window.cell(*at)) is not None}
        for row, column in rings | crosses:
            both = (row, column) in rings and (row, column) in crosses
            self.cells[row][column] = BOTH if both else RING if (row, column) in rings else CROSS

    def rows(self) -> list[str]:
        """The grid as lines."""
        return ["".join(row) for row in self.cells]


def cursor(scene: Scene, columns: int, rows: int) -> tuple[int, int] | None:
    """Row and column of the mount under the cursor on the plan."""
    if scene.at is None:
        return None
    per_column = scale_of(scene, columns, rows)
    middle = scene.at.y if scene.zoom > 1 else 0.0
    return _window(scene, columns, rows, per_column, middle).cell(scene.at.x, scene.at.y)


def names_line(scene: Scene, columns: int, rows: int, named: Sequence[tuple[str, float]]) -> str:
    """Mounts' short names over their places along the truck, as many as do not touch."""
    per_column = scale_of(scene, columns, rows)
    window = _window(scene, columns, rows, per_column, 0.0)
    line = [" "] * columns
    free = 0
    for name, x in sorted(named, key=lambda each: each[1]):
        start = round((x - window.left) / per_column) - len(name) // 2
        start = min(max(start, 0), columns - len(name)) if window.cell(x, 0.0) else -1
        if start >= free:
            line[start : start + len(name)] = name
            free = start + len(name) + 1
    return "".join(line).rstrip()
