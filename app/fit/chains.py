"""Chains: "bolts up" by way of other vehicles, at most three links, each proven, none decided by a tolerance.

Every link runs in the wanted direction, and one imagined vehicle must satisfy what both its links ask of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise, product

from app.fit.closure import ANYWHERE, Families, Link, Meeting, all_hold, links_of
from app.fit.conditions import Pair
from app.fit.knowledge import Knowledge
from app.fit.rules import End
from app.fit.worlds import World

MOST_LINKS = 3


class Chains:
    """Finds chains over one body of rules; which links can meet in a vehicle is known, or worked out once."""

    def __init__(self, know: Knowledge) -> None:
        self.know = know
        self.links = links_of(know.rules if know.links is None else know.links)
        # What a link asks between its ends is held against the part and the target, so only an outer link may ask it.
        self._middles = [at for at, link in enumerate(self.links) if _asks_no_more_than_side(link)]
        self._met: dict[tuple[int, int], Families] = {}
        self._meeting = Meeting(know) if know.meets is None else None

    def find(self, pair: Pair, part_type: str, wanted: frozenset[str]) -> tuple[Link, ...]:
        """The shortest chain of two or three links from a part to a target; empty where there is none."""
        numbered = range(len(self.links))
        starts = [at for at in numbered if part_type in self.links[at].offered and self._holds(at, End.PART, pair)]
        ends = [at for at in numbered if self.links[at].wanted & wanted and self._holds(at, End.TARGET, pair)]
        if not starts or not ends:
            return ()
        for length in range(2, MOST_LINKS + 1):
            for path in self._paths(starts, ends, length):
                if self._in_reach(path, pair):
                    return tuple(self.links[at] for at in path)
        return ()

    def _in_reach(self, path: Sequence[int], pair: Pair) -> bool:
        """A link that names no model stays inside one family."""
        met = [self._meet(one, other) for one, other in pairwise(path)]
        ends = (_family(pair.part), _family(pair.target))
        named = frozenset().union(*ends, *(each for each in met if each != ANYWHERE))
        stops = [ends[0], *(named if each == ANYWHERE else each for each in met), ends[1]]
        ways = product(*stops)
        return any(all(self.links[at].roams or way[n] == way[n + 1] for n, at in enumerate(path)) for way in ways)

    def _paths(self, starts: Sequence[int], ends: Sequence[int], length: int) -> Iterator[tuple[int, ...]]:
        if length == 2:
            for first in starts:
                yield from ((first, last) for last in ends if self._meet(first, last))
            return
        for first in starts:
            for middle in (at for at in self._middles if self._meet(first, at)):
                for last in ends:
                    if self.links[last].rule is not self.links[first].rule and self._meet(middle, last):
                        yield (first, middle, last)

    def _holds(self, at: int, end: End, pair: Pair) -> bool:
        link = self.links[at]
        return all_hold(link.rule, (*link.at(end), *link.at(End.BETWEEN)), pair)

    def _meet(self, one: int, other: int) -> Families:
        """The families of the imagined vehicles that can be the target of one link and the giver of the next."""
        if (one, other) not in self._met:
            first, second = self.links[one], self.links[other]
            if self._meeting is not None:
                self._met[one, other] = self._meeting.families(first, second)
            else:
                known = self.know.meets or {}
                self._met[one, other] = known.get((first.key, second.key), frozenset())
        return self._met[one, other]


def _asks_no_more_than_side(link: Link) -> bool:
    return all(each.fact == "side" for each in link.at(End.BETWEEN))


def _family(world: World) -> Families:
    return frozenset((world["family"].value if "family" in world else "",))
