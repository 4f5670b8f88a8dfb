"""Where things stand on the paper: inside it, apart from one another, and as large as promised."""

import itertools

import pytest
from PIL import Image, ImageChops

import labels
from labels import Record, SizeError, drawing, text
from labels.geometry import LARGE, SIGN, Box, Grid, Paper
from labels.items import Frame, Item, Sign, Square, Strip, Words
from labels.part import CAUTION
from labels.render import render
from tests.labels.samples import HAZARDS, LONGEST_TAG, every_kind, part, place, ticket, vehicle

DPI = (203, 300)


def every_layout() -> list[tuple[Record, str]]:
    records = [
        *every_kind(),
        *every_kind(LONGEST_TAG),
        part(hazards=HAZARDS, copy=2),
        vehicle(warnings=()),
        ticket(void_reason="tare taken with the driver off", manual_entry=True, copy=3),
        ticket(deductions=tuple((f"item {n}", "20") for n in range(30))),
    ]
    return [(record, size) for record in records for size in labels.sizes(type(record))]


def ink(image: Image.Image) -> tuple[int, int, int, int] | None:
    """The smallest rectangle with all the black, in dots."""
    return ImageChops.invert(image.convert("L")).getbbox()


def overlap(one: Box, other: Box) -> bool:
    return (
        min(one.right, other.right) - max(one.left, other.left) > 1e-6
        and min(one.bottom, other.bottom) - max(one.top, other.top) > 1e-6
    )


def signs(items: list[Item], words: str) -> list[Sign]:
    return [item for item in items if isinstance(item, Sign) and item.text == words]


@pytest.mark.parametrize(("record", "size"), every_layout())
def test_everything_lies_inside_the_paper_and_nothing_on_anything_else(record: Record, size: str) -> None:
    paper, items = drawing.lay_out(record, size)
    for item in items:
        assert item.box.left >= 0
        assert item.box.top >= 0
        assert item.box.right <= paper.width
        assert item.box.bottom <= paper.height
    apart = [item for item in items if not isinstance(item, Frame)]
    for one, other in itertools.combinations(apart, 2):
        assert not overlap(one.box, other.box), f"{one} and {other}"
    for frame in (item for item in items if isinstance(item, Frame)):
        for item in apart:
            assert not overlap(frame.box, item.box) or not _touches_outline(frame, item.box)


def _touches_outline(frame: Frame, box: Box) -> bool:
    inner = frame.box.inset(frame.thick)
    return box.left < inner.left or box.top < inner.top or box.right > inner.right or box.bottom > inner.bottom


@pytest.mark.parametrize("dpi", DPI)
@pytest.mark.parametrize(("record", "size"), every_layout())
def test_no_piece_leaves_ink_outside_its_own_box(record: Record, size: str, dpi: int) -> None:
    paper, items = drawing.lay_out(record, size)
    for item in items:
        black = ink(render(paper, [item], dpi))
        if black is None:
            continue
        left, top, right, bottom = Grid(dpi).edges(item.box)
        assert (black[0] >= left, black[1] >= top, black[2] <= right, black[3] <= bottom) == (True,) * 4


@pytest.mark.parametrize(("record", "size"), every_layout())
def test_every_text_box_holds_at_least_one_row_of_the_smallest_letters(record: Record, size: str) -> None:
    _, items = drawing.lay_out(record, size)
    for dpi, item in itertools.product(DPI, items):
        if isinstance(item, Words):
            grid = Grid(dpi)
            least = text.em(grid.dots(item.least))
            assert least * text.PITCH <= grid.dots(item.box.height) + 1, item
            assert grid.dots(item.box.width) >= 4 * text.advance(least), item


@pytest.mark.parametrize("dpi", DPI)
@pytest.mark.parametrize(("record", "size"), every_layout())
def test_modules_and_quiet_zones_are_what_the_standards_ask(record: Record, size: str, dpi: int) -> None:
    # ISO/IEC 18004: 4 blank modules around; ISO/IEC 15417: 10 at each end. 0.75 mm a module is the yard's own.
    paper, items = drawing.lay_out(record, size)
    image = render(paper, items, dpi).convert("L")
    for item in items:
        if isinstance(item, Square):
            _check_square(image, paper, item, dpi)
        elif isinstance(item, Strip):
            _check_strip(image, paper, item, dpi)


def _check_square(image: Image.Image, paper: Paper, item: Square, dpi: int) -> None:
    black = ink(render(paper, [item], dpi))
    assert black is not None
    module = (black[2] - black[0]) // 25
    assert black[2] - black[0] == black[3] - black[1] == 25 * module
    assert module * 25.4 / dpi >= 0.75
    around = (black[0] - 4 * module, black[1] - 4 * module, black[2] + 4 * module, black[3] + 4 * module)
    assert around[0] >= 0
    assert around[1] >= 0
    assert around[2] <= image.width
    assert around[3] <= image.height
    assert ink(image.crop(around)) == (4 * module, 4 * module, 29 * module, 29 * module)


def _check_strip(image: Image.Image, paper: Paper, item: Strip, dpi: int) -> None:
    black = ink(render(paper, [item], dpi))
    assert black is not None
    modules = 11 * (2 + len(item.payload)) + 13
    module = (black[2] - black[0]) // modules
    assert black[2] - black[0] == module * modules
    assert module * 25.4 / dpi >= 0.25
    around = (black[0] - 10 * module, black[1], black[2] + 10 * module, black[3])
    assert around[0] >= 0
    assert around[2] <= image.width
    assert ink(image.crop(around)) == (10 * module, 0, (10 + modules) * module, black[3] - black[1])


@pytest.mark.parametrize("dpi", DPI)
@pytest.mark.parametrize("tag", ["P7K3M9H", "ZW7K3M9HHX"])
def test_number_and_side_of_the_large_label_are_read_from_three_meters(tag: str, dpi: int) -> None:
    # Common practice, no source: letters of distance / 200, so 15 mm at 3 m.
    paper, items = drawing.lay_out(part(tag, side="LH"), LARGE.name)
    for words in (tag, "LH"):
        (sign,) = signs(items, words)
        black = ink(render(paper, [sign], dpi))
        assert black is not None
        assert (black[3] - black[1]) * 25.4 / dpi >= 15.0


@pytest.mark.parametrize("dpi", DPI)
def test_the_place_sign_has_letters_of_50_mm_and_a_square_of_100_mm(dpi: int) -> None:
    paper, items = drawing.lay_out(place(code="A1-2"), SIGN.name)
    (code,) = signs(items, "A1-2")
    letters = ink(render(paper, [code], dpi))
    square = ink(render(paper, [item for item in items if isinstance(item, Square)][:1], dpi))
    assert letters is not None
    assert square is not None
    assert (letters[3] - letters[1]) * 25.4 / dpi >= 50.0
    assert (square[3] - square[1]) * 25.4 / dpi >= 100.0


@pytest.mark.parametrize("size", ["small", "standard", "large"])
def test_the_caution_beside_a_hazard_is_never_shortened(size: str) -> None:
    hazards = ("airbag, live, " * 30,)
    _, items = drawing.lay_out(part(hazards=hazards), size)
    (caution,) = [item for item in items if isinstance(item, Words) and item.text == CAUTION]
    for dpi in DPI:
        grid = Grid(dpi)
        sizes = (text.em(grid.dots(caution.cap)), text.em(grid.dots(caution.least)))
        set_as = text.fit(CAUTION, grid.dots(caution.box.width), grid.dots(caution.box.height), sizes, caution.lines)
        assert set_as.rows == (CAUTION,)


def test_a_part_without_hazards_carries_no_caution() -> None:
    _, items = drawing.lay_out(part(), "large")
    assert not [item for item in items if isinstance(item, Words) and "CAUTION" in item.text]


def test_paper_comes_out_at_its_size_in_dots() -> None:
    # 4 x 6 inches at 203 and 300 dots an inch.
    assert labels.draw(part(), size="large", dpi=203).size == (812, 1218)
    assert labels.draw(part(), size="large", dpi=300).size == (1200, 1800)


def test_an_unknown_size_or_resolution_is_refused_with_the_choices() -> None:
    with pytest.raises(SizeError, match="standard, small, large"):
        labels.draw(part(), size="poster")
    with pytest.raises(SizeError, match="203 or 300"):
        labels.draw(part(), dpi=72)
