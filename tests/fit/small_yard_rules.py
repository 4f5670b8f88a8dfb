"""The models and rules of small random yards; what the rules of the game leave open is not drawn."""

from __future__ import annotations

from datetime import date
from random import Random

from app.fit.known import DateMove, FactInfo, ModelInfo, Possible, UseInfo
from app.fit.rules import (
    Companion,
    Condition,
    Direction,
    End,
    Evidence,
    EvidenceLine,
    Op,
    Rule,
    RuleKind,
    RuleState,
)
from app.fit.terms import FactKind, Grade, Group

TODAY = date(2026, 3, 4)
MONTHS = ("2006-10", "2007-03", "2007-06", "2007-09", "2008-02")
PLANTS = ("K", "M")
FACTS = {
    "plug": FactInfo(
        "plug", FactKind.CHOICE, choices=("square", "oval"), question="Square or oval?", group=Group.FRAME
    ),
    "drive": FactInfo("drive", FactKind.CHOICE, choices=("4x4", "2WD"), question="Which drive?"),
    "heated": FactInfo("heated", FactKind.YES_NO, question="Is it heated?", group=Group.BODY),
    "teeth": FactInfo("teeth", FactKind.COUNT, choices=("48", "55"), question="How many teeth?", group=Group.FRAME),
    "amps": FactInfo("amps", FactKind.NUMBER, "A", question="How many amps?", group=Group.DRIVELINE),
    "amps needed": FactInfo("amps needed", FactKind.NUMBER, "A", question="How many amps does it need?"),
    "length": FactInfo("length", FactKind.LENGTH, "in", question="How long?", group=Group.FRAME),
    "joint": FactInfo("joint", FactKind.LENGTH, "in", ("3.20 in", "3.60 in"), "How far across?", group=Group.FRAME),
    "tested on": FactInfo("tested on", FactKind.DATE, question="When was it tested?"),
    "rotor thickness": FactInfo("rotor thickness", FactKind.LENGTH, "in", question="How thick?"),
    "least thickness": FactInfo("least thickness", FactKind.LENGTH, "in", question="How thick at least?"),
}
VALUES = {
    "plug": ("square", "oval"),
    "drive": ("4x4", "2WD"),
    "heated": ("yes", "no"),
    "teeth": ("48", "55"),
    "amps": ("100", "120", "140"),
    "amps needed": ("100", "120", "140"),
    "length": ("10.0 in", "10.25 in", "10.5 in"),
    "joint": ("3.20 in", "3.60 in"),
}
NUMBERS = ("amps", "amps needed", "length")
LISTED = ("teeth", "joint")
"""Numbers that have a closed list."""
DOUBTS = (None, None, 1.5875, 3.175, 6.35)
MAIN, OTHER, RING, LOOM = "hub", "hub, early", "spacer ring", "loom"
GRADES = (
    *(Grade.BOLTS_UP,) * 5,
    Grade.MOVE_OVER,
    Grade.BOLTS_IN,
    Grade.NEEDS_WORK,
    Grade.SET,
    Grade.SET,
    *(Grade.WONT_FIT,) * 3,
)
STRONG = (Evidence.MEASURED, Evidence.DONE, Evidence.SOLD_AND_KEPT, Evidence.RETURNED)
WEAK = (Evidence.TOLD, Evidence.GUESS, Evidence.TRADE_PRACTICE)


class RuleMaker:
    """Draws models and rules."""

    def __init__(self, random: Random) -> None:
        self.random = random
        self.named = random.sample(sorted(VALUES), random.randint(3, 5))
        if random.random() < 0.3:
            self.named.append("tested on")
        self.sided = random.random() < 0.4
        self.models = self._models()
        # The law is the part type's, the same for all its parts.
        law = random.choice(("", "", "", "", "", "", "frame", "high voltage", "wear"))
        self.laws = {random.choice((MAIN, MAIN, RING, LOOM)): law}
        self.with_miles = random.choice(((MAIN,), (MAIN,), (MAIN, RING), ()))

    def maybe(self, chance: float) -> bool:
        return self.random.random() < chance

    def _models(self) -> list[ModelInfo]:
        families = ("Tolliver", "Tolliver", "Tolliver", "Harrow")
        return [
            ModelInfo(
                key=key,
                make="Dunmarsh",
                name=key,
                variant="",
                weight_class=self.random.choice(("light", "heavy")),
                family=family,
                body_style="",
                frame_design=self.random.choice(("boxed", "channel")),
                year_from=2007,
                year_to=2008,
                possible=self._possible(),
            )
            for key, family in zip(("T1", "T2", "T3", "H1"), families, strict=True)
        ][: self.random.randint(2, 4)]

    def _possible(self) -> tuple[Possible, ...]:
        rows: list[Possible] = []
        # A `given` looks only at facts that stand before it, so that no fact hangs on itself.
        before: list[str] = []
        for name in self.named:
            if name not in VALUES or self.maybe(0.25):
                continue
            for value in self.random.sample(VALUES[name], self.random.randint(1, 2)):
                rows.append(self._row(name, value, before))
            before.append(name)
        return tuple(rows)

    def _row(self, name: str, value: str, before: list[str]) -> Possible:
        plain = [each for each in before if each not in NUMBERS]
        given: tuple[tuple[str, str], ...] = ()
        if plain and self.maybe(0.25):
            other = self.random.choice(plain)
            given = ((other, self.random.choice(VALUES[other])),)
        split = self.random.choice(MONTHS) if self.maybe(0.3) else ""
        early = self.maybe(0.5)
        return Possible(
            fact=name,
            value=value,
            u_mm=self.random.choice(DOUBTS) if name == "length" else None,
            built_from=split if split and not early else "",
            built_to=split if split and early else "",
            plants=frozenset({self.random.choice(PLANTS)}) if self.maybe(0.15) else frozenset(),
            given=given,
        )

    def _rule(self, code: str, counted: bool) -> Rule:
        if counted:
            return self._counted_rule(code)
        kind = self.random.choices((RuleKind.FIT, RuleKind.NUMBERS, RuleKind.LAW), (8, 2, 1))[0]
        grade = Grade.WONT_FIT if kind is RuleKind.LAW else self.random.choice(GRADES)
        if kind is RuleKind.NUMBERS and grade in (Grade.WONT_FIT, Grade.SET):
            grade = Grade.BOLTS_UP
        companions = self._companions() if grade is Grade.SET or self.maybe(0.05) else ()
        conditions = self._conditions(kind)
        types = frozenset({MAIN, RING} if kind is RuleKind.LAW and self.maybe(0.5) else {MAIN})
        both = kind is not RuleKind.LAW and self.maybe(0.35) and _turns(kind, conditions)
        return Rule(
            code=code,
            kind=kind,
            grade=grade,
            direction=Direction.BOTH_WAYS if both else Direction.ONE_WAY,
            state=self._state(kind),
            why="because",
            offered_types=types,
            wanted_types=types,
            conditions=conditions,
            companions=companions if kind is not RuleKind.LAW else (),
            evidence=self._evidence(kind),
            chains=grade is Grade.BOLTS_UP and self.maybe(0.8) and _links(conditions),
        )

    def _counted_rule(self, code: str) -> Rule:
        """Plain words on models: lots that are sets besides, or only to be measured, are not spoken of."""
        first = code == "R01"
        keys = [model.key for model in self.models]
        picked = keys if first else self.random.sample(keys, self.random.randint(1, len(keys)))
        quoted = (Grade.BOLTS_UP, Grade.MOVE_OVER, Grade.BOLTS_IN, Grade.NEEDS_WORK)
        return Rule(
            code=code,
            kind=RuleKind.FIT,
            grade=self.random.choice(quoted if first else (*quoted, Grade.WONT_FIT)),
            direction=Direction.ONE_WAY,
            state=RuleState.OPEN,
            why="because",
            offered_types=frozenset({MAIN}),
            wanted_types=frozenset({MAIN}),
            conditions=(Condition(End.PART, "model", Op.ANY_OF, tuple(sorted(picked))),),
            evidence=(EvidenceLine(self.random.choice(STRONG)),),
            chains=False,
        )

    def _state(self, kind: RuleKind) -> RuleState:
        # A law in dispute is not spoken of.
        chances = (17, 0 if kind is RuleKind.LAW else 1, 1)
        return self.random.choices((RuleState.OPEN, RuleState.DISPUTED, RuleState.CLOSED), chances)[0]

    def _evidence(self, kind: RuleKind) -> tuple[EvidenceLine, ...]:
        # A rule without a word of evidence is not spoken of, nor a rule of fit that stands on yard law.
        if kind is RuleKind.LAW:
            return (EvidenceLine(Evidence.YARD_LAW),)
        return (EvidenceLine(self.random.choice(STRONG if self.maybe(0.65) else WEAK)),)

    def _conditions(self, kind: RuleKind) -> tuple[Condition, ...]:
        found: list[Condition] = []
        keys = [model.key for model in self.models]
        if kind is not RuleKind.LAW:
            for end in (End.PART, End.TARGET):
                if self.maybe(0.6):
                    picked = self.random.sample(keys, self.random.randint(1, len(keys)))
                    found.append(Condition(end, "model", Op.ANY_OF, tuple(sorted(picked))))
        if self.sided and kind is not RuleKind.LAW:
            found.append(Condition(End.BETWEEN, "side", Op.DIFFERS if self.maybe(0.12) else Op.SAME))
        if kind is RuleKind.NUMBERS:
            found += [self._number() for _ in range(self.random.randint(1, 2))]
        wanted = self.random.choice((0, 0, 1, 1, 2))
        if kind is RuleKind.LAW:
            wanted = self.random.randint(1, 2)
        plain = [self._condition(kind) for _ in range(wanted)]
        if kind is RuleKind.FIT and self.maybe(0.15):
            found.append(Condition(End.PART, "pieces", Op.AT_LEAST, ("2",)))
        # Alternatives among the numbers of a rule of numbers are not spoken of.
        if len(plain) == 2 and kind is not RuleKind.NUMBERS and self.maybe(0.3):
            plain = [_alternative(each) for each in plain]
        return (*found, *plain)

    def _number(self) -> Condition:
        listed = [name for name in self.named if name in LISTED]
        if listed and self.maybe(0.4):
            return self._listed_number(self.random.choice(listed))
        names = [name for name in self.named if name in NUMBERS] or ["amps"]
        name = self.random.choice(names)
        pick = self.random.random()
        if pick < 0.25:
            return Condition(End.PART, name, self._bound(), (self.random.choice(VALUES[name]),))
        if pick < 0.5 and name == "amps":
            return Condition(End.BETWEEN, "amps", Op.AT_LEAST, (), "amps needed")
        if pick < 0.75:
            return Condition(End.BETWEEN, name, Op.WITHIN, allowed="0.25 in" if name == "length" else "20")
        return Condition(End.BETWEEN, name, Op.SAME)

    def _listed_number(self, name: str) -> Condition:
        """A number that has a closed list: a bound that some of it meet, or all, or none; or the same on both."""
        low, high = VALUES[name]
        if self.maybe(0.4):
            return Condition(End.BETWEEN, name, Op.SAME)
        bound = self.random.choice(("1 in", low, high, "9 in") if name == "joint" else ("1", low, high, "90"))
        return Condition(self.random.choice((End.PART, End.TARGET)), name, self._bound(), (bound,))

    def _bound(self) -> Op:
        return self.random.choice((Op.AT_LEAST, Op.AT_MOST))

    def _condition(self, kind: RuleKind) -> Condition:
        end = End.PART if kind is RuleKind.LAW else self.random.choice((End.PART, End.TARGET))
        pick = self.random.random()
        if pick < 0.1 and "tested on" in self.named:
            value = ("no",) if kind is RuleKind.LAW or self.maybe(0.3) else ()
            return Condition(End.PART, "tested on", Op.FRESH, value, allowed="30 d")
        if pick < 0.2:
            return Condition(end, "built", self.random.choice((Op.BEFORE, Op.FROM)), (self.random.choice(MONTHS),))
        if pick < 0.25:
            return Condition(end, "plant", self.random.choice((Op.ANY_OF, Op.NONE_OF)), (self.random.choice(PLANTS),))
        if pick < 0.3:
            return Condition(end, "year", self._bound(), (self.random.choice(("2007", "2008")),))
        # 1.3 speaks of what a number comes to, not of whether a rule speaks: no plain condition on a tape's reading.
        name = self.random.choice([each for each in self.named if each in VALUES and each != "length"] or ["drive"])
        if name in NUMBERS and kind is RuleKind.NUMBERS:
            return Condition(end, "drive", Op.ANY_OF, ("4x4",))
        if name in NUMBERS:
            return Condition(end, name, self._bound(), (self.random.choice(VALUES[name]),))
        if pick < 0.55 and kind is RuleKind.FIT:
            return Condition(End.BETWEEN, name, self.random.choice((Op.SAME, Op.DIFFERS)))
        op = Op.NONE_OF if self.maybe(0.15) else Op.ANY_OF
        return Condition(end, name, op, (self.random.choice(VALUES[name]),))

    def _companions(self) -> tuple[Companion, ...]:
        rows: list[Companion] = []
        kinds = self.random.sample((RING, LOOM), self.random.randint(1, 2))
        # Now and then two pieces of a kind that differ in what is asked of them.
        for kind in (*kinds, *kinds[:1]) if self.maybe(0.15) else kinds:
            name = self.random.choice([each for each in self.named if each in ("plug", "drive", "teeth")] or ["plug"])
            given: tuple[str, ...] = ()
            if self.maybe(0.25):
                given = (f"{name}={self.random.choice((*VALUES[name], 'same'))}",)
            rows.append(
                Companion(
                    part_type=kind,
                    count=self.random.choice((1, 1, 1, 2)),
                    same_donor=self.maybe(0.15),
                    given=given,
                    already_there=f"{name}={VALUES[name][0]}" if self.maybe(0.1) else "",
                )
            )
        if self.maybe(0.1):
            rows.append(Companion("gasket", same_donor=True, given=("inside the lump=yes",)))
        return tuple(rows)

    def _moves(self, rules: tuple[Rule, ...]) -> tuple[DateMove, ...]:
        """A moving rule says the same of either end: what it moves for one end alone is not spoken of."""
        splits = [
            (rule, each.values[0])
            for rule in rules
            for each in rule.conditions
            if each.op in (Op.BEFORE, Op.FROM) and rule.kind is not RuleKind.LAW
        ]
        if not splits or self.maybe(0.5):
            return ()
        moved, month = self.random.choice(splits)
        told = [("plant", self.random.choice(PLANTS)), ("drive", "4x4")]
        # One of two things may be enough.
        asked = told if self.maybe(0.3) else [self.random.choice(told)]
        both = (End.PART, End.TARGET)
        ends = tuple(Condition(end, fact, Op.ANY_OF, (value,), alt=1) for fact, value in asked for end in both)
        moving = Rule(
            code="R90",
            kind=RuleKind.MOVES_DATE,
            grade=Grade.MEASURE,
            direction=Direction.BOTH_WAYS,
            state=RuleState.OPEN,
            why="old stock used up first",
            offered_types=frozenset({MAIN}),
            wanted_types=frozenset({MAIN}),
            conditions=ends,
            evidence=(EvidenceLine(Evidence.SEEN),),
        )
        return (DateMove(moving, moved.code, month, self.random.choice([each for each in MONTHS if each != month])),)

    def _uses(self) -> tuple[UseInfo, ...]:
        if self.maybe(0.6):
            return ()
        # Whether a look that matters to a design alone narrows the month and plant of other parts is not said.
        given = (("drive", "4x4"),) if "drive" not in self.named else ()
        return tuple(
            UseInfo(
                design=self.random.choice(("HUB-A", "HUB-B")),
                model=self.random.choice(self.models).key,
                year_from=self.random.choice((None, None, None, 2008)),
                built_from=self.random.choice(("", "", "2007-06")),
                built_to=self.random.choice(("", "", "", "2007-08")),
                plants=frozenset({"K"}) if self.maybe(0.15) else frozenset(),
                given=given if self.maybe(0.3) else (),
                known_by=self.random.choice(("measured", "seen", "from rule", "guess")),
            )
            for _ in range(self.random.randint(1, 3))
        )


def _links(conditions: tuple[Condition, ...]) -> bool:
    """Links the engine can judge whole: it takes no figure for an imagined vehicle that its model does not list."""
    return not any(each.fact in NUMBERS for each in conditions)


def _turns(kind: RuleKind, conditions: tuple[Condition, ...]) -> bool:
    """What a rule of numbers says turned round is told only where its numbers are the same both ways."""
    if kind is not RuleKind.NUMBERS:
        return True
    even = (Op.SAME, Op.WITHIN, Op.DIFFERS)
    numbers = [each for each in conditions if each.op in (Op.SAME, Op.WITHIN, Op.AT_LEAST, Op.AT_MOST)]
    return all(each.end is End.BETWEEN and each.op in even for each in numbers)


def _alternative(condition: Condition) -> Condition:
    return Condition(
        condition.end,
        condition.fact,
        condition.op,
        condition.values,
        condition.other_fact,
        condition.allowed,
        1,
    )
