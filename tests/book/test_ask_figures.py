"""How lines are said at a counter: what is denied, figures and counts, sides, and parts by a word of their names.

The manner of speaking is common practice, no source; the answers follow from the rules of the test yard.
"""

from __future__ import annotations

from datetime import date

import pytest

from app.book.asking import ask
from app.book.words.understanding import understand
from app.book.words.vocabulary import Vocabulary
from app.book.work import Book, Who
from app.fit.answers import Answer, Asked

TODAY = date(2026, 3, 4)
C1 = Who("C1", seat="counter")


def answered(yard: Book, words: str, **stated: object) -> Answer:
    return ask(yard, C1, words, on=TODAY, keep=False, **stated)  # type: ignore[arg-type]


def chip(asked: Asked, field: str) -> list[str]:
    return [each.value for each in asked.chips if each.field == field]


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
        ("hood less than two hundred", ("less than $200",)),
        ("hood under two hundred and fifty dollars", ("less than $250",)),
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
    assert chip(asked, "beside") == ["not answered: grille", "not answered: hood"]
    plural = understand("two lca's and a hood 08 light longwagon", vocabulary).asked
    assert (plural.part_types, chip(plural, "beside")) == (("front lower control arm",), ["not answered: hood"])


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


@pytest.mark.parametrize(
    ("words", "fact"),
    [
        ("radiator 34.0 in for a 2007 tolliver light", ("radiator core", "34.0 in")),
        ("fuel tank 38.5 in a 2009 longwagon heavy", ("tank gallons", "38.5")),
        ("fuel tank 38.5 gal 2009 longwagon heavy", ("tank gallons", "38.5")),
    ],
)
def test_a_figure_in_another_unit_is_no_look_of_that(yard: Book, words: str, fact: tuple[str, str]) -> None:
    """34.0 is how many gallons a tank may hold, and no inches of it."""
    assert fact in answered(yard, words).asked.facts.items()
