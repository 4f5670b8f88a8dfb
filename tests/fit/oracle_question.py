"""A question of the oracle: what the parts and the customer's vehicle can be, and which rules look at them."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from app.fit.knowledge import Knowledge
from app.fit.known import Identity, Offer, Target
from app.fit.rules import Condition, End, Op, Rule
from app.fit.terms import FactKind, Group, Side
from tests.fit.oracle_rules import Directed, directions
from tests.fit.oracle_values import NUMERIC, equal, figure, number_of
from tests.fit.oracle_worlds import Ends, Mentions, OpenQuestion, Vehicle, targets

PART, TARGET = frozenset({End.PART}), frozenset({End.TARGET})
PROVEN = ("seen", "measured")


@dataclass
class Question:
    """A question with every world that its parts and its vehicle can be."""

    target: Target
    offers: Sequence[Offer]
    stock: Sequence[Offer]
    know: Knowledge
    most_worlds: int
    rules: list[Directed] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.know = _bearing(self.know, self.offers)
        self.rules = directions(self.know.rules)
        self.mentions = Mentions(self.know, _conditions(self.know), _numbers(self.know))
        self.pool = self._pool()
        self._between: dict[tuple[Group, Side], list[Vehicle]] = {}
        self._parts: dict[str, list[Vehicle]] = {}
        self._places: dict[tuple[Group, Side, str], list[Vehicle]] = {}

    def worlds(self, offer: Offer) -> list[tuple[Vehicle, Vehicle]]:
        """Every world of the part with every world of the customer's vehicle."""
        parts, places = self.parts(offer), self.places(offer)
        if len(parts) * len(places) > self.most_worlds:
            raise OpenQuestion("too many worlds to write out")
        return list(itertools.product(parts, places))

    def parts(self, offer: Offer) -> list[Vehicle]:
        """What the part in hand can be."""
        if offer.tag not in self._parts:
            self._parts[offer.tag] = self._write_parts(offer)
        return self._parts[offer.tag]

    def _write_parts(self, offer: Offer) -> list[Vehicle]:
        subject = offer.subject
        if subject.identity is None:
            raise OpenQuestion("a part off no known vehicle")
        stated = {**subject.donor_facts, **subject.facts}
        ends = Ends(self.mentions, PART, stated, self.pool)
        own = self.know.groups[offer.part_type]
        measured = frozenset(name for name in subject.facts if self._numeric(name))
        return [
            replace(
                each,
                side=subject.side,
                part_type=offer.part_type,
                pieces=subject.pieces,
                measured=measured,
            )
            for each in ends.worlds(dict.fromkeys(Group, subject.identity), own, "the part's own")
        ]

    def places(self, offer: Offer) -> list[Vehicle]:
        """What the customer's vehicle can be, as the part sees it."""
        key = (self.know.groups[offer.part_type], offer.subject.side, offer.part_type)
        if key not in self._places:
            self._places[key] = self._write_places(offer)
        return self._places[key]

    def _write_places(self, offer: Offer) -> list[Vehicle]:
        """What the customer's vehicle can be, as the part's group sees it; an unstated side is the part's."""
        own = self.know.groups[offer.part_type]
        if own not in self.target.identities:
            raise OpenQuestion("no vehicle was named")
        ends = Ends(self.mentions, TARGET, self.target.facts, self.pool)
        measured = frozenset(name for name in self.target.facts if self._numeric(name))
        found = [
            world
            for identities in targets(self.target.identities)
            for world in ends.worlds(identities, own, "the vehicle's own")
        ]
        # Who asks for a part has one, if any such vehicle does.
        found = [each for each in found if not self._is_without(each)] or found
        side = self.target.side if self.target.side is not Side.NONE else offer.subject.side
        side = side if offer.sided else Side.NONE
        return [replace(each, side=side, part_type=offer.part_type, measured=measured) for each in found]

    def _is_without(self, vehicle: Vehicle) -> bool:
        rows = {row.fact for row in vehicle.identity.model.possible}
        looks = [name for each in self.target.wanted for name in self.know.look_for.get(each, ()) if name in rows]
        return bool(looks) and all(name in vehicle.facts and not vehicle.facts[name].there for name in looks)

    def _imagined(self, offer: Offer) -> list[Vehicle]:
        own = self.know.groups[offer.part_type]
        if (own, offer.subject.side) not in self._between:
            ends = Ends(self.mentions, PART | TARGET, {}, self.pool)
            self._between[own, offer.subject.side] = [
                replace(world, side=offer.subject.side)
                for model in self.know.models.values()
                for world in ends.worlds(dict.fromkeys(Group, Identity(model)), own, "its own")
            ]
        return self._between[own, offer.subject.side]

    # which rules, which family, which design

    def _serving(self, offer: Offer, *, any_type: bool = False) -> list[Directed]:
        wanted = frozenset({offer.part_type}) if any_type else self.target.wanted
        return [each for each in self.rules if each.serves(offer.part_type, wanted)]

    def _in_family(self, offer: Offer) -> bool:
        identity = offer.subject.identity
        # 1.6: the identity of the part's own group counts.
        families = {each.model.family for each in self.target.identities[self.know.groups[offer.part_type]]}
        return identity is not None and identity.model.family in families

    def _same_design(self, offer: Offer, place: Vehicle) -> bool:
        """1.7.17: the vehicle carries the part's design by a record of its own."""
        return bool(offer.design) and any(
            use.design == offer.design
            and use.model == place.model
            and (use.year_from is None or (place.year or 0) >= use.year_from)
            and (use.year_to is None or (place.year or 0) <= use.year_to)
            and (not use.built_from or place.built >= use.built_from)
            and (not use.built_to or place.built <= use.built_to)
            and (not use.plants or place.plant in use.plants)
            and all(self._is(place, name, value) for name, value in use.given)
            for use in self.know.uses
        )

    def _is(self, place: Vehicle, name: str, value: str) -> bool:
        if name == "side":
            return place.side.value == value
        fact = place.facts.get(name)
        return fact is not None and fact.there and equal(self.know.facts.get(name), fact, value)

    # numbers

    def _numeric(self, name: str) -> bool:
        info = self.know.facts.get(name)
        return info is not None and info.kind in NUMERIC

    def _pool(self) -> list[float]:
        """The numbers at which something turns: those of the rules and those written down, with their doubts."""
        found = set(self.mentions.numbers)
        parts = [*self.offers, *self.stock]
        lists = [self.target.facts, *(each.subject.facts for each in parts)]
        lists += [each.subject.donor_facts for each in parts]
        known = [(name, each) for facts in lists for name, each in facts.items() if self._numeric(name)]
        allowed = {0.0}
        for each in self.mentions.conditions:
            if each.allowed and each.op is Op.WITHIN:
                info = self.know.facts[each.fact]
                allowed.add(figure(each.allowed, info.unit if info.kind is FactKind.LENGTH else ""))
        for name, stated in known:
            number, doubt = number_of(self.know.facts[name], stated.value), stated.u_mm or 0.0
            found |= {number + a * s + doubt * t for a in allowed for s in (-1, 1) for t in (-1, 0, 1)}
        return sorted(found)


def _bearing(know: Knowledge, offers: Sequence[Offer]) -> Knowledge:
    """Only what bears on the question: proven uses of designs on hand, the moves of rules that are asked."""
    designs = {offer.design for offer in offers}
    codes = {rule.code for rule in know.rules}
    return replace(
        know,
        uses=tuple(use for use in know.uses if use.design in designs and use.known_by in PROVEN),
        moves=tuple(move for move in know.moves if move.moves in codes),
    )


def _numbers(know: Knowledge) -> list[Condition]:
    """The numbers of rules of numbers: they look at what was recorded, not at what truly is."""
    return [each for directed in directions(know.rules) for each in directed.conditions if directed.is_number(each)]


def _conditions(know: Knowledge) -> list[Condition]:
    """All that is looked at, on the ends where it is looked at."""
    moving = [move.rule for move in know.moves]
    rules: list[Rule] = list(dict.fromkeys(directed.rule for directed in directions(know.rules)))
    rows = [row.already_there.partition("=") for rule in rules for row in rule.companions if "=" in row.already_there]
    looks = [Condition(End.TARGET, name, Op.ANY_OF, (value,)) for name, _, value in rows]
    turned = [each for directed in directions(rules) for each in directed.conditions]
    both = [replace(each, end=end) for rule in moving for each in rule.conditions for end in (End.PART, End.TARGET)]
    return turned + both + looks
