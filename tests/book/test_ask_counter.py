"""Lines as they are said over the counter and the phone, of four yards, each understood as was written down by hand.

The lines stand in `counter_lines.toml`. The manner of speaking is common practice, no source.
"""

from __future__ import annotations

import random
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from app.book.asking import heard_beside
from app.book.knowing import knowing
from app.book.sheets import load_folder
from app.book.words.buildtime import MONTH_WORDS
from app.book.words.everyday import FILLER, STICKERS
from app.book.words.spoken import heard
from app.book.words.understanding import understand
from app.book.work import Book, Who, open_book
from app.fit.answers import Asked

C1 = Who("C1", seat="counter")
HERE = Path(__file__).parents[1]
YARDS = {
    "casebook": HERE / "casebook",
    "second_yard": HERE / "second_yard",
    "third_yard": HERE / "third_yard",
    "fourth_yard": HERE / "fourth_yard",
    "fifth_yard": HERE / "fifth_yard",
    "sixth_yard": HERE / "sixth_yard",
    "demo": HERE.parent / "seed_demo" / "data",
}
LINES = tomllib.loads((Path(__file__).parent / "counter_lines.toml").read_text(encoding="utf-8"))["line"]


@pytest.fixture(scope="module")
def yards(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[[str], Book]]:
    made: dict[str, Book] = {}

    def of(name: str) -> Book:
        if name not in made:
            made[name] = open_book(str(tmp_path_factory.mktemp(name) / "yard.book"))
            load_folder(made[name], C1, YARDS[name])
        return made[name]

    yield of
    for book in made.values():
        book.close()


def understood(asked: Asked) -> dict[str, Any]:
    return {
        "side": str(asked.side),
        "years": sorted(asked.said_years),
        "models": sorted(asked.models),
        "facts": dict(asked.facts),
        "wants": list(asked.wants),
        "pieces": asked.quantity or 0,
        "built": asked.built or "",
        "left": list(asked.not_understood),
        "back": asked.meanings[0].said if asked.meanings else "",
        "shown": sorted({chip.field for chip in asked.chips} & {"phone", "order", "off"}),
    }


NOTHING = understood(Asked(""))


@pytest.mark.parametrize("line", LINES, ids=lambda each: f"{each['yard']}: {each['says']}")
def test_a_line_is_understood_as_it_was_meant(yards: Callable[[str], Book], line: dict[str, Any]) -> None:
    with yards(line["yard"]).read() as session:
        known = knowing(session)
        asked = heard_beside(session, known, line["says"])
        wider = known.vocabulary.wider
    parts = [kind for name in line.get("parts", []) for kind in wider.get(name, (name,))]
    assert sorted(asked.part_types) == sorted(parts)
    assert understood(asked) == {name: line.get(name, nothing) for name, nothing in NOTHING.items()}


SAID_TOO = """under over 200 150 26 gal 12.0 145 no not without yes the cheapest two three hundred thousand and a
    or for my off out of it's '07 08 2007 maybe either early late left right rh both pair today now zonk 555-0142
    812 555 2008 long short front rear upper plant K built 05/07 3/14/07 x4 13 in inch 1/2 3 5/8 by on at least up
    to or less more than water pump driver""".split()
UNSAID = FILLER | MONTH_WORDS | {"$", "+", "w/"} | {word for said in STICKERS for word in said.split()}
"""What need not be shown: words that say nothing, marks, and where a date was read."""


@pytest.mark.parametrize("yard", YARDS)
def test_no_word_and_no_figure_is_dropped_silently(yards: Callable[[str], Book], yard: str) -> None:
    """In any order, and with others thrown in, each is shown as something or as not understood."""
    chosen = random.Random(11)
    lines = [line["says"].split() for line in LINES if line["yard"] == yard]
    with yards(yard).read() as session:
        vocabulary = knowing(session).vocabulary
    for _ in range(1500):
        mixed = list(chosen.choice(lines))
        if chosen.random() < 0.5:
            chosen.shuffle(mixed)
        for _ in range(chosen.randrange(4)):
            mixed.insert(chosen.randrange(len(mixed) + 1), chosen.choice(SAID_TOO))
        line = " ".join(mixed)
        asked = understand(line, vocabulary).asked
        told = [*(chip.said for chip in asked.chips), *(each.said for each in asked.meanings), *asked.not_understood]
        shown = set(" ".join(told).split())
        words = heard(line, vocabulary)
        saying = {said for said, meant in zip(words.said, words.meant, strict=True) if UNSAID.isdisjoint({said, meant})}
        assert saying <= shown, line
