"""What the counter tells of one tag on a sheet: why it is not among the answers, and every vehicle it fits."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual.content import Content

from app.book.parts import PartRow
from app.fit.answers import AnswerLine
from app.screens.counter_reasons import reasons
from app.screens.counter_view import pair
from app.screens.parts.plain import hanging, left, lines, plain

if TYPE_CHECKING:
    from app.book.reverse import FitRow

GAP = 2
LEAST = 28
"""Columns under which the reasons of a fit stand on lines of their own."""
INDENT = 4
REASONS = ("why", "but")
NOT_ASKED = "It is not what was asked for."


def of_tag(row: PartRow, kept: str, line: AnswerLine | None, width: int, *, asked: bool, rank: int = 0) -> Content:
    """A part, who has it, and what it comes to on the vehicle that was said, the reason before what is to be said.

    `asked` is true if such a part was asked for; `rank` is its number on the list, 0 where it is not on it.
    """
    rows = pair("is", f"{row.tag} {row.name}, {row.where}, off {row.vehicle}", width, "bold")
    blocked = f": {row.block_reason}" if row.block_reason else ""
    rows += pair("now", kept or f"{row.standing}{blocked}", width, "bold $accent" if kept or blocked else "")
    if not asked:
        rows += pair("", NOT_ASKED, width)
    if line is not None:
        rows += pair("fit", f"{line.grade.said}{f' (number {rank} on the list)' if rank else ''}", width, "bold")
        for block in sorted(reasons(line, tagged=False), key=lambda block: block.label not in REASONS):
            rows += block.rows(width)
    return lines(rows)


def of_fits(found: Sequence[FitRow], width: int) -> Content:
    """Every vehicle with its grade, and in full the reason for it."""
    if not found:
        return Content("nothing the yard has compared it with")
    years = [years_of(row) for row in found]
    widths = [max(map(len, column)) + GAP for column in (years, [r.vehicle for r in found], [r.said for r in found])]
    said: list[Content] = []
    for when, row in zip(years, found, strict=True):
        head = "".join(left(text, room) for text, room in zip((when, row.vehicle, row.said), widths, strict=True))
        why = "; ".join((*row.line.consequences, *row.line.unknowns)) or ", ".join(row.line.rules)
        if width - len(head) >= LEAST:
            rows = [row.plain[len(head) :] for row in hanging("", why, len(head), width)] or [""]
            said += [plain(f"{head}{rows[0]}"), *(plain(" " * len(head) + row) for row in rows[1:])]
        else:
            said += [plain(f"{when}  {row.vehicle}  {row.said}"), *hanging("", why, INDENT, width)]
    return lines(said)


def years_of(row: FitRow) -> str:
    """The model years, as one where they are."""
    return str(row.year_from) if row.year_from == row.year_to else f"{row.year_from}-{row.year_to}"
