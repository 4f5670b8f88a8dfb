"""Whether one rule speaks of a part and a target in one pair of worlds, and what it says there."""

from __future__ import annotations

from collections.abc import Sequence

from app.fit.conditions import Finding, Pair, Truth, check, held_against
from app.fit.resolve import Fire
from app.fit.rules import Condition, End, Op, Rule, RuleKind, RuleState
from app.fit.terms import Grade
from app.fit.worlds import BUILT_IN

NUMBER_OPS = frozenset({Op.WITHIN, Op.AT_LEAST, Op.AT_MOST})


def speaks(rule: Rule, back: bool, conditions: Sequence[Condition], pair: Pair) -> tuple[Fire | None, bool]:
    """The rule as it speaks here, and whether it surely does; None where it is silent.

    A number nobody recorded is measured first. One of a closed list is one of the list in every world: where all of
    them pass no look could decide anything, and nothing is left to measure.
    """
    findings = _findings(rule, conditions, pair.turned() if back else pair)
    if findings is None:
        return None, True
    if rule.kind is not RuleKind.NUMBERS and all(each.truth is Truth.YES for each in findings):
        disputed = rule.state is RuleState.DISPUTED
        return Fire(rule, back, Grade.MEASURE if disputed else rule.grade, tuple(findings)), True
    numbers, plain_ones, short = _sorted_out(rule, findings)
    if any(each.truth is Truth.NO for each in plain_ones):
        return None, True
    failed = tuple([each for each in numbers if each.truth is Truth.NO])
    sure = all(each.truth in (Truth.YES, Truth.DOUBT) for each in plain_ones)
    if short:
        return Fire(rule, back, Grade.SET_SHORT, tuple(short)), sure
    if rule.state is RuleState.DISPUTED:
        return Fire(rule, back, Grade.MEASURE, tuple(findings)), sure
    if failed:
        return Fire(rule, back, Grade.WONT_FIT, failed, _taped(rule, numbers, pair, back)), sure
    in_doubt = any(each.truth is Truth.DOUBT for each in findings)
    if in_doubt and rule.kind is not RuleKind.NUMBERS and rule.grade.rank > Grade.MEASURE.rank:
        # Whether it speaks is not known: measuring it may take away what else is good, and can give nothing.
        return Fire(rule, back, rule.grade, tuple(findings)), False
    if in_doubt or any(each.truth is Truth.UNKNOWN for each in numbers):
        return Fire(rule, back, Grade.MEASURE, tuple(findings)), sure
    return Fire(rule, back, rule.grade, tuple(findings), _taped(rule, numbers, pair, back)), sure


def _sorted_out(rule: Rule, findings: Sequence[Finding]) -> tuple[list[Finding], list[Finding], list[Finding]]:
    """The numbers of a rule made of numbers, its plain conditions, and the pieces it needs where there are fewer."""
    numbers: list[Finding] = []
    plain_ones: list[Finding] = []
    short: list[Finding] = []
    for each in findings:
        if rule.kind is RuleKind.NUMBERS and is_number(each.condition):
            numbers.append(each)
        elif each.truth is Truth.NO and counts_pieces(rule, each.condition):
            short.append(each)
        else:
            plain_ones.append(each)
    return numbers, plain_ones, short


def _taped(rule: Rule, numbers: Sequence[Finding], pair: Pair, back: bool) -> bool:
    """True when every number was measured on this very part and this very target, and none is in doubt."""
    ours, theirs = pair.part_subject.facts, pair.target_subject.facts
    held = [each.condition for each in numbers]
    return (
        rule.kind is RuleKind.NUMBERS
        and not back
        and bool(held)
        and all(each.end is End.BETWEEN for each in held)
        and all(each.fact in ours and held_against(each, pair.target_subject) in theirs for each in held)
    )


def is_number(condition: Condition) -> bool:
    """True for a stated number of a rule made of numbers."""
    return condition.op in NUMBER_OPS or (condition.end is End.BETWEEN and condition.fact not in BUILT_IN)


def counts_pieces(rule: Rule, condition: Condition) -> bool:
    """True for the pieces a rule needs in hand (a pair): with fewer it still speaks, and the lot is short."""
    counted = condition.end is End.PART and condition.fact == "pieces" and condition.op is Op.AT_LEAST
    return counted and not condition.alt and rule.kind is RuleKind.FIT and rule.grade.rank < Grade.SET_SHORT.rank


def _findings(rule: Rule, conditions: Sequence[Condition], pair: Pair) -> list[Finding] | None:
    """Every condition judged, of alternatives one that holds is enough; None once a plain one is not met."""
    findings: list[Finding] = []
    groups: dict[int, list[Finding]] = {}
    by_numbers = rule.kind is RuleKind.NUMBERS
    for condition in conditions:
        finding = check(rule, condition, pair)
        kept = condition.alt or (by_numbers and is_number(condition)) or counts_pieces(rule, condition)
        if finding.truth is Truth.NO and not kept:
            return None
        if condition.alt:
            groups.setdefault(condition.alt, []).append(finding)
        else:
            findings.append(finding)
    order = (Truth.YES, Truth.DOUBT, Truth.UNKNOWN, Truth.NO)
    findings += [min(group, key=lambda each: order.index(each.truth)) for group in groups.values()]
    return findings


def of_one_family(pair: Pair) -> bool:
    """Whether both are of one family, as far as these are known; a rule that names no model speaks nowhere else."""
    ours, theirs = pair.part.get("family"), pair.target.get("family")
    return ours is None or theirs is None or ours.value == theirs.value
