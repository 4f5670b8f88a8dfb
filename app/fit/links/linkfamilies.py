"""In which families chains run: a link that names no model stays inside one, any other may lead to another."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from app.fit.links.link import ANYWHERE, Families
from app.fit.links.linkgraph import LinkGraph

_NOWHERE: Families = frozenset()


def onward(graph: LinkGraph, one: int, other: int, near: Families) -> Families:
    """The families between two links, with some before the first of them."""
    return _common(_across(graph, one, near), _met(graph, one, other))


def arrives(graph: LinkGraph, last: int, near: Families, theirs: str) -> bool:
    """Whether a chain ends in a family by its last link, with some families before it."""
    return bool(_common(_across(graph, last, near), frozenset((theirs,))))


class Starting:
    """From which families chains of two or three links lead to some, by their links from the last to the first.

    `lasts` are the links that may be the last; what was worked out once is kept.
    """

    def __init__(self, graph: LinkGraph, lasts: Collection[int], theirs: Iterable[str]) -> None:
        self._graph = graph
        self._lasts = lasts
        self._theirs = frozenset(theirs)
        self._from_second: dict[int, Families] = {}

    def by(self, first: int) -> Families:
        """The families that one which begins with this link can start in."""
        near = _united(self._between(first, each) for each in self._graph.after.get(first, ()))
        return _across(self._graph, first, near)

    def leading(self) -> LinkGraph:
        """The links alone that such a chain can be made of."""
        after: dict[int, Sequence[int]] = {}
        for first, seconds in self._graph.after.items():
            if leading := [second for second in seconds if self._between(first, second)]:
                after[first] = leading
        pairs = {(first, second) for first, seconds in after.items() for second in seconds}
        kept = {at for pair in pairs for at in pair}
        return LinkGraph(
            {at: step for at, step in self._graph.steps.items() if at in kept},
            after,
            {pair: met for pair, met in self._graph.families.items() if pair in pairs},
        )

    def _between(self, one: int, other: int) -> Families:
        """The families between two links, the other of which is the last or the last but one."""
        return _common(_met(self._graph, one, other), self._before(other))

    def _before(self, second: int) -> Families:
        """The families before a link that is the last, or the last but one."""
        if second not in self._from_second:
            graph, following = self._graph, self._graph.after.get(second, ())
            near = [_common(_met(graph, second, each), self._before_last(each)) for each in following]
            self._from_second[second] = _united((self._before_last(second), _across(graph, second, _united(near))))
        return self._from_second[second]

    def _before_last(self, last: int) -> Families:
        return _across(self._graph, last, self._theirs) if last in self._lasts else _NOWHERE


def _across(graph: LinkGraph, link: int, families: Families) -> Families:
    """The families that may be at one end of a link, with some at its other."""
    return ANYWHERE if families and graph.steps[link].roams else families


def _met(graph: LinkGraph, one: int, other: int) -> Families:
    """The families in which two links meet; where both roam it is not kept which, for any would do."""
    return graph.families.get((one, other), ANYWHERE)


def _common(one: Families, other: Families) -> Families:
    return other if one == ANYWHERE else one if other == ANYWHERE else one & other


def _united(each: Iterable[Families]) -> Families:
    found = _NOWHERE.union(*each)
    return found if found.isdisjoint(ANYWHERE) else ANYWHERE
