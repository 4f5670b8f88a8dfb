"""Putting right at the counter what was understood, and stating what the customer sees, counts or measures."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from textual.message import Message

from app.book.telling import TellingFact, telling_facts
from app.fit.answers import Chip
from app.screens.counter_ask import STATED, AskState, Reply
from app.screens.parts.form import Blank
from app.screens.parts.keys import LOW
from app.screens.parts.plain import clip
from app.screens.parts.seat import Seat
from app.screens.parts.sheets import Choice, FormSheet

NOT_SAID = "(was not said)"
SIDES = ("LH", "RH")
MOST_CHOICES, LOW_CHOICES = 9, 5
"""Lines of a choice that stand on a sheet, and on a low screen's."""


class Telling(Message):
    """The facts that can change the answer, looked up to put a chip right or to state one of them."""

    def __init__(self, facts: Sequence[TellingFact], chip: Chip | None = None) -> None:
        super().__init__()
        self.facts = tuple(facts)
        self.chip = chip


class Chips(Seat):
    """What the counter understood, to be put right from the keyboard."""

    @property
    def state(self) -> AskState:
        """The ask on the screen; the counter says which."""
        raise NotImplementedError

    def take_reply(self, reply: Reply) -> None:
        """Take in what the customer answered; the counter does."""
        raise NotImplementedError

    def changed(self) -> None:
        """The ask is another one now; the counter asks again."""
        raise NotImplementedError

    def action_correct(self) -> None:
        """Which of the things understood is wrong?"""
        answer = self.state.answer
        if answer is None:
            return
        chips = [*answer.asked.chips, *(Chip("not understood", word, word) for word in answer.asked.not_understood)]
        if chips:
            said = [f"{chip.field}: {_shown(chip)}" for chip in chips]
            self._pick("What is wrong?", said, lambda index: self._correct(chips[index]) if index is not None else None)

    def _pick(self, title: str, words: Sequence[str], picked: Callable[[int | None], None], start: int = 0) -> None:
        """A choice among any number of lines, a sheet of them at a time; Escape goes to the sheet before."""
        most = MOST_CHOICES if self.size.height >= LOW else LOW_CHOICES
        last = len(words) <= start + most
        shown = [clip(each, max(self.size.width - 8, 20)) for each in words[start : start + most - (not last)]]
        rest = len(words) - start - len(shown)

        def done(index: int | None) -> None:
            if index is None and start:
                self._pick(title, words, picked, start - most + 1)
            elif index is None or index < len(shown):
                picked(index if index is None else start + index)
            else:
                self._pick(title, words, picked, start + len(shown))

        self.app.push_screen(Choice(title, shown if last else [*shown, f"{rest} more"]), done)

    def _correct(self, chip: Chip) -> None:
        types = self.state.answer.asked.part_types if self.state.answer else ()
        if chip.field == "side" or not types:
            self._ask_value(chip, SIDES if chip.field == "side" else ())
        else:
            self.reads("telling", lambda: Telling(telling_facts(self.book, types[0]), chip))

    def on_telling(self, message: Telling) -> None:
        """Put a chip right, or ask which fact the customer tells of."""
        if message.chip is None:
            asked = self.state.answer.asked if self.state.answer else None
            told = {*asked.facts, *(["side"] if asked.side else [])} if asked else set[str]()
            open_facts = [fact for fact in message.facts if fact.of_vehicle and fact.fact not in told]
            self._which_fact(sorted(open_facts, key=lambda fact: fact.effort))
            return
        name = message.chip.field.split(" / ")[0]
        choices = next((fact.choices for fact in message.facts if fact.fact == name), ())
        self._ask_value(message.chip, choices)

    def _ask_value(self, chip: Chip, choices: Sequence[str]) -> None:
        if not choices:
            self._type_it(chip)
            return

        def picked(index: int | None) -> None:
            if index is None:
                self.action_correct()
            else:
                self._put_right(chip, choices[index] if index < len(choices) else "")

        self._pick(f"{chip.field}, instead of {chip.value}", [*choices, NOT_SAID], picked)

    def _type_it(self, chip: Chip) -> None:
        name = chip.field if len(chip.field) < 20 else "instead"
        form = FormSheet(f"{chip.field}, instead of {chip.value}", [Blank("value", name, hint="empty: was not said")])

        def typed(values: Mapping[str, str] | None) -> None:
            if values is None:
                self.action_correct()
                return
            self._put_right(chip, values["value"].strip())

        self.app.push_screen(form, typed)

    def _put_right(self, chip: Chip, value: str) -> None:
        self.state.put_right(chip, value)
        self.changed()

    def action_measure(self) -> None:
        """Type what the question asks for, or state another look."""
        question = self.state.question()
        if question is not None and question.fact not in STATED:
            self._state(question.fact, question.words)
            return
        types = self.state.answer.asked.part_types if self.state.answer else ()
        if not types:
            self.tell("no part is named yet: nothing to measure")
            return
        self.reads("telling", lambda: Telling(telling_facts(self.book, types[0])))

    def _which_fact(self, facts: Sequence[TellingFact]) -> None:
        if not facts:
            self.tell("nothing that is looked at would change the answer")
            return

        def picked(index: int | None) -> None:
            if index is not None:
                self._state(facts[index].fact, facts[index].question, facts[index].choices)

        self._pick("What does the customer see?", [f"{each.fact}: {each.question}" for each in facts], picked)

    def _state(self, fact: str, words: str, choices: tuple[str, ...] = ()) -> None:
        hint = "" if choices else "a figure with its unit, or what is seen"
        sheet = FormSheet(words or fact, [Blank("value", fact[:24], hint=hint, choices=choices)])

        def filled(values: Mapping[str, str] | None) -> None:
            if values and values["value"].strip():
                self.take_reply(Reply("", fact, values["value"].strip()))

        self.app.push_screen(sheet, filled)


def _shown(chip: Chip) -> str:
    return f"{chip.value}  (“{chip.said}”)" if chip.said and chip.said != chip.value.lower() else chip.value
