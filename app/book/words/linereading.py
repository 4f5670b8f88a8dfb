"""What has been taken from a line of words so far, and what it comes to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from app.book.words.meanings import PartSaid
from app.book.words.mention import Mention
from app.book.words.mentions import Mentions
from app.book.words.spoken import Figure
from app.book.words.vocabulary import Sense
from app.fit.answers import Asked, Chip, Meaning
from app.fit.known import Want
from app.fit.terms import Group

OR = " or "
"""Between the values of a word that leaves several open, such as four-speed."""


def years_words(years: Sequence[int]) -> str:
    """Years as they are said: "2007 or 2008", "2004 to 2009"."""
    listed = len(years) < 4 or years[-1] - years[0] >= len(years)
    return OR.join(map(str, years)) if listed else f"{years[0]} to {years[-1]}"


@dataclass(frozen=True, slots=True)
class Bare:
    """A figure of which nothing says what it is of, the word behind it, and where it ends."""

    text: str
    noun: str
    end: int


@dataclass(frozen=True, slots=True)
class Noun:
    """A word for what a vehicle carries: from where to where it stands, its group, and whether it is a mere look."""

    start: int
    stop: int
    group: Group
    look: bool = False


@dataclass
class Reading:
    """What has been taken from the words so far; `said` are all of them."""

    said: tuple[str, ...] = ()
    parts: list[PartSaid] = field(default_factory=list)
    mentions: Mentions = field(default_factory=Mentions)
    facts: dict[str, str] = field(default_factory=dict)
    fact_chips: list[tuple[str, tuple[Sense, ...]]] = field(default_factory=list)
    figures: list[tuple[Figure, str]] = field(default_factory=list)
    not_so: dict[str, set[str]] = field(default_factory=dict)
    """Values of facts that the vehicle is said not to have."""
    denials: list[str] = field(default_factory=list)
    """Words among those of the facts that only say what it has not."""
    off_facts: list[tuple[str, tuple[Sense, ...]]] = field(default_factory=list)
    """Facts said of what a part comes off."""
    not_figures: list[tuple[Figure, str]] = field(default_factory=list)
    """Figures that something is said not to have."""
    bare: list[Bare] = field(default_factory=list)
    figure_end: int = 0
    fact_end: int = 0
    before: dict[str, str] = field(default_factory=dict)
    """For "long" and the like, said alone, the word behind it."""
    sizes: list[tuple[tuple[Figure, ...], str]] = field(default_factory=list)
    sides: list[str] = field(default_factory=list)
    built: str | None = None
    stickers: list[str] = field(default_factory=list)
    """Where a date is read."""
    wants: list[Want] = field(default_factory=list)
    ranges: list[int] = field(default_factory=list)
    """Places among the requirements of a floor with its ceiling behind it."""
    quantity: int | None = None
    chips: list[Chip] = field(default_factory=list)
    meanings: list[Meaning] = field(default_factory=list)
    left: list[str] = field(default_factory=list)
    hints: list[str] = field(default_factory=list)
    positions: list[tuple[str, tuple[Sense, ...]]] = field(default_factory=list)
    not_places: list[tuple[str, str, tuple[Sense, ...]]] = field(default_factory=list)
    """Places that are said not to be meant, with their words and with what a look would be then."""
    firm: list[str] = field(default_factory=list)
    phrases: list[str] = field(default_factory=list)
    vehicle_words: list[str] = field(default_factory=list)
    mine: bool = False
    wanted: bool = False
    counting: bool = False
    part_end: int = 0
    needed: bool = False
    """Whether it was just said that something is needed."""
    lacking: str = ""
    """The first word behind that which is not understood."""
    of_vehicles: dict[int, Mention] = field(default_factory=dict)
    """For the places of words that tell of a vehicle, that vehicle."""
    of_looks: set[int] = field(default_factory=set)
    """The places of words that tell a look."""
    nouns: list[Noun] = field(default_factory=list)

    @property
    def side(self) -> str:
        """The side that was said; none where both were, for "left headlamp and right mirror" asks for either."""
        return self.sides[0] if len(set(self.sides)) == 1 else ""


@dataclass(frozen=True, slots=True)
class Understood:
    """An ask as understood, with its requirements as the engine takes them."""

    asked: Asked
    wants: tuple[Want, ...]
