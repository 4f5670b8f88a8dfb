"""One part against one target: every world the unknown facts allow, and the grade they come to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product

from app.fit.chains import Link, find_chain
from app.fit.conditions import Finding, Pair, Truth, check
from app.fit.knowledge import Knowledge, Offer, Subject, Target, UseInfo
from app.fit.laws import frame_doubt, law_fires
from app.fit.resolve import Fire, Resolved, resolve
from app.fit.rules import Condition, Direction, End, Op, Rule, RuleKind, RuleState
from app.fit.terms import Grade, Side
from app.fit.values import same
from app.fit.worlds import BUILT_IN, NO_SUCH, Scope, World, worlds

NUMBER_OPS = frozenset({Op.WITHIN, Op.AT_LEAST, Op.AT_MOST})
MOST_PAIRS = 4096
PROVEN = ("seen", "measured")
"""How a use must be known to be evidence of its own; one that follows from a rule or a guess is not."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one part comes to in one pair of worlds; `resolved` is None where no rule speaks."""

    grade: Grade
    resolved: Resolved | None
    part: World
    target: World
    design: str = ""
    chain: tuple[Link, ...] = ()


@dataclass(frozen=True, slots=True)
class Decision:
    """One part against one target over all worlds: the grade, why, and which facts would decide."""

    offer: Offer
    grade: Grade
    outcomes: tuple[Outcome, ...]
    target_facts: tuple[str, ...] = ()
    part_facts: tuple[str, ...] = ()
    by_target: Mapping[str, Mapping[str, frozenset[Grade]]] = field(default_factory=dict)

    @property
    def main(self) -> Outcome:
        """The outcome the line is explained by: the one of its grade, else the best there is."""
        matching = [each for each in self.outcomes if each.grade is self.grade]
        return matching[0] if matching else min(self.outcomes, key=lambda each: each.grade.rank)


def decide(offer: Offer, target: Target, know: Knowledge) -> Decision | None:
    """The grade of one part for one target; None when it does not belong in the answer at all."""
    rules = [(rule, back) for rule in know.rules for back in _ways(rule, offer, target)]
    target_subject = _target_subject(offer, target, know)
    other_side = bool(target.side and offer.subject.side and offer.subject.side is not target.side)
    if other_side:
        rules = [(rule, back) for rule, back in rules if _speaks_of_sides(rule)]
    scope = scope_of([rule for rule, _ in rules], know)
    ours = worlds(offer.subject, scope, know.facts)
    theirs = [(world, subject) for subject in target_subject for world in worlds(subject, scope, know.facts)]
    pairs = [
        Pair(part_world, target_world, offer.subject, subject, know.moves, know.today)
        for part_world, (target_world, subject) in list(product(ours, theirs))[:MOST_PAIRS]
    ]
    judged = [(pair.part, pair.target, each) for pair in pairs for each in _outcomes(rules, pair, offer, know)]
    if not other_side and not any(each.resolved or each.design for _, _, each in judged):
        judged = [(pair.part, pair.target, _chained(pair, offer, target, know)) for pair in pairs]
    if other_side and all(each.grade is not Grade.WONT_FIT for _, _, each in judged):
        return None
    kin = any(_same_family(offer, subject) for subject in target_subject)
    return _merge(offer, judged, scope, kin)


def _ways(rule: Rule, offer: Offer, target: Target) -> Iterator[bool]:
    """In which directions the part types allow the rule to speak."""
    if rule.state is RuleState.CLOSED or rule.kind is RuleKind.MOVES_DATE:
        return
    wanted = rule.wanted_types or rule.offered_types
    if offer.part_type in rule.offered_types and (wanted & target.wanted or rule.kind is RuleKind.LAW):
        yield False
    # A turned rule adds something only where its two ends differ.
    turned = offer.part_type in wanted and bool(rule.offered_types & target.wanted)
    if rule.direction is Direction.BOTH_WAYS and turned:
        yield True


def _speaks_of_sides(rule: Rule) -> bool:
    return any(condition.fact == "side" and condition.op is not Op.SAME for condition in rule.conditions)


def _target_subject(offer: Offer, target: Target, know: Knowledge) -> list[Subject]:
    group = know.groups.get(offer.part_type)
    identities = target.identities.get(group, ()) if group else ()
    side = target.side or offer.subject.side
    wanted = offer.part_type if offer.part_type in target.wanted else min(target.wanted, default="")
    facts = target.facts
    return [Subject(identity, facts, {}, side or Side.NONE, "", 1) for identity in identities] or [
        Subject(None, facts, {}, side or Side.NONE, wanted if not identities else "", 1)
    ]


def scope_of(rules: Sequence[Rule], know: Knowledge) -> Scope:
    """The facts, months and plants that the rules look at, with those of the rules that move their dates."""
    codes = {rule.code for rule in rules}
    moving = [move for move in know.moves if move.moves in codes]
    every = [
        *(each for rule in rules for each in rule.conditions),
        *(c for move in moving for c in move.rule.conditions),
    ]
    facts = {name for each in every for name in (each.fact, each.other_fact) if name} - BUILT_IN
    months = {value for each in every if each.op in (Op.BEFORE, Op.FROM) for value in each.values}
    months |= {month for move in moving for month in (move.from_month, move.to_month)}
    plants = {value for each in every if each.fact == "plant" for value in each.values}
    return Scope(frozenset(facts), frozenset(months), frozenset(plants))


def _chained(pair: Pair, offer: Offer, target: Target, know: Knowledge) -> Outcome:
    """Where no direct rule speaks of the two in any world, a chain may."""
    path = find_chain(pair, offer.part_type, target.wanted, know)
    grade = Grade.BOLTS_UP if path else Grade.NOT_COMPARED
    return Outcome(grade, None, pair.part, pair.target, chain=path)


def _outcomes(rules: Sequence[tuple[Rule, bool]], pair: Pair, offer: Offer, know: Knowledge) -> list[Outcome]:
    fires = {fire.rule.code: fire for fire in (*law_fires(offer, know), *frame_doubt(offer))}
    maybe: list[Fire] = []
    for rule, back in rules:
        fire, sure = _fire(rule, back, pair) if _in_reach(rule, pair) else (None, True)
        if fire is None:
            continue
        if sure:
            kept = fires.get(rule.code)
            if kept is None or fire.grade.rank < kept.grade.rank:
                fires[rule.code] = fire
        else:
            maybe.append(fire)
    certain = list(fires.values())
    found = [_outcome(certain, pair, offer, know)]
    found += [_outcome([*certain, fire], pair, offer, know) for fire in maybe if fire.rule.code not in fires]
    return found


def _outcome(fires: list[Fire], pair: Pair, offer: Offer, know: Knowledge) -> Outcome:
    if fires:
        resolved = resolve(fires)
        return Outcome(resolved.grade, resolved, pair.part, pair.target)
    if offer.design and _carries(offer.design, pair.target, know.uses):
        return Outcome(Grade.BOLTS_UP, None, pair.part, pair.target, offer.design)
    return Outcome(Grade.NOT_COMPARED, None, pair.part, pair.target)


def _in_reach(rule: Rule, pair: Pair) -> bool:
    """A rule that names no model speaks inside one family only, but for law and numbers held against numbers."""
    universal = rule.kind is RuleKind.NUMBERS and all(each.end is End.BETWEEN for each in rule.conditions)
    if rule.kind is RuleKind.LAW or universal or any(each.fact == "model" for each in rule.conditions):
        return True
    ours, theirs = pair.part.get("family"), pair.target.get("family")
    return ours is None or theirs is None or ours.value == theirs.value


def _fire(rule: Rule, back: bool, pair: Pair) -> tuple[Fire | None, bool]:
    """The rule as it speaks here, and whether it surely does; None where it is silent."""
    findings = _findings(rule, pair.turned() if back else pair)
    numbers = [each for each in findings if rule.kind is RuleKind.NUMBERS and is_number(each.condition)]
    plain_ones = [each for each in findings if each not in numbers]
    if any(each.truth is Truth.NO for each in plain_ones):
        return None, True
    failed = tuple(each for each in numbers if each.truth is Truth.NO)
    if failed:
        sure = all(each.truth is Truth.YES for each in plain_ones)
        return Fire(rule, back, Grade.WONT_FIT, failed), sure
    if any(each.truth is Truth.DOUBT for each in findings) or any(each.truth is Truth.UNKNOWN for each in numbers):
        return Fire(rule, back, Grade.MEASURE, tuple(findings)), True
    grade = Grade.MEASURE if rule.state is RuleState.DISPUTED else rule.grade
    sure = all(each.truth is Truth.YES for each in findings)
    return Fire(rule, back, grade, tuple(findings)), sure


def is_number(condition: Condition) -> bool:
    """True for a stated number of a rule made of numbers."""
    return condition.op in NUMBER_OPS or (condition.end is End.BETWEEN and condition.fact not in BUILT_IN)


def _findings(rule: Rule, pair: Pair) -> list[Finding]:
    """Every condition judged; of alternatives one that holds is enough."""
    findings: list[Finding] = []
    groups: dict[int, list[Finding]] = {}
    for condition in rule.conditions:
        finding = check(rule, condition, pair)
        if condition.alt:
            groups.setdefault(condition.alt, []).append(finding)
        else:
            findings.append(finding)
    order = (Truth.YES, Truth.DOUBT, Truth.UNKNOWN, Truth.NO)
    findings += [min(group, key=lambda each: order.index(each.truth)) for group in groups.values()]
    return findings


def _carries(design: str, world: World, uses: Sequence[UseInfo]) -> bool:
    """True when the vehicle of this world carries the design by its own record."""
    model, built, plant = (world[name].value if name in world else "" for name in ("model", "built", "plant"))
    year = world["year"].value if "year" in world else ""
    return any(
        use.design == design
        and use.model == model
        and use.known_by in PROVEN
        and not (year and use.year_from and int(year) < use.year_from)
        and not (year and use.year_to and int(year) > use.year_to)
        and not (use.built_from and built < use.built_from)
        and not (use.built_to and built > use.built_to)
        and not (use.plants and plant not in use.plants)
        and all(name in world and same(world[name].value, value) for name, value in use.given)
        for use in uses
    )


def _same_family(offer: Offer, subject: Subject) -> bool:
    ours, theirs = offer.subject.identity, subject.identity
    return ours is not None and theirs is not None and ours.model.family == theirs.model.family


def _merge(offer: Offer, judged: Sequence[tuple[World, World, Outcome]], scope: Scope, kin: bool) -> Decision | None:
    grades = {outcome.grade for _, _, outcome in judged}
    grade = merge_grades(grades)
    spoken = any(outcome.resolved or outcome.design for _, _, outcome in judged)
    if grade is Grade.NOT_COMPARED and not kin and not spoken:
        return None
    if (
        grade is Grade.NOT_COMPARED
        and not kin
        and all(o.grade in (Grade.NOT_COMPARED, Grade.WONT_FIT) for _, _, o in judged)
    ):
        return None
    distinct: dict[tuple[object, ...], Outcome] = {}
    for _, _, outcome in judged:
        distinct.setdefault(_key(outcome), outcome)
    by_target = _table(judged, scope, 1)
    by_part = _table(judged, scope, 0)
    open_facts = grade is Grade.MEASURE and len(grades) > 1
    return Decision(
        offer,
        grade,
        tuple(distinct.values()),
        _deciding(by_target) if open_facts else (),
        _deciding(by_part) if open_facts else (),
        by_target,
    )


def merge_grades(grades: set[Grade]) -> Grade:
    """One grade from those of all worlds."""
    if len(grades) == 1:
        return next(iter(grades))
    if min(grade.rank for grade in grades) < Grade.SET_SHORT.rank:
        return Grade.MEASURE
    return Grade.NOT_COMPARED if Grade.NOT_COMPARED in grades else Grade.SET_SHORT


def _key(outcome: Outcome) -> tuple[object, ...]:
    fires = outcome.resolved.fires if outcome.resolved else ()
    return (
        outcome.grade,
        outcome.design,
        outcome.chain,
        tuple((fire.rule.code, fire.back, fire.grade) for fire in fires),
    )


def _table(
    judged: Sequence[tuple[World, World, Outcome]], scope: Scope, end: int
) -> dict[str, dict[str, frozenset[Grade]]]:
    """For each open fact of one end, the grades under each of its values."""
    table: dict[str, dict[str, set[Grade]]] = {}
    for row in judged:
        world = row[1] if end else row[0]
        outcome = row[2]
        for name in (*scope.facts, "built"):
            if name in world:
                table.setdefault(name, {}).setdefault(world[name].value, set()).add(outcome.grade)
    return {
        name: {value: frozenset(grades) for value, grades in values.items() if value != NO_SUCH}
        for name, values in table.items()
        if len(values) > 1
    }


def _deciding(table: Mapping[str, Mapping[str, frozenset[Grade]]]) -> tuple[str, ...]:
    """The facts whose value changes the grade, those that settle it alone first."""
    changing = [name for name, values in table.items() if len(set(values.values())) > 1]
    return tuple(sorted(changing, key=lambda name: (any(len(each) > 1 for each in table[name].values()), name)))
