"""The demo yard under way: its knowledge, its ledger, its calendar and its chances."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta

from app.book.tags import TagKind, make_tag
from seed_demo.known import Known
from seed_demo.ledger import Ledger
from seed_demo.weighing import Weighing

OPENS, SHUTS = 13 * 60, 21 * 60 + 30
"""Minutes of the day in UTC at which the yard opens and shuts."""

LAST = timedelta(minutes=12)
"""How far into the day it is built the demo goes, so that nothing in it lies ahead of the clock."""

SUNDAY = 6


@dataclass
class Yard:
    """What every part of the generator works on."""

    seed: int
    today: date
    known: Known
    ledger: Ledger = field(default_factory=Ledger)
    tags: dict[TagKind, int] = field(default_factory=dict)
    weighings: list[Weighing] = field(default_factory=list)

    def chances(self, area: str) -> random.Random:
        """The chances of one area, which do not move when another area draws more or less."""
        return random.Random(f"{self.seed}:{area}")

    @property
    def now(self) -> datetime:
        """The last moment of the demo."""
        return datetime.combine(self.today, time(0), UTC) + LAST

    def moment(self, days_ago: int, rng: random.Random) -> datetime:
        """Some moment of a working day so many days ago; a Sunday counts as its Saturday."""
        day = self.today - timedelta(days=days_ago)
        if days_ago == 0:
            return datetime.combine(day, time(0), UTC) + timedelta(minutes=rng.randrange(1, 12))
        if day.weekday() == SUNDAY:
            day -= timedelta(days=1)
        return datetime.combine(day, time(0), UTC) + timedelta(minutes=rng.randrange(OPENS, SHUTS))

    def after(self, start: datetime, days: float, rng: random.Random) -> datetime | None:
        """A working moment so many days after another, never before it; None when that lies ahead."""
        ago = (self.today - (start + timedelta(days=days)).date()).days
        if ago < 0:
            return None
        found = self.moment(ago, rng)
        if found <= start:
            found = start + timedelta(minutes=rng.randrange(1, 8))
        return found if found <= self.now else None

    def days_since(self, at: datetime) -> int:
        """Whole days from a moment to today."""
        return (self.today - at.date()).days

    def new_tag(self, kind: TagKind) -> str:
        """The next tag of a kind."""
        self.tags[kind] = self.tags.get(kind, 0) + 1
        return make_tag(kind, self.tags[kind])

    def person(self, rng: random.Random) -> str:
        """An invented name."""
        return f"{rng.choice(self.known.names['given'])} {rng.choice(self.known.names['family'])}"


def phone(rng: random.Random) -> str:
    """A number of those kept free for stories: 555-0100 to 555-0199."""
    return f"555-01{rng.randrange(100):02d}"


def some(rng: random.Random, percent: float) -> bool:
    """True so many times in a hundred."""
    return rng.random() * 100 < percent


def pick(rng: random.Random, weights: Sequence[tuple[str, int]]) -> str:
    """One of some words by weight."""
    return rng.choices([word for word, _ in weights], [weight for _, weight in weights])[0]
