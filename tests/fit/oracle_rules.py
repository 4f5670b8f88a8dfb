"""Whether a rule speaks of a part and a vehicle in one world, and which rule is more specific (1.3, 1.5, 1.7)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo
from app.fit.rules import Condition, Direction, End, Evidence, Op, Rule, RuleKind, RuleState, Way
from app.fit.terms import FactKind, Grade
from tests.fit.oracle_values import GONE, NEAR, NUMERIC, Value, days_old, equal, figure, number_of
from tests.fit.oracle_worlds import Vehicle

NUMBER_OPS = (Op.AT_LEAST, Op.AT_MOST, Op.WITHIN, Op.SAME)
STRONG = {
    Evidence.MEASURED,
    Evidence.SEEN,
    Evidence.TRIED,
    Evidence.DONE,
    Evidence.ARITHMETIC,
    Evidence.SOLD_AND_KEPT,
    Evidence.RETURNED,
}
OTHER_END = {End.PART: End.TARGET, End.TARGET: End.PART, End.BETWEEN: End.BETWEEN}


@dataclass(frozen=True)
class Directed:
    """A rule in one direction; `changed` when its ends are changed over."""

    rule: Rule
    way: Way

    @property
    def changed(self) -> bool:
        return self.way is Way.BACK

    @cached_property
    def conditions(self) -> tuple[Condition, ...]:
        """The conditions as they stand for this direction; what lies between is read by `Pair`."""
        if not self.changed:
            return self.rule.conditions
        return tuple(
            # The lot in hand is counted, whichever end it stands on.
            each if each.fact == "pieces" else replace(each, end=OTHER_END[each.end])
            for each in self.rule.conditions
        )

    @cached_property
    def strong(self) -> bool:
        return any(line.kind in STRONG for line in self.rule.evidence)

    @property
    def numeric(self) -> bool:
        return self.rule.kind is RuleKind.NUMBERS

    @property
    def disputed(self) -> bool:
        return self.rule.state is RuleState.DISPUTED

    def serves(self, part_type: str, wanted: frozenset[str]) -> bool:
        offered, asked = self.rule.offered_types, self.rule.wanted_types
        if self.changed:
            offered, asked = asked, offered
        return part_type in offered and bool(asked & wanted)

    def is_number(self, each: Condition) -> bool:
        return self.numeric and each.op in NUMBER_OPS and each.fact != "side"

    def needs_pieces(self, each: Condition) -> bool:
        counted = each.fact == "pieces" and each.op is Op.AT_LEAST and each.end is End.PART
        good = self.rule.kind is RuleKind.FIT and self.rule.grade not in (Grade.WONT_FIT, Grade.NOT_COMPARED)
        return counted and good and not each.alt

    @property
    def about_sides(self) -> bool:
        """It can only hold between a part of one side and a place of the other."""
        if any(each.fact == "side" and each.end is End.BETWEEN and each.op is Op.DIFFERS for each in self.conditions):
            return True
        named = {
            end: {value for each in self.conditions if each.fact == "side" and each.end is end for value in each.values}
            for end in (End.PART, End.TARGET)
        }
        return bool(named[End.PART] and named[End.TARGET] and not named[End.PART] & named[End.TARGET])

    @cached_property
    def universal(self) -> bool:
        """Law, a rule that names a model, or numbers held between the two ends alone: not kept inside a family."""
        if self.rule.kind is RuleKind.LAW or any(each.fact == "model" for each in self.conditions):
            return True
        return self.numeric and all(each.end is End.BETWEEN for each in self.conditions)


def directions(rules: Sequence[Rule]) -> list[Directed]:
    """Every direction of every rule that is not closed; a rule that moves a date says nothing itself."""
    found: list[Directed] = []
    for rule in rules:
        if rule.state is RuleState.CLOSED or rule.kind is RuleKind.MOVES_DATE:
            continue
        found.append(Directed(rule, Way.FORTH))
        if rule.direction is Direction.BOTH_WAYS:
            found.append(Directed(rule, Way.BACK))
    return found


@dataclass(frozen=True)
class Pair:
    """A part off one vehicle for another, both in one world."""

    know: Knowledge
    part: Vehicle
    target: Vehicle

    def says(self, directed: Directed) -> Grade | None:
        """What the rule says of this pair; None where it is silent."""
        if not directed.universal and self.part.family != self.target.family:
            return None
        gates = [each for each in directed.conditions if not directed.is_number(each)]
        # A rule that needs so many pieces (a pair) speaks of fewer as of a set that is short of the rest.
        pieces = [each for each in gates if directed.needs_pieces(each)]
        if not self._all_hold(directed, [each for each in gates if each not in pieces]):
            return None
        if not self._all_hold(directed, pieces):
            return Grade.SET_SHORT
        if not directed.numeric:
            return Grade.MEASURE if directed.disputed else directed.rule.grade
        grade = self._by_numbers(directed)
        return Grade.MEASURE if directed.disputed else grade

    def _all_hold(self, directed: Directed, gates: Sequence[Condition]) -> bool:
        if not all(self.holds(directed, each) for each in gates if not each.alt):
            return False
        groups = {each.alt for each in gates if each.alt}
        return all(any(self.holds(directed, each) for each in gates if each.alt == alt) for alt in groups)

    def _by_numbers(self, directed: Directed) -> Grade:
        """Unmet says no; unrecorded or inside the tape's doubt says measure (1.3, 1.7.5)."""
        met = [self._met(directed, each) for each in directed.conditions if directed.is_number(each)]
        if any(one is False for one in met):
            return Grade.WONT_FIT
        return Grade.MEASURE if any(one is None for one in met) else directed.rule.grade

    def _met(self, directed: Directed, each: Condition) -> bool | None:
        """One number of a rule of numbers: met, not met, or None for not recorded or in doubt."""
        first, second = self._two(directed, each)
        info = self._info(each.fact)
        if not first.there or (second is not None and not second.there):
            return False
        if not first.recorded or (second is not None and not second.recorded):
            return None
        if first.exact is None:
            return second is not None and first.text == second.text
        if second is None:
            bound = number_of(info, each.values[0]) if info else figure(each.values[0])
            second = Value("", bound, bound, 0.0)
        distance, doubt = first.m - second.m, first.u + second.u
        if each.op is Op.AT_LEAST:
            return _tape(-distance, doubt, 0.0)
        if each.op is Op.AT_MOST:
            return _tape(distance, doubt, 0.0)
        return _tape(abs(distance), doubt, self._allowed(each))

    def holds(self, directed: Directed, each: Condition) -> bool:
        """A plain condition, with the true values of this world."""
        if each.op is Op.FRESH:
            return self._fresh(each)
        if each.op in (Op.BEFORE, Op.FROM):
            vehicle = self._end(each.end)
            month = self._month(directed, each, vehicle)
            return (vehicle.built < month) == (each.op is Op.BEFORE)
        first, second = self._two(directed, each)
        if not first.there or (second is not None and not second.there):
            return False
        return self._compares(each, first, second)

    def _compares(self, each: Condition, first: Value, second: Value | None) -> bool:
        info = self._info(each.fact)
        if each.op in (Op.ANY_OF, Op.NONE_OF):
            return any(equal(info, first, text) for text in each.values) == (each.op is Op.ANY_OF)
        if each.op in (Op.SAME, Op.DIFFERS):
            assert second is not None
            return _same(first, second) == (each.op is Op.SAME)
        assert first.exact is not None
        if second is None:
            bound = number_of(info, each.values[0]) if info else figure(each.values[0])
        else:
            assert second.exact is not None
            bound = second.exact
        if each.op is Op.AT_LEAST:
            return first.exact >= bound - NEAR
        if each.op is Op.AT_MOST:
            return first.exact <= bound + NEAR
        return abs(first.exact - bound) <= self._allowed(each) + NEAR

    def _fresh(self, each: Condition) -> bool:
        """Known and no older than allowed; with the value `no` the other way about. No date is no test."""
        value = self._fact(self._end(each.end), each.fact)
        age = days_old(self.know.today, value.text) if value.there and value.recorded else None
        fresh = age is not None and age <= int(figure(each.allowed.split()[0]))
        return fresh != (each.values == ("no",))

    def _two(self, directed: Directed, each: Condition) -> tuple[Value, Value | None]:
        """What is looked at and what it is held against; None for the values of the condition."""
        if each.end is not End.BETWEEN:
            vehicle = self._end(each.end)
            return self._fact(vehicle, each.fact), self._fact(vehicle, each.other_fact) if each.other_fact else None
        # With the ends changed over, the rule's part stands on the target and its target is what we hold.
        part, target = (self.target, self.part) if directed.changed else (self.part, self.target)
        return self._fact(part, each.fact), self._fact(target, each.other_fact or each.fact)

    def _end(self, end: End) -> Vehicle:
        return self.part if end is End.PART else self.target

    def _fact(self, vehicle: Vehicle, name: str) -> Value:
        model = vehicle.identity.model
        words = {
            "model": model.key,
            "plant": vehicle.plant,
            "side": str(vehicle.side),
            "part type": vehicle.part_type,
            "weight class": model.weight_class,
            "frame design": model.frame_design,
        }
        if name in words:
            return Value(words[name])
        if name in ("year", "pieces"):
            number = float((vehicle.year if name == "year" else vehicle.pieces) or 0)
            return Value(str(int(number)), number, number)
        return vehicle.facts.get(name, GONE)

    def _month(self, directed: Directed, each: Condition, vehicle: Vehicle) -> str:
        """The split month; another one where a rule that moves it holds for this vehicle."""
        month = each.values[0]
        for move in self.know.moves:
            if move.rule.state is RuleState.CLOSED or move.moves != directed.rule.code or move.from_month != month:
                continue
            if self._speaks_of(move.rule, vehicle):
                return move.to_month
        return month

    def _speaks_of(self, rule: Rule, vehicle: Vehicle) -> bool:
        """Whether the conditions of a moving rule hold for one vehicle, whichever end it stands on."""
        alone = Pair(self.know, vehicle, vehicle)
        return alone._all_hold(Directed(rule, Way.FORTH), rule.conditions)

    def _allowed(self, each: Condition) -> float:
        if not each.allowed:
            return 0.0
        info = self._info(each.fact)
        return figure(each.allowed, info.unit) if info and info.kind is FactKind.LENGTH else figure(each.allowed)

    def _info(self, name: str) -> FactInfo | None:
        if name in ("year", "pieces"):
            return FactInfo(name, FactKind.COUNT)
        return self.know.facts.get(name)


def _same(first: Value, second: Value) -> bool:
    if first.exact is not None and second.exact is not None:
        return abs(first.exact - second.exact) <= NEAR
    return first.text == second.text


def _tape(distance: float, doubt: float, allowed: float) -> bool | None:
    """1.3: fits, does not, or measure again (None)."""
    if distance + doubt <= allowed + NEAR:
        return True
    return False if distance - doubt > allowed + NEAR else None


def more_specific(know: Knowledge, one: Directed, other: Directed) -> bool:
    """1.7.2: within the other on both ends, and not the other way about."""
    return _within(know, one, other) and not _within(know, other, one)


def _within(know: Knowledge, one: Directed, other: Directed) -> bool:
    """Every condition of the other follows from a condition of this one, or from what both its ends must be."""
    return all(
        any(_all_follow(know, mine, theirs) for mine in _clauses(one)) or _ends_tell(know, one, theirs)
        for theirs in _clauses(other)
    )


def _ends_tell(know: Knowledge, one: Directed, theirs: tuple[Condition, ...]) -> bool:
    """Whatever value each end has of those listed for it, the two are the same, or never are, as is asked."""
    for each in theirs:
        if each.end is not End.BETWEEN or each.op not in (Op.SAME, Op.DIFFERS) or each.other_fact:
            continue
        listed = [
            [value for mine in one.conditions if _lists(mine, end, each.fact) for value in mine.values]
            for end in (End.PART, End.TARGET)
        ]
        info = know.facts.get(each.fact)
        pairs = [_alike(info, ours, other) for ours in listed[0] for other in listed[1]]
        if pairs and all(alike is (each.op is Op.SAME) for alike in pairs):
            return True
    return False


def _lists(each: Condition, end: End, fact: str) -> bool:
    return each.end is end and each.fact == fact and each.op is Op.ANY_OF and not each.alt


def _clauses(directed: Directed) -> Iterator[tuple[Condition, ...]]:
    """The conditions as a list of alternatives, of each of which one must hold."""
    conditions = [_marked(directed, each) for each in directed.conditions]
    yield from ((each,) for each in conditions if not each.alt)
    for alt in sorted({each.alt for each in conditions if each.alt}):
        yield tuple(each for each in conditions if each.alt == alt)


def _marked(directed: Directed, each: Condition) -> Condition:
    """What lies between says another thing with the ends changed over, unless both ends show the same fact alike."""
    alike = not each.other_fact and each.op in (Op.SAME, Op.DIFFERS, Op.WITHIN)
    if each.end is End.BETWEEN and directed.changed and not alike:
        return replace(each, fact=f"{each.fact}, changed over")
    return each


def _all_follow(know: Knowledge, mine: tuple[Condition, ...], theirs: tuple[Condition, ...]) -> bool:
    return all(any(_implies(know, one, other) for other in theirs) for one in mine)


def _implies(know: Knowledge, one: Condition, other: Condition) -> bool:
    if (one.end, one.fact, one.other_fact) != (other.end, other.fact, other.other_fact):
        return False
    info = FactInfo(one.fact, FactKind.COUNT) if one.fact in ("year", "pieces") else know.facts.get(one.fact)
    if one.op in (Op.SAME, Op.DIFFERS, Op.FRESH) or other.op in (Op.SAME, Op.DIFFERS, Op.FRESH):
        return one.op is other.op and one.values == other.values and _tighter(one, other)
    if one.op is Op.ANY_OF:
        return all(_meets(info, value, other) for value in one.values) and not other.other_fact
    if one.op is not other.op:
        return False
    if one.op is Op.NONE_OF:
        return set(other.values) <= set(one.values)
    if one.op is Op.WITHIN:
        return _tighter(one, other)
    if one.other_fact or one.end is End.BETWEEN:
        return True
    return _bound(info, one, other)


def _tighter(one: Condition, other: Condition) -> bool:
    if one.allowed == other.allowed:
        return True
    return bool(one.allowed) and bool(other.allowed) and figure(one.allowed) <= figure(other.allowed)


def _bound(info: FactInfo | None, one: Condition, other: Condition) -> bool:
    mine, theirs = one.values[0], other.values[0]
    if one.op is Op.BEFORE:
        return mine <= theirs
    if one.op is Op.FROM:
        return mine >= theirs
    assert info is not None
    low, high = number_of(info, mine), number_of(info, theirs)
    return low >= high if one.op is Op.AT_LEAST else low <= high


def _meets(info: FactInfo | None, value: str, other: Condition) -> bool:
    if other.op is Op.ANY_OF:
        return any(_alike(info, value, each) for each in other.values)
    if other.op is Op.NONE_OF:
        return not any(_alike(info, value, each) for each in other.values)
    if info is None or info.kind not in NUMERIC or other.op not in (Op.AT_LEAST, Op.AT_MOST):
        return False
    number, bound = number_of(info, value), number_of(info, other.values[0])
    return number >= bound if other.op is Op.AT_LEAST else number <= bound


def _alike(info: FactInfo | None, one: str, other: str) -> bool:
    if info is None or info.kind not in NUMERIC:
        return one == other
    return abs(number_of(info, one) - number_of(info, other)) <= NEAR
