"""Where no rule is written: what lengths, counts and closed lists measured on this very part and vehicle say.

Careful on purpose. Only figures taken of the pair itself count, never what a model usually has: an empty rule
table says nothing of vehicles at large. Counts and closed lists are exact. A length has an allowance where some
rule of numbers gives one for the same kind of part; without one two lengths are never proven to be the same, and
only a difference that nothing takes up refuses the part.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from app.fit.known import FactInfo, Known
from app.fit.rules import End, Op, Rule, RuleKind, RuleState
from app.fit.tape import TapeOutcome
from app.fit.terms import FactKind, Grade
from app.fit.values import millimeters, number, same, within

NOTHING_TAKES_UP = "0.50 in"
"""No slip, slot or shim takes up more than this. Common practice, no source."""

MEASURED_KINDS = frozenset({FactKind.LENGTH, FactKind.NUMBER, FactKind.COUNT})
_NEAR = (TapeOutcome.FITS, TapeOutcome.MEASURE_AGAIN)


@dataclass(frozen=True, slots=True)
class Allowance:
    """How far a part's figure may be from the vehicle's: the vehicle's fact it is held against, and the limit."""

    other_fact: str
    allowed: str


@dataclass(frozen=True, slots=True)
class Dimension:
    """One figure of the part against the vehicle's; `proven` False where it only shows no difference."""

    fact: str
    outcome: TapeOutcome
    proven: bool
    words: str


@dataclass(frozen=True, slots=True)
class Computed:
    """What the figures come to: `bolts_up`, `measure` or `wont_fit`, with each figure and what was not measured."""

    grade: Grade
    dimensions: tuple[Dimension, ...]
    missing: tuple[str, ...]

    @property
    def words(self) -> str:
        """The figures in one line; those that refuse the part first."""
        order = (TapeOutcome.DOES_NOT_FIT, TapeOutcome.MEASURE_AGAIN, TapeOutcome.FITS)
        told = sorted(self.dimensions, key=lambda each: order.index(each.outcome))
        return "; ".join(each.words for each in told)


def allowances_of(rules: Iterable[Rule], part_type: str) -> dict[str, Allowance]:
    """The allowances that rules of numbers give for a kind of part, of several the narrowest."""
    found: dict[str, Allowance] = {}
    for rule in rules:
        speaks = part_type in rule.offered_types and rule.state is RuleState.OPEN
        if rule.kind is not RuleKind.NUMBERS or not speaks:
            continue
        for each in rule.conditions:
            if each.end is End.BETWEEN and each.op is Op.WITHIN and _narrower(each.allowed, found.get(each.fact)):
                found[each.fact] = Allowance(each.other_fact or each.fact, each.allowed)
    return found


def _narrower(allowed: str, than: Allowance | None) -> bool:
    limit, other = number(allowed), number(than.allowed) if than is not None else None
    return limit is not None and (other is None or limit < other)


def computed_fit(
    ours: Mapping[str, Known],
    theirs: Mapping[str, Known],
    look_for: Sequence[str],
    facts: Mapping[str, FactInfo],
    allowances: Mapping[str, Allowance] | None = None,
) -> Computed | None:
    """What the figures of a part and a vehicle come to where no rule speaks; None when none is known of both.

    `ours` are the facts taken of the part itself and `theirs` those stated or measured of the customer's own
    vehicle; `look_for` are the facts a part of the kind is told apart by. One figure that surely cannot be makes
    it `wont_fit`, and every such figure is given. `bolts_up` asks that all facts to look for are known of both
    and all of them proven; whatever lies between is `measure`.
    """
    given = allowances or {}
    measured, missing = [], []
    for name in look_for:
        other = given[name].other_fact if name in given else name
        info, one, two = facts.get(name), ours.get(name), theirs.get(other) or theirs.get(name)
        if one is None or two is None or info is None:
            missing.append(name)
            continue
        held = _held(name, one, two, info, given.get(name))
        if held is None:
            missing.append(name)
        else:
            measured.append(held)
    if not any(facts[each.fact].kind in MEASURED_KINDS for each in measured):
        return None
    return Computed(_grade(measured, missing), tuple(measured), tuple(missing))


def _grade(measured: Sequence[Dimension], missing: Sequence[str]) -> Grade:
    if any(each.outcome is TapeOutcome.DOES_NOT_FIT for each in measured):
        return Grade.WONT_FIT
    proven = all(each.outcome is TapeOutcome.FITS and each.proven for each in measured)
    return Grade.BOLTS_UP if proven and not missing else Grade.MEASURE


def _held(name: str, one: Known, two: Known, info: FactInfo, allowance: Allowance | None) -> Dimension | None:
    """One fact held against the other; None where it cannot be read, or is left open."""
    if one.among or two.among:
        return None
    if info.kind is FactKind.LENGTH and info.choices:
        return _listed(name, one, two, info)
    as_it_stands = info.kind is FactKind.NUMBER and not (one.u_mm or two.u_mm) and allowance is None
    if info.kind is FactKind.COUNT or as_it_stands:
        return _exact(name, one, two)
    if info.kind in (FactKind.LENGTH, FactKind.NUMBER):
        return _taped(name, one, two, allowance)
    return _looked_at(name, one, two)


def _exact(name: str, one: Known, two: Known) -> Dimension | None:
    """Counted or plain figures are the same or they are not."""
    if number(one.value) is None or number(two.value) is None:
        return None
    agrees = same(one.value, two.value)
    words = f"{name} {one.value} on both" if agrees else f"{name} {one.value} against {two.value}"
    return Dimension(name, TapeOutcome.FITS if agrees else TapeOutcome.DOES_NOT_FIT, True, words)


def _looked_at(name: str, one: Known, two: Known) -> Dimension:
    """A look, such as a plug: where it differs nobody knows what that means, so it is looked at again."""
    agrees = same(one.value, two.value)
    words = f"{name} {one.value} on both" if agrees else f"{name} {one.value} against {two.value}"
    return Dimension(name, TapeOutcome.FITS if agrees else TapeOutcome.MEASURE_AGAIN, agrees, words)


def _listed(name: str, one: Known, two: Known, info: FactInfo) -> Dimension | None:
    """Sizes of a closed list: each reading stands for the one size inside its doubt; with several it stays open."""
    ours, theirs = _sizes(one, info), _sizes(two, info)
    if not ours or not theirs:
        return None
    words = f"{name} {' or '.join(ours)} against {' or '.join(theirs)}"
    if not set(ours) & set(theirs):
        return Dimension(name, TapeOutcome.DOES_NOT_FIT, True, words)
    if len(ours) == len(theirs) == 1:
        return Dimension(name, TapeOutcome.FITS, True, f"{name} {ours[0]} on both")
    return Dimension(name, TapeOutcome.MEASURE_AGAIN, False, words)


def _sizes(known: Known, info: FactInfo) -> list[str]:
    return [choice for choice in info.choices if within(known.value, known.u_mm, choice, None, "0") in _NEAR]


def _taped(name: str, one: Known, two: Known, allowance: Allowance | None) -> Dimension | None:
    """Tape decides where an allowance is known; where none is, only a difference nothing takes up decides."""
    limit = allowance.allowed if allowance is not None else NOTHING_TAKES_UP
    outcome = within(one.value, one.u_mm, two.value, two.u_mm, limit)
    if outcome is None:
        return None
    if allowance is None and outcome is TapeOutcome.FITS:
        outcome = TapeOutcome.MEASURE_AGAIN
    doubt = _inches((one.u_mm or 0.0) + (two.u_mm or 0.0))
    told = f"{name} {one.value} against {two.value}: difference {_gap(one.value, two.value)}"
    allowed = f", allowed {allowance.allowed}" if allowance is not None else ", how much is allowed nobody wrote down"
    return Dimension(name, outcome, outcome is TapeOutcome.FITS, f"{told}, doubt {doubt}{allowed}")


def _gap(one: str, two: str) -> str:
    """The difference of two values in inches, or as plain figures."""
    a, b = millimeters(one), millimeters(two)
    if a is not None and b is not None:
        return _inches(float(abs(a - b)))
    first, second = number(one), number(two)
    gap = abs((first or Fraction(0)) - (second or Fraction(0)))
    return f"{float(gap):.2f}"


def _inches(mm: float) -> str:
    return f"{mm / 25.4:.4f}".rstrip("0").ljust(4, "0")
