"""An ask at the counter as it stands: words, what was answered to questions, the answer, the cursor."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from string import ascii_uppercase
from typing import Any

from textual.events import Key

from app.book.asking import ask
from app.book.typed import Typed, TypedRow, typed, typed_name
from app.book.words.buildtime import narrowed
from app.book.words.spoken import without
from app.book.work import Book, Who
from app.fit.answers import Answer, AnswerLine, Chip, Kept, Question

NO_IDEA = "?"
WORDED = frozenset({"year", "weight class", "variant", "body style", "off", "wants", "pieces", "beside", "position"})
"""What is put right in the line itself."""
STATED = ("part", "vehicle", "side")
"""What is not a fact of the vehicle but is stated to the ask itself."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A row of the list: a line with its rank digit, a trap, a tag somebody has, or what a typed number found."""

    line: AnswerLine | None = None
    kept: Kept | None = None
    found: TypedRow | None = None
    rank: int = 0
    for_sale: bool = True
    heading: str = ""


@dataclass(frozen=True, slots=True)
class Reply:
    """What one key answers: a question's fact, or the meaning of a word."""

    key: str
    field: str
    value: str


@dataclass(frozen=True, slots=True)
class Heard:
    """What came of the words: an answer, or what a tag, ticket or phone number stands for."""

    answer: Answer | None
    typed: Typed | None = None


@dataclass(frozen=True, slots=True)
class InBasket:
    """Tags in a basket with the ask that answered them, as fields: what is kept of them."""

    tags: tuple[str, ...]
    fields: Mapping[str, str]

    def line_now(self, book: Book, who: Who) -> AnswerLine | None:
        """The answer with these tags as it is now; None where they are not free any more."""
        state = AskState()
        state.take_fields(self.fields)
        heard = state.asking(book, who, keep=False)()
        if heard.typed is not None:
            lines: Sequence[AnswerLine | None] = (heard.typed.line, *heard.typed.more)
        elif heard.answer is not None:
            lines = (*heard.answer.answers, *heard.answer.not_what_was_asked, *heard.answer.do_not_sell)
        else:
            lines = ()
        return next((line for line in lines if line is not None and line.tags == self.tags), None)


@dataclass(frozen=True, slots=True)
class Before:
    """What a reply put aside, to be put back."""

    told: dict[str, str]
    facts: dict[str, str]
    skipped: frozenset[str]


@dataclass(frozen=True, slots=True)
class Stated:
    """What is known of an ask when one tag is looked at: words for its vehicle, facts, and what was answered."""

    vehicle: str = ""
    facts: dict[str, str] = field(default_factory=dict)
    answer: Answer | None = None

    def line_of(self, tag: str) -> AnswerLine | None:
        """The line of the answer with this tag."""
        if self.answer is None:
            return None
        lines = (*self.answer.answers, *self.answer.not_what_was_asked, *self.answer.do_not_sell)
        return next((line for line in lines if tag in line.tags), None)

    def rank_of(self, tag: str) -> int:
        """Its number on the list; 0 where it is not on it."""
        answers = self.answer.answers if self.answer is not None else ()
        return next((rank for rank, line in enumerate(answers, 1) if tag in line.tags), 0)

    def kept_words(self, tag: str) -> str:
        """Who has it, as the answer said."""
        kept = self.answer.kept if self.answer is not None else ()
        return next((each.words for each in kept if each.tag == tag), "")

    def asks_for(self, part_type: str) -> bool:
        """Whether such a part was asked for; nothing else was where no part was named."""
        types = self.answer.asked.part_types if self.answer is not None else ()
        return not types or part_type in types


@dataclass
class AskState:
    """One of the two asks that stand at a counter at once."""

    words: str = ""
    told: dict[str, str] = field(default_factory=dict)
    facts: dict[str, str] = field(default_factory=dict)
    skipped: set[str] = field(default_factory=set)
    answer: Answer | None = None
    typed: Typed | None = None
    before: list[Before] = field(default_factory=list)
    serial: int = 0
    asking_now: bool = False
    late: bool = False
    times: int = 0
    keeping: bool = False
    cursor: int = 0
    unfolded: bool = False
    in_list: bool = False
    basket: list[AnswerLine] = field(default_factory=list)
    basket_aside: bool = False
    kept: list[InBasket] = field(default_factory=list)
    answered: str = ""
    waiting: list[Key] = field(default_factory=list)
    written: str = ""
    cleared: AskState | None = None

    def asking(self, book: Book, who: Who, *, keep: bool) -> Callable[[], Heard]:
        """The ask as it stands now, to be made on another thread."""
        words, facts, told = self.words, dict(self.facts), dict(self.told)

        def make() -> Heard:
            found = typed(book, words)
            if found is not None:
                return Heard(None, found)
            answer = ask(
                book,
                who,
                words,
                vehicle=told.get("vehicle", ""),
                part=told.get("part", ""),
                side=told.get("side", ""),
                facts=facts,
                keep=keep,
            )
            # What is no word of the yard's at all may be somebody's name.
            named = None if answer.asked.chips or answer.asked.meanings else typed_name(book, words)
            return Heard(None, named) if named is not None else Heard(answer)

        return make

    def as_fields(self) -> dict[str, str]:
        """The ask as a draft."""
        told = {f"told {name}": value for name, value in self.told.items()}
        return {"words": self.words, **told, **{f"fact {name}": value for name, value in self.facts.items()}}

    def take_fields(self, fields: Mapping[str, str]) -> None:
        """Put words and what was told back."""
        self.words = fields.get("words", "")
        self.told = _under("told ", fields)
        self.facts = _under("fact ", fields)

    def as_draft(self) -> dict[str, Any]:
        """All that is kept of it: the ask, and what is in the basket."""
        kept = [{"tags": list(each.tags), "ask": dict(each.fields)} for each in self.kept]
        return {**self.as_fields(), **({"basket": kept} if kept else {})}

    def take_draft(self, draft: Mapping[str, Any]) -> None:
        """Put a draft back; what was in the basket is still to be asked for."""
        self.take_fields({name: str(value) for name, value in draft.items() if name != "basket"})
        self.kept = [InBasket(tuple(each["tags"]), each["ask"]) for each in draft.get("basket", ())]

    @property
    def said(self) -> str:
        """What is asked as it stands, to be held against what was answered."""
        return repr(sorted(self.as_fields().items()))

    @property
    def is_awaited(self) -> bool:
        """True while the answer to what is asked is still to come, and the screen shows none or an older one."""
        return self.asking_now and self.answered != self.said

    def new_words(self, words: str) -> None:
        """Other words: what was answered before belongs to another question."""
        if words.strip() == "" or not words.startswith(self.words[:3]):
            self.told, self.facts, self.skipped, self.before = {}, {}, set(), []
        self.words = words
        self.cursor, self.unfolded = 0, False

    def entries(self) -> list[Entry]:
        """The rows of the list: answers, near misses, and when unfolded what is not to be sold."""
        if self.typed is not None:
            return self._found(self.typed)
        if self.answer is None:
            return []
        rows = [Entry(line, rank=rank) for rank, line in enumerate(self.answer.answers, 1)]
        others = self.answer.not_what_was_asked
        if others:
            rows.append(Entry(heading="not what was asked", for_sale=False))
            rows += [Entry(line, rank=len(rows) + n) for n, line in enumerate(others)]
        if self.unfolded:
            rows += self._folded(self.answer)
        return rows

    def _found(self, found: Typed) -> list[Entry]:
        rows = [Entry(found.line, rank=1)] if found.line is not None else []
        return [*rows, *(Entry(found=row, rank=rank) for rank, row in enumerate(found.rows, len(rows) + 1))]

    def first_folded(self) -> int:
        """The row at which what is not to be sold begins."""
        return next((n for n, entry in enumerate(self.entries()) if entry.heading == "do not sell" or entry.kept), 0)

    def _folded(self, answer: Answer) -> list[Entry]:
        rows = []
        if answer.do_not_sell:
            rows.append(Entry(heading="do not sell", for_sale=False))
            rows += [Entry(line, for_sale=False) for line in answer.do_not_sell]
        if answer.kept:
            rows.append(Entry(heading="somebody has", for_sale=False))
            rows += [Entry(kept=kept, for_sale=False) for kept in answer.kept]
        return rows

    def question(self) -> Question | None:
        """The next question that would change the answer and was not put aside."""
        questions = self.answer.questions if self.answer else ()
        return next((each for each in questions if each.fact not in self.skipped), None)

    def asked_for(self) -> tuple[str, ...]:
        """The facts that the customer is asked for, the next question first."""
        questions = self.answer.questions if self.answer else ()
        return tuple(each.fact for each in questions if each.fact not in self.skipped)

    def replies(self, reserved: frozenset[str]) -> list[Reply]:
        """Keys that answer what is asked: first a word with several meanings, else the question."""
        if self.answer is None:
            return []
        if self.answer.asked.meanings:
            meaning = self.answer.asked.meanings[0]
            return lettered(meaning.field, meaning.choices, reserved)
        question = self.question()
        return lettered(question.fact, question.choices, reserved) if question else []

    def reply(self, given: Reply) -> None:
        """Take an answer of the customer in."""
        self._remember()
        kept_in = self.told if given.field in STATED else self.facts
        known = self.facts.get("built", "") if given.field == "built" else ""
        kept_in[given.field] = narrowed(known, given.value) if known else given.value

    def skip(self, question: Question) -> None:
        """The customer has no idea."""
        self._remember()
        self.skipped.add(question.fact)

    def take_back(self) -> bool:
        """Take the last answer of the customer back; False when there is none."""
        if not self.before:
            return False
        last = self.before.pop()
        self.told, self.facts, self.skipped = dict(last.told), dict(last.facts), set(last.skipped)
        return True

    def _remember(self) -> None:
        self.before.append(Before(dict(self.told), dict(self.facts), frozenset(self.skipped)))

    def put_right(self, chip: Chip, value: str) -> None:
        """Put right what was understood of a chip's words; an empty value takes them out of the line."""
        self._remember()
        names = chip.field.split(" / ")
        for name in names:
            self.facts.pop(name, None)
            self.told.pop(name, None)
        if chip.field in STATED and value:
            self.told[chip.field] = value
        elif value and chip.said and chip.field in WORDED:
            self.words = f"{without(self.words, chip.said)} {value}".strip()
        elif value:
            self.facts.update(dict.fromkeys(names, value))
        else:
            self.words = without(self.words, chip.said)

    def in_basket(self, line: AnswerLine | None) -> bool:
        """True when these very tags are in the basket, whatever was answered about them since."""
        return line is not None and any(each.tags == line.tags for each in self.basket)

    def put_in_or_out(self, line: AnswerLine) -> None:
        """Into the basket, or out of it again."""
        others = [each for each in self.basket if each.tags != line.tags]
        put_in = not self.in_basket(line)
        self.basket = [*others, line] if put_in else others
        self.kept = [each for each in self.kept if each.tags != line.tags]
        if put_in:
            self.kept.append(InBasket(line.tags, self.as_fields()))
        self.basket_aside = False

    def take_out(self, tags: Collection[str]) -> None:
        """What is on a ticket or held is in no basket any more."""
        self.basket = [each for each in self.basket if not set(tags).intersection(each.tags)]
        self.kept = [each for each in self.kept if not set(tags).intersection(each.tags)]

    def stated(self) -> Stated:
        """What was asked and answered, as it stands now."""
        vehicle = (self.words, self.told.get("vehicle", ""), self.told.get("side", ""))
        return Stated(" ".join(filter(None, vehicle)), dict(self.facts), self.answer)


def _under(start: str, fields: Mapping[str, str]) -> dict[str, str]:
    return {name.removeprefix(start): value for name, value in fields.items() if name.startswith(start)}


def lettered(field_name: str, choices: Sequence[str], reserved: frozenset[str]) -> list[Reply]:
    """A key for every choice: the letter it begins with, as a capital where the small one does something else.

    Where two choices begin alike, or one begins with no letter, all of them are A, B, C in their order.
    """
    firsts = [choice[:1].lower() for choice in choices]
    if len(set(firsts)) == len(firsts) and all(each.isascii() and each.isalpha() for each in firsts):
        keys = [each.upper() if each in reserved else each for each in firsts]
    else:
        keys = list(ascii_uppercase)
    return [Reply(key, field_name, choice) for key, choice in zip(keys, choices, strict=False)]
