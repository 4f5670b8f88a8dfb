"""The rows of the counter's list: columns as wide as what stands in them, and words that tell a row from the others."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum, auto
from itertools import zip_longest

from rich.cells import cell_len
from textual.content import Content

from app.book.money import short_dollars
from app.fit.answers import AnswerLine
from app.fit.terms import Grade
from app.screens.counter_ask import Entry
from app.screens.counter_view import where, work_words
from app.screens.parts.keys import NARROW
from app.screens.parts.plain import clip, joined, left, right

GRADE_WIDTH = 15
LEAD_WIDTH = 23
SHORT_GRADES = {Grade.MOVE_OVER: "bolts up, moving", Grade.SET_SHORT: "set, piece short"}
"""Grades of which the usual words would take the room of what tells two rows apart."""
FIXED, NARROW_FIXED = 10, 6
"""Columns of digit and gaps, and on a handheld, where no condition stands."""
PRICE_WIDTH = 7
LEAST_WORDS = 16
"""Columns that the words at the end of a row have before the place is said in full."""
MOST_FACTS = 2


class Named(Enum):
    """How much of its name a bare figure has behind it: "145 alternator amps", "145 amps", "145"."""

    IN_FULL = auto()
    BY_LAST = auto()
    NOT = auto()


@dataclass(frozen=True, slots=True)
class Columns:
    """How the rows of one list are laid out, in columns of the screen, and which facts tell them apart.

    `asked` are the facts that the customer is asked for, the next one first; `brief` places have no "seen"; `alone` is
    true of a list of one answer. Where a list has several names, `same` is how many words all of them begin with, and
    the rest is said; None where all have one.
    """

    width: int
    grade: int
    price: int
    condition: int
    place: int
    brief: bool
    telling: frozenset[str]
    asked: tuple[str, ...]
    same: int | None
    alone: bool

    @property
    def words(self) -> int:
        """Columns of the words at the end of a row."""
        return self.width - self.grade - self.price - self.condition - FIXED - self.place


def columns(entries: Sequence[Entry], width: int, asked: Sequence[str] = (), *, named: bool = False) -> Columns:
    """Lay a list out for a width; `named` rows say which part they are even where all are of one."""
    told = [entry.line for entry in entries if entry.line is not None]
    grade = max([GRADE_WIDTH, *(len(_grade(line)) for line in told)])
    price = max([PRICE_WIDTH, *(len(_price(entry)) for entry in entries)])
    condition = max([1, *(len(line.condition) for line in told)])
    rest = width - grade - price - condition - FIXED
    full, short = (max([0, *(cell_len(where(line, brief=brief)) for line in told)]) for brief in (False, True))
    brief = full + LEAST_WORDS > rest
    place = min(short, rest * 6 // 10) if brief else full
    return Columns(
        width,
        grade=grade,
        price=price,
        condition=condition,
        place=place,
        brief=brief,
        telling=_telling(told),
        asked=tuple(asked),
        same=_same(told, named=named),
        alone=len(told) == 1,
    )


def _telling(told: Sequence[AnswerLine]) -> frozenset[str]:
    """The facts of which the answers of a list have more than one value."""
    values: dict[str, set[str]] = {}
    for line in told:
        for name, value in line.facts:
            values.setdefault(name, set()).add(value)
    return frozenset(name for name, found in values.items() if len(found) > 1)


def _same(told: Sequence[AnswerLine], *, named: bool) -> int | None:
    """How many words all names begin with; None where they are one name that need not be said."""
    names = {tuple(line.names[0].split()) for line in told}
    if len(names) < 2:
        return 0 if named else None
    apart = next(place for place, words in enumerate(zip_longest(*names)) if len(set(words)) > 1)
    return min(apart, min(map(len, names)) - 1)


def _grade(line: AnswerLine) -> str:
    return SHORT_GRADES.get(line.grade, line.grade.said)


def _price(entry: Entry) -> str:
    """The price of an answer; what is not to be sold has none: its tag says which one it is."""
    if entry.line is None:
        return ""
    return short_dollars(entry.line.price_cents) if entry.for_sale else f" {entry.line.tags[0]}"


def entry_row(entry: Entry, laid: Columns, *, in_basket: bool) -> Content:
    """A row of the answer list, its figures right-aligned."""
    if entry.heading:
        return Content(f"    {entry.heading}")
    digit = str(entry.rank) if 0 < entry.rank <= 9 else ""
    if entry.found is not None:
        lead = left(entry.found.lead, LEAD_WIDTH) if entry.found.lead else ""
        return joined((f"{digit:>2}  ", "bold $accent"), lead, clip(entry.found.words, laid.width - 4 - len(lead)))
    if entry.kept is not None:
        return Content(f"    {clip(f'{entry.kept.tag} {entry.kept.name}: {entry.kept.words}', laid.width - 4)}")
    line = entry.line
    assert line is not None
    price = right(_price(entry), laid.price)
    head = ((f"{digit:>2}{'+' if in_basket else ' '} ", "bold $accent"), left(_grade(line), laid.grade), price, "  ")
    if laid.width < NARROW:
        return joined(
            *head, clip(line.where[0] if line.where else "", laid.width - laid.grade - laid.price - NARROW_FIXED)
        )
    place = left(where(line, brief=laid.brief), laid.place)
    return joined(*head, left(str(line.condition), laid.condition), "  ", place, "  ", _words(entry, line, laid))


def _words(entry: Entry, line: AnswerLine, laid: Columns) -> str:
    """The words at the end of a row, with its tag at the right end where there is room."""
    words = clip(difference(line, laid), laid.words)
    if not entry.for_sale:
        return words
    tag = line.tags[0] + (f" +{len(line.tags) - 1}" if len(line.tags) > 1 else "")
    room = laid.words - cell_len(tag)
    return left(words, room) + tag if cell_len(words) + 2 <= room else words


def difference(line: AnswerLine, laid: Columns) -> str:
    """What tells this answer from the others, as much of it as there is room for."""
    name = [" ".join(line.names[0].split()[laid.same :])] if laid.same is not None else []
    said = _said(line)
    ways = [", ".join([*name, *words]) for words in ([[said]] if said else _told(line, laid))]
    return next((words for words in ways if cell_len(words) <= laid.words), ways[-1])


def _said(line: AnswerLine) -> str:
    """What a grade itself says of an answer; empty where its facts say more."""
    if line.grade in (Grade.SET, Grade.SET_SHORT) and line.companions:
        return f"with {', '.join(line.companions)}"
    if line.grade is Grade.NEEDS_WORK and line.operations:
        hours = sum(each.hours or 0 for each in line.operations)
        return f"{hours} h of work" if hours else work_words(line.operations)
    if line.grade is Grade.WONT_FIT and line.reasons:
        return line.reasons[0]
    # What a question beneath the list decides is no difference yet.
    return line.consequences[0] if line.consequences and line.grade is not Grade.MEASURE else ""


def _told(line: AnswerLine, laid: Columns) -> list[list[str]]:
    """What an answer is by its facts, in fewer and fewer words.

    First the facts that tell it from the others, what the customer is asked for before the rest; of one answer alone
    all do. Where neither facts nor names do, what it is and what it is off.
    """
    facts = dict(line.facts)
    names = [name for name in dict.fromkeys((*laid.asked, *facts)) if name in facts]
    if telling := [name for name in names if laid.alone or name in laid.telling]:
        return [
            _facts(facts, telling[:count], how)
            for count in range(MOST_FACTS, 0, -1)
            for how in _ways(facts, telling[:count])
        ]
    if laid.same is not None:
        return [[]]
    off = [f"off {', '.join(dict.fromkeys(line.donors))}"] if line.donors else []
    return [*([*_facts(facts, names[:1], how), *off] for how in Named), off]


def _facts(facts: Mapping[str, str], names: Sequence[str], how: Named) -> list[str]:
    return [_fact(name, facts[name], how) for name in names]


def _ways(facts: Mapping[str, str], names: Sequence[str]) -> list[Named]:
    """How facts may be said: several figures without their names would say nothing."""
    figures = len(names) > 1 and all(_is_figure(facts[name]) for name in names)
    return [how for how in Named if how is not Named.NOT or not figures]


def _is_figure(value: str) -> bool:
    return value.replace(".", "").isdigit()


def _fact(name: str, value: str, how: Named) -> str:
    """A fact in short: its value, behind a bare figure as much of its name as there is room for."""
    if _is_figure(value):
        behind = {Named.IN_FULL: f" {name}", Named.BY_LAST: f" {name.split()[-1]}", Named.NOT: ""}
        return f"{value}{behind[how]}"
    return {"yes": name, "no": f"no {name}"}.get(value, value)
