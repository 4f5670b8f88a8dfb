"""Putting read rows into the book: new ones added, known ones compared, each row the database refuses found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Executable, RowMapping, bindparam, insert, select, update
from sqlalchemy.exc import DataError, IntegrityError

from app.book.sheets.faults import Fault, SheetCount, Stop, check_stop
from app.book.sheets.keys import JOINT, Keys
from app.book.sheets.reading import Entry
from app.book.sheets.refusals import explain
from app.book.sheets.spec import Column, Sheet, sheet_named


class Store:
    """Keeps the rows of one sheet, batch by batch."""

    def __init__(
        self,
        connection: Connection,
        sheet: Sheet,
        given: Sequence[Column],
        keys: Mapping[str, Keys],
        stop: Stop | None,
    ) -> None:
        self.connection = connection
        self.sheet = sheet
        self.given = given
        self.keys = keys
        self.stop = stop
        self.count = SheetCount()
        self.faults: list[Fault] = []
        self._places = {column.name: column for column in given}

    def keep(self, batch: Sequence[Entry]) -> None:
        """Add or compare the rows of a batch."""
        own = self.keys[self.sheet.name]
        known = [entry for entry in batch if own.in_book(entry.row_id)]
        new = [entry for entry in batch if not own.in_book(entry.row_id)]
        self.count.added += self._apply(insert(self.sheet.table), new)
        changed = self._changed(known)
        if changed:
            self.count.changed += self._apply(self._update(), changed, prefix="to_")

    def _apply(self, statement: Executable, entries: Sequence[Entry], prefix: str = "") -> int:
        """Run a statement for rows; where the database refuses, halve them until the bad row stands alone."""
        if not entries:
            return 0
        check_stop(self.stop)
        rows = [entry.values for entry in entries]
        if prefix:
            rows = [{f"{prefix}{name}": value for name, value in row.items()} for row in rows]
        try:
            with self.connection.begin_nested():
                self.connection.execute(statement, rows)
            return len(entries)
        except (IntegrityError, DataError) as error:
            if len(entries) == 1:
                self.keys[self.sheet.name].bad.add(entries[0].row_id)
                self.faults.append(explain(error, self.sheet, entries[0].line, entries[0].values))
                return 0
        middle = len(entries) // 2
        return self._apply(statement, entries[:middle], prefix) + self._apply(statement, entries[middle:], prefix)

    def _update(self) -> Executable:
        table = self.sheet.table
        changes = {
            column.name: bindparam(f"to_{column.name}", type_=table.c[column.name].type) for column in self.given
        }
        return update(table).where(table.c.id == bindparam("to_id")).values(changes)

    def _changed(self, entries: Sequence[Entry]) -> list[Entry]:
        """The rows of knowledge that differ from the book; a record that differs is a fault."""
        changed = []
        for entry, kept in zip(entries, self._kept(entries), strict=True):
            column = self._first_difference(entry, kept)
            if column is None:
                self.count.same += 1
            elif self.sheet.knowledge or self.sheet.name == "counters":
                changed.append(entry)
            else:
                self.keys[self.sheet.name].bad.add(entry.row_id)
                self.faults.append(self._already(entry, kept, column))
        return changed

    def _kept(self, entries: Sequence[Entry]) -> list[RowMapping]:
        if not entries:
            return []
        table = self.sheet.table
        found = self.connection.execute(select(table).where(table.c.id.in_([entry.row_id for entry in entries])))
        by_id = {row["id"]: row for row in found.mappings()}
        return [by_id[entry.row_id] for entry in entries]

    def _first_difference(self, entry: Entry, kept: RowMapping) -> Column | None:
        if self.sheet.name == "counters" and entry.values["last"] <= kept["last"]:
            # A counter only ever goes up: numbers given out since the folder was written stay given out.
            return None
        return next((column for column in self.given if entry.values[column.name] != kept[column.name]), None)

    def _already(self, entry: Entry, kept: RowMapping, column: Column) -> Fault:
        has = said(self.keys, column, kept[column.name])
        found = said(self.keys, column, entry.values[column.name])
        expected = f"the row as it is already in the book, with {column.header} {has or 'empty'}"
        return Fault(self.sheet.file, entry.line, column.header, found, expected)


def said(keys: Mapping[str, Keys], column: Column, value: Any) -> str:
    """A value as the folder writes it; a reference by the key of its row."""
    if value is None or not column.refers:
        return column.write(value)
    sheet = sheet_named(column.refers)
    key = keys[sheet.name].key_with(value)
    parts = key if isinstance(key, tuple) else (key,)
    return JOINT.join(said(keys, part, each) for part, each in zip(sheet.key, parts, strict=True))
