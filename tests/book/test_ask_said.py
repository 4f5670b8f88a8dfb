"""Lines that say one thing and could be heard as another: whose a word is, what a "no" goes over, half a name.

The manner of speaking is common practice, no source; the answers follow from the rules of the test yard.
"""

from __future__ import annotations

from datetime import date

import pytest

from app.book.asking import ask
from app.book.sheets import load_folder
from app.book.typed import typed
from app.book.wanting import write_want
from app.book.words.understanding import understand
from app.book.words.vocabulary import Vocabulary
from app.book.work import Book, Who
from app.fit.answers import Answer, Asked
from tests.book.conftest import FOLDERS

TODAY = date(2026, 3, 4)
C1 = Who("C1", seat="counter")


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
        ("hood 08 brae not blue, not white", {"color": "grey or black or tan or red"}),
        ("hood 08 brae blue or white", {"color": "blue or white"}),
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
        ("longwagon light 2008 lower ball joint", "ball joint", {"ball joint", "lower"}),
        ("water pump 08 longwagon light", "water pump", {"water pump"}),
        ("tail lamp 08 longwagon", "tail lamp", {"tail lamp"}),
        ("power steering pump 08 longwagon", "power steering pump", {"power steering pump"}),
        ("tank strap 08 longwagon light", "tank strap", {"tank strap"}),
        ("door handle left 08 brae", "door handle", {"door handle"}),
    ],
)
def test_half_of_a_name_that_the_yard_does_not_know_is_asked_back(
    yard: Book, line: str, name: str, left: set[str]
) -> None:
    found = answered(yard, line)
    assert not found.answers
    assert set(found.asked.not_understood) == left
    assert found.questions[0].fact == "part"
    assert f"has no “{name}”" in found.questions[0].words


def test_nobody_is_called_for_half_of_a_name(sqlite_book: Book) -> None:
    """A want of a water pump is none of a fuel pump; one of a word with several meanings is a want of each."""
    load_folder(sqlite_book, C1, FOLDERS / "casebook")
    asked = ask(sqlite_book, C1, "water pump 08 longwagon light", on=TODAY, keep=False)
    assert write_want(sqlite_book, C1, asked, "Ada", as_said=True).parts == ()
    several = ask(sqlite_book, C1, "core 08 longwagon light", on=TODAY, keep=False)
    assert set(write_want(sqlite_book, C1, several, "Ada").parts) == {"core support", "radiator"}


@pytest.mark.parametrize(
    ("line", "part"),
    [
        ("u-joint 08 longwagon light", "rear driveshaft yoke and joint"),
        ("08 foobar tailgate", "tailgate"),
        ("08 foobar joint", "rear driveshaft yoke and joint"),
        ("chrome grille 08 brae", "grille"),
        ("body mount bushing 08 brae", "body-mount cushions, set"),
        ("brake caliper 08 longwagon light", "front caliper"),
    ],
)
def test_a_strange_word_that_makes_no_other_name_of_the_part_is_only_shown(
    vocabulary: Vocabulary, line: str, part: str
) -> None:
    assert understand(line, vocabulary).asked.part_types[0] == part


def test_a_front_that_is_on_it_is_the_nose_of_another(yard: Book) -> None:
    """Each piece of another nose alone leaves gaps (R96); with a whole Brae nose on it its grille bolts up alone."""
    for line in ("it has a brae front on it", "with a brae front end", "it's got a brae nose on it"):
        found = answered(yard, f"grille 08 longwagon light {line}")
        assert found.asked.carries == {"nose": ("BR2",)}, line
        assert graded(found) == ["S386 bolts_up"]
    assert not answered(yard, "grille 08 longwagon light with a brae front axle").asked.carries


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
        ("lca under 90", "less than $90"),
        ("lca cheaper than 90", "less than $90"),
        ("lca not over 90", "at most $90"),
        ("tank bigger than 26 gal", "more than 26 gal"),
        ("tank 26 gal or more", "at least 26 gal"),
        ("tank less than 30 gal", "less than 30 gal"),
        ("engine fewer than 120,000 miles", "less than 120000 mi"),
        ("engine no more than 120,000 miles", "at most 120000 mi"),
    ],
)
def test_more_than_is_not_at_least_and_under_is_not_at_most(vocabulary: Vocabulary, line: str, wants: str) -> None:
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


def test_a_year_that_is_unknown_is_said_in_the_question(yard: Book) -> None:
    (question, *_) = answered(yard, "lca rh for a 15 longwagon light").questions
    assert question.fact == "vehicle"
    assert question.words.startswith("No Longwagon of 2015 is in the book.")


def test_eight_lugs_on_a_half_ton_leave_open_whose_frame_it_is(yard: Book) -> None:
    """A light has six; leafs or coils in the back tell whose frame is under it."""
    found = answered(yard, "lca rh 08 tolliver half ton eight-lug")
    assert chip(found.asked, "contradiction") == ["light Tolliver has lug count 6, not 8"]
    assert found.questions[0].fact == "rear suspension"
    assert {str(line.grade) for line in found.answers} == {"measure"}
    leafs, coils = (
        answered(yard, f"lca rh 08 tolliver half ton eight-lug, {said} in the back") for said in ("leafs", "coils")
    )
    assert (graded(leafs), refused(leafs)) == (["S131 bolts_up"], {"S130", "S132"})
    assert graded(coils)[0] == "S130 bolts_up"
    assert chip(coils.asked, "contradiction")


def test_lugs_tell_which_truck_it_is_where_that_was_left_open(yard: Book) -> None:
    found = answered(yard, "lca rh 08 tolliver eight lug")
    assert found.asked.models == ("PH2",)
    assert not chip(found.asked, "contradiction")


@pytest.mark.parametrize("said", ["driver", "driver's", "drivers"])
def test_the_drivers_airbag_is_the_one_of_that_name_and_of_no_side(yard: Book, said: str) -> None:
    found = answered(yard, f"{said} airbag 08 longwagon light")
    assert found.asked.part_types == ("driver airbag module",)
    assert not found.asked.side
    assert (graded(found), refused(found)) == (["S211 bolts_up"], {"S210"})


def test_a_side_stays_where_another_part_has_one(vocabulary: Vocabulary) -> None:
    asked = understand("driver airbag and mirror 08 longwagon", vocabulary).asked
    assert (asked.part_types, str(asked.side)) == (("driver airbag module", "door mirror"), "LH")


def test_half_shafts_are_also_more_than_one_half_shaft(yard: Book) -> None:
    assert set(graded(answered(yard, "half-shafts 08 longwagon light"))) == {"S285 bolts_up", "S286 bolts_up"}


@pytest.mark.parametrize(
    "line",
    [
        "which mounts line up between the half-ton and the three-quarter?",
        "what mounts are alike between an 08 brae and an 09 heavy longwagon",
        "compare the mounts: compare an 08 light longwagon with an 08 heavy",
    ],
)
def test_two_vehicles_against_each_other_are_for_the_bench(yard: Book, line: str) -> None:
    found = answered(yard, line)
    assert not found.answers
    assert "bench" in found.questions[0].words
    assert "mounts" in found.asked.not_understood


def test_a_stated_vehicle_names_no_part_where_the_line_does(yard: Book) -> None:
    """R24: the same straight section is grafted in."""
    words = "I want to stretch my heavy pickup frame with a piece of another one"
    vehicle = "2010 Tolliver Heavy pickup (PH2), straight section between M4 and spring hanger"
    found = answered(yard, words, vehicle=vehicle)
    assert found.asked.part_types == ("frame rear section",)
    assert graded(found) == ["S186 needs_work"]
    assert {"straight", "spring", "hanger"} <= set(found.asked.not_understood)


def test_an_engine_in_a_stated_vehicle_is_a_fact_of_it(yard: Book) -> None:
    asked = answered(yard, "lca rh", vehicle="2007 light tolliver 5.1 4x4").asked
    assert asked.part_types == ("front lower control arm",)
    assert asked.facts == {"engine": "5.1", "drive": "4x4"}
    assert answered(yard, "", vehicle="2007 light tolliver tailgate").asked.part_types == ("tailgate",)


def test_plain_springs_are_the_standard_ones(yard: Book) -> None:
    found = answered(yard, "rear springs 08 longwagon light plain")
    assert found.asked.facts == {"rear spring": "standard"}
    assert graded(found)[0] == "S346 bolts_up"


@pytest.mark.parametrize(
    ("line", "wants"),
    [
        ("tank over 26", "more than 26 gal"),
        ("tank at least 30", "at least 30 gal"),
        ("tank over $26", "more than $26"),
        ("tank under 30", "less than $30"),
        ("lca over 80", "more than $80"),
    ],
)
def test_a_bare_floor_is_in_the_unit_of_the_part(vocabulary: Vocabulary, line: str, wants: str) -> None:
    assert understand(line, vocabulary).asked.wants == (wants,)


def test_a_size_is_length_by_width(vocabulary: Vocabulary) -> None:
    asked = understand("sunroof glass 31 1/2 by 17 08 longwagon", vocabulary).asked
    assert asked.facts == {"glass length": "31 1/2 in", "glass width": "17 in"}
    assert understand("wheels 17 by 8 08 longwagon", vocabulary).asked.not_understood == ("17", "by", "8")


@pytest.mark.parametrize("line", ["S999", "S999 08 longwagon light"])
def test_a_tag_that_is_not_there_is_said_not_to_be(yard: Book, line: str) -> None:
    (question,) = answered(yard, line).questions
    assert question.words == "There is no tag S999. Which part?"


def test_words_beside_a_tag_need_name_no_vehicle(yard: Book) -> None:
    assert typed(yard, "S999", on=TODAY) is None
    found = typed(yard, "S130 zonk", on=TODAY)
    assert found is not None
    assert found.asked.not_understood == ("zonk",)


def test_a_contradiction_is_decided_by_no_month(yard: Book) -> None:
    """Both trucks that it may be were built in the same months."""
    found = answered(yard, "lca rh 08 tolliver half ton eight-lug")
    assert "built" not in {each.fact for each in found.questions}
    assert not any("month" in line.say for line in found.answers)


def test_a_side_is_kept_where_the_part_is_not_known(vocabulary: Vocabulary) -> None:
    asked = understand("lh rear door 2011 brae", vocabulary).asked
    assert (asked.part_types, str(asked.side), set(asked.not_understood)) == ((), "LH", {"rear", "door"})
