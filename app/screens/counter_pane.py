"""The pane under the counter's list: the tag, what is said, why, and what to ask with the keys that answer."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rich.cells import cell_len
from textual.content import Content

from app.book.money import short_dollars
from app.book.typed import Typed, TypedKind
from app.book.words.compared import BENCH
from app.fit.answers import AnswerLine, Kept
from app.screens.counter_ask import NO_IDEA, STATED, AskState, Reply
from app.screens.counter_heard import packed
from app.screens.counter_reasons import Block, cut, fitted, reasons
from app.screens.counter_view import HANGING, pair
from app.screens.parts.keys import NARROW
from app.screens.parts.plain import clip, joined

PANE = 9
"""Rows of the pane where the screen has them, before the list has more than it needs."""
LEAST = 3
"""Rows of a longer list that the pane never takes."""
AT_BENCH = "F10, then 6: the bench holds two frames against each other. For a part, type which after the words."
"""Where a question about two vehicles is answered."""
MOST_KEPT = 3
"""Tags that somebody has which are told where nothing else answers; d shows all."""
MEASURED = re.compile(r"[\d.,]+ \S|\d*\.\d")
"""A choice that is a figure read off something, of which the customer's may be another."""
SHORT_KEY = 14
"""Columns of a choice where all of them would not fit beneath the question."""


def basket_words(state: AskState, width: int) -> str:
    """What the keys that sell and keep act on, where something is in the basket; empty where nothing is."""
    if not state.basket:
        return ""
    count = len(state.basket)
    if width < NARROW:
        return f"basket {count} aside: t takes it" if state.basket_aside else f"s h k q: basket of {count}, t: this one"
    if state.basket_aside:
        return f"    s h k q act on this one alone; t: on the basket of {count} again"
    total = short_dollars(sum(line.price_cents for line in state.basket))
    return f"    s h k q act on the basket of {count}, {total}; t: on this one alone"


def pane_room(free: int, listed: int) -> int:
    """Rows for the pane, of those free for list and pane together; `listed` are the rows the list has to show."""
    listed = max(listed, 1)
    return max(min(PANE, free - min(LEAST, listed)), free - listed)


def found_words(found: Typed, line: AnswerLine | None, width: int, room: int, *, in_list: bool = True) -> list[Content]:
    """What a typed tag, ticket or phone number stands for, and what can be done about it."""
    blocks = [Block("is", found.title), *(reasons(line, tagged=False) if line is not None else [])]
    if fits := sum(row.kind == "fit" for row in found.rows):
        blocks.append(Block("fits", f"{fits} kinds of vehicle, best first; type one behind the tag"))
    holds = any(row.kind == "hold" for row in found.rows)
    if found.rows and (holds or found.kind is not TypedKind.PART):
        first = "Enter opens it" if in_list else "Enter first; then Enter opens it"
        blocks.append(Block("keys", f"{first}{', s sells what is held, u lets it go' if holds else ''}"))
    return fitted(blocks, width, room, in_list=in_list)


def kept_words(kept: Kept, width: int) -> list[Content]:
    """A tag that somebody has, and the keys that sell a held one to him or let it go."""
    rows = pair("kept", f"{kept.tag} {kept.name}: {kept.words}", width, "bold")
    if kept.words.startswith("held"):
        rows.append(
            joined(" " * HANGING, ("s ", "bold $accent"), "sells it to him   ", ("u ", "bold $accent"), "lets it go")
        )
    return rows


def questions(state: AskState, replies: Sequence[Reply], width: int, room: int) -> list[Content]:
    """What to ask the customer, with the keys that answer; the keys have their rows before the words have theirs."""
    if state.answer is not None and any(chip.field == BENCH for chip in state.answer.asked.chips):
        # The customer knows no more about it: the way there is told, and nothing to be said out loud.
        return pair("go", AT_BENCH, width, "bold")[: max(room, 1)]
    words, keys = _question(state, replies, width)
    if not words:
        return []
    rows = _key_rows(_reached(state, keys), width, room - 1)
    return [*cut(pair("ask", words, width, "bold"), max(room - len(rows), 1), width), *rows]


def _question(state: AskState, replies: Sequence[Reply], width: int) -> tuple[str, list[tuple[str, str]]]:
    """The words of what is asked, and the keys with what they answer."""
    keys = [(reply.key, reply.value) for reply in replies]
    if state.answer is not None and state.answer.asked.meanings:
        meaning = state.answer.asked.meanings[0]
        return meaning.question if meaning.unknown else f"“{meaning.said}” can be several things. Which?", keys
    question = state.question()
    if question is None:
        return "", []
    if question.fact in STATED and not replies:
        return f"“{question.words}”  Type it after the words.", []
    measured = keys and width >= NARROW and all(map(MEASURED.match, question.choices))
    typed = [("m", "another")] if measured else []
    return f"“{question.words}”", [*(keys or [("m", "type the answer")]), *typed, (NO_IDEA, "no idea")]


def _reached(state: AskState, keys: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """The keys that act; from the ask line Enter comes first."""
    return [*keys] if state.in_list or not keys else [("Enter", "then"), *keys]


def _key_rows(keys: Sequence[tuple[str, str]], width: int, most: int) -> list[Content]:
    gap = " " * (3 if width >= NARROW else 2)
    lengths = [cell_len(key) + 1 + cell_len(word) for key, word in keys]
    rows = packed(lengths, len(gap), width - HANGING)
    if len(rows) > most:
        keys = [(key, clip(word, SHORT_KEY)) for key, word in keys]
        rows = packed([cell_len(key) + 1 + cell_len(word) for key, word in keys], len(gap), width - HANGING)
    said = []
    for row in rows:
        parts: list[str | tuple[str, str]] = [" " * HANGING]
        for index in row:
            key, word = keys[index]
            parts += [(f"{key} ", "bold $accent"), word + gap]
        said.append(joined(*parts))
    return said


def nothing(state: AskState, width: int) -> list[Content]:
    """What to say when no line answers: who has what would, and until when, or that there is nothing at all."""
    answer = state.answer
    if answer is None or answer.answers or not state.words.strip() or answer.asked.meanings:
        return []
    if not answer.asked.part_types and not (answer.asked.models and answer.asked.not_understood):
        return []
    first = "" if state.in_list else "Enter, then "
    want: tuple[str | tuple[str, str], ...] = ((f"{first}w ", "bold $accent"), "writes a want")
    if not answer.kept:
        return [joined(("nothing in the yard answers this: ", "bold"), *want)]
    told = "; ".join(f"{each.tag} is {each.words}" for each in answer.kept[:MOST_KEPT])
    return [*pair("kept", f"nothing is free that answers this: {told}", width, "bold"), joined(" " * HANGING, *want)]
