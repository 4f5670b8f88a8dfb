"""Looking behind an answer at the counter: why not this one, and what else a tag fits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING

from textual.content import Content
from textual.message import Message

from app.book.finding import part
from app.book.scanning import Scan, Scanned
from app.book.typed import TypedKind, TypedRow
from app.book.work import Who
from app.errors import NotFound, YardError
from app.screens.counter_ask import Stated
from app.screens.counter_chips import Chips
from app.screens.counter_sets import Sets
from app.screens.counter_sheets import fits_sheet, takes_sheet, why_not_sheet
from app.screens.counter_told import of_fits, of_tag, years_of
from app.screens.counter_view import in_full, takes_words
from app.screens.parts.sheets import Notice

if TYPE_CHECKING:
    from app.book.takes import Takes

VEHICLE_CHIPS = frozenset({"year", "vehicle", "weight class", "variant", "body style"})
"""Chips whose words say the vehicle again."""


class Told(Message):
    """What there is to say of a tag."""

    def __init__(self, title: str, words: Content) -> None:
        super().__init__()
        self.title = title
        self.words = words


class WhatItTakes(Message):
    """What it would take to put one thing on another."""

    def __init__(self, rows: Sequence[Takes]) -> None:
        super().__init__()
        self.rows = rows


class Looks(Chips, Sets):
    """The counter's looks behind the list."""

    looked_for = ""
    """The tag that was typed last."""

    def tag_under_cursor(self) -> str:
        """The tag of the answer under the cursor; the counter says which."""
        raise NotImplementedError

    @property
    def reading_width(self) -> int:
        """Columns of a sheet that is read."""
        return self.size.width - 4

    def action_why_not(self) -> None:
        """Why a part is not among the answers."""
        self._ask_why()

    def _ask_why(self, tag: str = "", fault: str = "") -> None:
        self.app.push_screen(why_not_sheet(tag, fault), self._look_why)

    def _look_why(self, values: Mapping[str, str] | None) -> None:
        tag = (values or {}).get("tag", "").strip().upper()
        if tag:
            state, width = self.state.stated(), self.reading_width
            self.looked_for = tag
            self.reads("why not", lambda: Told(f"Why not {tag}", self._what_it_is(tag, state, width)))

    def _what_it_is(self, tag: str, stated: Stated, width: int) -> Content:
        from app.book.reverse import standing, why

        row = part(self.book, tag)
        line, kept = stated.line_of(row.tag), stated.kept_words(row.tag) or standing(self.book, row.tag)
        if line is None:
            with suppress(YardError):
                line = why(self.book, row.tag, stated.vehicle, facts=stated.facts)
        # Where a vehicle was said and nothing can be said of the two, another thing was asked for.
        asked = stated.asks_for(row.part_type) and (line is not None or not stated.vehicle)
        return of_tag(row, kept, line, width, asked=asked, rank=stated.rank_of(row.tag))

    def failed(self, topic: str, error: YardError) -> None:
        """A tag that is none is put right where it was typed."""
        if topic == "why not" and isinstance(error, NotFound):
            self._ask_why(self.looked_for, error.in_one_line())
        elif topic == "fits" and isinstance(error, NotFound):
            self.app.push_screen(fits_sheet(self.looked_for, error.in_one_line()), self._look_fits)
        else:
            super().failed(topic, error)

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
        """Open what a typed number found: a ticket, a want's words, a held part, a fit or a line in full."""
        if row.kind == "ticket" or (row.kind == "line" and self.state.typed is not None and self.state.typed.ticket):
            number = row.name if row.kind == "ticket" else self.state.typed.name if self.state.typed else ""
            self.open_ticket(number)
        elif row.kind == "fit" and self.state.typed is not None:
            found = self.state.typed
            place = [each for each in found.rows if each.kind == "fit"].index(row)
            self.reads("why not", lambda: self._fit_in_full(found.name, place))
        elif row.kind == "hold":
            words, width = row.words, self.reading_width
            self.reads("why not", lambda: Told(words, self._what_it_is(row.name, Stated(), width)))
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

    def on_told(self, message: Told) -> None:
        """Read it."""
        self.app.push_screen(Notice(message.title, message.words))

    def _fit_in_full(self, tag: str, place: int) -> Told:
        from app.book.reverse import fits

        row = fits(self.book, tag)[place]
        return Told(f"{tag} on {years_of(row)} {row.vehicle}", in_full(row.line, self.reading_width))

    def action_fits(self) -> None:
        """What a tag fits: the one under the cursor, or one that is typed."""
        self.app.push_screen(fits_sheet(self.tag_under_cursor()), self._look_fits)

    def _look_fits(self, values: Mapping[str, str] | None) -> None:
        tag, width = (values or {}).get("tag", "").strip().upper(), self.reading_width
        if tag:
            self.looked_for = tag
            self.reads("fits", lambda: Told(f"What {tag} fits", self._what_it_fits(tag, width)))

    def _what_it_fits(self, tag: str, width: int) -> Content:
        from app.book.reverse import fits

        return of_fits(fits(self.book, tag), width)
