"""Lengths as people say them, kept as typed beside exact millimeters, and how far each tool is to be trusted."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from fractions import Fraction
from math import isfinite

from app.errors import BadInput

MM_PER_INCH = Fraction(254, 10)
"""Exact by definition of the international inch."""

Number = int | float | Decimal | Fraction


class LengthUnit(StrEnum):
    """Units a length can be typed in."""

    INCH = "in"
    FOOT = "ft"
    MM = "mm"
    CM = "cm"
    METER = "m"


MM_PER: Mapping[LengthUnit, Fraction] = {
    LengthUnit.INCH: MM_PER_INCH,
    LengthUnit.FOOT: MM_PER_INCH * 12,
    LengthUnit.MM: Fraction(1),
    LengthUnit.CM: Fraction(10),
    LengthUnit.METER: Fraction(1000),
}

_PLACES: Mapping[LengthUnit, int] = {
    LengthUnit.INCH: 2,
    LengthUnit.FOOT: 2,
    LengthUnit.MM: 1,
    LengthUnit.CM: 2,
    LengthUnit.METER: 3,
}

_UNIT_WORDS: Mapping[str, LengthUnit] = {
    **dict.fromkeys(("in", "in.", "inch", "inches", '"', "''"), LengthUnit.INCH),
    **dict.fromkeys(("ft", "ft.", "foot", "feet", "'"), LengthUnit.FOOT),
    **dict.fromkeys(("mm", "millimeter", "millimeters"), LengthUnit.MM),
    **dict.fromkeys(("cm", "centimeter", "centimeters"), LengthUnit.CM),
    **dict.fromkeys(("m", "meter", "meters"), LengthUnit.METER),
}

_VULGAR: Mapping[str, Fraction] = {
    "½": Fraction(1, 2),
    "¼": Fraction(1, 4),
    "¾": Fraction(3, 4),
    "⅛": Fraction(1, 8),
    "⅜": Fraction(3, 8),
    "⅝": Fraction(5, 8),
    "⅞": Fraction(7, 8),
}

_TAPE_MARKS = (2, 4, 8, 16, 32, 64, 128)
_MOST_DIGITS = 9
_LIKE = """Write it like 31 1/2, 5' 4-3/8", 17.25 in or 812 mm"""
_PLAIN = str.maketrans("′’‘″”“⁄–—−\u2010\u2011\u00a0", "'''\"\"\"/-----\u0020")
_HAS_UNIT = re.compile(r"[A-Za-z'\"]")
_TOKEN = re.compile(
    r"(?P<fraction>[0-9]+\s*/\s*[0-9]+)|(?P<number>[0-9]+\.?[0-9]*|\.[0-9]+)"
    r"|(?P<vulgar>[½¼¾⅛⅜⅝⅞])|(?P<unit>[A-Za-z]+\.?|''|'|\")|(?P<dash>-)"
)


class LengthError(BadInput, ValueError):
    """A length that cannot be read: the text, the 1-based character where it stops making sense, the remedy."""

    def __init__(self, text: str, character: int, problem: str, remedy: str = _LIKE) -> None:
        title = f"“{text}”, character {character}: {problem}"
        super().__init__(title, remedy, details={"text": text, "character": character})
        self.text = text
        self.character = character


@dataclass(frozen=True, slots=True)
class Length:
    """A length as typed, in millimeters, and the unit it was said in."""

    typed: str
    mm: float
    unit: LengthUnit


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str
    text: str
    place: int


class _Reader:
    """Takes a length's tokens one after the other and names the place where it stops making sense."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.tokens = _tokens(text)
        self.at = 0

    def fail(self, problem: str, token: _Token | None, remedy: str = _LIKE) -> LengthError:
        place = token.place if token else len(self.text) + 1
        return LengthError(self.text, place, problem, remedy)

    def next_is(self, *kinds: str) -> _Token | None:
        token = self.tokens[self.at] if self.at < len(self.tokens) else None
        return token if token and token.kind in kinds else None

    def take(self, *kinds: str) -> _Token | None:
        token = self.next_is(*kinds)
        self.at += token is not None
        return token

    def quantity(self) -> Fraction:
        """A number, a fraction below one, or a whole number with a fraction behind it."""
        token = self.take("number", "fraction", "vulgar")
        if token is None:
            left = self.tokens[self.at] if self.at < len(self.tokens) else None
            raise self.fail("a number should stand here", left)
        if token.kind != "number":
            return self.part(token)
        if len(token.text) > _MOST_DIGITS:
            raise self.fail(f"{token.text} has more figures than a length needs", token)
        dash = self.take("dash")
        behind = self.take("fraction", "vulgar")
        if dash and not behind:
            raise self.fail("a fraction should follow the dash", dash)
        if behind and not token.text.isdigit():
            raise self.fail(f"{token.text} has decimals and a fraction", behind, "Write one or the other")
        return Fraction(token.text) + (self.part(behind) if behind else 0)

    def part(self, token: _Token) -> Fraction:
        if token.kind == "vulgar":
            return _VULGAR[token.text]
        over, under = (int(figure) for figure in token.text.split("/"))
        if under not in _TAPE_MARKS:
            marks = "A tape is marked in halves, quarters, 8ths, 16ths, 32nds and 64ths"
            raise self.fail(f"{under} is no mark of a tape", token, marks)
        if over >= under:
            raise self.fail(
                f"{token.text} is not below one",
                token,
                "Leave a space or a dash before the fraction: 1 3/8 or 1-3/8",
            )
        return Fraction(over, under)

    def unit(self) -> LengthUnit | None:
        token = self.take("unit")
        if token is None:
            return None
        unit = _UNIT_WORDS.get(token.text.lower())
        if unit is None:
            raise self.fail(f"“{token.text}” is no unit", token, "Units are in, ft, mm, cm, m, \" and '")
        return unit


def _tokens(text: str) -> list[_Token]:
    plain = text.translate(_PLAIN)
    found, at = [], 0
    while at < len(plain):
        if plain[at].isspace():
            at += 1
            continue
        match = _TOKEN.match(plain, at)
        if match is None or match.lastgroup is None:
            raise LengthError(text, at + 1, f"“{text[at]}” cannot be read")
        found.append(_Token(match.lastgroup, match.group(), at + 1))
        at = match.end()
    return found


def with_unit(text: str, unit: str) -> str:
    """A length as typed, with its unit behind it where none was typed and it is not in inches, as a bare one is read.

    Text that is empty stays so, and so it does where `unit` is no unit of length.
    """
    bare = text.strip()
    is_bare = bool(bare) and not _HAS_UNIT.search(bare.translate(_PLAIN))
    return f"{bare} {unit}" if is_bare and unit != LengthUnit.INCH and unit in MM_PER else text


def parse_length(text: str, default_unit: str = "in", *, signed: bool = False) -> Length:
    """Read a length as people say it; a bare number is in `default_unit`.

    `signed` lets a minus stand in front, for offsets from a datum. LengthError says where it stops
    making sense. The value is exact to the last bit of a float: 25.4 mm an inch, fractions kept whole.
    """
    reader = _Reader(text)
    sign = -1 if signed and reader.take("dash") else 1
    mm, unit = _value(reader, LengthUnit(default_unit))
    if reader.at < len(reader.tokens):
        left = reader.tokens[reader.at]
        raise reader.fail(f"“{left.text}” is left over", left)
    return Length(text, float(sign * mm), unit)


def _value(reader: _Reader, default: LengthUnit) -> tuple[Fraction, LengthUnit]:
    first = reader.quantity()
    unit = reader.unit() or default
    more = reader.next_is("number", "fraction", "vulgar", "dash")
    if unit is not LengthUnit.FOOT or more is None:
        return first * MM_PER[unit], unit
    reader.take("dash")
    inches = reader.quantity()
    if first.denominator != 1:
        raise reader.fail("feet with a fraction and inches besides", more, "Write whole feet, then inches")
    if inches >= 12:
        raise reader.fail("inches after feet stay below 12", more, "Count the feet again")
    if (reader.unit() or LengthUnit.INCH) is not LengthUnit.INCH:
        raise reader.fail("only inches can follow feet", more)
    return first * MM_PER[LengthUnit.FOOT] + inches * MM_PER_INCH, LengthUnit.INCH


def exact(value: Number) -> Fraction:
    """The number that was typed behind a float, to nine decimals; whole, decimal and fraction unchanged.

    Every mark of a tape down to 1/128 in has at most nine decimals in millimeters, so no mark is lost.
    ValueError for what is not finite.
    """
    if isinstance(value, int | Fraction):
        return Fraction(value)
    if not isfinite(value):
        raise ValueError(f"{value} is no measurement")
    return Fraction(value) if isinstance(value, Decimal) else Fraction(f"{value:.9f}")


def in_words(mm: float, unit: str = "in") -> str:
    """A length in mm, as shown in `unit`: "1.00 in", "25.4 mm"; half of the last place rounds up."""
    shown = LengthUnit(unit)
    value = exact(mm) / MM_PER[shown]
    step = Decimal(1).scaleb(-_PLACES[shown])
    decimal = (Decimal(value.numerator) / value.denominator).quantize(step, ROUND_HALF_UP)
    return f"{decimal + 0:,f} {shown}"


class Tool(StrEnum):
    """What a measurement was taken with."""

    HOOK_TAPE = "hook tape"
    TAPE_UNDER_TRUCK = "tape under the truck"
    TRAM_GAUGE = "tram gauge"
    DIAL_CALIPER = "dial caliper"
    COUNTED = "counted"


USUAL_DOUBT_IN: Mapping[Tool, Fraction] = {
    Tool.HOOK_TAPE: Fraction(1, 16),
    Tool.TAPE_UNDER_TRUCK: Fraction(1, 8),
    Tool.TRAM_GAUGE: Fraction(1, 32),
    Tool.DIAL_CALIPER: Fraction(5, 1000),
    Tool.COUNTED: Fraction(0),
}
"""Inches either way. Common practice, no source."""

LONG_PULL_IN = 60
"""A hook tape over more than this many inches is trusted like one under a truck. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Measured:
    """A length, what it was taken with, and its uncertainty in millimeters either way."""

    length: Length
    tool: Tool
    u_mm: float


def usual_doubt_mm(tool: Tool, mm: float, *, clear_pull: bool = False) -> float:
    """The usual uncertainty of a tool at a length in mm; `clear_pull` trusts a straight long pull as a short one."""
    long_pull = tool is Tool.HOOK_TAPE and abs(exact(mm)) > LONG_PULL_IN * MM_PER_INCH
    trusted = Tool.TAPE_UNDER_TRUCK if long_pull and not clear_pull else tool
    return float(USUAL_DOUBT_IN[trusted] * MM_PER_INCH)


def measured(
    text: str, tool: Tool, u: str | None = None, *, default_unit: str = "in", clear_pull: bool = False
) -> Measured:
    """A measurement from what was typed; `u` is the typed uncertainty, else the tool's usual one."""
    length = parse_length(text, default_unit)
    if u is not None:
        return Measured(length, tool, parse_length(u, default_unit).mm)
    return Measured(length, tool, usual_doubt_mm(tool, length.mm, clear_pull=clear_pull))
