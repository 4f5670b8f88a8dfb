"""Take pictures of every seat over the demo yard, as the README shows them.

    python examples/pictures.py [FOLDER] [SEAT...]

It runs without a terminal, at 80 columns by 24 rows and the floor at 40 by 16; pictures go beside this file.
Where `rsvg-convert` is found (and the font Fira Code with it) they are PNG, else SVG.
"""

from __future__ import annotations

import asyncio
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from app.book.work import Book, open_book
from app.screens.app import Donorbook
from seed_demo import build

TWO_FRAMES = ("end", "space", "up", "space", "c")
SEATS: dict[str, tuple[str, str, str | tuple[str, ...]]] = {
    "chooser": ("", "OW", ""), "intake": ("intake", "IN", ""), "floor": ("floor", "P1", ""),
    "counter": ("counter", "C1", "07 gavlock half ton hub lh"), "scale": ("scale", "SC", ""),
    "office": ("office", "OW", ""), "bench": ("bench", "IN", ""), "compare": ("bench", "IN", TWO_FRAMES),
}  # fmt: skip
COLUMN = 12.2


def plain(svg: str) -> str:
    """The screen alone: no window around it, no font from elsewhere, leading blanks as a place to start at."""
    svg = re.sub(r"@font-face \{.*?\}", "", svg, flags=re.DOTALL)
    svg = re.sub(r"<circle[^>]*/>|<text[^>]*title[^>]*>[^<]*</text>", "", svg)
    width, height = re.findall(r"terminal\">\s*<rect x=\"0\" y=\"0\" width=\"([\d.]+)\" height=\"([\d.]+)\"", svg)[0]
    svg = re.sub(r'viewBox="[^"]*"', f'viewBox="9 41 {width} {height}"', svg, count=1)
    return re.sub(r'x="([\d.]+)"([^>]*)textLength="([\d.]+)"([^>]*)>((?:&#160;)+)', _moved, svg)


def _moved(found: re.Match[str]) -> str:
    blanks = found[5].count("&#160;") * COLUMN
    return f'x="{float(found[1]) + blanks}"{found[2]}textLength="{float(found[3]) - blanks}"{found[4]}>'


async def picture(book: Book, name: str, folder: Path) -> Path:
    """One seat's screen as it stands after the keys typed there."""
    seat, by, typed = SEATS[name]
    app = Donorbook(book, seat or None, by)
    async with app.run_test(size=(40, 16) if name == "floor" else (80, 24)) as pilot:
        await pilot.pause(0.3)
        await pilot.press(*("space" if key == " " else key for key in typed))
        await pilot.pause(0.5)
        await app.workers.wait_for_complete()
        await pilot.pause()
        drawn = folder / f"{name}.svg"
        drawn.write_text(plain(app.export_screenshot()), encoding="utf-8")
    if convert := shutil.which("rsvg-convert"):
        subprocess.run([convert, "-z", "1.1", "-o", str(drawn.with_suffix(".png")), str(drawn)], check=True)
        drawn.unlink()
        return drawn.with_suffix(".png")
    return drawn


def main(words: list[str]) -> None:
    """Take the pictures and say where they are."""
    folder = Path(words[0] if words else Path(__file__).parent / "pictures")
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as near:
        build(str(Path(near) / "demo.book"))
        book = open_book(str(Path(near) / "demo.book"))
        for name in words[1:] or SEATS:
            print(f"{name}: {asyncio.run(picture(book, name, folder))}")
        book.close()


if __name__ == "__main__":
    main(sys.argv[1:])
