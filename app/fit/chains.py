"""Chains: "bolts up" by way of other vehicles, at most three links, each proven, none decided by a tolerance.

Every link runs in the wanted direction, and one imagined vehicle must satisfy what both its links ask of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise, product

from app.fit.closure import ANYWHERE, Families, Joints, Link, LinkKey, Meeting, all_hold, links_of
from app.fit.conditions import Pair
from app.fit.knowledge import Knowledge
from app.fit.rules import End
from app.fit.worlds import World

Path = tuple[int, ...]
Meets = Mapping[tuple[LinkKey, LinkKey], Families]


class Chains:
    """Finds chains over one body of rules; which links can meet in a vehicle is known, or worked out once."""

    def __init__(self, know: Knowledge) -> None:
        self.links = links_of(know.rules if know.links is None else know.links)
        self._number = {link.key: at for at, link in enumerate(self.links)}
        meets = _work_out(self.links, know) if know.meets is None else know.meets
        self.met = {
            (self._number[first], self._number[last]): families
            for (first, last), families in meets.items()
            if first in self._number and last in self._number
        }
        self._before = _before(self.met)
        self._between = [link.at(End.BETWEEN) for link in self.links]
        self._asks_more = [any(each.fact != "side" for each in between) for between in self._between]
        self._asked = [{end: link.at(end) for end in (End.PART, End.TARGET)} for link in self.links]
        self._found: dict[Path, list[Path]] = {}
        self._held: dict[tuple[object, ...], tuple[bool, Pair]] = {}

    def find(self, pair: Pair, part_type: str, wanted: frozenset[str]) -> tuple[Link, ...]:
        """The shortest chain of two or three links from a part to a target; empty where there is none."""
        ends = [
            last for last in self._before if self.links[last].wanted & wanted and self._holds(last, End.TARGET, pair)
        ]
        for path in self._paths(tuple(ends)):
            first = path[0]
            starts = part_type in self.links[first].offered and self._holds(first, End.PART, pair)
            if starts and self._in_reach(path, pair):
                return tuple(self.links[at] for at in path)
        return ()

    def _paths(self, ends: Path) -> list[Path]:
        """Every path to these ends, the shortest first."""
        if ends not in self._found:
            self._found[ends] = [*sorted(self._of_two(ends)), *sorted(self._of_three(ends))]
        return self._found[ends]

    def _of_two(self, ends: Sequence[int]) -> Iterator[Path]:
        for last in ends:
            yield from ((first, last) for first in self._before[last])

    def _of_three(self, ends: Sequence[int]) -> Iterator[Path]:
        """What a link asks between its ends is held against part and target, so a middle one may ask for side alone."""
        for last in ends:
            for middle in self._before[last]:
                if not self._asks_more[middle]:
                    rule = self.links[last].rule
                    firsts = self._before.get(middle, ())
                    yield from ((first, middle, last) for first in firsts if self.links[first].rule is not rule)

    def _in_reach(self, path: Path, pair: Pair) -> bool:
        """A link that names no model stays inside one family."""
        if all(self.links[at].roams for at in path):
            return True
        met = [self.met[step] for step in pairwise(path)]
        ends = (_family(pair.part), _family(pair.target))
        named = frozenset().union(*ends, *(each for each in met if each != ANYWHERE))
        stops = [ends[0], *(named if each == ANYWHERE else each for each in met), ends[1]]
        ways = product(*stops)
        return any(all(self.links[at].roams or way[n] == way[n + 1] for n, at in enumerate(path)) for way in ways)

    def _holds(self, at: int, end: End, pair: Pair) -> bool:
        """Whether all that a link asks of one end, and between the ends, surely holds; worked out once."""
        between = self._between[at]
        more = self._asks_more[at]
        ours = pair.part if end is End.PART or more else None
        theirs = pair.target if end is End.TARGET or more else None
        key = (at, end, id(ours), id(theirs), pair.part_subject.side, pair.target_subject.side)
        known = self._held.get(key)
        if known is None:
            holds = all_hold(self.links[at].rule, (*self._asked[at][end], *between), pair)
            # The pair is kept along, so that no other world takes its place in memory.
            known = self._held[key] = (holds, pair)
        return known[0]


def _work_out(links: Sequence[Link], know: Knowledge) -> Meets:
    joints, meeting = Joints(links), Meeting(know)
    every = ((link, other) for link in links for other in joints.after(link))
    return {(one.key, other.key): met for one, other in every if (met := meeting.families(one, other))}


def _before(met: Mapping[tuple[int, int], Families]) -> dict[int, list[int]]:
    """Of each link, those that may come right before it."""
    found: dict[int, list[int]] = {}
    for first, last in sorted(met):
        found.setdefault(last, []).append(first)
    return dict(sorted(found.items()))


def _family(world: World) -> Families:
    return frozenset((world["family"].value if "family" in world else "",))
