"""Answers made of several lots, when the customer wants a number of pieces."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from app.fit.answers import AnswerLine
from app.fit.counts import exact_groups
from app.fit.knowledge import Offer
from app.fit.say import money
from app.fit.terms import Grade, Side

Row = tuple[AnswerLine, tuple[Offer, ...]]
COUNTABLE = frozenset({Grade.BOLTS_UP, Grade.MOVE_OVER, Grade.BOLTS_IN, Grade.NEEDS_WORK})


def to_count(
    rows: Sequence[Row], wanted: int | None, side: Side = Side.NONE, most_cents: int | None = None
) -> list[Row]:
    """Lots put together to the wanted count; lots that make no group are told apart as short.

    Of parts that have sides, where none was asked for, half come from the left and half from the right, all of one
    grade. Groups at most so dear come before dearer ones. Sets are left as they are.
    """
    if wanted is None:
        return list(rows)
    pairing = wanted % 2 == 0 and not side
    lots = [row for row in rows if is_lot(*row)]
    plain = [row for row in lots if side or not _side(row)]
    groups, left = exact_groups(plain, _pieces, _WORST_OF, _cost, wanted, most_cents)
    for grade in COUNTABLE if pairing else ():
        pairs, alone = _pairs([row for row in lots if _side(row) and row[0].grade is grade], wanted // 2, most_cents)
        groups += pairs
        left += alone
    counted = plain if not pairing else lots
    others = (row for row in rows if row not in counted)
    return [*(_together(group, wanted) for group in groups), *(_short(row, wanted) for row in left), *others]


def is_lot(line: AnswerLine, parts: Sequence[Offer]) -> bool:
    """Whether an answer may be sold as one of several."""
    return line.grade in COUNTABLE and len(parts) == 1


def _pairs(rows: Sequence[Row], half: int, most_cents: int | None) -> tuple[list[list[Row]], list[Row]]:
    """Groups with so many pieces of the left and as many of the right."""
    # A piece of the right counts for more than all of the left do together.
    right = sum(map(_pieces, rows)) + 1

    def counted(row: Row) -> int:
        return _pieces(row) * (right if _side(row) is Side.RH else 1)

    return exact_groups(rows, counted, _WORST_OF, _cost, half + half * right, most_cents, with_surplus=False)


def _side(row: Row) -> Side:
    return row[1][0].subject.side


def _pieces(row: Row) -> int:
    return row[1][0].pieces


_WORST_OF: tuple[Callable[[Row], int], ...] = (
    lambda row: row[0].grade.rank,
    lambda row: not row[1][0].on_shelf,
    lambda row: row[0].condition.rank,
    lambda row: row[1][0].miles or 0,
)


def _cost(row: Row) -> tuple[int, ...]:
    return (row[0].price_cents, row[1][0].made_on.toordinal())


def _together(group: Sequence[Row], wanted: int) -> Row:
    count = sum(_pieces(row) for row in group)
    if len(group) == 1 and count == wanted:
        return group[0]
    ordered = sorted(group, key=lambda row: (-_pieces(row), row[0].tags))
    lines = [line for line, _ in ordered]
    parts = tuple(part for _, each in ordered for part in each)
    price = sum(line.price_cents for line in lines)
    surplus = f", {count - wanted} over" if count > wanted else ""
    names = " + ".join(map(_counted, parts))
    worst = max(lines, key=lambda line: line.grade.rank)
    together = replace(
        worst,
        tags=tuple(part.tag for part in parts),
        names=tuple(part.name for part in parts),
        price_cents=price,
        core_cents=sum(line.core_cents for line in lines),
        condition=max((line.condition for line in lines), key=lambda each: each.rank),
        where=tuple(part.where for part in parts),
        donors=tuple(dict.fromkeys(part.donor for part in parts)),
        say=f"{count} pieces together{surplus}: {names}, {money(price)} for the lot.",
        reasons=tuple(dict.fromkeys(reason for line in lines for reason in line.reasons)),
        rules=tuple(dict.fromkeys(rule for line in lines for rule in line.rules)),
    )
    return together, parts


def _counted(part: Offer) -> str:
    one = f"the {part.subject.side}, {part.tag}" if part.subject.side and part.pieces == 1 else ""
    return one or f"{part.pieces} of {part.tag}"


def _short(row: Row, wanted: int) -> Row:
    line, parts = row
    told = f"{_pieces(row)} of {wanted}"
    say = f"I've only {told}. No price until you accept in writing to be short of the rest."
    if _pieces(row) > wanted:
        told = f"{_pieces(row)} for {wanted}"
        say = f"That lot is sold whole, {told}: {money(line.price_cents)}."
    short = replace(line, grade=Grade.SET_SHORT, say=say, reasons=(told, *line.reasons))
    return short, parts
