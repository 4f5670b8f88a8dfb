"""Comparing fact values as people write them: words, numbers with a unit, lengths, months, dates."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from app.fit.lengths import MM_PER, MM_PER_INCH, LengthError, LengthUnit, parse_length
from app.fit.tape import TapeOutcome, decide

_NUMBER = re.compile(r"[-+]?(?:\d[\d,]*(?:\.\d+)?|\.\d+)")
_COUNTED = re.compile(r"-[a-z]+")
UNITS = frozenset(
    "in inch inches ft foot feet mm cm m l liter liters gal gallon gallons qt quart quarts cc ml kg lb lbs ton tons"
    " v volt volts a amp amps ah w kw hp kwh rpm mi mile miles mph km psi bar kpa nm lb-ft ft-lb l/min gpm lb/in n/mm"
    " % ° deg degree degrees hour hours day days week weeks month months year years piece pieces door doors"
    " tooth teeth spline splines pin pins bolt bolts stud studs hole holes lug lugs groove grooves piston pistons"
    " gear gears cell cells turn turns wire wires plug plugs port ports cylinder cylinders pair pairs".split()
)
"""Words behind a number that only say what it counts; any others make another thing of it: 1.6 and 1.6 turbo."""


@lru_cache(maxsize=65536)
def plain(value: str) -> str:
    """A value for comparing words: lower case, single blanks."""
    return " ".join(value.lower().split())


@lru_cache(maxsize=65536)
def number(value: str) -> Fraction | None:
    """The number at the start of a value, whatever unit stands behind it; None when there is none."""
    found = _NUMBER.match(value.strip())
    return Fraction(found.group().replace(",", "")) if found else None


@lru_cache(maxsize=65536)
def millimeters(value: str) -> Fraction | None:
    """A length in millimeters, inches when no unit stands behind it; None when it is no length."""
    try:
        return Fraction(parse_length(value).mm).limit_denominator(10**9)
    except LengthError:
        return None


@lru_cache(maxsize=65536)
def same(one: str, other: str) -> bool:
    """Two values are the same in words, as numbers of one unit, or as lengths."""
    if plain(one) == plain(other):
        return True
    a, b = number(one), number(other)
    if a is None or b is None:
        return False
    unit_a, unit_b = unit_of(one), unit_of(other)
    if unit_a == unit_b or ((not unit_a or not unit_b) and _is_unit(unit_a or unit_b)):
        return a == b
    long_a, long_b = millimeters(one), millimeters(other)
    return long_a is not None and long_b is not None and abs(long_a - long_b) < Fraction(1, 1000)


def _is_unit(words: str) -> bool:
    """True for a unit, and for what is counted behind a dash: 30-spline."""
    return words in UNITS or _COUNTED.fullmatch(words) is not None


@lru_cache(maxsize=65536)
def unit_of(value: str) -> str:
    """The words behind the number."""
    found = _NUMBER.match(value.strip())
    return plain(value.strip()[found.end() :]) if found else plain(value)


@lru_cache(maxsize=65536)
def figure_in(value: str, unit: str) -> Fraction | None:
    """A value's number in a unit; a length with another unit or a fraction is turned into it, all else stays as it is.

    None when it is no number.
    """
    own = unit_of(value)
    length = millimeters(value) if own and own != plain(unit) and unit in MM_PER else None
    return number(value) if length is None else length / MM_PER[LengthUnit(unit)]


@lru_cache(maxsize=65536)
def length_unit(*values: str) -> str:
    """The unit of length that the first of some values with one has, inches for a fraction of one; else empty."""
    for value in values:
        words = unit_of(value).split()
        if words and words[-1] in MM_PER:
            return words[-1]
        if "/" in value and millimeters(value) is not None:
            return LengthUnit.INCH
    return ""


def compare(one: str, other: str) -> int | None:
    """-1, 0 or 1 for two numbers or lengths; None when they cannot be compared."""
    units = {unit_of(one), unit_of(other)} - {""}
    plainly = len(units) < 2 and "/" not in "".join(units)
    pair = (number(one), number(other)) if plainly else (millimeters(one), millimeters(other))
    if pair[0] is None or pair[1] is None:
        return None
    return (pair[0] > pair[1]) - (pair[0] < pair[1])


@lru_cache(maxsize=65536)
def within(one: str, u_one: float | None, other: str, u_other: float | None, allowed: str) -> TapeOutcome | None:
    """Tape decides between two values; None when either is no number. Lengths are compared in inches.

    The rule is worst case: d + U <= allowed fits, d - U > allowed does not, between them measure again.
    """
    figures = _figures(one, other, allowed)
    if figures is None:
        return None
    a, b, limit = figures
    return decide(a, _inches(u_one), b, _inches(u_other), limit).outcome


@lru_cache(maxsize=65536)
def reaches(one: str, u_one: float | None, other: str, u_other: float | None) -> TapeOutcome | None:
    """Whether one value is at least the other, with the doubt of both; None when either is no number."""
    figures = _figures(one, other)
    if figures is None:
        return None
    over, doubt = figures[0] - figures[1], _inches(u_one) + _inches(u_other)
    if over >= doubt:
        return TapeOutcome.FITS
    return TapeOutcome.DOES_NOT_FIT if over < -doubt else TapeOutcome.MEASURE_AGAIN


def _figures(*values: str) -> tuple[Fraction, ...] | None:
    """The numbers of values, lengths in inches; None when one of them is none."""
    numbers = tuple(map(number, values))
    if {unit_of(value) for value in values} - {"", "in"}:
        lengths = tuple(map(millimeters, values))
        if None not in lengths:
            numbers = tuple(None if each is None else each / Fraction(MM_PER_INCH) for each in lengths)
    found = tuple(each for each in numbers if each is not None)
    return found if len(found) == len(values) else None


def _inches(u_mm: float | None) -> Fraction:
    """Doubt in inches; a tool's doubt is a small fraction of an inch, so it is read back exactly."""
    return Fraction(0) if u_mm is None else (Fraction(u_mm) / Fraction(MM_PER_INCH)).limit_denominator(100_000)
