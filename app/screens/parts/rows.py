"""A list driven by arrows and digits: pages of at most 200 rows, honest about the rest."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

PAGE = 200


class Rows(OptionList):
    """Rows of plain text, the one under the cursor on a darker ground and in bold."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id, markup=False, compact=True)

    def show_rows(
        self,
        rows: Sequence[Content],
        *,
        of: int | None = None,
        cursor: int = 0,
        disabled: Collection[int] = (),
    ) -> None:
        """Show the first page of rows; `of` is how many there are in all, `disabled` rows cannot be picked."""
        options = [Option(row, disabled=index in disabled) for index, row in enumerate(rows[:PAGE])]
        whole = of if of is not None else len(rows)
        if whole > len(options):
            options.append(Option(Content(f"{len(options)} of {whole:,}"), disabled=True))
        self.set_options(options)
        if rows:
            wanted = min(cursor, len(options) - 1)
            free = [index for index in range(len(options)) if index not in disabled]
            self.highlighted = wanted if wanted in free else (free[0] if free else None)
