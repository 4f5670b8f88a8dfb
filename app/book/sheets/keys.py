"""Which row a natural key means: in the book, or in the folder with the id it is going to have."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, func, select

from app.book.sheets.cells import CellError, Text, unprotect
from app.book.sheets.faults import Stop, check_stop
from app.book.sheets.spec import Column, Sheet, sheet_named

AT_ONCE = 5000
JOINT = "/"


def leaves(sheet: Sheet) -> list[Column]:
    """The plain columns that make a key, with each reference in it replaced by the key it points to."""
    found: list[Column] = []
    for column in sheet.key:
        found.extend(leaves(sheet_named(column.refers)) if column.refers else [column])
    return found


def split_key(sheet: Sheet, text: str) -> list[str]:
    """The parts of a joined key; a `/` inside the one part that is free text stays in it.

    Raises:
        CellError: there are too few parts.
    """
    kinds = leaves(sheet)
    if len(kinds) == 1:
        return [text]
    free = next((place for place, leaf in enumerate(kinds) if isinstance(leaf.kind, Text)), 0)
    after = len(kinds) - free - 1
    parts = text.split(JOINT)
    if len(parts) < len(kinds):
        raise CellError(f"{JOINT.join(leaf.header for leaf in kinds)}, such as a key of {sheet.file} is made")
    end = len(parts) - after
    return [*parts[:free], JOINT.join(parts[free:end]), *parts[end:]]


class Keys:
    """The keys of one sheet: each with the id of its row, old or new."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.ids: dict[Any, int] = {}
        self.first_new = 1
        self.next_id = 1
        self.bad: set[int] = set()
        """Ids of rows with a fault: what refers to them is not at fault for it."""
        self._by_id: dict[int, Any] = {}
        self.incomplete = False
        """True when rows of the file could not be told apart, so that an unknown key may be one of them."""

    def read_book(self, connection: Connection, stop: Stop | None) -> None:
        """Take in the keys the book has."""
        table = self.sheet.table
        self.next_id = (connection.scalar(select(func.max(table.c.id))) or 0) + 1
        self.first_new = self.next_id
        columns = [table.c[column.name] for column in self.sheet.key]
        rows = connection.execute(select(table.c.id, *columns), execution_options={"yield_per": AT_ONCE})
        for batch in rows.partitions():
            check_stop(stop)
            self.ids.update((key_of(values), row_id) for row_id, *values in batch)

    def reserve(self, key: Any) -> int:
        """The id of a key; a key that is new gets the next one."""
        found = self.ids.get(key)
        if found is None:
            found = self.ids[key] = self.next_id
            self.next_id += 1
        return found

    def key_with(self, row_id: int) -> Any:
        """The key of an id."""
        if row_id not in self._by_id:
            self._by_id = {found: key for key, found in self.ids.items()}
        return self._by_id[row_id]

    def in_book(self, row_id: int) -> bool:
        """True when the row was in the book before this load."""
        return row_id < self.first_new


def key_of(values: list[Any] | tuple[Any, ...]) -> Any:
    """A key as it is looked up: the value itself, or a tuple of several."""
    return values[0] if len(values) == 1 else tuple(values)


class Unknown(CellError):
    """A reference to a row that is neither in the book nor in the folder."""


class Tainted(CellError):
    """A reference to a row that has a fault of its own."""


def resolve(keys: Mapping[str, Keys], refers: str, cell: str) -> int:
    """The id of the row that a reference's cell means.

    Raises:
        Unknown: there is no such row.
        Tainted: the row has a fault, or its file has rows that could not be told apart.
        CellError: the cell is no key of that sheet.
    """
    sheet = sheet_named(refers)
    return _resolve(keys, sheet, split_key(sheet, unprotect(cell)))


def _resolve(keys: Mapping[str, Keys], sheet: Sheet, texts: list[str]) -> int:
    held = keys[sheet.name]
    values: list[Any] = []
    for column in sheet.key:
        if column.refers:
            parent = sheet_named(column.refers)
            size = len(leaves(parent))
            values.append(_resolve(keys, parent, texts[:size]))
            texts = texts[size:]
        else:
            # The apostrophe of the whole cell is off already; a text part stands as it is.
            values.append(texts[0] if isinstance(column.kind, Text) else column.kind.read(texts[0]))
            texts = texts[1:]
    found = held.ids.get(key_of(values))
    if found is None:
        raise (Tainted if held.incomplete else Unknown)(f"the key of a row in {sheet.file} or in the book")
    if found in held.bad:
        raise Tainted(sheet.file)
    return found
