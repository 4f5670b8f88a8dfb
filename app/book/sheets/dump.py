"""Writing the book as a folder of CSV files, one moment of it, whole or not at all."""

from __future__ import annotations

import csv
import os
import shutil
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, FromClause, Select, collate, func, select
from sqlalchemy.sql.elements import ColumnElement

from app.book.sheets.cells import CellError, protect
from app.book.sheets.faults import DumpReport, Progress, no_progress
from app.book.sheets.keys import JOINT
from app.book.sheets.spec import Column, Sheet, sheet_named, sheets
from app.book.work import Book
from app.errors import BadInput

AT_ONCE = 1000


def dump_folder(book: Book, folder: Path, *, progress: Progress = no_progress) -> DumpReport:
    """Write every row of the book into a folder; a sheet without rows has no file.

    The folder may be new, empty, or one of an earlier dump, which is replaced.

    Raises:
        BadInput: the folder holds something else, cannot be written, or a cell cannot stand in a CSV file.
    """
    _refuse_foreign(folder)
    beside = folder.with_name(f".{folder.name}.{uuid.uuid4().hex[:8]}")
    try:
        beside.mkdir(parents=True)
        try:
            with _one_moment(book) as connection:
                report = _write_all(connection, beside, progress)
            _put_in_place(beside, folder)
        finally:
            shutil.rmtree(beside, ignore_errors=True)
    except OSError as error:
        raise BadInput(
            f"{folder} cannot be written: {error.strerror}", "Give another folder.", place="folder"
        ) from error
    return report


def _refuse_foreign(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise BadInput(f"{folder} is a file", "Give a folder.", place="folder")
    ours = {sheet.file for sheet in sheets().values()}
    foreign = sorted(each.name for each in folder.iterdir() if each.name not in ours) if folder.exists() else []
    if foreign:
        raise BadInput(
            f"{folder} holds {foreign[0]}, which is no sheet of the book", "Give a new folder.", place="folder"
        )


@contextmanager
def _one_moment(book: Book) -> Iterator[Connection]:
    """A connection on which every statement sees the same moment of the book."""
    engine = book.engine
    if engine.dialect.name == "postgresql":
        engine = engine.execution_options(isolation_level="REPEATABLE READ")
    with engine.connect() as connection, connection.begin():
        yield connection


def _write_all(connection: Connection, folder: Path, progress: Progress) -> DumpReport:
    sizes = {
        name: connection.scalar(select(func.count()).select_from(sheet.table)) or 0 for name, sheet in sheets().items()
    }
    total, done = sum(sizes.values()), 0
    for name, size in sizes.items():
        if not size:
            continue
        for written in _write_sheet(connection, sheet_named(name), folder):
            done += written
            progress(done, total, name)
    return DumpReport({name: size for name, size in sizes.items() if size})


def _write_sheet(connection: Connection, sheet: Sheet, folder: Path) -> Iterator[int]:
    """Write one file, telling how many rows each step wrote."""
    query = _Query(sheet)
    with (folder / sheet.file).open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\r\n")
        writer.writerow([column.header for column in sheet.columns])
        statement = query.statement(connection.dialect.name)
        rows = connection.execute(statement, execution_options={"yield_per": AT_ONCE})
        for batch in rows.partitions():
            writer.writerows(query.cells(row) for row in batch)
            yield len(batch)
        file.flush()
        os.fsync(file.fileno())


def _put_in_place(beside: Path, folder: Path) -> None:
    """Give the finished folder its name; an older one stands until then."""
    if not folder.exists():
        beside.rename(folder)
        return
    old = folder.with_name(f"{beside.name}.old")
    folder.rename(old)
    try:
        beside.rename(folder)
    except OSError:
        old.rename(folder)
        raise
    shutil.rmtree(old)


class _Query:
    """The rows of a sheet in the order of their keys, each reference read as the key of its row."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.source: FromClause = sheet.table
        self.selected: list[ColumnElement[Any]] = []
        self.spans: list[tuple[Column, list[Column]]] = []
        orders: dict[str, list[ColumnElement[Any]]] = {}
        for column in sheet.columns:
            found = list(self._leaves(sheet.table, column))
            orders[column.name] = [element for element, _ in found]
            self.selected += orders[column.name]
            self.spans.append((column, [leaf for _, leaf in found]))
        self.order = [element for name in sheet.order for element in orders[name]]

    def _leaves(self, table: FromClause, column: Column) -> Iterator[tuple[ColumnElement[Any], Column]]:
        """A plain column as it is; for a reference, the columns of the key it points to, joined on."""
        if not column.refers:
            yield table.c[column.name], column
            return
        parent = sheet_named(column.refers)
        joined = parent.table.alias()
        self.source = self.source.outerjoin(joined, table.c[column.name] == joined.c.id)
        for part in parent.key:
            yield from self._leaves(joined, part)

    def statement(self, dialect: str) -> Select[Any]:
        """The query; text in the order of its code points, whatever the database's own order is."""
        order = [
            collate(element, "C") if dialect == "postgresql" and element.type.python_type is str else element
            for element in self.order
        ]
        return select(*self.selected).select_from(self.source).order_by(*order)

    def cells(self, row: Any) -> list[str]:
        """A row as cells.

        Raises:
            BadInput: a value cannot stand in a CSV file.
        """
        cells, place = [], 0
        for column, leaves in self.spans:
            value = row[place]
            if column.refers:
                cells.append(self._cell(column, _reference, leaves, row[place : place + len(leaves)]))
            elif type(value) is str and value and value[0].isalnum() and "\0" not in value:
                cells.append(value)
            else:
                cells.append(self._cell(column, column.write, value))
            place += len(leaves)
        return cells

    def _cell(self, column: Column, write: Callable[..., str], *values: Any) -> str:
        try:
            return write(*values)
        except CellError as error:
            found = f"{self.sheet.file}, column {column.header}: {values[-1]!a}"
            raise BadInput(
                f"{found} cannot be written, expected {error}",
                "Correct it in the book first.",
                place=self.sheet.name,
            ) from error


def _reference(leaves: list[Column], values: Any) -> str:
    if values[0] is None:
        return ""
    texts = [
        value if isinstance(value, str) else leaf.kind.write(value) for leaf, value in zip(leaves, values, strict=True)
    ]
    # A key of empty text is no unknown reference.
    return protect(JOINT.join(texts)) or "'"
