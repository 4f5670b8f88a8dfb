"""A list driven by arrows and digits: pages of at most 200 rows, honest about the rest."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

PAGE = 200


class Rows(OptionList):
    """Rows of plain text; the row under the cursor carries a mark and not only a color."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id, markup=False, compact=True)

    def show_rows(self, rows: Sequence[Content], *, of: int | None = None, keep_cursor: bool = False) -> None:
        """Show the first page of rows; `of` is how many there are in all."""
        cursor = self.highlighted
        options = [Option(row) for row in rows[:PAGE]]
        whole = of if of is not None else len(rows)
        if whole > len(options):
            options.append(Option(Content(f"{len(options)} of {whole:,}"), disabled=True))
        self.set_options(options)
        if rows:
            self.highlighted = min(cursor or 0, len(rows) - 1) if keep_cursor else 0
