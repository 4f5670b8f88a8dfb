"""How old a test, a look or a tire may be, and whether it still is good."""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

_AGE = re.compile(r"(\d{1,4})\s*([a-z]*)\.?", re.IGNORECASE)
_DAYS = {"": 1, "d": 1, "day": 1, "days": 1, "w": 7, "wk": 7, "week": 7, "weeks": 7}
_MONTHS = {"mo": 1, "month": 1, "months": 1, "y": 12, "yr": 12, "yrs": 12, "year": 12, "years": 12}
_DAY = re.compile(r"(\d{4})-(\d{2})(?:-(\d{2}))?")


@dataclass(frozen=True, slots=True)
class Age:
    """So many months and so many days; one of the two is 0."""

    months: int
    days: int

    def after(self, day: date) -> date:
        """The last day on which what was done on a day is good: the same day of the month, or the month's last.

        OverflowError beyond the last year that there is.
        """
        year, month = divmod(day.year * 12 + day.month - 1 + self.months, 12)
        if year > date.max.year:
            raise OverflowError("beyond the last year")
        return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1])) + timedelta(days=self.days)


@lru_cache(maxsize=1024)
def age(said: str) -> Age | None:
    """An age as it is written, in days where no unit stands: 30 d, 4 weeks, 18 months, 10 years. None for no age."""
    found = _AGE.fullmatch(said.strip())
    if found is None:
        return None
    count, unit = int(found[1]), found[2].lower()
    if unit in _MONTHS:
        return Age(count * _MONTHS[unit], 0)
    return Age(0, count * _DAYS[unit]) if unit in _DAYS else None


def fresh(value: str, allowed: str, today: date) -> bool:
    """True when a date is at most so old; of a month it is the first day, for it may have been. No date is no test."""
    limit, day = age(allowed), _first_day(value)
    if limit is None or day is None or day > today:
        return False
    try:
        return today <= limit.after(day)
    except OverflowError:
        return True


def _first_day(value: str) -> date | None:
    found = _DAY.fullmatch(value.strip())
    try:
        return date(int(found[1]), int(found[2]), int(found[3] or 1)) if found else None
    except ValueError:
        return None
