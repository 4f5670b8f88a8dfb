"""What the database refuses, in words: the rule, the columns it speaks of and what the row holds."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from sqlalchemy import CheckConstraint, Index, UniqueConstraint
from sqlalchemy.exc import DBAPIError

from app.book.sheets.broken import Values
from app.book.sheets.faults import Fault
from app.book.sheets.spec import Column, Sheet

_CHECK = re.compile(r"CHECK constraint failed: (\w+)")
_UNIQUE = re.compile(r"UNIQUE constraint failed: (.+)")
_WORD = re.compile(r"'(?:[^']|'')*'|(\w+)")


def explain(error: DBAPIError, sheet: Sheet, line: int, values: Values) -> Fault:
    """The fault of a row that the database refused."""
    name, columns = _broken(error, sheet)
    check = _check_named(sheet, name)
    if check is not None:
        columns = _mentioned(sheet, check)
        expected = f"{_plain(sheet, name)}: {' '.join(check.split())}"
    elif columns:
        expected = _alone(sheet, columns)
    else:
        expected = f"a row the database takes: {error.orig}"
    found = ", ".join(f"{column.header} {_said(column, values[column.name])}" for column in columns)
    return Fault(sheet.file, line, ", ".join(column.header for column in columns), found, expected)


def _broken(error: DBAPIError, sheet: Sheet) -> tuple[str, list[Column]]:
    """The broken constraint's name and, for a unique one, its columns."""
    diagnosis = getattr(error.orig, "diag", None)
    if diagnosis is not None:
        name = str(diagnosis.constraint_name or "")
        return name, _unique_columns(sheet, name)
    text = str(error.orig)
    check, unique = _CHECK.search(text), _UNIQUE.search(text)
    if unique:
        names = [each.strip().removeprefix(f"{sheet.name}.") for each in unique[1].split(",")]
        return "", _columns(sheet, names)
    return (check[1] if check else ""), []


def _unique_columns(sheet: Sheet, name: str) -> list[Column]:
    uniques: list[UniqueConstraint | Index] = [*sheet.table.indexes]
    uniques += [each for each in sheet.table.constraints if isinstance(each, UniqueConstraint)]
    for unique in uniques:
        if unique.name == name:
            return _columns(sheet, [column.name for column in unique.columns])
    return []


def _columns(sheet: Sheet, names: Iterable[str]) -> list[Column]:
    wanted = set(names)
    return [column for column in sheet.columns if column.name in wanted]


def _check_named(sheet: Sheet, name: str) -> str | None:
    for constraint in sheet.table.constraints:
        if isinstance(constraint, CheckConstraint) and constraint.name == name:
            return str(constraint.sqltext)
    return None


def _mentioned(sheet: Sheet, sql: str) -> list[Column]:
    return _columns(sheet, [match[1] for match in _WORD.finditer(sql) if match[1]])


def _plain(sheet: Sheet, name: str) -> str:
    return name.removeprefix(f"ck_{sheet.name}_").replace("_", " ")


def _alone(sheet: Sheet, columns: list[Column]) -> str:
    """What a unique constraint asks, with the condition of a partial one."""
    headers = " and ".join(column.header for column in columns)
    names = {column.name for column in columns}
    for unique in sheet.table.indexes:
        where = unique.dialect_options["sqlite"]["where"]
        if unique.unique and where is not None and {column.name for column in unique.columns} == names:
            return f"one row only of that {headers} where {where}"
    return f"a {headers} that no other row has"


def _said(column: Column, value: Any) -> str:
    if column.refers:
        return "given" if value is not None else "empty"
    return column.write(value) or "empty"
