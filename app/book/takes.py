"""What would it take to put this on that: the cheapest sets in stock for several wanted things on one vehicle."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from itertools import product

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from app.book.asking import ask
from app.book.carried import carried_over, is_whole_frame
from app.book.reverse import Along, Put, no_vehicle, put_on
from app.book.schema import Donor, Model, Part, PartType, Standing
from app.book.settings import load_settings
from app.book.wantedthings import Asking, Wanted, not_understood, readings
from app.book.work import Book, Who
from app.errors import YardError
from app.fit.answers import AnswerLine
from app.fit.plans import UNSURE, Need, Option, Plan, plans
from app.fit.terms import Grade, Group, Side

MOST_OPTIONS, MOST_OF_A_KIND = 24, 6
ON_BOTH_SIDES = frozenset({Grade.BOLTS_IN, Grade.NEEDS_WORK})
"""Under the frame a piece that is other than the one it takes the place of never goes on one side alone.

Common practice, no source.
"""
_OTHER = {Side.LH: Side.RH, Side.RH: Side.LH}


Sold = tuple[Option, tuple[str, ...]]
"""An option with the rules it stands on."""


@dataclass(frozen=True, slots=True)
class Takes:
    """One reading of what was wanted, with its plans, best first; `refused` is what does not go on at all.

    `not_understood` are words of what was wanted, or of the vehicle, that mean nothing to the yard.
    """

    reading: str
    vehicle: str
    off: tuple[str, ...]
    needs: tuple[str, ...]
    plans: tuple[Plan, ...]
    refused: tuple[str, ...]
    not_understood: tuple[str, ...] = ()


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
    asking = Asking(book, who, _vehicle(book, who, vehicle), facts or {}, on)
    found = []
    for reading, wanted in readings(asking, words, part):
        needs = [need for each in wanted for need in _needs(asking, each)]
        refused = tuple(f"{need.name}: {said}" for need in needs for said in need.refused)
        off = tuple(dict.fromkeys(model for each in wanted for model in each.off))
        names = tuple(need.name for need in needs)
        found.append(Takes(reading, vehicle, off, names, plans(needs, rate, most), refused))
        found += _carried(asking, wanted, rate, most)
    unheard = not_understood(asking, words, part)
    return tuple(replace(row, not_understood=unheard) for row in sorted(found, key=_rank))


def _rank(row: Takes) -> tuple[bool, bool, bool]:
    """What can be done comes first, of that what is whole, and of that what is sure."""
    whole = [plan for plan in row.plans if plan.complete]
    return not row.plans, not whole, not any(plan.grade not in UNSURE for plan in whole)


def _carried(asking: Asking, wanted: Sequence[Wanted], rate: Decimal, most: int) -> Iterator[Takes]:
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
    asked = ask(book, who, vehicle, keep=False).asked
    if not asked.models:
        raise no_vehicle(vehicle, asked)
    return vehicle


@dataclass(frozen=True, slots=True)
class _Kind:
    """Part types that would meet a need in the same way: on which sides, and whether both must be alike."""

    part_types: tuple[str, ...]
    sides: tuple[Side, ...]
    both_alike: bool = False


def _needs(asking: Asking, wanted: Wanted) -> Iterator[Need]:
    """The need for a wanted thing, both sides of it where it has sides; none where nothing is known of it."""
    kinds = _kinds(asking.book, wanted)
    found = [_of_kind(asking, replace(wanted, part_types=kind.part_types), kind) for kind in kinds]
    options = tuple(option for each in found for option in each.options)
    refused = tuple(said for each in found for said in each.refused)
    if not options:
        refused += tuple(said for each in found for said in each.missed)
    if options or refused or not wanted.off:
        sides = " and ".join(side for side in kinds[0].sides if side) if len(kinds) == 1 else ""
        yield Need(f"{wanted.name} {sides}".strip(), options, refused)


def _kinds(book: Book, wanted: Wanted) -> list[_Kind]:
    """The part types that have sides apart from those that have none."""
    with book.read() as session:
        query = select(PartType.name, PartType.sided, PartType.group).where(PartType.name.in_(wanted.part_types))
        rows = session.execute(query).all()
    whole = tuple(row.name for row in rows if not row.sided)
    sided = tuple(row.name for row in rows if row.sided)
    kinds = [_Kind(whole, (wanted.side,))] if whole or not sided else []
    if sided:
        alike = all(row.group == Group.FRAME for row in rows if row.sided)
        kinds.append(_Kind(sided, (wanted.side,) if wanted.side else (Side.LH, Side.RH), alike))
    return kinds


@dataclass(frozen=True, slots=True)
class _Found:
    """What would meet a need in one way, what is refused and why, and what misses a requirement and why."""

    options: tuple[Option, ...]
    refused: tuple[str, ...]
    missed: tuple[str, ...]


def _of_kind(asking: Asking, wanted: Wanted, kind: _Kind) -> _Found:
    by_side = [(side, list(_lines(asking, wanted, side))) for side in kind.sides]
    held = [each for _, every in by_side for each in every]
    sold = [(side, list(_sold(asking.book, every))) for side, every in by_side]
    pairs = [(str(side), each) for side, each in sold]
    options = tuple(_pairs(pairs, kind.both_alike) if len(pairs) > 1 else _alone(asking, wanted, kind, sold))
    offered = {tag for option in options for tag, _ in option.tags}
    refused = [each for each in _refused(asking.book, by_side) if offered.isdisjoint(each.line.tags)]
    return _Found(
        options,
        tuple(dict.fromkeys(_said(each, each.line.say) for each in refused)),
        tuple(_said(each, "; ".join(each.misses)) for each in held if each.misses),
    )


def _refused(book: Book, by_side: Sequence[tuple[Side, Sequence[Put]]]) -> list[Put]:
    """What does not go on. Where both sides are wanted, what goes on the other side alone is nothing to tell of one."""
    refused = [(side, each) for side, every in by_side for each in every if each.line.grade is Grade.WONT_FIT]
    if len(by_side) < 2:
        return [each for _, each in refused]
    query = select(Part.tag, Part.side).where(Part.tag.in_({each.line.tags[0] for _, each in refused}))
    with book.read() as session:
        own: dict[str, Side] = {row.tag: row.side for row in session.execute(query)}
    return [each for side, each in refused if own[each.line.tags[0]] in (Side.NONE, side)]


def _said(put: Put, why: str) -> str:
    return f"{' + '.join(put.line.tags)}: {why}"


def _sold(book: Book, held: Sequence[Put]) -> Iterator[Sold]:
    return _options(book, [each for each in held if each.line.grade is not Grade.WONT_FIT and not each.misses])


def _alone(
    asking: Asking, wanted: Wanted, kind: _Kind, sold: Sequence[tuple[Side, Sequence[Sold]]]
) -> Iterator[Option]:
    """Those of one side, or of none; what never goes on alone with one of the other side on the same rules."""
    ((side, ours),) = sold
    other = _OTHER.get(side)
    paired = [each for each in ours if other and kind.both_alike and each[0].grade in ON_BOTH_SIDES]
    yield from (option for option, ground in ours if (option, ground) not in paired)
    if other and paired:
        grounds = {ground for _, ground in paired}
        theirs = [each for each in _sold(asking.book, list(_lines(asking, wanted, other))) if each[1] in grounds]
        yield from _pairs([(str(side), paired), (str(other), theirs)], kind.both_alike)


def _pairs(by_side: Sequence[tuple[str, Sequence[Sold]]], both_alike: bool) -> Iterator[Option]:
    """A left and a right one, best of those that stand on the same rules.

    A long arm on one side only would be wrong on any vehicle. Where one side has none to match, the other is offered
    with its fellow missing.
    """
    (left, ours), (right, theirs) = (_first_of_each(name, every) for name, every in by_side)
    matched: list[Option] = []
    for one, other in product(ours, theirs):
        if one[1] == other[1] or _may_differ(one[0], other[0], both_alike):
            matched += (one[0], other[0])
            yield _together(one[0], other[0])
    for fellow, every in ((right, ours), (left, theirs)):
        alone = (option for option, _ in every if option not in matched)
        yield from (replace(one, missing=(*one.missing, f"the {fellow} one")) for one in alone)


def _first_of_each(side: str, every: Sequence[Sold]) -> tuple[str, list[Sold]]:
    """The cheapest of those that stand on the same rules."""
    counted = Counter[tuple[str, ...]]()
    found = []
    for each in every:
        counted[each[1]] += 1
        if counted[each[1]] <= MOST_OF_A_KIND:
            found.append(each)
    return side, found


def _may_differ(one: Option, other: Option, both_alike: bool) -> bool:
    """Whether two may go on together that stand on different rules: each bought by itself, and the same as its own."""
    if len(one.tags) > 1 or len(other.tags) > 1:
        return False
    return not both_alike or ON_BOTH_SIDES.isdisjoint((one.grade, other.grade))


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


def _lines(asking: Asking, wanted: Wanted, side: Side) -> Iterator[Put]:
    """What the yard answers for a wanted thing; off certain models each of their tags is asked about."""
    facts = {**wanted.facts, **asking.facts}
    if wanted.off:
        for tag in _tags_off(asking.book, wanted, side):
            try:
                yield put_on(asking.book, tag, asking.vehicle, wants=wanted.wants, facts=facts, on=asking.on)
            except YardError:
                # Nothing joins this tag and the vehicle.
                continue
        return
    for part_type in wanted.part_types:
        found = ask(
            asking.book, asking.who, "", vehicle=asking.vehicle, part=part_type, side=str(side),
            facts=facts, wants=wanted.wants, on=asking.on, keep=False,
        )  # fmt: skip
        for line in found.answers[:MOST_OPTIONS]:
            yield Put(line, _along(asking, line, facts), ())
        yield from (Put(line, (), ()) for line in found.do_not_sell[:MOST_OPTIONS])
        yield from (Put(line, (), line.reasons[:1]) for line in found.not_what_was_asked[:MOST_OPTIONS])


def _along(asking: Asking, line: AnswerLine, facts: Mapping[str, str]) -> tuple[Along, ...]:
    """The companions that an answer names without being sold as a set."""
    if not line.companions or line.grade is Grade.SET or line.missing:
        return ()
    return put_on(asking.book, line.tags[0], asking.vehicle, facts=facts, on=asking.on).along


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


def _options(book: Book, held: Sequence[Put]) -> Iterator[Sold]:
    """Answers as options, cheapest first, with the rules they stand on; a set reached from each piece is one."""
    with book.read() as session:
        prices = _prices(session, {tag for each in held for tag in each.line.tags})
    once: dict[frozenset[str], Put] = {}
    for each in held:
        once.setdefault(frozenset(each.line.tags), each)
    for each in sorted(once.values(), key=lambda each: each.line.price_cents):
        yield _option(each, prices), each.line.stands_on


def _option(put: Put, prices: Mapping[str, int]) -> Option:
    line = put.line
    tags = [(tag, prices[tag]) for tag in line.tags]
    # A lump asks its own price less that of the pieces taken off it.
    tags[0] = (tags[0][0], tags[0][1] + line.price_cents - sum(price for _, price in tags))
    besides = [each for each in put.along if each.tag not in line.tags]
    return Option(
        (*tags, *((each.tag, each.price_cents) for each in besides)),
        line.grade,
        line.operations,
        _missing(line),
        (*line.consequences, *_gone(line)),
        line.unknowns,
        tuple(dict.fromkeys((*line.cautions, *(said for each in besides for said in each.cautions)))),
        line.say,
    )


def _prices(session: Session, tags: set[str]) -> dict[str, int]:
    found = session.execute(select(Part.tag, Part.price_cents).where(Part.tag.in_(tags)))
    return {row.tag: row.price_cents for row in found}


def _missing(line: AnswerLine) -> tuple[str, ...]:
    """What a set is short of; without that it is none."""
    return (line.missing or ("a piece of it",)) if line.grade is Grade.SET_SHORT else ()


def _gone(line: AnswerLine) -> tuple[str, ...]:
    """The pieces gone from a lump that does without them."""
    return tuple(f"gone from it: {each}" for each in line.missing) if line.grade is not Grade.SET_SHORT else ()
