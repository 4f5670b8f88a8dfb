"""The answer to an ask: parts judged, sets made up, ranked, explained, with the question that decides."""

from __future__ import annotations

from collections.abc import Sequence

from app.errors import YardError
from app.fit.answers import Answer, AnswerLine, Asked
from app.fit.candidates import AtHand, Source
from app.fit.decide import Judge
from app.fit.groups import to_count
from app.fit.knowledge import Knowledge, Offer, Target
from app.fit.lines import Judged, Writer, judged
from app.fit.pages import PAGE, Ranking, misses, unrelated
from app.fit.questions import questions
from app.fit.sets import Stock


class NotCompared(YardError):
    """Nothing speaks of this part and this vehicle, and they are of different families."""

    def __init__(self, tag: str) -> None:
        super().__init__(f"{tag} has nothing to do with that vehicle", "No rule and no family joins them.", place="tag")


def answer(asked: Asked, target: Target, offers: Sequence[Offer], stock: Sequence[Offer], know: Knowledge) -> Answer:
    """Judge the parts on offer for a target.

    `offers` are parts of the asked kinds that are free, or blocked by law and shown only under "do not
    sell"; `stock` is everything companions may be taken from.
    """
    return answer_from(asked, target, AtHand(offers, stock), know)


def answer_from(asked: Asked, target: Target, source: Source, know: Knowledge) -> Answer:
    """Judge candidates, the most promising first, until the page is full; what a rule may refuse, in any case."""
    ranking = Ranking(Judge(target, know), source)
    # Lots are put to a count from all there are.
    most = PAGE if target.quantity is None else len(source.candidates)
    ranking.fill(most)
    writer = Writer(target, know)
    answers = _listed(ranking.met(most), target, writer)
    shown = answers[:PAGE]
    return Answer(
        asked=asked,
        questions=questions(ranking.judged, target, know),
        answers=shown,
        not_what_was_asked=_listed(ranking.missing(most), target, writer, wants=True)[:PAGE],
        do_not_sell=tuple(map(writer.line, ranking.refused(PAGE))),
        counted=(len(shown), ranking.answers if target.quantity is None else len(answers)),
    )


def _listed(rows: Sequence[Judged], target: Target, writer: Writer, *, wants: bool = False) -> tuple[AnswerLine, ...]:
    """Answers in words, put to the wanted count where there is one."""
    if target.quantity is None:
        return tuple(writer.line(row, misses(row, target) if wants else ()) for row in rows)
    grouped = to_count([(writer.line(row), row.parts) for row in rows], target.quantity)
    grouped.sort(key=lambda row: _line_rank(*row))
    return tuple(line for line, _ in grouped)


def _line_rank(line: AnswerLine, parts: Sequence[Offer]) -> tuple[object, ...]:
    shelf = any(not each.on_shelf for each in parts)
    miles = max(each.miles or 0 for each in parts)
    oldest = min(each.made_on for each in parts)
    return (line.grade.rank, shelf, line.condition.rank, miles, line.price_cents, oldest, line.tags)


def line_for(offer: Offer, target: Target, stock: Sequence[Offer], know: Knowledge) -> AnswerLine:
    """One part against one target, whatever it comes to.

    Raises:
        NotCompared: the two are of different families and no rule speaks of them.
    """
    judge = Judge(target, know)
    decision = judge.decide(offer)
    row = judged(decision, Stock(lambda: stock, judge.banned)) if decision is not None else None
    if row is None or unrelated(row):
        raise NotCompared(offer.tag)
    return Writer(target, know).line(row, misses(row, target))
