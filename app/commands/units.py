"""Plain data in which every number says its unit in its name."""

from __future__ import annotations

from app.commands.records import record

NAMED = {
    "x": "x_mm",
    "y": "y_mm",
    "z": "z_mm",
    "shift": "shift_mm",
    "rotation": "rotation_ratio",
    "turned": "turned_deg",
}
"""Names whose number has a unit that the name leaves out."""


def with_units(found: object) -> object:
    """A record with the unit behind each name that lacks it."""
    return _named(record(found))


def _named(value: object) -> object:
    if isinstance(value, dict):
        return {NAMED.get(name, name): _named(each) for name, each in value.items()}
    if isinstance(value, list):
        return [_named(each) for each in value]
    return value
