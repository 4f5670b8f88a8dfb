"""Day 1 in the yard up to 13:30, at the intake desk and in the rows: every figure as it must come out.

The vehicles, people and prices are invented. The check digit is worked out by 49 CFR 565.15(c); the frame
verdict and the waiting hold follow the yard's settings; common practice, no source.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from app.book.donors import donor_page, donors
from app.book.frames import Measure, Survey, survey_frame
from app.book.history import history
from app.book.intake import Seller, TakeIn, TakenIn, take_in, turn_away
from app.book.plates import AlreadyHere, WrongVin, read_plate
from app.book.scale import Weighing, weigh_in
from app.book.schema import FrameState, Outcome, Paper, Role
from app.book.sheets import load_folder
from app.book.teardown import ask_torch
from app.book.work import Book, Who
from app.errors import Refused
from app.fit.terms import FrontSuspension, Group, RearSuspension, Section
from app.fit.vin import Reading, ReadingOutcome, SuggestionKind

IN1 = Who("IN1", Role.INTAKE, "intake")
P1 = Who("P1", Role.PULLER, "floor 1")
V1_VIN = "0DMLW54SX8A204517"
V2_VIN = "0DMHW64T79A118832"


class Day:
    """The book with a clock that the script sets line by line."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.now = datetime(2026, 3, 2, 8, 0).astimezone()
        book.clock = lambda: self.now
        load_folder(book, Who("OW"), Path(__file__).parent / "yard")

    def at(self, time: str) -> Book:
        hour, minute = map(int, time.split(":"))
        self.now = datetime(2026, 3, 2, hour, minute).astimezone()
        return self.book

    def refused(self, action: str) -> int:
        return sum(row.outcome is Outcome.REFUSED for row in history(self.book, action=action))


@pytest.fixture
def day(book: Book) -> Day:
    return Day(book)


def first_vehicle(day: Day) -> TakenIn:
    """08:10 and 08:14: the mistyped plate is refused, read again, and the truck taken in."""
    dash = Reading("dash", V1_VIN)
    form = TakeIn(
        readings=(dash, Reading("door label", V1_VIN)),
        model="Longwagon light",
        words="4x4, 5.1 V8",
        built="2007-11",
        paper=Paper.SALVAGE,
        source="auction",
        price_cents=115_000,
        fee_cents=28_500,
        tow_cents=12_000,
        arrived_at=datetime(2026, 3, 2, 8, 10).astimezone(),
    )
    return take_in(day.at("08:14"), IN1, form)


def test_0810_a_mistyped_vin_is_refused_and_its_look_alike_only_suggested(day: Day) -> None:
    typed = Reading("dash", "0DMLW545X8A204517")
    with pytest.raises(WrongVin) as refusal:
        read_plate(day.at("08:10"), IN1, [typed])
    report = refusal.value.report
    assert (report.vin[8], report.check_digit) == ("X", "7")
    look_alikes = [each for each in refusal.value.suggestions if each.kind is SuggestionKind.LOOK_ALIKE]
    assert [(each.vin, each.positions) for each in look_alikes] == [(V1_VIN, (8,))]
    assert len(donors(day.book)) == 2, "nothing was taken in"
    assert day.refused("vin") == 1
    plate = read_plate(day.book, IN1, [Reading("dash", V1_VIN)])
    assert plate.years == (2008,), "position 10 is 8, position 7 is a digit"
    assert plate.outcome is ReadingOutcome.NEEDS_SECOND


def test_0814_the_landed_cost_is_price_fee_and_tow(day: Day) -> None:
    taken = first_vehicle(day)
    assert taken.landed_cents == 155_500
    page = donor_page(day.book, taken.stock_number)
    assert (page.landed_cents, page.cost_cents, page.year, page.built) == (155_500, 155_500, 2008, "2007-11")


def test_0820_the_arrival_net_is_gross_less_tare(day: Day) -> None:
    taken = first_vehicle(day)
    ticket = weigh_in(day.at("08:20"), IN1, Weighing(Decimal(25480), Decimal(19860), taken.stock_number))
    assert ticket.net == 5620
    balance = donor_page(day.book, taken.stock_number).balance
    assert balance is not None
    assert balance.expected == 5620


def test_0835_a_sixteenth_between_the_diagonals_is_straight_and_the_frame_is_the_plates(day: Day) -> None:
    taken = first_vehicle(day)
    survey = Survey(
        taken.stock_number,
        Section.BOXED,
        FrontSuspension.COIL_OVER,
        RearSuspension.FIVE_LINK_COIL,
        diagonals={"middle": (Measure("118 7/16"), Measure("118 1/2"))},
    )
    found = survey_frame(day.at("08:35"), IN1, survey)
    assert found.state is FrameState.STRAIGHT
    assert "0.0625 + 0.125 = 0.1875" in found.arithmetic[0]
    assert found.agrees is True
    assert "light" in found.identity
    assert (Group.FRAME, "Dunmarsh Longwagon light") in donor_page(day.book, taken.stock_number).identities


def test_0905_no_torch_before_the_fuel_is_out(day: Day) -> None:
    taken = first_vehicle(day)
    with pytest.raises(Refused, match="fuel not drained"):
        ask_torch(day.at("09:05"), P1, taken.stock_number)
    assert day.refused("torch") == 1


def second_vehicle(day: Day) -> TakenIn:
    """10:40 to 10:50: three readings, the papers in order, paid by check."""
    seller = Seller(
        "R. Okonjo-Vale",
        id_kind="driver license",
        id_number="X100",
        id_expires=date(2028, 5, 1),
        title_name="R. Okonjo-Vale",
    )
    form = TakeIn(
        readings=(
            Reading("dash", "0DM8W64T79A118832"),
            Reading("door label", V2_VIN),
            Reading("frame stamp", V2_VIN),
        ),
        model="Longwagon heavy",
        paper=Paper.CLEAN,
        source="walk-in",
        seller=seller,
        price_cents=90_000,
        paid_how="check",
        arrived_at=datetime(2026, 3, 2, 10, 40).astimezone(),
    )
    return take_in(day.at("10:50"), IN1, form)


def test_1040_a_check_digit_that_passes_still_asks_for_the_second_reading(day: Day) -> None:
    readings = [Reading("dash", "0DM8W64T79A118832")]
    assert read_plate(day.at("10:40"), IN1, readings).outcome is ReadingOutcome.NEEDS_SECOND
    readings.append(Reading("door label", V2_VIN))
    mismatch = read_plate(day.at("10:43"), IN1, readings)
    assert mismatch.outcome is ReadingOutcome.MISMATCH
    assert not mismatch.settled
    assert any("position 4" in words and "8" in words and "H" in words for words in mismatch.words)
    assert day.refused("vin mismatch") == 1
    readings.append(Reading("frame stamp", V2_VIN))
    settled = read_plate(day.at("10:46"), IN1, readings)
    assert (settled.settled, settled.vin) == (True, V2_VIN)
    details = history(day.book, action="vin mismatch")[0].details
    assert "0DM8W64T79A118832" in str(details), "the first reading stays in the history"


def test_1050_a_walk_in_purchase_waits_72_hours_from_its_arrival(day: Day) -> None:
    taken = second_vehicle(day)
    assert taken.hold_until == datetime(2026, 3, 5, 10, 40).astimezone()
    ticket = weigh_in(day.book, IN1, Weighing(Decimal(24900), Decimal(18420), taken.stock_number))
    assert ticket.net == 6480
    assert donor_page(day.book, taken.stock_number).holds == ("waiting period until 2026-03-05 10:40",)


def test_1105_half_an_inch_is_bent_and_the_frame_is_scrap_only(day: Day) -> None:
    taken = second_vehicle(day)
    survey = Survey(
        taken.stock_number,
        Section.OPEN,
        FrontSuspension.TORSION_BAR,
        RearSuspension.LEAF,
        diagonals={"middle": (Measure("118 3/4"), Measure("119 1/4"))},
    )
    found = survey_frame(day.at("11:05"), IN1, survey)
    assert found.state is FrameState.SCRAP_ONLY
    assert "0.50 - 0.125 = 0.375" in found.arithmetic[0]
    again = Survey(
        taken.stock_number,
        Section.OPEN,
        FrontSuspension.TORSION_BAR,
        RearSuspension.LEAF,
        diagonals={"middle": (Measure("118 3/4"), Measure("118 3/4"))},
    )
    assert survey_frame(day.book, IN1, again).state is FrameState.SCRAP_ONLY, "only the owner lifts it"


def test_1130_a_refused_purchase_is_a_record_and_uses_no_number(day: Day) -> None:
    seller = Seller(
        "T. Brannoch", id_kind="driver license", id_number="Y200", id_expires=date(2025, 12, 31), title_name="E. Caddow"
    )
    refused = turn_away(
        day.at("11:30"), IN1, vin="0KGHS64D56A551207", words="2006 Harrow", seller=seller, photo="harrow.jpg"
    )
    assert refused.vin == "0KGHS64D56A551207"
    assert len(refused.reasons) == 2
    assert day.refused("purchase") == 1
    assert len(donors(day.book)) == 2


def third_vehicle(day: Day) -> TakenIn:
    vin = "0KGTC22B28K047163"
    form = TakeIn(
        readings=(Reading("dash", vin), Reading("door label", vin)),
        model="Tansy",
        source="tow yard",
        paper=Paper.LIEN_SALE,
        price_cents=22_500,
    )
    return take_in(day.at("13:15"), IN1, form)


def test_1305_two_digits_turned_round_are_suggested_with_wrong_ones_and_none_is_applied(day: Day) -> None:
    with pytest.raises(WrongVin) as refusal:
        read_plate(day.at("13:05"), IN1, [Reading("dash", "0KGTC22B28K047613")])
    assert (refusal.value.report.vin[8], refusal.value.report.check_digit) == ("2", "7")
    suggested = {each.vin: each.positions for each in refusal.value.suggestions}
    assert suggested["0KGTC22B28K047163"] == (15, 16)
    assert (12,) in suggested.values()
    assert (9, 10) in suggested.values()
    assert len(donors(day.book)) == 2


def test_1315_a_tare_over_gross_is_refused_and_turned_by_one_key(day: Day) -> None:
    taken = third_vehicle(day)
    with pytest.raises(Refused, match="2,760") as refusal:
        weigh_in(day.book, IN1, Weighing(Decimal(18420), Decimal(21180), taken.stock_number))
    assert refusal.value.details["swap"] is True
    assert donor_page(day.book, taken.stock_number).balance is None, "nothing was stored"
    assert weigh_in(day.book, IN1, Weighing(Decimal(21180), Decimal(18420), taken.stock_number)).net == 2760
    assert day.refused("weight swapped") == 1


def test_1330_a_vin_that_is_here_shows_its_vehicle_and_makes_no_new_one(day: Day) -> None:
    taken = first_vehicle(day)
    with pytest.raises(AlreadyHere) as here:
        read_plate(day.at("13:30"), IN1, [Reading("dash", V1_VIN)])
    assert here.value.stock_number == taken.stock_number
    assert "2026-03-02 08:10" in here.value.title
    assert len(donors(day.book)) == 3
    assert day.refused("duplicate vin") == 1


def test_the_whole_morning_closes_with_its_figures(day: Day) -> None:
    with pytest.raises(WrongVin):
        read_plate(day.at("08:10"), IN1, [Reading("dash", "0DMLW545X8A204517")])
    one = first_vehicle(day)
    two = second_vehicle(day)
    three = third_vehicle(day)
    weights = ((one, 25480, 19860), (two, 24900, 18420), (three, 21180, 18420))
    nets = [
        weigh_in(day.book, IN1, Weighing(Decimal(gross), Decimal(tare), taken.stock_number)).net
        for taken, gross, tare in weights
    ]
    assert sum(nets) == 14_860
    assert sum(each.landed_cents for each in (one, two, three)) == 268_000
    assert len({each.stock_number for each in (one, two, three)}) == 3
    assert len(donors(day.book)) == 5
    assert day.now < datetime(2026, 3, 2, 13, 30).astimezone() + timedelta(hours=1)
