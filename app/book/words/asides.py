"""What is said besides the matter: a wish for another order, what it costs, and what does not matter."""

from __future__ import annotations

from app.book.words.linereading import Reading
from app.book.words.spoken import Line
from app.book.words.vocabulary import Vocabulary
from app.fit.answers import Chip
from app.fit.terms import FactKind, Side

ORDER = "best fit first, then shelf, condition, miles, price"
"""The order that every list goes by, shown where somebody wishes for one."""
_QUALITIES = "good great nice best better decent excellent perfect".split()
_ORDERS = frozenset(
    {"cheapest", "least expensive", "lowest price", "lowest priced", "best price", "best priced",
     "best deal", "best one", "best ones", "best you", "newest", "oldest", "nicest", "cleanest", "biggest",
     "largest", "smallest", "longest", "shortest", "widest", "heaviest", "strongest",
     *(f"{less} {noun}" for less in ("low", "lower", "lowest", "fewer", "fewest", "least")
       for noun in ("miles", "mileage", "mile")),
     *(f"{good} {noun}" for good in (*_QUALITIES, "top") for noun in ("condition", "shape"))}
)  # fmt: skip
_PRICED = frozenset({"run", "going", "go", "bring"})
"""Words that ask what something costs before "for", which tells what it is for, or at the end of a question."""
_ASKING = frozenset({"what", "whats", "what's", "how", "how's"})
_CARELESS = frozenset(
    {"any", "any old", "whatever", "no matter", "no matter what", "don't care", "dont care", "doesn't care",
     "don't mind", "dont mind", "not fussy", "not picky", "not particular"}
)  # fmt: skip
_ALL_THE_SAME = frozenset(
    {"whatever", "is whatever", "any", "no matter", "unimportant",
     *(f"{no} {word}" for no in ("doesn't", "doesnt", "don't", "dont", "won't", "isn't", "isnt", "not")
       for word in ("matter", "important"))}
)  # fmt: skip
_OF_WHAT = frozenset("about on what which the it is for of".split())
_NEVER_MATTERS = frozenset({"color", "colour", "colors", "miles", "mileage", "brand"})
_LONGEST = 3
BEGINNINGS = frozenset(
    {*(words.split()[0] for words in (*_ORDERS, *_CARELESS)), *_PRICED, *_NEVER_MATTERS, "how", "right"}
)
"""Words with which such words may begin."""


def aside(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """Take what is said besides the matter, with a chip of its own; gives the words it took."""
    if line.words(at, 2) == "how much":
        return _keep(line, at, 2, _PRICE, reading)
    if line.said[at] in _PRICED:
        asks = line.word(at + 1) == "for" or (at + 1 == len(line.said) and not _ASKING.isdisjoint(line.said))
        return _keep(line, at, 1, _PRICE, reading) if asks else 0
    for size in range(_LONGEST, 0, -1):
        said = line.words(at, size)
        if said in _CARELESS and (end := _unheeded(line, at + size, vocabulary)):
            return _keep(line, at, end - at, f"any {line.said[end - 1]}", reading)
        if said in _ORDERS and not any(more >= size for more, _ in vocabulary.senses_at(line.bare, at)):
            reading.chips.append(Chip("order", ORDER, said))
            return size
    if line.said[at] == "right" and _is_asked_for_a_nod(line, at, reading):
        return _keep(line, at, 1, "no side", reading)
    if line.said[at] in _NEVER_MATTERS:
        size = next((size for size in (2, 1) if line.words(at + 1, size) in _ALL_THE_SAME), 0)
        return _keep(line, at, 1 + size, f"any {line.said[at]}", reading) if size else 0
    return 0


def _is_asked_for_a_nod(line: Line, at: int, reading: Reading) -> bool:
    """ "Left headlamp … that's the same, right?": alone at the end, where the left one is asked for already."""
    alone = at in line.breaks and (at + 1 == len(line.said) or at + 1 in line.breaks)
    return alone and reading.side == Side.LH


_PRICE = "the price is asked"


def _keep(line: Line, at: int, size: int, value: str, reading: Reading) -> int:
    reading.chips.append(Chip("beside", value, line.words(at, size)))
    return size


def _unheeded(line: Line, at: int, vocabulary: Vocabulary) -> int:
    """Where the words end that name what is said not to matter: "about the color", "what color"; 0 for none."""
    here = at
    while line.word(here) in _OF_WHAT and here not in line.breaks:
        here += 1
    if line.word(here) in _NEVER_MATTERS:
        return here + 1
    looks = (size for size, fact in vocabulary.facts_at(line.bare, here) if fact.kind is FactKind.CHOICE)
    return here + next(looks, -here)
