"""Money and hours as they are said."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from app.fit.answers import WorkLine


def money(cents: int) -> str:
    """Money as it is said: no cents when there are none."""
    return f"{cents // 100:,}" if cents % 100 == 0 else f"{cents / 100:,.2f}"


def hours(lines: Sequence[WorkLine]) -> Decimal:
    """Hours in all."""
    return sum((each.hours for each in lines if each.hours is not None), Decimal(0))
