"""Which links of chains can meet: one ends where the other starts, and a vehicle can be what both ask of it.

Over a whole body of rules these are half a million pairs, so they are found in arrays; only what differs is judged.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator

import numpy as np
from sqlalchemy import Connection

from app.book.modelreading import Models
from app.book.reach.linknumbers import LINK_BITS, OF_RULE, STORY, TURNED
from app.book.reach.ruleends import LINKS, MODELS, Asking
from app.book.reach.ruleplaces import Numbers, in_order, runs
from app.book.schema import NO_MODEL
from app.fit.chains.closure import Between
from app.fit.knowledge import Knowledge
from app.fit.known import ModelInfo
from app.fit.links.link import ANYWHERE

ASKED_BITS = 20
ASKED, BOTH = (1 << ASKED_BITS) - 1, (1 << 2 * ASKED_BITS) - 1
"""A model and what two links ask of it in one number, with room for a million different askings."""

MODELS_AT_A_TIME = 5_000
"""So many models are read at once, well below the number that is kept."""


class Meets:
    """Finds which links meet and in which families; what was worked out once is kept."""

    def __init__(self, connection: Connection, models: Models, asking: Asking, know: Knowledge) -> None:
        self._connection = connection
        self._models = models
        self._asking = asking
        # One end beyond all others, so that a search always finds one.
        known = sorted((*asking.of.items(), (LINKS + 1, 0)))
        self._asks_at = np.array([end for end, _ in known], dtype=np.int64)
        self._asks = np.array([number for _, number in known], dtype=np.int64)
        self._between = Between(know)
        self._can_be: dict[int, Callable[[ModelInfo], bool]] = {}
        self._families: dict[str, int] = dict.fromkeys(ANYWHERE, 0)
        self._met: list[tuple[Numbers, Numbers]] = []

    def add(self, ends: Iterable[int], starts: Iterable[int]) -> None:
        """Find the links ending at some places and starting at others that meet."""
        ending, starting = _joined(in_order(ends), in_order(starts))
        model = (ending | starting) >> LINK_BITS & MODELS
        first, second = ending & LINKS, starting & LINKS
        pair = second << LINK_BITS | first
        asked = self._asked(first ^ TURNED) << ASKED_BITS | self._asked(second)
        self._keep(pair[asked == 0], model[asked == 0])
        pair, model, asked = pair[asked != 0], model[asked != 0], asked[asked != 0]
        open_ = model == NO_MODEL
        self._judge(pair[~open_], model[~open_], asked[~open_])
        self._judge_anywhere(pair[open_], asked[open_])

    def rows(self) -> Iterator[tuple[int, int, str]]:
        """All that meet: the later link, the earlier, and the families they meet in, in the order of the table."""
        pair = np.concatenate([each for each, _ in self._met])
        family = np.concatenate([each for _, each in self._met])
        order = np.argsort(pair, kind="stable")
        pair, family = pair[order], family[order]
        at = np.flatnonzero(np.diff(pair, prepend=-1))
        names = list(self._families)
        alone = [json.dumps([name]) for name in names]
        families = [alone[each] for each in family[at].tolist()]
        sizes = np.diff(np.append(at, len(pair)))
        for several in np.flatnonzero(sizes > 1).tolist():
            those = family[at[several] : at[several] + sizes[several]].tolist()
            families[several] = json.dumps(sorted({names[each] for each in those}))
        return zip((pair[at] >> LINK_BITS).tolist(), (pair[at] & LINKS).tolist(), families, strict=True)

    def _asked(self, ends: Numbers) -> Numbers:
        """The numbers of what is asked at ends of rules."""
        at = np.searchsorted(self._asks_at, ends)
        return np.where(self._asks_at[at] == ends, self._asks[at], 0)

    def _keep(self, pair: Numbers, model: Numbers) -> None:
        """Keep pairs that meet, with the families of models."""
        models, which = np.unique(model, return_inverse=True)
        families = np.array([self._family(each) for each in models.tolist()], dtype=np.int64)
        self._met.append((pair, families[which]))

    def _judge(self, pair: Numbers, model: Numbers, asked: Numbers) -> None:
        """Keep the pairs whose model can be what is asked; the models are read as they come, each once."""
        every, which = np.unique(model << 2 * ASKED_BITS | asked, return_inverse=True)
        can_be = np.zeros(len(every), dtype=np.bool_)
        for at in range(0, len(every), MODELS_AT_A_TIME):
            some = every[at : at + MODELS_AT_A_TIME].tolist()
            self._bring({each >> 2 * ASKED_BITS for each in some})
            can_be[at : at + len(some)] = [
                self._asking_of(each & BOTH)(self._info(each >> 2 * ASKED_BITS)) for each in some
            ]
        self._keep(pair[can_be[which]], model[can_be[which]])

    def _judge_anywhere(self, pair: Numbers, asked: Numbers) -> None:
        """Keep pairs that name no model, with a model of each family that can be what is asked."""
        every = np.unique(asked).tolist()
        found: dict[int, dict[str, int]] = {each: {} for each in every}
        models = list(self._models.keys) if every else []
        for at in range(0, len(models), MODELS_AT_A_TIME):
            some = models[at : at + MODELS_AT_A_TIME]
            self._bring(some)
            infos = [(model, self._info(model)) for model in some]
            for each in every:
                can_be, families = self._asking_of(each), found[each]
                for model, info in infos:
                    # One of a family is enough.
                    if info.family not in families and can_be(info):
                        families[info.family] = model
        for each in every:
            pairs, met = pair[asked == each], list(found[each].values())
            self._keep(np.repeat(pairs, len(met)), np.tile(np.array(met, dtype=np.int64), len(pairs)))

    def _asking_of(self, number: int) -> Callable[[ModelInfo], bool]:
        if number not in self._can_be:
            asked = self._asking.asked
            self._can_be[number] = self._between.asking(asked[number >> ASKED_BITS], asked[number & ASKED])
        return self._can_be[number]

    def _bring(self, models: Iterable[int]) -> None:
        self._models.bring(self._connection, [self._models.keys[model] for model in models])

    def _info(self, model: int) -> ModelInfo:
        return self._models.infos[self._models.keys[model]]

    def _family(self, model: int) -> int:
        """The number of a model's family; 0 stands for wherever."""
        if model == NO_MODEL:
            return 0
        return self._families.setdefault(self._info(model).family, len(self._families))


def _joined(ends: Numbers, starts: Numbers) -> tuple[Numbers, Numbers]:
    """Where links end and others start at one place; an end that names no model is at every place of its type."""
    places = ends >> LINK_BITS
    types = places & ~MODELS
    named = places != types
    found = [
        _between(ends[named], starts, places[named], places[named] + 1),
        _between(ends[named], starts, types[named], types[named] + 1),
        _between(ends[~named], starts, types[~named], types[~named] + MODELS + 1),
    ]
    ending, starting = (np.concatenate(each) for each in zip(*found, strict=True))
    others = (ending & STORY) // OF_RULE != (starting & STORY) // OF_RULE
    return ending[others], starting[others]


def _between(ends: Numbers, starts: Numbers, low: Numbers, high: Numbers) -> tuple[Numbers, Numbers]:
    """Each of the ends with all starts from a lower place to below a higher one."""
    places = starts >> LINK_BITS
    at = np.searchsorted(places, low)
    count = np.searchsorted(places, high) - at
    return np.repeat(ends, count), starts[runs(at, count)]
