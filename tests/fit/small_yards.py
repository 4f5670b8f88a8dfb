"""Small random yards: few models, few facts, few values, so that everything meets everything.

What the rules of the game leave open is not drawn; each such place says why.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from random import Random

from app.fit.answers import Asked
from app.fit.knowledge import Knowledge
from app.fit.known import Identity, Known, ModelInfo, Offer, Possible, Subject, Target, Want
from app.fit.terms import Condition as State
from app.fit.terms import Group, Side
from tests.fit.small_yard_paths import PathMaker
from tests.fit.small_yard_rules import (
    DOUBTS,
    FACTS,
    LOOM,
    MAIN,
    MONTHS,
    OTHER,
    PLANTS,
    RING,
    TODAY,
    VALUES,
)


@dataclass(frozen=True)
class Yard:
    """A question and all that bears on it."""

    target: Target
    offers: tuple[Offer, ...]
    stock: tuple[Offer, ...]
    know: Knowledge

    @property
    def asked(self) -> Asked:
        return Asked("", tuple(sorted(self.target.wanted)), self.target.side)


def small_yard(seed: int) -> Yard:
    """The yard of a seed; the same seed gives the same yard."""
    return _Maker(Random(seed)).yard()


def winding_yard(seed: int) -> Yard:
    """A yard with rules from each model to the next, so that many of its answers are chains."""
    return _Maker(Random(seed)).yard(winding=True)


class _Maker(PathMaker):
    """Draws the parts and the question."""

    def yard(self, *, winding: bool = False) -> Yard:
        # Sided lots to a count are not spoken of: a pair of arms is one of each side.
        counted = not self.sided and self.maybe(0.15) and not winding
        most = 4 if counted else 9
        path = () if counted or (self.maybe(0.85) and not winding) else self._path()
        most = 3 if path else most
        rules = tuple(self._rule(f"R{number:02d}", counted) for number in range(1, self.random.randint(2, most)))
        rules += path
        kinds = (MAIN, OTHER) if self.by_way_of_others else (MAIN,)
        offers = tuple(
            self._offer(f"S{number:03d}", self.random.choice(kinds), counted)
            for number in range(1, self.random.randint(2, 8))
        )
        others = tuple(
            self._offer(f"S{number:03d}", self.random.choice((RING, LOOM)), counted=False)
            for number in range(101, 101 + self.random.randint(0, 6))
        )
        know = Knowledge(
            facts=FACTS,
            rules=rules,
            moves=self._moves(rules),
            groups=dict.fromkeys((MAIN, OTHER, RING, LOOM), Group.FRAME),
            uses=self._uses(),
            models={model.key: model for model in self.models},
            today=TODAY,
        )
        return Yard(self._target(counted), offers, others, know)

    def _offer(self, tag: str, part_type: str, counted: bool) -> Offer:
        model = self.random.choice(self.models)
        # A companion may have a side too: where none is named it is of the part's own.
        side = self.random.choice((Side.LH, Side.RH)) if self.sided and part_type in (MAIN, OTHER, LOOM) else Side.NONE
        pieces = self.random.choice((1, 2, 4, 6)) if counted else self.random.choice((1, 1, 1, 2))
        identity = self._plate(model)
        facts, donor_facts = self._known(identity, 0.5), self._known(identity, 0.15)
        identity = self._half_read(identity)
        law = self.laws.get(part_type, "")
        if law == "wear":
            facts |= self._worn()
        return Offer(
            tag=tag,
            part_type=part_type,
            wider="",
            name=part_type,
            subject=Subject(identity, facts, donor_facts, side, part_type, pieces),
            donor=f"D{self.random.randint(1, 3):02d}",
            condition=self.random.choice((State.A, State.A, State.B, State.B, State.C, State.SCRAP, State.CORE))
            if self.maybe(0.7)
            else State.A,
            price_cents=self._price(part_type, counted),
            core_cents=0,
            on_shelf=self.maybe(0.7),
            where="A1-1",
            miles=self.random.choice((None, 1000, 2000)) if part_type in self.with_miles else None,
            has_miles=part_type in self.with_miles,
            made_on=TODAY - timedelta(days=self.random.randint(1, 3)),
            pieces=pieces,
            design=self.random.choice(("", "", "HUB-A", "HUB-B")) if part_type == MAIN else "",
            blocked="burnt" if self.maybe(0.04) else "",
            law=law,
            frame_verdict=self.random.choice(("", "scrap only", "measure again")) if law == "frame" else "",
            gone_pieces=(("gasket", 15),) if part_type == MAIN and self.maybe(0.1) else (),
        )

    def _worn(self) -> dict[str, Known]:
        """A thickness over, at or under the least, or within the doubt of it; now and then never taken."""
        taken = Known(self.random.choice(("1.00 in", "1.05 in", "1.06 in", "1.10 in")), self.random.choice(DOUBTS[:4]))
        found = {"least thickness": Known("1.06 in")}
        return found | ({"rotor thickness": taken} if self.maybe(0.85) else {})

    def _price(self, part_type: str, counted: bool) -> int:
        """Few prices, so that they meet; where 1.2 ends at the price, between several tags, they seldom do."""
        if part_type == MAIN and not counted:
            return 100 * self.random.randint(1, 4)
        return 17 * self.random.randint(1, 40)

    def _plate(self, model: ModelInfo) -> Identity:
        """A plate with all on it; the year and the month agree."""
        built = self.random.choice(MONTHS)
        years = [year for year in (2007, 2008) if f"{year - 1}-07" <= built <= f"{year}-12"]
        return Identity(model, self.random.choice(years), built, self.random.choice((*PLANTS, "P")))

    def _half_read(self, identity: Identity) -> Identity:
        """What of a plate can still be read."""
        built = identity.built if self.maybe(0.55) else None
        return Identity(identity.model, identity.year, built, identity.plant if self.maybe(0.6) else "")

    def _known(self, identity: Identity, chance: float) -> dict[str, Known]:
        """Some of what such a vehicle has; now and then a thing the model never had, which is believed."""
        true = self._true(identity)
        found: dict[str, Known] = {}
        for name in self.named:
            if not self.maybe(chance) or (name == "tested on" and chance < 0.2):
                continue  # A test is written on the part itself.
            if name == "tested on":
                found[name] = Known((TODAY - timedelta(days=self.random.choice((1, 30, 31)))).isoformat())
                continue
            doubt = self.random.choice(DOUBTS) if name == "length" else None
            value = self.random.choice(VALUES[name]) if self.maybe(0.08) else true.get(name)
            if value is not None:
                found[name] = Known(value, doubt, "measured" if doubt else "seen")
        return found

    def _true(self, identity: Identity) -> dict[str, str]:
        """One vehicle as it may have been built."""
        found: dict[str, str] = {}
        for name in self.named:
            if name not in VALUES:
                continue
            rows = [row for row in identity.model.possible if row.fact == name]
            held = [row.value for row in rows if _was_so(row, identity, found)]
            if held or not rows:
                found[name] = self.random.choice(held or VALUES[name])
        return found

    def _target(self, counted: bool) -> Target:
        chosen = self.random.sample(self.models, 2 if self.maybe(0.12) else 1)
        plates = [self._plate(chosen[0])]
        plates += [Identity(model, plates[0].year, plates[0].built, plates[0].plant) for model in chosen[1:]]
        facts = {name: known for name, known in self._known(plates[0], 0.4).items() if name != "tested on"}
        swapped = self._swapped()
        read = self._half_read(plates[0])
        identities = tuple(Identity(each.model, read.year, read.built, read.plant) for each in plates)
        if self.maybe(0.1) and "joint" in self.named:
            # A reading with a doubt: it names one listed design, or none and is set aside.
            facts["joint"] = Known(self.random.choice(("3.23 in", "3.40 in", "3.62 in")), 1.5875, "customer")
        if self.maybe(0.1) and "plug" in self.named:
            # A word that leaves several values open.
            facts["plug"] = Known("square or oval", None, "customer", ("square", "oval"))
        # An unstated side is not drawn for parts that have one: which side is meant is then to be asked.
        side = self.random.choice((Side.LH, Side.RH)) if self.sided else Side.NONE
        wants: tuple[Want, ...] = ()
        if self.maybe(0.2):
            wants = (self.random.choice(self._wants()),)
        return Target(
            wanted=frozenset({MAIN}),
            identities={**dict.fromkeys(Group, identities), **swapped},
            facts=facts,
            side=side,
            wants=wants,
            quantity=self.random.choice((4, 6, 8)) if counted else None,
        )

    def _swapped(self) -> dict[Group, tuple[Identity, ...]]:
        """Now and then another vehicle's body or engine is in it, of which less is known."""
        if not self.maybe(0.2):
            return {}
        plate = self._half_read(self._plate(self.random.choice(self.models)))
        read = plate if self.maybe(0.5) else Identity(plate.model)
        return dict.fromkeys(self.random.sample((Group.BODY, Group.DRIVELINE), self.random.randint(1, 2)), (read,))

    def _wants(self) -> list[Want]:
        return [
            Want("shelf", "is", "yes", "today"),
            Want("price", "at most", "3", "under 3"),
            Want("amps", "at least", "120", "at least 120 A"),
            Want("plug", "is", "square", "square plug"),
            Want("condition", "at least", "B", "B or better"),
            Want("miles", "at most", "1500", "under 1,500 miles"),
        ]


def _was_so(row: Possible, identity: Identity, found: dict[str, str]) -> bool:
    built = identity.built or ""
    in_time = (not row.built_from or built >= row.built_from) and (not row.built_to or built <= row.built_to)
    at_plant = not row.plants or identity.plant in row.plants
    return in_time and at_plant and all(found.get(name) == value for name, value in row.given)
