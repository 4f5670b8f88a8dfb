"""Lines that say one thing and could be heard as another: whose a word is, what a "no" goes over, half a name.

The manner of speaking is common practice, no source; the answers follow from the rules of the test yard.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from app.book.asking import ask
from app.book.knowing import knowing
from app.book.sheets import load_folder
from app.book.understanding import understand
from app.book.vocabulary import Vocabulary
from app.book.work import Book, Who, open_book
from app.fit.answers import Answer, Asked

YARD = Path(__file__).parents[1] / "casebook"
TODAY = date(2026, 3, 4)
C1 = Who("C1", seat="counter")


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp("said") / "yard.book"))
    load_folder(book, C1, YARD)
    yield book
    book.close()


@pytest.fixture(scope="module")
def vocabulary(yard: Book) -> Vocabulary:
    with yard.read() as session:
        return knowing(session).vocabulary


def answered(yard: Book, words: str, **stated: object) -> Answer:
    return ask(yard, C1, words, on=TODAY, keep=False, **stated)  # type: ignore[arg-type]


def graded(found: Answer) -> list[str]:
    return [f"{'+'.join(line.tags)} {line.grade}" for line in found.answers]


def refused(found: Answer) -> set[str]:
    return {tag for line in found.do_not_sell for tag in line.tags}


def chip(asked: Asked, field: str) -> list[str]:
    return [each.value for each in asked.chips if each.field == field]


@pytest.mark.parametrize(
    "line", ["will the heavy hitch fit an 08 longwagon light", "would a heavy hitch go on my 2008 light longwagon"]
)
def test_what_stands_before_the_part_is_its_own_and_what_it_shall_fit_is_the_vehicle(yard: Book, line: str) -> None:
    """R51: the heavy's receiver is 0.45 in a side too wide for the light's rails."""
    found = answered(yard, line)
    assert found.asked.models == ("WL2",)
    assert chip(found.asked, "off") == ["off heavy"]
    assert refused(found) == {"S266"}
    assert graded(found) == ["S267 bolts_up", "S268 needs_work"]


@pytest.mark.parametrize(
    ("line", "models", "off"),
    [
        ("a brae grille for an 08 light longwagon", ("WL2",), ["off Brae"]),
        ("will the light longwagon hitch fit an 08 heavy", ("WH2",), ["off light"]),
        ("will the heavy hitch fit an 08 longwagon", ("WH2", "WL2"), ["off heavy"]),
        ("08 half-ton lca for a longwagon", ("WL2",), []),
    ],
)
def test_a_word_before_the_part_tells_nothing_of_the_vehicle_said_behind_for(
    vocabulary: Vocabulary, line: str, models: tuple[str, ...], off: list[str]
) -> None:
    asked = understand(line, vocabulary).asked
    assert (asked.models, chip(asked, "off")) == (models, off)


@pytest.mark.parametrize(
    ("line", "facts"),
    [
        ("mirror left 08 longwagon light doesn't fold", {"mirror type": "power heated"}),
        ("mirror left 08 longwagon light won't fold", {"mirror type": "power heated"}),
        ("mirror left 08 longwagon light folds", {"mirror type": "power-fold"}),
        ("alternator 08 longwagon light no rear air or tow package", {"rear air": "no", "towing": "no"}),
        ("alternator 08 longwagon light without rear air or tow", {"rear air": "no", "towing": "no"}),
        ("alternator 08 longwagon light no rear air, tow or 4x4", {"rear air": "no", "towing": "no", "drive": "2WD"}),
        ("alternator 08 longwagon light no rear air nor the tow package", {"rear air": "no", "towing": "no"}),
        ("alternator 08 longwagon light doesn't have rear air or a tow package", {"rear air": "no", "towing": "no"}),
        ("alternator 08 longwagon light no rear air, 4x4", {"rear air": "no", "drive": "4x4"}),
        ("hood 08 brae not blue or white", {"color": "grey or black or tan or red"}),
    ],
)
def test_a_denial_goes_over_the_list_behind_it(vocabulary: Vocabulary, line: str, facts: dict[str, str]) -> None:
    asked = understand(line, vocabulary).asked
    assert asked.facts == facts
    assert not asked.not_understood


def test_a_mirror_that_does_not_fold_is_the_other_kind(yard: Book) -> None:
    assert graded(answered(yard, "mirror left 08 longwagon light doesn't fold"))[0] == "S291 bolts_up"


def test_without_rear_air_and_towing_the_small_alternator_will_do(yard: Book) -> None:
    assert graded(answered(yard, "alternator 08 longwagon light no rear air or tow package"))[0] == "S295 bolts_up"


@pytest.mark.parametrize(
    ("line", "name", "left"),
    [
        ("longwagon light 2008 lower ball joint", "ball joint", {"ball", "lower"}),
        ("water pump 08 longwagon light", "water pump", {"water"}),
        ("tail lamp 08 longwagon", "tail lamp", {"tail"}),
    ],
)
def test_half_of_a_name_that_the_yard_does_not_know_is_asked_back(
    yard: Book, line: str, name: str, left: set[str]
) -> None:
    found = answered(yard, line)
    assert not found.answers
    assert set(found.asked.not_understood) == left
    assert (found.questions[0].fact, name in found.questions[0].words) == ("part", True)


@pytest.mark.parametrize(
    ("line", "part"),
    [
        ("u-joint 08 longwagon light", "rear driveshaft yoke and joint"),
        ("08 foobar tailgate", "tailgate"),
        ("08 foobar joint", "rear driveshaft yoke and joint"),
        ("chrome grille 08 brae", "grille"),
    ],
)
def test_a_strange_word_that_makes_no_other_name_of_the_part_is_only_shown(
    vocabulary: Vocabulary, line: str, part: str
) -> None:
    assert understand(line, vocabulary).asked.part_types == (part,)


def test_a_front_that_is_on_it_is_the_nose_of_another(yard: Book) -> None:
    """Each piece of another nose alone leaves gaps (R96); with a whole Brae nose on it its grille bolts up alone."""
    for line in ("it has a brae front on it", "with a brae front end", "it's got a brae nose on it"):
        found = answered(yard, f"grille 08 longwagon light {line}")
        assert found.asked.carries == {"nose": ("BR2",)}, line
        assert graded(found) == ["S386 bolts_up"]


@pytest.mark.parametrize(
    ("line", "facts"),
    [
        ("steering box 08 longwagon light 30 spline", {"steering input splines": "30"}),
        ("rear axle shaft 08 longwagon light 30 spline", {"axle splines": "30"}),
        ("transfer case 08 longwagon light buttons", {"transfer case control": "push-button"}),
        ("rear air unit 08 longwagon light buttons", {"rear air control": "digital"}),
        ("cab 08 light tolliver crew short", {"cab": "crew", "bed": "short"}),
    ],
)
def test_a_word_of_several_facts_is_read_as_that_of_the_part(
    vocabulary: Vocabulary, line: str, facts: dict[str, str]
) -> None:
    assert understand(line, vocabulary).asked.facts == facts


@pytest.mark.parametrize(
    ("line", "wants"),
    [
        ("lca over $80", "more than $80"),
        ("lca more than 80 dollars", "more than $80"),
        ("lca above 80", "more than $80"),
        ("lca under 90", "at most $90"),
        ("lca cheaper than 90", "at most $90"),
        ("lca not over 90", "at most $90"),
        ("tank bigger than 26 gal", "more than 26 gal"),
        ("tank 26 gal or more", "at least 26 gal"),
        ("tank less than 30 gal", "less than 30 gal"),
        ("engine fewer than 120,000 miles", "less than 120000 mi"),
        ("engine no more than 120,000 miles", "at most 120000 mi"),
    ],
)
def test_more_than_is_not_at_least(vocabulary: Vocabulary, line: str, wants: str) -> None:
    asked = understand(line, vocabulary).asked
    assert asked.wants == (wants,)
    assert chip(asked, "wants") == [wants]
    assert not asked.not_understood


def test_a_tank_of_just_26_gallons_is_not_bigger_than_that(yard: Book) -> None:
    found = answered(yard, "tank bigger than 26 gal 08 longwagon light")
    assert graded(found) == ["S170 needs_work"]
    assert [line.tags for line in found.not_what_was_asked] == [("S171",)]


@pytest.mark.parametrize(
    ("line", "year", "side"),
    [("psgr mirror 2k8 longwagon", 2008, "RH"), ("lca rh '08Longwagon", 2008, "RH"), ("lca lh 2009brae", 2009, "LH")],
)
def test_short_ways_of_writing(vocabulary: Vocabulary, line: str, year: int, side: str) -> None:
    asked = understand(line, vocabulary).asked
    assert (asked.year, str(asked.side)) == (year, side)
    assert asked.models
    assert not asked.not_understood


@pytest.mark.parametrize("line", ["lca rh for a 15 longwagon light", "lca rh 2015 longwagon light"])
def test_a_year_of_which_the_yard_knows_no_such_model_promises_nothing(yard: Book, line: str) -> None:
    found = answered(yard, line)
    assert chip(found.asked, "unknown vehicle") == ["no Longwagon of 2015 is in the book"]
    assert {str(each.grade) for each in found.answers} <= {"measure", "not_compared"}
    assert found.asked.year == 2015
