"""The answer to an ask: every part judged, sets made up, ranked, explained, with the question that decides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from app.fit.answers import Answer, AnswerLine, Asked
from app.fit.decide import Decision, Outcome, decide
from app.fit.groups import to_count
from app.fit.knowledge import Knowledge, Offer, Target
from app.fit.questions import questions
from app.fit.rules import Companion
from app.fit.say import (
    companion_words,
    consequences,
    evidence_of,
    operations,
    reasons,
    rules_of,
    say,
    unknowns,
)
from app.fit.sets import NOT_OFFERED, Company, companions_of, gather, is_itself
from app.fit.terms import Grade
from app.fit.wants import missed

PAGE = 50
Rank = tuple[int, bool, int, int, int, date, tuple[str, ...]]


def answer(asked: Asked, target: Target, offers: Sequence[Offer], stock: Sequence[Offer], know: Knowledge) -> Answer:
    """Judge the parts on offer for a target.

    `offers` are parts of the asked kinds that are free, or blocked by law and shown only under "do not
    sell"; `stock` is everything companions may be taken from.
    """
    decisions = [each for each in (decide(offer, target, know) for offer in offers) if each is not None]
    rows, refused = [], []
    for decision in decisions:
        row = _line(decision, stock, know)
        if row[0].grade is Grade.WONT_FIT:
            refused.append(row[0])
        elif decision.offer.condition not in NOT_OFFERED and not decision.offer.blocked:
            rows.append(row)
    lines: list[tuple[Rank, AnswerLine]] = []
    not_asked: list[tuple[Rank, AnswerLine]] = []
    for line, parts in to_count(rows, target.quantity):
        misses = _misses(line, parts, target)
        (not_asked if misses else lines).append((_rank(line, parts), _with_misses(line, misses)))
    ranked = _once([line for _, line in sorted(lines, key=lambda each: each[0])])
    below = _once([line for _, line in sorted(not_asked, key=lambda each: each[0])])
    shown = decisions if not refused else [each for each in decisions if each.grade is not Grade.WONT_FIT]
    return Answer(
        asked=asked,
        questions=questions(shown, target, know),
        answers=tuple(ranked[:PAGE]),
        not_what_was_asked=tuple(below[:PAGE]),
        do_not_sell=tuple(sorted(refused, key=lambda line: line.tags)),
        counted=(min(len(ranked), PAGE), len(ranked)),
    )


def _misses(line: AnswerLine, parts: Sequence[Offer], target: Target) -> list[str]:
    asked_for = [each for each in parts if each.part_type in target.wanted]
    return [why for want in target.wants if (why := missed(want, asked_for, line.price_cents))]


def _once(lines: Sequence[AnswerLine]) -> list[AnswerLine]:
    """A set that is reached from each of its pieces is one answer; a piece of a set shown is not short of it."""
    kept: dict[frozenset[str], AnswerLine] = {}
    for line in lines:
        kept.setdefault(frozenset(line.tags), line)
    return list(kept.values())


def _line(decision: Decision, stock: Sequence[Offer], know: Knowledge) -> tuple[AnswerLine, tuple[Offer, ...]]:
    offer, outcome = decision.offer, decision.main
    needed = companions_of(outcome)
    company = gather(offer, outcome, stock) if needed else Company()
    grade = Grade.SET_SHORT if decision.grade is Grade.SET and company.missing else decision.grade
    parts = _in_order(offer, company, needed) if grade is Grade.SET else (offer,)
    price = sum(each.price_cents for each in parts) - sum(each for _, each in offer.gone_pieces)
    line = AnswerLine(
        tags=tuple(each.tag for each in parts),
        names=tuple(each.name for each in parts),
        grade=grade,
        price_cents=price,
        core_cents=sum(each.core_cents for each in parts),
        condition=max((each.condition for each in parts), key=lambda each: each.rank),
        where=tuple(each.where for each in parts),
        donors=tuple(dict.fromkeys(each.donor for each in parts)),
        seen_days=offer.seen_days,
        say=say(decision, grade, price, company, know),
        reasons=reasons(decision),
        rules=rules_of(decision),
        evidence=evidence_of(decision),
        operations=operations(outcome),
        companions=companion_words(company, needed),
        consequences=consequences(outcome),
        unknowns=unknowns(decision, dict(know.facts)),
        cautions=_cautions(parts, outcome),
        facts=offer.facts,
    )
    return line, parts


def _in_order(offer: Offer, company: Company, needed: Sequence[Companion]) -> tuple[Offer, ...]:
    """The pieces of a set: the part first, or, where it is one of its own set's pieces, in the set's order."""
    if not any(is_itself(companion, offer) for companion in needed):
        return (offer, *company.found)
    pieces = (offer, *company.found)
    return tuple(sorted(pieces, key=lambda each: _slot(each, needed)))


def _slot(piece: Offer, needed: Sequence[Companion]) -> int:
    return next((number for number, companion in enumerate(needed) if is_itself(companion, piece)), len(needed))


def _cautions(parts: Sequence[Offer], outcome: Outcome) -> tuple[str, ...]:
    said = [hazard.caution for each in parts for hazard in each.hazards]
    kinds = [each.work for each in operations(outcome) if "weld" in each.work.lower()]
    if kinds:
        said.append("Welding on a frame or near fuel is for certified people, under local rules.")
    return tuple(dict.fromkeys(said))


def _rank(line: AnswerLine, parts: Sequence[Offer]) -> Rank:
    """The order of the list: grade, shelf, condition, miles, price, older tag, tag."""
    return (
        line.grade.rank,
        any(not each.on_shelf for each in parts),
        line.condition.rank,
        max((each.miles or 0 for each in parts), default=0),
        line.price_cents,
        min(each.made_on for each in parts),
        line.tags,
    )


def _with_misses(line: AnswerLine, misses: Sequence[str]) -> AnswerLine:
    if not misses:
        return line
    return replace(line, reasons=(*(f"not what was asked: {why}" for why in misses), *line.reasons))
