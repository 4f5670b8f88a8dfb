"""One cell of the CSV folder, written and read by its kind; what is written reads back exactly.

Text that a spreadsheet would run as a formula gets an apostrophe in front, which reading takes off.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any, Protocol

# OWASP, "CSV Injection": cells starting with = + - @ tab or CR are run as formulas.
RISKY = ("=", "+", "-", "@", "\t", "\r", "'")
INT32 = 2**31 - 1
INT64 = 2**63 - 1

_WHOLE = re.compile(r"[+-]?[0-9]{1,20}")
_MONEY = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,2})?")
_PRICE = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,5}0*)?")
_DECIMAL = re.compile(r"-?[0-9]{1,18}(\.[0-9]{1,3}0*)?")
_FLOAT = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?")
_MOMENT = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,6})?)?(Z|[+-][0-9]{2}:[0-9]{2})"
)
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MONTH = re.compile(r"[0-9]{4}-(0[1-9]|1[0-2])")


class CellError(ValueError):
    """A cell that cannot be read or written; the message says what was expected."""


def protect(text: str) -> str:
    """Text as it stands in a cell: no spreadsheet runs it."""
    if "\0" in text:
        raise CellError("text without a NUL character")
    return f"'{text}" if text.startswith(RISKY) else text


def unprotect(cell: str) -> str:
    """The text of a cell, without the apostrophe that protected it."""
    return cell[1:] if cell.startswith("'") else cell


class Kind(Protocol):
    """How the values of a column stand in a cell; `read` never gets an empty cell."""

    @property
    def words(self) -> str:
        """What a cell of this kind holds, in words."""
        ...

    def write(self, value: Any) -> str:
        """The cell of a value."""
        ...

    def read(self, cell: str) -> Any:
        """The value of a cell; CellError says what was expected."""
        ...


@dataclass(frozen=True, slots=True)
class Text:
    """Any text but NUL, kept to the last blank."""

    words: str = "text"

    def write(self, value: str) -> str:
        """The text, protected; an empty text in a column that may be unknown is a lone apostrophe."""
        return protect(value)

    def read(self, cell: str) -> str:
        """The text, unprotected."""
        return unprotect(cell)


@dataclass(frozen=True, slots=True)
class Month:
    """A build month."""

    words: str = "a month such as 2007-11"

    def write(self, value: str) -> str:
        """The month as it is kept."""
        return protect(value)

    def read(self, cell: str) -> str:
        """The month, refused unless it is one."""
        return _matched(_MONTH, cell, self.words)


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number of 32 bits."""

    words: str = "a whole number"

    def write(self, value: int) -> str:
        """Plain figures."""
        return str(value)

    def read(self, cell: str) -> int:
        """The number, within what every database holds."""
        value = int(_matched(_WHOLE, cell, self.words))
        if abs(value) > INT32:
            raise CellError(f"{self.words} within {INT32:,}")
        return value


@dataclass(frozen=True, slots=True)
class Dollars:
    """Whole cents, written as dollars with two decimals."""

    words: str = "dollars such as 128.00"

    def write(self, value: int) -> str:
        """Dollars without thousands commas."""
        return f"{'-' if value < 0 else ''}{abs(value) // 100}.{abs(value) % 100:02d}"

    def read(self, cell: str) -> int:
        """Cents; more than two decimals is refused."""
        cents = int(Decimal(_matched(_MONEY, cell, self.words)) * 100)
        if abs(cents) > INT32:
            raise CellError(f"{self.words}, within {INT32 // 100:,}")
        return cents


@dataclass(frozen=True, slots=True)
class FineDollars:
    """A price to a thousandth of a cent, written as dollars with two to five decimals."""

    words: str = "dollars such as 205.00 or 0.0946"

    def write(self, value: Decimal) -> str:
        """Dollars without thousands commas."""
        exact = value / 100
        return f"{exact:.2f}" if exact == round(exact, 2) else f"{exact.normalize():f}"

    def read(self, cell: str) -> Decimal:
        """Exact cents; a sixth decimal is refused."""
        cents = Decimal(_matched(_PRICE, cell, self.words)) * 100
        if abs(cents) * 1000 > INT64:
            raise CellError(f"{self.words}, within {INT64 // 100_000:,}")
        return cents


@dataclass(frozen=True, slots=True)
class Exact:
    """A decimal of at most three places."""

    words: str = "a number with at most three decimals"

    def write(self, value: Decimal) -> str:
        """Plain figures, never an exponent."""
        return f"{value:f}"

    def read(self, cell: str) -> Decimal:
        """The exact decimal; a fourth place that is not zero is refused."""
        value = Decimal(_matched(_DECIMAL, cell, self.words))
        if abs(value) * 1000 > INT64:
            raise CellError(f"{self.words} and fewer figures")
        return value


@dataclass(frozen=True, slots=True)
class Figure:
    """A measured figure, kept to the last bit."""

    words: str = "a number"

    def write(self, value: float) -> str:
        """The shortest figures that read back as the same number."""
        if not math.isfinite(value):
            raise CellError("a finite number")
        return repr(float(value))

    def read(self, cell: str) -> float:
        """The number, refused unless finite."""
        value = float(_matched(_FLOAT, cell, self.words))
        if not math.isfinite(value):
            raise CellError("a finite number")
        return value


@dataclass(frozen=True, slots=True)
class YesNo:
    """A yes or no."""

    words: str = "yes or no"

    def write(self, value: bool) -> str:
        """The word."""
        return "yes" if value else "no"

    def read(self, cell: str) -> bool:
        """The word in any case."""
        word = cell.strip().lower()
        if word not in ("yes", "no"):
            raise CellError(self.words)
        return word == "yes"


@dataclass(frozen=True, slots=True)
class Instant:
    """A moment, ISO 8601 in UTC."""

    words: str = "a moment in UTC such as 2026-02-10T15:00:00Z"

    def write(self, value: datetime) -> str:
        """UTC with a Z; parts of a second only where there are any."""
        return value.astimezone(UTC).replace(tzinfo=None).isoformat() + "Z"

    def read(self, cell: str) -> datetime:
        """The moment; another zone is turned into UTC, none is refused."""
        text = _matched(_MOMENT, cell, self.words)
        try:
            return datetime.fromisoformat(text).astimezone(UTC)
        except (ValueError, OverflowError):
            raise CellError(self.words) from None


@dataclass(frozen=True, slots=True)
class Day:
    """A date, ISO 8601."""

    words: str = "a date such as 2026-02-10"

    def write(self, value: date) -> str:
        """Year, month, day."""
        return value.isoformat()

    def read(self, cell: str) -> date:
        """The date, refused unless the calendar has it."""
        try:
            return date.fromisoformat(_matched(_DAY, cell, self.words))
        except ValueError:
            raise CellError(self.words) from None


@dataclass(frozen=True, slots=True)
class OneOf:
    """A word of a closed list."""

    members: type[StrEnum]

    @property
    def words(self) -> str:
        """The list itself."""
        said = [member.value or "nothing" for member in self.members]
        return f"one of: {' | '.join(said)}"

    def write(self, value: StrEnum) -> str:
        """The word."""
        return protect(str(value))

    def read(self, cell: str) -> StrEnum:
        """The member of the word."""
        try:
            return self.members(unprotect(cell.strip()))
        except ValueError:
            raise CellError(self.words) from None


@dataclass(frozen=True, slots=True)
class Entries:
    """A list: its entries with "; " between them, or a JSON array where an entry would not survive that."""

    words: str = "entries with ; between them, or a JSON array"

    def write(self, value: Sequence[Any]) -> str:
        """The entries in order."""
        if all(isinstance(entry, str) and _plain(entry) for entry in value):
            return protect("; ".join(value))
        return _to_json(value)

    def read(self, cell: str) -> list[Any]:
        """The entries in order, blanks around them dropped."""
        if cell.lstrip().startswith("["):
            found: list[Any] = _from_json(cell, list, self.words)
            return found
        entries = [entry.strip() for entry in unprotect(cell).split(";")]
        if not all(entries):
            raise CellError("no empty entry between the ;")
        return entries


@dataclass(frozen=True, slots=True)
class Record:
    """A JSON object."""

    words: str = "a JSON object"

    def write(self, value: dict[str, Any]) -> str:
        """The object on one line, its keys in the order they are kept; nothing for an empty one."""
        return _to_json(value) if value else ""

    def read(self, cell: str) -> dict[str, Any]:
        """The object."""
        found: dict[str, Any] = _from_json(cell.strip(), dict, self.words)
        return found


def _matched(shape: re.Pattern[str], cell: str, words: str) -> str:
    text = cell.strip()
    if not shape.fullmatch(text):
        raise CellError(words)
    return text


def _plain(entry: str) -> bool:
    return (
        entry != ""
        and entry == entry.strip()
        and ";" not in entry
        and "\0" not in entry
        and not entry.startswith("[")
        and _encodes(entry)
    )


def _encodes(text: str) -> bool:
    # Half of a surrogate pair can stand in JSON and nowhere else.
    return text.isascii() or not any("\ud800" <= letter <= "\udfff" for letter in text)


def _to_json(value: Any) -> str:
    text = json.dumps(value, ensure_ascii=False)
    return text if _encodes(text) else json.dumps(value)


def _no_constant(name: str) -> Any:
    raise ValueError(f"{name} is no number")


def _from_json(cell: str, shape: type, words: str) -> Any:
    try:
        value = json.loads(cell, parse_constant=_no_constant)
    except (ValueError, RecursionError):
        raise CellError(words) from None
    if not isinstance(value, shape):
        raise CellError(words)
    return value
