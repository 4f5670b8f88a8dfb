"""Whatever is typed at the counter, the ask line answers: it never raises, and drops nothing silently."""

from __future__ import annotations

import random
import string
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.book.asking import ask
from app.book.words.everyday import FILLER
from app.book.words.understanding import understand
from app.book.words.vocabulary import Vocabulary
from app.book.work import Book, Who

C1 = Who("C1", seat="counter")
TODAY = date(2026, 3, 4)
NASTY = [
    "[bumper]",
    "[/x]",
    "'); DROP TABLE parts;--",
    "\x00",
    "½",
    "９９",
    "²",
    "0x1F",
    "1e999",
    "-1",
    "$",
    "''",
    "::::",
    "%s",
]
WORDS = [
    "08",
    "longwagon",
    "lca",
    "rh",
    "at least",
    "under",
    "30",
    "gal",
    "$",
    "all",
    "twelve",
    "today",
    "built",
    "2007-13",
]


LINES = st.one_of(
    st.text(max_size=120),
    st.lists(st.sampled_from([*NASTY, *WORDS]), max_size=30).map(" ".join),
    st.text(alphabet=string.printable, max_size=600),
)


@given(line=LINES)
def test_no_line_of_words_raises(vocabulary: Vocabulary, line: str) -> None:
    asked = understand(line, vocabulary).asked
    assert asked.words == line
    said = " ".join([*(chip.said for chip in asked.chips), *(each.said for each in asked.meanings)])
    for word in line.lower().split()[:20]:
        if word.isascii() and word.isalpha() and len(line) < 400:
            told = word in said or word in asked.not_understood or word in FILLER
            assert told, f"{word} was dropped silently"


def test_a_whole_ask_of_random_words_never_raises(yard: Book, vocabulary: Vocabulary) -> None:
    chosen = random.Random(1)
    phrases = [*sorted(vocabulary.phrases), *NASTY, *WORDS]
    for _ in range(400):
        line = " ".join(chosen.choices(phrases, k=chosen.randrange(1, 8)))
        found = ask(yard, C1, line, on=TODAY, keep=False)
        assert len(found.answers) <= found.counted[1] or not found.answers


@pytest.mark.parametrize("line", ["x" * 100_000, "lca " * 20_000, "08 " * 50_000, "(" * 50_000])
def test_a_line_without_end_is_cut_and_answered(yard: Book, line: str) -> None:
    assert ask(yard, C1, line, on=TODAY, keep=False).asked.words == line


def test_every_alias_and_part_name_is_understood(vocabulary: Vocabulary) -> None:
    """A name typed as it stands in the book means something, also one with a comma."""
    for name in vocabulary.wider:
        asked = understand(name, vocabulary).asked
        assert asked.part_types or asked.meanings, name
