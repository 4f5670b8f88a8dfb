"""What a law of the sheets says of a row that breaks it, and what it knows of facts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from app.fit.terms import FactKind

Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Broken:
    """A law that a row breaks: the column, what was found there, what was expected."""

    column: str
    found: str
    expected: str


@dataclass(frozen=True, slots=True)
class FactKnown:
    """What a value needs to know of its fact."""

    kind: FactKind
    unit: str


Facts = Mapping[int | str, FactKnown]
"""Facts by their id, or by their name where a sheet names them."""
