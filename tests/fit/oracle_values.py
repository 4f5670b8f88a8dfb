"""How the oracle reads a value: plain figures, lengths in millimeters, months, words; nothing of it is the engine's."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from app.fit.known import FactInfo, Known
from app.fit.terms import FactKind

NUMERIC = (FactKind.COUNT, FactKind.NUMBER, FactKind.LENGTH)
UNITS = {"in": 25.4, "mm": 1.0, "ft": 304.8, "cm": 10.0}
FIGURE = re.compile(r"^\s*(-?\d+(?:\.\d+)?)(?:[\s-]+(\d+/\d+)|(/\d+))?\s*([A-Za-z]*)\s*$")
NEAR = 1e-6
FAR = 1e8


def figure(text: str, unit: str = "") -> float:
    """The number in a text; a length (its own unit, or `unit`) comes out in millimeters."""
    match = FIGURE.match(text)
    if match is None:
        raise ValueError(text)
    whole, fraction, over, own = match.groups()
    number = float(Fraction(whole + over)) if over else float(whole) + (float(Fraction(fraction)) if fraction else 0.0)
    return number * UNITS.get(own or unit, 1.0)


def number_of(info: FactInfo, text: str) -> float:
    """A text as this fact's number; other kinds than lengths keep their plain figure."""
    if info.kind is FactKind.LENGTH:
        return figure(text, info.unit)
    return figure(text.split()[0])


@dataclass(frozen=True)
class Value:
    """What a fact is in one world.

    `exact` is the true number of the world; `m` and `u` are what was recorded of it. `recorded` is False
    for a value that is only imagined. A fact that is not on the vehicle has `there` False.
    """

    text: str = ""
    exact: float | None = None
    m: float = 0.0
    u: float = 0.0
    recorded: bool = True
    there: bool = True

    @property
    def key(self) -> object:
        """What tells this value from another."""
        return (self.there, self.recorded, self.text if self.exact is None else (self.exact, self.m, self.u))


GONE = Value(there=False)


def plain(info: FactInfo | None, text: str, *, recorded: bool = True, u: float = 0.0) -> Value:
    """A value with no doubt beside what is given."""
    if info is None or info.kind not in NUMERIC:
        return Value(text, recorded=recorded)
    number = number_of(info, text)
    return Value(text, number, number, u, recorded)


def equal(info: FactInfo | None, value: Value, text: str) -> bool:
    """Whether the value of the world is the one in the text."""
    if info is None or info.kind not in NUMERIC or value.exact is None:
        return value.text == text
    return abs(value.exact - number_of(info, text)) <= NEAR


def identified(info: FactInfo | None, known: Known) -> list[Known]:
    """What a stated or seen fact may be: its open values, the listed design a reading names, or the thing itself.

    A reading with a doubt of a closed list is the designs inside it (1.3); one that matches none is set aside
    (1.7.9), which is the empty list.
    """
    if known.among:
        return [Known(each) for each in known.among]
    if info is None or info.kind is not FactKind.LENGTH or not info.choices:
        return [known]
    reading, doubt = number_of(info, known.value), known.u_mm or 0.0
    return [Known(each) for each in info.choices if abs(number_of(info, each) - reading) <= doubt + NEAR]


def days_old(today: date, text: str) -> int | None:
    """Days since a date; None for no date."""
    try:
        return (today - date.fromisoformat(text)).days
    except ValueError:
        return None


def spread(points: Iterable[float], low: float, high: float) -> list[float]:
    """Every point inside the bounds, one number between each two neighbors, and one beyond each end if open."""
    bounds = {each for each in (low, high) if abs(each) < FAR}
    inside = sorted({each for each in points if low <= each <= high} | bounds)
    found = {*inside, *((a + b) / 2 for a, b in itertools.pairwise(inside))}
    if inside and low <= -FAR:
        found.add(inside[0] - 1.0)
    if inside and high >= FAR:
        found.add(inside[-1] + 1.0)
    return sorted(found) or [0.0]
