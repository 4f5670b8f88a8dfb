"""What is still open of an answer, in words: what would have to be known, and what it comes to if it is so."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from app.fit.conditions import Finding, Truth, held_against
from app.fit.decide import Decision
from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo, Subject, Target
from app.fit.making import record
from app.fit.merging import BUILT, MODEL, PLANT, Words
from app.fit.outcomes import Outcome
from app.fit.rules import End, Rule, RuleState
from app.fit.saying.figures import DIFFERENCE, PERCENT
from app.fit.saying.ifs import If, Ifs, ifs
from app.fit.saying.reasons import any_model, fact_words, fires, is_or_are, is_plural, listed, whys
from app.fit.terms import QUOTABLE, FactKind, Grade, Group
from app.fit.worlds import OTHER_PLANT, YEARS

REFUSED = frozenset({Grade.WONT_FIT, Grade.SET_SHORT})
MOST_VALUES = 3
WHICH_MODEL = "which model it is"
"""What is open where the answer goes by the model."""


@record(frozen=True, slots=True)
class Told:
    """What a part comes to `when` something is so, and why; `value` is short for that where one fact decides."""

    grade: Grade
    when: str
    value: str
    why: str


@record(frozen=True, slots=True)
class Open:
    """What is open of an answer, in words.

    `by` is the one fact of the vehicle that decides, where the times or values of it in `told` do; `theirs` are all
    that would, `ours` those of the part; `doubts` are figures in doubt or not known, `disputed` the rules in dispute
    and `tape` what their figures say to measure on the vehicle; `unknowns` is all to ask or to look for.
    """

    by: str = ""
    told: tuple[Told, ...] = ()
    theirs: tuple[str, ...] = ()
    ours: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    ours_missing: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    disputed: tuple[Rule, ...] = ()
    tape: tuple[str, ...] = ()
    unknowns: tuple[str, ...] = ()


CLOSED = Open()
"""Nothing is open."""


def open_of(decision: Decision, grade: Grade, short: Collection[Words], target: Target, know: Knowledge) -> Open:
    """What is open of an answer of a grade; only of one to be measured or never compared is anything.

    `short` are the outcomes, by their words, that ask for a set of which a piece is missing.
    """
    merged, outcome = decision.merged, decision.main
    if grade is Grade.MEASURE:
        left = ifs(merged, QUOTABLE, short)
    elif grade is Grade.NOT_COMPARED and len(merged.outcomes) > 1:
        left = ifs(merged, REFUSED, short)
    else:
        return CLOSED
    in_doubt = _in_doubt([outcome])
    if grade is Grade.MEASURE and not (in_doubt or left.facts or left.ours):
        # What is in doubt is whether another rule speaks against it.
        in_doubt = _in_doubt(merged.outcomes)
    disputed = tuple(fire.rule for fire in fires(outcome) if fire.rule.state is RuleState.DISPUTED)
    tape = tuple(dict.fromkeys(name for rule in disputed for name in _figures_of(rule) if name not in target.facts))
    missing = tuple(dict.fromkeys(_not_taken(in_doubt, outcome, target)))
    if outcome.design and YEARS in outcome.target and not left.facts:
        # Of some of the years that are left open the vehicle carries the design.
        missing = ("year",)
    ours_missing = tuple(dict.fromkeys(_not_taken_of_ours(in_doubt, outcome)))
    unsaid = [MODEL for each in in_doubt if each.fact == MODEL]
    another = _of_another(decision, target, know)
    ask = [_ask_words(name, know.facts, another) for name in (*unsaid, *left.facts, *missing, *tape)]
    ours = [f"look at ours: {_look_words(name)}" for name in (*left.ours, *ours_missing)]
    # What no look settles is settled in the yard's own book.
    to_write = [f"{each.code} is in dispute until it is written down why" for each in disputed if not tape]
    return Open(
        _by(left, know.facts, another),
        tuple(_told(each, left.plants, know) for each in left.told),
        tuple(map(fact_words, left.theirs)),
        tuple(map(fact_words, left.ours)),
        tuple(map(fact_words, missing)),
        tuple(map(fact_words, ours_missing)),
        tuple(dict.fromkeys(each.words for each in in_doubt if each.fact != MODEL and not _is_missing(each))),
        disputed,
        tuple(map(fact_words, tape)),
        tuple(dict.fromkeys([*ask, *ours, *to_write])),
    )


_OPEN = (Truth.DOUBT, Truth.UNKNOWN)


def _in_doubt(outcomes: Iterable[Outcome]) -> list[Finding]:
    """The conditions of which it is not known whether they hold."""
    every = (fire for outcome in outcomes for fire in fires(outcome))
    return [each for fire in every for each in fire.findings if each.truth in _OPEN]


def _figures_of(rule: Rule) -> Iterator[str]:
    """The facts whose figures a rule holds against each other or works out of the two."""
    yield from (each.fact for each in rule.consequences if each.fact and each.worked_out in (DIFFERENCE, PERCENT))
    yield from (each.other_fact or each.fact for each in rule.conditions if each.end is End.BETWEEN and each.allowed)


def _not_taken(findings: Sequence[Finding], outcome: Outcome, target: Target) -> Iterator[str]:
    """The facts of the vehicle that a condition was to look at and that nobody knows."""
    asked = Subject(None, target.facts)
    for each in findings:
        name = held_against(each.condition, asked) if each.condition.end is End.BETWEEN else each.fact
        on_target = each.condition.end is not End.PART and each.fact not in _NO_LOOK
        if each.truth is Truth.UNKNOWN and on_target and name not in outcome.target:
            yield name


def _not_taken_of_ours(findings: Sequence[Finding], outcome: Outcome) -> Iterator[str]:
    for each in findings:
        on_part = each.condition.end is not End.TARGET and each.fact not in _NO_LOOK
        if each.truth is Truth.UNKNOWN and on_part and each.condition.fact not in outcome.part:
            yield each.condition.fact


_NO_LOOK = frozenset({"", "side", "part type", "pieces", MODEL})


def _of_another(decision: Decision, target: Target, know: Knowledge) -> str:
    """What decides for the part where that is off another vehicle: no sticker on the door tells when it was built."""
    group = know.groups.get(decision.offer.part_type)
    own = target.identities.get(group) if group is not None else None
    return str(group) if own is not None and own != target.identities.get(Group.BODY, own) else ""


def _ask_words(name: str, facts: Mapping[str, FactInfo], another: str) -> str:
    if name == MODEL:
        return WHICH_MODEL
    if name == BUILT and another:
        return f"the build month of its {another}"
    info = facts.get(name)
    return info.question if info is not None and info.question else fact_words(name)


def _look_words(name: str) -> str:
    """What is looked at on a part: a fact of its own, or what its vehicle's plates say."""
    return fact_words(name) if name in (BUILT, PLANT) else name


def _is_missing(finding: Finding) -> bool:
    return finding.words.endswith(": not known")


def _by(left: Ifs, facts: Mapping[str, FactInfo], another: str) -> str:
    """The one fact that decides by its values; empty where several do together, or where it is said as it is."""
    names = {name for each in left.told for name, _ in each.values}
    name = next(iter(names)) if len(names) == 1 else MODEL
    if name == BUILT and another:
        return f"the build month of its {another}"
    return "" if name == MODEL or _is_yes_or_no(name, facts) else fact_words(name)


def _told(each: If, plants: Sequence[str], know: Knowledge) -> Told:
    when = listed([clause(name, values, plants, know) for name, values in each.values])
    name, values = each.values[0]
    said = "they are" if is_plural(name) else "it is"
    return Told(each.grade, when, f"{said} {_values(name, values, plants)}", whys(each.outcome))


def clause(name: str, values: Sequence[str], plants: Sequence[str], know: Knowledge) -> str:
    """That a fact has one of some values; `plants` are those that are told apart, and build times are said already."""
    if name == MODEL:
        return f"it is {any_model(values[:MOST_VALUES], know.models)}"
    said = _values(name, values, plants)
    if name == BUILT:
        return f"it was built {said}"
    if _is_yes_or_no(name, know.facts):
        return f"it has {name}" if values == ("yes",) else f"it has no {name}"
    return f"the {name} {is_or_are(name)} {said}"


def _values(name: str, values: Sequence[str], plants: Sequence[str]) -> str:
    """Values as they are said; any other plant as none of those that are told apart."""
    if name == PLANT and OTHER_PLANT in values:
        return f"not {' or '.join(each for each in plants if each not in values)}"
    return " or ".join(values[:MOST_VALUES])


def _is_yes_or_no(name: str, facts: Mapping[str, FactInfo]) -> bool:
    return name in facts and facts[name].kind is FactKind.YES_NO
