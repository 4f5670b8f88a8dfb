"""When a vehicle was built: a month, or the time from one month to another, as it is kept and said."""

from __future__ import annotations

import re
from dataclasses import dataclass

MONTH_WORDS = frozenset("built build made mfd mfg mfr manufactured produced production dated date".split())
"""Words that make what follows a build month."""
_MONTH = re.compile(r"^([0-9]{4})-(0[1-9]|1[0-2])$|^(0?[1-9]|1[0-2])/([0-9]{2}|[0-9]{4})$")


@dataclass(frozen=True, slots=True)
class BuildTime:
    """A time in build months, YYYY-MM, both ends in it; an empty end is open."""

    first: str = ""
    last: str = ""

    @property
    def said(self) -> str:
        """As it is kept and said: "2007-06", "before 2007-06", "2007-06 or later", "2007-06 to 2008-12"."""
        if self.first == self.last:
            return self.first
        if not self.last:
            return f"{self.first} or later"
        return f"{self.first} to {self.last}" if self.first else f"before {_moved(self.last, 1)}"

    @property
    def month(self) -> bool:
        """True when it is one month."""
        return bool(self.first) and self.first == self.last

    def within(self, other: BuildTime) -> BuildTime:
        """The time that both have; this one where they have none."""
        first = max(self.first, other.first)
        last = min(self.last or other.last, other.last or self.last)
        return self if last and last < first else BuildTime(first, last)

    def meets(self, first: str, last: str) -> bool:
        """True when some of it lies from one month to another."""
        return self.first <= last and (not self.last or first <= self.last)


def month_said(text: str) -> str:
    """A month as it is written, 2007-06, 06/07, 6/2007, in the form YYYY-MM; empty when it is none."""
    found = _MONTH.match(text)
    if not found:
        return ""
    year, month, short_month, short_year = found.groups()
    if year is None:
        year = short_year if len(short_year) == 4 else str(century(int(short_year)))
        month = f"{int(short_month):02d}"
    return f"{year}-{month}"


def century(short: int) -> int:
    """The year that two digits stand for."""
    return 2000 + short if short < 40 else 1900 + short


def time_said(text: str) -> BuildTime | None:
    """A time as `BuildTime.said` writes it, its months written in any way; None for other words."""
    words = text.lower().split()
    months = [month for word in words if (month := month_said(word))]
    shape = " ".join("" if month_said(word) else word for word in words)
    if not months:
        return None
    first, last = months[0], months[-1]
    times = {
        "": BuildTime(first, first),
        "before ": BuildTime("", _moved(first, -1)),
        " or later": BuildTime(first, ""),
        " to ": BuildTime(first, last),
    }
    found = times.get(shape)
    return found if found is not None and (not found.last or found.first <= found.last) else None


def narrowed(known: str, said: str) -> str:
    """What was said later of a time that is known: both, where both can be true, else what was said later."""
    earlier, later = time_said(known), time_said(said)
    return later.within(earlier).said if earlier is not None and later is not None else said


def before(month: str) -> BuildTime:
    """All before a month."""
    return BuildTime("", _moved(month, -1))


def after(month: str) -> BuildTime:
    """All after a month."""
    return BuildTime(_moved(month, 1), "")


def _number(month: str) -> int:
    return int(month[:4]) * 12 + int(month[5:7]) - 1


def _named(number: int) -> str:
    return f"{number // 12:04d}-{number % 12 + 1:02d}"


def _moved(month: str, by: int) -> str:
    return _named(_number(month) + by)
