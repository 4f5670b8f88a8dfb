"""Clearance holes for bolts: ISO 273, fine, medium and coarse, M8 to M16, in millimeters.

The five rows were read in a hardware reference page that reproduces ISO 273, not in the standard itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from app.fit.patterns.errors import PatternError


class Series(StrEnum):
    """How much room a clearance hole leaves."""

    FINE = "fine"
    MEDIUM = "medium"
    COARSE = "coarse"


HOLES_MM: Mapping[int, tuple[float, float, float]] = {
    8: (8.4, 9.0, 10.0),
    10: (10.5, 11.0, 12.0),
    12: (13.0, 13.5, 14.5),
    14: (15.0, 15.5, 16.5),
    16: (17.0, 17.5, 18.5),
}
"""Hole diameters by nominal thread diameter, in the order of `Series`."""


def clearance_hole(thread: str | int, series: Series = Series.MEDIUM) -> float:
    """The hole for a thread such as "M12" or 12, in mm; PatternError for one that is not in the table."""
    text = str(thread).strip().upper().removeprefix("M")
    if not text.isdecimal() or int(text) not in HOLES_MM:
        known = ", ".join(f"M{size}" for size in HOLES_MM)
        raise PatternError(f"no clearance hole is listed for “{thread}”", f"Measure the hole, or use one of {known}")
    return HOLES_MM[int(text)][list(Series).index(series)]


def radial_clearance(thread: str | int, series: Series = Series.MEDIUM) -> float:
    """How far off center a bolt may sit in its clearance hole, in mm."""
    hole = clearance_hole(thread, series)
    return (hole - float(str(thread).strip().upper().removeprefix("M"))) / 2
