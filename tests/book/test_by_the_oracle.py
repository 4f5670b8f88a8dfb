"""What the seventh yard answers is what the written rules come to, decided anew by the oracle of `tests/fit/oracle.py`.

Invented data. The oracle is given every rule of the part and every model, for it looks for chains itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from random import Random

import pytest
from sqlalchemy import select

from app.book import asking
from app.book.knowing import Knowing, knowing
from app.book.schema import PartType
from app.book.work import Book
from app.fit.answers import Answer, Asked
from app.fit.candidates import Source
from app.fit.engine import answer_from
from app.fit.knowledge import Knowledge
from app.fit.known import Target
from app.fit.terms import Grade
from tests.book.conftest import loaded
from tests.book.test_by_all_there_is import all_there_is
from tests.book.test_second_yard import C1
from tests.fit.oracle import Decision, decide
from tests.fit.oracle_worlds import OpenQuestion

TODAY = date(2027, 3, 10)
UNKNOWN_TO_IT = ("trailer hubs, pair", "trailer axle", "flare kit")
"""The oracle knows a thickness by its usual name alone, and ages in days."""
MOST_WORLDS = 3000
Shown = list[tuple[tuple[str, ...], Grade]]


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    yield from loaded("seventh_yard", tmp_path_factory)


def shown(answer: Answer) -> tuple[Shown, Shown, set[str]]:
    above = [(line.tags, line.grade) for line in answer.answers]
    below = [(line.tags, line.grade) for line in answer.not_what_was_asked]
    return above, below, {tag for line in answer.do_not_sell for tag in line.tags}


def told(found: Decision) -> tuple[Shown, Shown, set[str]]:
    return list(found.answers), list(found.below), set(found.do_not_sell)


def what_is_said(known: Knowing, number: int) -> tuple[str, dict[str, str]]:
    """A vehicle with or without its year, and what was looked at of it."""
    chosen = Random(number)
    model = chosen.choice(list(known.models.values()))
    year = chosen.randint(model.year_from, model.year_to)
    facts = {each.fact: each.value for each in chosen.sample(model.possible, min(len(model.possible), number % 3))}
    if number % 4 == 0:
        facts["built"] = f"{year}-{chosen.randint(1, 12):02d}"
    return f"{year} {model.key}" if number % 5 else model.key, facts


def test_a_part_comes_to_what_the_written_rules_say(yard: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    with yard.read() as session:
        known = knowing(session)
        every, _ = all_there_is(session, known)
        names = list(session.scalars(select(PartType.name).order_by(PartType.name)))
    compared: list[bool] = []

    def both(asked: Asked, target: Target, source: Source, know: Knowledge) -> Answer:
        given = answer_from(asked, target, source, know)
        rules = tuple(rule for rule in every.rules if (rule.offered_types | rule.wanted_types) & target.wanted)
        whole = replace(every, rules=rules, today=TODAY, moves=know.moves, uses=know.uses)
        offers = [source.offer(each) for each in source.candidates]
        try:
            found = decide(target, offers, tuple(source.stock()), whole, MOST_WORLDS)
        except OpenQuestion:
            compared.append(False)
            return given
        assert shown(given) == told(found), (asked.part_types, target.identities, target.facts)
        compared.append(True)
        return given

    monkeypatch.setattr(asking, "answer_from", both)
    for number, part in enumerate(4 * [name for name in names if name not in UNKNOWN_TO_IT]):
        vehicle, facts = what_is_said(known, number)
        asking.ask(yard, C1, "", vehicle=vehicle, part=part, facts=facts, on=TODAY, keep=False)
    assert compared.count(True) > 3 * len(names)
