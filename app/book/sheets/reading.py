"""Turning the rows of one sheet into values, with a fault for each cell that cannot stand."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from app.book.sheets.broken import Facts, Values
from app.book.sheets.cells import CellError
from app.book.sheets.faults import Fault
from app.book.sheets.files import Row, unreadable_cells
from app.book.sheets.keys import Keys, Tainted, key_of, resolve
from app.book.sheets.rowlaws import LAWS
from app.book.sheets.spec import Column, Sheet

UNREAD = object()
MOST_KNOWN = 2000
"""Different cells of a column that are kept, so that a long file of notes does not fill the memory."""


@dataclass(slots=True)
class Entry:
    """A row of the folder with nothing wrong so far, ready for the book."""

    line: int
    row_id: int
    values: Values
    cells: list[str]


@dataclass(frozen=True, slots=True)
class Header:
    """Which column stands where in a file; None for a cell that belongs to no column of the sheet."""

    names: list[str]
    columns: list[Column | None]
    faults: list[Fault]

    @property
    def given(self) -> list[tuple[int, Column]]:
        """The columns the file has, with the place of their cells."""
        return [(place, column) for place, column in enumerate(self.columns) if column is not None]


def read_header(sheet: Sheet, row: Row) -> Header:
    """The header row of a file."""
    known = {column.header: column for column in sheet.columns}
    columns: list[Column | None] = []
    faults = list(unreadable_cells(sheet, [], row)) if row.dirty else []
    for name in row.cells:
        column = known.get(name)
        if column is None:
            expected = f"a column of {sheet.file}: {', '.join(known)}"
            faults.append(Fault(sheet.file, row.line, name, name, expected))
        elif column in columns:
            faults.append(Fault(sheet.file, row.line, name, name, "each column once"))
            column = None
        columns.append(column)
    for column in sheet.columns:
        if column.required and column not in columns:
            faults.append(Fault(sheet.file, row.line, column.header, "no such column", f"a column {column.header}"))
    return Header(row.cells, columns, faults)


class CellReader:
    """Reads the cells of one column; what it has read before it knows."""

    def __init__(self, column: Column, read: Callable[[str], Any], *, remembers: bool) -> None:
        self.column = column
        self.known: dict[str, Any] = {}
        self._read = read
        self._remembers = remembers

    def read(self, cell: str) -> Any:
        """The value of a cell.

        Raises:
            CellError: the cell cannot stand.
        """
        value = self._read(cell) if cell else self.column.empty()
        if self._remembers and len(self.known) < MOST_KNOWN:
            self.known[cell] = value
        return value


class Reader:
    """Reads the rows of one sheet; it remembers keys, so that a second row of the same key is a fault."""

    def __init__(self, sheet: Sheet, header: Header, keys: Mapping[str, Keys], facts: Facts) -> None:
        self.sheet = sheet
        self.header = header
        self.keys = keys
        self.facts = facts
        self.faults: list[Fault] = []
        self._own = keys[sheet.name]
        self._lines: dict[int, int] = {}
        self._sound = not header.faults
        given = {column.name for _, column in header.given}
        self._absent = {
            column.name: column.missing()
            for column in sheet.columns
            if column.name not in given and not column.required
        }
        self._cells = [(place, self._cell_reader(column)) for place, column in header.given]
        self._key_names = [column.name for column in sheet.key]
        self._own.incomplete = not given.issuperset(self._key_names)

    def _cell_reader(self, column: Column) -> CellReader:
        if not column.refers:
            return CellReader(column, column.kind.read, remembers=not column.in_key)
        refers = column.refers
        # Rows of the sheet itself may still turn out to have a fault.
        return CellReader(column, lambda cell: resolve(self.keys, refers, cell), remembers=refers != self.sheet.name)

    def foresee(self, row: Row) -> None:
        """Give the row its id ahead of reading it, because an earlier row may refer to it."""
        if len(row.cells) != len(self.header.names):
            return
        values: Values = {}
        for place, reader in self._cells:
            if reader.column.in_key:
                self._read_cell(row.cells[place], reader, values, row.line, [])
        if all(name in values for name in self._key_names):
            self._own.reserve(key_of([values[name] for name in self._key_names]))

    def read(self, row: Row) -> Entry | None:
        """The row as values; None when it has a fault or refers to a row that has one."""
        broken = list(self._misshapen(row))
        if broken:
            self.faults += broken
            self._own.incomplete = True
            return None
        values = dict(self._absent)
        faults: list[Fault] = []
        tainted = False
        for place, reader in self._cells:
            cell = row.cells[place]
            known = reader.known.get(cell, UNREAD)
            if known is not UNREAD:
                values[reader.column.name] = known
            elif self._read_cell(cell, reader, values, row.line, faults):
                tainted = True
        row_id = self._identify(row, values, faults)
        if row_id is None:
            self.faults += faults
            return None
        if not faults and not tainted and self._sound:
            faults = list(self._law_faults(row, values))
        self.faults += faults
        if faults or tainted or not self._sound:
            self._own.bad.add(row_id)
            return None
        values["id"] = row_id
        return Entry(row.line, row_id, values, row.cells)

    def _misshapen(self, row: Row) -> Iterator[Fault]:
        wanted, found = len(self.header.names), len(row.cells)
        if row.dirty:
            yield from unreadable_cells(self.sheet, self.header.names, row)
        if wanted != found:
            yield Fault(self.sheet.file, row.line, "", f"{found} cells", f"{wanted} cells, as the header has")

    def _read_cell(self, cell: str, reader: CellReader, values: Values, line: int, faults: list[Fault]) -> bool:
        """Read one cell into the values; True when it refers to a row that has a fault of its own."""
        column = reader.column
        try:
            values[column.name] = reader.read(cell)
        except Tainted:
            return True
        except CellError as error:
            faults.append(Fault(self.sheet.file, line, column.header, cell, str(error)))
        return False

    def _identify(self, row: Row, values: Values, faults: list[Fault]) -> int | None:
        if any(name not in values for name in self._key_names):
            self._own.incomplete = True
            return None
        row_id = self._own.reserve(key_of([values[name] for name in self._key_names]))
        first = self._lines.setdefault(row_id, row.line)
        if first == row.line:
            return row_id
        headers = [column.header for column in self.sheet.key]
        found = " / ".join(row.cells[place] for place, column in self.header.given if column.in_key)
        expected = f"each {' and '.join(headers)} once; line {first} has it already"
        faults.append(Fault(self.sheet.file, row.line, ", ".join(headers), found, expected))
        return None

    def _law_faults(self, row: Row, values: Values) -> Iterator[Fault]:
        law = LAWS.get(self.sheet.name)
        if law is not None:
            for broken in law(values, self.facts):
                yield Fault(self.sheet.file, row.line, broken.column, broken.found, broken.expected)
