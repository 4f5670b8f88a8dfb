"""How lines are said at a counter: two parts by one noun, two vehicles in one breath, years and build months.

The manner of speaking is common practice, no source; the answers follow from the rules of the test yard.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select

from app.book.asking import ask
from app.book.buildtime import narrowed, time_said
from app.book.knowing import knowing
from app.book.schema import Want
from app.book.sheets import load_folder
from app.book.understanding import understand
from app.book.vocabulary import Vocabulary
from app.book.wanting import write_want
from app.book.work import Book, Who, open_book
from app.errors import BadInput
from app.fit.answers import Answer, Asked

YARD = Path(__file__).parents[1] / "casebook"
TODAY = date(2026, 3, 4)
C1 = Who("C1", seat="counter")
ARMS = {"front upper control arm", "front lower control arm"}


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp("lines") / "yard.book"))
    load_folder(book, C1, YARD)
    yield book
    book.close()


@pytest.fixture(scope="module")
def vocabulary(yard: Book) -> Vocabulary:
    with yard.read() as session:
        return knowing(session).vocabulary


def answered(yard: Book, words: str, **stated: object) -> Answer:
    return ask(yard, C1, words, on=TODAY, keep=False, **stated)  # type: ignore[arg-type]


def chip(asked: Asked, field: str) -> list[str]:
    return [each.value for each in asked.chips if each.field == field]


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


@pytest.mark.parametrize(
    ("line", "models"),
    [
        ("lca for an 08 longwagon, it isn't a 3/4 ton", ("WL2",)),
        ("not the heavy, the half-ton longwagon 08 lca", ("WL2",)),
        ("08 longwagon lca, not a half-ton", ("WH2",)),
        ("08 longwagon lca, no, a half-ton", ("WL2",)),
    ],
)
def test_a_vehicle_is_not_what_it_is_said_not_to_be(vocabulary: Vocabulary, line: str, models: tuple[str, ...]) -> None:
    asked = understand(line, vocabulary).asked
    assert asked.models == models
    assert not asked.not_understood


@pytest.mark.parametrize(
    ("line", "fact", "value"),
    [
        ("rear springs 2010 light longwagon non towing", "rear spring", "standard"),
        ("alternator 08 light longwagon doesn't have rear air", "rear air", "no"),
        ("alternator 08 light longwagon w/o rear air", "rear air", "no"),
        ("condenser 08 light longwagon w/rear air", "rear air", "yes"),
        ("driver door 2010 longwagon no power windows", "window", "crank"),
        ("trans 07 light tolliver not a 4x4", "drive", "2WD"),
        ("lca 08 longwagon, no leafs in back", "rear suspension", "five-link coil or four-link coil or twist beam"),
        ("driver seat 07 light tolliver no airbag", "seat airbag", "no"),
    ],
)
def test_a_look_that_is_denied_leaves_the_other_ones(vocabulary: Vocabulary, line: str, fact: str, value: str) -> None:
    assert understand(line, vocabulary).asked.facts[fact] == value


def test_a_part_that_is_not_there_or_not_wanted_is_not_asked_for(vocabulary: Vocabulary) -> None:
    asked = understand("08 brae hood, no grille", vocabulary).asked
    assert asked.part_types == ("hood",)
    assert chip(asked, "beside") == ["no grille"]
    assert understand("you got no hood for an 08 brae", vocabulary).asked.part_types == ("hood",)


@pytest.mark.parametrize(
    ("line", "left"),
    [
        ("rear air unit 08 light longwagon no third row", ("no", "third", "row")),
        ("lca 08 light longwagon but not off a heavy", ("not", "off", "a", "heavy")),
    ],
)
def test_a_denial_that_is_not_understood_is_shown_with_its_no(
    vocabulary: Vocabulary, line: str, left: tuple[str, ...]
) -> None:
    assert understand(line, vocabulary).asked.not_understood == left


@pytest.mark.parametrize(
    ("line", "fact", "value"),
    [
        ("alternator 105a", "alternator amps", "105"),
        ("26gal tank", "tank gallons", "26.0"),
        ("u-joint 3 and 5/8 across", "joint cap to cap", "3 5/8 in"),
        ("driveshaft 52 and a quarter inches", "driveshaft length", "52 1/4 in"),
        ("battery 700 cca", "cold amps", "700"),
        ("rear axle 373", "axle ratio", "3.73"),
        ("trans 4 by 4", "drive", "4x4"),
        ("u-joint 3rd, 3 5/8", "joint cap to cap", "3 5/8 in"),
    ],
)
def test_figures_are_written_in_many_ways(vocabulary: Vocabulary, line: str, fact: str, value: str) -> None:
    assert understand(line, vocabulary).asked.facts[fact] == value


def test_half_a_ton_is_no_length(vocabulary: Vocabulary) -> None:
    asked = understand("08 longwagon 1/2 ton gas tank 26 gal", vocabulary).asked
    assert asked.models == ("WL2",)
    assert asked.facts == {"tank gallons": "26.0"}


@pytest.mark.parametrize(
    ("line", "wants"),
    [
        ("engine under 130k", ("less than 130000 mi",)),
        ("rotors A grade", ("condition A",)),
        ("battery at least 700 cold amps", ("at least 700 A",)),
    ],
)
def test_requirements_are_stated_in_many_ways(vocabulary: Vocabulary, line: str, wants: tuple[str, ...]) -> None:
    assert understand(line, vocabulary).asked.wants == wants


def test_of_several_facts_in_a_unit_the_one_of_the_part_must_meet_the_figure(yard: Book) -> None:
    """S350 has 800 cold amps and S351 has 540."""
    found = answered(yard, "battery 2007 light tolliver plus on the left, at least 700 cold amps")
    assert [line.tags for line in found.answers] == [("S350",)]


@pytest.mark.parametrize(("said", "side"), [("rt", "RH"), ("lt.", "LH"), ("l/f", "LH"), ("pass side", "RH")])
def test_sides_are_written_short(vocabulary: Vocabulary, said: str, side: str) -> None:
    assert str(understand(f"{said} hub 07 tolliver", vocabulary).asked.side) == side


def test_a_side_in_a_parts_name_keeps_the_other_side_out(vocabulary: Vocabulary) -> None:
    assert "driver airbag module" not in understand("passenger airbag 2010 longwagon", vocabulary).asked.part_types


@pytest.mark.parametrize(
    ("line", "part"),
    [
        ("sun roof 09 osier", "sunroof glass"),
        ("encoder 09 light longwagon", "transfer case shift motor"),
        ("axle assemblies 2008 light longwagon", "rear axle assembly"),
        ("nose clip for an 08 longwagon", "nose"),
    ],
)
def test_a_part_is_found_by_a_word_of_its_spoken_name(vocabulary: Vocabulary, line: str, part: str) -> None:
    assert understand(line, vocabulary).asked.part_types == vocabulary.wider[part]


@pytest.mark.parametrize(("line", "pieces"), [("12 body mount bolts", 12), ("dozen body mounts", 12)])
def test_pieces_are_counted_though_the_name_goes_on(vocabulary: Vocabulary, line: str, pieces: int) -> None:
    asked = understand(f"{line} 08 longwagon", vocabulary).asked
    assert (asked.quantity, asked.year) == (pieces, 2008)


@pytest.mark.parametrize(
    ("line", "part"),
    [
        ("i need the upper arm, rh, not the lower", "front upper control arm"),
        ("lower arm, not upper", "front lower control arm"),
        ("control arm but not the upper", "front lower control arm"),
    ],
)
def test_a_place_that_is_denied_is_the_other_one(vocabulary: Vocabulary, line: str, part: str) -> None:
    asked = understand(f"{line} 08 light longwagon", vocabulary).asked
    assert asked.part_types == (part,)
    assert not asked.not_understood


def test_what_is_denied_beside_a_part_in_a_longer_phrase(vocabulary: Vocabulary) -> None:
    asked = understand("short bed w/o tailgate 08 light tolliver", vocabulary).asked
    assert asked.part_types == vocabulary.wider["pickup bed"]
    assert chip(asked, "beside") == ["no tailgate"]


def test_a_list_of_parts_needs_but_one_and(vocabulary: Vocabulary) -> None:
    asked = understand("need left fender headlight and bumper cover 2008 brae", vocabulary).asked
    assert asked.part_types == ("front fender", "headlamp", "front bumper cover")
    without = understand("need grille hood headlight left 08 brae", vocabulary).asked
    assert without.part_types == ("grille", "hood", "headlamp")
    said_twice = understand("speedo cluster and hood 2008 brae", vocabulary).asked
    assert said_twice.part_types == ("instrument cluster", "hood")


def test_leaf_springs_are_no_coil_springs(vocabulary: Vocabulary) -> None:
    asked = understand("need 2 rear leaf springs 2011 heavy tolliver", vocabulary).asked
    assert asked.part_types == ()
    assert asked.facts == {"rear suspension": "leaf"}


@pytest.mark.parametrize(
    ("line", "wants"),
    [
        ("hood less than two hundred", ("at most $200",)),
        ("hood under two hundred and fifty dollars", ("at most $250",)),
        ("engine under 130 thousand miles", ("less than 130000 mi",)),
        ("rotor 1 1/2 or more", ("at least 1 1/2 in",)),
        ("rotor 5/8 or better", ("at least 5/8 in",)),
        ("lca A or B", ("B or better",)),
        ("lca grade A or B", ("B or better",)),
        ("lca A or B condition today", ("B or better", "today")),
    ],
)
def test_amounts_and_conditions_in_words(vocabulary: Vocabulary, line: str, wants: tuple[str, ...]) -> None:
    assert understand(line, vocabulary).asked.wants == wants


def test_a_number_that_counts_bolts_is_no_year(vocabulary: Vocabulary) -> None:
    asked = understand("rear axle assembly 10 bolt 2008 light longwagon", vocabulary).asked
    assert asked.year == 2008
    assert set(asked.not_understood) == {"10", "bolt"}


@pytest.mark.parametrize("cover", ["cloth", "leather"])
def test_what_a_seat_is_covered_with_tells_it_from_a_lamp(vocabulary: Vocabulary, cover: str) -> None:
    asked = understand(f"driver's bucket for an '07 tolliver, {cover}", vocabulary).asked
    assert asked.part_types == ("front bucket seat",)
    assert not asked.not_understood


def test_a_count_belongs_to_the_part_it_was_said_of(vocabulary: Vocabulary) -> None:
    asked = understand("grille, hood, both headlights 08 brae", vocabulary).asked
    assert (asked.part_types, asked.quantity) == (("headlamp",), 2)
    assert set(asked.not_understood) == {"grille", "hood"}
    plural = understand("two lca's and a hood 08 light longwagon", vocabulary).asked
    assert (plural.part_types, plural.not_understood) == (("front lower control arm",), ("hood",))


@pytest.mark.parametrize(
    ("line", "built"),
    [
        ("built on or before 12/08", "before 2009-01"),
        ("built in or after 12/08", "2008-12 or later"),
        ("built between 01/08 and 06/08", "2008-01 to 2008-06"),
        ("built from 01/08 to 06/08", "2008-01 to 2008-06"),
    ],
)
def test_bounds_of_a_build_time(vocabulary: Vocabulary, line: str, built: str) -> None:
    assert understand(f"light longwagon pump {line}", vocabulary).asked.built == built


@pytest.mark.parametrize(
    "line",
    ["not sure if it has rear air", "don't know whether it's got rear air", "dunno if it has the rear air"],
)
def test_what_nobody_is_sure_of_is_left_open_and_shown(vocabulary: Vocabulary, line: str) -> None:
    asked = understand(f"08 light longwagon condenser {line}", vocabulary).asked
    assert "rear air" not in asked.facts
    assert {"rear", "air"} <= set(asked.not_understood)


def test_it_never_had_it(vocabulary: Vocabulary) -> None:
    assert understand("08 light longwagon condenser never had rear air", vocabulary).asked.facts["rear air"] == "no"


def test_any_color_but_one(vocabulary: Vocabulary) -> None:
    asked = understand("hood 08 brae any color but black", vocabulary).asked
    assert "black" not in asked.facts["color"].split(" or ")
    assert understand("hood 08 brae but black", vocabulary).asked.facts["color"] == "black"


@pytest.mark.parametrize("line", ["tail lights 08 tolliver", "a 2007 and a half tolliver"])
def test_what_the_yard_has_no_part_for_is_no_other_part(vocabulary: Vocabulary, line: str) -> None:
    asked = understand(line, vocabulary).asked
    assert not asked.part_types
    assert not asked.meanings
    assert len(asked.models) > 1


def test_a_bare_fraction_is_no_measure_of_another_part(vocabulary: Vocabulary) -> None:
    asked = understand("longwagon lca 08 3/4", vocabulary).asked
    assert not asked.facts
    assert asked.not_understood == ("3/4",)


@pytest.mark.parametrize(("said", "side"), [("fl", "LH"), ("fr", "RH")])
def test_a_corner_is_said_in_two_letters(vocabulary: Vocabulary, said: str, side: str) -> None:
    asked = understand(f"{said} axle 08 light longwagon", vocabulary).asked
    assert (asked.part_types, str(asked.side)) == (("front half-shaft",), side)


def test_a_count_of_what_the_yard_does_not_name_is_no_count_of_the_part(vocabulary: Vocabulary) -> None:
    asked = understand("computer for an 08 light longwagon 5.1, have both keys", vocabulary).asked
    assert asked.quantity is None
    assert set(asked.not_understood) == {"both", "keys"}


def test_what_comes_with_a_part_is_not_the_part(vocabulary: Vocabulary) -> None:
    asked = understand("rear axle 3.73 8.4 ring light longwagon 08 w/ coil brackets", vocabulary).asked
    assert asked.part_types == ("rear axle assembly",)


def test_a_figure_that_is_denied_is_not_taken(vocabulary: Vocabulary) -> None:
    asked = understand("caliper lh 08 light longwagon not the 13 inch", vocabulary).asked
    assert "brake size" not in asked.facts
    assert asked.not_understood == ("not", "the", "13", "inch")


def test_a_size_in_figures_is_no_year(vocabulary: Vocabulary) -> None:
    asked = understand("battery for 07 light tolliver 12 x 6.9 x 7.8", vocabulary).asked
    assert asked.said_years == (2007,)
    assert asked.facts == {"battery length": "12 in", "battery width": "6.9 in", "battery height": "7.8 in"}


def test_one_part_named_for_each_side_is_one_part(vocabulary: Vocabulary) -> None:
    asked = understand("left headlamp and right headlamp 2008 brae", vocabulary).asked
    assert chip(asked, "part") == ["headlamp"]
    assert asked.side == ""
    assert not asked.not_understood
