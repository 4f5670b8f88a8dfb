"""Where rules can speak: a part and a vehicle of which none of their conditions is surely not so.

A condition on something nobody wrote down may hold, so it does not keep a rule from speaking. The models of the
`Knowledge` given here stand under their plain keys, as conditions compare them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, product

from app.fit.cases import scope_of
from app.fit.conditions import Pair, Truth, check
from app.fit.firing import is_number
from app.fit.knowledge import Knowledge
from app.fit.known import Identity, Known, ModelInfo, Subject
from app.fit.links.link import models_named
from app.fit.rules import Condition, Direction, End, Op, Rule, RuleKind
from app.fit.terms import Side
from app.fit.values import number, plain
from app.fit.worlds import NO_SUCH, Scope, World, worlds

TURNED = {End.PART: End.TARGET, End.TARGET: End.PART, End.BETWEEN: End.BETWEEN}
COUNTED = ("pieces", "year")
"""What is known without a doubt wherever it is known."""
MOST_MODELS, MOST_WORLDS, ALL_WORLDS = 24, 64, 512
"""How many models of an end, and worlds of a model, are looked at before the search is given up."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """A rule in one direction of travel; models None: it names none.

    `conditions` are those that say whether it speaks at all: the numbers of a rule of numbers are none of them.
    """

    rule: Rule
    back: bool
    conditions: tuple[Condition, ...]
    offered: frozenset[str]
    wanted: frozenset[str]
    part_models: frozenset[str] | None
    target_models: frozenset[str] | None

    def at(self, end: End) -> tuple[Condition, ...]:
        """What is asked of one end alone; for BETWEEN what takes both to judge, alternatives of either end among it."""
        return tuple(each for each in self.conditions if self._judged_at(each) is end)

    def _judged_at(self, condition: Condition) -> End:
        if not condition.alt:
            return condition.end
        ends = {each.end for each in self.conditions if each.alt == condition.alt}
        return condition.end if len(ends) == 1 else End.BETWEEN


def spoken(rule: Rule, back: bool = False) -> Spoken:
    """A rule as it is written, or turned round."""
    by_numbers = rule.kind is RuleKind.NUMBERS
    conditions = tuple(each for each in rule.conditions if not (by_numbers and is_number(each)))
    part, target = models_named(conditions, End.PART), models_named(conditions, End.TARGET)
    forth = Spoken(rule, False, conditions, rule.offered_types, rule.wanted_types or rule.offered_types, part, target)
    return turned(forth) if back else forth


def turned(one: Spoken) -> Spoken:
    """The same rule spoken of the other way round."""
    conditions = tuple(map(_at_other_end, one.conditions))
    return Spoken(one.rule, not one.back, conditions, one.wanted, one.offered, one.target_models, one.part_models)


def _at_other_end(each: Condition) -> Condition:
    if each.end is End.BETWEEN or each.fact == "pieces":
        return each
    return Condition(TURNED[each.end], each.fact, each.op, each.values, each.other_fact, each.allowed, each.alt)


def ways(rule: Rule) -> tuple[Spoken, ...]:
    """Every direction in which a rule speaks; turned only where that says something else."""
    forth = spoken(rule)
    if rule.direction is not Direction.BOTH_WAYS:
        return (forth,)
    back = turned(forth)
    ends_alike = (forth.offered, forth.part_models) == (forth.wanted, forth.target_models)
    alike = ends_alike and set(back.conditions) == set(forth.conditions)
    return (forth,) if alike else (forth, back)


def names_models(condition: Condition) -> bool:
    """True for a condition that lists the models of an end and nothing else."""
    return condition.fact == "model" and condition.op is Op.ANY_OF and not condition.alt


def apart(one: Sequence[Condition], other: Sequence[Condition]) -> bool:
    """True when two sets of conditions surely cannot hold at once, by their own words alone."""
    by_place: dict[tuple[End, str, str], list[Condition]] = {}
    for each in one:
        if not each.alt:
            by_place.setdefault((each.end, each.fact, each.other_fact), []).append(each)
    return any(
        _exclude(first, each)
        for each in other
        if not each.alt
        for first in by_place.get((each.end, each.fact, each.other_fact), ())
    )


def _exclude(one: Condition, other: Condition) -> bool:
    ops = {one.op, other.op}
    if ops == {Op.SAME, Op.DIFFERS}:
        return True
    if ops == {Op.FRESH}:
        return (one.values == ("no",)) is not (other.values == ("no",))
    if ops == {Op.ANY_OF}:
        return not _meanings(one) & _meanings(other)
    if ops == {Op.ANY_OF, Op.NONE_OF}:
        listed, barred = (one, other) if one.op is Op.ANY_OF else (other, one)
        return set(map(plain, listed.values)) <= set(map(plain, barred.values))
    if Op.ANY_OF in ops and one.fact in COUNTED:
        return _none_reaches(*((one, other) if one.op is Op.ANY_OF else (other, one)))
    low, high = (one, other) if one.op in (Op.FROM, Op.AT_LEAST) else (other, one)
    if (low.op, high.op) == (Op.FROM, Op.BEFORE):
        return bool(low.values and high.values) and low.values[0] >= high.values[0]
    if (low.op, high.op) == (Op.AT_LEAST, Op.AT_MOST) and low.values and high.values:
        least, most = number(low.values[0]), number(high.values[0])
        return least is not None and most is not None and least > most
    return False


def _none_reaches(listed: Condition, bound: Condition) -> bool:
    """True when none of so many pieces, or years, is within the bound."""
    limit = number(bound.values[0]) if bound.values and bound.op in (Op.AT_LEAST, Op.AT_MOST) else None
    counts = [number(value) for value in listed.values]
    if limit is None or not counts:
        return False
    least = bound.op is Op.AT_LEAST
    return all(count is not None and (count < limit if least else count > limit) for count in counts)


def _meanings(condition: Condition) -> set[object]:
    """Values for comparing: figures by their number, words as they are."""
    found = ((number(value), plain(value)) for value in condition.values)
    return {figure if figure is not None else word for figure, word in found}


@dataclass(frozen=True, slots=True)
class Meeting:
    """A part and a vehicle, each one way they can be, on which the rules at hand can speak."""

    pair: Pair
    part_model: ModelInfo | None
    target_model: ModelInfo | None
    looked_at: frozenset[str]

    @property
    def words(self) -> str:
        """The two as they would be said: "off a Longwagon light (hub plug square) on a Longwagon heavy"."""
        ours = _vehicle_words(self.part_model, self.pair.part, self.looked_at, self.pair.part_subject.side)
        theirs = _vehicle_words(self.target_model, self.pair.target, self.looked_at, self.pair.target_subject.side)
        return f"a part off {ours}, on {theirs}"


def _vehicle_words(model: ModelInfo | None, world: World, looked_at: frozenset[str], side: Side) -> str:
    said = [f"{name} {known.value}" for name, known in sorted(world.items()) if _told(name, known, looked_at)]
    said += [str(side)] if side else []
    name = f"{model.words} ({model.key})" if model else "any vehicle"
    return ", ".join((name, *said))


def _told(name: str, known: Known, looked_at: frozenset[str]) -> bool:
    return name in looked_at and name not in ("model", "family", "make") and known.value not in ("", NO_SUCH, "?")


def meetings(asked: Sequence[Spoken], know: Knowledge, beside: Sequence[Spoken] = ()) -> Iterator[Meeting]:
    """Every part and vehicle, as far as the search goes, on which all of the rules can speak at once.

    Told apart by all that they and the rules `beside` them look at.
    """
    # Beside other rules every world counts, so that none in which they are silent is overlooked.
    most = ALL_WORLDS if beside else MOST_WORLDS
    sight = _sight(asked, know, beside=beside, most_worlds=most)
    between = [(each.rule, each.at(End.BETWEEN)) for each in asked]
    for side in sight.sides():
        targets = _Again(sight.end(End.TARGET, side[1]))
        for ours, one in sight.end(End.PART, side[0]):
            for theirs, other in targets:
                pair = Pair(one[0], other[0], one[1], other[1], know.moves, know.today)
                if sight.in_reach(ours, theirs) and all(_may_hold(rule, each, pair) for rule, each in between):
                    yield Meeting(pair, ours, theirs, sight.looked_at)


def vehicles(one: Spoken, end: End, know: Knowledge) -> Iterator[ModelInfo]:
    """The models of the yard that can be one end of a rule, each as often as it has ways to be."""
    sight = _sight((one,), know, most=len(know.models))
    for side in dict.fromkeys(pair[0] for pair in sight.sides()):
        yield from (model for model, _ in sight.end(end, side) if model is not None)


def seen_whole(one: Spoken, know: Knowledge) -> bool:
    """True when a search for a rule's meetings looks at all its models."""
    return all(
        len(know.models if named is None else named) <= MOST_MODELS for named in (one.part_models, one.target_models)
    )


Found = tuple[ModelInfo | None, tuple[World, Subject]]


class _Again:
    """What a search finds, to be gone through again and again; looked for no further than it is asked."""

    def __init__(self, found: Iterator[Found]) -> None:
        self._left = found
        self._kept: list[Found] = []

    def __iter__(self) -> Iterator[Found]:
        yield from self._kept
        for each in self._left:
            self._kept.append(each)
            yield each


@dataclass(frozen=True, slots=True)
class _Sight:
    """Rules that are to speak at once, with all that they and those beside them look at.

    `scope` are the facts, months and plants that tell worlds apart, `looked_at` every fact that a condition names.
    """

    asked: tuple[Spoken, ...]
    know: Knowledge
    scope: Scope
    looked_at: frozenset[str]
    most: int
    most_worlds: int

    def sides(self) -> tuple[tuple[Side, Side], ...]:
        """The sides the two can have; without any where no rule looks at one."""
        if "side" not in self.looked_at:
            return ((Side.NONE, Side.NONE),)
        hands = (Side.LH, Side.RH)
        return ((Side.NONE, Side.NONE), *product(hands, hands))

    def end(self, end: End, side: Side) -> Iterator[Found]:
        """The vehicles of one end on which none of the conditions there is surely not so."""
        asked = self.asked_of(end)
        part_type = self.part_type()
        for model in self.models(end):
            for year in self.years(model):
                subject = Subject(Identity(model, year), side=side, part_type=part_type)
                for world in islice(worlds(subject, self.scope, self.know.facts), self.most_worlds):
                    alone = Pair(world, world, subject, subject, self.know.moves, self.know.today)
                    if all(_may_hold(rule, each, alone) for rule, each in asked):
                        yield model, (world, subject)

    def asked_of(self, end: End) -> list[tuple[Rule, list[Condition]]]:
        """What each rule asks of an end besides the models it names: no others are looked at."""
        return [(each.rule, [asked for asked in each.at(end) if not names_models(asked)]) for each in self.asked]

    def models(self, end: End) -> list[ModelInfo]:
        """The models that every rule's end allows, at most so many."""
        named = [each.part_models if end is End.PART else each.target_models for each in self.asked]
        lists = [each for each in named if each is not None]
        if not lists:
            return list(islice(self.know.models.values(), self.most))
        common = frozenset.intersection(*lists)
        known = self.know.models
        return [known[key] for key in islice((key for key in sorted(common) if key in known), self.most)]

    def years(self, model: ModelInfo) -> Sequence[int | None]:
        """Every year of a model where a rule looks at the year, else the whole run at once."""
        return range(model.year_from, model.year_to + 1) if "year" in self.looked_at else (None,)

    def part_type(self) -> str:
        """A part type all the rules speak of; a condition on it is judged by that."""
        return min(frozenset.intersection(*(each.offered for each in self.asked)), default="")

    def in_reach(self, ours: ModelInfo | None, theirs: ModelInfo | None) -> bool:
        """A rule that names no model speaks inside one family, unless it is law or only numbers between the two."""
        kin = ours is None or theirs is None or ours.family == theirs.family
        return kin or all(map(_roams, self.asked))


def _sight(
    asked: Iterable[Spoken],
    know: Knowledge,
    beside: Iterable[Spoken] = (),
    most: int = MOST_MODELS,
    most_worlds: int = MOST_WORLDS,
) -> _Sight:
    rules = tuple(asked)
    every = (*rules, *beside)
    named = (name for one in every for each in one.conditions for name in (each.fact, each.other_fact))
    scope = scope_of([each.rule for each in every], know)
    return _Sight(rules, know, scope, frozenset(filter(None, named)), most, most_worlds)


def _roams(one: Spoken) -> bool:
    every = one.rule.conditions
    by_numbers = one.rule.kind is RuleKind.NUMBERS and all(each.end is End.BETWEEN for each in every)
    return one.rule.kind is RuleKind.LAW or by_numbers or any(each.fact == "model" for each in every)


def _may_hold(rule: Rule, conditions: Sequence[Condition], pair: Pair) -> bool:
    """True unless a condition is surely not so; of alternatives one that may be so is enough."""
    judged = [(each.alt, _of_the_piece(each) or check(rule, each, pair).truth is not Truth.NO) for each in conditions]
    met = {alt for alt, holds in judged if holds}
    return all(holds or (alt > 0 and alt in met) for alt, holds in judged)


def may_speak(one: Spoken, pair: Pair) -> bool:
    """True unless a condition of the rule is surely not so of a part and a vehicle as they are here."""
    return _may_hold(one.rule, one.conditions, pair)


def _of_the_piece(condition: Condition) -> bool:
    """A condition on the piece in hand, which any vehicle may have given: its tests, how many it is, its kind."""
    return condition.op in (Op.FRESH, Op.KNOWN) or condition.fact in ("pieces", "part type")


def surely(one: Spoken, pair: Pair) -> bool:
    """True when a rule surely speaks of a part and a vehicle as they are here."""
    # Conditions are judged as they stand, so a turned rule is asked by its turned conditions.
    judged = [
        (each.alt, not _of_the_piece(each) and check(one.rule, each, pair).truth is Truth.YES)
        for each in one.conditions
    ]
    met = {alt for alt, holds in judged if holds}
    return all(holds or (alt > 0 and alt in met) for alt, holds in judged)
