"""Chains: "bolts up" by way of other vehicles, at most three links, each proven, none decided by a tolerance.

Every link runs in the wanted direction, and one imagined vehicle must satisfy what both its links ask of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from app.fit.chains.closure import graph_of
from app.fit.chains.linkpaths import Ends, Paths, Replayed, Way, Who
from app.fit.chains.linkstands import Standing
from app.fit.conditions import Pair
from app.fit.knowledge import Knowledge
from app.fit.links.link import Link
from app.fit.links.linkgraph import Step
from app.fit.links.linkways import surely_hold
from app.fit.looks import Looks, together
from app.fit.rules import End
from app.fit.values import plain
from app.fit.worlds import World


class Chains:
    """Finds chains over one body of links."""

    def __init__(self, know: Knowledge) -> None:
        self.graph = know.graph if know.graph is not None else graph_of(know, know.rules)
        self._firsts = sorted(self.graph.after)
        self._lasts = sorted({last for following in self.graph.after.values() for last in following})
        self._ends_at: dict[tuple[frozenset[str], frozenset[str]], Ends] = {}
        self._indexes: dict[End, dict[str, list[int]]] = {}
        self._of_model: dict[tuple[End, str], list[int]] = {}
        self._wanted: dict[tuple[int, frozenset[str]], tuple[Ends, list[int]]] = {}
        self._offered: dict[tuple[int, str], tuple[tuple[int, ...], list[int]]] = {}
        self._lasts_of: dict[Ends, Sequence[Step]] = {}
        self._sorted_out: dict[tuple[object, ...], tuple[list[int], Pair]] = {}
        self._kept: dict[tuple[tuple[int, ...], Ends, Who, Who], Replayed[Way]] = {}
        self._standing = Standing(know)
        self._paths = Paths(self.graph, self._standing)

    def find(self, pair: Pair, part_type: str, wanted: frozenset[str]) -> tuple[Link, ...]:
        """The shortest chain of two or three links from a part to a target; empty where there is none."""
        ends = self._ends(pair, wanted)
        starts = self._starting(pair, part_type) if ends else ()
        if not starts:
            return ()
        for path, contested in self._ways(starts, ends, _who(pair.part), _who(pair.target)):
            if not contested or self._standing.stands(path, pair, part_type, wanted):
                return tuple(step.link for step in path)
        return ()

    def _ways(self, starts: tuple[int, ...], ends: Ends, ours: Who, theirs: Who) -> Iterable[Way]:
        """The paths from some links to others that reach from one vehicle to another, the shortest first."""
        key = (starts, ends, ours, theirs)
        if key not in self._kept:
            self._kept[key] = Replayed(self._paths.ways(starts, ends, ours, theirs))
        return self._kept[key]

    def outer(
        self, model: str, part_type: str, targets: Iterable[str], wanted: frozenset[str]
    ) -> tuple[Sequence[Step], Sequence[Step]]:
        """The links that a chain from a model to one of the targets may begin and end with; models by their keys."""
        ends = self._ends_of(frozenset(targets), wanted)
        if not ends:
            return (), ()
        two, after = self._paths.leading_to(ends), self.graph.after
        firsts = [
            step
            for at in self._of(End.PART, plain(model))
            if part_type in (step := self._step(at)).link.offered and (at in two or not two.isdisjoint(after[at]))
        ]
        return (firsts, self._lasting(ends)) if firsts else ((), ())

    def _lasting(self, ends: Ends) -> Sequence[Step]:
        if ends not in self._lasts_of:
            self._lasts_of[ends] = [self._step(at) for at in sorted(ends)]
        return self._lasts_of[ends]

    def _step(self, at: int) -> Step:
        return self.graph.steps[at]

    def _ends_of(self, targets: frozenset[str], wanted: frozenset[str]) -> Ends:
        """The links that may end at one of these models, as far as their names tell."""
        key = (targets, wanted)
        if key not in self._ends_at:
            every = {at for each in targets for at in self._of(End.TARGET, plain(each))}
            self._ends_at[key] = frozenset(at for at in every if self._step(at).link.wanted & wanted)
        return self._ends_at[key]

    def _ends(self, pair: Pair, wanted: frozenset[str]) -> Ends:
        """The links that may come last, since all that they ask of the target holds."""
        held = self._held_at(End.TARGET, pair)
        key = (id(held), wanted)
        if key not in self._wanted:
            # The list is kept along, so that no other takes its place in memory.
            self._wanted[key] = (frozenset(at for at in held if self._step(at).link.wanted & wanted), held)
        return self._wanted[key][0]

    def _starting(self, pair: Pair, part_type: str) -> tuple[int, ...]:
        """The links that may come first, since all that they ask of the part holds."""
        held = self._held_at(End.PART, pair)
        key = (id(held), part_type)
        if key not in self._offered:
            # The list is kept along, so that no other takes its place in memory.
            self._offered[key] = (tuple([at for at in held if part_type in self._step(at).link.offered]), held)
        return self._offered[key][0]

    def _of(self, end: End, model: str) -> list[int]:
        """The links that may come first, or last, which a model does not rule out."""
        key = (end, model)
        if key not in self._of_model:
            every = self._firsts if end is End.PART else self._lasts
            index = self._index(end, every)
            self._of_model[key] = sorted((*index.get(model, ()), *index.get("", ()))) if model else every
        return self._of_model[key]

    def _index(self, end: End, every: Sequence[int]) -> Mapping[str, Sequence[int]]:
        """Links by the models they name on one end; those that name none under no name."""
        if end not in self._indexes:
            found = self._indexes.setdefault(end, {})
            for at in every:
                named = self._step(at).models[end]
                for model in ("",) if named is None else named:
                    found.setdefault(model, []).append(at)
        return self._indexes[end]

    def _held_at(self, end: End, pair: Pair) -> list[int]:
        """Those of the links of which all that they ask of one end holds."""
        world = pair.part if end is End.PART else pair.target
        key = (end, id(world), pair.part_subject.side, pair.target_subject.side)
        if key not in self._sorted_out:
            links = self._of(end, plain(world["model"].value) if "model" in world else "")
            # The pair is kept along, so that no other world takes its place in memory.
            self._sorted_out[key] = ([at for at in links if self._holds(at, end, pair)], pair)
        return self._sorted_out[key][0]

    def looks(self, steps: Sequence[Step], end: End) -> Looks:
        """What first or last links, and the rules that may contradict these, look at on one end."""
        return together([self._standing.looks(each, end) for each in steps])

    def _holds(self, at: int, end: End, pair: Pair) -> bool:
        """Whether all that a link asks of one end, and between the ends, surely holds.

        Where the model is known, only links that do not rule it out are looked at; of an unknown one nothing is sure.
        """
        step = self._step(at)
        if step.one_side and pair.part_subject.side is not pair.target_subject.side:
            return False
        if step.models[end] is not None and "model" not in (pair.part if end is End.PART else pair.target):
            return False
        asked = step.asked[end]
        return not asked or surely_hold(step.link.rule, asked, pair)


def _who(world: World) -> Who:
    return Who(*(world[name].value if name in world else "" for name in Who._fields))
