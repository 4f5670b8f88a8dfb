"""A part is looked at again: tests, recall look-ups and measures that take the place of what was known.

The casebook's yard (1.5 on yard law, 1.7.7 on 30 days; R33, C25). Invented data.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from app.book.facts import Seen
from app.book.finding import part
from app.book.harvest import AIRBAG_BLOCK, RECALL_BLOCK, Harvest, harvest
from app.book.history import history
from app.book.looking import look_again, to_look_at
from app.book.sales import Basket, Line, sell
from app.book.schema import Role, Standing
from app.book.sheets import load_folder
from app.book.work import Book, Who
from app.errors import BadInput, Refused
from tests.support.clock import Clock

YARD = Path(__file__).parents[1] / "casebook"
OWNER = Who("OW", Role.OWNER, "office")
P1 = Who("P1", Role.PULLER, "floor")
PACK = "S375"


@pytest.fixture
def yard(book: Book) -> Book:
    """The casebook's yard on its day, 2026-03-04, once on each database."""
    load_folder(book, OWNER, YARD)
    return book


def look(yard: Book, tag: str, **facts: str) -> None:
    look_again(yard, P1, tag, {name.replace("_", " "): Seen(value) for name, value in facts.items()})


def bag(yard: Book, **facts: str) -> str:
    """An airbag off D01 that was just taken off."""
    seen = {name.replace("_", " "): Seen(value) for name, value in facts.items()}
    return harvest(yard, P1, Harvest("D01", "driver airbag module", facts=seen)).tag


def test_a_pack_whose_test_ran_out_is_sold_again_after_a_new_one(yard: Book, clock: Clock) -> None:
    """Tested on 2026-02-25: run out on 2026-04-03, good again once it was tested on that day."""
    clock.forward(days=30)
    with pytest.raises(Refused, match="last tested 2026-02-25"):
        sell(yard, P1, Basket([Line(PACK)]))
    look(yard, PACK, tested_on="today")
    assert dict(part(yard, PACK).facts)["tested on"] == "2026-04-03"
    assert history(yard, subject=PACK)[0].words == "tested on: 2026-04-03 (was 2026-02-25)"
    assert sell(yard, P1, Basket([Line(PACK)])).lines[0].tag == PACK


def test_a_test_that_is_still_to_come_is_no_test(yard: Book) -> None:
    for day in ("2026-03-05", "20260305"):
        with pytest.raises(BadInput, match="still to come"):
            look(yard, PACK, tested_on=day)
    look(yard, PACK, tested_on="20260304")
    assert dict(part(yard, PACK).facts)["tested on"] == "2026-03-04"


def test_an_airbag_waits_until_its_recall_was_looked_up(yard: Book) -> None:
    tag = bag(yard)
    assert part(yard, tag).block_reason == AIRBAG_BLOCK
    look(yard, tag, wet="no")
    assert part(yard, tag).block_reason == AIRBAG_BLOCK
    look(yard, tag, recall_checked="2026-03-04", open_recall="no")
    assert part(yard, tag).standing is Standing.FREE
    assert history(yard, subject=tag)[0].words.endswith("free to sell")
    assert part(yard, bag(yard, recall_checked="today")).standing is Standing.FREE


def test_an_open_recall_takes_an_airbag_off_sale_until_it_is_closed(yard: Book) -> None:
    tag = bag(yard, recall_checked="2026-03-01", open_recall="no")
    look(yard, tag, open_recall="yes")
    assert part(yard, tag).block_reason == RECALL_BLOCK
    look(yard, tag, open_recall="no", recall_checked="today")
    assert part(yard, tag).standing is Standing.FREE


def test_what_keeps_a_part_off_sale_for_another_reason_stays(yard: Book) -> None:
    look(yard, "S210", recall_checked="today")
    assert part(yard, "S210").block_reason == RECALL_BLOCK, "its recall is open all the same"


def test_a_rotor_that_is_measured_again_under_its_least_is_not_sold(yard: Book) -> None:
    sound = next(row for row in to_look_at(yard, "S240") if row.fact == "rotor thickness")
    assert sound.value
    look_again(yard, P1, "S240", {"rotor thickness": Seen("0.9", "dial caliper")})
    with pytest.raises(Refused, match=r"0\.9 thick, under the least allowed"):
        sell(yard, P1, Basket([Line("S240")]))


def test_what_runs_out_with_time_is_looked_at_first(yard: Book) -> None:
    first = to_look_at(yard, PACK)[0]
    assert (first.fact, first.value) == ("tested on", "2026-02-25")


def test_a_part_that_is_sold_is_not_looked_at_any_more(yard: Book) -> None:
    sell(yard, P1, Basket([Line(PACK)]))
    with pytest.raises(Refused, match=f"{PACK} is sold"):
        look(yard, PACK, tested_on="today")
    with pytest.raises(BadInput, match="nothing was seen"):
        look_again(yard, P1, "S130", {})
