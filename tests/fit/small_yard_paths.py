"""Rules of small random yards that lead from one model to the next, and those that speak against them on the way."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from app.fit.rules import Condition, Direction, End, Evidence, EvidenceLine, Op, Rule, RuleKind, RuleState
from app.fit.terms import Grade
from tests.fit.small_yard_rules import MAIN, NUMBERS, OTHER, VALUES, RuleMaker

AGAINST = (Grade.BOLTS_UP, Grade.MOVE_OVER, Grade.BOLTS_IN, Grade.WONT_FIT, Grade.WONT_FIT)


class PathMaker(RuleMaker):
    """Draws rules that are links of chains."""

    by_way_of_others = False

    def _path(self) -> tuple[Rule, ...]:
        """Rules from each model to the next, to be links of a chain; what they ask takes both ends to judge."""
        self.by_way_of_others = self.maybe(0.4)
        kinds = [*(self._kind() for _ in self.models[1:]), frozenset({MAIN})]
        links = tuple(
            replace(self._link(f"R{50 + at}", one.key, other.key), offered_types=kinds[at], wanted_types=kinds[at + 1])
            for at, (one, other) in enumerate(pairwise(self.models))
        )
        beside = (self._against(f"R{number}", links) for number in range(60, 60 + self.random.choice((0, 0, 1, 1, 2))))
        return (*links, *beside)

    def _kind(self) -> frozenset[str]:
        """What a link of a path is of; some paths lead from one part type to another."""
        return frozenset({self.random.choice((MAIN, OTHER))}) if self.by_way_of_others else frozenset({MAIN})

    def _against(self, code: str, links: tuple[Rule, ...]) -> Rule:
        """A rule that speaks beside a link, of as much as it does, of more or of less."""
        link = self.random.choice(links)
        conditions = [
            self._wider(each) if self.maybe(0.3) else each for each in link.conditions if each.fact == "model"
        ]
        conditions += [each for each in link.conditions if each.fact == "side"]
        for _ in range(self.random.choice((0, 0, 1, 1, 2))):
            name = self.random.choice(self._listed())
            end = self.random.choice((End.PART, End.TARGET))
            conditions.append(Condition(end, name, Op.ANY_OF, (self.random.choice(VALUES[name]),)))
        return replace(
            link,
            code=code,
            grade=self.random.choice(AGAINST),
            state=RuleState.DISPUTED if self.maybe(0.15) else RuleState.OPEN,
            direction=Direction.ONE_WAY if self.maybe(0.7) else Direction.BOTH_WAYS,
            conditions=tuple(conditions),
            evidence=self._evidence(RuleKind.FIT),
            chains=False,
        )

    def _wider(self, naming: Condition) -> Condition:
        """A list of models with another one in it."""
        keys = {*naming.values, self.random.choice(self.models).key}
        return replace(naming, values=tuple(sorted(keys)))

    def _link(self, code: str, one: str, other: str) -> Rule:
        conditions = [
            Condition(End.PART, "model", Op.ANY_OF, (one,)),
            Condition(End.TARGET, "model", Op.ANY_OF, (other,)),
        ]
        if self.sided:
            conditions.append(Condition(End.BETWEEN, "side", Op.SAME))
        for alt in range(1, self.random.randint(1, 3)):
            conditions += self._met_on_either_end(alt)
        if self.maybe(0.6):
            conditions.append(self._held_between())
        types = frozenset({MAIN})
        return Rule(
            code=code,
            kind=RuleKind.FIT,
            grade=Grade.BOLTS_UP,
            direction=self.random.choice((Direction.BOTH_WAYS, Direction.ONE_WAY)),
            state=RuleState.OPEN,
            why="because",
            offered_types=types,
            wanted_types=types,
            conditions=tuple(conditions),
            evidence=(EvidenceLine(Evidence.MEASURED),),
            chains=True,
        )

    def _met_on_either_end(self, alt: int) -> list[Condition]:
        """Alternatives, some of which look at the part and others at the target, or at both."""
        found = []
        for end in (End.PART, End.TARGET, *self.random.sample(tuple(End), self.random.randint(0, 1))):
            if end is End.BETWEEN:
                found.append(replace(self._held_between(), alt=alt))
                continue
            name = self.random.choice(self._listed())
            found.append(Condition(end, name, Op.ANY_OF, (self.random.choice(VALUES[name]),), alt=alt))
        return found

    def _held_between(self) -> Condition:
        """What must be the same on part and target, or another; now and then a bound, which makes no link."""
        op = self.random.choices((Op.SAME, Op.DIFFERS, Op.AT_LEAST), (6, 3, 1))[0]
        return Condition(End.BETWEEN, "teeth" if op is Op.AT_LEAST else self.random.choice(self._listed()), op)

    def _listed(self) -> list[str]:
        """Facts that have a closed list of values."""
        return [name for name in self.named if name in VALUES and name not in NUMBERS] or ["drive"]
