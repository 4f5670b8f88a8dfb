"""Chains, link by link over every vehicle that can be imagined (1.4 and settled reading 15)."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from app.fit.known import Offer
from app.fit.rules import End, Op, RuleKind
from app.fit.terms import Grade
from tests.fit.oracle_question import Question
from tests.fit.oracle_rules import Directed, Pair
from tests.fit.oracle_weighing import spoken, weigh
from tests.fit.oracle_worlds import OpenQuestion, Vehicle

MOST_LINKS = 3
BOUNDS = (Op.AT_LEAST, Op.AT_MOST)
IMAGINED_FOR = 16
"""Vehicles imagined for each world that may be written out of a part."""


@dataclass
class Chained(Question):
    """A question whose parts may reach the vehicle by way of others."""

    _linked: dict[tuple[int, str, int, frozenset[str]], tuple[str, ...]] = field(default_factory=dict)

    def _chain(self, offer: Offer, vehicle: Vehicle, place: Vehicle) -> bool:
        """1.4: up to three proven links over vehicles that can be, in the wanted direction."""
        if not any(_may_chain(each) and each.rule.grade is Grade.BOLTS_UP for each in self.rules):
            return False
        return self._reaches(offer, vehicle, offer.part_type, place, (), MOST_LINKS)

    def _reaches(
        self,
        offer: Offer,
        one: Vehicle,
        part_type: str,
        place: Vehicle,
        used: tuple[str, ...],
        links: int,
    ) -> bool:
        """Whether so many links lead there. No rule twice: there and back would make every part fit its own model."""
        if used and set(self._links(one, part_type, place, self.target.wanted)) - set(used):
            return True
        if links == 1:
            return False
        types = {name for rule in self.know.rules for name in rule.offered_types | rule.wanted_types}
        if len(self._imagined(offer)) * IMAGINED_FOR > self.most_worlds:
            raise OpenQuestion("too many worlds to write out")
        return any(
            self._reaches(offer, between, wanted, place, (*used, code), links - 1)
            for between in self._imagined(offer)
            for wanted in sorted(types)
            for code in self._links(one, part_type, between, frozenset({wanted}))
            if code not in used
        )

    def _links(self, part: Vehicle, part_type: str, place: Vehicle, wanted: frozenset[str]) -> tuple[str, ...]:
        """The rules by which a pair is a link: all that is said of it together comes to `bolts_up` (1.5)."""
        key = (id(part), part_type, id(place), wanted)
        if key not in self._linked:
            self._linked[key] = self._write_links(part, part_type, place, wanted)
        return self._linked[key]

    def _write_links(self, part: Vehicle, part_type: str, place: Vehicle, wanted: frozenset[str]) -> tuple[str, ...]:
        pair = Pair(self.know, replace(part, part_type=part_type), replace(place, part_type=part_type))
        serving = [each for each in self.rules if each.serves(part_type, wanted)]
        chaining = [link for each in serving if _may_chain(each) and (link := _as_link(each))]
        links = [each for each in chaining if pair.says(each) is Grade.BOLTS_UP]
        weighed = weigh(self.know, spoken(pair, serving)) if links else None
        if weighed is not None and weighed.grade is not Grade.BOLTS_UP:
            return ()
        return tuple(each.rule.code for each in links)


def _may_chain(directed: Directed) -> bool:
    """1.4: nothing that a tolerance decides."""
    barred = any(each.op is Op.WITHIN for each in directed.conditions)
    return directed.rule.chains and directed.rule.kind is RuleKind.FIT and not barred and not directed.disputed


def _as_link(directed: Directed) -> Directed | None:
    """The rule without what no chain may rest on: one end held to a bound that the other sets."""
    bounds = [each for each in directed.rule.conditions if each.end is End.BETWEEN and each.op in BOUNDS]
    left = tuple(each for each in directed.rule.conditions if each not in bounds)
    met_otherwise = {each.alt for each in left if each.alt}
    if any(each.alt not in met_otherwise for each in bounds):
        return None
    return replace(directed, rule=replace(directed.rule, conditions=left))
