"""One cell at a time: what is written reads back, and no spreadsheet runs it."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import UniqueConstraint

from app.book.schema import Base
from app.book.sheets import cells, columns_of, describe_sheets
from app.book.sheets.files import Broken, Row, read_rows
from app.book.sheets.keys import leaves
from app.book.sheets.spec import Column, sheet_named, sheets
from app.fit.terms import FactKind, Side
from tests.book.sheet_rows import KINDS

COLUMNS = [
    pytest.param(column, id=f"{sheet.name}.{column.header}")
    for sheet in sheets().values()
    for column in sheet.columns
    if not column.refers
]
# OWASP, "CSV Injection" (owasp.org/www-community/attacks/CSV_Injection): the characters a cell must not start with.
OWASP = ["=", "+", "-", "@", "\t", "\r"]


def test_every_table_is_a_sheet_with_a_natural_key() -> None:
    kept = {name for name, table in Base.metadata.tables.items() if not table.info.get("worked_out")}
    assert set(sheets()) == kept
    for sheet in sheets().values():
        assert sheet.key, sheet.name
        assert sheet.purpose, sheet.name
        headers = [column.header for column in sheet.columns]
        assert len(set(headers)) == len(headers), sheet.name
        unique = [
            {column.name for column in each.columns}
            for each in sheet.table.constraints
            if isinstance(each, UniqueConstraint)
        ]
        assert {column.name for column in sheet.key} in unique, sheet.name


def test_a_key_that_is_referred_to_can_be_taken_apart_again() -> None:
    for sheet in sheets().values():
        for column in sheet.columns:
            if column.refers:
                parts = leaves(sheet_named(column.refers))
                assert sum(isinstance(part.kind, cells.Text) for part in parts) <= 1, column.refers


def test_ids_never_stand_in_the_folder() -> None:
    assert not [sheet.name for sheet in sheets().values() if any(column.name == "id" for column in sheet.columns)]


def member(column: Column) -> st.SearchStrategy[Any]:
    if isinstance(column.kind, cells.OneOf):
        return st.sampled_from(list(column.kind.members))
    return KINDS[type(column.kind)]


@pytest.mark.parametrize("column", COLUMNS)
def test_what_a_column_writes_it_reads_back(column: Column) -> None:
    @settings(max_examples=20)
    @given(value=(st.none() | member(column)) if column.nullable else member(column))
    def there_and_back(value: Any) -> None:
        cell = column.write(value)
        found = column.kind.read(cell) if cell else column.empty()
        assert found == value
        assert type(found) is type(value)

    there_and_back()


@given(start=st.sampled_from(OWASP), rest=st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"])))
def test_text_that_a_spreadsheet_would_run_is_made_harmless_and_reads_back(start: str, rest: str) -> None:
    text = start + rest
    cell = cells.Text().write(text)
    assert cell[0] not in OWASP
    assert cells.Text().read(cell) == text
    listed = cells.Entries().write([text.strip() or "x"])
    assert listed[0] not in OWASP


@pytest.mark.parametrize(("text", "cell"), [("-5", "'-5"), ("'-5", "''-5"), ("5", "5"), ("it's", "it's"), ("", "")])
def test_an_apostrophe_in_front_is_taken_off_once(text: str, cell: str) -> None:
    assert cells.Text().write(text) == cell
    assert cells.Text().read(cell) == text


def test_a_nul_character_is_refused() -> None:
    with pytest.raises(cells.CellError, match="NUL"):
        cells.Text().write("a\0b")


@pytest.mark.parametrize(
    ("kind", "cell", "value"),
    [
        (cells.Dollars(), "128.00", 12800),
        (cells.Dollars(), "128.5", 12850),
        (cells.Dollars(), "-0.05", -5),
        (cells.Exact(), "1.1", Decimal("1.1")),
        (cells.Exact(), "2.5000", Decimal("2.5")),
        (cells.Figure(), "-1e-3", -0.001),
        (cells.Figure(), "812", 812.0),
        (cells.YesNo(), "Yes", True),
        (cells.Month(), "2007-11", "2007-11"),
        (cells.Instant(), "2026-02-10T15:00:00Z", datetime(2026, 2, 10, 15, tzinfo=UTC)),
        (
            cells.Instant(),
            "2026-02-10T09:00-06:00",
            datetime(2026, 2, 10, 9, tzinfo=timezone(timedelta(hours=-6))),
        ),
        (cells.Entries(), "PL2; WL2; BR2", ["PL2", "WL2", "BR2"]),
        (cells.Entries(), '["a;b"]', ["a;b"]),
        (cells.OneOf(Side), "LH", Side.LH),
        (cells.OneOf(FactKind), "yes or no", FactKind.YES_NO),
    ],
)
def test_cells_as_people_write_them(kind: cells.Kind, cell: str, value: object) -> None:
    assert kind.read(cell) == value


@pytest.mark.parametrize(
    ("kind", "cell"),
    [
        (cells.Dollars(), "1.005"),
        (cells.Dollars(), "$5"),
        (cells.Dollars(), "1,150.00"),
        (cells.Dollars(), "99999999.00"),
        (cells.Whole(), "1.0"),
        (cells.Whole(), "٣"),
        (cells.Whole(), str(2**31)),
        (cells.Exact(), "1.0005"),
        (cells.Exact(), "1e3"),
        (cells.Exact(), "NaN"),
        (cells.Figure(), "nan"),
        (cells.Figure(), "1e999"),
        (cells.Figure(), "12 in"),
        (cells.YesNo(), "1"),
        (cells.Month(), "2007-13"),
        (cells.Month(), "2007-1"),
        (cells.Day(), "2026-02-30"),
        (cells.Day(), "10.02.2026"),
        (cells.Instant(), "2026-02-10T15:00:00"),
        (cells.Instant(), "2026-02-10"),
        (cells.Instant(), "2026-02-10T25:00:00Z"),
        (cells.Entries(), "a;;b"),
        (cells.Entries(), '["a"'),
        (cells.Entries(), "[NaN]"),
        (cells.Record(), "[]"),
        (cells.Record(), "words"),
        (cells.OneOf(Side), "left"),
    ],
)
def test_cells_that_are_refused(kind: cells.Kind, cell: str) -> None:
    with pytest.raises(cells.CellError):
        kind.read(cell)


# RFC 4180, section 2, "Definition of the CSV Format": rules 1 to 7 with the examples given there.
RFC_4180 = [
    ("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
    ("aaa,bbb,ccc\r\nzzz,yyy,xxx", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
    ("field_name,field_name,field_name\r\naaa,bbb,ccc\r\n", [["field_name"] * 3, ["aaa", "bbb", "ccc"]]),
    ("aaa,bbb,ccc", [["aaa", "bbb", "ccc"]]),
    ('"aaa","bbb","ccc"\r\nzzz,yyy,xxx', [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
    ('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx', [["aaa", "b\r\nbb", "ccc"], ["zzz", "yyy", "xxx"]]),
    ('"aaa","b""bb","ccc"', [["aaa", 'b"bb', "ccc"]]),
]


@pytest.mark.parametrize(("text", "rows"), RFC_4180)
def test_the_examples_of_rfc_4180(tmp_path: Path, text: str, rows: list[list[str]]) -> None:
    path = tmp_path / "example.csv"
    path.write_bytes(text.encode())
    assert [row.cells for row in read_rows(path) if isinstance(row, Row)] == rows


def test_spaces_belong_to_a_field_and_a_lone_quote_is_no_csv(tmp_path: Path) -> None:
    # RFC 4180, section 2, rules 4 and 5.
    path = tmp_path / "example.csv"
    path.write_bytes(b'aaa, bbb ,ccc\r\n"aaa"x,b\r\nnext,row\r\n"never closed,\r\n')
    found = list(read_rows(path))
    assert found[0] == Row(1, ["aaa", " bbb ", "ccc"])
    assert isinstance(found[1], Broken)
    assert found[1].line == 2
    assert found[2] == Row(3, ["next", "row"])
    assert isinstance(found[3], Broken)
    assert found[3].line == 4


def test_rows_are_numbered_by_the_line_they_start_on(tmp_path: Path) -> None:
    path = tmp_path / "lines.csv"
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([["a"], ["x\ny\r\nz"], ["w"]])
    path.write_bytes(b"\xef\xbb\xbf" + out.getvalue().encode() + b"\n\nlast\n")
    assert [(row.line, row.cells) for row in read_rows(path) if isinstance(row, Row)] == [
        (1, ["a"]),
        (2, ["x\ny\r\nz"]),
        (5, ["w"]),
        (8, ["last"]),
    ]


def test_the_description_names_every_column_of_every_sheet() -> None:
    text = describe_sheets()
    for sheet in sheets().values():
        _, _, after = text.partition(f"\n{sheet.file}\n")
        described = after.partition("\n\n")[0]
        for column in columns_of(sheet.name):
            assert f"    {column.header}: " in described, (sheet.name, column.header)
