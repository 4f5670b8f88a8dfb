"""A list in groups: headings that the cursor steps over, lines that know what they stand for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual.content import Content
from textual.widgets.option_list import Option

from app.screens.parts.plain import clip, joined, left
from app.screens.parts.rows import PAGE, Rows

HEAD = "heading "


def column(text: str, width: int) -> str:
    """Text in a column, with a blank before the next one even where it was cut."""
    return left(clip(text, width - 1), width)


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
