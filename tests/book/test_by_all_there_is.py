"""An ask reads only what bears on it; judged by all the yard's rules and parts at once it has the same answer."""

from __future__ import annotations

import json
from datetime import date
from random import Random

from sqlalchemy import text
from sqlalchemy.orm import Session

from app.book.asking import DATED, ask, customer_fact
from app.book.bearing import bearing, serving_types
from app.book.fetching import fetch
from app.book.knowing import Knowing, knowing
from app.book.offermaking import OfferMaker
from app.book.partrows import WHOLE, Whole
from app.book.reach.rulereading import read_every_rule, read_moves
from app.book.whose import identities
from app.book.work import Book
from app.fit.answers import Answer, Asked
from app.fit.candidates import AtHand
from app.fit.engine import answer_from
from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo, ModelInfo, Offer, Target
from app.fit.rules import code_order
from tests.book.test_second_yard import C1

TODAY = date(2026, 5, 20)
ASKS = 150


def line(known: Knowing, chosen: Random) -> str:
    """A vehicle, or none, and a part as a customer may say them, with a side and what he looked at."""
    said = [chosen.choice(list(known.type_ids))]
    if chosen.random() < 0.9:
        model = chosen.choice(list(known.models.values()))
        said.append(vehicle(model, chosen))
        said += [looked_at(chosen.choice(list(known.facts.values())), model, chosen) for _ in range(2)]
    said.append(chosen.choice(["left", "right", "", ""]))
    chosen.shuffle(said)
    return " ".join(filter(None, said))


def vehicle(model: ModelInfo, chosen: Random) -> str:
    year = chosen.randint(model.year_from, model.year_to)
    said = [str(year)] if chosen.random() < 0.7 else []
    said += [model.words, model.variant] if chosen.random() < 0.5 else [model.make, model.words]
    return " ".join([*said, *([f"built {year}-{chosen.randint(1, 12):02d}"] if chosen.random() < 0.3 else [])])


def looked_at(fact: FactInfo, model: ModelInfo, chosen: Random) -> str:
    values = [each.value for each in model.possible if each.fact == fact.name] or list(fact.choices)
    return f"{fact.name} {chosen.choice(values)}" if values else ""


def all_there_is(session: Session, known: Knowing) -> tuple[Knowledge, list[Offer]]:
    """The whole yard at hand: every rule, every use of a design and every part that is on offer."""
    connection = session.connection()
    known.shelf_of_models.bring_all(connection)
    uses = bearing(connection, known, known.type_ids, None).uses
    rules = tuple(sorted(read_every_rule(connection, known.type_names), key=lambda rule: code_order(rule.code)))
    moves = read_moves(connection, known.type_names)
    frames = known.frames(session)
    look_for = known.look_for
    know = Knowledge(known.facts, rules, moves, known.groups, uses, known.models, TODAY, look_for, frames)
    ids = [row.id for row in connection.execute(text("SELECT id FROM parts WHERE standing IN ('free', 'blocked')"))]
    rows = map(Whole._make, fetch(connection, WHOLE, {"parts": json.dumps(ids)}))
    return know, list(map(OfferMaker(known, TODAY).offer, rows))


def by_all(asked: Asked, known: Knowing, know: Knowledge, every: list[Offer]) -> Answer:
    wanted = frozenset(asked.part_types)
    facts = {
        name: customer_fact(known.facts.get(name), value) for name, value in asked.facts.items() if name not in DATED
    }
    target = Target(wanted, identities(asked, known), facts, asked.side, quantity=asked.quantity)
    types = serving_types(know.rules, wanted)
    offers = [each for each in every if each.part_type in types]
    return answer_from(asked, target, AtHand(offers, [each for each in every if not each.blocked]), know)


def test_what_is_not_read_for_an_ask_would_not_have_changed_its_answer(any_yard: Book) -> None:
    with any_yard.read() as session:
        known = knowing(session)
        know, every = all_there_is(session, known)
    found = refused = 0
    for seed in range(ASKS):
        words = line(known, Random(seed))
        answer = ask(any_yard, C1, words, on=TODAY, keep=False)
        if not answer.asked.part_types:
            continue
        whole = by_all(answer.asked, known, know, every)
        assert answer.answers == whole.answers, words
        assert answer.do_not_sell == whole.do_not_sell, words
        assert answer.counted == whole.counted, words
        found += bool(answer.answers)
        refused += bool(answer.do_not_sell)
    assert found > ASKS // 5, "many asks must find something"
    assert refused > ASKS // 20, "some must be refused something"
