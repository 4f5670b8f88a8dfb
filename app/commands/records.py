"""Frozen rows as plain data for --json."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import fields, is_dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from pathlib import Path

CENTS = "_cents"


def record(value: object) -> object:
    """Plain data of a row: dataclasses and mappings become objects, everything else lists and scalars.

    Enums give their word, decimals their figures as text, times ISO 8601 in UTC. A whole number under a
    name ending in `_cents` comes as dollars in text under the name without it.
    """
    if isinstance(value, Enum):
        return record(value.value)
    if value is None or isinstance(value, bool | int | float | str):
        return value
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Fraction | Path):
        return str(value)
    return _many(value)


def _many(value: object) -> object:
    if is_dataclass(value) and not isinstance(value, type):
        return _named({field.name: getattr(value, field.name) for field in fields(value)})
    if isinstance(value, Mapping):
        return _named({str(record(key)): each for key, each in value.items()})
    if isinstance(value, Set):
        return sorted((record(each) for each in value), key=str)
    if isinstance(value, list | tuple):
        return [record(each) for each in value]
    raise TypeError(f"no plain data for a {type(value).__name__}")


def _named(pairs: Mapping[str, object]) -> dict[str, object]:
    return dict(_pair(name, each) for name, each in pairs.items())


def _pair(name: str, value: object) -> tuple[str, object]:
    if not name.endswith(CENTS) or not (value is None or isinstance(value, int | Decimal)):
        return name, record(value)
    return name.removesuffix(CENTS), dollar_text(value)


def dollar_text(amount: int | Decimal | None) -> str | None:
    """Cents as dollars without currency or thousands commas: 155500 is "1555.00"."""
    if amount is None:
        return None
    exact = Decimal(amount) / 100
    return f"{exact:.2f}" if exact == round(exact, 2) else f"{exact.normalize():f}"
