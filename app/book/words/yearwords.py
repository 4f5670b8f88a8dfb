"""Model years as they are said: "08", "07-09", "2007+", "before 2007", "between 07 and 09", "oh eight"."""

from __future__ import annotations

import re
from collections.abc import Sequence

from app.book.words.buildtime import century
from app.book.words.everyday import COUNTS
from app.book.words.figures import figure
from app.book.words.spoken import Line
from app.book.words.vocabulary import Vocabulary

SPAN = re.compile(r"^'?([0-9]{2}|[0-9]{4})-'?([0-9]{2}|[0-9]{4})$|^([0-9]{4})/([0-9]{2}|[0-9]{4})$")
_TWO_YEARS = re.compile(r"^([0-9]{2})/([0-9]{2})$")
_DECADE = re.compile(r"^([0-9]{4})-([0-9])$")
_TWO_K = re.compile(r"^'?2k([0-9]{1,2})$")
LETTER_O = frozenset(f"o{digit}" for digit in "013456789")
"""A year whose zero is typed as the letter; an "o2 sensor" is none."""
OR_YEARS = frozenset({"or", "and"})
ON = frozenset({"newer", "later", "up", "on", "after"})
BACK = frozenset({"older", "earlier", "before"})
TO_YEARS = frozenset({"to", "thru", "through", "till"})
BEFORE = frozenset({"before", "pre", "until", "till"})
AFTER = frozenset({"after", "post", "since"})
THAN = {"newer": "after", "later": "after", "older": "before", "earlier": "before"}


def between_years(line: Line, at: int, vocabulary: Vocabulary) -> tuple[list[int], int]:
    """The years of "between 07 and 09", from the one to the other."""
    years = [as_year(line.said[place], vocabulary) for place in (at + 1, at + 3) if place < len(line.said)]
    if line.word(at) != "between" or line.word(at + 2) != "and" or len(years) < 2:
        return [], 0
    first, last = years
    return (list(range(first, last + 1)), 4) if first is not None and last is not None and first < last else ([], 0)


def both_years(word: str, vocabulary: Vocabulary) -> list[int]:
    """The years of "07/08", where the yard knows vehicles of both; none when they do not follow each other."""
    found = _TWO_YEARS.match(word)
    years = [as_year(each, vocabulary) for each in found.groups()] if found else []
    first, last = years or (None, None)
    return [first, last] if first is not None and last == first + 1 else []


def bounded(line: Line, at: int, vocabulary: Vocabulary) -> tuple[list[int], int]:
    """The years of "before 2007", "pre-07", "after 2009", as far as the yard knows vehicles of them."""
    word, size = line.said[at], 1
    bound, _, token = word.partition("-")
    if not token:
        size, token = 2, line.said[at + 1] if at + 1 < len(line.said) else ""
    if bound in THAN and line.word(at + 1) == "than":
        # "Newer than 2010", "older than an 08".
        size = 3 + (line.word(at + 2) in ("a", "an"))
        bound, token = THAN[bound], line.said[at + size - 1] if at + size <= len(line.said) else ""
        token = f"'{token}" if len(token) == 2 else token
    if bound not in BEFORE and bound not in AFTER:
        return [], 0
    # "After 10" may be an hour.
    plain = len(token) < 4 and token[:1] != "'" and bound not in ("pre", "post")
    year = None if plain else as_year(token, vocabulary)
    if year is None:
        return [], 0
    since = year - (bound == "since")
    return [each for each in vocabulary.years if (each < year if bound in BEFORE else each > since)], size


def years_at(line: Line, at: int, vocabulary: Vocabulary) -> tuple[list[int], int]:
    """The year at a place, or all from one to another where it is a span; how many words that took."""
    token, size = line.said[at], 1
    if (span := SPAN.match(token)) is not None:
        ends = [as_year(each, vocabulary) for each in span.groups() if each]
        first, last = ends[0] or 0, ends[1] or 0
        return (list(range(first, last + 1)), 1) if 0 < first < last else ([], 0)
    if both := both_years(token, vocabulary):
        return both, 1
    if decade := _DECADE.match(token):
        first, last = int(decade.group(1)), int(decade.group(1)[:3] + decade.group(2))
        return (list(range(first, last + 1)), 1) if {first, last} <= vocabulary.years and first < last else ([], 0)
    spoken, _, digit = token.partition("-")
    if spoken in ("oh", "o") and 0 < COUNTS.get(digit, 0) < 10:
        token = f"'0{COUNTS[digit]}"
    if token in LETTER_O:
        token = f"'0{token[-1]}"
    if token in ("oh", "o") and (said := COUNTS.get(line.word(at + 1), 99)) < 10:
        token, size = f"'0{said}", 2
    year = as_year(token, vocabulary)
    if year is None and token.isdigit() and len(token) == 2 and _is_named(line, at + 1, vocabulary):
        # "15 longwagon" is of 2015, though the yard has none so new.
        year = as_year(f"'{token}", vocabulary)
    return ([year], size) if year is not None else ([], 0)


def _is_named(line: Line, at: int, vocabulary: Vocabulary) -> bool:
    """True when a name or make of a vehicle is said at a place."""
    return any(
        all(sense.field in ("name", "make", "model") for sense in senses)
        for _, senses in vocabulary.senses_at(line.bare, at)[:1]
    )


def more_years(line: Line, at: int, last: int, vocabulary: Vocabulary) -> tuple[list[int], int]:
    """The years that go on from one: after "or", "to", or right behind it ("07, 08"), and the words they took."""
    link = line.word(at)
    skip = 1 if link in OR_YEARS or link in TO_YEARS else 0
    here = at + skip
    if here >= len(line.said) or vocabulary.senses_at(line.bare, here) or _has_unit(line, here):
        return [], 0
    years, size = years_at(line, here, vocabulary)
    if link in TO_YEARS and years:
        years = list(range(min(last, years[0]), max(last, years[-1]) + 1))
    return (years, skip + size) if years else ([], 0)


def beyond(line: Line, at: int, years: Sequence[int], vocabulary: Vocabulary) -> list[int]:
    """The years of "or newer", "and up", "or older", as far as the yard knows vehicles of them."""
    known = vocabulary.years
    if line.word(at) == "+":
        return [year for year in known if year > max(years)]
    if line.word(at) not in OR_YEARS:
        return []
    later = line.word(at + 1) in ON or line.words(at + 1, 2) == "more recent"
    on = [year for year in known if year > max(years)] if later else []
    return on or ([year for year in known if year < min(years)] if line.word(at + 1) in BACK else [])


def beyond_words(line: Line, at: int) -> int:
    """How many words "or newer", "or more recent" or the "+" of "2007+" are."""
    return 1 if line.word(at) == "+" else 2 + (line.word(at + 2) == "recent")


def _has_unit(line: Line, at: int) -> bool:
    found = figure(line, at)
    return found is not None and bool(found.unit or found.fraction)


def is_year(token: str, vocabulary: Vocabulary) -> bool:
    """True when a word may be a model year."""
    return as_year(token, vocabulary) is not None


def as_year(token: str, vocabulary: Vocabulary) -> int | None:
    """The model year that a word says ("2008", "'08", "2k8"); None for another word."""
    if thousands := _TWO_K.match(token):
        return 2000 + int(thousands.group(1))
    plain = token.lstrip("'")
    if "o" in plain and len(plain) == len("2oo8") and plain[0] in "12":
        plain = plain.replace("o", "0")
    if not plain.isdigit() or len(plain) not in (2, 4) or not plain.isascii():
        return None
    year = int(plain) if len(plain) == 4 else century(int(plain))
    if not 1950 <= year <= 2039 or (len(plain) == 2 and year not in vocabulary.years and token == plain):
        return None
    return year
