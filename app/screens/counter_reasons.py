"""What there is to say of an answer, in blocks under their labels, and how few rows they take where there are few."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from textual.content import Content

from app.fit.answers import AnswerLine
from app.fit.terms import Grade
from app.screens.counter_view import OLD, pair, work_words
from app.screens.parts.keys import NARROW
from app.screens.parts.plain import ELLIPSIS, joined

ACCEPTED = "only if the customer accepts it in writing; never what law forbids"
"""How a part is sold that won't fit the vehicle stated."""
LOUD = "bold $accent"
SAY = "say"
FIRST = (
    *(("is", 1), ("tag", 1), (SAY, 1), ("keys", 1), ("sell", 1), ("care", 1), ("look", 1), ("why", 1), ("care", 2)),
    *((label, 1) for label in ("but", "work", "?", "with", "fits")),
)
"""Labels in the order in which they have their rows, and up to how many, before any has all of them."""
WHOLE = ("is", "tag", SAY, "care", "why", "but", "work", "?", "with", "look", "sell", "fits", "keys")
"""The order in which they have the rows that are left."""


@dataclass(frozen=True, slots=True)
class Block:
    """Words under a label."""

    label: str
    words: str
    style: str = ""

    def rows(self, width: int) -> list[Content]:
        """The words wrapped behind their label; none where there are no words."""
        return pair(self.label, self.words, width, self.style)


def reasons(line: AnswerLine, asked: str = "", *, tagged: bool = True) -> list[Block]:
    """Tag, say, why, work and what else must be known about a line; `asked` stands below it as the question."""
    old = line.seen_days is not None and line.seen_days >= OLD and line.grade is not Grade.WONT_FIT
    unsaid = [words for words in line.consequences if words.casefold() not in line.say.casefold()]
    return [
        Block("tag", tag_words(line) if tagged else "", "bold"),
        Block(SAY, f"“{line.say}”" if line.say else "", "bold"),
        Block("sell", ACCEPTED if line.grade is Grade.WONT_FIT else ""),
        Block("care", " ".join(line.cautions), LOUD),
        Block("look", "Go and look before you promise it." if old else "", LOUD),
        Block("work", work_words(line.operations)),
        Block("with", ", ".join(line.companions)),
        Block("but", "; ".join(unsaid)),
        Block("?", "; ".join(words.rstrip("?") for words in line.unknowns if words != asked)),
        Block("why", "; ".join((*line.reasons, *line.evidence))),
    ]


def tag_words(line: AnswerLine) -> str:
    """The tag to read out, with what it is; of several that go together every tag."""
    return " + ".join(line.tags) if len(line.tags) > 1 else f"{line.tags[0]}  {line.names[0]}"


def fitted(blocks: Sequence[Block], width: int, room: int, *, in_list: bool = True) -> list[Content]:
    """The blocks in as many rows as there is room for; where some are cut, the last row says what reads all of it.

    The sentence to say has up to half of the room before the rest has a row each, cautions and reason first.
    """
    rows = {block.label: block.rows(width) for block in blocks}
    if sum(map(len, rows.values())) <= room:
        return [row for each in rows.values() for row in each]
    given = _given({label: len(each) for label, each in rows.items()}, room)
    shown = [row for label, each in rows.items() for row in cut(each, given[label], width)]
    return [*shown[:-1], _with_key(shown[-1], width, in_list=in_list)] if shown else []


def _given(wanted: Mapping[str, int], room: int) -> dict[str, int]:
    """How many rows each label has of so many."""
    given = dict.fromkeys(wanted, 0)
    first = [(label, max(room // 2, 1) if label == SAY else most) for label, most in FIRST]
    for label, most in (*first, *((label, sys.maxsize) for label in WHOLE)):
        more = min(most, wanted.get(label, 0)) - given.get(label, 0)
        if more > 0:
            given[label] += min(more, room)
            room -= min(more, room)
    return given


def cut(rows: Sequence[Content], most: int, width: int) -> list[Content]:
    """The first rows, the last of them saying by its end that there are more."""
    if len(rows) <= most or most < 1:
        return list(rows[: max(most, 0)])
    return [*rows[: most - 1], Content.assemble(rows[most - 1][: width - 1], ELLIPSIS)]


def _with_key(row: Content, width: int, *, in_list: bool) -> Content:
    """A row with the key at its right end that reads what is not seen."""
    key = "Enter" if in_list else "Enter twice"
    told = joined((key, LOUD), " reads all" if width >= NARROW else ": all")
    return Content.assemble(row.truncate(width - len(told) - 2, ellipsis=True, pad=True), "  ", told)
