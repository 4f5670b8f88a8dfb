"""What is kept of one part for the next must not change what comes of that: judged in company or alone is the same."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from random import Random

import pytest

from app.fit.answers import AnswerLine
from app.fit.candidates import AtHand
from app.fit.decide import Decision, Judge
from app.fit.engine import answer_from
from app.fit.known import Identity, Offer
from app.fit.merging import same_words
from app.fit.rules import Condition, Direction, End, Op, Rule, RuleKind, RuleState
from app.fit.terms import Grade, Side
from tests.fit.small_yards import Yard, small_yard

YARDS, BLOCK = 400, 100


def told(decision: Decision | None) -> object:
    """All that is said of a part."""
    if decision is None:
        return None
    merged = decision.merged
    words = [
        (same_words(each), [finding.words for fire in each.resolved.fires for finding in fire.findings])
        for each in decision.outcomes
        if each.resolved
    ]
    return merged.grade, sorted(map(repr, words)), merged.target_facts, merged.part_facts, merged.by_target


def less_known(offer: Offer, chosen: Random) -> Offer:
    """The same part with its vehicle's year, month and plant, or what was seen of it, perhaps never written down."""
    subject = offer.subject
    identity = subject.identity
    if identity is not None and chosen.random() < 0.5:
        identity = replace(identity, year=None, built=None, plant="")
    facts = subject.facts if chosen.random() < 0.7 else {}
    return replace(offer, subject=replace(subject, identity=identity, facts=facts))


def offers(yard: Yard, chosen: Random) -> Iterator[Offer]:
    """The parts of a yard, each also less well known, in any order."""
    every = [each for offer in yard.offers for each in (offer, less_known(offer, chosen))]
    chosen.shuffle(every)
    return iter(every)


@pytest.mark.parametrize("first", range(0, YARDS, BLOCK))
def test_a_part_comes_to_the_same_in_company_as_alone(first: int) -> None:
    for seed in range(first, first + BLOCK):
        yard = small_yard(seed)
        together = Judge(yard.target, yard.know)
        for offer in offers(yard, Random(seed)):
            alone = Judge(yard.target, yard.know).decide(offer)
            assert told(together.decide(offer)) == told(alone), f"small_yard({seed}), {offer.tag}"


@pytest.mark.parametrize("first", range(0, YARDS, BLOCK))
def test_a_line_says_in_company_what_it_says_alone(first: int) -> None:
    for seed in range(first, first + BLOCK):
        yard = small_yard(seed)
        chosen = Random(seed)
        parts = [less_known(each, chosen) if chosen.random() < 0.5 else each for each in yard.offers]
        if yard.target.quantity is not None:
            continue
        together = lines(yard, parts)
        for offer in parts:
            for tags, alone in lines(yard, [offer]).items():
                # A set that is reached from each of its pieces is told from the first, and what is short of a pair may
                # go with another.
                if len(tags) == 1 and (alone.grade is not Grade.SET_SHORT or tags in together):
                    assert together[tags] == alone, f"small_yard({seed}), {offer.tag}"


def lines(yard: Yard, parts: Sequence[Offer]) -> dict[tuple[str, ...], AnswerLine]:
    """All lines of an answer over these parts by their tags."""
    found = answer_from(yard.asked, yard.target, AtHand(parts, yard.stock), yard.know)
    return {line.tags: line for line in (*found.answers, *found.not_what_was_asked, *found.do_not_sell)}


def test_a_year_that_nobody_said_is_one_of_its_own_model() -> None:
    # A rule for two models, from a year on that one of them never saw.
    yard = small_yard(201)
    target = replace(yard.target, side=Side.NONE)
    early, late = (
        replace(model, year_from=first, year_to=first + 3)
        for model, first in zip(list(yard.know.models.values())[:2], (2000, 2005), strict=True)
    )
    types = yard.target.wanted
    conditions = (
        Condition(End.PART, "model", Op.ANY_OF, (early.key, late.key)),
        Condition(End.PART, "year", Op.AT_LEAST, ("2004",)),
    )
    rule = Rule("R77", RuleKind.FIT, Grade.BOLTS_UP, Direction.ONE_WAY, RuleState.OPEN, "", types, types, conditions)
    judge = Judge(target, replace(yard.know, rules=(rule,), moves=()))
    bare = replace(yard.offers[0], part_type=min(types), law="", blocked="", design="")
    grades = []
    for model in (early, late):
        subject = replace(bare.subject, identity=Identity(model), facts={}, donor_facts={}, side=Side.NONE)
        decision = judge.decide(replace(bare, subject=subject))
        grades.append(decision.grade if decision is not None else None)
    assert grades == [Grade.NOT_COMPARED, Grade.BOLTS_UP]
