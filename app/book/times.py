"""Times as people read them: the yard's own clock on the wall. The book itself keeps UTC."""

from __future__ import annotations

from datetime import date, datetime


def say_time(moment: datetime) -> str:
    """A moment as local date and time, to the minute."""
    return moment.astimezone().strftime("%Y-%m-%d %H:%M")


def local_day(moment: datetime) -> date:
    """The local day a moment falls on."""
    return moment.astimezone().date()
