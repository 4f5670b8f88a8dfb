"""Pieces in millimeters made into dots: black on white, one bit a dot, as a thermal printer has it."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from labels import code128, qr, text
from labels.geometry import Grid, Paper
from labels.items import Align, Frame, Item, Rule, Sign, Square, Strip, Words

if TYPE_CHECKING:
    from PIL.Image import Image

BLACK, WHITE = 0, 1
NARROWEST = 0.72
"""How narrow big letters are set, of their natural width, before they are made smaller."""
LEAST_SIGN = 0.35
"""How small a sign's letters get, of the size asked for, before an ellipsis ends them."""


def render(paper: Paper, items: Sequence[Item], dpi: int) -> "Image":
    """The finished label, mode "1", at `dpi` dots an inch."""
    from PIL import Image

    grid = Grid(dpi)
    image = Image.new("1", (grid.dots(paper.width), grid.dots(paper.height)), WHITE)
    codes: dict[str, Image.Image] = {}
    for item in items:
        match item:
            case Words():
                _words(image, grid, item)
            case Sign():
                _sign(image, grid, item)
            case Square():
                code = codes.get(item.payload) or _qr_modules(item.payload)
                codes[item.payload] = code
                _square(image, grid, item, code)
            case Strip():
                _strip(image, grid, item)
            case Rule():
                image.paste(BLACK, grid.edges(item.box))
            case Frame():
                image.paste(BLACK, grid.edges(item.box))
                image.paste(WHITE, grid.edges(item.box.inset(item.thick)))
    return image


def _start(align: Align, room: int, used: int) -> int:
    """Where a row of `used` dots begins in `room` dots."""
    return {"left": 0, "center": (room - used) // 2, "right": room - used}[align]


def _words(image: "Image", grid: Grid, item: Words) -> None:
    """Set the rows on a slip as large as the box, so that nothing can reach outside it."""
    from PIL import Image, ImageDraw

    left, top, right, bottom = grid.edges(item.box)
    width, height = right - left, bottom - top
    sizes = (text.em(grid.dots(item.cap)), text.em(grid.dots(item.least)))
    setting = text.fit(item.text, width, height, sizes, item.lines)
    slip = Image.new("1", (width, height), WHITE)
    draw = ImageDraw.Draw(slip)
    draw.fontmode = "1"
    spare = max(0, height - setting.pitch) // 2 if item.lines == 1 else 0
    baseline = spare + round(setting.size * 0.95)
    for row in setting.rows:
        start = _start(item.align, width, len(row) * text.advance(setting.size))
        draw.text((start, baseline), row, BLACK, font=text.font(setting.size), anchor="ls")
        baseline += setting.pitch
    image.paste(slip, (left, top))


def _sign(image: "Image", grid: Grid, item: Sign) -> None:
    """Set one line: first narrower, then smaller, then shortened."""
    from PIL import Image, ImageDraw

    left, top, right, bottom = grid.edges(item.box)
    width, height = right - left, bottom - top
    words = text.plain(item.text)
    if not words:
        return
    size, words = _sign_size(words, width, text.em(grid.dots(item.cap)))
    letters = text.font(size)
    first, _, last, _ = (int(edge) for edge in letters.getbbox(words, anchor="ls"))
    slip = Image.new("L", (max(1, last - first), height), 255)
    cap = -letters.getbbox("H", anchor="ls")[1]
    baseline = round(cap + (height - cap) * 0.4)
    ImageDraw.Draw(slip).text((-first, baseline), words, 0, font=letters, anchor="ls")
    if slip.width > width:
        slip = slip.resize((width, height), Image.Resampling.BOX)
    start = _start(item.align, width, slip.width)
    image.paste(slip.point([0] * 128 + [255] * 128, "1"), (left + start, top))


def _sign_size(words: str, width: int, largest: int) -> tuple[int, str]:
    """Dots an em, and the words, shortened only if even the least size is too wide."""
    size, least = largest, max(4, int(largest * LEAST_SIGN))
    while size > least and len(words) * text.advance(size) * NARROWEST > width:
        size -= 1
    columns = int(width / (text.advance(size) * NARROWEST))
    return size, text.shorten(text.wrap(words, max(1, columns)), 1, max(1, columns))[0]


def _qr_modules(payload: str) -> "Image":
    """The symbol with its quiet zone at one dot a module."""
    from PIL import Image

    quiet = bytes([255]) * qr.QUIET
    rows = [quiet + bytes(0 if black else 255 for black in row) + quiet for row in qr.matrix(payload)]
    blank = [bytes([255]) * qr.SIDE] * qr.QUIET
    return Image.frombytes("L", (qr.SIDE, qr.SIDE), b"".join([*blank, *rows, *blank])).convert("1")


def _square(image: "Image", grid: Grid, item: Square, code: "Image") -> None:
    from PIL import Image

    left, top, right, bottom = grid.edges(item.box)
    dots = qr.module_dots(min(right - left, bottom - top), grid.dpi)
    side = dots * qr.SIDE
    symbol = code.resize((side, side), Image.Resampling.NEAREST)
    image.paste(symbol, (left + (right - left - side) // 2, top + (bottom - top - side) // 2))


def _strip(image: "Image", grid: Grid, item: Strip) -> None:
    left, top, right, bottom = grid.edges(item.box)
    pattern = code128.modules(item.payload)
    dots = code128.module_dots(right - left, pattern, grid.dpi)
    x = left + (right - left - dots * len(pattern)) // 2
    for module in pattern:
        if module == "1":
            image.paste(BLACK, (x, top, x + dots, bottom))
        x += dots
