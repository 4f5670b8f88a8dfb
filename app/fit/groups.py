"""Answers made of several lots, when the customer wants a number of pieces."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import product

from app.fit.amounts import hours, money
from app.fit.answers import AnswerLine, WorkLine
from app.fit.counts import best_group, exact_groups
from app.fit.known import Offer
from app.fit.sets import price_of
from app.fit.terms import QUOTABLE, Grade, Side

Row = tuple[AnswerLine, tuple[Offer, ...]]
Needed = tuple[int, Hashable, Hashable, Hashable]
"""How many pieces a rule needs of a lot that has fewer, and what lots have in common that make them up."""
_NOTHING: Mapping[str, Needed] = {}
COUNTABLE = QUOTABLE - {Grade.SET} | {Grade.MEASURE, Grade.NOT_COMPARED}


def to_count(
    rows: Sequence[Row],
    wanted: int | None,
    side: Side = Side.NONE,
    most_cents: int | None = None,
    alike: Mapping[str, Needed] = _NOTHING,
) -> list[Row]:
    """Lots put together to the wanted count; lots that make no group are told apart as short.

    Of parts that have sides, where none was asked for, half come from the left and half from the right, all of one
    grade. What is in doubt goes together only where the same looks make it right, and what was never compared only with
    its like. Lots that a rule needs to be so many go only with those `alike`, by their tags, and with whole ones where
    that makes no group. Groups at most so dear come before dearer ones. A set that has fewer than wanted is a lot too,
    as far as no better one takes its pieces.
    """
    if wanted is None:
        return list(rows)
    pairing = wanted % 2 == 0 and not side
    sets, spoiled = _apart([row for row in rows if row[0].grade is Grade.SET and _pieces(row) < wanted])
    lots = [row for row in rows if is_lot(*row) or row in sets]
    plain = [row for row in lots if side or not _side(row)]
    groups: list[list[Row]] = []
    left: list[Row] = []
    for some in _alike(plain, lambda row: (_together_with(row), alike.get(row[1][0].tag))):
        found, rest = exact_groups(some, _pieces, _WORST_OF, _cost, wanted, most_cents, with_surplus=not groups)
        groups += found
        left += rest
    if not groups and alike:
        groups, left = _with_singles(left, wanted, most_cents, alike)
    sided = [row for row in lots if _side(row)] if pairing else []
    for some in _alike(sided, lambda row: (row[0].grade, _together_with(row), alike.get(row[1][0].tag))):
        pairs, alone = _pairs(some, wanted // 2, most_cents)
        groups += pairs
        left += alone
    counted = plain if not pairing else lots
    others = (row for row in rows if row not in counted and row not in spoiled)
    short = (_short(row, wanted) for row in (*left, *spoiled))
    return [*(together(group, wanted) for group in groups), *short, *others]


def _with_singles(
    rows: Sequence[Row], wanted: int, most_cents: int | None, alike: Mapping[str, Needed]
) -> tuple[list[list[Row]], list[Row]]:
    """A group of whole lots with singles, of which there are so many in it as their rule needs, the least left over."""
    sure = [row for row in rows if _together_with(row) == ()]
    most_over = max(map(_pieces, sure), default=0)
    for count, limit in product(range(wanted, wanted + most_over), dict.fromkeys((most_cents, None))):
        group = best_group(sure, _pieces, _WORST_OF, _cost, count, limit)
        if group and _has_enough(group, alike):
            taken = {row[1][0].tag for row in group}
            return [group], [row for row in rows if row[1][0].tag not in taken]
    return [], list(rows)


def _has_enough(group: Sequence[Row], alike: Mapping[str, Needed]) -> bool:
    there: dict[Needed, int] = {}
    for row in group:
        if (kind := alike.get(row[1][0].tag)) is not None:
            there[kind] = there.get(kind, 0) + _pieces(row)
    return all(count >= needs for (needs, *_), count in there.items())


def _apart(sets: Iterable[Row]) -> tuple[list[Row], list[Row]]:
    """Sets of which none has a piece of another, the best first, and those that share one with these."""
    taken: set[str] = set()
    apart: list[Row] = []
    sharing: list[Row] = []
    for row in sets:
        (sharing if taken.intersection(row[0].tags) else apart).append(row)
        taken.update(row[0].tags)
    return apart, sharing


def _alike(rows: Iterable[Row], key: Callable[[Row], Hashable]) -> list[list[Row]]:
    """Rows that may stand in one group, the best of them first."""
    found: dict[Hashable, list[Row]] = {}
    for row in sorted(rows, key=lambda row: row[0].grade.rank):
        found.setdefault(key(row), []).append(row)
    return list(found.values())


def _together_with(row: Row) -> Hashable:
    """What lots of one group have in common: all that is sure goes together, what is in doubt by what decides it."""
    line = row[0]
    if line.grade in QUOTABLE:
        return ()
    return (line.grade, line.rules, line.right_if) if line.grade is Grade.MEASURE else line.grade


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
    """How many pieces of what was asked for there are, in a set too."""
    return sum(part.pieces for part in row[1] if part.part_type == row[1][0].part_type)


_WORST_OF: tuple[Callable[[Row], int], ...] = (
    lambda row: row[0].grade.rank,
    lambda row: not all(part.on_shelf for part in row[1]),
    lambda row: row[0].condition.rank,
    lambda row: max(part.miles_ranked for part in row[1]),
)


def _cost(row: Row) -> tuple[int, ...]:
    return (row[0].price_cents, row[1][0].made_on.toordinal())


def together(group: Sequence[Row], wanted: int | None = None) -> Row:
    """Several lots as one answer, of which `wanted` pieces were asked for; None where all of them are needed."""
    count = sum(_pieces(row) for row in group)
    wanted = count if wanted is None else wanted
    if len(group) == 1 and count == wanted:
        return group[0]
    ordered = sorted(group, key=lambda row: (-_pieces(row), row[0].tags))
    lines = [line for line, _ in ordered]
    parts = tuple(part for _, each in ordered for part in each)
    price = sum(line.price_cents for line in lines)
    surplus = f", {count - wanted} over" if count > wanted else ""
    names = " + ".join(map(_counted, parts))
    worst = max(lines, key=lambda line: line.grade.rank)
    work = _work(lines)
    told = _of_all(line.consequences for line in lines)
    unknowns = _of_all(line.unknowns for line in lines)
    together = replace(
        worst,
        tags=tuple(part.tag for part in parts),
        names=tuple(part.name for part in parts),
        price_cents=price,
        core_cents=sum(line.core_cents for line in lines),
        condition=max((line.condition for line in lines), key=lambda each: each.rank),
        where=tuple(part.where for part in parts),
        donors=tuple(dict.fromkeys(part.donor for part in parts)),
        reasons=_of_all(line.reasons for line in lines),
        rules=_of_all(line.rules for line in lines),
        evidence=_of_all(line.evidence for line in lines),
        operations=work,
        companions=_of_all(line.companions for line in lines),
        consequences=told,
        unknowns=unknowns,
        cautions=_of_all(line.cautions for line in lines),
    )
    how = _how(together)
    return replace(together, say=f"{count} pieces together{surplus}: {names}, {money(price)} for the lot.{how}"), parts


def _of_all(words: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(each for some in words for each in some))


def _work(lines: Iterable[AnswerLine]) -> tuple[WorkLine, ...]:
    """The work on every piece; what takes no time is told once."""
    found: list[WorkLine] = []
    for each in (work for line in lines for work in line.operations):
        if each.hours is not None or each not in found:
            found.append(each)
    return tuple(found)


def _how(line: AnswerLine) -> str:
    """What has to be said before a group is sold, by its grade."""
    total = hours(line.operations)
    work = ", ".join(dict.fromkeys(each.work for each in line.operations))
    in_all = f"; {total.normalize():f} h for all of them" if total else ""
    told = "; ".join(line.consequences) or line.reasons[0]
    return {
        Grade.SET: " As a set, all or none.",
        Grade.MOVE_OVER: f" They bolt up once you {work}{in_all}.",
        Grade.MEASURE: f" I won't promise them yet: {'; '.join(line.right_if or line.unknowns) or told}.",
        Grade.BOLTS_IN: f" They bolt in and work differently: {told}.",
        Grade.NEEDS_WORK: f" They go on with work: {work or told}{in_all}.",
        Grade.NOT_COMPARED: " Never compared with yours: we'd try them before you pay.",
    }.get(line.grade, "")


def _counted(part: Offer) -> str:
    one = f"the {part.subject.side}, {part.tag}" if part.subject.side and part.pieces == 1 else ""
    return one or f"{part.pieces} of {part.tag}"


def _short(row: Row, wanted: int) -> Row:
    line, parts = row
    over = _pieces(row) > wanted
    told = f"{_pieces(row)} {'for' if over else 'of'} {wanted}"
    if line.grade is Grade.NOT_COMPARED:
        # A part that nothing speaks of is no better known for being too few or too many.
        say = f"{'Sold whole' if over else 'Only'} {told}. {line.say}"
        return replace(line, say=say, reasons=(told, *line.reasons)), parts
    if line.grade is Grade.SET:
        line, parts = _alone(line, parts[0])
    say = f"I've only {told}. No price until you accept in writing to be short of the rest."
    if over:
        say = f"That lot is sold whole, {told}: {money(line.price_cents)}."
    short = replace(line, grade=Grade.SET_SHORT, say=say, reasons=(told, *line.reasons))
    return short, parts


def _alone(line: AnswerLine, part: Offer) -> Row:
    """A set that is short of more than its companions: these are only named."""
    alone = replace(
        line,
        tags=(part.tag,),
        names=(part.name,),
        price_cents=price_of((part,)),
        core_cents=part.core_cents,
        condition=part.condition,
        where=(part.where,),
        donors=(part.donor,),
    )
    return alone, (part,)
