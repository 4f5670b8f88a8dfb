"""Load a yard's folder of CSV files into a new book, ask in a customer's words, print the graded answer.

    python examples/load_and_ask.py [FOLDER] [WORDS...]

Without a folder the invented demo yard is written out as one first, so that there is something to load.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from app.book.asking import ask
from app.book.sheets import dump_folder, load_folder
from app.book.work import Who, open_book
from seed_demo import build

WORDS = "08 hestrow half ton lca rh"


def demo_folder(near: Path) -> Path:
    """The demo yard as a CSV folder."""
    build(str(near / "demo.book"))
    book, folder = open_book(str(near / "demo.book")), near / "folder"
    dump_folder(book, folder)
    book.close()
    return folder


def main(words: list[str]) -> None:
    """Load, ask, print."""
    with tempfile.TemporaryDirectory() as near:
        folder = Path(words[0]) if words else demo_folder(Path(near))
        book, who = open_book(str(Path(near) / "yard.book")), Who("C1", seat="counter 1")
        report = load_folder(book, who, folder)
        print(f"{report.added} rows loaded")
        answer = ask(book, who, " ".join(words[1:]) or WORDS)
        print("understood:", ", ".join(f"{chip.field} {chip.value}" for chip in answer.asked.chips))
        for question in answer.questions:
            print(f"ask: {question.words} ({' / '.join(question.choices)})")
        for line in answer.answers[:5]:
            print(f"{line.grade.said:14} {line.price_cents / 100:8.2f}  {' + '.join(line.tags)}: {line.say}")
        print(f"{answer.counted[1]} to offer, {len(answer.do_not_sell)} that won't fit")
        book.close()


if __name__ == "__main__":
    main(sys.argv[1:])
