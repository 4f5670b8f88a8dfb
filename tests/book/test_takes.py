"""What it would take to put this on that, over the casebook yard. Invented data; its sums are the casebook's."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from app.book.office import change_setting
from app.book.sales import Basket, Line, sell
from app.book.schema import Role
from app.book.sheets import load_folder
from app.book.takes import Takes, takes
from app.book.work import Book, Who, open_book
from app.errors import BadInput
from app.fit.terms import Grade
from tests.book.conftest import loaded
from tests.support.clock import Clock

YARD = Path(__file__).parents[1] / "casebook"
TODAY = date(2026, 3, 4)
OWNER = Who("OW", Role.OWNER, "counter")


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp("takes") / "yard.book"))
    load_folder(book, OWNER, YARD)
    yield book
    book.close()


def asked(yard: Book, words: str, vehicle: str, part: str = "") -> tuple[Takes, ...]:
    return takes(yard, OWNER, words, vehicle, part=part, on=TODAY)


def test_a_body_on_the_other_frame_takes_twenty_three_and_a_half_hours(yard: Book) -> None:
    """1,100 and 1,400 for the shells, 23.5 h at 90 for either; the pickup's cab does not go on at all."""
    (row,) = asked(yard, "body shell", "2009 longwagon heavy")
    assert [(plan.tags, plan.total_cents) for plan in row.plans] == [(("S181",), 321_500), (("S180",), 351_500)]
    assert {plan.hours for plan in row.plans} == {Decimal("23.5")}
    assert any("S182" in said and "M5" in said for said in row.refused)
    assert any("certified" in caution for caution in row.plans[0].cautions)


def test_a_heavy_front_end_under_a_light_truck_is_a_pair_of_arms_and_says_what_does_not_go_on(yard: Book) -> None:
    rows = asked(yard, "heavy front end", "2008 longwagon light")
    arms = next(row for row in rows if row.reading == "front lower control arm")
    (plan,) = arms.plans
    assert set(plan.tags) == {"S131", "S134"}
    assert (plan.grade, plan.complete, plan.total_cents) == (Grade.BOLTS_IN, True, 18_500)
    assert any("1.00 in longer" in told for told in plan.consequences)
    whole = next(row for row in rows if "under the frame" in row.reading)
    assert not whole.plans[0].complete
    assert any("upper control arm" in said and "8.60" in said for said in whole.plans[0].missing)


def test_another_frame_takes_the_body_across_with_it(yard: Book) -> None:
    """A heavy frame under a light wagon: 900 for the frame and the same 23.5 h its body would take on a heavy."""
    rows = asked(yard, "heavy frame", "2008 longwagon light")
    (own,) = [row for row in rows if row.reading.startswith("your own body")]
    (plan,) = own.plans
    assert (plan.tags, plan.hours, plan.total_cents) == (("S185",), Decimal("23.5"), 90_000 + 211_500)
    assert any("12" in told for told in plan.consequences)
    assert any("certified" in caution for caution in plan.cautions)
    pickup = asked(yard, "heavy frame", "2008 tolliver light")
    assert not any(row.reading.startswith("your own body") for row in pickup), "no rule lets a cab sit there"


def test_a_piece_of_another_rail_is_refused_with_its_figures(yard: Book) -> None:
    """Boxed and open channel are never joined: the figures say why."""
    (row,) = asked(yard, "heavy frame rear section", "2008 longwagon light")
    assert row.plans == ()
    assert any("1.15 in" in said for said in row.refused)


def test_a_long_arm_is_never_paired_with_a_short_one(yard: Book) -> None:
    """The casebook: one long, one short, and the counter must be warned; here they are not offered together."""
    (row,) = asked(yard, "front lower control arm", "2008 longwagon light")
    long_ones = {"S131", "S134"}
    assert row.plans
    for plan in row.plans:
        assert len(long_ones & set(plan.tags)) in (0, 2)


def test_several_things_make_one_plan_each_job_done_once(yard: Book) -> None:
    (row,) = asked(yard, "heavy fuel tank + steering gear", "2008 longwagon light")
    best = row.plans[0]
    assert "S170" in best.tags
    assert best.hours == Decimal("4.5")
    assert best.parts_cents == 18_500 + 12_800
    assert best.labor_cents == 40_500


def test_the_cheaper_way_is_first_at_the_shops_rate(yard: Book, sqlite_book: Book) -> None:
    """The first body's bed at 500 with three hours of work is 80 under the straight one; at 130 an hour it is not."""
    (row,) = asked(yard, "pickup bed", "2008 tolliver light short bed")
    assert [(plan.tags, plan.total_cents) for plan in row.plans] == [(("S360",), 77_000), (("S362",), 85_000)]
    load_folder(sqlite_book, OWNER, YARD)
    change_setting(sqlite_book, OWNER, "shop_rate_cents_per_hour", "13000")
    (dear,) = asked(sqlite_book, "pickup bed", "2008 tolliver light short bed")
    assert dear.plans[0].tags == ("S362",)


def test_a_set_is_a_plan_and_falls_short_when_a_piece_is_sold(sqlite_book: Book, clock: Clock) -> None:
    del clock
    load_folder(sqlite_book, OWNER, YARD)
    nose = next(row for row in asked(sqlite_book, "brae doghouse", "2009 WL2") if row.reading == "nose")
    assert nose.plans[0].total_cents == 72_500
    sell(sqlite_book, OWNER, Basket([Line("S386")]))
    short = next(row for row in asked(sqlite_book, "brae doghouse", "2009 WL2") if row.reading == "nose")
    assert short.plans[0].missing == ("nose: grille",)


def test_companions_that_the_rules_name_come_with_a_part_whatever_its_grade(yard: Book) -> None:
    """The casebook: 500 and 9.0 h at 90 for the thirty-tooth engine, and the three pieces for 77 besides: 1,387."""
    (row,) = asked(yard, "engine", "08 longwagon light")
    old = next(plan for plan in row.plans if "S306" in plan.tags)
    assert set(old.tags) == {"S306", "S303", "S304", "S305"}
    assert (old.grade, old.parts_cents, old.total_cents) == (Grade.NEEDS_WORK, 57_700, 138_700)


@pytest.mark.parametrize("words", ["left and right lower arms off a heavy", "right lower arm off a heavy"])
def test_a_longer_arm_never_goes_on_one_side_alone(yard: Book, words: str) -> None:
    (row,) = asked(yard, words, "2008 longwagon light")
    (plan,) = row.plans
    assert set(plan.tags) == {"S131", "S134"}
    assert (plan.complete, plan.total_cents) == (True, 18_500)


def test_where_the_fellow_of_a_longer_arm_is_gone_the_plan_says_so(sqlite_book: Book, clock: Clock) -> None:
    del clock
    load_folder(sqlite_book, OWNER, YARD)
    sell(sqlite_book, OWNER, Basket([Line("S134")]))
    (row,) = asked(sqlite_book, "right lower arm off a heavy", "2008 longwagon light")
    (plan,) = row.plans
    assert (plan.tags, plan.missing) == (("S131",), ("front lower control arm RH: the LH one",))


def test_an_arm_that_is_the_same_goes_on_one_side_alone(yard: Book) -> None:
    (row,) = asked(yard, "right lower arm", "2008 longwagon light")
    assert [set(plan.tags) for plan in row.plans] == [{"S130"}, {"S132"}, {"S131", "S134"}]


def test_a_wanted_ratio_is_asked_of_the_axle_and_not_of_the_truck(yard: Book) -> None:
    """The other ratio on a four-wheel truck takes the front differential along: 520 and 300."""
    (row,) = asked(yard, "rear axle 3.73", "2008 longwagon light 4x4 3.42")
    (plan,) = row.plans
    assert (set(plan.tags), plan.grade, plan.total_cents) == ({"S250", "S251"}, Grade.SET, 82_000)
    (none,) = asked(yard, "rear axle 4.10", "2008 longwagon light 4x4 3.42")
    assert none.plans == ()
    assert any("S252" in said and "asked was 4.10" in said for said in none.refused)


def test_a_requirement_holds_for_what_comes_off_certain_models_too(yard: Book) -> None:
    (row,) = asked(yard, "3.73 rear axle off a longwagon", "2008 longwagon light 4x4 3.42")
    assert [set(plan.tags) for plan in row.plans] == [{"S250", "S251"}]
    (big,) = asked(yard, "big tank", "2008 longwagon light")
    assert {tag for plan in big.plans for tag in plan.tags} == {"S170"}


def test_a_pair_of_springs_and_a_single_one_are_the_same_thing_wanted(yard: Book) -> None:
    rows = asked(yard, "rear end", "2008 longwagon light")
    whole = next(row for row in rows if "under the frame" in row.reading)
    assert whole.plans
    for plan in whole.plans:
        assert len({"S345", "S346", "S347"} & set(plan.tags)) == 1
        assert not any("spring" in said for said in plan.missing)


def test_a_heavy_front_end_is_all_of_it_and_what_holds_it(yard: Book) -> None:
    """Bars and gear belong to it: the gear is the same box, and the bars have nothing to sit in."""
    rows = asked(yard, "heavy front end", "2008 longwagon light")
    plan = next(row for row in rows if "under the frame" in row.reading).plans[0]
    assert {"S131", "S134", "S101"} <= set(plan.tags)
    assert any("torsion bar" in said and "rides on coils" in said for said in plan.missing)


def test_what_goes_on_the_other_side_is_not_told_as_refused(yard: Book) -> None:
    (row,) = asked(yard, "torsion bars", "2009 longwagon heavy")
    assert set(row.plans[0].tags) == {"S150", "S151"}
    assert all(said.startswith("torsion bar LH and RH: S152") for said in row.refused)


def test_why_a_part_does_not_go_on_is_told_of_its_own_side(yard: Book) -> None:
    """Both bars are wanted: that the left one is not for the right tells nothing about the truck."""
    (row,) = asked(yard, "torsion bars", "2008 longwagon light")
    assert len(row.refused) == 3
    assert all("rides on coils" in said for said in row.refused)


def test_two_doors_that_hang_on_different_rules_make_a_pair(yard: Book) -> None:
    (row,) = takes(yard, OWNER, "front doors", "2010 longwagon light", facts={"window": "power"}, on=TODAY)
    assert {("S121", "S122"), ("S123", "S122")} <= {plan.tags for plan in row.plans}
    assert all(plan.complete for plan in row.plans)


def test_what_misses_a_requirement_is_told_only_where_nothing_meets_it(yard: Book) -> None:
    (row,) = asked(yard, "towing springs", "2008 longwagon light")
    assert [plan.tags for plan in row.plans] == [("S345",)]
    assert row.refused == ()


def test_a_suspension_is_a_whole_end_and_what_means_nothing_is_told(yard: Book) -> None:
    (row,) = asked(yard, "heavy front suspension zonk", "2009 longwagon heavy frizz")
    assert {"S131", "S134", "S150", "S151"} <= set(row.plans[0].tags)
    assert set(row.not_understood) == {"zonk", "frizz"}


def test_what_cannot_be_read_is_told(yard: Book) -> None:
    with pytest.raises(BadInput, match="names no part"):
        asked(yard, "flibbertigib", "2008 longwagon light")
    with pytest.raises(BadInput, match="no vehicle"):
        asked(yard, "body shell", "flibbertigib")
    (row,) = asked(yard, "front end", "2008 longwagon light", part="front lower control arm")
    assert row.reading == "front lower control arm"


def test_a_name_with_a_comma_or_an_and_in_it_is_one_thing(yard: Book) -> None:
    """ "Behind axle" by itself would be an axle."""
    assert [row.reading for row in asked(yard, "fuel tank, behind axle", "2009 longwagon light")] == [
        "fuel tank, behind axle"
    ]
    (row,) = asked(yard, "rear driveshaft yoke and joint, fuel tank, behind axle", "2009 longwagon light")
    assert row.reading == "rear driveshaft yoke and joint + fuel tank, behind axle"


def test_a_year_in_which_there_was_no_such_vehicle_is_said(yard: Book) -> None:
    with pytest.raises(BadInput, match="no Longwagon of 1960 is in the book"):
        asked(yard, "hood", "1960 longwagon")


def test_how_many_of_a_thing_are_wanted_is_told_as_not_heard(yard: Book) -> None:
    (row,) = asked(yard, "two hitch receivers", "2008 longwagon light")
    assert row.not_understood == ("two",)
    (row,) = asked(yard, "pair of front calipers", "2008 longwagon light")
    assert row.not_understood == ()


def test_a_lump_that_does_without_what_is_gone_from_it_is_whole(tmp_path_factory: pytest.TempPathFactory) -> None:
    """A console without its cup holder at 680 goes before one without its throttle at 510."""
    for boats in loaded("seventh_yard", tmp_path_factory):
        (row,) = takes(boats, OWNER, "console block", "2014 sandling", on=date(2027, 3, 10))
        found = [(plan.tags, plan.missing, plan.consequences) for plan in row.plans]
        assert found == [
            (("N233",), (), ("gone from it: cup holder",)),
            (("N230",), ("console block: throttle",), ()),
        ]
