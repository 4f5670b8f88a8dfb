"""Looking behind an answer at the counter: why not this one, and what else a tag fits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from textual.message import Message

from app.book.finding import part
from app.book.scanning import Scan, Scanned
from app.book.typed import TypedKind, TypedRow
from app.book.work import Who
from app.errors import YardError
from app.screens.counter_chips import Chips
from app.screens.counter_sets import Sets
from app.screens.counter_sheets import fits_sheet, takes_sheet, why_not_sheet
from app.screens.counter_view import takes_words
from app.screens.parts.plain import clip, left
from app.screens.parts.sheets import Notice

if TYPE_CHECKING:
    from app.book.reverse import FitRow
    from app.book.takes import Takes

YEARS, VEHICLE, FIT = 11, 22, 20
VEHICLE_CHIPS = frozenset({"year", "vehicle", "weight class", "variant", "body style"})
"""Chips whose words say the vehicle again."""


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


class WhatItTakes(Message):
    """What it would take to put one thing on another."""

    def __init__(self, rows: Sequence[Takes]) -> None:
        super().__init__()
        self.rows = rows


class Looks(Chips, Sets):
    """The counter's looks behind the list."""

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
            words, facts = self.state.words, dict(self.state.facts)
            self.reads("why not", lambda: self._what_it_is(tag, words, facts))

    def _what_it_is(self, tag: str, words: str, facts: Mapping[str, str]) -> WhyNot:
        from app.book.reverse import why

        row = part(self.book, tag)
        reason = f": {row.block_reason}" if row.block_reason else ""
        told = [f"{row.name}, {row.vehicle}, {row.where}", f"{row.standing}{reason}"]
        try:
            line = why(self.book, row.tag, words, facts=facts)
            told += [line.grade.said, *line.reasons, *line.consequences, *line.unknowns]
        except YardError:
            told.append("It is not what was asked for.")
        return WhyNot(row.tag, "\n".join(told))

    def scanned(self, found: Scan) -> bool:
        """A scanned part is asked about; a place scanned next is still where it goes."""
        if found.kind is not Scanned.PART:
            return False
        self.house.take_in_mind(found.name)
        self.say_words(found.name)
        return True

    def say_words(self, words: str) -> None:
        """Other words on the line; the counter does it."""
        raise NotImplementedError

    def open_found(self, row: TypedRow) -> None:
        """Open what a typed number found: a ticket, a want's words, a hold to let go, a line in full."""
        if row.kind == "ticket" or (row.kind == "line" and self.state.typed is not None and self.state.typed.ticket):
            number = row.name if row.kind == "ticket" else self.state.typed.name if self.state.typed else ""
            self.open_ticket(number)
        elif row.kind == "hold":
            self.release_tag(row.name)
        elif row.kind == "want":
            self.say_words(row.words.partition(": ")[2])
        else:
            self.app.push_screen(Notice(self.tag_under_cursor() or row.name, row.words))

    def action_takes(self) -> None:
        """What would it take to put this on that?"""
        answer, found = self.state.answer, self.state.typed
        vehicle = " ".join(chip.said for chip in answer.asked.chips if chip.field in VEHICLE_CHIPS) if answer else ""
        if found is not None and found.kind is TypedKind.PART:
            # What stands behind a typed tag is the vehicle.
            vehicle = self.state.words.strip().partition(" ")[2]
        self.app.push_screen(takes_sheet(vehicle), self._look_takes)

    def _look_takes(self, values: Mapping[str, str] | None) -> None:
        if values:
            self.tell("looking what it would take …")
            self.reads("takes", lambda: self._what_it_takes(self.who, values["what"], values["vehicle"]))

    def _what_it_takes(self, who: Who, what: str, vehicle: str) -> WhatItTakes:
        from app.book.takes import takes

        return WhatItTakes(takes(self.book, who, what, vehicle))

    def on_what_it_takes(self, message: WhatItTakes) -> None:
        """Read the plans, cheapest first."""
        self.tell("")
        title = f"What it takes, on {message.rows[0].vehicle}" if message.rows else "What it takes"
        self.app.push_screen(Notice(title, takes_words(message.rows, self.size.width - 4)))

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
        said = [_fit_words(row, width) for row in message.rows] or ["nothing the yard has compared it with"]
        self.app.push_screen(Notice(f"What {message.tag} fits", "\n".join(said)))


def _fit_words(row: FitRow, width: int) -> str:
    years = str(row.year_from) if row.year_from == row.year_to else f"{row.year_from}-{row.year_to}"
    why = "; ".join(row.line.consequences) or ", ".join(row.line.rules)
    columns = f"{left(years, YEARS)}{left(row.vehicle, VEHICLE)}{left(row.said, FIT)}"
    return columns + clip(why, width - len(columns))
