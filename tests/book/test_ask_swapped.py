"""A body on another's frame, another's nose or engine: however it is said, it decides its group and is not asked for.

Expected answers were written down by hand from the words before they were heard; the manner of speaking is common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from app.book.asking import ask
from app.book.sheets import load_folder
from app.book.work import Book, Who, open_book
from app.fit.answers import Asked

YARD = Path(__file__).parents[1] / "casebook"
C1 = Who("C1", seat="counter")


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp("swapped") / "yard.book"))
    load_folder(book, C1, YARD)
    yield book
    book.close()


def heard(yard: Book, words: str) -> Asked:
    return ask(yard, C1, words, on=date(2026, 3, 4), keep=False).asked


@pytest.mark.parametrize(
    ("words", "part", "model", "carries"),
    [
        (
            "07 tolliver light body on an 04 tolliver heavy frame, need a torsion bar left",
            "torsion bar",
            "PL2",
            {"frame": ("PH1",)},
        ),
        (
            "heavy frame swapped under my 08 light longwagon, need an lca right side",
            "front lower control arm",
            "WL2",
            {"frame": ("WH2",)},
        ),
        (
            "my 2010 light longwagon has a 6.2 swapped in from a brae, computer please",
            "engine computer",
            "WL2",
            {"driveline": ("BR2",)},
        ),
        (
            "got a six two out of a brae in my light longwagon 2008, flexplate for it?",
            "flexplate, dished",
            "WL2",
            {"driveline": ("BR2",)},
        ),
        (
            "frame off a longwagon heavy 2009 under a light tolliver 08, need front hub lh",
            "front hub, 4x4",
            "PL2",
            {"frame": ("WH2",)},
        ),
        (
            "08 light tolliver, frame off a longwagon heavy, need the left hub",
            "front hub, 4x4",
            "PL2",
            {"frame": ("WH2",)},
        ),
        (
            "my 08 light longwagon got reframed with a heavy, need right lower arm",
            "front lower control arm",
            "WL2",
            {"frame": ("WH2",)},
        ),
        (
            "heavy front end under it, 08 light tolliver, need a torsion bar left",
            "torsion bar",
            "PL2",
            {"frame": ("PH1", "PH2")},
        ),
        (
            "light tolliver 2008 on a heavy frame from a longwagon, lca rh",
            "front lower control arm",
            "PL2",
            {"frame": ("WH2",)},
        ),
        ("brae front end on my longwagon light 2010, grille please", "grille", "WL2", {"nose": ("BR2",)}),
        ("nose is a brae on my 2010 longwagon light, need grille", "grille", "WL2", {"nose": ("BR2",)}),
        ("osier nose grafted onto a 2008 tansy, right headlight", "headlamp", "TA1", {"nose": ("OS1",)}),
        (
            "09 heavy tolliver cab sits on a 08 light tolliver frame, left front door glass",
            "front door glass",
            "PH2",
            {"frame": ("PL2",)},
        ),
        (
            "i've got a heavy frame under an 08 light longwagon body, which lower arm do i need on the right",
            "front lower control arm",
            "WL2",
            {"frame": ("WH2",)},
        ),
        (
            "2008 light longwagon body, 2009 heavy longwagon frame, lower arm rh",
            "front lower control arm",
            "WL2",
            {"frame": ("WH2",)},
        ),
        (
            "body is an 08 longwagon light, frame is an 09 longwagon heavy, lower arm rh",
            "front lower control arm",
            "WL2",
            {"frame": ("WH2",)},
        ),
        (
            "08 half ton body on a three quarter ton frame, longwagon, rh lower arm",
            "front lower control arm",
            "WL2",
            {"frame": ("WH2",)},
        ),
        (
            "08 light longwagon, running a brae 6.2, need flexplate",
            "flexplate, dished",
            "WL2",
            {"driveline": ("BR2",)},
        ),
        (
            "6.2 out of a brae swapped in, it's an 08 light longwagon, need the computer",
            "engine computer",
            "WL2",
            {"driveline": ("BR2",)},
        ),
    ],
)
def test_what_is_anothers_decides_its_group_in_any_order(
    yard: Book, words: str, part: str, model: str, carries: dict[str, tuple[str, ...]]
) -> None:
    asked = heard(yard, words)
    assert asked.part_types == (part,)
    assert (asked.models, dict(asked.carries)) == ((model,), carries)


@pytest.mark.parametrize(
    ("words", "part"),
    [
        ("I want the brae nose on my 09 light longwagon", "hood"),
        ("08 light tolliver, need a frame off a longwagon heavy and the left hub", "frame, bare"),
        ("engine out of a brae going in a light tolliver 08", "engine 6.2 complete"),
    ],
)
def test_what_is_needed_of_another_is_asked_for(yard: Book, words: str, part: str) -> None:
    asked = heard(yard, words)
    assert part in asked.part_types
    assert not asked.carries


def test_the_chip_of_what_is_carried_says_whose_it_is(yard: Book) -> None:
    asked = heard(yard, "heavy frame swapped under my 08 light longwagon, need an lca right side")
    (chip,) = [each for each in asked.chips if each.field == "frame"]
    assert (chip.value, chip.said) == ("heavy Longwagon", "frame swapped")


def test_words_of_a_vehicle_behind_a_comma_are_all_of_the_same(yard: Book) -> None:
    """The 08 is of the light one though it could be of the heavy one before it."""
    asked = heard(yard, "trans out of a tolliver heavy, it's an 08 light longwagon")
    assert (asked.models, asked.year) == (("WL2",), 2008)
