"""In which families chains run: a link that names no model stays inside one, any other may lead to another."""

from __future__ import annotations

from collections.abc import Iterable

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
    """From which families chains of two or three links can lead to some; what was worked out once is kept."""

    def __init__(self, graph: LinkGraph, theirs: Iterable[str]) -> None:
        self._graph = graph
        self._theirs = frozenset(theirs)
        self._from_second: dict[int, Families] = {}

    def by(self, first: int) -> Families:
        """The families that one which begins with this link can start in."""
        graph = self._graph
        seconds = graph.after.get(first, ())
        near = _united(_common(_met(graph, first, each), self._before(each)) for each in seconds)
        return _across(graph, first, near)

    def _before(self, second: int) -> Families:
        """The families before a link that is the last, or the last but one."""
        if second not in self._from_second:
            graph, lasts = self._graph, self._graph.after.get(second, ())
            near = _united(_common(_met(graph, second, each), _across(graph, each, self._theirs)) for each in lasts)
            self._from_second[second] = _across(graph, second, _united((self._theirs, near)))
        return self._from_second[second]


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
