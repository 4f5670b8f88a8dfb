"""What is taken back in the same breath: "07 … no wait, 2009", "left, I mean right", "hood, scratch that, fender"."""

from __future__ import annotations

from collections.abc import Callable

from app.book.words.counted import parts_of
from app.book.words.dated import COUNTED
from app.book.words.everyday import SIDES
from app.book.words.linereading import Reading
from app.book.words.spoken import Line
from app.book.words.vocabulary import MODEL_FACTS, Vocabulary
from app.book.words.yearwords import is_year
from app.fit.answers import Chip

_CORE = frozenset("no nope wait sorry actually mean meant scratch make correction oops rather er".split())
BEGINNINGS = _CORE | {"i", "or"}
"""Words with which something may be taken back."""
_GO_ON = _CORE | {"i", "that", "or"}
_NEEDS = {"i": ("mean", "meant"), "or": ("rather",), "scratch": ("that",), "make": ("that",)}
"""Words that take nothing back unless one of these stands behind."""
_STRONG = frozenset("wait scratch meant make correction oops rather".split())
"""Words by which a part is taken back too; after a mere "sorry" another one may be wanted besides."""
_LEADING = frozenset("it's its it is was a an the that's for to on my".split())
_LONGEST, _MOST_LEADING = 4, 3


def corrected(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """Take back what was said before of what follows; gives the words that say so, 0 where nothing is taken back."""
    end = at
    while end < min(len(line.said), at + _LONGEST) and line.word(end) in _GO_ON:
        end += 1
    words = line.meant[at:end]
    if not words or _CORE.isdisjoint(words) or line.word(at + 1) not in _NEEDS.get(words[0], (line.word(at + 1),)):
        return 0
    here = end
    while here - end < _MOST_LEADING and line.word(here) in _LEADING:
        here += 1
    plain_no = set(words) <= {"no", "nope"} and line.breaks.isdisjoint((at, end)) and here == end
    if here >= len(line.said) or (plain_no and not _is_alike(line, at - 1, here, vocabulary)):
        return 0
    old = _taken_back(line, here, vocabulary, reading, strong=not _STRONG.isdisjoint(words))
    if not old:
        return 0
    reading.chips.append(Chip("beside", f"taken back: {old}", f"{old} {line.words(at, end - at)}"))
    return end - at


def _is_alike(line: Line, before: int, here: int, vocabulary: Vocabulary) -> bool:
    """ "Left no right", "07 no 08": both words are of one kind, so that nothing is denied."""
    if line.word(here) in SIDES:
        return line.word(before) in SIDES
    return before >= 0 and is_year(line.said[here], vocabulary) and is_year(line.said[before], vocabulary)


def _taken_back(line: Line, at: int, vocabulary: Vocabulary, reading: Reading, *, strong: bool) -> str:
    """The words of what is taken back for what stands at a place; empty where nothing of its kind was said."""
    if is_year(line.said[at], vocabulary) and line.word(at + 1) not in COUNTED:
        return reading.mentions.take_back_year()
    if line.word(at) in SIDES and (old := _side(line, at, reading)):
        return old
    while line.word(at) in SIDES:
        at += 1
    senses = next((senses for _, senses in vocabulary.senses_at(line.bare, at)), [])
    for trait in ("name", *MODEL_FACTS):
        values = [each.value for each in senses if trait in (each.field, each.fact)]
        if values:
            return reading.mentions.take_back_trait(trait, values)
    return _part(reading) if strong and parts_of(senses) else ""


def _side(line: Line, at: int, reading: Reading) -> str:
    if reading.side in ("", SIDES[line.word(at)]):
        return ""
    reading.sides.clear()
    return _without(lambda chip: chip.field == "side", reading)


def _part(reading: Reading) -> str:
    last = next((each for each in reversed(reading.parts) if each.asked_for), None)
    if last is None:
        return ""
    reading.parts = [each for each in reading.parts if each is not last]
    reading.part_end = 0
    return last.said


def _without(taken: Callable[[Chip], bool], reading: Reading) -> str:
    """Drop chips; gives the words they came from."""
    old = " ".join(chip.said for chip in reading.chips if taken(chip))
    reading.chips = [chip for chip in reading.chips if not taken(chip)]
    return old
