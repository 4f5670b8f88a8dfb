"""Plain output made for people: aligned, figures to the right, nothing in it ever interpreted."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from datetime import datetime
from decimal import Decimal

import click

GAP = "  "


def plain(text: str) -> str:
    """Text on one line; a control or formatting character becomes a question mark in a box, a break a blank."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(_shown(letter) for letter in text)


def _shown(letter: str) -> str:
    if letter in "\n\r\t\v\f\u2028\u2029":
        return " "
    return "\ufffd" if unicodedata.category(letter).startswith("C") else letter


def width(text: str) -> int:
    """Columns a text takes on a terminal."""
    wide = sum(unicodedata.east_asian_width(letter) in "WF" for letter in text)
    return len(text) + wide - sum(unicodedata.combining(letter) > 0 for letter in text)


def say(lines: Iterable[str]) -> None:
    """Write lines to stdout."""
    for line in lines:
        click.echo(line)


def heading(text: str) -> str:
    """A heading: bold on a terminal, plain elsewhere."""
    return click.style(plain(text), bold=True)


def table(head: Sequence[str], rows: Sequence[Sequence[str]], figures: Iterable[int] = ()) -> list[str]:
    """Rows under a heading; the columns numbered in `figures` are figures and stand to the right."""
    clean = [[plain(cell) for cell in row] for row in rows]
    right = set(figures)
    wide = [max(width(cell) for cell in column) for column in zip(head, *clean, strict=True)]
    lines = [heading(_row(head, wide, right))]
    return [*lines, *(_row(row, wide, right) for row in clean)]


def _row(cells: Sequence[str], wide: Sequence[int], right: set[int]) -> str:
    padded = [_padded(cell, room, number in right) for number, (cell, room) in enumerate(zip(cells, wide, strict=True))]
    return GAP.join(padded).rstrip()


def _padded(cell: str, room: int, right: bool) -> str:
    blanks = " " * (room - width(cell))
    return f"{blanks}{cell}" if right else f"{cell}{blanks}"


def pairs(said: Iterable[tuple[str, object]]) -> list[str]:
    """Names with their values, one a line; what is empty is left out."""
    kept = [(name, plain(str(value))) for name, value in said if value not in ("", None, ())]
    room = max((width(name) for name, _ in kept), default=0)
    return [f"{_padded(name, room, False)}{GAP}{value}" for name, value in kept]


def sums(said: Sequence[tuple[str, str]]) -> list[str]:
    """Names with figures, the figures to the right."""
    names, figures = [plain(name) for name, _ in said], [plain(figure) for _, figure in said]
    left, room = max(map(width, names), default=0), max(map(width, figures), default=0)
    return [
        f"{_padded(name, left, False)}{GAP}{_padded(figure, room, True)}"
        for name, figure in zip(names, figures, strict=True)
    ]


def lines_of(words: Iterable[str], lead: str = "") -> list[str]:
    """One line for each, with a lead."""
    return [f"{lead}{plain(each)}" for each in words]


def listed(count: int, what: str, limit: int | None = None) -> str:
    """How many there are, and that there may be more when a page is full."""
    more = ", newest first; there may be more" if limit is not None and count >= limit else ""
    return f"{count:,} {what}{'' if count == 1 else 's'}{more}"


def when(moment: datetime | None) -> str:
    """A time on the yard's clock."""
    return moment.astimezone().strftime("%Y-%m-%d %H:%M") if moment is not None else ""


def figure(value: Decimal | None, unit: str = "") -> str:
    """A figure as it is, with thousands commas."""
    return f"{value:,f} {unit}".rstrip() if value is not None else ""


def money(amount: int | None) -> str:
    """Dollars with cents and thousands commas."""
    from app.book.money import dollars

    return dollars(amount) if amount is not None else ""
