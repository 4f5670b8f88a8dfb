"""The sentence to say at the counter, made from the facts of each answer, with its number in it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal

from app.fit.answers import WorkLine
from app.fit.conditions import Finding, Truth
from app.fit.decide import Decision
from app.fit.knowledge import Offer
from app.fit.making import record
from app.fit.merging import MODEL, merge_grades
from app.fit.outcomes import Outcome
from app.fit.reasons import fact_words, fires, whys
from app.fit.rules import Evidence, Rule, RuleState
from app.fit.sets import Company
from app.fit.terms import Grade
from app.fit.values import unit_of


@record(frozen=True, slots=True)
class Saying:
    """All that a sentence is made of; `price` is in words already."""

    decision: Decision
    outcome: Outcome
    price: str
    company: Company
    told: tuple[str, ...]
    work: tuple[WorkLine, ...]
    names: tuple[str, ...] = ()

    @property
    def offer(self) -> Offer:
        """The part the sentence is about."""
        return self.decision.offer

    @property
    def work_words(self) -> str:
        """The work with its hours in all."""
        mark = "; " if any(", " in each.work for each in self.work) else ", "
        words = mark.join(each.work for each in self.work)
        total = hours(self.work)
        in_all = " in all" if len(self.work) > 1 else ""
        return f"{words}{mark}{total.normalize():f} h{in_all}" if total else words


def money(cents: int) -> str:
    """Money as it is said: no cents when there are none."""
    return f"{cents // 100:,}" if cents % 100 == 0 else f"{cents / 100:,.2f}"


def hours(lines: Sequence[WorkLine]) -> Decimal:
    """Hours in all."""
    return sum((each.hours for each in lines if each.hours is not None), Decimal(0))


def say(grade: Grade, saying: Saying) -> str:
    """The sentence to say for a grade."""
    return _SAID[grade](saying)


def _off(offer: Offer) -> str:
    model = offer.subject.identity.model.words if offer.subject.identity else offer.donor
    return f"off {'an' if model[:1].lower() in 'aeiou' else 'a'} {model}"


def _shelf(offer: Offer) -> str:
    if offer.on_shelf:
        return f"on the shelf, {offer.where}" if offer.where else "on the shelf"
    if offer.pull_hours is not None:
        return f"still on the vehicle, {offer.pull_hours.normalize():f} h to pull"
    return offer.where or "still on the vehicle"


def _bolts_up(saying: Saying) -> str:
    offer = saying.offer
    core = f" and {money(offer.core_cents)} core" if offer.core_cents else ""
    chain = f" by way of {len(saying.outcome.chain)} others" if saying.outcome.chain else ""
    told = "".join(f" {_sentence(each)}" for each in saying.told)
    bolts_up = f"This one bolts up{chain}: {saying.price}{core}, condition {offer.condition}"
    return f"{bolts_up}, {_off(offer)}, {_shelf(offer)}.{told}"


def _move_over(saying: Saying) -> str:
    return f"It bolts up once you {saying.work_words}: {saying.price}, {_shelf(saying.offer)}."


def _set(saying: Saying) -> str:
    names = " + ".join(saying.names)
    work = f"; {saying.work_words}" if saying.work_words else ""
    had = " and ".join(each.part_type for each in saying.company.had)
    has = f" You have the {had} already." if had else ""
    because = f" {_sentence(saying.told[0])}" if saying.told else ""
    return f"As a set, all or none: {names}, {saying.price} for everything{work}.{because}{has}"


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def _bolts_in(saying: Saying) -> str:
    told = "; ".join(saying.told) or whys(saying.outcome)
    return f"It bolts in, but {told}. {saying.price}, {_shelf(saying.offer)}."


def _needs_work(saying: Saying) -> str:
    company = saying.company
    with_it = [each.name for each in company.found] or [each.part_type for each in company.missing]
    more = f", {money(sum(each.price_cents for each in company.found))} more" if company.found else ""
    extra = f"; you'd want {' + '.join(with_it)} besides{more}" if with_it else ""
    work = saying.work_words or whys(saying.outcome)
    return f"It goes on with work: {work}{extra}. {saying.price}, {_shelf(saying.offer)}."


def _wont_fit(saying: Saying) -> str:
    why, told = whys(saying.outcome), "; ".join(saying.told)
    if not told or told in why:
        return f"Won't fit: {why or saying.offer.name}."
    # What follows says it better than the reason in a word, unless it is only the figure to it.
    return f"Won't fit: {told}." if len(told) > len(why) else f"Won't fit: {why}; {told}."


def _set_short(saying: Saying) -> str:
    missing = " and ".join(each.part_type for each in saying.company.missing)
    needed = [_pieces_needed(each) for fire in fires(saying.outcome) for each in fire.findings]
    pieces = next((f"I've {saying.offer.pieces} of {count}" for count in needed if count), "I'm short of a piece")
    short = f"I'm short of {missing}" if missing else pieces
    return f"It only works as a set, and {short}. {saying.price} for what I have."


def _pieces_needed(finding: Finding) -> str:
    missed = finding.condition.fact == "pieces" and finding.truth is Truth.NO and finding.condition.values
    return finding.condition.values[0] if missed else ""


def _not_compared(saying: Saying) -> str:
    sizes = ", ".join(f"{name} {value}" for name, value in saying.offer.facts if unit_of(value) in _SIZES)
    measured = f" Ours: {sizes}; measure yours." if sizes else ""
    return (
        f"I've one {_off(saying.offer)} for {saying.price}, never compared with yours: "
        f"we'd try it before you pay.{measured}"
    )


def _measure(saying: Saying) -> str:
    decision = saying.decision
    for name in decision.target_facts:
        if name == MODEL:
            continue
        good = _good_values(decision.merged.by_target[name])
        if good:
            told = ", ".join(f"{_IN_SHORT[grade]} if it is {' or '.join(values[:3])}" for grade, values in good.items())
            return f"Could be yours at {saying.price}, by {fact_words(name)}: {told}."
    disputed = [fire.rule for fire in fires(saying.outcome) if fire.rule.state is RuleState.DISPUTED]
    if disputed:
        history = "; ".join((*map(_history, disputed), *saying.told))
        return f"I won't promise it until we measure: {history}. {saying.price} if it is right."
    if decision.merged.part_facts:
        names = " and ".join(fact_words(name) for name in decision.merged.part_facts[:2])
        return f"Let me look at mine first: {names}. {saying.price} if it is right."
    if MODEL in decision.target_facts:
        return f"Could be yours at {saying.price}: it depends on which of these models yours is."
    every = (each for fire in fires(saying.outcome) for each in fire.findings)
    doubts = [_doubt(each) for each in every if each.truth in (Truth.DOUBT, Truth.UNKNOWN)]
    told = "; ".join(dict.fromkeys(doubts)) or whys(saying.outcome) or "it was never measured"
    return f"I won't promise it until we measure: {told}. {saying.price} if it is right."


def _history(rule: Rule) -> str:
    """What became of the parts that were sold by a rule in dispute."""
    kept = sum(line.count for line in rule.evidence if line.kind is Evidence.SOLD_AND_KEPT)
    back = sum(line.count for line in rule.evidence if line.kind is Evidence.RETURNED)
    return f"{kept} sold and kept, {back} came back" if back else rule.why or "somebody doubts it"


def _doubt(finding: Finding) -> str:
    if finding.fact == MODEL:
        return "year, make and model are not said"
    missing = finding.words.endswith(": not known")
    return f"{fact_words(finding.fact)} is not known" if missing else finding.words


def _good_values(values: Mapping[str, frozenset[Grade]]) -> dict[Grade, list[str]]:
    """The values of a fact under which the part may be sold, by the grade it then has, best first."""
    good: dict[Grade, list[str]] = {}
    for value, grades in sorted(values.items()):
        grade = merge_grades(set(grades))
        if grade in _IN_SHORT:
            good.setdefault(grade, []).append(value)
    return dict(sorted(good.items(), key=lambda each: each[0].rank))


_SIZES = frozenset({"in", "mm", "ft"})
_IN_SHORT = {
    Grade.BOLTS_UP: "bolts up",
    Grade.MOVE_OVER: "bolts up once pieces are moved over",
    Grade.SET: "goes on as a set",
    Grade.BOLTS_IN: "bolts in and works differently",
    Grade.NEEDS_WORK: "goes on with work",
}
"""The grades a part may be sold under, within a sentence."""

_SAID: Mapping[Grade, Callable[[Saying], str]] = {
    Grade.BOLTS_UP: _bolts_up,
    Grade.MOVE_OVER: _move_over,
    Grade.SET: _set,
    Grade.MEASURE: _measure,
    Grade.BOLTS_IN: _bolts_in,
    Grade.NEEDS_WORK: _needs_work,
    Grade.SET_SHORT: _set_short,
    Grade.NOT_COMPARED: _not_compared,
    Grade.WONT_FIT: _wont_fit,
}
