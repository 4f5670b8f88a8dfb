"""The answer to an ask: every part judged, sets made up, ranked, explained, with the question that decides."""

from __future__ import annotations

from collections.abc import Sequence

from app.errors import YardError
from app.fit.answers import Answer, AnswerLine, Asked
from app.fit.decide import Judge
from app.fit.groups import to_count
from app.fit.knowledge import Knowledge, Offer, Target
from app.fit.lines import Judged, judged, rank, written
from app.fit.questions import questions
from app.fit.sets import NOT_OFFERED, Stock
from app.fit.terms import Grade
from app.fit.wants import OF_EVERY_TAG, missed

PAGE = 50


class NotCompared(YardError):
    """Nothing speaks of this part and this vehicle, and they are of different families."""

    def __init__(self, tag: str) -> None:
        super().__init__(f"{tag} has nothing to do with that vehicle", "No rule and no family joins them.", place="tag")


def answer(asked: Asked, target: Target, offers: Sequence[Offer], stock: Sequence[Offer], know: Knowledge) -> Answer:
    """Judge the parts on offer for a target.

    `offers` are parts of the asked kinds that are free, or blocked by law and shown only under "do not
    sell"; `stock` is everything companions may be taken from.
    """
    judge = Judge(target, know)
    decisions = [each for each in map(judge.decide, offers) if each is not None]
    free = Stock(each for each in stock if not judge.banned(each))
    rows = [row for decision in decisions if not _unrelated(row := judged(decision, free))]
    refused = sorted((row for row in rows if row.grade is Grade.WONT_FIT), key=lambda row: row.decision.offer.tag)
    offered = sorted((row for row in rows if _may_be_offered(row)), key=rank)
    met, missing = _by_wants(offered, target)
    answers, count = _listed(met, target, know)
    below, _ = _listed(missing, target, know, wants=True)
    return Answer(
        asked=asked,
        questions=questions([row.decision for row in rows if row.grade is not Grade.WONT_FIT], target, know),
        answers=answers,
        not_what_was_asked=below,
        do_not_sell=tuple(written(row, target, know) for row in refused[:PAGE]),
        counted=(len(answers), count),
    )


def _unrelated(row: Judged) -> bool:
    """What was never compared is shown only inside a family."""
    return row.grade is Grade.NOT_COMPARED and not row.decision.merged.kin


def _may_be_offered(row: Judged) -> bool:
    offer = row.decision.offer
    return row.grade is not Grade.WONT_FIT and offer.condition not in NOT_OFFERED and not offer.blocked


def _by_wants(rows: Sequence[Judged], target: Target) -> tuple[list[Judged], list[Judged]]:
    met: list[Judged] = []
    missing: list[Judged] = []
    for row in rows:
        (missing if misses(row, target) else met).append(row)
    return met, missing


def misses(row: Judged, target: Target) -> tuple[str, ...]:
    """Why an answer is not what was asked: every tag of an asked type must meet it, "today" every tag at all."""
    asked_for = [each for each in row.parts if each.part_type in target.wanted]
    held = [(want, row.parts if want.fact in OF_EVERY_TAG else asked_for) for want in target.wants]
    return tuple(why for want, parts in held if (why := missed(want, parts, row.price_cents)))


def _listed(
    rows: Sequence[Judged], target: Target, know: Knowledge, *, wants: bool = False
) -> tuple[tuple[AnswerLine, ...], int]:
    """The first page in words, and how many answers there are in all."""
    once: dict[frozenset[str], Judged] = {}
    for row in rows:
        # A set that is reached from each of its pieces is one answer.
        once.setdefault(frozenset(each.tag for each in row.parts), row)
    ranked = list(once.values())
    if target.quantity is not None:
        return _counted(ranked, target.quantity, target, know)
    page = ranked[:PAGE]
    return tuple(written(row, target, know, misses(row, target) if wants else ()) for row in page), len(ranked)


def _counted(
    rows: Sequence[Judged], wanted: int, target: Target, know: Knowledge
) -> tuple[tuple[AnswerLine, ...], int]:
    grouped = to_count([(written(row, target, know), row.parts) for row in rows], wanted)
    grouped.sort(key=lambda row: _line_rank(*row))
    return tuple(line for line, _ in grouped[:PAGE]), len(grouped)


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
    row = judged(decision, Stock(each for each in stock if not judge.banned(each))) if decision is not None else None
    if row is None or _unrelated(row):
        raise NotCompared(offer.tag)
    return written(row, target, know, misses(row, target))
