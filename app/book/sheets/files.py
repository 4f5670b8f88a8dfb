"""Reading the files of a folder record by record, with the physical line on which each starts."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from app.book.sheets.faults import Fault
from app.book.sheets.spec import Sheet, sheets
from app.errors import NotFound

BYTE_ORDER_MARK = b"\xef\xbb\xbf"
MOST_OF_A_CELL = 2**31 - 1
IGNORED_SUFFIXES = (".md",)


@dataclass(frozen=True, slots=True)
class Row:
    """A record as it stands in the file: the line it starts on, and its cells."""

    line: int
    cells: list[str]
    dirty: bool = False
    """True when it holds bytes that are no UTF-8, or a NUL."""


@dataclass(frozen=True, slots=True)
class Broken:
    """A record that is no CSV, with the reader's reason."""

    line: int
    reason: str


def find_sheets(folder: Path) -> tuple[list[tuple[Sheet, Path]], list[Fault]]:
    """The sheets of a folder in loading order, and a fault for each file that is none.

    Hidden files and notes (.md) may lie beside the sheets.

    Raises:
        NotFound: there is no such folder.
    """
    if not folder.is_dir():
        raise NotFound(f"there is no folder {folder}", "Give a folder of CSV files.", place="folder")
    inside = {
        each.name: each
        for each in sorted(folder.iterdir())
        if not each.name.startswith(".") and each.suffix not in IGNORED_SUFFIXES
    }
    known = [(sheet, inside.pop(sheet.file)) for sheet in sheets().values() if sheet.file in inside]
    names = ", ".join(sorted(sheet.file for sheet in sheets().values()))
    return known, [Fault(name, 0, "", name, f"a file of the folder: {names}") for name in inside]


class _Lines:
    """The lines of a file for the CSV reader, counted as an editor counts them."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.dirty = False

    def __iter__(self) -> Iterator[str]:
        with self.path.open("rb") as file:
            for number, line in enumerate(file):
                yield self._decoded(line.removeprefix(BYTE_ORDER_MARK) if number == 0 else line)

    def _decoded(self, line: bytes) -> str:
        self.dirty = self.dirty or b"\0" in line
        try:
            return line.decode()
        except UnicodeDecodeError:
            self.dirty = True
            return line.decode(errors="surrogateescape")


def read_rows(path: Path) -> Iterator[Row | Broken]:
    """The records of a file, header first; blank lines are stepped over."""
    csv.field_size_limit(MOST_OF_A_CELL)
    lines = _Lines(path)
    reader = csv.reader(iter(lines), strict=True)
    while True:
        start = reader.line_num + 1
        lines.dirty = False
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            yield Broken(start, str(error))
            continue
        if row:
            yield Row(start, row, lines.dirty)


def unreadable_cells(sheet: Sheet, headers: list[str], row: Row) -> Iterator[Fault]:
    """The cells of a dirty record that hold a NUL or bytes that are no UTF-8."""
    for number, cell in enumerate(row.cells):
        if "\0" in cell or any("\udc80" <= letter <= "\udcff" for letter in cell):
            column = headers[number] if number < len(headers) else ""
            yield Fault(sheet.file, row.line, column, ascii(cell), "text in UTF-8 without NUL characters")
