"""Facts of a part, and facts stated beside the words: one list, one wording, values that can be. Invented data."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.commands.desk import Desk
from tests.support.books import copy_file

CASEBOOK = Path(__file__).parents[1] / "casebook"
ASK = ("ask", "--no-keep", "--on", "2026-03-04")


@pytest.fixture(scope="module")
def desk(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Desk:
    """A desk over the casebook's yard."""
    found = Desk(str(copy_file(sqlite_template, tmp_path_factory.mktemp("facts") / "yard.book")))
    found.says("load", str(CASEBOOK))
    return found


def telling(desk: Desk, *words: str) -> dict[str, dict[str, Any]]:
    return {each["fact"]: each for each in desk.record("facts", *words)["facts"]}


def test_a_part_of_several_words_needs_no_quotes(desk: Desk) -> None:
    assert desk.record("facts", "front", "hub") == desk.record("facts", "front hub")


def test_what_can_be_one_thing_only_is_no_fact_that_changes_an_answer(desk: Desk) -> None:
    """Every steering box has the same bolt pattern, so that it tells no hub from another; the place of a tank does."""
    hub = telling(desk, "front hub")
    assert "steering bolt pattern" not in hub
    assert {"hub plug", "ring teeth", "tank place", "built", "plant", "side"} <= set(hub)


@pytest.mark.parametrize("fact", ["hub plug", "built"])
def test_a_fact_is_asked_for_in_the_words_by_which_it_is_listed(desk: Desk, fact: str) -> None:
    found = desk.record(*ASK, "left front hub 2007 tolliver light 4x4")
    asked = {each["fact"]: each["words"] for each in found["questions"]}
    assert asked[fact] == telling(desk, "front hub")[fact]["question"]


@pytest.mark.parametrize(
    ("stated", "expected"),
    [
        ("tank gallons=lots", "number of gal"),
        ("wheel diameter=big", "length of in"),
        ("ring teeth=48.5", "whole number"),
        ("weight class=pink", "heavy or light"),
    ],
)
def test_a_value_that_cannot_be_is_refused_with_what_was_expected(desk: Desk, stated: str, expected: str) -> None:
    refusal = desk.refusal(*ASK, "tank 08 longwagon", "--fact", stated)
    assert refusal["place"] == stated.partition("=")[0]
    assert expected in refusal["remedy"]


def test_a_fact_that_is_spelled_wrong_is_told_how_it_is_spelled(desk: Desk) -> None:
    refusal = desk.refusal(*ASK, "hub 07 tolliver light", "--fact", "hub plugs=square")
    assert (refusal["place"], refusal["title"]) == ("hub plugs", "there is no fact 'hub plugs'")
    assert refusal["remedy"].startswith("Is it hub plug")
    assert desk.refusal(*ASK, "hub 07 tolliver light", "--fact", "qq=1")["remedy"].startswith("Take a fact")


@pytest.mark.parametrize("stated", ["tank gallons=26", "tank gallons=26 gal", "wheel diameter=16 1/2"])
def test_figures_are_taken_as_they_are_said(desk: Desk, stated: str) -> None:
    name, _, value = stated.partition("=")
    assert desk.record(*ASK, "tank 08 longwagon", "--fact", stated)["asked"]["facts"][name] == value


@pytest.mark.parametrize("stated", [("tank 2008 longwagon",), ("tank", "--vehicle", "2008 longwagon")])
def test_a_year_that_is_stated_beats_the_one_said_and_may_be_one_in_which_there_was_none(
    desk: Desk, stated: tuple[str, ...]
) -> None:
    assert desk.record(*ASK, *stated, "--fact", "year=2010")["asked"]["years"] == [2010]
    strange = desk.record(*ASK, *stated, "--fact", "year=1960")["asked"]
    assert "no Longwagon of 1960 is in the book" in [chip["value"] for chip in strange["chips"]]


def test_a_requirement_is_stated_by_the_name_of_a_fact_with_a_value_that_can_be(desk: Desk) -> None:
    """26 and 34 gal tanks: at least 30 leaves the bigger, however that is written."""
    tanks = (*ASK, "08 light longwagon", "--part", "fuel tank")
    for wanted in ("tank gallons>=30", "tank gallons=at least 30", "tank gallons at least 30 gal"):
        found = desk.record(*tanks, "--wants", wanted)
        assert found["asked"]["wants"] == [wanted]
        assert found["answers"]
        assert all(float(line["facts"]["tank gallons"].split()[0]) >= 30 for line in found["answers"])
        assert found["not_what_was_asked"]
    assert "number" in desk.refusal(*tanks, "--wants", "tank gallons=lots")["remedy"]


def test_what_was_stated_beside_the_words_is_told_back_with_them(desk: Desk) -> None:
    told = desk.says(*ASK, "08 longwagon light", "--part", "front lower control arm", "--side", "RH").splitlines()[0]
    assert told == "2008 · Longwagon · light · front lower control arm · RH"
    told = desk.says(*ASK, "tank 08 longwagon light", "--wants", "tank gallons>=30").splitlines()[0]
    assert told.endswith(" · tank gallons>=30")


def test_a_day_before_the_shelf_was_seen_is_no_negative_age(desk: Desk) -> None:
    early = ("ask", "--no-keep", "--on", "2026-01-01", "lca rh 08 longwagon light")
    assert {line["seen_days"] for line in desk.record(*early)["answers"]} == {None}
    assert "seen" not in desk.says(*early)


@pytest.mark.parametrize("words", [("tank 08 longwagon",), ("tank", "--vehicle", "08 longwagon")])
def test_the_weight_class_may_be_stated_by_its_name(desk: Desk, words: tuple[str, ...]) -> None:
    by_fact = desk.record(*ASK, *words, "--fact", "weight class=Light")
    assert by_fact["asked"]["vehicle"] == ["WL2"]
    assert ("weight class", "light") in [(chip["field"], chip["value"]) for chip in by_fact["asked"]["chips"]]


def test_rules_are_found_by_their_part(desk: Desk) -> None:
    assert [row["code"] for row in desk.record("rules", "list", "blower")["rules"]] == ["R78", "R79", "R110"]
    assert [row["code"] for row in desk.record("rules", "list", "blower", "twin")["rules"]] == ["R110"]


def test_what_tells_the_month_that_a_part_goes_by_is_a_fact_that_changes_an_answer(
    sqlite_template: Path, tmp_path: Path
) -> None:
    """A plug that one plant changed late tells when and where it was built, a pulley how much differs afterwards."""
    boats = Desk(str(copy_file(sqlite_template, tmp_path / "boats.book")))
    boats.says("load", str(CASEBOOK.parent / "seventh_yard"))
    assert {"plug kind", "built", "plant"} == set(telling(boats, "tilt motor"))
    assert "pulley size" in telling(boats, "belt pulley")
    assert "console cutout" in telling(boats, "gps mount"), "it tells whether the bracket is there"


def test_a_word_for_several_parts_names_all_of_them_with_all_that_can_hurt(desk: Desk) -> None:
    told = desk.says("facts", "fuel tank").splitlines()
    assert told[0].split(maxsplit=1) == ["part", "fuel tank, behind axle or fuel tank, left side"]
    assert sum(line.startswith("caution: ") for line in told) == 1
