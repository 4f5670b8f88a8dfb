"""A list in groups: headings that the cursor steps over, lines that know what they stand for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from textual.content import Content
from textual.widgets.option_list import Option

from app.screens.parts.plain import clip, hanging, joined, left, lines
from app.screens.parts.rows import PAGE, Rows

HEAD = "heading "
INDENT, BETWEEN = 1, "  "
"""How far the rows below the first one of a folded line stand in, and what stands between two pieces of one."""


def column(text: str, width: int) -> str:
    """Text in a column, with a blank before the next one even where it was cut."""
    return left(clip(text, width - 1), width)


def folded(name: str, words: str, told: Sequence[str], width: int) -> Content:
    """A line of a list on a handheld: its name and what it is on one row, the rest on as many as it needs below.

    A piece of the rest is broken only where it is longer than a row.
    """
    rows: list[str] = []
    for piece in filter(None, told):
        longer = f"{rows[-1]}{BETWEEN}{piece}" if rows else ""
        if rows and cell_len(longer) <= width - INDENT:
            rows[-1] = longer
        else:
            rows.append(piece)
    head = joined((f"{name.strip()} ", "bold"), clip(words, width - len(name.strip()) - 1))
    return lines([head, *(part for row in rows for part in _indented(row, width))])


def _indented(row: str, width: int) -> list[Content]:
    if cell_len(row) > width - INDENT:
        return hanging("", row, INDENT, width)
    return [Content(" " * INDENT + row)]


@dataclass(frozen=True, slots=True)
class Lines:
    """A group: its heading, its lines as (what it stands for, text), and how many there are in all.

    What a line stands for is unique in the whole list; `empty` is said where there are none.
    """

    heading: str
    lines: Sequence[tuple[str, Content]]
    of: int | None = None
    empty: str = "none"


class Board(Rows):
    """Groups of lines under each other; the cursor stays on its line when the list is read again."""

    DEFAULT_CSS = "Board { height: 1fr; text-wrap: nowrap; text-overflow: ellipsis; }"

    def show_groups(self, groups: Sequence[Lines]) -> None:
        """Show the groups, each at most a page long."""
        here = self.here
        options: list[Option] = []
        for group in groups:
            if options:
                options.append(Option(Content(""), disabled=True))
            options.append(Option(joined((group.heading, "bold $accent")), disabled=True, id=HEAD + group.heading))
            shown = group.lines[:PAGE]
            options += [Option(text, id=name) for name, text in shown]
            whole = group.of if group.of is not None else len(group.lines)
            if not shown and not whole:
                options.append(Option(Content(f" {group.empty}"), disabled=True))
            elif whole > len(shown):
                options.append(Option(Content(f" {len(shown)} of {whole:,}"), disabled=True))
        self.set_options(options)
        places = [index for index, option in enumerate(options) if not option.disabled]
        again = [index for index in places if options[index].id == here]
        self.highlighted = next(iter(again or places), None)

    @property
    def here(self) -> str:
        """What the line under the cursor stands for; empty when there is none."""
        index = self.highlighted
        if index is None or index >= self.option_count:
            return ""
        return self.get_option_at_index(index).id or ""
