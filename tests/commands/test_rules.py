"""Rules, sets and the reverse question by command, on the casebook's yard. Invented data."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from app.book.work import Book
from tests.commands.desk import Desk

CASEBOOK = Path(__file__).parents[1] / "casebook"


@pytest.fixture
def desk(sqlite_book: Book) -> Desk:
    """A desk over the casebook's yard."""
    found = Desk(sqlite_book.engine.url.database or "")
    found.says("load", str(CASEBOOK))
    return found


def test_a_dispute_is_listed_read_and_settled(desk: Desk) -> None:
    listed = desk.record("rules", "list", "--state", "disputed")
    assert [row["code"] for row in listed["rules"]] == ["R77"]
    assert listed["in_all"] == 1
    sheet = desk.record("rules", "show", "r77")["rule"]
    assert "part: model is PL1" in sheet["conditions"]
    assert sheet["row"]["tally"] == "3 kept, 1 came back (75 % kept)"
    done = desk.record("rules", "settle", "R77", "--measured", "60.25 and 60.50, the bushings take it")
    assert (done["state"], done["successor"]) == ("open", "")
    assert "R77 stands" in desk.says("rules", "show", "R77")
    assert desk.record("rules", "list", "--state", "disputed")["rules"] == []


def test_what_cannot_be_settled_is_told_in_one_line(desk: Desk) -> None:
    assert "there is no rule" in desk.line("rules", "show", "R9999")
    assert "neither a measurement nor a why" in desk.line("rules", "settle", "R77")
    assert desk.refusal("rules", "close", "R77", "--reason", " ")["kind"] == "bad_input"
    desk.says("sign-on", "OW", "owner", "--role", "owner")
    desk.says("sign-on", "C1", "counter one", "--role", "counter")
    assert desk.refusal("--by", "C1", "rules", "close", "R77", "--reason", "enough")["kind"] == "refused"


def test_the_loser_of_counted_pins_is_closed(desk: Desk) -> None:
    done = desk.record("rules", "settle", "R73", "--measured", "7 pins on both", "--donor", "D06", "--over", "R74")
    assert done["closed"] == "R74"
    (row,) = desk.record("rules", "list", "--state", "closed")["rules"]
    assert row["code"] == "R74"
    assert "R73 stands instead: 7 pins on both" in row["state_reason"]


def test_a_sale_for_a_vehicle_comes_back_as_a_dispute(desk: Desk) -> None:
    desk.says("sell", "S102", "--vehicle", "2008 longwagon light")
    back = desk.record("rules", "returned", "S102", "--why", "bolts 3.75 apart")
    assert back["rules"] == ["R01"]
    desk.says("sell", "S121")
    line = desk.line("rules", "returned", "S121", "--why", "hinges")
    assert "did not say for which vehicle" in line
    told = desk.record("rules", "returned", "S121", "--vehicle", "2010 longwagon light power", "--why", "hinges")
    assert told["rules"] == ["R05"]


def test_kept_sales_and_chains_have_their_commands(desk: Desk) -> None:
    assert desk.record("rules", "kept")["lines"] == 0
    assert desk.record("rules", "chains") == {"chains": []}
    assert "no chain 7 waits" in desk.line("rules", "confirm", "7")


def test_the_check_says_what_is_wrong_and_with_what_status(desk: Desk) -> None:
    result = desk.run("rules", "check", "--json")
    assert result.exit_code == 1
    found = json.loads(result.stdout)
    assert found["sound"] is False
    assert found["counts"] == {"contradiction": 2, "one way only": 12}
    odd = next(each for each in found["findings"] if each["kind"] == "contradiction")
    assert (odd["code"], odd["other"]) == ("R27", "R110")
    assert "hub plug" in odd["example"]
    assert odd["remedy"]
    only = desk.run("rules", "check", "--kind", "never holds")
    assert (only.exit_code, only.stdout) == (0, "110 rules: nothing found\n")


def test_closing_one_of_two_at_odds_makes_the_check_sound(desk: Desk) -> None:
    desk.says("rules", "close", "R110", "--reason", "each part has its own rule now")
    (left,) = json.loads(desk.run("rules", "check", "--kind", "contradiction", "--json").stdout)["findings"]
    assert (left["code"], left["other"]) == ("R73", "R74")
    assert '"measure first" stands' in left["words"]
    desk.says("rules", "close", "R74", "--reason", "pins counted on both, seven each")
    assert desk.run("rules", "check", "--kind", "contradiction").exit_code == 0


def test_a_set_is_shown_quoted_and_falls_short(desk: Desk) -> None:
    shown = desk.record("set", "show", "S385", "--vehicle", "2009 longwagon light")
    assert (len(shown["tags"]), shown["price"], shown["missing"]) == (6, 725.0, [])
    quoted = desk.record("set", "quote", "S385", "--vehicle", "2009 longwagon light", "--name", "R. Ash")["quote"]
    assert (quoted["state"], quoted["price"]) == ("whole", "725.00")
    desk.says("sell", "S386", "--spoil")
    (row,) = desk.record("set", "list")["sets"]
    assert (row["state"], row["short"]) == ("set_short", ["S386 was sold on ticket 1"])
    assert "S386 was sold" in desk.line("set", "sell", "1")
    assert "short: S386 was sold on ticket 1" in desk.says("set", "list")
    desk.says("set", "close", "1", "--why", "found one nearer")
    assert desk.record("set", "list") == {"sets": []}


def test_a_set_is_held_and_sold_whole(desk: Desk) -> None:
    held = desk.record("set", "hold", "S243", "S244", "--name", "R. Ash")["hold"]
    assert held["tags"] == ["S243", "S244"]
    number = desk.record("set", "quote", "S243", "S244", "--name", "R. Ash", "--price", "100")["quote"]["number"]
    sold = desk.record("set", "sell", str(number))["ticket"]
    assert sold["parts"] == "100.00"
    assert {line["tag"] for line in sold["lines"]} == {"S243", "S244"}


def test_what_it_takes_is_one_object_with_its_sums(desk: Desk) -> None:
    found = desk.record("takes", "body", "shell", "--vehicle", "2009 longwagon heavy", "--on", "2026-03-04")
    (reading,) = found["readings"]
    best = reading["plans"][0]
    assert (best["tags"], best["parts"], best["hours"], best["labor"], best["total"]) == (
        ["S181"], "1100.00", "23.5", "2115.00", "3215.00",
    )  # fmt: skip
    assert best["complete"]
    assert sum(float(each["hours"]) for each in best["work"]) == 23.5
    said = desk.says("takes", "body", "shell", "--vehicle", "2009 longwagon heavy", "--on", "2026-03-04")
    assert "3,215.00 in all: parts 1,100.00, 23.5 h at the shop 2,115.00" in said
    assert "certified" in said, "welding says its caution"


def test_what_a_tag_fits_is_counted(desk: Desk) -> None:
    found = desk.record("fits", "S131")
    assert found["counted"]["goes_on"] < found["counted"]["of"]
    assert found["groups"][0]["grade"] == "bolts_up"
    assert sum(group["years"] for group in found["groups"]) == sum(
        row["years"]["to"] - row["years"]["from"] + 1 for row in found["fits"]
    )
