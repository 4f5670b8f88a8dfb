"""How lines are said at a counter: two parts by one noun, two vehicles in one breath, years and build months.

The manner of speaking is common practice, no source; the answers follow from the rules of the test yard.
"""

from __future__ import annotations

from datetime import date

import pytest
from sqlalchemy import select

from app.book.asking import ask
from app.book.schema import Want
from app.book.wanting import write_want
from app.book.words.buildtime import narrowed, time_said
from app.book.words.understanding import understand
from app.book.words.vocabulary import Vocabulary
from app.book.work import Book, Who
from app.errors import BadInput
from app.fit.answers import Answer, Asked

TODAY = date(2026, 3, 4)
C1 = Who("C1", seat="counter")
ARMS = {"front upper control arm", "front lower control arm"}


def answered(yard: Book, words: str, **stated: object) -> Answer:
    return ask(yard, C1, words, on=TODAY, keep=False, **stated)  # type: ignore[arg-type]


def chip(asked: Asked, field: str) -> list[str]:
    return [each.value for each in asked.chips if each.field == field]


@pytest.mark.parametrize(
    ("line", "part", "left"),
    [
        ("2 door 2008 light tolliver tailgate", "tailgate", ("2 door",)),
        ("four door 2008 light tolliver tailgate", "tailgate", ()),
        ("three door 2008 light tolliver tailgate", "tailgate", ("three door",)),
        ("2 door mirrors 2008 longwagon", "door mirror", ()),
    ],
)
def test_how_many_doors_a_truck_has_asks_for_no_door(
    vocabulary: Vocabulary, line: str, part: str, left: tuple[str, ...]
) -> None:
    asked = understand(line, vocabulary).asked
    assert (asked.part_types, asked.not_understood) == ((part,), left)


@pytest.mark.parametrize(
    ("line", "engine", "side"),
    [
        ("6.2 liter engine 2009 longwagon", "6.2", ""),
        ("6.2l engine 2009 longwagon", "6.2", ""),
        ("5.1 litre engine 2009 longwagon", "5.1", ""),
        ("front caliper l 2009 longwagon, the 5.1L", "5.1", "LH"),
    ],
)
def test_the_liters_of_an_engine_are_no_side_and_no_lighter_truck(
    vocabulary: Vocabulary, line: str, engine: str, side: str
) -> None:
    asked = understand(line, vocabulary).asked
    assert (asked.facts["engine"], asked.side, set(asked.models)) == (engine, side, {"WL2", "WH2"})
    assert not asked.not_understood


@pytest.mark.parametrize(
    "line",
    [
        "upper and lower control arms 08 light longwagon",
        "08 light longwagon upper & lower control arm",
        "upper/lower control arms 08 light longwagon",
        "lower, upper control arms 08 light longwagon",
        "lower or upper control arm 08 light longwagon",
        "control arms, upper and lower, 08 light longwagon",
        "upper and lower left control arms 08 light longwagon",
    ],
)
def test_one_noun_names_two_parts(vocabulary: Vocabulary, line: str) -> None:
    asked = understand(line, vocabulary).asked
    assert set(asked.part_types) == ARMS
    assert not asked.not_understood
    assert not asked.meanings


@pytest.mark.parametrize("line", ["front and rear rotors", "rotors front & rear", "front/rear rotors"])
def test_of_two_places_the_one_that_the_yard_has_no_part_for_is_shown(vocabulary: Vocabulary, line: str) -> None:
    asked = understand(f"{line} 08 light longwagon", vocabulary).asked
    assert asked.part_types == ("front rotors, pair",)
    assert asked.not_understood == ("rear",)


def test_a_part_named_by_words_of_its_name_alone_at_two_places(vocabulary: Vocabulary) -> None:
    asked = understand("front and rear bumper 08 brae", vocabulary).asked
    assert asked.part_types == ("front bumper cover",)
    assert asked.not_understood == ("rear",)


def test_of_two_places_the_unclear_one_is_asked_back_and_the_other_answered(vocabulary: Vocabulary) -> None:
    asked = understand("front and rear axle 08 light longwagon", vocabulary).asked
    assert asked.part_types == ("front half-shaft",)
    assert set(asked.meanings[0].choices) == {"rear axle shaft", "rear axle assembly"}


def test_upper_tells_which_arm_is_meant(vocabulary: Vocabulary) -> None:
    assert understand("control arm, upper, 08 longwagon", vocabulary).asked.part_types == ("front upper control arm",)


@pytest.mark.parametrize(
    "said",
    ["left and right mirrors", "left/right mirrors", "l/r mirror", "mirrors lh & rh", "driver and passenger mirror",
     "driver side and passenger side mirrors"],
)  # fmt: skip
def test_both_sides_are_one_of_each(vocabulary: Vocabulary, said: str) -> None:
    asked = understand(f"{said} 08 longwagon", vocabulary).asked
    assert (asked.part_types, asked.quantity, str(asked.side)) == (("door mirror",), 2, "")
    assert not asked.not_understood


@pytest.mark.parametrize(
    ("line", "years", "built"),
    [
        ("07/08 longwagon lca", (2007, 2008), None),
        ("lca longwagon 07/08", (2007, 2008), None),
        ("07/08 or 09 longwagon lca", (2007, 2008, 2009), None),
        ("'07/'08 longwagon lca", (2007, 2008), None),
        ("6/07 longwagon lca", (), "2007-06"),
        ("04/07 longwagon lca", (), "2007-04"),
        ("longwagon lca built 07/08", (), "2008-07"),
        ("longwagon lca, door says 07/08", (), "2008-07"),
        ("longwagon lca, date on the sticker is 07/08", (), "2008-07"),
        ("longwagon lca 07/08 build", (), "2008-07"),
        ("longwagon lca mfd 07/08", (), "2008-07"),
        ("2008 longwagon lca 07/08", (2008,), "2008-07"),
        ("longwagon lca before 06/07", (), "before 2007-06"),
        ("longwagon lca built before 06/07", (), "before 2007-06"),
        ("longwagon lca built after 06/07", (), "2007-07 or later"),
        ("longwagon lca 06/08 or later", (), "2008-06 or later"),
        ("longwagon lca built 06/08 or earlier", (), "before 2008-07"),
        ("longwagon lca built 06/07 to 03/08", (), "2007-06 to 2008-03"),
        ("longwagon lca built in june of 07", (), "2007-06"),
        ("longwagon lca built before 2009", (), "before 2009-01"),
        ("longwagon lca before 2009", (2007, 2008), None),
        ("longwagon lca pre-09", (2007, 2008), None),
    ],
)
def test_years_and_build_months(vocabulary: Vocabulary, line: str, years: tuple[int, ...], built: str | None) -> None:
    asked = understand(line, vocabulary).asked
    assert tuple(year for year in asked.said_years if year >= 2007) == years
    assert asked.built == built
    assert not set(asked.not_understood) & {"built", "before", "date", "build", "after"}


def test_two_years_are_shown_to_be_put_right(vocabulary: Vocabulary) -> None:
    asked = understand("07/08 longwagon lca", vocabulary).asked
    assert chip(asked, "year") == ["2007 or 2008"]
    assert not chip(asked, "built")


@pytest.mark.parametrize(
    ("words", "answers"),
    [
        ("left hub 07 half-ton tolliver built before 06/07", [("S190", "bolts_up")]),
        ("left hub 07 half-ton tolliver built 09/07 or later", [("S191", "bolts_up")]),
        ("left hub 07 half-ton tolliver built after 05/07", [("S190", "measure"), ("S191", "measure")]),
    ],
)
def test_a_time_of_building_is_every_month_in_it(yard: Book, words: str, answers: list[tuple[str, str]]) -> None:
    """R25 to R28: the hub changes with 06/07, at plant K with 09/07."""
    found = answered(yard, words)
    assert [(line.tags[0], str(line.grade)) for line in found.answers] == answers


def test_a_picked_time_is_said_as_it_was_picked(yard: Book) -> None:
    words = "fuel pump 2009 light longwagon 26 gal"
    (question,) = [each for each in answered(yard, words).questions if each.fact == "built"]
    assert question.choices == ("before 2009-01", "2009-01 or later")
    early, late = (answered(yard, words, facts={"built": choice}) for choice in question.choices)
    assert (chip(early.asked, "built"), chip(late.asked, "built")) == (["before 2009-01"], ["2009-01 or later"])
    assert [line.tags for line in early.answers] == [("S202",), ("S200", "S201")]
    assert [line.tags for line in late.answers] == [("S200",)]


def test_what_is_told_later_of_the_time_narrows_it() -> None:
    assert narrowed("2007-06 or later", "before 2007-09") == "2007-06 to 2007-08"
    assert narrowed("before 2007-06", "2008-01 or later") == "2008-01 or later"
    assert narrowed("", "2007-06") == "2007-06"


@pytest.mark.parametrize("said", ["2007-06", "before 2007-06", "2007-06 or later", "2007-06 to 2008-12"])
def test_a_time_is_read_as_it_is_written(said: str) -> None:
    time = time_said(said)
    assert time is not None
    assert time.said == said


@pytest.mark.parametrize("value", ["2007-13", "soon", "before", "2008-01 to 2007-01"])
def test_a_stated_time_of_building_must_be_one(yard: Book, value: str) -> None:
    with pytest.raises(BadInput) as caught:
        answered(yard, "hub 07 light tolliver", facts={"built": value})
    assert caught.value.place == "built"


@pytest.mark.parametrize(
    ("line", "models", "parts", "left"),
    [
        ("brae grille and longwagon hood", ("BR2",), ("grille",), {"longwagon", "hood"}),
        ("grille for my 08 brae and hood for my 08 light longwagon", ("BR2",), ("grille",),
         {"hood", "08", "light", "longwagon"}),
        ("brae grille and longwagon hood for my 08 light longwagon", ("WL2",), ("grille", "hood"), set()),
        ("grille off a brae and a hood for my 08 light longwagon", ("WL2",), ("grille", "hood"), set()),
        ("grille off a brae for an 08 light longwagon", ("WL2",), ("grille",), set()),
    ],
)  # fmt: skip
def test_of_two_vehicles_with_a_part_each_the_second_is_shown_as_not_understood(
    vocabulary: Vocabulary, line: str, models: tuple[str, ...], parts: tuple[str, ...], left: set[str]
) -> None:
    asked = understand(line, vocabulary).asked
    assert (asked.models, asked.part_types, set(asked.not_understood)) == (models, parts, left)


def test_two_vehicles_and_one_part_leave_open_which(yard: Book) -> None:
    """A Brae's hood or one for a Longwagon: nobody said which of them it goes on."""
    found = answered(yard, "brae hood light longwagon 08")
    assert set(found.asked.models) == {"BR2", "WL2"}
    assert found.questions[0].fact == "vehicle"


def test_what_a_part_comes_off_is_said_to_be_that(vocabulary: Vocabulary) -> None:
    asked = understand("big tank out of an 08 heavy longwagon for my light longwagon", vocabulary).asked
    assert "off Longwagon" in chip(asked, "off")


def test_a_want_keeps_the_years_left_open_and_when_it_was_built(yard: Book) -> None:
    found = answered(yard, "07/08 light longwagon tailgate built before 03/08")
    number = write_want(yard, C1, found, "Ada").number
    with yard.read() as session:
        kept = session.scalars(select(Want).where(Want.number == number)).one()
        assert kept.year is None
        assert kept.facts == {"year": "2007 or 2008", "built": "before 2008-03"}


def test_of_two_months_that_contradict_each_other_the_first_is_shown(vocabulary: Vocabulary) -> None:
    asked = understand("lca longwagon built 05/07, no, 04/08", vocabulary).asked
    assert (asked.built, chip(asked, "built")) == ("2008-04", ["2008-04"])
    assert asked.not_understood == ("05/07",)
