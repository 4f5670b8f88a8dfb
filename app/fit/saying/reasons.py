"""Behind each answer: the rules that speak, their figures, work, consequences, companions and evidence."""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

from app.fit.answers import WorkLine
from app.fit.conditions import Finding, Truth
from app.fit.decide import Decision
from app.fit.known import ModelInfo
from app.fit.links.link import Link, models_named
from app.fit.merging import MODEL
from app.fit.outcomes import Outcome
from app.fit.resolve import Fire
from app.fit.rules import Companion, Consequence, End, Operation, RuleKind, Way
from app.fit.saying.figures import Figures
from app.fit.sets import Company
from app.fit.values import plain

MOST_MODELS = 3
"""Of more models than these it is not said which they are."""
QUIET = frozenset({"model", "part type", "year"})
"""Facts that every reader takes for granted."""
Said = tuple[Hashable, ...]
"""What is told apart of what is said: a rule, in which direction and what it says, a chain by its links, a design."""


def of_rule(fire: Fire) -> Said:
    """What a rule says."""
    return fire.rule.code, fire.back, fire.grade


def of_chain(links: Iterable[Link]) -> Said:
    """What a chain says."""
    return tuple(link.key for link in links)


def of_design(code: str) -> Said:
    """What it says that the vehicle carries a design."""
    return ("design", code)


def fires(outcome: Outcome) -> tuple[Fire, ...]:
    """The rules that speak in an outcome."""
    return outcome.resolved.fires if outcome.resolved else ()


def fact_words(name: str) -> str:
    """A fact's name in a sentence."""
    built_in = {"built": "the build month on the door sticker", "plant": "the plant, the eleventh letter of the VIN"}
    return built_in.get(name, f"the {name}")


def question_about(name: str) -> str:
    """What is asked of a fact of which the yard has no question of its own."""
    return f"What {is_or_are(name)} {fact_words(name)}?"


def is_or_are(name: str) -> str:
    """The verb behind a name: the plug is, the teeth are, the amps needed are."""
    return "are" if is_plural(name) else "is"


def is_plural(name: str) -> bool:
    """Whether a name is of several things, by the last noun of it: "brake drums, pair", "amps needed"."""
    words = _BEHIND_THE_NOUN.split(name.lower())[0].split()
    while len(words) > 1 and words[-1].endswith("ed"):
        words.pop()
    last = words[-1] if words else ""
    return last in _PLURAL or (last.endswith("s") and not last.endswith(("ss", "us", "is")) and last not in _SINGULAR)


_BEHIND_THE_NOUN = re.compile(r",| with | of | for ")
_PLURAL, _SINGULAR = frozenset({"teeth", "feet"}), frozenset({"gas", "lens", "series"})


def whys(outcome: Outcome) -> str:
    """Why, in short: the reasons of the rules that make the grade, of all where none does, with figures not met."""
    said = []
    every = fires(outcome)
    for fire in [each for each in every if each.grade is outcome.grade] or every:
        failed = "; ".join(each.words for each in fire.findings if each.truth is Truth.NO)
        said.append(failed if failed and fire.rule.kind is RuleKind.NUMBERS else fire.rule.why or failed)
    return "; ".join(dict.fromkeys(word for word in said if word))


def listed(phrases: Sequence[str], last: str = " and ") -> str:
    """Phrases in a row, the last with an "and"."""
    return f"{', '.join(phrases[:-1])}{last}{phrases[-1]}" if len(phrases) > 1 else "".join(phrases)


def operations(outcome: Outcome) -> tuple[WorkLine, ...]:
    """The work of all rules that speak, each line once."""
    return tuple(dict.fromkeys(WorkLine(each.work, each.hours, each.by_whom) for each in operations_of(outcome)))


def operations_of(outcome: Outcome) -> Iterator[Operation]:
    """The operations of all rules that speak, in the direction in which they do."""
    for fire in fires(outcome):
        ways = (Way.BOTH, Way.BACK if fire.back else Way.FORTH)
        yield from (each for each in fire.rule.operations if each.way in ways)


def consequences(decision: Decision, figures: Figures) -> tuple[str, ...]:
    """What works differently, each with its number as stated or worked out from the two."""
    rules = [fire.rule for fire in fires(decision.main)]
    said = [_consequence(each, rule.why, decision, figures) for rule in rules for each in rule.consequences]
    return tuple(dict.fromkeys(words for words in said if words))


def _consequence(each: Consequence, why: str, decision: Decision, figures: Figures) -> str:
    """A consequence in words; empty where its number is not known, or where nothing differs."""
    found = figures.of(each, why, decision)
    if found is None:
        return ""
    figure, reading = found
    by_book = f" by the book, yours reads {reading}" if reading else ""
    if "{n}" in each.words:
        return f"{' '.join(each.words.replace('{n}', figure).split())}{by_book}" if figure else ""
    return f"{each.words} ({figure}){by_book}" if figure and figure not in each.words else f"{each.words}{by_book}"


def reasons(decision: Decision, when: Mapping[Said, str] | None = None) -> tuple[str, ...]:
    """Why, with the numbers, naming each rule; `when` has what must be so for one to say that, if it is not known."""
    said = [words for outcome in decision.outcomes for words in _reasons(outcome, when or {})]
    return tuple(dict.fromkeys(said)) or ("no rule and no measurement speaks of the two",)


def _reasons(outcome: Outcome, when: Mapping[Said, str]) -> Iterator[str]:
    for fire in fires(outcome):
        figures = "; ".join(_figures(fire.findings, back=fire.back))
        said = f"{fire.rule.why or fire.grade}{f' [{figures}]' if figures else ''}"
        yield f"{fire.rule.code}: {_if(of_rule(fire), when)}{said}"
    if outcome.chain:
        path = ", then ".join(f"{link.rule.code} ({link.rule.why})" for link in outcome.chain)
        yield f"{_if(of_chain(outcome.chain), when)}by chain, {len(outcome.chain)} links: {path}"
    if outcome.design:
        yield f"{_if(of_design(outcome.design), when)}the vehicle carries this very design ({outcome.design})"


def _if(key: Said, when: Mapping[Said, str]) -> str:
    return f"if {when[key]}: " if key in when else ""


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


def chain_words(chain: Sequence[Link], models: Mapping[str, ModelInfo]) -> str:
    """A chain in a sentence: how many links, and the vehicles by way of which it goes, where rules name them."""
    between = [_models_between(one, other) for one, other in pairwise(chain)]
    by_way = [any_model(keys, models) if 0 < len(keys) <= MOST_MODELS else "another vehicle" for keys in between]
    return f"by chain, {len(chain)} links, by way of {' and '.join(by_way)}"


def _models_between(one: Link, other: Link) -> tuple[str, ...]:
    """The models that the vehicle between two links may be; empty where neither names any."""
    ends = [(link, end, models_named(link.conditions, end)) for link, end in ((one, End.TARGET), (other, End.PART))]
    named = [models for _, _, models in ends if models is not None]
    every = [key for link, end, _ in ends for each in link.at(end) if each.fact == MODEL for key in each.values]
    both = frozenset.intersection(*named) if named else frozenset()
    return tuple({plain(key): key for key in every if plain(key) in both}.values())


def any_model(keys: Iterable[str], models: Mapping[str, ModelInfo]) -> str:
    """Models as they are said, each with its article; the key of one of which nothing is known."""
    words = [models[key].words_apart if key in models else key for key in keys]
    return " or ".join(dict.fromkeys(map(with_article, words)))


def one_of(name: str) -> str:
    """A part's name as one is spoken of: with its article, unless it is of several things."""
    return name if is_plural(name) else with_article(name)


def with_article(words: str) -> str:
    """A noun with its article, as it sounds: an Osier, a one-ton."""
    start = words[:3].lower()
    return f"{'an' if start[:1] in tuple('aeiou') and start not in _SOUND_LIKE_W_OR_Y else 'a'} {words}"


_SOUND_LIKE_W_OR_Y = frozenset({"one", "uni", "use", "eur"})
