"""A rule in words: what it asks of either end, as a person would say it."""

from __future__ import annotations

from collections.abc import Sequence

from app.fit.rules import Condition, Direction, End, Evidence, EvidenceLine, Op, Rule

_COMPARED = {
    Op.ANY_OF: "is",
    Op.NONE_OF: "is not",
    Op.BEFORE: "before",
    Op.FROM: "from",
    Op.AT_LEAST: "at least",
    Op.AT_MOST: "at most",
}


def condition_words(condition: Condition) -> str:
    """One condition: "part: model is PL2 or PH2", "both: side the same"."""
    who = {End.PART: "part", End.TARGET: "target", End.BETWEEN: "both"}[condition.end]
    return f"{who}: {condition.fact} {_asked(condition)}"


def _asked(condition: Condition) -> str:
    if condition.op is Op.SAME:
        return f"the same as {condition.other_fact}" if condition.other_fact else "the same"
    if condition.op is Op.DIFFERS:
        return f"other than {condition.other_fact}" if condition.other_fact else "not the same"
    if condition.op is Op.WITHIN:
        return f"within {condition.allowed}{f' of {condition.other_fact}' if condition.other_fact else ''}"
    if condition.op is Op.KNOWN:
        return "known"
    if condition.op is Op.FRESH:
        return f"{'not ' if condition.values == ('no',) else ''}within {condition.allowed}"
    return f"{_COMPARED[condition.op]} {' or '.join(condition.values) or condition.other_fact or condition.fact}"


def conditions_words(conditions: Sequence[Condition]) -> tuple[str, ...]:
    """All conditions, one line each; alternatives stand on one line."""
    groups: dict[int, list[str]] = {}
    lines: list[str] = []
    for each in conditions:
        if each.alt:
            groups.setdefault(each.alt, []).append(condition_words(each))
        else:
            lines.append(condition_words(each))
    return (*lines, *(f"any of: {'; '.join(group)}" for group in groups.values()))


def types_words(rule: Rule) -> str:
    """The part types a rule speaks of; both ends where they differ."""
    offered, wanted = _listed(rule.offered_types), _listed(rule.wanted_types)
    return offered if offered == wanted or not wanted else f"{offered} for {wanted}"


def _listed(types: frozenset[str]) -> str:
    names = sorted(types)
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")


def rule_words(rule: Rule) -> str:
    """A rule in one line: its code, part, models on either end, direction and grade."""
    ends = f"{_models(rule, End.PART)} {_arrow(rule)} {_models(rule, End.TARGET)}"
    return f"{rule.code}, {types_words(rule)}, {ends}: {rule.grade.said}"


def _arrow(rule: Rule) -> str:
    return "and" if rule.direction is Direction.BOTH_WAYS else "on"


def _models(rule: Rule, end: End) -> str:
    found = [each for each in rule.conditions if each.end is end and each.fact == "model" and each.op is Op.ANY_OF]
    names = [value for each in found for value in each.values]
    return " ".join(names[:6]) + (" …" if len(names) > 6 else "") if names else "any"


def evidence_words(line: EvidenceLine) -> str:
    """One line of evidence with its count."""
    count = f" {line.count} times" if line.count > 1 else ""
    return f"{line.kind}{count}{f', {line.words}' if line.words else ''}"


def tally_words(evidence: Sequence[EvidenceLine]) -> str:
    """How the sales made by a rule turned out: "3 kept, 1 came back (75 % kept)"; empty where none was made."""
    kept = sum(each.count for each in evidence if each.kind is Evidence.SOLD_AND_KEPT)
    back = sum(each.count for each in evidence if each.kind is Evidence.RETURNED)
    if not kept and not back:
        return ""
    share = f" ({100 * kept // (kept + back)} % kept)" if back and kept else ""
    return f"{kept} kept, {back} came back{share}"
