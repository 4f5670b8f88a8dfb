"""Yard settings: typed defaults, overridden row by row in the book."""

from __future__ import annotations

from dataclasses import dataclass, fields
from decimal import Decimal, InvalidOperation
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.schema import Setting
from app.errors import BadInput

LABEL_DPI = (203, 300)


@dataclass(frozen=True, slots=True)
class Settings:
    """Every figure the yard may choose; laws and prices differ by state, so they are settings and not code."""

    yard_name: str = "The yard"
    yard_words: str = ""
    city: str = ""
    tax_percent: Decimal = Decimal("6.25")
    counter_discount_percent: Decimal = Decimal(10)
    hold_hours: Decimal = Decimal(24)
    hold_deposit_percent: Decimal = Decimal(25)
    hold_deposit_days: Decimal = Decimal(7)
    line_keeps_minutes: Decimal = Decimal(15)
    labor_cents_per_hour: Decimal = Decimal(3200)
    scale_division_lb: Decimal = Decimal(20)
    scale_name: str = "truck scale"
    frame_limit_in: Decimal = Decimal("0.25")
    frame_tolerance_mm: Decimal = Decimal(3)
    mount_hole_in: Decimal = Decimal("1.125")
    mount_sleeve_in: Decimal = Decimal("0.5")
    mount_shim_in: Decimal = Decimal("0.5")
    joint_hours: Decimal = Decimal(18)
    walk_in_hold_hours: Decimal = Decimal(72)
    return_days: Decimal = Decimal(30)
    quote_days: Decimal = Decimal(7)
    shop_rate_cents_per_hour: Decimal = Decimal(9000)
    printer: str = ""
    label_dpi: Decimal = Decimal(203)


def load_settings(session: Session) -> Settings:
    """The settings in force."""
    rows = {row.name: row.value for row in session.scalars(select(Setting))}
    changed: dict[str, Any] = {name: read_value(name, value) for name, value in rows.items()}
    return Settings(**changed)


def read_value(name: str, text: str) -> object:
    """A setting's text as its type.

    Raises:
        BadInput: there is no such setting, or the text is no number where one is needed.
    """
    default = next((field.default for field in fields(Settings) if field.name == name), None)
    if default is None:
        known = ", ".join(field.name for field in fields(Settings))
        raise BadInput(f"there is no setting {name!r}", f"Settings are {known}.", place=name)
    if isinstance(default, str):
        return text
    try:
        figure = Decimal(text)
    except InvalidOperation:
        raise BadInput(f"{text!r} is not a number", "Type a plain number.", place=name) from None
    _check_range(name, figure)
    return figure


def _check_range(name: str, figure: Decimal) -> None:
    if not figure.is_finite() or figure < 0:
        raise BadInput(f"{figure} cannot be", "Type a number that is not below zero.", place=name)
    if name.endswith("_percent") and figure > 100:
        raise BadInput(f"{figure} % is more than all", "Type 0 to 100.", place=name)
    if name == "scale_division_lb" and figure == 0:
        raise BadInput("a scale has steps", "Type its division, such as 20.", place=name)
    if name == "label_dpi" and figure not in LABEL_DPI:
        raise BadInput(f"labels are not drawn at {figure} dpi", "Type 203 or 300.", place=name)
