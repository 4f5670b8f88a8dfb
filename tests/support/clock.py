"""A clock that stands still until a test moves it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

# A Wednesday in March, 10:02 on the yard's wall under the zone that conftest sets.
START = datetime(2026, 3, 4, 15, 2, tzinfo=UTC)
YARD_ZONE = "EST5EDT,M3.2.0,M11.1.0"


class Clock:
    """Called for the time in UTC; `now` may be set, `forward` moves it on."""

    def __init__(self, now: datetime = START) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now

    def forward(self, **by: float) -> datetime:
        """Move on by days, hours, minutes or seconds, as `timedelta` takes them."""
        self.now += timedelta(**by)
        return self.now
