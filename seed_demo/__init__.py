"""The demo yard: an invented yard with its knowledge and a year and a half of work, built in seconds.

Everything in it is invented: makes, models, people, places. Its VINs begin with 0, which no maker's do.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

__all__ = ["build"]

Progress = Callable[[int, int, str], None]


def build(address: str, progress: Progress | None = None, *, fresh: bool = False, today: date | None = None) -> None:
    """Build the demo yard's book at an address; a demo that is there already stays, unless `fresh`.

    `today` is the day the demo ends on (UTC), by default the day it is; `progress` is told steps done, steps
    in all, and what is being done.

    Raises:
        BookTrouble: the address holds a book that is not a demo, or cannot be written.
    """
    from seed_demo.building import build_at

    build_at(address, progress, fresh=fresh, today=today)
