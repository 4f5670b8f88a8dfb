"""Behind each answer: the rules that speak, their figures, work, consequences, companions and evidence."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from app.fit.answers import WorkLine
from app.fit.conditions import Finding, Truth
from app.fit.decide import Decision
from app.fit.figures import figure_of
from app.fit.knowledge import FactInfo, Target
from app.fit.merging import MODEL
from app.fit.outcomes import Outcome
from app.fit.resolve import Fire
from app.fit.rules import Companion, Consequence, End, Operation, RuleKind, Way
from app.fit.sets import Company

QUIET = frozenset({"model", "part type", "year"})
"""Facts that every reader takes for granted."""


def fires(outcome: Outcome) -> tuple[Fire, ...]:
    """The rules that speak in an outcome."""
    return outcome.resolved.fires if outcome.resolved else ()


def fact_words(name: str) -> str:
    """A fact's name in a sentence."""
    built_in = {"built": "the build month on the door sticker", "plant": "the plant, the eleventh letter of the VIN"}
    return built_in.get(name, f"the {name}")


def whys(outcome: Outcome) -> str:
    """Why, in short: each rule's own reason, with the figures that were not met."""
    said = []
    for fire in fires(outcome):
        failed = "; ".join(each.words for each in fire.findings if each.truth is Truth.NO)
        said.append(failed if failed and fire.rule.kind is RuleKind.NUMBERS else fire.rule.why or failed)
    return "; ".join(dict.fromkeys(word for word in said if word))


def operations(outcome: Outcome) -> tuple[WorkLine, ...]:
    """The work of all rules that speak, each line once."""
    return tuple(dict.fromkeys(WorkLine(each.work, each.hours, each.by_whom) for each in operations_of(outcome)))


def operations_of(outcome: Outcome) -> Iterator[Operation]:
    """The operations of all rules that speak, in the direction in which they do."""
    for fire in fires(outcome):
        ways = (Way.BOTH, Way.BACK if fire.back else Way.FORTH)
        yield from (each for each in fire.rule.operations if each.way in ways)


def consequences(decision: Decision, target: Target) -> tuple[str, ...]:
    """What works differently, each with its number as stated or worked out from the two."""
    outcome = decision.main
    said = [_consequence(each, decision, target) for fire in fires(outcome) for each in fire.rule.consequences]
    return tuple(dict.fromkeys(words for words in said if words))


def _consequence(each: Consequence, decision: Decision, target: Target) -> str:
    """A consequence in words; empty where its number is not known."""
    figure = figure_of(each, decision, target)
    if "{n}" in each.words:
        return " ".join(each.words.replace("{n}", figure).split()) if figure else ""
    return f"{each.words} ({figure})" if figure and figure not in each.words else each.words


def reasons(decision: Decision) -> tuple[str, ...]:
    """Why, with the numbers, naming each rule."""
    said = [words for outcome in decision.outcomes for words in _reasons(outcome)]
    return tuple(dict.fromkeys(said)) or ("no rule and no measurement speaks of the two",)


def _reasons(outcome: Outcome) -> Iterator[str]:
    for fire in fires(outcome):
        figures = "; ".join(_figures(fire.findings, back=fire.back))
        yield f"{fire.rule.code}: {fire.rule.why or fire.grade}{f' [{figures}]' if figures else ''}"
    if outcome.chain:
        path = ", then ".join(f"{link.rule.code} ({link.rule.why})" for link in outcome.chain)
        yield f"by chain, {len(outcome.chain)} links: {path}"
    if outcome.design:
        yield f"the vehicle carries this very design ({outcome.design})"


def _figures(findings: Sequence[Finding], *, back: bool) -> list[str]:
    """What the conditions found, ours and yours told apart, and once where both are the same.

    `back` is a rule turned round, whose part stands on the target.
    """
    part, target = (End.TARGET, End.PART) if back else (End.PART, End.TARGET)
    told: dict[str, dict[End, str]] = {}
    said = []
    for each in findings:
        condition = each.condition
        if condition.fact in QUIET:
            continue
        if condition.end is End.BETWEEN or each.words == condition.fact or ": " not in each.words:
            said.append(each.words)
        else:
            told.setdefault(condition.fact, {})[condition.end] = each.words.split(": ", 1)[1]
    for fact, ends in told.items():
        ours, theirs = ends.get(part), ends.get(target)
        if ours == theirs:
            said.append(f"{fact} {ours} on both")
        else:
            sides = (("ours", ours), ("yours", theirs))
            said.append(f"{fact}: " + ", ".join(f"{side} {value}" for side, value in sides if value is not None))
    return list(dict.fromkeys(said))


def rules_of(decision: Decision) -> tuple[str, ...]:
    """The codes of the rules that speak in any world, those of the line's own grade first."""
    codes = [fire.rule.code for fire in fires(decision.main)]
    for outcome in decision.outcomes:
        codes += [fire.rule.code for fire in fires(outcome)]
        codes += [link.rule.code for link in outcome.chain]
        codes += [fire.rule.code for fire in outcome.resolved.against] if outcome.resolved else []
    return tuple(dict.fromkeys(codes))


def stands_on(outcome: Outcome) -> tuple[str, ...]:
    """The codes of the rules that one outcome's grade stands on."""
    return tuple(dict.fromkeys(fire.rule.code for fire in fires(outcome)))


def evidence_of(decision: Decision) -> tuple[str, ...]:
    """Where the word of each rule comes from."""
    said = []
    for outcome in decision.outcomes:
        for fire in fires(outcome):
            for line in fire.rule.evidence:
                count = f" {line.count} times" if line.count > 1 else ""
                said.append(f"{fire.rule.code}: {line.kind}{count}{f', {line.words}' if line.words else ''}")
    return tuple(dict.fromkeys(said))


def companion_words(company: Company, needed: Sequence[Companion]) -> tuple[str, ...]:
    """The companions in words: in stock with their tag, missing, or on the vehicle already."""
    said = [f"{each.name} {each.tag}" for each in company.found]
    said += [_missing_words(each) for each in company.missing]
    said += [f"{each.part_type}: the customer has it" for each in company.had]
    return tuple(said) if said or not needed else tuple(each.part_type for each in needed)


def _missing_words(each: Companion) -> str:
    side = f" {each.side}" if each.side else ""
    return f"{each.part_type}{side}: not in stock{f', or {each.or_else}' if each.or_else else ''}"


def unknowns(decision: Decision, facts: Mapping[str, FactInfo]) -> tuple[str, ...]:
    """What would have to be known, of the customer's vehicle and of our part."""
    theirs = [_ask_words(name, facts) for name in decision.target_facts]
    ours = [f"look at ours: {name}" for name in decision.merged.part_facts]
    return tuple(dict.fromkeys([*theirs, *ours]))


def _ask_words(name: str, facts: Mapping[str, FactInfo]) -> str:
    if name == MODEL:
        return "which model it is"
    info = facts.get(name)
    return info.question if info is not None and info.question else fact_words(name)
