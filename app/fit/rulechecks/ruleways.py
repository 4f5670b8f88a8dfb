"""Rules in every direction they speak in, looked up by part type and models: which may speak beside which."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice, product

from app.fit.knowledge import Knowledge
from app.fit.rulechecks.meeting import Spoken, apart, names_models, turned, ways
from app.fit.rules import Condition, Rule, RuleKind, RuleState

MOST_CELLS = 256
"""Pairs of models under which one rule is looked up; one that names more is looked up under none."""
Cell = tuple[str, str, str]
Numbered = tuple[int, Rule]
"""A rule with its place among all rules."""


@dataclass(frozen=True, slots=True, eq=False)
class RuleWay:
    """One direction of a rule: `at` is its place among the rules, `beyond` what it asks besides the models it names.

    `cells` are its part types with the models of both ends; None where it names none or too many.
    """

    at: int
    one: Spoken
    beyond: tuple[Condition, ...]
    cells: tuple[Cell, ...] | None

    @property
    def rule(self) -> Rule:
        """The rule as it is written."""
        return self.one.rule

    def turned(self) -> RuleWay:
        """The rule with its ends changed over."""
        return _way(self.at, turned(self.one))


def _way(at: int, one: Spoken) -> RuleWay:
    return RuleWay(at, one, tuple(each for each in one.conditions if not names_models(each)), _cells(one))


def _cells(one: Spoken) -> tuple[Cell, ...] | None:
    if one.part_models is None or one.target_models is None:
        return None
    cells = tuple(islice(product(one.offered, one.part_models, one.target_models), MOST_CELLS + 1))
    return cells if len(cells) <= MOST_CELLS else None


class Pairs:
    """Rules in every direction, each found with all that may speak beside it."""

    def __init__(self, know: Knowledge, numbered: Iterable[Numbered] | None = None) -> None:
        """The rules given with their places, or all the rules there are."""
        self.know = know
        given = enumerate(know.rules) if numbered is None else numbered
        self.every = [_way(at, one) for at, rule in given if _heard(rule) for one in ways(rule)]
        self._by_cell: dict[Cell, list[RuleWay]] = {}
        self._loose: dict[str, list[RuleWay]] = {}
        self._by_type: dict[str, list[RuleWay]] = {}
        self._beside: dict[tuple[int, bool], list[RuleWay]] = {}
        for way in self.every:
            self._keep(way)

    def _keep(self, way: RuleWay) -> None:
        for name in way.one.offered:
            self._by_type.setdefault(name, []).append(way)
            if way.cells is None:
                self._loose.setdefault(name, []).append(way)
        for cell in way.cells or ():
            self._by_cell.setdefault(cell, []).append(way)

    def beside(self, way: RuleWay) -> list[RuleWay]:
        """The rules of other codes that may speak where this one does, each once, in the order of the rules."""
        key = (way.at, way.one.back)
        if key not in self._beside:
            found = {(other.at, other.one.back): other for other in self.near(way)}
            self._beside[key] = [found[each] for each in sorted(found)]
        return self._beside[key]

    def near(self, way: RuleWay) -> Iterator[RuleWay]:
        """The same as they are come upon, some of them more than once."""
        return (other for other in self._found(way) if other.at != way.at and _may_meet(way, other))

    def _found(self, way: RuleWay) -> Iterator[RuleWay]:
        if way.cells is None:
            for name in way.one.offered:
                yield from self._by_type.get(name, ())
            return
        for name in way.one.offered:
            yield from self._loose.get(name, ())
        for cell in way.cells:
            yield from self._by_cell.get(cell, ())


def _heard(rule: Rule) -> bool:
    return rule.state is not RuleState.CLOSED and rule.kind is not RuleKind.MOVES_DATE


def _may_meet(way: RuleWay, other: RuleWay) -> bool:
    same_wanted = not way.one.wanted.isdisjoint(other.one.wanted)
    return same_wanted and ends_meet(way, other)


def ends_meet(way: RuleWay, other: RuleWay) -> bool:
    """True unless two rules surely ask for other vehicles, by their own words."""
    one, two = way.one, other.one
    models = _overlap(one.part_models, two.part_models) and _overlap(one.target_models, two.target_models)
    # Conditions that name a model in common are not apart, so only those beyond them are left to look at.
    return models and not (way.beyond and other.beyond and apart(way.beyond, other.beyond))


def _overlap(one: frozenset[str] | None, other: frozenset[str] | None) -> bool:
    return one is None or other is None or not one.isdisjoint(other)


def pairs_by_type(know: Knowledge) -> Iterator[Pairs]:
    """All rules, a few part types at a time: those that a rule ties together stand together.

    So no more than these are held at once. A law ties nothing: it stands wherever one of its part types does, since
    laws are only looked at beside others.
    """
    heard = [(at, rule) for at, rule in enumerate(know.rules) if _heard(rule)]
    tied = _Tied()
    for _, rule in heard:
        if rule.kind is not RuleKind.LAW:
            tied.tie(_types(rule))
    bundles: dict[str, list[Numbered]] = {}
    for at, rule in heard:
        for name in {tied.first(each) for each in _types(rule)}:
            bundles.setdefault(name, []).append((at, rule))
    return (Pairs(know, numbered) for numbered in bundles.values())


def _types(rule: Rule) -> frozenset[str]:
    alike = rule.wanted_types is rule.offered_types
    return rule.offered_types if alike else rule.offered_types | rule.wanted_types


class _Tied:
    """Part types that are tied together; all of them are known by the first."""

    def __init__(self) -> None:
        self._to: dict[str, str] = {}

    def first(self, name: str) -> str:
        """The one by which what is tied to a part type is known."""
        while (other := self._to.get(name, name)) != name:
            name = other
        return name

    def tie(self, names: Iterable[str]) -> None:
        """Tie part types together."""
        first, *rest = sorted({self.first(name) for name in names}) or [""]
        for name in rest:
            self._to[name] = first
