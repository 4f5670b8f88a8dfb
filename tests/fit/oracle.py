"""A slow, plain decision of what fits, written from the rules of the game alone: every world, every set, every chain.

It shares no code with the engine. Paragraph numbers are those of the casebook's first section.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from app.fit.knowledge import Knowledge
from app.fit.known import Offer, Target, Want
from app.fit.rules import Companion, Condition, End, Op, RuleKind
from app.fit.terms import Grade, Group, Side
from tests.fit.oracle_chains import Chained
from tests.fit.oracle_question import PART
from tests.fit.oracle_rules import Directed, Pair, directions
from tests.fit.oracle_sets import (
    UNSALEABLE,
    Line,
    Need,
    best_set,
    candidates,
    groups_of,
    in_lump,
    made_up,
    recorded,
)
from tests.fit.oracle_values import days_old, equal, figure, number_of, plain
from tests.fit.oracle_weighing import Weighed, spoken, weigh, worst
from tests.fit.oracle_worlds import Ends, Mentions, OpenQuestion, Vehicle

AGE_LIMIT_DAYS = 30
IN_LOTS = (
    Grade.BOLTS_UP,
    Grade.MOVE_OVER,
    Grade.MEASURE,
    Grade.BOLTS_IN,
    Grade.NEEDS_WORK,
    Grade.NOT_COMPARED,
)
COUNTED = (Grade.BOLTS_UP, Grade.MOVE_OVER, Grade.BOLTS_IN, Grade.NEEDS_WORK)


@dataclass(frozen=True)
class Decision:
    """What the counter shows: ranked lines, those that miss a requirement, and the tags not to sell."""

    answers: tuple[tuple[tuple[str, ...], Grade], ...]
    below: tuple[tuple[tuple[str, ...], Grade], ...]
    do_not_sell: frozenset[str]


@dataclass(frozen=True)
class Judged:
    """A part in all worlds: its grade, and the set it is sold as."""

    grade: Grade
    offers: tuple[Offer, ...]
    codes: frozenset[str] = frozenset()
    """The rules that were heard."""
    needs: int = 0
    """The pieces that these ask for, where it has fewer."""


@dataclass
class Oracle(Chained):
    """Decides one question."""

    _heard: set[str] = field(default_factory=set)
    _needs: int = 0

    def judge(self, offer: Offer) -> Judged | None:
        """The grade over all worlds; None where the part is not shown at all."""
        grades: set[Grade] = set()
        self._heard, self._needs = set(), 0
        sets: set[tuple[str, ...]] = set()
        offers: tuple[Offer, ...] = (offer,)
        for vehicle, place in self.worlds(offer):
            for grade, chosen in self.in_world(offer, vehicle, place):
                grades.add(grade)
                if grade is Grade.SET:
                    sets.add(tuple(each.tag for each in chosen))
                    offers = chosen
        merged = merge(grades)
        if merged is Grade.SET and len(sets) > 1:
            raise OpenQuestion("the companions differ between the worlds, or 1.2 does not tell them apart")
        asked_for = offer.part_type in self.target.wanted
        laws = (each for each in self.know.rules if each.kind is RuleKind.LAW and offer.part_type in each.offered_types)
        if not asked_for and (offer.law or any(laws)):
            raise OpenQuestion("a part of another type than was asked for, and law that speaks of it")
        if merged is Grade.NOT_COMPARED and not (asked_for and self._in_family(offer)):
            return None
        return Judged(merged, offers if merged is Grade.SET else (offer,), frozenset(self._heard), self._needs)

    def in_world(self, offer: Offer, vehicle: Vehicle, place: Vehicle) -> list[tuple[Grade, tuple[Offer, ...]]]:
        """What the part is in one world; two answers where law leaves it open, several where sets are equal."""
        banned = self.law(offer)
        if banned == {True}:
            return [(Grade.WONT_FIT, (offer,))]
        found = self._without_law(offer, vehicle, place)
        return [*found, (Grade.WONT_FIT, (offer,))] if True in banned else found

    def _without_law(self, offer: Offer, vehicle: Vehicle, place: Vehicle) -> list[tuple[Grade, tuple[Offer, ...]]]:
        pair = Pair(self.know, vehicle, place)
        if _other_side(offer.subject.side, self.target.side):
            raise OpenQuestion("a part of the other side has no grade")
        weighed = weigh(self.know, spoken(pair, self._serving(offer)))
        if weighed is None:
            # A part of another type than was asked for is there only where a rule puts it in the place of that.
            asked_for = offer.part_type in self.target.wanted
            if asked_for and (self._same_design(offer, place) or self._chain(offer, vehicle, place)):
                return [(Grade.BOLTS_UP, (offer,))]
            return [(Grade.NOT_COMPARED, (offer,))]
        self._heard |= {word.directed.rule.code for word in weighed.words}
        if weighed.grade is Grade.SET_SHORT:
            short = [word.directed for word in weighed.words if word.grade is Grade.SET_SHORT]
            counts = [int(each.values[0]) for one in short for each in one.conditions if one.needs_pieces(each)]
            self._needs = max([self._needs, *(count for count in counts if count > offer.pieces)])
        return self._with_companions(offer, place, weighed)

    def _with_companions(self, offer: Offer, place: Vehicle, weighed: Weighed) -> list[tuple[Grade, tuple[Offer, ...]]]:
        asked = {row: word.directed for word in weighed.words for row in word.companions}
        if not asked or weighed.grade is Grade.WONT_FIT:
            return [(weighed.grade, (offer,))]
        rows = [row for row in asked if not self._already_there(row, place)]
        gone = {part_type for part_type, _ in offer.gone_pieces}
        short = any(in_lump(row) and row.part_type in gone for row in rows)
        needs = [self._need(offer, row, asked[row], place) for row in rows if not in_lump(row)]
        lines = best_set(offer, needs, self._as_wanted)
        if (short or not lines) and any(word.directed.disputed for word in weighed.words):
            raise OpenQuestion("a disputed rule whose set is short")
        if short or not lines:
            return [(worst([weighed.grade, Grade.SET_SHORT]), (offer,))]
        if weighed.grade is not Grade.SET:
            return [(weighed.grade, (offer,))]
        return [(Grade.SET, line.offers) for line in lines]

    def _as_wanted(self, line: Line) -> bool:
        return all(meets(self.know, self.target, line, want) for want in self.target.wants)

    def _need(self, offer: Offer, row: Companion, directed: Directed, place: Vehicle) -> Need:
        """A piece of a kind the rule itself speaks of must be one it speaks of; the part in hand may be that piece."""
        spoken_of = directed.serves(row.part_type, self.target.wanted)
        own = spoken_of and row.part_type == offer.part_type and row.side in (Side.NONE, offer.subject.side)

        def fits(each: Offer) -> bool:
            if self.banned(each):
                return False
            its_place = replace(place, side=each.subject.side)
            pairs = [Pair(self.know, vehicle, its_place) for vehicle in self.parts(each)] if spoken_of else []
            return all(pair.says(directed) is not None for pair in pairs)

        return Need(row, tuple(candidates(self.know, offer, row, self.stock, fits, self.value_of)), own)

    def value_of(self, offer: Offer, name: str) -> str | None:
        """What a fact of a part is in every world; None where the worlds differ."""
        if offer.subject.identity is None:
            return None
        alone = Mentions(replace(self.know, uses=()), [Condition(End.PART, name, Op.ANY_OF)])
        ends = Ends(alone, PART, {**offer.subject.donor_facts, **offer.subject.facts}, self.pool)
        own = self.know.groups[offer.part_type]
        worlds = ends.worlds(dict.fromkeys(Group, offer.subject.identity), own, "the part's own")
        found = {(each.facts[name].there, each.facts[name].recorded, each.facts[name].text) for each in worlds}
        there, recorded, text = found.pop()
        return text if there and recorded and not found else None

    def _already_there(self, row: Companion, place: Vehicle) -> bool:
        name, equals, value = row.already_there.partition("=")
        fact = place.facts.get(name)
        return bool(equals) and fact is not None and fact.there and equal(self.know.facts.get(name), fact, value)

    # law

    def law(self, offer: Offer) -> set[bool]:
        """Whether yard law bans the part by its kind: yes, no, or both where what decides is not known."""
        if offer.blocked and offer.law:
            return {True}
        if offer.law == "frame":
            return {"scrap only": {True}, "measure again": {True, False}}.get(offer.frame_verdict, {False})
        if offer.law == "high voltage":
            tested = recorded(offer, "tested on")
            age = days_old(self.know.today, tested.value) if tested else None
            return {age is None or age > AGE_LIMIT_DAYS}
        return self._wear(offer) if offer.law == "wear" else {False}

    def _wear(self, offer: Offer) -> set[bool]:
        now, least = recorded(offer, "rotor thickness"), recorded(offer, "least thickness")
        if now is None or least is None:
            return {True, False}
        info = self.know.facts["rotor thickness"]
        over = number_of(info, now.value) - number_of(info, least.value)
        doubt = (now.u_mm or 0.0) + (least.u_mm or 0.0)
        return {over < 0} if abs(over) > doubt or not doubt else {True, False}

    def banned(self, offer: Offer) -> bool:
        """A companion that law forbids is none."""
        if True in self.law(offer):
            return True
        laws = [each for each in self._serving(offer, any_type=True) if each.rule.kind is RuleKind.LAW]
        if not laws:
            return False
        known = replace(self.know, rules=tuple(each.rule for each in laws))
        alone = Oracle(self.target, [offer], (), known, self.most_worlds)
        pairs = [Pair(self.know, a, b) for a, b in alone.worlds(offer)]
        said = {any(pair.says(law) is Grade.WONT_FIT for law in laws) for pair in pairs}
        if len(said) > 1:
            raise OpenQuestion("a companion of which it is not known whether the law bans it")
        return said == {True}


def _other_side(one: Side, other: Side) -> bool:
    return Side.NONE not in (one, other) and one is not other


def merge(grades: set[Grade]) -> Grade:
    """1.7.1: the same in every world is that; else what the worlds leave."""
    if len(grades) == 1:
        return next(iter(grades))
    if any(grade.rank < Grade.SET_SHORT.rank for grade in grades):
        return Grade.MEASURE
    return Grade.NOT_COMPARED if Grade.NOT_COMPARED in grades else Grade.SET_SHORT


def decide(
    target: Target, offers: Sequence[Offer], stock: Sequence[Offer], know: Knowledge, most_worlds: int = 1000
) -> Decision:
    """The whole answer to a question.

    Raises:
        OpenQuestion: a corner that the rules of the game leave open, or more worlds than `most_worlds` a part.
    """
    oracle = Oracle(target, offers, stock, know, most_worlds)
    # Of a part of the other side only the rules about sides are heard.
    about_sides = {each.rule.code for each in directions(know.rules) if each.about_sides}
    of_sides = replace(know, rules=tuple(rule for rule in know.rules if rule.code in about_sides))
    heard = Oracle(target, offers, stock, of_sides, most_worlds)
    lines: list[Line] = []
    singles: list[tuple[Offer, Judged]] = []
    banned: set[str] = set()
    for offer in offers:
        if _other_side(offer.subject.side, target.side):
            if _trap(heard, offer):
                banned.add(offer.tag)
            continue
        judged = oracle.judge(offer)
        if judged is None:
            continue
        if judged.grade is Grade.WONT_FIT:
            banned.add(offer.tag)
        elif offer.condition not in UNSALEABLE and not offer.blocked:
            lines.append(Line(judged.offers, judged.grade))
            if judged.grade is Grade.SET_SHORT and judged.needs:
                alone = replace(offer.subject, pieces=judged.needs)
                whole = replace(offer, tag=f"{offer.tag}, whole", pieces=judged.needs, subject=alone)
                as_whole = oracle.judge(whole)
                if as_whole and as_whole.grade in IN_LOTS and as_whole.offers == (whole,):
                    singles.append((offer, replace(as_whole, needs=judged.needs)))
    most = min((100 * figure(want.value.split()[0]) for want in target.wants if want.fact == "price"), default=None)
    for group in made_up([(offer, each.grade, (each.codes, each.needs)) for offer, each in singles], most):
        lines = [line for line in lines if line.grade is not Grade.SET_SHORT or line.offers[0] not in group.offers]
        lines.append(group)
    lines = list({frozenset(line.tags): line for line in lines}.values())
    above = [line for line in lines if all(meets(know, target, line, want) for want in target.wants)]
    below = [line for line in lines if line not in above]
    if target.quantity is not None:
        if any(line.grade not in COUNTED for line in lines) or any(want.fact == "price" for want in target.wants):
            raise OpenQuestion("lots to a count that cannot be quoted, or whose price is bounded")
        above, below = groups_of(above, target.quantity), groups_of(below, target.quantity)
    return Decision(ranked(above), ranked(below), frozenset(banned))


def _trap(oracle: Oracle, offer: Offer) -> bool:
    """1.7.14: a tag of the other side is there only where a rule about sides says so."""
    rules = [each for each in oracle._serving(offer) if each.about_sides]
    grades: set[Grade] = set()
    for vehicle, place in oracle.worlds(offer):
        weighed = weigh(oracle.know, spoken(Pair(oracle.know, vehicle, place), rules))
        grades.add(weighed.grade if weighed else Grade.NOT_COMPARED)
    return grades == {Grade.WONT_FIT}


def ranked(lines: Sequence[Line]) -> tuple[tuple[tuple[str, ...], Grade], ...]:
    """1.2. Between several tags sold as one and another answer it stops at the price."""
    ordered = sorted(lines, key=lambda line: line.order)
    for one, next_one in itertools.pairwise(ordered):
        if one.rank == next_one.rank and (len(one.offers) > 1 or len(next_one.offers) > 1):
            raise OpenQuestion("sets that 1.2 does not tell apart")
    return tuple((line.tags, line.grade) for line in ordered)


def meets(know: Knowledge, target: Target, line: Line, want: Want) -> bool:
    """1.7.10: all tags of the asked type must meet it, a price the whole answer, today every tag."""
    if want.fact == "price":
        return _compared(line.price / 100, want.op, figure(want.value.split()[0]))
    if want.fact == "shelf":
        return all(offer.on_shelf for offer in line.offers)
    # What stands in the place of what was asked for must be as that was to be.
    asked_types = target.wanted | {line.offers[0].part_type}
    asked = [offer for offer in line.offers if offer.part_type in asked_types]
    if want.fact == "condition":
        return all(offer.condition.value <= want.value for offer in asked if offer.condition.value in "ABC")
    if want.fact == "miles":
        return all(offer.miles is not None and _compared(offer.miles, want.op, figure(want.value)) for offer in asked)
    info = know.facts[want.fact]
    for offer in asked:
        known = recorded(offer, want.fact)
        if known is None:
            return False
        if want.op == "is" and not equal(info, plain(info, known.value), want.value):
            return False
        if want.op != "is" and not _compared(number_of(info, known.value), want.op, number_of(info, want.value)):
            return False
    return True


def _compared(number: float, op: str, bound: float) -> bool:
    if op == "is":
        return abs(number - bound) <= 1e-6
    if op in ("less than", "more than"):
        return number < bound - 1e-6 if op == "less than" else number > bound + 1e-6
    return number >= bound - 1e-6 if op == "at least" else number <= bound + 1e-6
