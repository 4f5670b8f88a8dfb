"""Looking at a part again on the floor: what is known stands in the blanks, what is new is typed over it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from app.book.facts import TODAY, Seen
from app.book.looking import ToLookAt
from app.errors import BadInput
from app.fit.terms import FactKind
from app.screens.parts.form import Blank
from app.screens.parts.sheets import FormSheet

TOOL = "@"
SAID = {
    FactKind.DATE: f"A day: 2026-03-01, or 1 for {TODAY}.",
    FactKind.LENGTH: f"A length: its tool after {TOOL}, else hook tape.",
}
"""What to say once where there are facts of a kind."""


def look_sheet(tag: str, rows: Sequence[ToLookAt]) -> FormSheet:
    """A blank for each fact of a part; Enter passes by what has not changed."""
    words = " ".join(words for kind, words in SAID.items() if any(row.kind is kind for row in rows))
    blanks = [_blank(row) for row in rows]
    return FormSheet(f"Look at {tag}", blanks, words=words, check=lambda values: seen_anew(values, rows))


def _blank(row: ToLookAt) -> Blank:
    choices = (TODAY,) if row.kind is FactKind.DATE else row.choices
    return Blank(row.fact, row.fact, row.value, hint=row.question, choices=choices, anew=True)


def seen_anew(values: Mapping[str, str], rows: Sequence[ToLookAt]) -> dict[str, Seen]:
    """What was typed over what was known.

    Raises:
        BadInput: nothing was.
    """
    typed = {row.fact: values[row.fact].strip() for row in rows}
    changed = {row.fact: typed[row.fact] for row in rows if typed[row.fact] and typed[row.fact] != row.value}
    if not changed:
        raise BadInput("nothing is new", "Type what you see now, or go back.", place=rows[0].fact)
    return {fact: _seen(value) for fact, value in changed.items()}


def _seen(typed: str) -> Seen:
    value, _, tool = typed.partition(TOOL)
    return Seen(value.strip(), tool.strip())
