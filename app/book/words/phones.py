"""A telephone number among the words of a line: no year, no size and no count is in it."""

from __future__ import annotations

import re

from app.book.words.linereading import Reading
from app.book.words.spoken import Line
from app.book.words.vocabulary import Vocabulary
from app.fit.answers import Chip

_WHOLE = re.compile(r"^(?:1-)?(?:[2-9][0-9]{2}-)?[2-9][0-9]{2}-[0-9]{4}$|^[2-9][0-9]{2}[2-9][0-9]{6}$")
_AREA = re.compile(r"^[2-9][0-9]{2}$")
_OF_AREA = re.compile(r"^[2-9][0-9]{2}[-.]?[2-9][0-9]{2}$|^[2-9][0-9]{2}-[0-9]{4}$")
_LAST = re.compile(r"^[0-9]{4}$")
_CALLED = frozenset("call phone tel telephone cell text reach ring number at".split())
"""Words behind which seven digits in two groups are a number."""


def phone(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Call 812 555 2008", "(812) 555-2008", "555-0142": shown as what it is; gives the words it took.

    Numbers of ten digits as the North American plan writes them, whose first and fourth digit is at least 2.
    """
    del vocabulary
    size = _size(line, at)
    if size:
        said = line.words(at, size)
        reading.chips.append(Chip("phone", said, said))
    return size


def _size(line: Line, at: int) -> int:
    if len(line.said[at]) < 3:
        return 0
    first, second, third = (*line.said[at : at + 3], "", "")[:3]
    if _WHOLE.match(first):
        return 1
    if not _AREA.match(first) and not _OF_AREA.match(first):
        return 0
    if _AREA.match(first) and _OF_AREA.match(second) and len(second) == 8:
        return 2
    if _OF_AREA.match(first) and len(first) < 8 and _LAST.match(second):
        return 2
    if _AREA.match(first) and _AREA.match(second) and _LAST.match(third):
        return 3
    return 2 if line.word(at - 1) in _CALLED and _AREA.match(first) and _LAST.match(second) else 0
