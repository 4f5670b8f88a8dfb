"""Model years and build months in a line: "08", "07 or 08", "07/08", "2007 to 2009", "built before 06/07"."""

from __future__ import annotations

import re

from app.book.words.buildtime import MONTH_WORDS, BuildTime, after, before, month_said, narrowed, time_said
from app.book.words.everyday import COUNTS
from app.book.words.linereading import Reading, years_words
from app.book.words.spoken import DOLLARS, UNITS, Line
from app.book.words.vocabulary import Vocabulary
from app.book.words.yearwords import (
    AFTER,
    BACK,
    BEFORE,
    LETTER_O,
    ON,
    OR_YEARS,
    SPAN,
    THAN,
    TO_YEARS,
    as_year,
    between_years,
    beyond,
    beyond_words,
    both_years,
    bounded,
    more_years,
    years_at,
)
from app.fit.answers import Chip
from app.fit.vin import LENGTH

_DAY = re.compile(r"^(0?[1-9]|1[0-2])/(?:0?[1-9]|[12][0-9]|3[01])/([0-9]{2}|[0-9]{4})$")
_DASHED = re.compile(r"^(0?[1-9]|1[0-2])-([0-9]{2}|[0-9]{4})$")
_MORE = frozenset({*MONTH_WORDS, "in", "on", "is", "was", "of", "from"})
TELLING = frozenset({*MONTH_WORDS, "says", "reads", "stamped", "sticker", "label", "jamb", "plate", "month"})
"""Words of which one near "07/08" makes it a month, and not two years."""
_LABELED = frozenset("mfd mfg mfr manufactured produced production dated".split())
"""Words of a label: behind them "03-08" is March 2008, and none of the years from 2003 on."""
_NEAR = 5
COUNTED = frozenset(
    "bolt bolts hole holes pin pins wire wires groove grooves spline splines tooth teeth lug lugs speed x".split()
)
"""What a number before it counts: "10 bolt" is no year."""
_MONTHS = {
    name: number
    for number, names in enumerate(
        ("jan january", "feb february", "mar march", "apr april", "may", "jun june", "jul july", "aug august",
         "sep sept september", "oct october", "nov november", "dec december"),
        1,
    )
    for name in names.split()
}  # fmt: skip

JUNE = 6
"""Up to this month all of a model year are built in that very year (settled reading of a model year)."""
_HALVES = frozenset({"early", "late"})
BEGINNINGS = frozenset(
    {"between", "mid", *_HALVES, *MONTH_WORDS, *BEFORE, *AFTER, *THAN, *_MONTHS, *LETTER_O, "oh", "o"}
)
"""Words with which a build month or a year may begin."""


def built(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """A build month or the time before or after one; gives the words it took."""
    lead = 0
    while lead < _NEAR and line.word(at + lead) in (_MORE if lead else MONTH_WORDS):
        lead += 1
    here = at + lead
    inclusive = line.word(here) == "or" and line.word(here + 1) in BEFORE | AFTER
    bound = line.word(here + inclusive)
    here += inclusive + (bound in BEFORE or bound in AFTER or bound == "between")
    told = here > at
    found = _month_at(line, here, vocabulary, sure=told) or (_year_built(line, here, vocabulary) if lead else None)
    if found is None:
        return 0
    time, size = found
    if bound in BEFORE:
        time = BuildTime("", time.last) if inclusive else before(time.first)
    elif bound in AFTER:
        time = BuildTime(time.first) if bound == "since" or inclusive else after(time.last)
    else:
        time, more = _onwards(line, here + size, time, vocabulary, between=bound == "between")
        size += more
    size += here - at
    carried = reading.mentions.carried if at not in line.breaks else None
    if carried is not None:
        carried.built = time.said
        carried.chips.append(Chip(f"{carried.group} built", time.said, line.words(at, size)))
    else:
        keep_time(time, line.words(at, size), reading)
    return size


def keep_time(time: BuildTime, said: str, reading: Reading) -> None:
    """Keep a build time; of two that contradict each other the later counts, and the words of the first are shown."""
    known = time_said(reading.built or "")
    if known is not None and not time.meets(known.first, known.last or "9"):
        old = [chip for chip in reading.chips if chip.field == "built"]
        reading.left += [word for chip in old for word in chip.said.split()]
        reading.chips = [chip for chip in reading.chips if chip.field != "built"]
    reading.built = narrowed(reading.built or "", time.said)
    reading.chips.append(Chip("built", reading.built, said))


def _month_at(line: Line, at: int, vocabulary: Vocabulary, *, sure: bool) -> tuple[BuildTime, int] | None:
    """One month in figures or by its name; "07/08" is a month only when it is `sure` or something says so."""
    if at >= len(line.said):
        return None
    word = _of_a_day(line, at, vocabulary, sure=sure)
    if month := month_said(word):
        return (BuildTime(month, month), 1) if sure or not _two_years(line, at, vocabulary) else None
    number = _MONTHS.get(word)
    if number is None:
        return None
    size = 1 + (line.word(at + 1) == "of")
    year = as_year(line.said[at + size], vocabulary) if at + size < len(line.said) else None
    if year is None and sure and number <= JUNE:
        # "An 07 … built in April": of a model year there is one April.
        years = {as_year(each, vocabulary) for each in line.said} - {None}
        year, size = (years.pop(), 0) if len(years) == 1 else (None, 0)
    month = f"{year}-{number:02d}"
    return (BuildTime(month, month), size + 1) if year is not None else None


def _of_a_day(line: Line, at: int, vocabulary: Vocabulary, *, sure: bool) -> str:
    """The month of a day ("3/14/07"), or with a dash beside the very year ("07 … 04-07"), where something says so.

    Any other word as it is.
    """
    word = line.said[at]
    day, dashed = _DAY.match(word), _DASHED.match(word)
    if dashed and not _LABELED.isdisjoint(line.meant[max(0, at - 2) : at]):
        return word.replace("-", "/")
    if not (day or dashed) or not (sure or not TELLING.isdisjoint(_around(line, at))):
        return word
    if day:
        return "/".join(day.groups())
    others = (each for place, each in enumerate(line.said) if place != at)
    month = word.replace("-", "/")
    of_year = int(month_said(month)[:4])
    return month if any(as_year(each, vocabulary) == of_year for each in others) else word


def _around(line: Line, at: int) -> tuple[str, ...]:
    """The words near a place."""
    return (*line.said[max(0, at - _NEAR) : at], *line.said[at + 1 : at + _NEAR])


def _year_built(line: Line, at: int, vocabulary: Vocabulary) -> tuple[BuildTime, int] | None:
    """The year of "built in 2008", "built before 2009"; a bare "built 2008" is the model year."""
    if line.word(at - 1) in MONTH_WORDS:
        return None
    year = as_year(line.said[at], vocabulary) if at < len(line.said) else None
    return (BuildTime(f"{year}-01", f"{year}-12"), 1) if year is not None else None


def _onwards(line: Line, at: int, time: BuildTime, vocabulary: Vocabulary, *, between: bool) -> tuple[BuildTime, int]:
    """What follows a month: "or later", "and up", "or earlier", "to 05/07"; how many words that took."""
    link, word = line.word(at), line.word(at + 1)
    if link in OR_YEARS and word in ON:
        return BuildTime(time.first), 2
    if link in OR_YEARS and word in BACK:
        return BuildTime("", time.last), 2
    end = _month_at(line, at + 1, vocabulary, sure=True) if link in TO_YEARS or (between and link == "and") else None
    if end is not None and end[0].last > time.first:
        return BuildTime(time.first, end[0].last), 1 + end[1]
    return time, 0


def _two_years(line: Line, at: int, vocabulary: Vocabulary) -> bool:
    """True when "07/08" names two model years: they follow each other, and nothing near tells of a month.

    Beside another year, or a VIN that tells it, it is a month; beside another month it is none.
    """
    others = [word for place, word in enumerate(line.said) if place != at]
    if not both_years(line.said[at], vocabulary):
        return False
    if any(map(month_said, others)):
        return True
    if not TELLING.isdisjoint(_around(line, at)):
        return False
    if more_years(line, at + 1, 0, vocabulary)[0]:
        return True
    return not any(len(word) == LENGTH or as_year(word, vocabulary) is not None for word in others)


def model_years(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """A model year, or several of which it is one: "08", "07 or 08", "07-09", "2007 to 2009", "before 2007"."""
    if line.word(at + 1) in COUNTED or _is_hour(line, at):
        return 0
    every, size = bounded(line, at, vocabulary)
    if not every:
        every, size = between_years(line, at, vocabulary)
    if not every:
        every, size = years_at(line, at, vocabulary)
        if not every:
            return 0
        while (more := more_years(line, at + size, every[-1], vocabulary))[0]:
            every += more[0]
            size += more[1]
        later = beyond(line, at + size, every, vocabulary)
        every += later
        size += beyond_words(line, at + size) if later else 0
    several = tuple(sorted(set(every)))
    if len(several) > 1 and line.word(at - 1) == "either" and reading.left[-1:] == ["either"]:
        reading.left.pop()
        at, size = at - 1, size + 1
        reading.mentions.year(several, Chip("year", years_words(several), line.words(at, size)))
        return size - 1
    reading.mentions.year(several, Chip("year", years_words(several), line.words(at, size)))
    return size


def _is_hour(line: Line, at: int) -> bool:
    """True for "by 10", "at 11"."""
    return line.word(at - 1) in ("by", "at") and line.said[at].isdigit() and line.said[at] in _HOURS


_HOURS = frozenset(("10", "11", "12"))


def spoken_year(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Two thousand eight", "two thousand and nine", "twenty ten", "twenty oh eight", "nineteen ninety-nine"."""
    ways = _SPOKEN.get(line.word(at))
    if ways is None:
        return 0
    hundreds, least, links = ways
    here = at + 1
    while line.word(here) in links:
        here += 1
    tens = COUNTS.get(line.word(here), 0)
    size = 1
    if tens >= 20 and tens % 10 == 0 and 0 < COUNTS.get(line.word(here + 1), 0) < 10:
        tens, size = tens + COUNTS[line.word(here + 1)], 2
    year, end = hundreds + tens, here + size
    told = here > at + 1 or tens >= least
    if not tens or not told or year not in vocabulary.years or line.word(end) in COUNTED or _is_counted(line, end):
        return 0
    if "thousand" in links and line.word(at + 1) != "thousand":
        return 0
    reading.mentions.year((year,), Chip("year", str(year), line.words(at, end - at)))
    return end - at


def _is_counted(line: Line, at: int) -> bool:
    """True where a number ends before a unit or dollars."""
    return line.word(at) in UNITS or line.word(at) in DOLLARS


_SPOKEN: dict[str, tuple[int, int, frozenset[str]]] = {
    "two": (2000, 99, frozenset({"thousand", "and"})),
    "twenty": (2000, 10, frozenset({"oh", "o"})),
    "nineteen": (1900, 50, frozenset()),
}
"""For the first word of a spoken year its hundreds, the least to follow at once, and what may stand between."""


def half_year(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Early 07", "late 2007": built up to June of that year, or from July on (common practice, no source).

    Where other years are spoken of, or another's vehicle, it may be told of these, and is left as not understood.
    """
    word = line.said[at]
    year = as_year(line.said[at + 1], vocabulary) if at + 1 < len(line.said) else None
    if word == "mid" and year is not None:
        # Some month of either half.
        reading.left.append(word)
        return 1
    if word not in _HALVES or year is None or line.word(at + 2) in COUNTED or reading.mentions.of_another:
        return 0
    others = (each for place, each in enumerate(line.said) if place != at + 1)
    if any(as_year(each, vocabulary) is not None or SPAN.match(each) for each in others):
        return 0
    keep_time(BuildTime("", f"{year}-06") if word == "early" else BuildTime(f"{year}-07"), word, reading)
    return 1
