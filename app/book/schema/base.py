"""The declarative base, the naming convention and the column types that every table shares."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from typing import Any

from sqlalchemy import JSON, BigInteger, Date, DateTime, Enum, Float, Integer, MetaData, String
from sqlalchemy.engine import Dialect
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column
from sqlalchemy.types import TypeDecorator

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}


class Moment(TypeDecorator[datetime]):
    """A time in UTC; always timezone-aware in Python, whatever the database gives back."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, _dialect: Dialect) -> datetime | None:
        """Turn the time into UTC; a time without a zone is a programming error."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"a time without a zone: {value}")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, _dialect: Dialect) -> datetime | None:
        """Mark what comes back as UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Cents(TypeDecorator[int]):
    """Money as whole cents; written to a CSV folder as dollars with two decimals."""

    impl = Integer
    cache_ok = True


class Thousandths(TypeDecorator[Decimal]):
    """An exact decimal with at most three places, stored as a whole number of thousandths."""

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: Decimal | None, _dialect: Dialect) -> int | None:
        """Scale up; more than three places is a programming error, never a silent rounding."""
        if value is None:
            return None
        scaled = Decimal(value) * 1000
        if scaled != scaled.to_integral_value():
            raise ValueError(f"more than three decimal places: {value}")
        return int(scaled)

    def process_result_value(self, value: int | None, _dialect: Dialect) -> Decimal | None:
        """Scale down, without trailing zeros beyond the value's own places."""
        if value is None:
            return None
        plain = (Decimal(value) / 1000).normalize()
        return plain.quantize(Decimal(1)) if plain == plain.to_integral_value() else plain


class FineCents(Thousandths):
    """A price by the pound or ton in cents, to a thousandth of a cent; written to a CSV folder as dollars."""

    cache_ok = True


class Base(DeclarativeBase):
    """All tables of the book. A table's `info["key"]` names the columns that identify a row to people."""

    metadata = MetaData(naming_convention=NAMING)
    type_annotation_map = {
        datetime: Moment(),
        date: Date(),
        Decimal: Thousandths(),
        dict[str, Any]: JSON(),
        list[Any]: JSON(),
        float: Float(53),
        str: String(),
    }

    id: Mapped[int] = mapped_column(primary_key=True, sort_order=-1)


def thousandths(value: Decimal) -> Decimal:
    """A worked-out weight as the book keeps it: rounded half up to three places where it has more."""
    rounded = value.quantize(Decimal("0.001"), rounding=ROUND_HALF_UP)
    return value if rounded == value else rounded


def one_of(enum: type[StrEnum]) -> Enum:
    """A closed list stored by its words, with a CHECK in the database."""
    return Enum(
        enum,
        name=enum.__name__.lower(),
        native_enum=False,
        create_constraint=True,
        length=32,
        values_callable=lambda members: [member.value for member in members],
    )


def cents(**options: Any) -> Any:
    """A money column in whole cents."""
    return mapped_column(Cents(), **options)
