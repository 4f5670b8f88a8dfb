"""Text of people and of the book is never markup: it is shown as it was written."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from rich.cells import cell_len, set_cell_size
from rich.text import Text
from textual.content import Content
from textual.widgets import Static

ELLIPSIS = "…"


def plain(text: str, style: str = "") -> Content:
    """Text for a widget, with brackets and all, in one style."""
    return Content.styled(text, style) if style else Content(text)


def cell(text: str, *, right: bool = False) -> Text:
    """Text for a cell of a data table; figures stand to the right."""
    return Text(text, justify="right" if right else "left", no_wrap=True, overflow="ellipsis")


def joined(*parts: str | tuple[str, str]) -> Content:
    """Several pieces of plain text, each alone or with its style."""
    return Content.assemble(*parts)


def lines(each: Iterable[Content | str]) -> Content:
    """Pieces of plain text one under the other."""
    return Content("\n").join([Content(part) if isinstance(part, str) else part for part in each])


def clip(text: str, width: int) -> str:
    """Text cut to a width with an ellipsis, never silently."""
    flat = " ".join(text.split())
    if cell_len(flat) <= width:
        return flat
    return set_cell_size(flat, max(width - 1, 0)).rstrip() + ELLIPSIS if width > 0 else ""


def left(text: str, width: int) -> str:
    """Text in a column, filled with blanks on its right."""
    return set_cell_size(clip(text, width), width)


def right(text: str, width: int) -> str:
    """A figure in a column, filled with blanks on its left."""
    cut = clip(text, width)
    return " " * (width - cell_len(cut)) + cut


def hanging(label: str, words: str, indent: int, width: int, style: str = "", label_style: str = "") -> list[Content]:
    """A label and its words, wrapped under themselves; none when there are no words."""
    rows: list[str] = []
    for word in words.split():
        if rows and cell_len(rows[-1]) + 1 + cell_len(word) <= width - indent:
            rows[-1] += f" {word}"
        else:
            rows.append(word)
    heads = [label, *[""] * (len(rows) - 1)]
    return (
        [
            joined(
                (left(head, indent), label_style) if label_style else left(head, indent), (row, style) if style else row
            )
            for head, row in zip(heads, rows, strict=True)
        ]
        if rows
        else []
    )


def apart(start: str, end: str, width: int) -> str:
    """Two texts at the two ends of a line; the first is cut when there is no room."""
    room = width - cell_len(end) - 2
    if not end or room < 1:
        return clip(start, width)
    return f"{left(start, room)}  {end}"


def wall_time(moment: datetime) -> str:
    """A time as the clock on the wall shows it."""
    return moment.astimezone().strftime("%H:%M")


def wall_day(moment: datetime) -> str:
    """A day as it is said: Wed 4 Mar."""
    here = moment.astimezone()
    return f"{here:%a} {here.day} {here:%b}"


class Words(Static):
    """A piece of text that is never read as markup."""

    def __init__(self, text: str | Content = "", *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(text, id=id, classes=classes, markup=False)
        self._said: Content | None = None

    def say(self, text: str | Content) -> None:
        """Show other words; the same ones again cost nothing."""
        said = text if isinstance(text, Content) else plain(text)
        if self._said is None or (said.plain, said.spans) != (self._said.plain, self._said.spans):
            self._said = said
            self.update(said)
