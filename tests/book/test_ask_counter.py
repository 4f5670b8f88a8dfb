"""Lines as they are said over the counter and the phone, of four yards, each understood as was written down by hand.

The lines stand in `counter_lines.toml`. The manner of speaking is common practice, no source.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from app.book.asking import heard_beside
from app.book.knowing import knowing
from app.book.sheets import load_folder
from app.book.work import Book, Who, open_book
from app.fit.answers import Asked

C1 = Who("C1", seat="counter")
HERE = Path(__file__).parents[1]
YARDS = {
    "casebook": HERE / "casebook",
    "second_yard": HERE / "second_yard",
    "third_yard": HERE / "third_yard",
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
