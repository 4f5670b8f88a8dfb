"""The sheets of the folder described as text, from the tables themselves."""

from __future__ import annotations

from app.book.sheets.cells import Text
from app.book.sheets.spec import Column, Sheet, sheet_named, sheets

RULES = """\
One file for each table, UTF-8, a header row, RFC 4180. A missing file means no rows, a missing column its default.
Empty cells are unknown where a column may be unknown, else the default, else empty text.
A reference holds the key of the row it means; where a key has several columns they are joined with /.
Money in dollars, dates 2026-02-10, moments 2026-02-10T15:00:00Z, yes or no, lists with ; between the entries.
Text that starts with = + - @ tab or ' has one more ' in front, which is taken off on reading; a lone ' is empty text.
"""


def columns_of(name: str) -> tuple[Column, ...]:
    """The columns of a sheet.

    Raises:
        KeyError: there is no such sheet.
    """
    return sheet_named(name).columns


def describe_sheets() -> str:
    """Every sheet: what it is for, its columns, what each holds, what must be there."""
    return "\n".join([RULES, *(_described(sheet) for sheet in sheets().values())])


def _described(sheet: Sheet) -> str:
    key = ", ".join(column.header for column in sheet.key)
    again = "a row again brings it up to date" if sheet.knowledge else "a row again must be the same"
    lines = [sheet.file, f"  {sheet.purpose}", f"  key: {key}; {again}"]
    return "\n".join([*lines, *(f"    {_column_line(column)}" for column in sheet.columns), ""])


def _column_line(column: Column) -> str:
    marks = [column.words]
    if column.required:
        marks.append("must be there")
    elif column.make_default is not None and (default := column.write(column.missing())):
        text = isinstance(column.kind, Text)
        marks.append(f"{default} where there is no such column" if text else f"else {default}")
    elif column.nullable:
        marks.append("empty: unknown")
    doc = f" ({column.doc})" if column.doc else ""
    return f"{column.header}: {'; '.join(marks)}{doc}"
