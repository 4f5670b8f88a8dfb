"""Looking behind an answer at the counter: why not this one, and what else a tag fits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from textual.message import Message

from app.book.finding import part
from app.screens.counter_ask import AskState
from app.screens.counter_sheets import fits_sheet, why_not_sheet
from app.screens.counter_till import Till
from app.screens.parts.plain import clip, left
from app.screens.parts.sheets import Notice

if TYPE_CHECKING:
    from app.book.reverse import FitRow

YEARS, VEHICLE, FIT = 11, 22, 20


class WhyNot(Message):
    """What can be said about a tag."""

    def __init__(self, tag: str, words: str) -> None:
        super().__init__()
        self.tag = tag
        self.words = words


class Fits(Message):
    """What a tag fits."""

    def __init__(self, tag: str, rows: Sequence[FitRow]) -> None:
        super().__init__()
        self.tag = tag
        self.rows = rows


class Looks(Till):
    """The counter's looks behind the list."""

    @property
    def state(self) -> AskState:
        """The ask on the screen; the counter says which."""
        raise NotImplementedError

    def tag_under_cursor(self) -> str:
        """The tag of the answer under the cursor; the counter says which."""
        raise NotImplementedError

    def action_why_not(self) -> None:
        """Why a part is not among the answers."""
        self.app.push_screen(why_not_sheet(), self._look_why)

    def _look_why(self, values: Mapping[str, str] | None) -> None:
        tag = (values or {}).get("tag", "").strip().upper()
        if not tag:
            return
        said = self.state.why_not(tag)
        if said:
            self.post_message(WhyNot(tag, "\n".join(said)))
        else:
            self.reads("why not", lambda: self._what_it_is(tag))

    def _what_it_is(self, tag: str) -> WhyNot:
        row = part(self.book, tag)
        reason = f": {row.block_reason}" if row.block_reason else ""
        words = f"{row.name}, {row.vehicle}, {row.where}\n{row.standing}{reason}\nIt is not what was asked for."
        return WhyNot(row.tag, words)

    def on_why_not(self, message: WhyNot) -> None:
        """Read the reason."""
        self.app.push_screen(Notice(f"Why not {message.tag}", message.words))

    def action_fits(self) -> None:
        """What a tag fits: the one under the cursor, or one that is typed."""
        self.app.push_screen(fits_sheet(self.tag_under_cursor()), self._look_fits)

    def _look_fits(self, values: Mapping[str, str] | None) -> None:
        tag = (values or {}).get("tag", "").strip().upper()
        if tag:
            self.reads("fits", lambda: self._what_it_fits(tag))

    def _what_it_fits(self, tag: str) -> Fits:
        from app.book.reverse import fits

        return Fits(tag, fits(self.book, tag))

    def on_fits(self, message: Fits) -> None:
        """Read what it fits, best first."""
        width = self.size.width - 4
        said = [clip(_fit_words(row), width) for row in message.rows] or ["nothing the yard has compared it with"]
        self.app.push_screen(Notice(f"What {message.tag} fits", "\n".join(said)))


def _fit_words(row: FitRow) -> str:
    years = str(row.year_from) if row.year_from == row.year_to else f"{row.year_from}-{row.year_to}"
    why = "; ".join(row.line.consequences) or ", ".join(row.line.rules)
    return f"{left(years, YEARS)}{left(row.vehicle, VEHICLE)}{left(row.line.grade.said, FIT)}{why}"
