"""Build months in words: "the sticker says twelve oh-eight", "built four oh seven"."""

from __future__ import annotations

from app.book.words.buildtime import BuildTime
from app.book.words.dated import TELLING, keep_time
from app.book.words.everyday import COUNTS
from app.book.words.linereading import Reading
from app.book.words.spoken import Line
from app.book.words.vocabulary import Vocabulary

_NEAR = 3
_OH = ("oh", "o")
_LAST = 12


def spoken_month(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """A month and its year in words, where a word before them says that it is one; gives the words it took."""
    month = COUNTS.get(line.word(at), 0)
    if not 1 <= month <= _LAST or TELLING.isdisjoint(line.meant[max(0, at - _NEAR) : at]):
        return 0
    here = at + 1 + (line.word(at + 1) == "of")
    year, size = _year_at(line, here)
    if year not in vocabulary.years:
        return 0
    time = f"{year}-{month:02d}"
    end = here + size
    keep_time(BuildTime(time, time), line.words(at, end - at), reading)
    return end - at


def _year_at(line: Line, at: int) -> tuple[int, int]:
    """The year of "oh eight", "oh-eight" or "ten", and in how many words."""
    # "Oh-eight" is no slip for another word.
    word = line.said[at] if at < len(line.said) else ""
    if word in _OH:
        return 2000 + COUNTS.get(line.word(at + 1), 0), 2
    if word.startswith("oh-"):
        return 2000 + COUNTS.get(word.removeprefix("oh-"), 0), 1
    return (2000 + COUNTS[word], 1) if COUNTS.get(word, 0) >= 10 else (0, 0)
