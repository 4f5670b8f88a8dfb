"""From one figure to another, two figures of one thing, and early or late in a year, as they are said at a counter.

The manner of speaking is common practice, no source; the answers follow from the rules of the test yard.
"""

from __future__ import annotations

from datetime import date

import pytest

from app.book.asking import ask
from app.book.words.understanding import understand
from app.book.words.vocabulary import Vocabulary
from app.book.work import Book, Who

TODAY = date(2026, 3, 4)
C1 = Who("C1", seat="counter")
DOLLARS = ("at least $100", "at most $200")


@pytest.mark.parametrize(
    ("line", "wants"),
    [
        ("fuel tank 08 longwagon between 100 and 200", DOLLARS),
        ("fuel tank 08 longwagon between 200 and 100", DOLLARS),
        ("fuel tank 08 longwagon 100 to 200 dollars", DOLLARS),
        ("fuel tank 08 longwagon 100 dollars to 200 dollars", DOLLARS),
        ("fuel tank 08 longwagon $100 - $200", DOLLARS),
        ("fuel tank 08 longwagon $100-200", DOLLARS),
        ("100-200 bucks fuel tank 08 longwagon", DOLLARS),
        ("engine 08 longwagon between 50k and 100k miles", ("at least 50000 mi", "at most 100000 mi")),
        ("engine 08 longwagon 50k-100k miles", ("at least 50000 mi", "at most 100000 mi")),
        ("tank 08 longwagon 25 to 30 gal", ("at least 25 gal", "at most 30 gal")),
        # No tank costs 20 dollars, and some hold 26 gallons.
        ("tank 08 longwagon between 20 and 40", ("at least 20 gal", "at most 40 gal")),
    ],
)
def test_a_range_is_a_floor_and_a_ceiling(vocabulary: Vocabulary, line: str, wants: tuple[str, ...]) -> None:
    asked = understand(line, vocabulary).asked
    assert asked.wants == wants
    assert [each.value for each in asked.chips if each.field == "wants"] == list(wants)
    assert not asked.not_understood


@pytest.mark.parametrize("line", ["lca rh 08 longwagon for 60 bucks", "lca rh 08 longwagon $60", "60 dollars lca"])
def test_a_price_that_is_named_alone_is_the_most_that_is_paid(vocabulary: Vocabulary, line: str) -> None:
    asked = understand(line, vocabulary).asked
    assert asked.wants == ("at most $60",)
    assert not asked.not_understood


@pytest.mark.parametrize(
    ("line", "years"),
    [
        ("hub tolliver between 07 and 09", (2007, 2008, 2009)),
        ("hub tolliver 07 to 09", (2007, 2008, 2009)),
        ("hub tolliver 07-08", (2007, 2008)),
    ],
)
def test_years_are_no_dollars(vocabulary: Vocabulary, line: str, years: tuple[int, ...]) -> None:
    asked = understand(line, vocabulary).asked
    assert asked.said_years == years
    assert not asked.wants
    assert not asked.not_understood


@pytest.mark.parametrize("line", ["2 to 3 hubs 08 tolliver", "between 5 and 6 lug wheels", "100 to", "between"])
def test_two_figures_without_a_unit_are_no_requirement(vocabulary: Vocabulary, line: str) -> None:
    assert not understand(line, vocabulary).asked.wants


def test_what_costs_less_or_more_stands_below_what_was_asked(yard: Book) -> None:
    """The casebook's three arms for a light wagon ask 75, 85 and 95 dollars."""
    found = ask(yard, C1, "lca rh 08 light longwagon between 80 and 90", on=TODAY, keep=False)
    assert {line.price_cents for line in found.answers} == {8500}
    below = {line.price_cents: line.reasons[0] for line in found.not_what_was_asked}
    assert below[7500].endswith("75.00 is under 80")
    assert below[9500].endswith("95.00 is over 90")


@pytest.mark.parametrize(
    ("said", "met"),
    [
        ("under 85", {7500}),
        ("less than 85", {7500}),
        ("cheaper than $85", {7500}),
        ("85 or less", {7500, 8500}),
        ("up to 85", {7500, 8500}),
        ("no more than 85 bucks", {7500, 8500}),
        ("over 85", {9500}),
        ("85 or more", {8500, 9500}),
    ],
)
def test_under_a_price_is_less_than_it_and_up_to_a_price_is_that_too(yard: Book, said: str, met: set[int]) -> None:
    """1.7.10: what misses a requirement stands below; the same three arms."""
    found = ask(yard, C1, f"lca rh 08 light longwagon {said}", on=TODAY, keep=False)
    assert {line.price_cents for line in found.answers} == met
    assert {line.price_cents for line in found.not_what_was_asked} == {7500, 8500, 9500} - met


def test_a_price_that_is_just_the_limit_is_said_to_be(yard: Book) -> None:
    found = ask(yard, C1, "lca rh 08 light longwagon under 85", on=TODAY, keep=False)
    (just,) = [line for line in found.not_what_was_asked if line.price_cents == 8500]
    assert just.reasons[0].endswith("85.00 is not under 85")


@pytest.mark.parametrize(
    ("line", "circle"),
    [
        ("wheels 5 on 4.5 for a tansy", "4.50 in"),
        ("wheels 5x4.5 for a tansy", "4.50 in"),
        ("wheels 5 on 4 1/2 for a tansy", "4.50 in"),
        ("wheels 5 on 5 for a harrow", "5.00 in"),
    ],
)
def test_five_on_four_and_a_half_is_lugs_on_a_circle(vocabulary: Vocabulary, line: str, circle: str) -> None:
    asked = understand(line, vocabulary).asked
    assert (asked.facts["lug count"], asked.facts["lug circle"]) == ("5", circle)
    assert not asked.not_understood


def test_the_name_of_a_fact_behind_its_figure_says_nothing_more(vocabulary: Vocabulary) -> None:
    asked = understand("wheels 16 inch diameters 08 longwagon", vocabulary).asked
    assert asked.facts["wheel diameter"] == "16 in"
    assert not asked.not_understood


def test_a_figure_before_a_vehicle_is_no_circle(vocabulary: Vocabulary) -> None:
    asked = understand("hub 5 on 08 longwagon", vocabulary).asked
    assert asked.year == 2008
    assert asked.not_understood == ("5",)


@pytest.mark.parametrize(
    ("line", "built"),
    [
        ("lh hub early 07 tolliver light", "before 2007-07"),
        ("lh hub late '07 tolliver light", "2007-07 or later"),
        ("lh hub for a late 2007 tolliver light", "2007-07 or later"),
    ],
)
def test_early_and_late_are_the_halves_of_a_year(vocabulary: Vocabulary, line: str, built: str) -> None:
    asked = understand(line, vocabulary).asked
    assert (asked.year, asked.built) == (2007, built)
    assert not asked.not_understood


@pytest.mark.parametrize(
    "line",
    [
        "early 07 or 08 tolliver hub",
        "hub off an early 07 tolliver on my 09 longwagon",
        "late model longwagon hub",
        "late 10 bolt axle",
    ],
)
def test_early_and_late_of_something_else_are_shown_as_not_understood(vocabulary: Vocabulary, line: str) -> None:
    asked = understand(line, vocabulary).asked
    assert asked.built is None
    assert {"early", "late"} & set(asked.not_understood)


def test_a_word_of_the_yard_that_begins_early_is_no_half_year(vocabulary: Vocabulary) -> None:
    assert understand("early flange flexplate 07 tolliver", vocabulary).asked.facts["crank flange"] == "early flange"


def test_late_in_the_year_the_plug_is_the_new_one(yard: Book) -> None:
    """R27 of the casebook: the oval plug came in June of 2007, so a hub of that kind fits a truck built in July."""
    late = ask(yard, C1, "lh hub late 07 tolliver light 4x4", on=TODAY, keep=False)
    assert ("S191",) in {line.tags for line in late.answers}
    early = ask(yard, C1, "lh hub 07 tolliver light 4x4 built before 06/07", on=TODAY, keep=False)
    assert ("S191",) in {line.tags for line in early.do_not_sell}
