"""What can be typed after an option: money, weights, lengths with tools, words of closed lists, dates."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import Enum
from importlib import import_module
from typing import TYPE_CHECKING, Any

import click

from app.book.money import parse_money, parse_price
from app.errors import BadInput
from app.fit.vin import Reading, Source

if TYPE_CHECKING:
    ParamType = click.ParamType[Any]
else:
    # Only newer versions of click can be told what a type gives back.
    ParamType = click.ParamType

MOST_CENTS = 999_999_999
_FIGURE = re.compile(r"(?:[0-9]{1,9}|[0-9]{1,3}(?:,[0-9]{3}){1,2})(?:\.[0-9]{1,3})?|\.[0-9]{1,3}")


def _option(param: click.Parameter | None) -> str:
    return param.opts[0] if param is not None and param.opts else "amount"


class Money(ParamType):
    """Dollars as typed, as cents."""

    name = "dollars"

    def convert(self, value: Any, param: click.Parameter | None, _ctx: click.Context | None) -> int:
        """Cents of what was typed."""
        if isinstance(value, int):
            return value
        place = _option(param)
        if len(value) > 20 or "e" in value.lower():
            raise BadInput(f"{value[:20]!r} is not an amount of money", "Type dollars, such as 1,150.00.", place=place)
        amount = parse_money(value, place=place)
        if not 0 <= amount <= MOST_CENTS:
            raise BadInput(f"{value!r} cannot be", "Type 0 to 9,999,999.99 dollars.", place=place)
        return amount


class Price(ParamType):
    """Dollars by the pound or ton, as exact cents."""

    name = "dollars"

    def convert(self, value: Any, param: click.Parameter | None, _ctx: click.Context | None) -> Decimal:
        """Cents of what was typed, to a thousandth."""
        if isinstance(value, Decimal):
            return value
        place = _option(param)
        if len(value) > 20 or "e" in value.lower():
            raise BadInput(f"{value[:20]!r} is not a price", "Type dollars, such as 0.0946 or 205.", place=place)
        return parse_price(value, place=place)


class Figure(ParamType):
    """A plain figure that is not below zero, thousands commas allowed, at most three decimals."""

    def __init__(self, name: str, *, decimals: int = 3, above_zero: bool = False) -> None:
        self.name = name
        self.decimals = decimals
        self.above_zero = above_zero

    def convert(self, value: Any, param: click.Parameter | None, _ctx: click.Context | None) -> Decimal:
        """The exact decimal."""
        if isinstance(value, Decimal):
            return value
        plain = str(value).strip().lower().removesuffix(self.name).strip()
        if not _FIGURE.fullmatch(plain):
            raise BadInput(
                f"{value!r} is no figure in {self.name}", "Type it like 25,480 or 29.5.", place=_option(param)
            )
        figure = Decimal(plain.replace(",", ""))
        exponent = figure.as_tuple().exponent
        assert isinstance(exponent, int)
        if -exponent > self.decimals:
            raise BadInput(f"{value!r}: more than {self.decimals} decimals", "Round it.", place=_option(param))
        if self.above_zero and not figure:
            raise BadInput(f"{value!r} is nothing", "Type what was read, above 0.", place=_option(param))
        return figure


class Whole(ParamType):
    """A whole number in a range."""

    def __init__(self, name: str, low: int, high: int) -> None:
        self.name = name
        self.low = low
        self.high = high

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """The number."""
        plain = str(value).strip().replace(",", "")
        if not (plain.isascii() and plain.isdigit() and len(plain) < 10 and self.low <= int(plain) <= self.high):
            self.fail(f"{value!r} is no number from {self.low:,} to {self.high:,}", param, ctx)
        return int(plain)


class OneOf(ParamType):
    """A word of a closed list, whatever its capitals; the list is imported when a word is read."""

    def __init__(self, name: str, where: str) -> None:
        self.name = name
        self.where = where

    def words(self) -> type[Enum]:
        """The closed list."""
        module, attribute = self.where.split(":")
        found = getattr(import_module(module), attribute)
        assert isinstance(found, type)
        assert issubclass(found, Enum)
        return found

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Enum:
        """The member of the word."""
        if isinstance(value, Enum):
            return value
        said = " ".join(value.lower().split())
        members = {member.value.lower(): member for member in self.words() if member.value}
        if said not in members:
            self.fail(f"{value!r} is none of: {'; '.join(each.value for each in members.values())}", param, ctx)
        return members[said]


class Named(ParamType):
    """NAME=VALUE."""

    def __init__(self, name: str = "name=value") -> None:
        self.name = name

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[str, str]:
        """Name and value."""
        if isinstance(value, tuple):
            return value[0], value[1]
        name, equals, rest = value.partition("=")
        if not equals or not name.strip() or not rest.strip():
            self.fail(f"{value!r} is not {self.name.upper()}", param, ctx)
        return name.strip(), rest.strip()


class Measured(ParamType):
    """NAME=VALUE or NAME=VALUE@TOOL, as (name, value, tool)."""

    name = "name=value[@tool]"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[str, str, str]:
        """Name, value as typed, and tool, empty when none was named."""
        if isinstance(value, tuple):
            return value[0], value[1], value[2]
        name, rest = Named(self.name).convert(value, param, ctx)
        typed, at, tool = rest.rpartition("@")
        return (name, typed.strip(), tool.strip()) if at else (name, rest, "")


class Ticket(ParamType):
    """The number or tag of a ticket, or any other name; a number no ticket can have is refused."""

    name = "ticket"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The name as typed."""
        plain = str(value).strip().removeprefix("#")
        if plain.isdigit() and not (plain.isascii() and len(plain) < 10):
            self.fail(f"{value!r} is no ticket's number", param, ctx)
        return str(value)


class PlateReading(ParamType):
    """SOURCE=VIN; a bare VIN was read on the dash."""

    name = "source=vin"

    def convert(self, value: Any, _param: click.Parameter | None, _ctx: click.Context | None) -> Reading:
        """One reading of a plate."""
        if isinstance(value, Reading):
            return value
        source, equals, read = value.rpartition("=")
        return Reading(source.strip().lower() if equals and source.strip() else Source.DASH, read.strip())


class Day(ParamType):
    """A date as 2026-03-02."""

    name = "yyyy-mm-dd"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """The date."""
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(value)
        except ValueError:
            self.fail(f"{value!r} is no date such as 2026-03-02", param, ctx)


class Moment(ParamType):
    """A time as 2026-03-02T08:30, on the yard's clock unless it says its zone."""

    name = "yyyy-mm-ddThh:mm"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> datetime:
        """The time in UTC."""
        if isinstance(value, datetime):
            return value
        try:
            return datetime.fromisoformat(value).astimezone(UTC)
        except (ValueError, OverflowError):
            self.fail(f"{value!r} is no time such as 2026-03-02T08:30", param, ctx)


TICKET = Ticket()
MONEY = Money()
PRICE = Price()
POUNDS = Figure("lb", above_zero=True)
SHOWN = Figure("weight", above_zero=True)
HOURS = Figure("hours")
GALLONS = Figure("gal", decimals=2)
PERCENT = Figure("percent")
FACT = Named()
MEASURED = Measured()
READING = PlateReading()
DAY = Day()
MOMENT = Moment()
COUNT = Whole("count", 1, 9_999)
MILES = Whole("miles", 0, 9_999_999)
YEAR = Whole("year", 1900, 2100)
LIMIT = Whole("count", 1, 10_000)
