"""What a customer's words mean: spoken names (common practice, no source) over the test yard's own vocabulary."""

from __future__ import annotations

import os
import random
import string
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.book.sheets import load_folder
from app.book.words.understanding import understand
from app.book.words.vocabulary import Vocabulary
from app.book.words.wordlist import load_vocabulary
from app.book.work import Book, Who, open_book
from app.fit.answers import Asked

YARD = Path(__file__).parents[1] / "casebook"
C1 = Who("C1", seat="counter")
HOSTILE = int(os.environ.get("DONORBOOK_HOSTILE_LINES", "3000"))
"""How many hostile lines are tried; more on demand."""


@pytest.fixture(scope="module")
def vocabulary(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Vocabulary]:
    book: Book = open_book(str(tmp_path_factory.mktemp("meanings") / "yard.book"))
    load_folder(book, C1, YARD)
    with book.read() as session:
        yield load_vocabulary(session)
    book.close()


@pytest.mark.parametrize(
    ("line", "part"),
    [
        ("hod 08 longwagon", "hood"),
        ("dor lh", "front door shell"),
        ("axel shaft", "rear axle shaft"),
        ("steerng box", "steering gear"),
        ("head lamp", "headlamp"),
        ("tcase", "transfer case"),
        ("T-case", "transfer case"),
        ("fueltank", "fuel tank"),
        ("bumper brae", "front bumper cover"),
        ("short bed", "pickup bed"),
        ("I want the rear section, is the frame straight", "frame rear section"),
        ("seat belt driver no yellow plug", "seat belt"),
    ],
)
def test_a_part_is_found_by_its_words(vocabulary: Vocabulary, line: str, part: str) -> None:
    asked = understand(line, vocabulary).asked
    assert asked.part_types == vocabulary.wider[part]
    assert not asked.meanings


@pytest.mark.parametrize(
    ("line", "choices"),
    [
        ("box", {"steering gear", "pickup bed", "gearbox", "rear air unit"}),
        ("axle", {"front half-shaft", "rear axle shaft", "rear axle assembly"}),
        ("rear axle", {"rear axle shaft", "rear axle assembly"}),
        ("axle, rear, 08 light longwagon", {"rear axle shaft", "rear axle assembly"}),
        ("rear end", {"rear axle assembly", "frame rear section"}),
        ("core", {"core support", "radiator"}),
        ("motor", {"engine complete", "short block", "blower motor", "transfer case shift motor"}),
        ("clip", {"nose", "front half-cut", "frame section"}),
    ],
)
def test_a_word_of_several_meanings_is_asked_back(vocabulary: Vocabulary, line: str, choices: set[str]) -> None:
    asked = understand(line, vocabulary).asked
    assert not asked.part_types
    assert set(asked.meanings[0].choices) == choices


def test_what_is_said_beside_an_ambiguous_word_settles_it(vocabulary: Vocabulary) -> None:
    assert understand("axle 07 tolliver 3.42", vocabulary).asked.part_types == ("rear axle assembly",)


def test_a_part_of_the_other_end_is_not_offered_for_it(vocabulary: Vocabulary) -> None:
    """A rear door is no front door: what the yard has no name for is shown as not understood."""
    asked = understand("lh rear door 2011 brae", vocabulary).asked
    assert not asked.part_types
    assert set(asked.not_understood) == {"rear", "door"}


@pytest.mark.parametrize("said", ["08", "2008", "'08", "oh eight"])
def test_a_year_is_said_in_four_ways(vocabulary: Vocabulary, said: str) -> None:
    asked = understand(f"{said} longwagon lca", vocabulary).asked
    assert asked.year == 2008
    assert asked.models == ("WH2", "WL2")


@pytest.mark.parametrize("said", ["lh", "left", "driver's", "drivers", "driver side", "l"])
def test_the_left_side_is_said_in_many_ways(vocabulary: Vocabulary, said: str) -> None:
    assert understand(f"{said} lca", vocabulary).asked.side == "LH"


@pytest.mark.parametrize(
    ("line", "models"),
    [
        ("the big tank out of a three-quarter-ton in my 2008 half-ton Longwagon", ("WL2",)),
        ("the Brae doghouse on my 2008 light Longwagon", ("WL2",)),
        ("driveshaft, '07 light Tolliver. Would the Brae one work?", ("PL2",)),
        ("U-joint off a '08 light Tolliver", ("PL2",)),
        ("I've a line on a cheap '05 engine, will it go in my '08 light Longwagon", ("WL2",)),
        ("steering box for an '08 Longwagon, the half-ton", ("WL2",)),
        ("light Longwagon lca for my 08", ("WL2",)),
        ("08 lca for a light longwagon", ("WL2",)),
    ],
)
def test_whose_vehicle_is_meant(vocabulary: Vocabulary, line: str, models: tuple[str, ...]) -> None:
    """What a part comes off is not what it is for, unless nothing else is said."""
    assert understand(line, vocabulary).asked.models == models


@pytest.mark.parametrize(
    ("line", "carries"),
    [
        ("lh headlamp for my 08 light longwagon with a brae nose", {"nose": ("BR2",)}),
        ("08 light longwagon lower arm on a heavy frame", {"frame": ("WH2",)}),
        ("lower arm 08 light longwagon, somebody put a heavy frame under it", {"frame": ("WH2",)}),
        ("lower arm 08 light longwagon, a heavy frame underneath now, under 95", {"frame": ("WH2",)}),
        ("need a heavy frame under it, 08 light longwagon", {}),
        ("08 light longwagon lower arm", {}),
        ("nose off a brae for an 08 longwagon", {}),
    ],
)
def test_another_frame_or_nose_may_be_under_it(
    vocabulary: Vocabulary, line: str, carries: dict[str, tuple[str, ...]]
) -> None:
    assert understand(line, vocabulary).asked.carries == carries


@pytest.mark.parametrize(
    ("line", "wants"),
    [
        ("tank at least 30 gal", ["at least 30 gal"]),
        ("tank 30 gal or more", ["at least 30 gal"]),
        ("big tank", ["tank gallons at least 30"]),
        ("battery under 200", ["less than $200"]),
        ("battery under $200", ["less than $200"]),
        ("battery 200 bucks tops", ["at most $200"]),
        ("hood A or better", ["A or better"]),
        ("hood condition B", ["condition B"]),
        ("hood today", ["today"]),
        ("hood by tomorrow under $60 A or better", ["by tomorrow", "less than $60", "A or better"]),
        ("engine under 120k miles", ["less than 120000 mi"]),
    ],
)
def test_stated_requirements(vocabulary: Vocabulary, line: str, wants: list[str]) -> None:
    assert list(understand(line, vocabulary).asked.wants) == wants


@pytest.mark.parametrize(
    ("line", "pieces"),
    [
        ("all twelve body mounts", 12),
        ("all 11 body mounts", 11),
        ("12 cushions", 12),
        ("pair of rotors", 2),
        ("both sides lca", 2),
        ("set of four wheels", 4),
        ("two doors", 2),
        ("need 2 front wheels", 2),
        ("two left doors", 2),
        ("6 lug wheels", None),
        ("10 tailgate", None),
        ("four-speed trans", None),
        ("body mounts, I need ten", 10),
        ("12 pieces of body mount", 12),
        ("body mounts qty 12", 12),
        ("lca light longwagon need 08", None),
        ("computer five point one four speed", None),
    ],
)
def test_how_many_pieces_are_wanted(vocabulary: Vocabulary, line: str, pieces: int | None) -> None:
    assert understand(line, vocabulary).asked.quantity == pieces


@pytest.mark.parametrize(
    ("line", "fact", "value"),
    [
        ("u-joint three and five eighths across the caps", "joint cap to cap", "3 5/8 in"),
        ('u-joint 3 5/8"', "joint cap to cap", "3 5/8 in"),
        ("rotors thirteen inch", "brake size", "13 in"),
        ("26 gallon tank", "tank gallons", "26.0"),
        ("t case 27 spline", "transfer case splines", "27"),
        ("six lug wheel", "lug count", "6"),
        ("five pin shift motor", "shift motor plug", "5-pin"),
        ("alternator with rear air", "rear air", "yes"),
        ("hub, plant K", "plant", "K"),
        ("hub, plant letter k", "plant", "K"),
        ("hub, eleventh letter of the VIN is K", "plant", "K"),
        ("hub, not plant K", "plant", "not K"),
        ("hub, plant is not K", "plant", "not K"),
        ("hub, not made at the K plant", "plant", "not K"),
        ("hub, any plant but K", "plant", "not K"),
        ("hood blue or white", "color", "blue or white"),
        ("door lh window crank", "window", "crank"),
    ],
)
def test_figures_and_looks_are_facts(vocabulary: Vocabulary, line: str, fact: str, value: str) -> None:
    assert understand(line, vocabulary).asked.facts[fact] == value


def test_a_year_that_a_model_was_never_built_in_is_said(vocabulary: Vocabulary) -> None:
    asked = understand("'99 longwagon lca", vocabulary).asked
    assert any("no Longwagon of 1999" in chip.value for chip in asked.chips)


@pytest.mark.parametrize("line", ["my box leaks bad", "pouring fluid", "it broke on the road", "she is dead cold"])
def test_everyday_words_are_not_taken_for_slips(vocabulary: Vocabulary, line: str) -> None:
    """ "Leaks" is no slip for "leafs"."""
    assert understand(line, vocabulary).asked.facts == {}


@given(data=st.data())
def test_the_order_of_words_does_not_matter(vocabulary: Vocabulary, data: st.DataObject) -> None:
    words = ["08", "longwagon", "half-ton", "lca", "rh", "today"]
    asked = understand(" ".join(data.draw(st.permutations(words))), vocabulary).asked
    assert _gist(asked) == (("front lower control arm",), "RH", 2008, ("WL2",), ("today",), ())


def _gist(asked: Asked) -> tuple[object, ...]:
    return (asked.part_types, str(asked.side), asked.year, asked.models, asked.wants, asked.not_understood)


@given(at=st.integers(0, 8), letter=st.sampled_from("qxz"))
def test_a_letter_too_much_in_a_long_word(vocabulary: Vocabulary, at: int, letter: str) -> None:
    word = "longwagon"
    asked = understand(f"08 light {word[:at] + letter + word[at:]} lca", vocabulary).asked
    assert asked.models == ("WL2",)


MALICIOUS = (
    '[/]', '[b]x[/b]', '[@click=app.quit]', "'; DROP TABLE parts;--", '${x}', '%s%n', '\x1b[2J', '\u202e',
    '½½', "9" * 40, '1/0', '0/0', '-1', '1e999', '..', '٣', '²', 'ﬁ', '🚚', "'" * 9, '"' * 9, 'and a half',
    'at least', 'of of of', '3 and', 'plant', 'x99', 'under $', 'or better', 'for my off a', 'all', 'set of',
    'both sides', 'no', 'not sure if', "doesn't have", 'w/o', 'any but', 'between', 'built before', 'or earlier',
    '07/08', '99/00', '13/14', 'upper and lower', 'front/rear', 'l&r', '5/8 or better', 'two hundred and', 'a or b',
    'and a', '9a',
)  # fmt: skip


def hostile_lines(phrases: list[str], count: int, seed: int = 7) -> Iterator[str]:
    """Random and malicious lines: noise, markup, statements, broken figures, and the yard's own words mixed in."""
    chosen = random.Random(seed)
    letters = string.printable + "éßøЖ中\u0301\u200b"
    for _ in range(count):
        size = chosen.randrange(1, 12)
        pieces = [
            chosen.choice(phrases)
            if chosen.random() < 0.5
            else chosen.choice(MALICIOUS)
            if chosen.random() < 0.6
            else "".join(chosen.choices(letters, k=chosen.randrange(1, 30)))
            for _ in range(size)
        ]
        yield chosen.choice([" ", "", ",", "  "]).join(pieces)


def test_hostile_lines_never_raise(vocabulary: Vocabulary) -> None:
    for line in hostile_lines(sorted(vocabulary.phrases), HOSTILE):
        asked = understand(line, vocabulary).asked
        assert asked.words == line
        assert set(asked.part_types) <= set(vocabulary.wider)
