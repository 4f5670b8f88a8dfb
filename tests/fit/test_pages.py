"""The first page of an answer, found by looking at the most promising parts first, is that of the whole answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from app.fit.candidates import AtHand, Candidate, may_be_offered
from app.fit.decide import Judge
from app.fit.engine import answer_from
from app.fit.known import Offer
from app.fit.lines import Judged
from app.fit.pages import PAGE, Ranking
from app.fit.terms import Grade
from tests.fit.small_yards import Yard, small_yard

SEEDS = range(600)


class Watched(AtHand):
    """Parts at hand that count which of them anybody had whole."""

    def __init__(self, offers: Sequence[Offer], stock: Sequence[Offer]) -> None:
        super().__init__(offers, stock)
        self.looked_at: set[str] = set()

    def offer(self, candidate: Candidate) -> Offer:
        """The part itself, written down as looked at."""
        whole = super().offer(candidate)
        self.looked_at.add(whole.tag)
        return whole


def ranked(yard: Yard, most: int) -> Ranking:
    ranking = Ranking(Judge(yard.target, yard.know), AtHand(yard.offers, yard.stock))
    ranking.fill(most)
    return ranking


def said(rows: Sequence[Judged]) -> list[tuple[Grade, tuple[str, ...]]]:
    return [(row.grade, tuple(each.tag for each in row.parts)) for row in rows]


@pytest.mark.parametrize("most", [1, 2, 3])
def test_a_short_page_is_the_top_of_the_whole_list_and_refuses_the_same(most: int) -> None:
    shortened = 0
    for seed in SEEDS:
        yard = small_yard(seed)
        whole, short = ranked(yard, len(yard.offers)), ranked(yard, most)
        assert said(short.met(most)) == said(whole.met(len(yard.offers)))[:most], f"small_yard({seed})"
        assert said(short.refused(99)) == said(whole.refused(99)), f"small_yard({seed})"
        assert short.answers >= whole.answers, f"small_yard({seed})"
        shortened += whole.answers > most
    assert shortened > len(SEEDS) // 15, "many yards must have more answers than the page takes"


def test_the_whole_list_counts_its_answers_and_no_others() -> None:
    for seed in SEEDS:
        yard = small_yard(seed)
        whole = ranked(yard, len(yard.offers))
        assert whole.answers == len(whole.met(99)), f"small_yard({seed})"


@pytest.mark.parametrize("known", [True, False], ids=["a vehicle", "no vehicle"])
def test_no_part_comes_to_more_than_was_hoped_of_its_kind(known: bool) -> None:
    refused = in_company = short = 0
    for seed in SEEDS:
        yard = small_yard(seed)
        judge = Judge(yard.target if known else replace(yard.target, identities={}), yard.know)
        for offer in filter(may_be_offered, yard.offers):
            hope, decision = judge.hope(offer)[0], judge.decide(offer)
            # What all of a kind come to is worked out and not hoped for.
            if decision is None or hope.alike:
                continue
            assert decision.grade.rank >= hope.best, f"small_yard({seed}) {offer.tag}"
            assert hope.may_be_refused or decision.grade is not Grade.WONT_FIT, f"small_yard({seed}) {offer.tag}"
            assert hope.in_company or not decision.merged.in_company, f"small_yard({seed}) {offer.tag}"
            refused += not hope.may_be_refused
            in_company += not hope.in_company
            short += hope.best > Grade.BOLTS_UP.rank
    assert min(refused, in_company, short) > 50


def test_of_many_parts_alike_only_those_on_the_page_are_looked_at() -> None:
    """Where a part bolts up and no rule may refuse it, a thousand more of it cost no more."""
    tried = 0
    for seed in SEEDS:
        yard = small_yard(seed)
        first = next(iter(ranked(yard, 1).met(1)), None)
        if yard.target.quantity is not None or yard.target.wants or first is None or first.grade is not Grade.BOLTS_UP:
            continue
        part, judge = first.parts[0], Judge(yard.target, yard.know)
        decision = judge.decide(part)
        if judge.hope(part)[0].may_be_refused or decision is None or decision.merged.in_company:
            continue
        tried += 1
        source = Watched([replace(part, tag=f"N{number:04d}") for number in range(1000)], yard.stock)
        found = answer_from(yard.asked, yard.target, source, yard.know)
        assert found.counted == (PAGE, 1000)
        assert len(source.looked_at) == PAGE, f"small_yard({seed})"
    assert tried > 20
