"""Chains: "bolts up" by way of other vehicles, at most three links, each proven, none decided by a tolerance.

Every link runs in the wanted direction, and one imagined vehicle must satisfy what both its links ask of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise, product

from app.fit.closure import ANYWHERE, Families, Joints, Link, LinkKey, Meeting, all_hold, links_of, models_named
from app.fit.conditions import Pair
from app.fit.knowledge import Knowledge
from app.fit.rules import End
from app.fit.values import plain
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
        self._firsts = _Outer(self.links, sorted({first for first, _ in self.met}), End.PART)
        self._lasts = _Outer(self.links, list(self._before), End.TARGET)
        self._found: dict[Path, tuple[dict[int, list[Path]], ...]] = {}
        self._sorted_out: dict[tuple[object, ...], tuple[list[int], Pair]] = {}

    def find(self, pair: Pair, part_type: str, wanted: frozenset[str]) -> tuple[Link, ...]:
        """The shortest chain of two or three links from a part to a target; empty where there is none."""
        ends = tuple(at for at in self._ending(pair) if self.links[at].wanted & wanted)
        starts = [at for at in self._starting(pair) if part_type in self.links[at].offered] if ends else []
        for by_first in self._paths(ends):
            for first in starts:
                for path in by_first.get(first, ()):
                    if self._in_reach(path, pair):
                        return tuple(self.links[at] for at in path)
        return ()

    def _ending(self, pair: Pair) -> list[int]:
        """The links that may come last, since all that they ask of the target holds."""
        return self._held_at(End.TARGET, self._lasts.for_model(pair.target), pair)

    def _starting(self, pair: Pair) -> list[int]:
        """The links that may come first, since all that they ask of the part holds."""
        return self._held_at(End.PART, self._firsts.for_model(pair.part), pair)

    def _held_at(self, end: End, links: Iterable[int], pair: Pair) -> list[int]:
        """Those of the links that hold at one end; what lies between the ends is looked at for each pair anew."""
        world = pair.part if end is End.PART else pair.target
        key = (end, id(world), pair.part_subject.side, pair.target_subject.side)
        if key not in self._sorted_out:
            plain = [at for at in links if not self._asks_more[at] and self._holds(at, end, pair)]
            # The pair is kept along, so that no other world takes its place in memory.
            self._sorted_out[key] = (plain, pair)
        others = [at for at in links if self._asks_more[at] and self._holds(at, end, pair)]
        plain = self._sorted_out[key][0]
        return sorted((*plain, *others)) if others else plain

    def _paths(self, ends: Path) -> tuple[dict[int, list[Path]], ...]:
        """Every path to these ends by its first link, those of two links before those of three."""
        if ends not in self._found:
            found: tuple[dict[int, list[Path]], ...] = ({}, {})
            for by_first, paths in zip(found, (self._of_two(ends), self._of_three(ends)), strict=True):
                for path in sorted(paths):
                    by_first.setdefault(path[0], []).append(path)
            self._found[ends] = found
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
        """Whether all that a link asks of one end, and between the ends, surely holds."""
        return all_hold(self.links[at].rule, (*self._asked[at][end], *self._between[at]), pair)


class _Outer:
    """The links that may come first, or last, by the models they name on that end."""

    def __init__(self, links: Sequence[Link], numbers: Sequence[int], end: End) -> None:
        self._every = numbers
        self._named = [(at, models_named(links[at].conditions, end)) for at in numbers]
        self._of: dict[str, list[int]] = {}

    def for_model(self, world: World) -> Sequence[int]:
        """Those that the model of a world does not rule out."""
        if "model" not in world:
            return self._every
        model = plain(world["model"].value)
        if model not in self._of:
            self._of[model] = [at for at, named in self._named if named is None or model in named]
        return self._of[model]


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
