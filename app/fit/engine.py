"""The answer to an ask: parts judged, sets made up, ranked, explained, with the question that decides."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from app.errors import YardError
from app.fit.answers import Answer, AnswerLine, Asked
from app.fit.besides import besides
from app.fit.candidates import AtHand, Source
from app.fit.decide import Judge
from app.fit.groups import Needed, Row, to_count, together
from app.fit.knowledge import Knowledge
from app.fit.known import Offer, Target
from app.fit.lines import Judged, Writer, judged
from app.fit.pages import PAGE, Ranking, misses, unrelated
from app.fit.questions import questions
from app.fit.setcounts import with_their_own
from app.fit.sets import Stock
from app.fit.terms import Side
from app.fit.wants import missed_prices, most_cents


class NotCompared(YardError):
    """Nothing speaks of this part and this vehicle: they are of different families, or it is of the other side."""

    def __init__(self, tag: str, side: Side = Side.NONE) -> None:
        said = f"{tag} is {side}, of the other side" if side else f"{tag} has nothing to do with that vehicle"
        super().__init__(
            said, "No rule speaks of it there." if side else "No rule and no family joins them.", place="tag"
        )


def answer(asked: Asked, target: Target, offers: Sequence[Offer], stock: Sequence[Offer], know: Knowledge) -> Answer:
    """Judge the parts on offer for a target.

    `offers` are parts of the asked kinds that are free, or blocked by law and shown only under "do not
    sell"; `stock` is everything companions may be taken from.
    """
    return answer_from(asked, target, AtHand(offers, stock), know)


def answer_from(asked: Asked, target: Target, source: Source, know: Knowledge) -> Answer:
    """Judge candidates, the most promising first, until the page is full; what a rule may refuse, in any case."""
    judge = Judge(target, know)
    ranking = Ranking(judge, source)
    # Lots are put to a count from all there are.
    most = PAGE if target.quantity is None else len(source.candidates)
    ranking.fill(most)
    writer = Writer(target, know, asked)
    rows = ranking.met(most)
    if target.quantity is not None:
        rows = with_their_own(rows, source.stock, judge)
    answers = _listed(rows, target, writer, ranking.counted_alike)
    missing = _listed(ranking.missing(most), target, writer, ranking.counted_alike, wants=True)
    if target.quantity is not None:
        answers, dear = _by_total(answers, target)
        missing = sorted([*missing, *dear], key=_line_rank)
    shown = [line for line, _ in answers[:PAGE]]
    return Answer(
        asked=asked,
        questions=questions(ranking.judged, target, know) or besides([row.decision for row in rows], target, know),
        answers=tuple(shown),
        not_what_was_asked=tuple(line for line, _ in missing[:PAGE]),
        do_not_sell=tuple(map(writer.line, ranking.refused(PAGE))),
        counted=(len(shown), ranking.answers if target.quantity is None else len(answers)),
    )


def _listed(
    rows: Sequence[Judged], target: Target, writer: Writer, alike: Mapping[str, Needed], *, wants: bool = False
) -> list[Row]:
    """Answers in words, put to the wanted count where there is one; lots that are `alike` by their tags go together."""
    lines = [_in_words(row, writer, misses(row, target) if wants else ()) for row in rows]
    if target.quantity is None:
        return lines
    return sorted(to_count(lines, target.quantity, target.side, most_cents(target.wants), alike), key=_line_rank)


def _in_words(row: Judged, writer: Writer, why: Sequence[str]) -> Row:
    """An answer in words with its parts, the one asked for first; of several lots that make up one as of one."""
    if not row.several:
        own = row.decision.offer
        return writer.line(row, why), (own, *[each for each in row.parts if each is not own])
    line, parts = together([(writer.line(each, why), each.parts) for each in row.several])
    if len(line.donors) > 1:
        # No rule says that they must be matched; who sells them sees that nobody did.
        odd = f"off different vehicles, {' and '.join(line.donors)}: lay them side by side first"
        line = replace(line, reasons=(*line.reasons, odd))
    return line, parts


def _by_total(rows: Sequence[Row], target: Target) -> tuple[list[Row], list[Row]]:
    """The answers whose price in all is as was asked, and those whose is not."""
    met: list[Row] = []
    dear: list[Row] = []
    for line, parts in rows:
        why = [f"not what was asked: {said}" for said in missed_prices(target.wants, line.price_cents)]
        if why:
            dear.append((replace(line, reasons=(*why, *line.reasons)), parts))
        else:
            met.append((line, parts))
    return met, dear


def _line_rank(row: Row) -> tuple[bool | int | date | tuple[str, ...], ...]:
    line, parts = row
    shelf = any(not each.on_shelf for each in parts)
    miles = max(each.miles_ranked for each in parts)
    oldest = min(each.made_on for each in parts)
    return (line.grade.rank, shelf, line.condition.rank, miles, line.price_cents, oldest, line.tags)


def line_for(offer: Offer, target: Target, stock: Sequence[Offer], know: Knowledge) -> AnswerLine:
    """One part against one target, whatever it comes to.

    Raises:
        NotCompared: the two are of different families, or of different sides, and no rule speaks of them.
    """
    judge = Judge(target, know)
    decision = judge.decide(offer)
    row = judged(decision, Stock(lambda: stock, judge.banned, judge.target)) if decision is not None else None
    if row is None or unrelated(row):
        side = offer.subject.side
        raise NotCompared(offer.tag, side if target.side and side is not target.side else Side.NONE)
    return Writer(target, know).line(row, misses(row, target))
