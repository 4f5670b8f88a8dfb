"""What nobody said comes to what all that it may be come to together (settled reading 1 of the casebook)."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from random import Random

from app.book.asking import customer_fact
from app.book.bearing import serving_types
from app.book.knowing import Knowing, knowing
from app.book.work import Book
from app.fit.decide import Judge
from app.fit.known import Identity, Subject, Target
from app.fit.terms import Grade, Group, Side
from app.fit.worlds import NO_SUCH, Scope, closure, worlds
from tests.book.test_by_all_there_is import all_there_is

ASKS = 25


def together(grades: Collection[Grade]) -> Grade:
    """The one grade of several worlds, as the casebook's settled reading has it."""
    best, *others = sorted(set(grades), key=lambda grade: grade.rank)
    if not others:
        return best
    if best.rank < Grade.SET_SHORT.rank:
        return Grade.MEASURE
    return best


class Yard:
    def __init__(self, book: Book) -> None:
        with book.read() as session:
            self.known = knowing(session)
            self.know, self.every = all_there_is(session, self.known)

    def judged(self, target: Target) -> dict[str, Grade]:
        """The grade of every part that may serve; one that is no answer was not compared."""
        types = serving_types(self.know.rules, target.wanted)
        judge = Judge(target, self.know)
        decided = {each.tag: judge.decide(each) for each in self.every if each.part_type in types}
        return {tag: each.grade if each else Grade.NOT_COMPARED for tag, each in decided.items()}

    def agree(self, open_one: Target, every: Sequence[Target]) -> None:
        """The ask that leaves something open comes to what those come to that say it."""
        found = [self.judged(each) for each in every]
        for tag, grade in self.judged(open_one).items():
            assert grade is together([each[tag] for each in found]), (tag, open_one)


def plainly(model: Identity, kind: str, side: Side) -> Target:
    return Target(frozenset({kind}), dict.fromkeys(Group, (model,)), {}, side)


def a_target(known: Knowing, chosen: Random) -> Target:
    kind = chosen.choice([name for name in known.type_ids if known.groups[name]])
    return plainly(an_identity(known, chosen), kind, chosen.choice(list(Side)))


def an_identity(known: Knowing, chosen: Random) -> Identity:
    model = chosen.choice(list(known.models.values()))
    return Identity(model, chosen.randint(model.year_from, model.year_to))


def identified(target: Target, *ones: Identity) -> Target:
    return replace(target, identities=dict.fromkeys(Group, ones))


def one_of(target: Target) -> Identity:
    return target.identities[Group.FRAME][0]


def test_a_build_month_that_nobody_said_is_any_of_its_year(any_yard: Book) -> None:
    yard = Yard(any_yard)
    for seed in range(ASKS):
        target = a_target(yard.known, Random(seed))
        one = one_of(target)
        assert one.year is not None
        # Model year Y is built from July of Y-1 to December of Y.
        months = [f"{one.year - 1}-{month:02d}" for month in range(7, 13)]
        months += [f"{one.year}-{month:02d}" for month in range(1, 13)]
        yard.agree(target, [identified(target, replace(one, built=month)) for month in months])


def test_a_year_that_nobody_said_is_any_that_the_model_was_built(any_yard: Book) -> None:
    yard = Yard(any_yard)
    for seed in range(ASKS):
        target = a_target(yard.known, Random(seed))
        model = one_of(target).model
        years = [Identity(model, year) for year in range(model.year_from, model.year_to + 1)]
        yard.agree(identified(target, Identity(model, None)), [identified(target, each) for each in years])


def test_a_vehicle_that_is_one_of_two_is_either(any_yard: Book) -> None:
    yard = Yard(any_yard)
    for seed in range(ASKS):
        chosen = Random(seed)
        target, other = a_target(yard.known, chosen), an_identity(yard.known, chosen)
        yard.agree(identified(target, one_of(target), other), [target, identified(target, other)])


def test_a_look_that_nobody_took_is_any_that_such_a_vehicle_may_show(any_yard: Book) -> None:
    yard = Yard(any_yard)
    told = 0
    for seed in range(4 * ASKS):
        target = a_target(yard.known, Random(seed))
        for name, values in may_show(yard.known, one_of(target)):
            info = yard.known.facts[name]
            yard.agree(target, [replace(target, facts={name: customer_fact(info, each)}) for each in values])
            told += 1
    assert told > 10, "some looks must tell"


def may_show(known: Knowing, one: Identity) -> Iterator[tuple[str, list[str]]]:
    """The looks that such a vehicle may show in several ways; not those of what may not be there at all."""
    subject = Subject(one)
    rows = one.model.possible
    for name in sorted({row.fact for row in rows}):
        every = worlds(subject, Scope(closure(frozenset({name}), rows)), known.facts)
        values = {world[name].value for world in every if name in world}
        if len(values) > 1 and NO_SUCH not in values:
            yield name, sorted(values)
