"""Take pictures of every seat over the demo yard: SVG, and PNG where `rsvg-convert` is found.

    python examples/pictures.py [FOLDER] [SEAT...]

It runs without a terminal, at 80 columns by 24 rows and the floor at 40 by 16; pictures go beside this file.
"""

from __future__ import annotations

import asyncio
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from app.book.work import Book, open_book
from app.screens.app import Donorbook
from seed_demo import build

SEATS = {
    "chooser": ("", "OW", ""), "intake": ("intake", "IN", ""), "floor": ("floor", "P1", ""),
    "counter": ("counter", "C1", "08 hestrow half ton lca rh"), "scale": ("scale", "SC", ""),
    "office": ("office", "OW", ""), "bench": ("bench", "IN", ""),
}  # fmt: skip


async def picture(book: Book, name: str, folder: Path) -> Path:
    """One seat's screen as it stands after what is typed there."""
    seat, by, typed = SEATS[name]
    app = Donorbook(book, seat or None, by)
    async with app.run_test(size=(40, 16) if name == "floor" else (80, 24)) as pilot:
        await pilot.press(*("space" if key == " " else key for key in typed))
        await pilot.pause(0.5)
        await app.workers.wait_for_complete()
        await pilot.pause()
        return Path(app.save_screenshot(f"{name}.svg", str(folder)))


def main(words: list[str]) -> None:
    """Take the pictures and say where they are."""
    folder = Path(words[0] if words else Path(__file__).parent / "pictures")
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as near:
        build(str(Path(near) / "demo.book"))
        book = open_book(str(Path(near) / "demo.book"))
        for name in words[1:] or SEATS:
            drawn = asyncio.run(picture(book, name, folder))
            if convert := shutil.which("rsvg-convert"):
                subprocess.run([convert, "-z", "1.2", "-o", str(drawn.with_suffix(".png")), str(drawn)], check=True)
            print(f"{name}: {drawn}")
        book.close()


if __name__ == "__main__":
    main(sys.argv[1:])
