"""An answer to an ask, for people: what fits best first, what must not be sold apart, the question last."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from app.commands.show import heading, lines_of, money, table

if TYPE_CHECKING:
    from app.book.typed import Typed
    from app.fit.answers import Answer, AnswerLine, Asked

INDENT = "    "


IN_FULL = 3
LISTED = 12


def answer_lines(answer: Answer, *, every: bool = False) -> Iterator[str]:
    """The answer: the first lines in full, some more as rows, and how many are left (or `every` one in full)."""
    yield from _understood(answer.asked)
    named = answer.asked.several_parts
    yield from _ranked(answer.answers, len(answer.answers) if every else IN_FULL, named=named)
    yield from _apart("not what was asked", answer.not_what_was_asked)
    yield from _apart("do not sell", answer.do_not_sell)
    if answer.kept:
        yield ""
        yield heading("not offered, somebody has it")
        yield from lines_of(f"{each.tag}  {each.name}, {each.words}" for each in answer.kept)
    of = answer.counted[1]
    shown = min(len(answer.answers), len(answer.answers) if every else LISTED)
    if shown < of:
        yield ""
        yield f"{shown:,} of {of:,} shown{'' if every else '; --all shows more, each with its reasons'}"
    for question in answer.questions:
        yield ""
        choices = f"  ({' / '.join(question.choices)})" if question.choices else ""
        yield from lines_of([f"ask: {question.words}{choices}"])


def _understood(asked: Asked) -> Iterator[str]:
    said = {field for chip in asked.chips for field in chip.field.split(" / ")}
    # What was stated beside the words is no chip of them.
    part = [" or ".join(asked.part_types)] if asked.part_types and "part" not in said else []
    side = [str(asked.side)] if asked.side and "side" not in said else []
    wants = [each for each in asked.wants if not set("=<>").isdisjoint(each)]
    told = dict.fromkeys([*(chip.value for chip in asked.chips), *part, *side, *wants])
    if told:
        yield from lines_of([" · ".join(told)])
    for meaning in asked.meanings:
        could = "is not in the book; is it this:" if meaning.unknown else "could be"
        yield from lines_of([f"{meaning.said!r} {could} {' or '.join(meaning.choices)}"])
    if asked.not_understood:
        yield from lines_of([f"not understood: {', '.join(asked.not_understood)}"])


def _ranked(lines: tuple[AnswerLine, ...], in_full: int, *, named: bool) -> Iterator[str]:
    """Each answer's row in one aligned table, `named` with the part it is, its sentence and reasons under it."""
    if not lines:
        yield "nothing to offer"
        return
    head, *rows = table(
        ("", "fit", "price", "condition", "where", "tag"),
        [_cells(number, line, named=named) for number, line in enumerate(lines, start=1)],
        figures=[0, 2],
    )
    yield ""
    yield head
    shown = max(LISTED, in_full)
    for number, (row, line) in enumerate(zip(rows[:shown], lines, strict=False)):
        yield row
        yield from _below(line) if number < in_full else lines_of([f"say “{line.say}”"], INDENT)


def _cells(number: int, line: AnswerLine, *, named: bool) -> tuple[str, str, str, str, str, str]:
    seen = f", seen {_days(line.seen_days)}" if line.seen_days is not None else ""
    where = f"{' + '.join(line.where)}{seen}"
    tags = " ".join((*line.tags, f" {line.names[0]}") if named else line.tags)
    return str(number), line.grade.said, money(line.price_cents), str(line.condition), where, tags


def _days(days: int) -> str:
    return {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")


def _below(line: AnswerLine) -> Iterator[str]:
    yield from lines_of([f"say “{line.say}”"], INDENT)
    if line.core_cents:
        yield f"{INDENT}core {money(line.core_cents)}"
    yield from _each(line.reasons, "why ")
    yield from _each((f"{each.work}{_hours(each.hours)}" for each in line.operations), "work ")
    yield from _each(line.companions, "with ")
    yield from _each(line.consequences, "then ")
    yield from _each(line.unknowns, "not known: ")
    yield from _each(line.cautions, "caution: ")


def _hours(hours: object) -> str:
    return f", {hours} h" if hours is not None else ""


def _each(words: Iterable[str], lead: str) -> Iterator[str]:
    yield from lines_of(words, f"{INDENT}{lead}")


def _apart(title: str, lines: tuple[AnswerLine, ...]) -> Iterator[str]:
    if not lines:
        return
    yield ""
    yield heading(title)
    for line in lines:
        yield from lines_of(
            [f"{' '.join(line.tags)}  {', '.join(line.names)}, {line.grade.said}, {', '.join(line.where)}"]
        )
        yield from lines_of([f"say “{line.say}”"], INDENT)
        yield from _each(line.reasons, "why ")
        yield from _each(line.cautions, "caution: ")


def one_line(line: AnswerLine) -> Iterator[str]:
    """One judged part with everything behind it."""
    yield from lines_of([f"{' '.join(line.tags)}  {', '.join(line.names)}: {line.grade.said}"])
    yield from _below(line)
    yield from _each(line.evidence, "evidence ")


def of_typed(found: Typed) -> Answer:
    """A part that was named by its tag as an answer: on the vehicle that was said, or compared with none."""
    from app.fit.answers import Answer
    from app.fit.terms import Grade

    lines = (*((found.line,) if found.line is not None else ()), *found.more)
    refused = tuple(line for line in lines if line.grade is Grade.WONT_FIT)
    answers = tuple(line for line in lines if line not in refused)
    asked = found.asked if found.asked.words else replace(found.asked, words=found.name)
    return Answer(asked, answers=answers, do_not_sell=refused, counted=(len(answers), len(answers)))


def typed_lines(found: Typed) -> Iterator[str]:
    """A tag with what it fits, a ticket, or what hangs on a phone number."""
    yield from lines_of([found.title])
    if found.line is not None:
        yield from one_line(found.line)
    yield from lines_of((row.said for row in found.rows), INDENT)
