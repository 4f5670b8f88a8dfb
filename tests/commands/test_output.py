"""Plain output is aligned and never interpreted; --json is plain data."""

from __future__ import annotations

import json
import sqlite3
import unicodedata
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import click
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.book.work import open_book
from app.commands.records import record
from app.commands.show import pairs, plain, sums, table, width
from app.fit.terms import Grade, Side
from tests.commands.desk import Desk


@dataclass(frozen=True)
class Row:
    price_cents: int | None
    grade: Grade
    weight: Decimal
    at: datetime
    inside: tuple[Side, ...]


def test_a_row_becomes_plain_data() -> None:
    at = datetime(2026, 3, 4, 10, 2, tzinfo=timezone(timedelta(hours=-5)))
    row = Row(155500, Grade.BOLTS_UP, Decimal("29.50"), at, (Side.LH, Side.RH))
    assert record(row) == {
        "price": "1555.00",
        "grade": "bolts_up",
        "weight": "29.50",
        "at": "2026-03-04T15:02:00Z",
        "inside": ["LH", "RH"],
    }
    assert record({"total_cents": 5, "none_cents": None, "count": 5}) == {"total": "0.05", "none": None, "count": 5}
    assert record([date(2026, 3, 4), Path("a"), Fraction(1, 3), frozenset({"b", "a"}), True]) == [
        "2026-03-04",
        "a",
        "1/3",
        ["a", "b"],
        True,
    ]
    assert record(Decimal("1E+3")) == "1000"
    with pytest.raises(TypeError, match="no plain data"):
        record(object())


def test_a_day_in_utc_is_the_same_moment() -> None:
    assert record(datetime(2026, 3, 4, 15, 2, tzinfo=UTC)) == "2026-03-04T15:02:00Z"


@given(st.text())
def test_no_text_moves_the_cursor_or_starts_a_line(text: str) -> None:
    shown = plain(text)
    assert not any(unicodedata.category(letter) in {"Cc", "Cf", "Cs", "Zl", "Zp"} for letter in shown)
    assert len(shown) == len(text)


@given(st.lists(st.tuples(st.text(), st.text()), min_size=1))
def test_figures_stand_to_the_right(rows: list[tuple[str, str]]) -> None:
    head, *lines = table(("what", "how much"), rows, figures=[1])
    assert len(lines) == len(rows)
    ends = {width(click.unstyle(head))}
    for (_, figure), line in zip(rows, lines, strict=True):
        if plain(figure).strip() == plain(figure) != "":
            assert line.endswith(plain(figure))
            ends.add(width(line))
    assert len(ends) == 1


def test_sums_are_aligned_on_their_last_figure() -> None:
    assert sums([("parts", "1,285.00"), ("tax", "4.69")]) == ["parts  1,285.00", "tax        4.69"]
    assert pairs([("tag", "X"), ("empty", ""), ("part", "hood")]) == ["tag   X", "part  hood"]


NASTY = "\x1b[31mred\x1b[0m [/bold] {x} %s \x07\u202e"


def test_text_from_the_book_is_shown_and_never_obeyed(yard: Desk) -> None:
    stock = yard.record("take-in", "--no-vin", "x", "--words", NASTY)["stock_number"]
    for words in (["donors"], ["donor", stock], ["history"]):
        said = yard.says(*words)
        assert "\x1b" not in said
        assert "\u202e" not in said
        assert "[/bold] {x} %s" in said
    assert yard.record("donor", stock)["vehicle"] == NASTY


def test_lists_say_how_many_there_are(yard: Desk) -> None:
    assert yard.says("places").endswith("3 places\n")
    assert "there may be more" in yard.says("history", "--limit", "1")
    assert yard.says("models", "heavy").endswith("1 model\n")
    assert yard.says("parts").endswith("4 part types\n")
    assert "Stored force" in yard.says("facts", "front lower control arm")


def test_people_and_settings_are_the_owners(yard: Desk) -> None:
    assert yard.record("sign-on", "C2", "counter two", "--role", "counter")["role"] == "counter"
    assert "C2" in yard.says("people")
    assert yard.record("settings", "tax_percent", "6.5")["value"] == "6.5"
    assert yard.record("settings", "tax_percent")["value"] == "6.5"
    assert "tax_percent" in yard.says("settings")
    assert yard.refusal("--by", "C2", "settings", "tax_percent", "1")["kind"] == "refused"


def test_a_whole_book_has_status_0_and_one_with_faults_status_1(yard: Desk) -> None:
    yard.record("take-in", "--no-vin", "x", "--words", "x")
    assert yard.says("check") == "the book is whole\n"
    assert yard.record("check") == {"whole": True, "findings": []}
    with sqlite3.connect(yard.address) as connection:
        connection.execute("UPDATE counters SET last = 0 WHERE series = 'donors'")
    connection.close()
    result = yard.run("check", "--json")
    assert result.exit_code == 1
    found = json.loads(result.stdout)
    assert found["whole"] is False
    assert found["findings"][0]["words"] in " ".join(yard.run("check").stdout.split())


def test_an_upgrade_of_a_new_book_changes_nothing(yard: Desk) -> None:
    found = yard.record("upgrade")
    assert found["before"] == found["now"]
    assert found["backup"] is None
    assert "as it was" in yard.says("upgrade")


def test_a_place_is_made_with_its_limits_and_its_sign_is_drawn(yard: Desk, tmp_path: Path) -> None:
    made = yard.record("add-place", "b1-1", "low heavy shelf", "--weight-limit", "300", "--piece-limit", "4")
    assert (made["code"], made["weight_limit_lb"], made["piece_limit"]) == ("B1-1", "300", 4)
    sign = tmp_path / "sign.pdf"
    assert "drawn" in yard.says("label", "B1-1", "--to", str(sign))
    assert sign.read_bytes().startswith(b"%PDF")


def test_where_and_who_may_stand_after_the_command(yard: Desk, tmp_path: Path) -> None:
    other = str(tmp_path / "other.book")
    open_book(other).close()
    assert yard.record("people", "--book", other)["people"] == []
    assert len(yard.record("people")["people"]) == 5
    yard.record("add-place", "Z1", "shelf", "--by", "P1")
    assert yard.record("history", "--about", "Z1")["history"][0]["by"] == "P1"
