"""What would it take to put this on that: the cheapest sets in stock for several wanted things on one vehicle."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from itertools import product

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from app.book.asking import ask
from app.book.carried import carried_over, is_whole_frame
from app.book.reverse import why
from app.book.schema import Donor, Model, Part, PartType, Standing
from app.book.settings import load_settings
from app.book.work import Book, Who
from app.errors import BadInput, YardError
from app.fit.answers import AnswerLine, Asked
from app.fit.plans import UNSURE, Need, Option, Plan, plans
from app.fit.terms import Grade, Group, Side

MOST_OPTIONS, MOST_OF_A_KIND = 24, 6
_APART = re.compile(r"\s*(?:\+|,|&|\band\b|\bplus\b)\s*")
_WHOLE_END = re.compile(r"\b(front|rear)\s+(?:end|suspension|axle parts)\b")


Sold = tuple[Option, tuple[str, ...]]
"""An option with the rules it stands on."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """One thing wanted: its name, the part types that would be it, its side, and the models it must come off."""

    name: str
    part_types: tuple[str, ...]
    side: Side = Side.NONE
    off: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Takes:
    """One reading of what was wanted, with its plans, best first; `refused` is what does not go on at all."""

    reading: str
    vehicle: str
    off: tuple[str, ...]
    needs: tuple[str, ...]
    plans: tuple[Plan, ...]
    refused: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Asking:
    """What is the same for every need: the book, who asks, for which vehicle and on which day."""

    book: Book
    who: Who
    vehicle: str
    facts: Mapping[str, str]
    on: date | None


def takes(
    book: Book,
    who: Who,
    words: str,
    vehicle: str,
    *,
    part: str = "",
    facts: Mapping[str, str] | None = None,
    on: date | None = None,
    most: int = 3,
) -> tuple[Takes, ...]:
    """What it would take to put what the words want on a vehicle: one row for each way the words can be read.

    The words name parts, apart by "+", a comma or "and", and may say off which vehicles they come ("heavy front
    end"). "Front end" and "rear end" also mean everything of that end under the frame. `part` picks one reading.

    Raises:
        BadInput: no part is named, or no vehicle is.
    """
    with book.read() as session:
        rate = load_settings(session).shop_rate_cents_per_hour
    asking = _Asking(book, who, _vehicle(book, who, vehicle), facts or {}, on)
    found = []
    for reading, wanted in _readings(asking, words, part):
        needs = [need for each in wanted for need in _needs(asking, each)]
        refused = tuple(f"{need.name}: {said}" for need in needs for said in need.refused)
        off = tuple(dict.fromkeys(model for each in wanted for model in each.off))
        names = tuple(need.name for need in needs)
        found.append(Takes(reading, vehicle, off, names, plans(needs, rate, most), refused))
        found += _carried(asking, wanted, rate, most)
    return tuple(sorted(found, key=_rank))


def _rank(row: Takes) -> tuple[bool, bool, bool]:
    """What can be done comes first, of that what is whole, and of that what is sure."""
    whole = [plan for plan in row.plans if plan.complete]
    return not row.plans, not whole, not any(plan.grade not in UNSURE for plan in whole)


def _carried(asking: _Asking, wanted: Sequence[Wanted], rate: Decimal, most: int) -> Iterator[Takes]:
    """For a frame in one piece: the customer's own body on it, as far as a rule lets it sit there."""
    for each in wanted:
        if not is_whole_frame(asking.book, each.part_types):
            continue
        models = ask(asking.book, asking.who, asking.vehicle, keep=False).asked.models
        options = carried_over(asking.book, models, each.part_types, each.off)
        if options:
            name = f"your own body on another {each.name}"
            yield Takes(name, asking.vehicle, each.off, (name,), plans([Need(name, options)], rate, most), ())


def _vehicle(book: Book, who: Who, vehicle: str) -> str:
    if not vehicle.strip() or not ask(book, who, vehicle, keep=False).asked.models:
        raise BadInput(f"{vehicle!r} is no vehicle the yard knows", "Say year, make and model.", place="vehicle")
    return vehicle


def _readings(asking: _Asking, words: str, part: str) -> Iterator[tuple[str, list[Wanted]]]:
    """Each way the words can be read: as the parts they name, by each meaning, and as a whole end."""
    said = [_understood(asking, piece, part) for piece in _APART.split(words.strip()) if piece]
    off = tuple(dict.fromkeys(model for each in said for model in each.models))
    named = [
        Wanted(_name(asking.book, each.part_types), each.part_types, each.side, each.models or off)
        for each in said
        if each.part_types
    ]
    open_words = [each for each in said if not each.part_types and each.meanings]
    if open_words:
        meaning = open_words[0].meanings[0]
        for choice in meaning.choices:
            types = _understood(asking, "", choice).part_types
            yield choice, [*named, Wanted(choice, types, open_words[0].side, off)]
    elif named:
        yield " + ".join(each.name for each in named), named
    else:
        raise BadInput(
            f"{words!r} names no part", "Say which part, such as: heavy front lower control arm.", place="words"
        )
    end = _WHOLE_END.search(words.lower())
    if end and not part:
        yield f"everything of the {end.group(1)} under the frame", _whole_end(asking.book, end.group(1), off)


def _understood(asking: _Asking, words: str, part: str) -> Asked:
    return ask(asking.book, asking.who, words, part=part, on=asking.on, keep=False).asked


def _name(book: Book, types: Sequence[str]) -> str:
    """A thing that several part types would be, by the wider name they share."""
    with book.read() as session:
        wider = set(session.scalars(select(PartType.wider).where(PartType.name.in_(types))))
    shared = wider.pop() if len(wider) == 1 else ""
    return shared if len(types) > 1 and shared else " or ".join(types[:3])


def _whole_end(book: Book, end: str, off: tuple[str, ...]) -> list[Wanted]:
    """Every part type of the frame group that is named by that end of the vehicle."""
    with book.read() as session:
        named = select(PartType.name).where(PartType.group == Group.FRAME, PartType.name.startswith(f"{end} "))
        return [Wanted(name, (name,), off=off) for name in session.scalars(named.order_by(PartType.name))]


def _needs(asking: _Asking, wanted: Wanted) -> Iterator[Need]:
    """The need for a wanted thing, both sides of it where it has sides; none where nothing is known of it."""
    by_side: list[tuple[str, list[Sold]]] = []
    refused: list[str] = []
    for side in _sides(asking.book, wanted):
        lines = list(_lines(asking, wanted, side))
        good = [line for line in lines if line.grade is not Grade.WONT_FIT]
        refused += [f"{' + '.join(line.tags)}: {line.say}" for line in lines if line.grade is Grade.WONT_FIT]
        by_side.append((str(side), list(_options(asking.book, good))))
    options = [option for option, _ in by_side[0][1]] if len(by_side) == 1 else list(_pairs(by_side))
    if options or refused or not wanted.off:
        sides = " and ".join(side for side, _ in by_side if side)
        yield Need(f"{wanted.name} {sides}".strip(), tuple(options), tuple(refused))


def _pairs(by_side: Sequence[tuple[str, list[Sold]]]) -> Iterator[Option]:
    """A left and a right one that stand on the same rules: a long arm on one side only would be wrong on any vehicle.

    Where one side has none to match, the other is offered with its fellow missing.
    """
    (left, ours), (right, theirs) = by_side
    grounds = {ground for _, ground in (*ours, *theirs)}
    for ground in sorted(grounds):
        lefts = [option for option, other in ours if other == ground][:MOST_OF_A_KIND]
        rights = [option for option, other in theirs if other == ground][:MOST_OF_A_KIND]
        yield from (_together(one, other) for one, other in product(lefts, rights))
        if not lefts or not rights:
            fellow = right if lefts else left
            yield from (replace(one, missing=(*one.missing, f"the {fellow} one")) for one in (*lefts, *rights))


def _together(one: Option, other: Option) -> Option:
    """Two options as one, with what they share once."""
    return Option(
        tuple(dict((*one.tags, *other.tags)).items()),
        max(one.grade, other.grade, key=lambda grade: grade.rank),
        tuple(dict.fromkeys((*one.work, *other.work))),
        tuple(dict.fromkeys((*one.missing, *other.missing))),
        tuple(dict.fromkeys((*one.consequences, *other.consequences))),
        tuple(dict.fromkeys((*one.unknowns, *other.unknowns))),
        tuple(dict.fromkeys((*one.cautions, *other.cautions))),
        f"{one.say} {other.say}",
    )


def _sides(book: Book, wanted: Wanted) -> Sequence[Side]:
    if wanted.side:
        return (wanted.side,)
    with book.read() as session:
        sided = session.scalars(select(PartType.sided).where(PartType.name.in_(wanted.part_types))).all()
    return (Side.LH, Side.RH) if sided and all(sided) else (Side.NONE,)


def _lines(asking: _Asking, wanted: Wanted, side: Side) -> Iterator[AnswerLine]:
    """What the yard answers for a wanted thing; off certain models each of their tags is asked about."""
    if not wanted.off:
        for part_type in wanted.part_types:
            found = ask(
                asking.book, asking.who, "", vehicle=asking.vehicle, part=part_type, side=str(side),
                facts=asking.facts, on=asking.on, keep=False,
            )  # fmt: skip
            yield from (*found.answers[:MOST_OPTIONS], *found.do_not_sell[:MOST_OPTIONS])
        return
    for tag in _tags_off(asking.book, wanted, side):
        try:
            yield why(asking.book, tag, asking.vehicle, facts=asking.facts, on=asking.on)
        except YardError:
            # Nothing joins this tag and the vehicle.
            continue


def _tags_off(book: Book, wanted: Wanted, side: Side) -> Sequence[str]:
    """The tags of a wanted thing off certain models, the cheapest first."""
    asked: list[ColumnElement[bool]] = [
        PartType.name.in_(wanted.part_types),
        Model.key.in_(wanted.off),
        Part.standing.in_([Standing.FREE, Standing.BLOCKED]),
    ]
    if side:
        asked.append(Part.side == side)
    query = (
        select(Part.tag)
        .join(PartType, PartType.id == Part.part_type_id)
        .join(Donor, Donor.id == Part.donor_id)
        .join(Model, Model.id == Donor.model_id)
        .where(*asked)
        .order_by(Part.price_cents, Part.tag)
    )
    with book.read() as session:
        return session.scalars(query.limit(MOST_OPTIONS)).all()


def _options(book: Book, lines: Sequence[AnswerLine]) -> Iterator[Sold]:
    """Answers as options, cheapest first, with the rules they stand on; a set reached from each piece is one."""
    with book.read() as session:
        prices = _prices(session, {tag for line in lines for tag in line.tags})
    once: dict[frozenset[str], AnswerLine] = {}
    for line in lines:
        once.setdefault(frozenset(line.tags), line)
    for line in sorted(once.values(), key=lambda each: each.price_cents):
        tags = [(tag, prices[tag]) for tag in line.tags]
        # A lump asks its own price less that of the pieces taken off it.
        tags[0] = (tags[0][0], tags[0][1] + line.price_cents - sum(price for _, price in tags))
        option = Option(
            tuple(tags), line.grade, line.operations, _missing(line), line.consequences, line.unknowns,
            line.cautions, line.say,
        )  # fmt: skip
        yield option, line.stands_on


def _prices(session: Session, tags: set[str]) -> dict[str, int]:
    found = session.execute(select(Part.tag, Part.price_cents).where(Part.tag.in_(tags)))
    return {row.tag: row.price_cents for row in found}


def _missing(line: AnswerLine) -> tuple[str, ...]:
    if line.missing:
        return line.missing
    return ("a piece of it",) if line.grade is Grade.SET_SHORT else ()
