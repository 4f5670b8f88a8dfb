"""Lines and marks of a drawing made into dots, on a picture that words are set on as on any label."""

from collections.abc import Sequence
from math import atan2, cos, hypot, pi, sin
from typing import TYPE_CHECKING

from labels.geometry import Grid, Paper
from labels.items import Drawn, Item, Mark, Stroke
from labels.render import BLACK, render

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

_HEAD_ANGLE = pi / 8


def draw(paper: Paper, pieces: Sequence[Drawn], dpi: int) -> "Image":
    """The sheet as a one-bit picture: words first, then lines and marks over them."""
    from PIL import ImageDraw

    words: list[Item] = [piece for piece in pieces if not isinstance(piece, Stroke | Mark)]
    picture = render(paper, words, dpi)
    pen, grid = ImageDraw.Draw(picture), Grid(dpi)
    for piece in pieces:
        if isinstance(piece, Stroke):
            _stroke(pen, grid, piece)
        elif isinstance(piece, Mark):
            _mark(pen, grid, piece)
    return picture


def _stroke(pen: "ImageDraw", grid: Grid, stroke: Stroke) -> None:
    thick = max(1, grid.dots(stroke.thick))
    for start, end in _dashes(stroke):
        pen.line([_dots(grid, start), _dots(grid, end)], fill=BLACK, width=thick)
    if stroke.head:
        (x1, y1), (x2, y2) = stroke.start, stroke.end
        back = atan2(y1 - y2, x1 - x2)
        for turn in (-_HEAD_ANGLE, _HEAD_ANGLE):
            barb = (x2 + stroke.head * cos(back + turn), y2 + stroke.head * sin(back + turn))
            pen.line([_dots(grid, stroke.end), _dots(grid, barb)], fill=BLACK, width=thick)


def _dashes(stroke: Stroke) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    (x1, y1), (x2, y2) = stroke.start, stroke.end
    length = hypot(x2 - x1, y2 - y1)
    if not stroke.dash or length == 0:
        return [(stroke.start, stroke.end)]

    def at(far: float) -> tuple[float, float]:
        share = min(far, length) / length
        return x1 + (x2 - x1) * share, y1 + (y2 - y1) * share

    count = int(length / (2 * stroke.dash)) + 1
    return [(at(2 * n * stroke.dash), at((2 * n + 1) * stroke.dash)) for n in range(count)]


def _mark(pen: "ImageDraw", grid: Grid, mark: Mark) -> None:
    x, y = _dots(grid, mark.at)
    half = max(2, grid.dots(mark.size / 2))
    thick = max(1, grid.dots(0.3))
    if mark.kind == "cross":
        pen.line([(x - half, y - half), (x + half, y + half)], fill=BLACK, width=thick)
        pen.line([(x - half, y + half), (x + half, y - half)], fill=BLACK, width=thick)
    else:
        inside = BLACK if mark.kind == "dot" else None
        pen.ellipse((x - half, y - half, x + half, y + half), outline=BLACK, fill=inside, width=thick)


def _dots(grid: Grid, at: tuple[float, float]) -> tuple[int, int]:
    return grid.dots(at[0]), grid.dots(at[1])
