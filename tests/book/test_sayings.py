"""What is said at the counter: no price that may not be said, no two numbers for one thing, and the look that decides.

Invented data; the rules of the game are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from app.book.asking import ask
from app.book.reverse import why
from app.book.sales import Basket, Line, sell
from app.book.schema import Role
from app.book.sheets import load_folder
from app.book.work import Book, Who, open_book
from app.fit.answers import Answer, AnswerLine
from app.fit.saying.reasons import is_or_are, one_of, question_about
from tests.book.conftest import loaded

YARD = Path(__file__).parents[1] / "casebook"
TODAY = date(2026, 3, 4)
OWNER = Who("OW", Role.OWNER, "office")
C1 = Who("C1", Role.COUNTER, "counter")


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp("sayings") / "yard.book"))
    load_folder(book, OWNER, YARD)
    yield book
    book.close()


@pytest.fixture
def shop(sqlite_book: Book) -> Book:
    """The same yard, to sell from."""
    load_folder(sqlite_book, OWNER, YARD)
    return sqlite_book


def asked(yard: Book, words: str, **facts: str) -> Answer:
    given = {name.replace("_", " "): value for name, value in facts.items()}
    return ask(yard, C1, words, facts=given, on=TODAY, keep=False)


def line(found: Answer, tag: str) -> AnswerLine:
    return next(each for each in (*found.answers, *found.do_not_sell) if each.tags[0] == tag)


def test_a_set_that_is_short_has_no_price_until_it_is_accepted_in_writing(yard: Book) -> None:
    found = line(asked(yard, "rear heater 08 longwagon light knobs"), "S232")
    assert "short of a rear air control, digital and a rear air harness, digital" in found.say
    assert "No price until you accept in writing" in found.say
    assert "175" not in found.say


def test_a_set_that_is_short_of_one_piece_names_those_that_are_in_stock(shop: Book) -> None:
    sell(shop, C1, Basket([Line("S244")]))
    found = line(asked(shop, "front rotors 08 longwagon light"), "S241")
    assert found.grade == "set_short"
    assert "short of a front caliper LH; I do have caliper brackets, pair + front caliper RH + wheels" in found.say
    assert found.missing == ("front caliper LH",)
    assert {"caliper brackets, pair S243", "front caliper RH S245"} <= set(found.companions)


def test_a_lot_of_too_few_pieces_has_no_price_either(yard: Book) -> None:
    found = asked(yard, "all 30 body mounts 2008 half-ton longwagon").answers
    assert {each.grade.value for each in found} == {"set_short"}
    assert all("No price until you accept in writing" in each.say for each in found)


def test_what_a_rule_quotes_of_the_book_stays_the_books_beside_the_customers_reading(yard: Book) -> None:
    gear = line(asked(yard, "steering gear 08 longwagon light", steering_mount_bolts="3"), "S104")
    assert "differ by 1: 3 against 4 by the book, yours reads 3" in gear.say
    support = line(asked(yard, "core support 2008 brae", core_support_spread="39 in"), "S160")
    assert "differs by 2.50 in by the book, yours reads 39 in" in support.say


def test_what_the_book_does_not_quote_goes_by_the_customers_reading(yard: Book) -> None:
    """161,200 less 118,400; the other way where both read the same, nothing is off."""
    other = line(asked(yard, "gauge cluster 2008 half-ton longwagon", mileage_shown="161,200"), "S395")
    assert "42,800 mi off the true mileage" in other.say
    same = line(asked(yard, "gauge cluster 2008 half-ton longwagon", mileage_shown="118,400"), "S395")
    assert "off the true mileage" not in same.say


def test_a_reading_in_eighths_is_a_number_like_any_other(yard: Book) -> None:
    """52.95 less 52.375 is 0.575."""
    shaft = line(asked(yard, "rear driveshaft 2008 half-ton longwagon", driveshaft_length="52 3/8"), "S335")
    assert "52.95 in against 52 3/8: difference 0.5" in shaft.say


def test_what_the_customer_measured_is_not_asked_for_again(yard: Book) -> None:
    found = line(asked(yard, "core support 2008 brae", core_support_spread="39 in"), "S161")
    assert "core support spread 37.00 in, yours 39 in" in found.say
    assert "measure yours" not in found.say
    assert "measure yours" in line(asked(yard, "core support 2008 brae"), "S161").say


@pytest.mark.parametrize(
    ("words", "tag", "once"),
    [
        ("hitch 08 longwagon light", "S266", "shims stop"),
        ("caliper rh 08 longwagon light", "S281", "bleeder"),
        ("gauge cluster 2008 half-ton longwagon", "S396", "opening"),
    ],
)
def test_a_reason_is_said_once(yard: Book, words: str, tag: str, once: str) -> None:
    assert line(asked(yard, words), tag).say.count(once) == 1


@pytest.mark.parametrize(
    ("words", "tag", "said"),
    [
        ("fuel pump 09 longwagon light", "S200", "2009-01 or later, goes on as a set if it is before 2009-01."),
        ("fuel pump 09 longwagon light", "S202", "bolts up if it is before 2009-01."),
        ("engine 07 tolliver light", "S301", "bolts up if it is 2007-06 or later."),
        ("trans 2009 half-ton tolliver 4x4, automatic", "S320", "bolts up if it is before 2009-01."),
    ],
)  # fmt: skip
def test_a_build_date_is_said_by_its_split_and_never_by_a_month_for_example(
    yard: Book, words: str, tag: str, said: str
) -> None:
    assert said in line(asked(yard, words), tag).say


def test_looks_that_only_decide_together_are_said_together(yard: Book) -> None:
    found = line(asked(yard, "tranny for an 08 longwagon half ton"), "S320")
    assert "bolts up if the drive is 4x4 and the gearbox is four-speed small case" in found.say
    shaft = asked(yard, "driveshaft 08 tolliver light")
    assert "bolts up if the bed is short, the cab is crew and the drive is 4x4" in line(shaft, "S337").say
    in_doubt = line(shaft, "S338").say
    assert "until we know the bed, the cab and the drive and measure: driveshaft length 52.70 in" in in_doubt
    assert "travel" not in in_doubt


def test_sizes_that_nobody_took_are_said_and_asked_for(yard: Book) -> None:
    found = line(asked(yard, "wheels 2008 half-ton longwagon"), "S246")
    assert "measure the hub bore and the wheel offset on yours and on ours" in found.say
    assert found.unknowns == (
        "How wide is the hole in the middle?",
        "How far is the mounting face from the middle of the wheel?",
        "look at ours: hub bore",
        "look at ours: wheel offset",
    )


def test_a_year_in_which_there_was_no_such_vehicle_is_said(yard: Book) -> None:
    for each in asked(yard, "lca rh 2003 longwagon light").answers:
        assert "no Longwagon of 2003 is in the book" in each.say
        assert "not said" not in each.say


def test_only_what_was_not_said_of_the_vehicle_is_missed(yard: Book) -> None:
    assert "I won't promise it: make and model are not said" in line(asked(yard, "lca rh 2008"), "S130").say
    assert "I won't promise it: year, make and model are not said" in line(asked(yard, "lca rh"), "S130").say


def test_a_dispute_says_what_to_tape_and_when_that_is_done_that_the_phone_settles_nothing(yard: Book) -> None:
    before = line(asked(yard, "tailgate 2009 tolliver light"), "S333")
    assert "until we measure the hinge spread on yours: 3 sold and kept, 1 came back" in before.say
    assert before.unknowns == ("Center to center on the hinge cups?",)
    after = line(asked(yard, "tailgate 2009 tolliver light", hinge_spread="60.25 in"), "S333")
    assert "can't be settled over the phone" in after.say
    assert "hinge spread 60.25 in on both" in after.say
    assert "0.00" not in after.say
    assert after.unknowns == ("R77 is in dispute until it is written down why",)


def test_a_chain_says_its_links_and_the_vehicle_between(yard: Book) -> None:
    found = line(asked(yard, "blower 2008 tansy"), "S330")
    assert "by chain, 2 links, by way of an Osier:" in found.say
    assert "Osier" in why(yard, "S330", "2008 tansy").say


def test_what_the_law_would_forbid_is_asked_before_a_part_that_was_never_compared(yard: Book) -> None:
    seat = line(asked(yard, "seat 07 tolliver light LH"), "S355")
    assert "If it has no seat airbag I can't sell it: yard law" in seat.say
    assert seat.unknowns == ("Yellow plug under the seat?",)
    gearbox = line(asked(yard, "tranny for an 08 longwagon half ton"), "S322")
    assert "If the drive is 4x4 I can't sell it: no transfer-case face. Else we'd try it" in gearbox.say


@pytest.mark.parametrize(
    ("words", "tag", "charge"),
    [
        ("hybrid battery 2007 tansy", "S375", "it carries high voltage"),
        ("steering wheel airbag 2008 brae", "S211", "it holds a live charge"),
        ("seat 07 tolliver light LH", "S355", "it holds a live charge"),
    ],
)
def test_what_holds_a_charge_is_never_tried_on(yard: Book, words: str, tag: str, charge: str) -> None:
    found = line(asked(yard, words), tag)
    assert found.grade == "not_compared"
    assert f"never compared with yours and never tried on, for {charge}" in found.say
    assert "before you pay" not in found.say


def test_a_set_of_which_a_piece_was_sold_is_said_to_be_short_where_it_would_be_asked_for(shop: Book) -> None:
    """Without its pigtail the late pump is right only in the late tank."""
    sell(shop, C1, Basket([Line("S201")]))
    found = line(asked(shop, "fuel pump 09 longwagon light"), "S200")
    assert found.grade == "measure"
    assert "only works as a set, and I'm short of a piece of it, if it is before 2009-01" in found.say
    computer = line(asked(shop, "engine computer 2008 half-ton longwagon"), "S313")
    assert "If the gearbox is six-speed it only works as a set, and I'm short of a piece." in computer.say


def test_a_set_that_is_whole_for_one_customer_and_short_for_the_next_says_for_which(shop: Book) -> None:
    """The bigger rotors want bigger wheels, which some trucks have already."""
    sell(shop, C1, Basket([Line("S246")]))
    found = line(asked(shop, "front rotors 08 longwagon light"), "S241")
    assert "goes on as a set if it is 17 in; only works as a set, and I'm short" in found.say
    assert found.say.endswith("if it is 16 in.")
    assert found.unknowns == ("What wheels are on it?",)


def test_what_is_gone_from_a_lump_is_listed(yard: Book) -> None:
    found = line(asked(yard, "half-cut 2008 osier"), "S399")
    assert found.missing == ("alternator, four-cylinder",)
    assert found.say.endswith("Gone from it: alternator, four-cylinder.")


def test_what_works_differently_is_a_sentence(yard: Book) -> None:
    found = line(asked(yard, "lca rh 08 longwagon light"), "S131").say
    assert found.startswith("It bolts in and works differently: 1.00 in longer from pivot to ball joint; ")
    assert "; and not for road use as it stands. It's 95" in found


@pytest.mark.parametrize(
    ("name", "one", "verb"),
    [
        ("cold compressor", "a cold compressor", "is"),
        ("anti-theft module", "an anti-theft module", "is"),
        ("ignition lock with 2 keys", "an ignition lock with 2 keys", "is"),
        ("set of bolts", "a set of bolts", "is"),
        ("front door glass", "a front door glass", "is"),
        ("brake drums, pair", "brake drums, pair", "are"),
        ("wheels, set of four", "wheels, set of four", "are"),
        ("amps needed", "amps needed", "are"),
        ("trigger teeth", "trigger teeth", "are"),
    ],
)
def test_a_name_is_spoken_of_as_one_thing_or_several(name: str, one: str, verb: str) -> None:
    assert (one_of(name), is_or_are(name)) == (one, verb)
    assert question_about(name) == f"What {verb} the {name}?"


def test_of_a_part_without_sides_it_is_not_said_that_none_was_said(yard: Book) -> None:
    """R96 asks for the same side of lamps, and speaks of the hood as well."""
    reasons = line(asked(yard, "hood 08 longwagon light"), "S385").reasons
    assert any("no side to either" in each for each in reasons)
    assert not any("not said" in each for each in reasons)


def test_what_law_forbids_is_not_said_not_to_fit(yard: Book) -> None:
    """A recall nobody closed: it would fit, and must not be sold."""
    module = line(asked(yard, "driver airbag module 08 longwagon light"), "S210")
    assert module.grade == "wont_fit"
    assert module.say.startswith("I can't sell that: open safety recall on the donor")


def test_a_refusal_gives_the_reason_of_the_rule_that_refuses(tmp_path_factory: pytest.TempPathFactory) -> None:
    """A radiator of the sixth yard: by one rule the core is the same, by another a hose is on the wrong side."""
    for sixth in loaded("sixth_yard", tmp_path_factory):
        refused = line(ask(sixth, C1, "radiator", vehicle="2010 HE1", on=date(2026, 8, 12), keep=False), "K207")
    assert refused.say == "Won't fit: hose on the other side; hose 300 mm off."
    assert any("same core" in each for each in refused.reasons)


def test_a_look_at_our_part_that_its_plates_tell_is_said_in_words(tmp_path_factory: pytest.TempPathFactory) -> None:
    """A shock absorber off a vehicle of which nobody wrote down when it was built."""
    for sixth in loaded("sixth_yard", tmp_path_factory):
        found = ask(sixth, C1, "shock absorber", vehicle="2018 BU2", on=date(2026, 8, 12), keep=False)
    assert any("look at ours: the build month on the door sticker" in each.unknowns for each in found.answers)


def test_what_may_come_to_a_set_has_the_price_of_one_piece_of_it_at_least(yard: Book) -> None:
    """110 is the computer alone; with the module and the lock of its set it is 215."""
    words = "engine computer 08 longwagon light"
    assert line(asked(yard, words), "S310").say.startswith("Could be yours from 110, by the gearbox: goes on as a set")
    known = line(asked(yard, words, gearbox="four-speed small case"), "S310")
    assert (known.grade, known.price_cents) == ("set", 21500)
    assert "could be yours at 90, by" in line(asked(yard, "fuel pump 09 longwagon light"), "S202").say.lower()


def test_a_look_that_changes_nothing_is_no_part_of_a_condition(yard: Book) -> None:
    """With the smaller engine the set is short whenever the truck was built."""
    said = line(asked(yard, "engine 6.2 complete 2007 light brae"), "S302").say
    assert "bolts up if it was built 2007-06 or later and the engine is 6.2" in said
    assert said.endswith("and I'm short of a piece of it, if the engine is 5.1.")


def test_no_work_is_told_for_what_is_not_sold(yard: Book) -> None:
    found = asked(yard, "wheels 2008 half-ton longwagon")
    assert [each.work for each in line(found, "S246").operations] == ["try one by hand on the hub"]
    assert found.do_not_sell
    assert all(each.operations == () for each in found.do_not_sell)


def test_a_question_tells_how_many_lines_an_answer_settles(yard: Book) -> None:
    """The month settles both pumps; two-wheel drive settles both gearboxes, four-wheel drive neither."""
    assert asked(yard, "fuel pump 09 longwagon light").questions[0].splits == 2
    drive = asked(yard, "tranny for an 08 longwagon half ton").questions[0]
    assert (drive.fact, drive.splits) == ("drive", 2)
    side = asked(yard, "lca 08 longwagon light").questions[0]
    assert (side.fact, side.splits) == ("side", 3)
