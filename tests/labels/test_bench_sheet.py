"""The bench's sheets: everything on the paper, to scale, and both frames told apart without a color."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest
from PIL import Image, ImageChops

import labels
from labels import BenchSheet, SheetArrow, SheetPoint, SheetRail, bench
from labels.items import Mark, Stroke, Words

NAMES = ("M1 core support", "M2 cowl", "M3 front floor", "M4 rear floor", "M5 kick-up", "M6 tail")


def frame(*places: tuple[float, float, float]) -> tuple[SheetPoint, ...]:
    """Mounts on both sides from inches."""
    return tuple(
        SheetPoint(name, x * 25.4, side * y * 25.4, z * 25.4)
        for name, (x, y, z) in zip(NAMES, places, strict=False)
        for side in (-1, 1)
    )


LIGHT = frame((0, 18.5, 0), (38, 21.75, 0), (66.5, 22, 0), (99, 22, 0), (128.5, 20.25, 0), (163.25, 18.75, 0))
HEAVY = frame(
    (-1.5, 19.75, 0.4), (38, 21.75, 0), (66.55, 22.06, 0), (99.06, 22, 0), (131, 20.25, 0.75), (163.25, 20, 0.3)
)


def sheet(**other: object) -> BenchSheet:
    """The comparison of two frames."""
    words: dict[str, object] = {
        "title": "light boxed and heavy open",
        "headline": "6 of 12 mounts line up",
        "first": "light boxed",
        "second": "heavy open",
        "first_points": LIGHT,
        "second_points": HEAVY,
        "first_rail": SheetRail(0, 4146, 457, 74, -23, 157),
        "second_rail": SheetRail(0, 4146, 467, 71),
        "head": ("mount", "verdict", "how it is off"),
        "rows": tuple((name, "lines up", "") for name in NAMES),
        "notes": ("body shell: fits with work",),
        "footer": ("Structural welding: certified welder, under local rules.",),
        "date": "4 Mar 2026",
        "yard": "Quarry Road Yard",
    }
    return BenchSheet(**(words | other))  # type: ignore[arg-type]


SHEETS = {
    "comparison": sheet(),
    "damage": sheet(arrows=(SheetArrow(LIGHT[0], 5, 10, 0),), magnified=10, head=("", "", "")),
    "many mounts": sheet(rows=tuple((f"M{n} a mount", "does not line up", "1.25 in outboard") for n in range(40))),
    "long words": sheet(title="w" * 90, headline="words " * 90, notes=("words " * 300,) * 3),
    "one mount": sheet(first_points=LIGHT[:1], second_points=()),
    "no mounts": sheet(first_points=(), second_points=(), first_rail=None, second_rail=None),
}


@pytest.mark.parametrize("name", SHEETS)
def test_everything_lies_on_the_paper(name: str) -> None:
    paper = bench.SHEET
    for piece in bench.compose(SHEETS[name]):
        if isinstance(piece, Stroke):
            corners = (piece.start, piece.end)
        elif isinstance(piece, Mark):
            corners = ((piece.at[0] - piece.size / 2, piece.at[1]), (piece.at[0] + piece.size / 2, piece.at[1]))
        else:
            corners = ((piece.box.left, piece.box.top), (piece.box.right, piece.box.bottom))
        for x, y in corners:
            assert 0 <= x <= paper.width, piece
            assert 0 <= y <= paper.height, piece


@pytest.mark.parametrize("name", ["comparison", "many mounts", "long words"])
def test_no_words_lie_on_other_words(name: str) -> None:
    boxes = [piece.box for piece in bench.compose(SHEETS[name]) if isinstance(piece, Words)]
    for one, other in itertools.combinations(boxes, 2):
        wide = min(one.right, other.right) - max(one.left, other.left)
        high = min(one.bottom, other.bottom) - max(one.top, other.top)
        assert min(wide, high) <= 0.6, (one, other)


def test_marks_are_to_scale_on_both_axes_and_tell_first_second_and_both() -> None:
    marks = [piece for piece in bench.compose(sheet()) if isinstance(piece, Mark)]
    # The plan comes first, mount by mount and side by side: 163.25 in along, 37.00 across at the front.
    front, beside, tail = marks[0].at, marks[1].at, marks[10].at
    assert (tail[0] - front[0]) / abs(beside[1] - front[1]) == pytest.approx(163.25 / 37.0, rel=1e-6)
    kinds = [mark.kind for mark in marks]
    assert {"ring", "cross", "dot"} == set(kinds)
    assert kinds.count("dot") >= 6, "M2, M3 and M4 of both sides"


def test_the_right_side_is_above_where_the_front_is_at_the_left() -> None:
    alone = sheet(first_points=(SheetPoint("M2", 0, 500, 0), SheetPoint("M3", 1000, -500, 0)), second_points=())
    marks = [piece.at for piece in bench.compose(alone) if isinstance(piece, Mark)][:2]
    assert marks[0][0] < marks[1][0]
    assert marks[0][1] < marks[1][1]


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize("suffix", [".png", ".pdf"])
def test_a_sheet_is_saved_at_letter_size(name: str, suffix: str, tmp_path: Path) -> None:
    picture = labels.draw_sheet(SHEETS[name], dpi=203)
    assert ImageChops.invert(picture.convert("L")).getbbox() is not None
    file = labels.save(picture, tmp_path / f"sheet{suffix}", 203)
    if suffix == ".png":
        with Image.open(file) as read:
            assert (read.width / 203, read.height / 203) == pytest.approx((11.0, 8.5), abs=0.01)
    else:
        assert file.read_bytes().startswith(b"%PDF")
