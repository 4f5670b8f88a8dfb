"""Which links of chains can meet: one ends where the other starts, and a vehicle can be what both ask of it."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import groupby
from operator import itemgetter

from sqlalchemy import Connection

from app.book.modelreading import Models
from app.book.ruleends import LINK_BITS, LINKS, MODEL_BITS, MODELS, Asking
from app.book.schema import NO_MODEL
from app.fit.closure import ANYWHERE, Between
from app.fit.knowledge import Knowledge, ModelInfo

Spot = tuple[int, Sequence[int], Sequence[int]]
"""A model, the links that end at a place of it, and those that start there."""

MODELS_AT_A_TIME = 5_000
"""So many models are read at once, well below the number that is kept."""


class Meets:
    """Finds which links meet and in which families; what was worked out once is kept."""

    def __init__(self, connection: Connection, models: Models, asking: Asking, know: Knowledge) -> None:
        self._connection = connection
        self._models = models
        self._asking = asking
        self._met: list[int] = []
        self._between = Between(know)
        self._can_be: dict[tuple[int, int], Callable[[ModelInfo], bool]] = {}
        self._anywhere: dict[tuple[int, int], list[int]] = {}
        self._numbers: dict[str, int] = {}

    def add(self, ends: Iterable[int], starts: Iterable[int]) -> None:
        """Find the links ending at some places and starting at others that meet."""
        asking, judged = self._asking, []
        for spot in _spots(_by_place(ends), _by_place(starts)):
            model, firsts, seconds = spot
            if asking.ends.isdisjoint(firsts) and asking.starts.isdisjoint(seconds):
                family = self._family(model)
                self._met += [
                    (second << LINK_BITS | first) << MODEL_BITS | family
                    for first in firsts
                    for second in seconds
                    if first >> 1 != second >> 1
                ]
            else:
                judged.append(spot)
        # A model stands at many places; in this order it is read, and looked at, once.
        judged.sort(key=itemgetter(0))
        for at in range(0, len(judged), MODELS_AT_A_TIME):
            some = judged[at : at + MODELS_AT_A_TIME]
            self._bring({model for model, _, _ in some})
            for model, those in groupby(some, key=itemgetter(0)):
                self._judge(model, those)

    def rows(self) -> Iterator[tuple[int, int, str]]:
        """All that meet: the later link, the earlier, and the families they meet in, in the order of the table."""
        self._met.sort()
        names = [*ANYWHERE, *self._numbers]
        last, families = 0, set[str]()
        for code in self._met:
            pair = code >> MODEL_BITS
            if pair != last:
                if last:
                    yield last >> LINK_BITS, last & LINKS, _listed(frozenset(families))
                last, families = pair, set()
            families.add(names[code & MODELS])
        if last:
            yield last >> LINK_BITS, last & LINKS, _listed(frozenset(families))

    def _bring(self, models: Iterable[int]) -> None:
        keys = self._models.keys
        self._models.bring(self._connection, [keys[model] for model in models if model != NO_MODEL])

    def _family(self, model: int) -> int:
        """The number of a model's family; 0 stands for wherever."""
        if model == NO_MODEL:
            return 0
        return self._numbers.setdefault(self._info(model).family, 1 + len(self._numbers))

    def _info(self, model: int) -> ModelInfo:
        return self._models.infos[self._models.keys[model]]

    def _judge(self, model: int, those: Iterable[Spot]) -> None:
        """Find the pairs that meet at the spots of a model, where some of the links ask for more than models."""
        asks, found = self._asking.of, dict[tuple[int, int], Sequence[int]]()
        for _, firsts, seconds in those:
            asked = [(second, asks.get(second, 0)) for second in seconds]
            for first in firsts:
                taken = asks.get(first ^ 1, 0)
                for second, given in asked:
                    if first >> 1 == second >> 1:
                        continue
                    both = taken, given
                    if both not in found:
                        found[both] = self._where(model, *both)
                    for family in found[both]:
                        self._met.append((second << LINK_BITS | first) << MODEL_BITS | family)

    def _where(self, model: int, taken: int, given: int) -> Sequence[int]:
        """The family of a model where it can be what is asked; of all models, the families that can."""
        if not taken and not given:
            return (self._family(model),)
        can_be = self._can_be.get((taken, given))
        if can_be is None:
            asked = self._asking.asked
            can_be = self._can_be[taken, given] = self._between.asking(asked[taken], asked[given])
        if model != NO_MODEL:
            return (self._family(model),) if can_be(self._info(model)) else ()
        if (taken, given) not in self._anywhere:
            self._anywhere[taken, given] = self._families(can_be)
        return self._anywhere[taken, given]

    def _families(self, can_be: Callable[[ModelInfo], bool]) -> list[int]:
        every, found = list(self._models.keys), set[int]()
        for at in range(0, len(every), MODELS_AT_A_TIME):
            some = every[at : at + MODELS_AT_A_TIME]
            self._bring(some)
            found.update(self._family(model) for model in some if can_be(self._info(model)))
        return list(found)


def _spots(ending: dict[int, list[int]], starting: dict[int, list[int]]) -> Iterator[Spot]:
    """The places where links end and others start; an end that names no model is at all of its part type."""
    for place, firsts in ending.items():
        model = place & MODELS
        if model == NO_MODEL:
            yield from ((each & MODELS, firsts, starting[each]) for each in _of_type(starting, place))
        else:
            here, anywhere = starting.get(place), starting.get(place ^ model)
            if here or anywhere:
                yield model, firsts, here + anywhere if here and anywhere else here or anywhere or []


def _of_type(places: Iterable[int], place: int) -> list[int]:
    return [each for each in places if each >> MODEL_BITS == place >> MODEL_BITS]


def _by_place(keys: Iterable[int]) -> dict[int, list[int]]:
    found: dict[int, list[int]] = {}
    for key in keys:
        place = key >> LINK_BITS
        if place in found:
            found[place].append(key & LINKS)
        else:
            found[place] = [key & LINKS]
    return found


@lru_cache(maxsize=10_000)
def _listed(families: frozenset[str]) -> str:
    """Families as they are kept."""
    return json.dumps(sorted(families))
