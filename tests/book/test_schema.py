"""What must never happen is refused by the database itself, whatever the program does."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from sqlalchemy.exc import IntegrityError

from app.book.schema import (
    Base,
    Donor,
    FrameDesign,
    FramePoint,
    Model,
    PrintJob,
    Removal,
    Rule,
    RuleDateMove,
    Standing,
    VehicleHold,
    Whereabouts,
)
from app.book.work import Book
from app.fit.rules import RuleState
from app.fit.terms import FrontSuspension, Grade, RearSuspension, Section
from tests.support.clock import START
from tests.support.refusals import change, column_of, refused_by
from tests.support.yard import (
    OWNER,
    furnish,
    hold,
    keep,
    paid_ticket,
    part,
    sale_line,
    stock,
)

# A part on sale


def test_a_part_is_on_one_live_sale_line_at_most(book: Book) -> None:
    stock(book, 1)
    keep(book, paid_ticket(), sale_line(), paid_ticket(number=2))
    with refused_by(r"uq_sale_lines_live_part|sale_lines\.part_id"):
        keep(book, sale_line(ticket_id=2))


def test_a_part_that_came_back_can_be_sold_again(book: Book) -> None:
    stock(book, 1)
    keep(book, paid_ticket(), sale_line())
    change(book, "UPDATE sale_lines SET live = false")
    keep(book, paid_ticket(number=2), sale_line(ticket_id=2))
    assert column_of(book, "sale_lines", "live") == [False, True]


def test_a_part_is_in_one_open_hold_at_most(book: Book) -> None:
    stock(book, 1)
    keep(book, hold())
    with refused_by(r"uq_holds_open_part|holds\.part_id"):
        keep(book, hold(number=2, name="Bo"))
    change(book, "UPDATE holds SET ended_at = :at, ended_why = 'released'", at=START)
    keep(book, hold(number=3, name="Bo"))


def test_a_hold_ends_after_it_begins(book: Book) -> None:
    stock(book, 1)
    with refused_by("ck_holds_ends_after_start"):
        keep(book, hold(until=START))


@pytest.mark.parametrize(
    ("change_of_part", "constraint"),
    [
        ({"place_id": None}, "placed_has_place"),
        ({"whereabouts": Whereabouts.IN_HAND}, "placed_has_place|in_hand_has_holder"),
        ({"whereabouts": Whereabouts.IN_HAND, "place_id": None}, "in_hand_has_holder"),
        ({"whereabouts": Whereabouts.IN_HAND, "holder_id": 1}, "placed_has_place"),
        ({"holder_id": 1}, "in_hand_has_holder"),
        (
            {"whereabouts": Whereabouts.ON_VEHICLE, "place_id": None, "donor_id": None, "past": "bought in"},
            "on_vehicle_has_donor",
        ),
        ({"whereabouts": Whereabouts.GONE, "place_id": None}, "gone_is_accounted_for"),
        ({"whereabouts": Whereabouts.GONE, "standing": Standing.SOLD}, "placed_has_place"),
        ({"donor_id": None}, "has_a_past"),
        ({"standing": Standing.BLOCKED}, "blocked_says_why"),
        ({"price_cents": -1}, "money_not_negative"),
        ({"core_cents": -1}, "money_not_negative"),
        ({"weight_lb": Decimal(0)}, "weight_above_zero"),
        ({"pieces": 0}, "has_pieces"),
        ({"tag": "p222223"}, "tag_short_capitals"),
        ({"tag": ""}, "tag_short_capitals"),
        ({"tag": "P2222222222"}, "tag_short_capitals"),
    ],
)
def test_a_part_is_somewhere_and_accounted_for(book: Book, change_of_part: dict[str, Any], constraint: str) -> None:
    furnish(book)
    with refused_by(constraint):
        keep(book, part(**change_of_part))


@pytest.mark.parametrize(
    "change_of_part",
    [
        {},
        {"whereabouts": Whereabouts.IN_HAND, "place_id": None, "holder_id": 1},
        {"whereabouts": Whereabouts.ON_VEHICLE, "place_id": None},
        {"whereabouts": Whereabouts.GONE, "place_id": None, "standing": Standing.SOLD},
        {"whereabouts": Whereabouts.GONE, "place_id": None, "standing": Standing.WRITTEN_OFF},
        {"donor_id": None, "past": "came with a pallet"},
        {"standing": Standing.BLOCKED, "block_reason": "no recall check yet"},
    ],
)
def test_every_way_a_part_can_be_is_allowed(book: Book, change_of_part: dict[str, Any]) -> None:
    furnish(book)
    keep(book, part(**change_of_part))


def test_a_tag_is_on_one_part(book: Book) -> None:
    stock(book, 1)
    (tag,) = column_of(book, "parts", "tag")
    with refused_by(r"uq_parts_tag|parts\.tag"):
        keep(book, part(tag=tag))


def test_a_standing_that_nobody_knows_is_refused(book: Book) -> None:
    stock(book, 1)
    with refused_by("ck_parts_standing"):
        change(book, "UPDATE parts SET standing = 'lent'")


def test_a_place_with_parts_in_it_cannot_be_taken_away(book: Book) -> None:
    stock(book, 1)
    with pytest.raises(IntegrityError):
        change(book, "DELETE FROM places")


# Rules, vehicles, frames


def rule(**changes: Any) -> Rule:
    """A steering gear bolts up, because it was tried."""
    usual = {"code": "R1", "grade": Grade.BOLTS_UP, "why": "tried"}
    return Rule(**{**usual, **changes})


@pytest.mark.parametrize("missing", [{"state_reason": ""}, {"state_on": None}])
def test_a_rule_is_closed_with_a_reason_and_a_date(book: Book, missing: dict[str, Any]) -> None:
    closed = {"state": RuleState.CLOSED, "state_reason": "the tape says no", "state_on": date(2026, 3, 4)}
    with refused_by("closed_with_reason"):
        keep(book, rule(**{**closed, **missing}))
    keep(book, rule(**closed))


def test_a_rule_of_fit_has_a_grade(book: Book) -> None:
    with refused_by("ck_rules_graded"):
        keep(book, rule(grade=None))


def test_a_rule_does_not_move_its_own_date(book: Book) -> None:
    keep(book, rule())
    with refused_by("not_itself"):
        keep(book, RuleDateMove(rule_id=1, moves_id=1, from_month="2007-06", to_month="2007-09"))


def test_one_vin_is_in_the_yard_once_and_no_vin_as_often_as_there_are_such(book: Book) -> None:
    vin = "1M8GDM9AXKP042788"
    keep(book, *(Donor(stock_number=f"D{number}", arrived_at=START) for number in (1, 2)))
    keep(book, Donor(stock_number="D3", arrived_at=START, vin=vin))
    with refused_by(r"uq_donors_vin|donors\.vin"):
        keep(book, Donor(stock_number="D4", arrived_at=START, vin=vin))


@pytest.mark.parametrize(
    ("row", "constraint"),
    [
        (Donor(stock_number="", arrived_at=START), "has_number"),
        (Donor(stock_number="D9", arrived_at=START, miles=-1), "miles_not_negative"),
        (Donor(stock_number="D9", arrived_at=START, built="2007"), "built_is_month"),
        (Removal(donor_id=1, number=1, what="fuel", weight_lb=Decimal(-1), how="metered", at=START), "weight_not_neg"),
        (Removal(donor_id=1, number=1, what="fuel", weight_lb=Decimal(1), how="guessed", at=START), "how_known"),
        (VehicleHold(donor_id=1, number=1, kind="lien", starts=START, ends=START - timedelta(1)), "ends_after_start"),
        (Model(key="k", make="Dunmarsh", name="Tolliver", family="f", year_from=2008, year_to=2007), "years_in_order"),
        (PrintJob(number=1, tag="P222222", kind="part", copy=0, at=START, by="OW"), "copy_counts_from_one"),
    ],
    ids=lambda value: value if isinstance(value, str) else type(value).__name__,
)
def test_rows_that_cannot_be_true_are_refused(book: Book, row: Base, constraint: str) -> None:
    furnish(book)
    copy = type(row)(**{name: value for name, value in vars(row).items() if not name.startswith("_")})
    with refused_by(constraint):
        keep(book, copy)


def test_a_mount_is_named_once_on_each_side_of_a_frame(book: Book) -> None:
    def mount() -> FramePoint:
        return FramePoint(frame_design_id=1, mount="M2", x_mm=100.0, y_mm=400.0, z_mm=0.0)

    keep(
        book,
        FrameDesign(
            code="F1", name="frame", section=Section.BOXED, front=FrontSuspension.TORSION_BAR, rear=RearSuspension.LEAF
        ),
        mount(),
    )
    with refused_by(r"uq_frame_points|frame_points\.mount"):
        keep(book, mount())


def test_nothing_points_to_what_is_not_there(book: Book) -> None:
    furnish(book)
    with pytest.raises(IntegrityError):
        keep(book, part(part_type_id=99))
    with pytest.raises(IntegrityError):
        keep(book, sale_line(ticket_id=99))


def test_a_time_without_a_zone_never_reaches_the_book(book: Book) -> None:
    with pytest.raises(Exception, match="without a zone"), book.unrecorded(OWNER) as work:
        work.session.add(Donor(stock_number="D1", arrived_at=START.replace(tzinfo=None)))
