"""The sentence to say at the counter, made from the facts of each answer, with its number in it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache

from app.fit.amounts import hours, money
from app.fit.answers import WorkLine
from app.fit.conditions import Finding, Truth
from app.fit.decide import Decision
from app.fit.known import Known, Offer
from app.fit.laws import TypeLaw
from app.fit.making import record
from app.fit.outcomes import Outcome
from app.fit.resolve import Fire
from app.fit.rules import End, Evidence, Rule, RuleKind
from app.fit.saying.opens import Open
from app.fit.saying.reasons import QUIET, fires, listed, one_of, whys, with_article
from app.fit.sets import Company
from app.fit.terms import Grade, Hazard
from app.fit.values import same, unit_of


@record(frozen=True, slots=True)
class Saying:
    """All that a sentence is made of; `price` is in words already.

    `open` is what would have to be known, `facts` what is known of the customer's vehicle, `vehicle` what is amiss
    with what was said of it, `by_way` the chain in words.
    """

    decision: Decision
    outcome: Outcome
    price: str
    company: Company
    told: tuple[str, ...]
    work: tuple[WorkLine, ...]
    names: tuple[str, ...]
    open: Open
    facts: Mapping[str, Known]
    vehicle: str
    by_way: str

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


def say(grade: Grade, saying: Saying) -> str:
    """The sentence to say for a grade; of a lump also what is gone from it."""
    said = _SAID[grade](saying)
    gone = saying.decision.offer.gone_pieces
    return f"{said} Gone from it: {' and '.join(name for name, _ in gone)}." if gone else said


def _off(offer: Offer) -> str:
    identity = offer.subject.identity
    known = identity.model.words if identity else offer.donor
    return f"off {with_article(known or 'vehicle that nobody wrote down')}"


def _shelf(offer: Offer) -> str:
    if offer.on_shelf:
        return f"on the shelf, {offer.where}" if offer.where else "on the shelf"
    if offer.pull_hours is not None:
        return f"still on the vehicle, {offer.pull_hours.normalize():f} h to pull"
    return offer.where or "still on the vehicle"


def _bolts_up(saying: Saying) -> str:
    offer = saying.offer
    core = f" and {money(offer.core_cents)} core" if offer.core_cents else ""
    chain = f" {saying.by_way}" if saying.by_way else ""
    told = "".join(f" {_sentence(each)}" for each in saying.told)
    bolts_up = f"This one bolts up{chain}: {saying.price}{core}, condition {offer.condition}"
    return f"{bolts_up}, {_off(offer)}, {_shelf(offer)}.{told}"


def _move_over(saying: Saying) -> str:
    if not saying.work_words:
        # Nobody wrote down what moves over: then what follows from it is said.
        told = "; ".join(saying.told) or whys(saying.outcome)
        return f"It bolts up once small pieces are moved over: {told}. It's {saying.price}, {_shelf(saying.offer)}."
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
    *first, last = saying.told or (whys(saying.outcome),)
    told = "; ".join([*first, f"and {last}" if first else last])
    return f"It bolts in and works differently: {told}. It's {saying.price}, {_shelf(saying.offer)}."


def _needs_work(saying: Saying) -> str:
    company = saying.company
    more = f", {money(sum(each.price_cents for each in company.found))} more" if company.found else ""
    with_it = f"; you'd want {' + '.join(each.name for each in company.found)} besides{more}" if company.found else ""
    lacking = f"; you'd want {_missing(company)} besides, and I'm short of that" if company.missing else ""
    work = saying.work_words or whys(saying.outcome)
    return f"It goes on with work: {work}{with_it}{lacking}. {saying.price}, {_shelf(saying.offer)}."


def _wont_fit(saying: Saying) -> str:
    why = whys(saying.outcome)
    spoken = fires(saying.outcome)
    if spoken and all(each.rule.kind is RuleKind.LAW for each in spoken):
        return f"I can't sell that: {why}{_seen_of_ours(spoken, why)}."
    # What the reason says already is not said twice.
    said = _content(why)
    told = "; ".join(saying.told) if any(not _content(each) <= said for each in saying.told) else ""
    if not told:
        return f"Won't fit: {why or saying.offer.name}."
    # What follows says it better than the reason in a word, unless it is only the figure to it.
    return f"Won't fit: {told}." if len(told) > len(why) else f"Won't fit: {why}; {told}."


def _seen_of_ours(spoken: Sequence[Fire], why: str) -> str:
    """What was seen on our part that the rules look at, where their reason does not say it already."""
    findings = [each for fire in spoken for each in fire.findings if each.condition.end is End.PART]
    seen = dict.fromkeys(each.words for each in findings if each.fact not in QUIET and each.words not in why)
    return f" ({'; '.join(filter(None, seen))})" if any(seen) else ""


@lru_cache(maxsize=4096)
def _content(words: str) -> frozenset[str]:
    """The words that say something, whatever joins them."""
    return frozenset(_WORDS.findall(words.lower())) - _JOINING


def _set_short(saying: Saying) -> str:
    company = saying.company
    missing = _missing(company)
    needed = [_pieces_needed(each) for fire in fires(saying.outcome) for each in fire.findings]
    pieces = next((f"I've {saying.offer.pieces} of {count}" for count in needed if count), "I'm short of a piece")
    short = f"I'm short of {missing}" if missing else pieces
    beside = f"; I do have {' + '.join(each.name for each in company.found)}" if company.found else ""
    return f"It only works as a set, and {short}{beside}. No price until you accept in writing to go without."


def _missing(company: Company) -> str:
    """The companions that are not in stock, and what would do instead of them."""
    instead = dict.fromkeys(each.or_else for each in company.missing if each.or_else)
    names = listed([f"{one_of(each.part_type)} {each.side}".strip() for each in company.missing])
    return f"{names} (or {' or '.join(instead)})" if instead else names


def _pieces_needed(finding: Finding) -> str:
    missed = finding.condition.fact == "pieces" and finding.truth is Truth.NO and finding.condition.values
    return finding.condition.values[0] if missed else ""


def _not_compared(saying: Saying) -> str:
    offer = saying.offer
    kept_off = next((_NEVER_TRIED[each] for each in (*offer.hazards, offer.law) if each in _NEVER_TRIED), "")
    unless = _unless(saying)
    if kept_off:
        start = f"I've one {_off(offer)}, never compared with yours and never tried on, for {kept_off}."
        return f"{start}{unless}{_sizes(saying)}"
    one, at = ("a lot", "at") if offer.pieces > 1 else ("one", "for")
    start = f"I've {one} {_off(offer)} {at} {saying.price}, never compared with yours"
    joined = f".{unless}{' Else we' if saying.open.told else ' We'}" if unless else ": we"
    return f"{start}{joined}'d try it before you pay.{_sizes(saying)}"


def _unless(saying: Saying) -> str:
    """Where a part that was never compared would surely be refused, or short of its set."""
    said = [
        f" If {each.when} it only works as a set, and I'm short of a piece."
        if each.grade is Grade.SET_SHORT
        else f" If {each.when} I can't sell it: {each.why}."
        for each in saying.open.told[:MOST_SAID]
    ]
    refusal = next((whys(each) for each in saying.decision.outcomes if each.grade is Grade.WONT_FIT), "")
    return "".join(said) or (f" It may not fit: {refusal}." if refusal else "")


def _sizes(saying: Saying) -> str:
    """The sizes of ours, and of yours as far as they were taken."""
    sizes = [(name, value) for name, value in saying.offer.facts if unit_of(value) in _SIZES]
    said = [
        f"{name} {value}, yours {saying.facts[name].value}" if name in saying.facts else f"{name} {value}"
        for name, value in sizes
    ]
    measure = "; measure yours" if any(name not in saying.facts for name, _ in sizes) else ""
    return f" Ours: {', '.join(said)}{measure}." if said else ""


def _measure(saying: Saying) -> str:
    left = saying.open
    if left.told:
        whens: dict[Grade, list[str]] = {}
        for each in left.told[:MOST_SAID]:
            whens.setdefault(each.grade, []).append(each.value if left.by else each.when)
        grades = [f"{_IN_SHORT[grade]} if {' or if '.join(when)}" for grade, when in whens.items()]
        mark = "; " if any(", " in each for each in grades) else ", "
        # What goes along with it is priced once it is known to be needed.
        at = "from" if Grade.SET in whens else "at"
        return f"Could be yours {at} {saying.price}{f', by {left.by}' if left.by else ''}: {mark.join(grades)}."
    right = f"{saying.price} if it is right."
    if left.disputed:
        return f"{_disputed(saying)} {right}"
    if left.ours:
        besides = [name for name in left.theirs if name not in left.ours]
        yours = f", then at yours{f': {_some(besides)}' if besides else ''}" if left.theirs else ""
        return f"Let me look at mine first: {_some(left.ours)}{yours}. {right}"
    if saying.vehicle:
        return f"I won't promise it: {saying.vehicle}. {right}"
    return f"I won't promise it until we {_still_to_do(saying)}. {right}"


def _still_to_do(saying: Saying) -> str:
    """What has to be known and measured before a part can be promised."""
    left = saying.open
    both = [name for name in left.ours_missing if name in left.missing]
    yours = [name for name in (*left.theirs, *left.missing) if name not in both]
    ours = [name for name in left.ours_missing if name not in both]
    steps = [
        f"know {_some(yours)}" if yours else "",
        f"measure {_some(both)} on yours and on ours" if both else "",
        f"measure {_some(ours)} on ours" if ours else "",
        f"measure: {'; '.join(left.doubts)}" if left.doubts else "",
    ]
    found = [each for each in steps if each]
    return listed(found) if found else f"measure: {whys(saying.outcome) or 'it was never measured'}"


def _some(names: Sequence[str]) -> str:
    """The first of some names, and how many more there are."""
    more = len(names) - MOST_SAID
    return listed([*names[:MOST_SAID], f"{more} more"] if more > 0 else names)


def _disputed(saying: Saying) -> str:
    """What became of the parts sold by a rule in dispute, and what to tape, if anything would tell."""
    left = saying.open
    figures = {each.fact for rule in left.disputed for each in rule.consequences if each.fact in saying.facts}
    alike = [name for name, value in saying.offer.facts if name in figures and same(value, saying.facts[name].value)]
    on_both = [f"{name} {saying.facts[name].value} on both" for name in alike]
    history = "; ".join((*map(_history, left.disputed), *saying.told, *on_both))
    if left.tape:
        return f"I won't promise it until we measure {_some(left.tape)} on yours: {history}."
    return f"That can't be settled over the phone: {history}. We'd hold the two against each other first."


def _history(rule: Rule) -> str:
    """What became of the parts that were sold by a rule in dispute."""
    kept = sum(line.count for line in rule.evidence if line.kind is Evidence.SOLD_AND_KEPT)
    back = sum(line.count for line in rule.evidence if line.kind is Evidence.RETURNED)
    if not back:
        return rule.why or "somebody doubts it"
    return f"{kept} sold and kept, {back} came back" if kept else f"{back} came back"


MOST_SAID = 3
_WORDS = re.compile(r"[a-z0-9.]*[a-z0-9]")
_JOINING = frozenset({"the", "a", "an", "it", "is", "in", "of", "on", "to", "at", "and", "that"})
_VOLTAGE, _CHARGE = "it carries high voltage", "it holds a live charge"
_NEVER_TRIED: Mapping[str, str] = {
    Hazard.HIGH_VOLTAGE: _VOLTAGE,
    TypeLaw.HIGH_VOLTAGE: _VOLTAGE,
    Hazard.AIRBAG: _CHARGE,
    TypeLaw.AIRBAG: _CHARGE,
    Hazard.BELT: _CHARGE,
    TypeLaw.BELT: _CHARGE,
}
"""Why a part is not tried on, by what can hurt and by the law it stands under. Common practice, no source."""
_SIZES = frozenset({"in", "mm", "ft"})
_IN_SHORT = {
    Grade.BOLTS_UP: "bolts up",
    Grade.MOVE_OVER: "bolts up once pieces are moved over",
    Grade.SET: "goes on as a set",
    Grade.BOLTS_IN: "bolts in and works differently",
    Grade.NEEDS_WORK: "goes on with work",
    Grade.SET_SHORT: "only works as a set, and I'm short of a piece of it,",
}
"""What a part may be sold under, or only with something missing, within a sentence."""

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
