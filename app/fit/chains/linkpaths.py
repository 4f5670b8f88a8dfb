"""Walking the links of chains: the paths of two or three links from some to others, the shortest first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Generic, NamedTuple, TypeVar

from app.fit.chains.linkstands import Standing
from app.fit.links.link import Families
from app.fit.links.linkfamilies import arrives, onward
from app.fit.links.linkgraph import LinkGraph, Step

Path = tuple[int, ...]
Ends = frozenset[int]
Way = tuple[tuple[Step, ...], bool]
"""The links of a path, and whether another rule may contradict one of them."""


class Who(NamedTuple):
    """What a vehicle is as far as chains reach; empty for what is not known."""

    model: str
    family: str


Each = TypeVar("Each")


class Replayed(Generic[Each]):
    """What comes one by one, each found when it is first asked for and kept for the next who asks."""

    def __init__(self, source: Iterator[Each]) -> None:
        self._source = source
        self._found: list[Each] = []

    def __iter__(self) -> Iterator[Each]:
        yield from self._found
        for each in self._source:
            self._found.append(each)
            yield each


class Paths:
    """The paths over one body of links; what was found once is kept."""

    def __init__(self, graph: LinkGraph, standing: Standing) -> None:
        self._graph = graph
        self._standing = standing
        self._leading: dict[Ends, frozenset[int]] = {}
        self._middle: dict[tuple[int, Families], list[tuple[int, Families]]] = {}
        self._last: dict[tuple[int, Ends], list[int]] = {}
        self._found: dict[tuple[int, Ends, int, str, str], list[Path]] = {}

    def ways(self, starts: tuple[int, ...], ends: Ends, ours: Who, theirs: Who) -> Iterator[Way]:
        """The paths from some links to others that reach from one vehicle to another, the shortest first."""
        leading = ends
        for links in (2, 3):
            leading = self.leading_to(leading)
            for first in starts:
                for path in self._of(first, ends, links, ours.family, theirs.family) if first in leading else ():
                    steps = tuple([self._step(at) for at in path])
                    yield steps, self._standing.contested(steps, ours.model, theirs.model)

    def _of(self, first: int, ends: Ends, links: int, ours: str, theirs: str) -> list[Path]:
        """Every path of so many links from one to these ends, and from family to family, the lower numbers first."""
        key = (first, ends, links, ours, theirs)
        if key not in self._found:
            walk = self._of_two if links == 2 else self._of_three
            self._found[key] = list(walk(first, ends, frozenset((ours,)), theirs))
        return self._found[key]

    def _of_two(self, first: int, ends: Ends, near: Families, theirs: str) -> Iterator[Path]:
        for last in self._lasts(first, ends):
            if arrives(self._graph, last, onward(self._graph, first, last, near), theirs):
                yield first, last

    def _of_three(self, first: int, ends: Ends, near: Families, theirs: str) -> Iterator[Path]:
        leading, rule = self.leading_to(ends), self._step(first).link.rule
        for middle, between in self._middles(first, near):
            for _, last in self._of_two(middle, ends, between, theirs) if middle in leading else ():
                if self._step(last).link.rule is not rule:
                    yield first, middle, last

    def _middles(self, first: int, near: Families) -> list[tuple[int, Families]]:
        """The links that may follow one from some families, with the families between."""
        key = (first, near)
        if key not in self._middle:
            following = self._graph.after.get(first, ())
            met = [(middle, onward(self._graph, first, middle, near)) for middle in following]
            self._middle[key] = [each for each in met if each[1]]
        return self._middle[key]

    def _lasts(self, before: int, ends: Ends) -> list[int]:
        """Those of the ends that may follow a link."""
        key = (before, ends)
        if key not in self._last:
            self._last[key] = [last for last in self._graph.after.get(before, ()) if last in ends]
        return self._last[key]

    def leading_to(self, ends: Ends) -> frozenset[int]:
        """The links that one of these ends may follow."""
        if ends not in self._leading:
            every = self._graph.after.items()
            self._leading[ends] = frozenset(at for at, following in every if not ends.isdisjoint(following))
        return self._leading[ends]

    def _step(self, at: int) -> Step:
        return self._graph.steps[at]
