"""Asking the other way round: what does this tag fit, and why not this one?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import groupby

from sqlalchemy.orm import Session

from app.book.asking import customer_fact, knowledge, named_models, reading_of
from app.book.bearing import bearing
from app.book.keeping import standing_words
from app.book.knowing import Knowing, knowing
from app.book.offers import companions, offer_tagged
from app.book.parts import find_part
from app.book.times import local_day
from app.book.whose import identities
from app.book.words.settling import UNKNOWN
from app.book.words.understanding import understand
from app.book.words.wishes import stated_want
from app.book.work import Book
from app.errors import BadInput
from app.fit.amounts import money
from app.fit.answers import AnswerLine, Asked
from app.fit.cases import is_heard_everywhere
from app.fit.decide import Judge
from app.fit.engine import NotCompared, line_for
from app.fit.knowledge import Knowledge
from app.fit.known import Identity, ModelInfo, Offer, Target, Want
from app.fit.lines import judged
from app.fit.links.link import models_named
from app.fit.rules import Direction, End, Op, Rule
from app.fit.sets import Stock
from app.fit.terms import Condition, Grade, Group
from app.fit.values import plain
from app.fit.wants import missed

CAME_OFF = "came off one"
MOST_LOOKED_AT = 200
"""Models that are all looked at where a rule speaks of any vehicle."""


@dataclass(frozen=True, slots=True)
class FitRow:
    """What a tag comes to on one model over a run of model years; `own` is the model and year it came off.

    `kept` says why it is not on offer: sold, held, missing.
    """

    model: str
    vehicle: str
    year_from: int
    year_to: int
    line: AnswerLine
    own: bool = False
    kept: str = ""

    @property
    def only_came_off(self) -> bool:
        """True where all there is to say is that it came off one: no rule speaks, and no design is written down."""
        return self.own and self.line.grade is Grade.NOT_COMPARED

    @property
    def years(self) -> str:
        """The run of years in words; one year stands alone."""
        return str(self.year_from) if self.year_from == self.year_to else f"{self.year_from} to {self.year_to}"

    @property
    def said(self) -> str:
        """How it fits, in the words of the counter."""
        return CAME_OFF if self.only_came_off else self.line.grade.said

    @property
    def say(self) -> str:
        """The sentence for a customer with such a vehicle; what is not on offer is not offered."""
        if self.kept:
            return not_offered(self.kept)
        if not self.only_came_off:
            return self.line.say
        price = money(self.line.price_cents)
        return f"It came off a {self.year_from} {self.vehicle} and is {price}; look at yours before you pay."

    def as_record(self) -> dict[str, object]:
        """The row as plain data."""
        years = {"from": self.year_from, "to": self.year_to}
        said = {"model": self.model, "vehicle": self.vehicle, "years": years, "came_off": self.own}
        return said | self.line.as_record() | {"say": self.say}


@dataclass(frozen=True, slots=True)
class Along:
    """A companion in stock that the rules name for a part: its tag, price in cents, and cautions."""

    tag: str
    price_cents: int
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Put:
    """A tag put on a vehicle: what it comes to, what goes along whatever the grade, which requirements it misses."""

    line: AnswerLine
    along: tuple[Along, ...]
    misses: tuple[str, ...]


def put_on(
    book: Book,
    tag: str,
    vehicle: str,
    *,
    wants: Sequence[str] = (),
    facts: Mapping[str, str] | None = None,
    on: date | None = None,
) -> Put:
    """One tag against one vehicle with its companions, held against stated requirements ("axle ratio=3.73").

    Raises:
        NotFound: the tag is not ours. BadInput: no model of the yard is meant by the words.
        NotCompared: the two are of different families and no rule speaks of them.
    """
    with book.read() as session:
        known = knowing(session)
        asked = reading_of(session, known, vehicle, facts or {})
        if not asked.models:
            raise no_vehicle(vehicle, asked)
        known.shelf_of_models.bring(session.connection(), named_models(asked))
        offer, stock, know = _offer(session, known, tag, on or local_day(book.clock()))
        target = _target(offer, identities(asked, known), asked, known)
        line = line_for(offer, target, stock, know)
        kept = _kept(session, tag, book.clock())
        line = replace(line, say=not_offered(kept)) if kept else line
        found = _found_with(offer, target, stock, know)
        stated = _wants(wants, known)
    misses = [why for want in stated if (why := missed(want, (offer, *found), line.price_cents))]
    along = (Along(each.tag, each.price_cents, tuple(hazard.caution for hazard in each.hazards)) for each in found)
    return Put(line, tuple(along), tuple(misses))


def why(
    book: Book, tag: str, vehicle: str, *, facts: Mapping[str, str] | None = None, on: date | None = None
) -> AnswerLine:
    """One tag against one vehicle, whatever it comes to: the grade with all its reasons.

    What is sold, held or missing says that first, and offers nothing.

    Raises:
        NotFound: the tag is not ours. BadInput: no model of the yard is meant by the words.
        NotCompared: the two are of different families and no rule speaks of them.
    """
    return put_on(book, tag, vehicle, facts=facts, on=on).line


def no_vehicle(said: str, asked: Asked) -> BadInput:
    """Words that name no vehicle, or one of a year in which there was none."""
    strange = next((chip.value for chip in asked.chips if chip.field == UNKNOWN), "")
    title = strange or f"{said!r} is no vehicle the yard knows"
    return BadInput(title, "Say year, make and model.", place="vehicle")


def not_offered(kept: str) -> str:
    """What to say of a part that is not on offer, by its standing in words."""
    return f"{kept[0].upper()}{kept[1:]}: I can't offer it."


def standing(book: Book, tag: str) -> str:
    """Why a tag is not on offer: sold, held for whom until when, missing, scrap; empty for one that may be sold.

    Raises:
        NotFound: the tag is not ours.
    """
    with book.read() as session:
        return _kept(session, tag, book.clock())


def _kept(session: Session, tag: str, now: datetime) -> str:
    part = find_part(session, tag)
    in_words = {Condition.SCRAP: "scrap", Condition.CORE: "a core"}
    unfit = f"{part.tag} is {in_words[part.condition]}" if part.condition in in_words else ""
    return standing_words(session, part, now) or unfit


def _wants(said: Sequence[str], known: Knowing) -> tuple[Want, ...]:
    """Requirements as they are held against a part: stated by a fact's name, or in loose words like "today"."""
    by_name = [(text, stated_want(text, known.vocabulary)) for text in said]
    loose = understand(" ".join(text for text, want in by_name if want is None), known.vocabulary)
    return (*(want for _, want in by_name if want is not None), *loose.wants)


def _found_with(offer: Offer, target: Target, stock: Sequence[Offer], know: Knowledge) -> tuple[Offer, ...]:
    """The companions in stock that the rules name for a part on a vehicle."""
    judge = Judge(target, know)
    decision = judge.decide(offer)
    if decision is None:
        return ()
    return judged(decision, Stock(lambda: stock, judge.banned, judge.target)).company.found


def fits(book: Book, tag: str, *, on: date | None = None) -> tuple[FitRow, ...]:
    """What a tag fits: every model that its rules name or that is of its family, best grade first.

    Raises:
        NotFound: the tag is not ours.
    """
    with book.read() as session:
        known = knowing(session)
        offer, stock, know = _offer(session, known, tag, on or local_day(book.clock()))
        keys = _candidates(offer, know, known)
        known.shelf_of_models.bring(session.connection(), keys)
        rows = [row for key in keys for row in _by_years(offer, known.models[key], stock, know, known)]
        kept = _kept(session, tag, book.clock())
    rows = [replace(row, kept=kept, vehicle=_apart(row, rows, known.models)) for row in rows]
    return tuple(sorted(rows, key=lambda row: (row.line.grade.rank, row.model, row.year_from)))


def _apart(row: FitRow, rows: Iterable[FitRow], models: Mapping[str, ModelInfo]) -> str:
    """The vehicle in words, told from another of the same name and years."""
    alike = (
        each.model != row.model and each.vehicle == row.vehicle
        for each in rows
        if each.year_from <= row.year_to and row.year_from <= each.year_to
    )
    return models[row.model].words_apart if any(alike) else row.vehicle


def _offer(session: Session, known: Knowing, tag: str, day: date) -> tuple[Offer, tuple[Offer, ...], Knowledge]:
    part = find_part(session, tag)
    connection = session.connection()
    bears = bearing(connection, known, [known.type_names[part.part_type_id]])
    offer = offer_tagged(connection, known, part.tag, day)
    donors = [part.donor_id] if part.donor_id is not None else []
    stock = companions(connection, known, bears.needed, donors, day)
    return offer, stock, knowledge(session, known, bears, day)


def _target(offer: Offer, identities: Mapping[Group, tuple[Identity, ...]], asked: Asked, known: Knowing) -> Target:
    told = {name: value for name, value in asked.facts.items() if name != "plant"}
    return Target(
        wanted=frozenset({offer.part_type}),
        identities=identities,
        facts={name: customer_fact(known.facts.get(name), value) for name, value in told.items()},
        side=asked.side,
    )


def _candidates(offer: Offer, know: Knowledge, known: Knowing) -> list[str]:
    """The models of its own family, those that its rules name, and those that carry its design.

    Where a rule speaks of whatever vehicle, all that the yard knows, unless these are too many to look at each.
    """
    if len(known.models) <= MOST_LOOKED_AT and any(_of_any_vehicle(rule, offer.part_type) for rule in know.rules):
        return sorted(known.models)
    named = {
        plain(value)
        for rule in know.rules
        for each in rule.conditions
        if each.fact == "model" and each.op is Op.ANY_OF
        for value in each.values
    }
    own = offer.subject.identity.model.family if offer.subject.identity else ""
    carrying = (use.model for use in know.uses if use.design == offer.design)
    return sorted({*known.shelf_of_models.family(own), *known.shelf_of_models.named(named), *carrying})


def _of_any_vehicle(rule: Rule, part_type: str) -> bool:
    """True where a rule that is not kept inside one family puts such a part on vehicles of which it names no model."""
    ends = [(rule.offered_types, End.TARGET)]
    if rule.direction is Direction.BOTH_WAYS:
        ends.append((rule.wanted_types, End.PART))
    return is_heard_everywhere(rule) and any(
        part_type in types and models_named(rule.conditions, end) is None for types, end in ends
    )


def _by_years(
    offer: Offer, model: ModelInfo, stock: tuple[Offer, ...], know: Knowledge, known: Knowing
) -> Iterable[FitRow]:
    """The model's years in runs of the same words; the year that a tag came off stands alone if never compared."""
    came_off = offer.subject.identity
    judged_years = []
    for year in range(model.year_from, model.year_to + 1):
        target = _target(offer, dict.fromkeys(Group, (Identity(model, year),)), Asked(""), known)
        try:
            line = line_for(offer, target, stock, know)
        except NotCompared:
            continue
        own = came_off is not None and (came_off.model.key, came_off.year) == (model.key, year)
        judged_years.append(FitRow(model.key, model.words, year, year, line, own))
    for _, run in groupby(judged_years, key=_told_alike):
        first, *others = list(run)
        years = (first, *others)
        unknowns = tuple(dict.fromkeys(each for row in years for each in row.line.unknowns))
        line = replace(first.line, unknowns=unknowns)
        yield replace(first, line=line, year_to=years[-1].year_to, own=any(each.own for each in years))


def _told_alike(row: FitRow) -> tuple[object, ...]:
    """What the years of a run share: what they come to, by which rules and in which words."""
    return row.only_came_off, row.line.grade, row.line.rules, row.line.say
