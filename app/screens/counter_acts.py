"""What comes of the answer under the cursor: sold, held, wanted, read in full."""

from __future__ import annotations

from collections.abc import Mapping

from textual import on
from textual.widgets import OptionList

from app.fit.answers import AnswerLine
from app.screens.counter_ask import Entry
from app.screens.counter_looks import Looks
from app.screens.counter_view import in_full
from app.screens.parts.sheets import Notice, ServesTwo


class Acts(Looks, ServesTwo):
    """The counter's acts on a row of its list."""

    def entry(self) -> Entry | None:
        """The row under the cursor; the counter says which."""
        raise NotImplementedError

    def show_answer(self) -> None:
        """Write the answer on the screen; the counter does it."""
        raise NotImplementedError

    def line(self) -> AnswerLine | None:
        """The answer under the cursor."""
        entry = self.entry()
        return entry.line if entry else None

    def tag_under_cursor(self) -> str:
        """The first tag of the answer under the cursor, or the tag that somebody has."""
        line, entry = self.line(), self.entry()
        kept = entry.kept.tag if entry is not None and entry.kept is not None else ""
        return line.tags[0] if line is not None else kept or self.held_tag()

    def held_tag(self) -> str:
        """The held tag under the cursor; empty when none is."""
        entry = self.entry()
        if entry is None:
            return ""
        if entry.found is not None and entry.found.kind == "hold":
            return entry.found.name
        return entry.kept.tag if entry.kept is not None and entry.kept.words.startswith("held") else ""

    def action_in_full(self) -> None:
        """Everything about the row under the cursor."""
        line, entry = self.line(), self.entry()
        if entry is not None and entry.found is not None:
            self.open_found(entry.found)
        elif line is not None:
            self.app.push_screen(Notice(" + ".join(line.names) or line.tags[0], in_full(line, self.size.width - 4)))

    @on(OptionList.OptionSelected, "#answers")
    def _chosen(self) -> None:
        self.action_in_full()

    def told(self) -> Mapping[str, str]:
        """What the customer told of his vehicle, by fact."""
        answer = self.state.answer
        return {**(answer.asked.facts if answer is not None else {}), **self.state.facts}

    def chosen(self) -> list[AnswerLine]:
        """What is sold, held or quoted: what is in the basket; the answer under the cursor where nothing is."""
        line, basket = self.line(), self.state.basket
        if basket and not self.state.basket_aside:
            return list(basket)
        return [line] if line is not None else []

    def action_this_one(self) -> None:
        """The keys act on the answer under the cursor although there is a basket, or on the basket again."""
        self.state.basket_aside = not self.state.basket_aside
        self.show_answer()

    def action_sell(self) -> None:
        """Sell the basket, or the answer under the cursor, or what is held to whom it is held for."""
        if lines := self.chosen():
            self.sell_lines(lines)
        elif tag := self.held_tag():
            self.sell_held(tag)

    def action_hold(self) -> None:
        """Hold the basket, or the part under the cursor."""
        if lines := self.chosen():
            self.hold_lines(lines)

    def action_hold_longer(self) -> None:
        """Hold it for days against a deposit."""
        if lines := self.chosen():
            self.hold_lines_longer(lines)

    def action_release(self) -> None:
        """Let a held part go again."""
        if tag := self.held_tag():
            self.release_tag(tag)

    def action_quote(self) -> None:
        """Quote the basket, or the answer under the cursor."""
        if lines := self.chosen():
            self.quote_lines(lines)

    def action_want(self) -> None:
        """Write the ask down as a want."""
        if self.state.answer is not None:
            self.want_answer(self.state.answer)
