"""Does a condition hold in a world: yes, no, or not known (and which fact would tell)."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from enum import StrEnum

from app.fit.ages import fresh
from app.fit.known import DateMove, Known, Subject
from app.fit.lengths import MM_PER, LengthUnit
from app.fit.making import record
from app.fit.rules import Condition, End, Op, Rule
from app.fit.tape import TapeOutcome
from app.fit.values import figure_in, length_unit, reaches, same, within
from app.fit.worlds import NO_SUCH, YEARS, World


class Truth(StrEnum):
    """Whether a condition holds."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"
    DOUBT = "measure again"


@record(frozen=True, slots=True)
class Finding:
    """A condition with what became of it; `fact` is what would have to be known, `words` say the figures."""

    condition: Condition
    truth: Truth
    fact: str
    words: str


@record(frozen=True, slots=True)
class Pair:
    """A part and a target in one world each, with the moves of dates in force and the day."""

    part: World
    target: World
    part_subject: Subject
    target_subject: Subject
    moves: tuple[DateMove, ...]
    today: date

    def turned(self) -> Pair:
        """The same two with their ends changed over, for the way back of a rule."""
        return Pair(self.target, self.part, self.target_subject, self.part_subject, self.moves, self.today)


def check(rule: Rule, condition: Condition, pair: Pair) -> Finding:
    """Judge one condition of a rule."""
    if condition.end is End.BETWEEN:
        return _between(condition, pair)
    world = pair.part if condition.end is End.PART else pair.target
    subject = pair.part_subject if condition.end is End.PART else pair.target_subject
    value = _pieces(pair) if condition.fact == "pieces" else _value(condition.fact, world, subject)
    if condition.op is Op.FRESH:
        good = value is not None and fresh(value.value, condition.allowed, pair.today)
        return _finding(condition, _truth(good is (condition.values != ("no",))), value)
    if condition.op is Op.KNOWN:
        return _finding(condition, Truth.NO if value is None else Truth.YES, value)
    if value is None:
        return _of_any_year(condition, world) or _finding(condition, Truth.UNKNOWN, value)
    if value.value == NO_SUCH:
        # What is not there on a vehicle meets no condition.
        return _finding(condition, Truth.NO, None)
    if condition.op in (Op.BEFORE, Op.FROM):
        return _in_time(condition, value.value, _moved(rule, condition.values[0], pair, world, subject))
    if condition.op in (Op.AT_LEAST, Op.AT_MOST):
        return _limit(condition, value, world, subject)
    listed = any(same(value.value, each) for each in condition.values)
    holds = listed is (condition.op is Op.ANY_OF)
    if condition.fact == "plant" and not listed:
        # Of plants that no rule names one stands for all.
        return Finding(condition, _truth(holds), condition.fact, f"plant: not {' or '.join(condition.values)}")
    return _finding(condition, _truth(holds), value)


def _of_any_year(condition: Condition, world: World) -> Finding | None:
    """A condition on a model year that nobody said, where every year that it may be of says the same."""
    if condition.fact != "year" or YEARS not in world or not condition.values:
        return None
    years = world[YEARS].value.split()
    truths = {_of_year(condition, int(year)) for year in years}
    if len(truths) != 1:
        return None
    return Finding(condition, truths.pop(), condition.fact, f"year: {years[0]} to {years[-1]}")


def _of_year(condition: Condition, year: int) -> Truth:
    if condition.op in (Op.AT_LEAST, Op.AT_MOST):
        return _against(condition, Known(str(year)), Known(condition.values[0])).truth
    listed = any(same(str(year), each) for each in condition.values)
    return _truth(listed is (condition.op is Op.ANY_OF))


def all_hold(rule: Rule, conditions: Sequence[Condition], pair: Pair) -> bool:
    """Whether all surely hold; of alternatives one that does is enough."""
    held = [(each.alt, check(rule, each, pair).truth is Truth.YES) for each in conditions]
    met = {alt for alt, holds in held if holds}
    return all(holds or (alt > 0 and alt in met) for alt, holds in held)


def _truth(holds: bool) -> Truth:
    return Truth.YES if holds else Truth.NO


def _finding(condition: Condition, truth: Truth, value: Known | None) -> Finding:
    said = "not known" if value is None else value.value
    return Finding(condition, truth, condition.fact, f"{condition.fact}: {said}")


def _value(name: str, world: World, subject: Subject) -> Known | None:
    if name == "side":
        return Known(str(subject.side)) if subject.side else None
    if name == "part type":
        return Known(subject.part_type)
    return world.get(name)


def _pieces(pair: Pair) -> Known:
    """How many the lot in hand is, whichever end of a rule it stands on; one where neither end is a lot."""
    return Known(str(pair.part_subject.pieces or pair.target_subject.pieces or 1))


def _in_time(condition: Condition, month: str, split: str) -> Finding:
    """A month against a split; of all months on one side of it one stands for all."""
    early = month < split
    said = f"{condition.fact}: {f'before {split}' if early else f'{split} or later'}"
    return Finding(condition, _truth(early is (condition.op is Op.BEFORE)), condition.fact, said)


def _moved(rule: Rule, month: str, pair: Pair, world: World, subject: Subject) -> str:
    """The split as it is for this vehicle: moved where a moving rule's conditions hold for it."""
    for move in pair.moves:
        if move.moves != rule.code or move.from_month != month:
            continue
        alone = Pair(world, world, subject, subject, (), pair.today)
        if all_hold(move.rule, move.rule.conditions, alone):
            return move.to_month
    return month


def _limit(condition: Condition, value: Known, world: World, subject: Subject) -> Finding:
    if condition.values:
        return _against(condition, value, Known(condition.values[0]))
    other = _value(condition.other_fact, world, subject)
    if other is None or other.value == NO_SUCH:
        return Finding(condition, Truth.UNKNOWN, condition.other_fact, f"{condition.other_fact}: not known")
    return _against(condition, value, other)


def _against(condition: Condition, value: Known, bound: Known) -> Finding:
    """A figure against a bound, with the doubt of both."""
    least = condition.op is Op.AT_LEAST
    upper, lower = (value, bound) if least else (bound, value)
    outcome = reaches(upper.value, upper.u_mm, lower.value, lower.u_mm)
    if outcome is None:
        said = f"{condition.fact}: {value.value} against {bound.value}"
        return Finding(condition, Truth.UNKNOWN, condition.fact, said)
    truth = _TRUTHS[outcome]
    relation = _off(least) if truth is Truth.NO else "at least" if least else "at most"
    give = _give(value, bound, length_unit(value.value, bound.value)) if truth is Truth.DOUBT else ""
    return Finding(condition, truth, condition.fact, f"{condition.fact} {value.value}{give}, {relation} {bound.value}")


def _give(one: Known, other: Known, unit: str) -> str:
    """The doubt of two lengths together, in their unit; nothing where there is none."""
    doubt = ((one.u_mm or 0.0) + (other.u_mm or 0.0)) / float(MM_PER[LengthUnit(unit or LengthUnit.INCH)])
    return f" give or take {doubt:.4f}".rstrip("0").rstrip(".") if doubt else ""


def _off(least: bool) -> str:
    return "under" if least else "over"


def held_against(condition: Condition, target: Subject) -> str:
    """The fact of the target: what it needs by the book, or the customer's own reading of his piece, which beats it."""
    if not condition.other_fact:
        return condition.fact
    own = condition.op is Op.WITHIN and condition.fact in target.facts and condition.other_fact not in target.facts
    return condition.fact if own else condition.other_fact


def _between(condition: Condition, pair: Pair) -> Finding:
    theirs = held_against(condition, pair.target_subject)
    one = _value(condition.fact, pair.part, pair.part_subject)
    other = _value(theirs, pair.target, pair.target_subject)
    if condition.fact == "side" and (one is None or other is None):
        # A part without a side, or a customer who has not said one, leaves the question open.
        if one is None and other is None and condition.op is Op.SAME:
            return Finding(condition, Truth.YES, "side", "no side to either")
        return Finding(condition, Truth.UNKNOWN, "side", "side not said")
    if any(each is not None and each.value == NO_SUCH for each in (one, other)):
        return Finding(condition, Truth.NO, condition.fact, f"{condition.fact}: one has none")
    missing = condition.fact if one is None else theirs if other is None else ""
    if one is None or other is None:
        return Finding(condition, Truth.UNKNOWN, missing, f"{missing}: not known")
    return _BETWEEN[condition.op](condition, one, other)


def _same(condition: Condition, one: Known, other: Known) -> Finding:
    if one.u_mm or other.u_mm:
        return _same_by_tape(condition, one, other)
    holds = same(one.value, other.value)
    words = f"{condition.fact} {one.value} on both" if holds else f"{condition.fact} {one.value} against {other.value}"
    return Finding(condition, _truth(holds is (condition.op is Op.SAME)), condition.fact, words)


def _same_by_tape(condition: Condition, one: Known, other: Known) -> Finding:
    """Two readings are never proven the same, only proven to differ by more than their doubt."""
    outcome = within(one.value, one.u_mm, other.value, other.u_mm, "0")
    truth = Truth.UNKNOWN if outcome is None else _TRUTHS[outcome]
    if condition.op is Op.DIFFERS:
        truth = {Truth.YES: Truth.NO, Truth.NO: Truth.YES}.get(truth, truth)
    return Finding(condition, truth, condition.fact, f"{condition.fact} {one.value} against {other.value}")


def _within(condition: Condition, one: Known, other: Known) -> Finding:
    outcome = within(one.value, one.u_mm, other.value, other.u_mm, condition.allowed)
    unit = length_unit(condition.allowed, one.value, other.value)
    a, b = figure_in(one.value, unit), figure_in(other.value, unit)
    gap = f"{abs(float(a - b)):.2f}" if a is not None and b is not None else "?"
    give = _give(one, other, unit)
    words = f"{condition.fact} {one.value} against {other.value}: difference {gap}{give}, allowed {condition.allowed}"
    truth = Truth.UNKNOWN if outcome is None else _TRUTHS[outcome]
    return Finding(condition, truth, condition.fact, words)


_TRUTHS = {TapeOutcome.FITS: Truth.YES, TapeOutcome.DOES_NOT_FIT: Truth.NO, TapeOutcome.MEASURE_AGAIN: Truth.DOUBT}
_BETWEEN: Mapping[Op, Callable[[Condition, Known, Known], Finding]] = {
    Op.SAME: _same,
    Op.DIFFERS: _same,
    Op.WITHIN: _within,
    Op.AT_LEAST: _against,
    Op.AT_MOST: _against,
}
