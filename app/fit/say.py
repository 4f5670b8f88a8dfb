"""Words for the counter, made from the facts of each answer: a sentence to say, and the reasons behind it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from app.fit.answers import WorkLine
from app.fit.conditions import Truth
from app.fit.decide import Decision
from app.fit.knowledge import FactInfo, Knowledge, Offer
from app.fit.outcomes import Outcome
from app.fit.resolve import Fire
from app.fit.rules import Companion, Consequence, Way
from app.fit.sets import Company
from app.fit.terms import Grade
from app.fit.values import number, unit_of


def money(cents: int) -> str:
    """Money as it is said: no cents when there are none."""
    return f"{cents // 100:,}" if cents % 100 == 0 else f"{cents / 100:,.2f}"


def say(decision: Decision, grade: Grade, price_cents: int, company: Company, know: Knowledge) -> str:
    """The sentence to say, with its number in it."""
    offer, outcome = decision.offer, decision.main
    builder = {
        Grade.BOLTS_UP: _bolts_up,
        Grade.MOVE_OVER: _move_over,
        Grade.SET: _set,
        Grade.BOLTS_IN: _bolts_in,
        Grade.NEEDS_WORK: _needs_work,
        Grade.WONT_FIT: _wont_fit,
    }.get(grade)
    price = money(price_cents)
    if builder is not None:
        return builder(offer, outcome, price, company)
    if grade is Grade.MEASURE:
        return _measure(decision, price, know)
    if grade is Grade.SET_SHORT:
        missing = " and ".join(each.part_type for each in company.missing)
        return f"It only works as a set, and I'm short of {missing}. {price} for what I have."
    return f"I've one {_off(offer)} for {price}, never compared with yours: we'd try it before you pay."


def _off(offer: Offer) -> str:
    model = offer.subject.identity.model.words if offer.subject.identity else offer.donor
    return f"off {'an' if model[:1].lower() in 'aeiou' else 'a'} {model}"


def _shelf(offer: Offer) -> str:
    if offer.on_shelf:
        return f"on the shelf, {offer.where}" if offer.where else "on the shelf"
    return (
        f"still on the vehicle, {offer.pull_hours} h to pull"
        if offer.pull_hours is not None
        else "still on the vehicle"
    )


def _bolts_up(offer: Offer, _outcome: Outcome, price: str, company: Company) -> str:
    del company
    core = f" and {money(offer.core_cents)} core" if offer.core_cents else ""
    return f"This one bolts up: {price}{core}, condition {offer.condition}, {_off(offer)}, {_shelf(offer)}."


def _move_over(offer: Offer, outcome: Outcome, price: str, company: Company) -> str:
    del company
    return f"It bolts up once you {_work_words(outcome)}: {price}, {_shelf(offer)}."


def _set(offer: Offer, outcome: Outcome, price: str, company: Company) -> str:
    names = " + ".join([offer.name, *(each.name for each in company.found)])
    work = _work_words(outcome)
    had = f" You have the {' and '.join(each.part_type for each in company.had)} already." if company.had else ""
    return f"As a set, all or none: {names}, {price} for everything{f'; {work}' if work else ''}.{had}"


def _bolts_in(offer: Offer, outcome: Outcome, price: str, company: Company) -> str:
    del company
    told = "; ".join(consequences(outcome)) or _whys(outcome)
    return f"It bolts in, but {told}. {price}, {_shelf(offer)}."


def _needs_work(offer: Offer, outcome: Outcome, price: str, company: Company) -> str:
    with_it = [each.name for each in company.found] or [each.part_type for each in company.missing]
    extra = f" and you'd want {' + '.join(with_it)}" if with_it else ""
    return f"It goes on with work: {_work_words(outcome)}{extra}. {price}, {_shelf(offer)}."


def _wont_fit(offer: Offer, outcome: Outcome, price: str, company: Company) -> str:
    del price, company
    return f"Won't fit: {_whys(outcome) or offer.name}."


def _measure(decision: Decision, price: str, know: Knowledge) -> str:
    for name in decision.target_facts:
        values = [
            value
            for value, grades in decision.by_target[name].items()
            if grades and min(each.rank for each in grades) < Grade.SET_SHORT.rank
        ]
        if values:
            return f"Could be yours at {price}: right if {fact_words(name)} is {' or '.join(values[:3])}."
    if decision.part_facts:
        names = " and ".join(fact_words(name) for name in decision.part_facts[:2])
        return f"Let me look at mine first: {names}. {price} if it is right."
    whys = _whys(decision.main)
    doubts = [each.words for fire in _fires(decision.main) for each in fire.findings if each.truth is not Truth.YES]
    told = "; ".join(dict.fromkeys([*doubts, whys])) or "it was never measured"
    del know
    return f"I won't promise it until we measure: {told}. {price} if it is right."


def fact_words(name: str) -> str:
    """A fact's name in a sentence."""
    return {"built": "the build month on the door sticker"}.get(name, f"the {name}")


def _fires(outcome: Outcome) -> tuple[Fire, ...]:
    return outcome.resolved.fires if outcome.resolved else ()


def _whys(outcome: Outcome) -> str:
    fires = _fires(outcome)
    said = []
    for fire in fires:
        failed = [each.words for each in fire.findings if each.truth is Truth.NO]
        said.append(
            f"{fire.rule.why} ({'; '.join(failed)})" if failed and fire.rule.why else "; ".join(failed) or fire.rule.why
        )
    return "; ".join(dict.fromkeys(word for word in said if word))


def operations(outcome: Outcome) -> tuple[WorkLine, ...]:
    """The work of all rules that speak, each line once."""
    lines = []
    for fire in _fires(outcome):
        ways = (Way.BOTH, Way.BACK if fire.back else Way.FORTH)
        lines += [WorkLine(each.work, each.hours, each.by_whom) for each in fire.rule.operations if each.way in ways]
    return tuple(dict.fromkeys(lines))


def hours(lines: Sequence[WorkLine]) -> Decimal:
    """Hours in all."""
    return sum((each.hours for each in lines if each.hours is not None), Decimal(0))


def _work_words(outcome: Outcome) -> str:
    lines = operations(outcome)
    words = ", ".join(each.work for each in lines)
    total = hours(lines)
    return f"{words}, {total.normalize():f} h" if total else words


def consequences(outcome: Outcome) -> tuple[str, ...]:
    """What works differently, each with its number."""
    said = [_consequence(each, outcome, fire.back) for fire in _fires(outcome) for each in fire.rule.consequences]
    return tuple(dict.fromkeys(said))


def _consequence(each: Consequence, outcome: Outcome, back: bool) -> str:
    figure = each.amount
    if each.fact and each.worked_out:
        figure = _worked_out(each, outcome) or figure
    del back
    if "{n}" in each.words:
        return each.words.replace("{n}", figure or "?")
    return f"{each.words} ({figure})" if figure and figure not in each.words else each.words


def _worked_out(each: Consequence, outcome: Outcome) -> str:
    ours, theirs = outcome.part.get(each.fact), outcome.target.get(each.fact)
    a, b = (number(known.value) if known is not None else None for known in (ours, theirs))
    if ours is None or a is None or b is None or not b:
        return ""
    if each.worked_out == "percent":
        change = (a / b - 1) * 100
        return f"{abs(float(change)):.1f} % {'more' if change > 0 else 'less'}"
    gap: Fraction = a - b
    return f"{abs(float(gap)):.2f} {unit_of(ours.value)} {'more' if gap > 0 else 'less'}".replace("  ", " ")


def reasons(decision: Decision) -> tuple[str, ...]:
    """Why, with the numbers, naming each rule."""
    said = []
    for outcome in decision.outcomes:
        for fire in _fires(outcome):
            figures = "; ".join(each.words for each in fire.findings if _worth_saying(each.condition.fact))
            why = fire.rule.why or str(fire.grade)
            said.append(f"{fire.rule.code}: {why}{f' [{figures}]' if figures else ''}")
        if outcome.chain:
            path = ", then ".join(f"{link.rule.code} ({link.rule.why})" for link in outcome.chain)
            said.append(f"by chain, {len(outcome.chain)} links: {path}")
        if outcome.design:
            said.append(f"the vehicle carries this very design ({outcome.design})")
    return tuple(dict.fromkeys(said)) or ("no rule and no measurement speaks of the two",)


def _worth_saying(fact: str) -> bool:
    return fact not in ("model", "part type")


def rules_of(decision: Decision) -> tuple[str, ...]:
    """The codes of the rules that speak in any world."""
    codes = [fire.rule.code for outcome in decision.outcomes for fire in _fires(outcome)]
    codes += [link.rule.code for outcome in decision.outcomes for link in outcome.chain]
    against = [fire.rule.code for each in decision.outcomes if each.resolved for fire in each.resolved.against]
    main = [fire.rule.code for fire in _fires(decision.main)]
    return tuple(dict.fromkeys([*main, *codes, *against]))


def evidence_of(decision: Decision) -> tuple[str, ...]:
    """Where the word of each rule comes from."""
    said = []
    for outcome in decision.outcomes:
        for fire in _fires(outcome):
            for line in fire.rule.evidence:
                count = f" {line.count}×" if line.count > 1 else ""
                said.append(f"{fire.rule.code}: {line.kind}{count}{f', {line.words}' if line.words else ''}")
    return tuple(dict.fromkeys(said))


def companion_words(company: Company, needed: Sequence[Companion]) -> tuple[str, ...]:
    """The companions in words: in stock with their tag, missing, or on the vehicle already."""
    said = [f"{each.name} {each.tag}, {money(each.price_cents)}" for each in company.found]
    said += [_missing_words(each) for each in company.missing]
    said += [f"{each.part_type}: the customer has it" for each in company.had]
    return tuple(said) if said or not needed else tuple(each.part_type for each in needed)


def _missing_words(each: Companion) -> str:
    side = f" {each.side}" if each.side else ""
    return f"{each.part_type}{side}: not in stock{f', or {each.or_else}' if each.or_else else ''}"


def unknowns(decision: Decision, facts: Mapping[str, FactInfo]) -> tuple[str, ...]:
    """What would have to be known, of the customer's vehicle and of our part."""
    theirs = [_ask_words(name, facts) for name in decision.target_facts]
    ours = [f"look at ours: {name}" for name in decision.part_facts]
    return tuple(dict.fromkeys([*theirs, *ours]))


def _ask_words(name: str, facts: Mapping[str, FactInfo]) -> str:
    info = facts.get(name)
    return info.question if info is not None and info.question else fact_words(name)
