"""The sheets of the CSV folder, one for each table, worked out from the tables themselves."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from sqlalchemy import JSON, Boolean, Date, Enum, Float, Integer, String, Table
from sqlalchemy import Column as TableColumn
from sqlalchemy.orm import Mapper

from app.book.schema import Base, Cents, FineCents, Moment, Thousandths
from app.book.sheets import cells

# Books of reference change as the yard learns; all else is a record of what happened and stays as it was written.
KNOWLEDGE_MODULES = ("app.book.schema.bench", "app.book.schema.catalog", "app.book.schema.rules")
KNOWLEDGE_TABLES = ("settings", "people", "places")
ORDER = {"history": ("at", "event")}
MONTHS = ("built", "built_from", "built_to", "from_month", "to_month")

SIMPLE_KINDS: tuple[tuple[type, cells.Kind], ...] = (
    (Cents, cells.Dollars()),
    (FineCents, cells.FineDollars()),
    (Thousandths, cells.Exact()),
    (Moment, cells.Instant()),
    (Date, cells.Day()),
    (Boolean, cells.YesNo()),
    (Integer, cells.Whole()),
    (Float, cells.Figure()),
    (String, cells.Text()),
)


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a sheet and of its table."""

    header: str
    name: str
    """The column's name in the table."""
    kind: cells.Kind
    nullable: bool
    make_default: Callable[[], Any] | None
    refers: str
    """The table it refers to; empty for a plain value."""
    in_key: bool
    doc: str

    @property
    def required(self) -> bool:
        """True when a folder that has the sheet must have the column."""
        return not self.nullable and self.make_default is None

    def missing(self) -> Any:
        """The value where the sheet has no such column; only for columns that are not required."""
        return self.make_default() if self.make_default else None

    def empty(self) -> Any:
        """The value of an empty cell.

        Raises:
            CellError: the cell must not be empty.
        """
        if self.nullable:
            return None
        if isinstance(self.kind, cells.Text) and not self.refers and not (self.in_key and self.required):
            return ""
        if isinstance(self.kind, cells.Entries | cells.Record):
            return self.make_default() if self.make_default else ([] if isinstance(self.kind, cells.Entries) else {})
        if isinstance(self.kind, cells.OneOf) and "" in {str(member) for member in self.kind.members}:
            return self.kind.members("")
        if self.make_default is not None and not isinstance(self.kind, cells.Text):
            return self.make_default()
        raise cells.CellError(self.words)

    @property
    def words(self) -> str:
        """What a cell of the column holds, in words."""
        return f"the key of a row in {self.refers}.csv" if self.refers else self.kind.words

    def write(self, value: Any) -> str:
        """The cell of a plain value; one that is unknown is empty."""
        if value is None:
            return ""
        cell = self.kind.write(value)
        if cell:
            return cell
        if self._empty_means(value):
            return ""
        return {cells.Entries: "[]", cells.Record: "{}"}.get(type(self.kind), "'")

    def _empty_means(self, value: Any) -> bool:
        try:
            return bool(self.empty() == value)
        except cells.CellError:
            return False


@dataclass(frozen=True, slots=True)
class Sheet:
    """One file of the folder."""

    name: str
    table: Table
    columns: tuple[Column, ...]
    key: tuple[Column, ...]
    order: tuple[str, ...]
    knowledge: bool
    purpose: str

    @property
    def file(self) -> str:
        """The file's name."""
        return f"{self.name}.csv"

    @property
    def refers_to_itself(self) -> bool:
        """True when a row may refer to a later row of its own sheet."""
        return any(column.refers == self.name for column in self.columns)

    def column(self, header: str) -> Column:
        """The column of a header."""
        return next(column for column in self.columns if column.header == header)


@cache
def sheets() -> Mapping[str, Sheet]:
    """Every sheet by name, in an order in which a row's references come before the row."""
    mappers = {mapper.local_table: mapper for mapper in Base.registry.mappers}
    kept = (table for table in Base.metadata.sorted_tables if not table.info.get("worked_out"))
    return {table.name: _sheet(table, mappers[table]) for table in kept}


def sheet_named(name: str) -> Sheet:
    """The sheet of a table's name."""
    return sheets()[name]


def _sheet(table: Table, mapper: Mapper[Any]) -> Sheet:
    hints = get_type_hints(mapper.class_)
    key: tuple[str, ...] = table.info["key"]
    made = {
        attribute: _column(attribute, column, hints[attribute], attribute in key)
        for attribute, column in mapper.columns.items()
        if not column.primary_key and not column.info.get("worked_out")
    }
    return Sheet(
        name=table.name,
        table=table,
        columns=tuple(made.values()),
        key=tuple(made[attribute] for attribute in key),
        order=ORDER.get(table.name, tuple(made[attribute].name for attribute in key)),
        knowledge=mapper.class_.__module__ in KNOWLEDGE_MODULES or table.name in KNOWLEDGE_TABLES,
        purpose=" ".join((mapper.class_.__doc__ or "").split()),
    )


def _column(attribute: str, column: TableColumn[Any], hint: Any, in_key: bool) -> Column:
    refers = next((foreign.column.table.name for foreign in column.foreign_keys), "")
    return Column(
        header=_header(attribute, column, refers),
        name=column.name,
        kind=_kind(attribute, column, hint),
        nullable=bool(column.nullable),
        make_default=_default(column),
        refers=refers,
        in_key=in_key,
        doc=column.doc or "",
    )


def _header(attribute: str, column: TableColumn[Any], refers: str) -> str:
    if refers:
        return attribute.removesuffix("_id")
    return attribute.removesuffix("_cents") if isinstance(column.type, (Cents, FineCents)) else attribute


def _default(column: TableColumn[Any]) -> Callable[[], Any] | None:
    default: Any = column.default
    if default is None:
        return None
    if default.is_callable:
        return lambda: default.arg(None)
    return lambda: default.arg


def _kind(attribute: str, column: TableColumn[Any], hint: Any) -> cells.Kind:
    if isinstance(column.type, Enum):
        members = column.type.enum_class
        assert members is not None
        assert issubclass(members, StrEnum)
        return cells.OneOf(members)
    if isinstance(column.type, JSON):
        return cells.Record() if _held(hint) is dict else cells.Entries()
    if attribute in MONTHS:
        return cells.Month()
    for of_type, kind in SIMPLE_KINDS:
        if isinstance(column.type, of_type):
            return kind
    raise TypeError(f"no cell for {column}: {column.type!r}")


def _held(hint: Any) -> Any:
    """The container a column's annotation names: list or dict."""
    inner = get_args(hint)[0]
    if get_origin(inner) in (Union, UnionType):
        inner = next(each for each in get_args(inner) if each is not type(None))
    return get_origin(inner) or inner
