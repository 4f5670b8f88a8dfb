"""Requirements from one figure to another: "between 100 and 200", "$100-$200", "25 to 30 gal"; and a price alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from app.book.words.dated import COUNTED
from app.book.words.figures import figure
from app.book.words.linereading import Reading
from app.book.words.spoken import DOLLARS, UNITS, Figure, Line
from app.book.words.vocabulary import Vocabulary
from app.book.words.wishes import limit, wanted, with_unit
from app.book.words.yearwords import is_year
from app.fit.answers import Chip
from app.fit.known import Want
from app.fit.wants import AT_LEAST, AT_MOST, PRICE

_BETWEEN = "between"
_TO = frozenset({"to", "thru", "till", "until"})
_DOLLAR = "$"
_SLACK = 0.25
"""How far outside what the yard knows of a fact either end of a range may be, as a share of it."""


def ranged(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """A requirement with a floor and a ceiling, each with a chip of its own; gives the words it took.

    Without "between", a dollar or a unit two figures are none: they may be years, or a count.
    """
    led = line.word(at) == _BETWEEN
    here = at + led
    ends = _dashed(line, here) or _linked(line, here, led=led)
    if ends is None:
        return 0
    low, high, middle, end = ends
    dollars = not set(DOLLARS).isdisjoint(line.said[here : end + 1])
    end += line.word(end) in DOLLARS
    unit = high.unit or low.unit
    if not (dollars or unit) and not (led and _may_be_money(line, (low, high), end, vocabulary)):
        return 0
    # One word for both goes with either.
    whole = line.words(at, end - at)
    spans = (line.words(at, middle - at), line.words(middle, end - middle)) if middle > here else (whole, whole)
    told = sorted(zip((low.text, high.text), spans, strict=True), key=lambda each: float(each[0]))
    for (text, said), op in zip(told, (AT_LEAST, AT_MOST), strict=True):
        want = wanted(text, "" if dollars else unit, op, vocabulary, dollars)
        reading.wants.append(want)
        reading.chips.append(Chip("wants", want.words, said))
    reading.ranges.append(len(reading.wants) - 2)
    return end - at


def spent(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "For 60 bucks", "$60": what somebody names of his own is the most he pays (common practice, no source)."""
    found = _plain(line, at)
    if found is None:
        return 0
    worded = line.word(at + found.size) in DOLLARS and line.word(at) != _DOLLAR
    if not worded and line.word(at) != _DOLLAR:
        return 0
    size = found.size + worded
    want = wanted(found.text, "", AT_MOST, vocabulary, dollars=True)
    reading.wants.append(want)
    reading.chips.append(Chip("wants", want.words, line.words(at, size)))
    return size


def than(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Cheaper tailgate than 200": the word that says how stands before the part."""
    if line.word(at) not in ("than", "then"):
        return 0
    for before in range(at - 1, max(-1, at - 1 - _MOST_BETWEEN), -1):
        word = line.said[before]
        found = limit(line, at, f"{word} than", vocabulary) if word in reading.left else None
        if found is not None:
            want, chip, size = found
            reading.left.remove(word)
            reading.wants.append(want)
            reading.chips.append(Chip("wants", chip.value, f"{word} {chip.said}"))
            return size
    return 0


_MOST_BETWEEN = 4
_Ends = tuple[Figure, Figure, int, int]
"""Both figures, where the words of the second begin (with those of the first, where one word is both), and where they
end."""


def _linked(line: Line, at: int, *, led: bool) -> _Ends | None:
    """ "100 to 200", "$100 - $200", and behind "between" "100 and 200"."""
    low = _plain(line, at)
    if low is None:
        return None
    middle = at + low.size + (line.word(at + low.size) in DOLLARS and line.word(at + low.size) != _DOLLAR)
    linked = line.word(middle) in _TO or (led and line.word(middle) == "and")
    dollar = line.word(at) == _DOLLAR == line.word(middle)
    high = _plain(line, middle + linked) if linked or dollar else None
    if high is None:
        return None
    end = middle + linked + high.size
    return _times_as_many(low, high, line.meant[at:middle], line.meant[middle:end]), high, middle, end


def _times_as_many(low: Figure, high: Figure, first: Sequence[str], second: Sequence[str]) -> Figure:
    """The lower figure of "two to three hundred": both are hundreds."""
    times = next((each for word, each in _TIMES.items() if word in second and word not in first), 1)
    count = float(low.text)
    return replace(low, text=f"{count * times:g}") if count < 100 and count * times < float(high.text) else low


_TIMES = {"thousand": 1000, "grand": 1000, "hundred": 100}


def _plain(line: Line, at: int) -> Figure | None:
    """A figure that is one number, with the dollar before it."""
    dollar = line.word(at) == _DOLLAR
    found = figure(line, at + dollar, bare=dollar)
    if found is None or found.fraction or not found.text.replace(".", "", 1).isdigit():
        return None
    return replace(found, size=found.size + dollar)


def _dashed(line: Line, at: int) -> _Ends | None:
    """ "100-200 bucks", "50k-100k miles": one word for both."""
    here = at + (line.word(at) == _DOLLAR)
    low, dash, high = line.word(here).partition("-")
    numbers = [_number(each) for each in (low, high)] if dash else []
    if not numbers or not all(numbers):
        return None
    unit = UNITS.get(line.word(here + 1), "")
    first, second = (Figure(each, unit, 1) for each in numbers)
    return first, second, at, here + 1 + bool(unit)


def _number(text: str) -> str:
    digits = f"{text[:-1]}000" if text.endswith("k") else text
    return digits if digits.isdecimal() and digits.isascii() else ""


def _may_be_money(line: Line, ends: Sequence[Figure], end: int, vocabulary: Vocabulary) -> bool:
    """Two bare figures are of dollars unless both are years, or what follows is counted."""
    return line.word(end) not in COUNTED and not all(is_year(each.text, vocabulary) for each in ends)


def settle_ranges(vocabulary: Vocabulary, reading: Reading, part_types: Sequence[str]) -> None:
    """Bare ranges get the unit of the part, where both ends can be meant by it: a tank "between 20 and 30"."""
    for at in reading.ranges:
        floor, ceiling = reading.wants[at : at + 2]
        if floor.fact != PRICE:
            continue
        chips = [_chip_of(reading, each) for each in (floor, ceiling)]
        said = " ".join(chip.said for chip in chips)
        ends = [_in_unit(each, said, part_types, vocabulary) for each in (floor, ceiling)]
        if any(end.fact == PRICE for end in ends):
            continue
        for place, (end, chip, op) in enumerate(zip(ends, chips, (AT_LEAST, AT_MOST), strict=True)):
            reading.wants[at + place] = replace(end, op=op, words=f"{op} {end.value}")
            reading.chips[reading.chips.index(chip)] = replace(chip, value=f"{op} {end.value}")


def _in_unit(want: Want, said: str, part_types: Sequence[str], vocabulary: Vocabulary) -> Want:
    return with_unit(replace(want, op=AT_LEAST), said, part_types, vocabulary, slack=_SLACK)


def _chip_of(reading: Reading, want: Want) -> Chip:
    return next(chip for chip in reading.chips if chip.field == "wants" and chip.value == want.words)
