"""Names of models in pieces, names that are parts' words too, and words that the trade uses for one part.

Over the small cars of tests/third_yard, with a dash among their parts; invented data, the manner of speaking is common
practice, no source.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.book.knowing import knowing
from app.book.sheets import load_folder
from app.book.words.understanding import understand
from app.book.words.vocabulary import Sense, Vocabulary
from app.book.work import Who, open_book
from app.fit.answers import Asked

C1 = Who("C1", seat="counter")
YARD = Path(__file__).parents[1] / "third_yard"


@pytest.fixture(scope="module")
def cars(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Vocabulary]:
    """The third yard, which has a Pipit and a Pipit Dash, and calls its door cards a dash."""
    folder = tmp_path_factory.mktemp("cars")
    shutil.copytree(YARD, folder / "yard")
    with (folder / "yard" / "aliases.csv").open("a", encoding="utf-8") as aliases:
        aliases.write("dash,part,door card\n")
    book = open_book(str(folder / "yard.book"))
    load_folder(book, C1, folder / "yard")
    with book.read() as session:
        yield knowing(session).vocabulary
    book.close()


def shown(asked: Asked) -> str:
    return " ".join([*asked.not_understood, *(chip.said for chip in asked.chips)])


@pytest.mark.parametrize(
    ("line", "models", "parts"),
    [
        ("pipit dash left front door", ("PD1",), ("front door",)),
        ("dash pipit left front door", ("PD1",), ("front door",)),
        ("left front door for a dash pipit", ("PD1",), ("front door",)),
        ("2011 hollin pipit dash left front door", ("PD1",), ("front door",)),
        ("dash for a 2009 hollin pipit", ("PA2",), ("door card",)),
        ("2009 hollin pipit dash", ("PA2",), ("door card",)),
        ("2011 hollin pipit dash", ("PD1",), ()),
        ("hollin amp traction pack", ("PE1",), ("traction pack",)),
        ("traction pack for the pipit, the amp", ("PE1",), ("traction pack",)),
        ("fenholm 45 hydraulic pump", ("T45",), ("hydraulic pump",)),
        ("hydraulic pump for the plover, it's a 40", ("T40",), ("hydraulic pump",)),
    ],
)
def test_a_model_is_named_in_pieces(
    cars: Vocabulary, line: str, models: tuple[str, ...], parts: tuple[str, ...]
) -> None:
    asked = understand(line, cars).asked
    assert (asked.models, asked.part_types) == (models, parts)
    assert not asked.not_understood
    assert "dash" not in line or "dash" in shown(asked)


@pytest.mark.parametrize(
    "line", ["2005 hollin pipit amp headlamp", "plover 40 headlamp 45", "headlamp hollins pipit 2006 amp"]
)
def test_a_piece_of_a_name_that_cannot_be_meant_is_shown(cars: Vocabulary, line: str) -> None:
    """No Amp was built before 2012, and none by Hollins; a Plover 40 is no 45."""
    asked = understand(line, cars).asked
    assert "PE1" not in asked.models or any(chip.field == "unknown vehicle" for chip in asked.chips)
    assert "T45" not in asked.models
    assert line.split()[-1] in shown(asked) or "amp" in shown(asked)


@pytest.mark.parametrize(
    ("said", "part"),
    [
        ("headlight", "headlamp"),
        ("tranny", "gearbox"),
        ("starter motor", "starter"),
        ("brake disc", "brake disc"),
        ("rotors", "brake disc"),
        ("gas tank", "fuel tank"),
    ],
)
def test_a_word_of_the_trade_finds_what_the_yard_calls_otherwise(cars: Vocabulary, said: str, part: str) -> None:
    assert understand(f"{said} 2006 hollin pipit", cars).asked.part_types == cars.wider[part]


def test_what_the_yard_means_by_a_word_counts_before_the_trade(cars: Vocabulary) -> None:
    """Here a dash is a door card, and a bucket no headlamp."""
    assert cars.senses("dash") == [Sense("part", "door card")]
    assert understand("bucket left 2006 hollin pipit", cars).asked.part_types == ("front seat",)


@pytest.mark.parametrize("said", ["tail light", "steering gear", "tailgate"])
def test_no_word_of_the_trade_finds_what_the_yard_does_not_have(cars: Vocabulary, said: str) -> None:
    assert not understand(f"{said} 2006 hollin pipit", cars).asked.part_types
