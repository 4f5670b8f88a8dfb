"""One vehicle as a line speaks of it: its name, years and looks, and what it has to do with the ask."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from operator import attrgetter

from app.book.words.vocabulary import MODEL_FACTS, Vocabulary
from app.fit.answers import Chip
from app.fit.known import ModelInfo
from app.fit.terms import Group

MOST_MODELS = 40
"""Models beyond which the words are too wide to name a vehicle."""
TOO_WIDE = 5_000
"""Models of one trait beyond which they are not even looked through: "light" alone names no vehicle."""
ATTRIBUTES = {"model": "key"}


class Role(StrEnum):
    """What a vehicle has to do with the ask."""

    OPEN = "open"
    TARGET = "target"
    DONOR = "off"
    CARRIED = "carried"


_KEY = attrgetter("key")
SoFar = tuple[tuple[int, ...], dict[str, list[str]], int]
"""Years and traits of a vehicle, and how many chips it had."""


@dataclass
class Mention:
    """One vehicle as spoken of: its traits (name, make, model key, weight class …), the years left open, and role.

    `parts_before` is how many parts were named before it; `of_part` that a part was named right behind it. `built` and
    `plant` are told of what it carries alone: "with a wendle engine built 06/13". `noun` is what was said to be its
    own: "the frame is a …"; `mark` the word that told its role.
    """

    role: Role = Role.OPEN
    years: tuple[int, ...] = ()
    traits: dict[str, list[str]] = field(default_factory=dict)
    chips: list[Chip] = field(default_factory=list)
    group: Group | None = None
    parts_before: int = 0
    of_part: bool = False
    built: str = ""
    plant: str = ""
    noun: str = ""
    mark: str = ""

    @property
    def named(self) -> bool:
        """True when a name, make or key of a model was said."""
        return bool(self.traits.keys() & {"name", "make", "model"})

    @property
    def vague(self) -> bool:
        """True when neither what it is called nor its year was said: "a heavy"."""
        return not self.named and not self.years

    @property
    def is_had(self) -> bool:
        """True when somebody is said to have it, and no part of it."""
        return self.role is Role.CARRIED and self.group is None and not self.of_part

    def takes(self, trait: str, values: Sequence[str]) -> bool:
        """True when this can be said of the same vehicle."""
        return trait not in self.traits or bool(set(self.traits[trait]) & set(values))

    def like(self, other: Mention) -> bool:
        """True when both may be the same vehicle."""
        years = not self.years or not other.years or bool(set(self.years) & set(other.years))
        return years and all(self.takes(trait, values) for trait, values in other.traits.items())

    @property
    def so_far(self) -> SoFar:
        """What was said of it up to now, to go back to."""
        return self.years, dict(self.traits), len(self.chips)

    def take(self, other: Mention, before: SoFar) -> None:
        """Take over what was said of another since; of that only what was said before is left."""
        years, traits, chips = before
        self.years = () if years else other.years
        self.traits = {trait: values for trait, values in other.traits.items() if trait not in traits}
        self.chips = other.chips[chips:]
        other.years, other.traits, other.chips = years, traits, other.chips[:chips]

    def forget(self, trait: str) -> str:
        """Let a trait, or the year, be open again; gives the words that told it."""
        if trait == "year":
            self.years = ()
        self.traits.pop(trait, None)
        name = trait if trait == "year" or trait in MODEL_FACTS else "vehicle"
        told = [chip for chip in self.chips if chip.field == name]
        self.chips = [chip for chip in self.chips if chip.field != name]
        return " ".join(chip.said for chip in told)

    def join(self, other: Mention) -> None:
        """Take over what was said of it in another place."""
        self.years = self.years or other.years
        for trait, values in other.traits.items():
            self.traits.setdefault(trait, values)
        self.chips = [*other.chips, *self.chips]

    def or_is(self, other: Mention) -> None:
        """Leave open that it is another one."""
        self.years = tuple(sorted({*self.years, *other.years}))
        for trait, values in other.traits.items():
            self.traits[trait] = list(dict.fromkeys([*self.traits.get(trait, ()), *values]))
        self.chips += other.chips

    def models(self, vocabulary: Vocabulary, years: Collection[int]) -> tuple[ModelInfo, ...]:
        """The models of any of these years that all of its words allow; none where they are too wide or name nothing.

        Without years those of all years.
        """
        if not self.traits:
            return ()
        lists = {trait: _lists(vocabulary, trait, values) for trait, values in self.traits.items()}
        counts = {trait: sum(map(len, each)) for trait, each in lists.items()}
        order = sorted(counts, key=lambda trait: (trait in MODEL_FACTS, counts[trait]))
        if counts[order[0]] > TOO_WIDE:
            return ()
        found = _of_years([model for each in lists[order[0]] for model in each], years)
        # The narrowest trait holds for all that are left.
        for trait in sorted(order[1:], key=lambda trait: (trait in MODEL_FACTS, trait)):
            values, attribute = self.traits[trait], MODEL_FACTS.get(trait, ATTRIBUTES.get(trait, trait))
            found = [model for model in found if getattr(model, attribute) in values] or found
        return tuple(sorted(found, key=_KEY))


def _of_years(models: list[ModelInfo], years: Collection[int]) -> list[ModelInfo]:
    if len(years) == 1:
        (year,) = years
        return [model for model in models if model.year_from <= year <= model.year_to]
    return [model for model in models if any(model.year_from <= year <= model.year_to for year in years) or not years]


def _lists(vocabulary: Vocabulary, trait: str, values: Sequence[str]) -> list[tuple[ModelInfo, ...]]:
    return [vocabulary.models_with(trait, value) for value in values]
