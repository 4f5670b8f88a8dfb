"""Whether a chain stands: on vehicles that can be between its links, all rules on each link come to "bolts up".

A link that another rule contradicts there is none, just as it would be no answer on such a vehicle.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from itertools import pairwise

from app.fit.cases import is_heard_everywhere
from app.fit.chains.linkbeside import Beside, Besides, Types
from app.fit.conditions import Pair
from app.fit.firing import of_one_family, speaks
from app.fit.knowledge import Knowledge
from app.fit.known import Identity, ModelInfo, Subject
from app.fit.links.linkgraph import Step
from app.fit.links.linkways import surely_hold
from app.fit.looks import NOTHING, Looks, looks_of_moves, together
from app.fit.making import record
from app.fit.resolve import Fire, resolve
from app.fit.rules import End
from app.fit.terms import Grade
from app.fit.values import plain
from app.fit.worlds import Scope, World, worlds

MOST_MODELS = 200
"""So many models may be between two links that name none there; in a larger yard those of the two ends alone."""


Seen = tuple[object, ...]


@record(frozen=True, slots=True)
class Vehicle:
    """A vehicle in one world, or the part off it."""

    world: World
    subject: Subject

    @property
    def model(self) -> str:
        """The key of its model, as far as it is known."""
        return self.world["model"].value if "model" in self.world else ""


Near = dict[tuple[str, int], Vehicle]
"""Vehicles that a chain has come to, by the part type it came by and by what the next link sees of them."""


@record(frozen=True, slots=True)
class Ends:
    """What a chain leads from and to."""

    first: Vehicle
    last: Vehicle


class Standing:
    """Says of chains whether they stand; what was worked out once is kept, with the vehicles it is about."""

    def __init__(self, know: Knowledge) -> None:
        self._know = know
        self._besides = Besides(know)
        self._found: dict[tuple[object, ...], bool] = {}
        self._looks: dict[tuple[int, End, str], Looks] = {}
        self._numbers: dict[Seen, int] = {}
        self._seen: dict[tuple[int, int, int, End], tuple[int, Vehicle]] = {}
        self._links: dict[tuple[object, ...], bool] = {}
        self._between: dict[tuple[object, ...], Sequence[Near]] = {}
        self._onwards: dict[tuple[object, ...], Near] = {}

    def stands(self, path: Sequence[Step], pair: Pair, part_type: str, wanted: Types) -> bool:
        """Whether there are vehicles between its links on which each of them comes to "bolts up"."""
        ends = Ends(Vehicle(pair.part, pair.part_subject), Vehicle(pair.target, pair.target_subject))
        seen = self._seen_of(ends.first, path[0], End.PART), self._seen_of(ends.last, path[-1], End.TARGET)
        key = (*map(id, path), *seen, part_type)
        if key not in self._found:
            self._found[key] = self._leads(path, ends, part_type, wanted)
        return self._found[key]

    def contested(self, path: Sequence[Step], ours: str, theirs: str) -> bool:
        """Whether another rule may contradict a link of a chain from one model to another; else the chain stands."""
        return self._besides.contest(path, plain(ours), plain(theirs))

    def looks(self, step: Step, end: End, model: str = "") -> Looks:
        """What a link, and the rules that may contradict it, look at on one end, where it is of a known model."""
        key = (id(step), end, model)
        if key not in self._looks:
            self._looks[key] = together([step.looks[end], self._besides.looks(step, end, plain(model))])
        return self._looks[key]

    def _seen_of(self, vehicle: Vehicle, step: Step, end: End) -> int:
        """The number of what a link, and the rules beside it, see of a vehicle; two seen the same are one to them."""
        key = (id(vehicle.world), id(vehicle.subject), id(step), end)
        if key not in self._seen:
            seen = _seen(vehicle, self.looks(step, end, vehicle.model))
            # The vehicle is kept along, so that no other takes its place in memory.
            self._seen[key] = (self._numbers.setdefault(seen, len(self._numbers)), vehicle)
        return self._seen[key][0]

    def _leads(self, path: Sequence[Step], ends: Ends, part_type: str, wanted: Types) -> bool:
        """Whether the links lead on from the first vehicle to the last."""
        near: Near = {(part_type, self._seen_of(ends.first, path[0], End.PART)): ends.first}
        for step, following in pairwise(path):
            near = self._onward(step, following, near, ends)
        return any(self._is_link(path[-1], one, ends.last, of, wanted) for (of, _), one in near.items())

    def _onward(self, step: Step, following: Step, near: Near, ends: Ends) -> Near:
        """The vehicles that a link leads to from some, as the following link sees them."""
        key = (id(step), id(following), tuple(near), ends.first.subject.side, ends.first.model, ends.last.model)
        if near and key not in self._onwards:
            self._onwards[key] = {
                seen: other
                for between in sorted(step.link.wanted & following.link.offered)
                for alike in self._vehicles(step, following, ends, between)
                if self._is_near(step, near, next(iter(alike.values())), between)
                for seen, other in alike.items()
            }
        return self._onwards[key] if near else near

    def _is_near(self, step: Step, near: Near, other: Vehicle, between: str) -> bool:
        """Whether a link leads from one of some vehicles to another."""
        return any(self._is_link(step, one, other, of, frozenset({between})) for (of, _), one in near.items())

    def _is_link(self, step: Step, one: Vehicle, other: Vehicle, part_type: str, wanted: Types) -> bool:
        seen = self._seen_of(one, step, End.PART), self._seen_of(other, step, End.TARGET)
        key = (id(step), *seen, part_type, wanted)
        if key not in self._links:
            self._links[key] = self._bolts_up(step, one, other, part_type, wanted)
        return self._links[key]

    def _bolts_up(self, step: Step, one: Vehicle, other: Vehicle, part_type: str, wanted: Types) -> bool:
        """Whether a link and all that is said beside it come to "bolts up"."""
        know, rule = self._know, step.link.rule
        ours, theirs = (replace(each.subject, part_type=part_type) for each in (one, other))
        pair = Pair(one.world, other.world, ours, theirs, know.moves, know.today)
        if not (step.roams or of_one_family(pair)):
            return False
        if not surely_hold(rule, (*step.asked[End.PART], *step.asked[End.TARGET]), pair):
            return False
        beside = self._besides.between(step, part_type, wanted, plain(one.model), plain(other.model))
        if not beside:
            return True
        fires = {rule.code: Fire(self._besides.whole(rule), step.link.back, Grade.BOLTS_UP, ())}
        for each in beside:
            if (fire := _said(each, pair)) is not None:
                fires.setdefault(each.rule.code, fire)
        return resolve(list(fires.values())).grade is Grade.BOLTS_UP

    def _vehicles(self, one: Step, other: Step, ends: Ends, part_type: str) -> Sequence[Near]:
        """Every vehicle that both links may name, as the other sees them, those together that are alike to the one."""
        side = ends.first.subject.side
        named = one.models[End.TARGET] is not None or other.models[End.PART] is not None
        key = (id(one), id(other), side, part_type, *(() if named else (ends.first.model, ends.last.model)))
        if key not in self._between:
            bare = Subject(None, side=side, part_type=part_type, pieces=0)
            alike: dict[int, Near] = {}
            for model in self._models(one, other, ends):
                for each in self._worlds(model, bare, one, other):
                    as_led_to = alike.setdefault(self._seen_of(each, one, End.TARGET), {})
                    as_led_to.setdefault((part_type, self._seen_of(each, other, End.PART)), each)
            self._between[key] = list(alike.values())
        return self._between[key]

    def _worlds(self, model: ModelInfo, bare: Subject, one: Step, other: Step) -> Iterator[Vehicle]:
        looks = together([self._dated(one, End.TARGET, model.key), self._dated(other, End.PART, model.key)])
        scope = Scope(looks.facts, looks.months, looks.plants)
        by_year = "year" in looks.built_in
        for year in range(model.year_from, model.year_to + 1) if by_year else (None,):
            subject = replace(bare, identity=Identity(model, year))
            yield from (Vehicle(world, subject) for world in worlds(subject, scope, self._know.facts))

    def _dated(self, step: Step, end: End, model: str) -> Looks:
        return together([self.looks(step, end, model), looks_of_moves(self._know.moves, (step.link.rule.code,))])

    def _models(self, one: Step, other: Step, ends: Ends) -> Iterator[ModelInfo]:
        """The models that both may name."""
        every, taken, given = self._know.models, one.models[End.TARGET], other.models[End.PART]
        if taken is None and given is None:
            near = every if len(every) <= MOST_MODELS else {ends.first.model, ends.last.model}
            yield from (every[key] for key in near if key in every)
            return
        spoken = {plain(name): name for step in (one, other) for name in _spoken_of(step)}
        named = taken & given if taken is not None and given is not None else taken or given or frozenset()
        for name in sorted(named):
            key = spoken[name] if spoken[name] in every else self._keys.get(name, "")
            if key:
                yield every[key]

    @cached_property
    def _keys(self) -> Mapping[str, str]:
        """The keys of the models by their plain words, where a rule has another spelling."""
        return {plain(key): key for key in self._know.models}


def _seen(vehicle: Vehicle, looks: Looks) -> Seen:
    """All that is looked at of a vehicle, and what of it was taken of this very piece."""
    names = (*looks.facts, *looks.built_in, *_BY_PLATE) if looks is not NOTHING else _BY_PLATE
    world, facts = vehicle.world, vehicle.subject.facts
    values = [(known.value, known.u_mm) if (known := world.get(name)) is not None else None for name in names]
    return vehicle.subject.side, vehicle.subject.pieces, *values, *[name in facts for name in looks.facts]


_BY_PLATE = ("model", "family", "year", "built", "plant")


def _spoken_of(step: Step) -> Iterator[str]:
    """The models that a link names, as they are written."""
    yield from (value for each in step.link.conditions if each.fact == "model" for value in each.values)


def _said(each: Beside, pair: Pair) -> Fire | None:
    """What a rule surely says of a pair; one that names no model speaks inside one family alone."""
    if not is_heard_everywhere(each.rule) and not of_one_family(pair):
        return None
    fire, sure = speaks(each.rule, each.back, each.rule.conditions, pair)
    return fire if sure else None
