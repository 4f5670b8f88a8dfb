"""What rules come to, for bodies of rules at random: as worked out from whole rules, one after another and all at once.

The whole rules and the engine's own chains are what the rows are held against.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

import pytest
from sqlalchemy import Connection, insert, select, update

from app.book import schema
from app.book.modelreading import read_facts, read_models
from app.book.reach.closure import read_catalog, rebuild, renew
from app.book.reach.linknumbers import link_number
from app.book.reach.rulereading import read_moves, read_rules
from app.book.work import Book
from app.fit.chains.closure import ANY_MODEL, graph_of
from app.fit.knowledge import Knowledge
from app.fit.links.linkgraph import LinkGraph
from app.fit.terms import FactKind
from tests.book.test_closure import numbers, reach, rows

TYPES = ("alternator", "radiator", "hub")
MODELS, RULES = 8, 24
FACTS = {
    "towing": (FactKind.YES_NO, []),
    "drive": (FactKind.CHOICE, ["2wd", "4x4"]),
    "axle": (FactKind.CHOICE, ["light", "heavy"]),
    "amps": (FactKind.NUMBER, []),
}
VALUES = {"towing": ("yes", "no"), "drive": ("2wd", "4x4"), "axle": ("light", "heavy")}
HELD = (*VALUES, "side", "amps", "weight class")
"""What may be held against the same on the other end, some of it without a list of what it can be."""
MONTHS = ("2003-06", "2005-01", "2006-09")


def table(kind: type[schema.Base]) -> Any:
    return kind.__table__


def fill(connection: Connection, chosen: random.Random) -> None:
    """A yard with a few models, of which some come with values for a time, at a plant or with another value."""
    connection.execute(
        insert(table(schema.Fact)),
        [
            {"id": at, "name": name, "kind": kind, "choices": choices}
            for at, (name, (kind, choices)) in enumerate(FACTS.items(), start=1)
        ],
    )
    connection.execute(
        insert(table(schema.PartType)),
        [{"id": at, "name": name, "group": "body"} for at, name in enumerate(TYPES, start=1)],
    )
    for model in range(1, MODELS + 1):
        first = chosen.choice((2002, 2004))
        connection.execute(
            insert(table(schema.Model)),
            {
                "id": model,
                "key": f"M {model}",
                "make": "Belgal",
                "name": f"Tanver {model}",
                "weight_class": chosen.choice(("light", "heavy")),
                "family": f"family {model % 3}",
                "year_from": first,
                "year_to": first + 3,
            },
        )
        facts = [{"model_id": model, "number": at, **each} for at, each in enumerate(can_be(chosen), start=1)]
        if facts:
            connection.execute(insert(table(schema.ModelFact)), facts)
    for rule_id in range(1, RULES + 1):
        write_rule(connection, chosen, rule_id)


def can_be(chosen: random.Random) -> Iterator[dict[str, Any]]:
    for number, (name, values) in enumerate(VALUES.items(), start=1):
        for value in values:
            if chosen.random() < 0.5:
                given = [f"drive={chosen.choice(VALUES['drive'])}"] if name == "axle" and chosen.random() < 0.5 else []
                yield {
                    "fact_id": number,
                    "value": value,
                    "built_from": chosen.choice((None, None, "2004-07")),
                    "built_to": None,
                    "plants": chosen.choice(([], [], ["K"])),
                    "given": given,
                }


def write_rule(connection: Connection, chosen: random.Random, rule_id: int) -> None:
    kind = chosen.choices(("fit", "law", "moves date"), (20, 2, 5))[0]
    connection.execute(
        insert(table(schema.Rule)),
        {
            "id": rule_id,
            "code": f"R{rule_id}",
            "kind": kind,
            "grade": chosen.choices(("bolts_up", "wont_fit"), (6, 1))[0],
            "direction": chosen.choice(("both ways", "one way")),
            "chains": chosen.random() < 0.95,
            "why": "compared",
            "state": "open",
        },
    )
    for end, most in (("part", 2), ("target", 1)):
        for part_type in chosen.sample(range(1, len(TYPES) + 1), chosen.randint(1 if end == "part" else 0, most)):
            connection.execute(
                insert(table(schema.RuleType)), {"rule_id": rule_id, "end": end, "part_type_id": part_type}
            )
    write_conditions(connection, chosen, rule_id)
    if kind == "moves date" and rule_id > 1:
        moved = chosen.randrange(1, rule_id)
        connection.execute(
            insert(table(schema.RuleDateMove)),
            {
                "rule_id": rule_id,
                "moves_id": moved,
                "from_month": chosen.choice(MONTHS),
                "to_month": chosen.choice(MONTHS),
            },
        )


def write_conditions(connection: Connection, chosen: random.Random, rule_id: int) -> None:
    written = [each for end in ("part", "target") for each in conditions(chosen, end)]
    if chosen.random() < 0.3:
        op = chosen.choice(("same", "same", "differs", "within"))
        fact, alt = "axle" if op == "within" else "side", chosen.choice((0, 1, 2))
        written.append({"end": "between", "alt": alt, "fact": fact, "op": op, "values_": []})
    for fact in chosen.sample(HELD, chosen.choice((0, 0, 0, 1, 2))):
        op = chosen.choices(("same", "differs", "at least"), (6, 2, 1))[0]
        other = chosen.choice(("", "", "", "drive"))
        each = {"fact": fact, "op": op, "values_": [], "other_fact": other}
        written.append({"end": "between", "alt": chosen.choice((0, 0, 1, 2)), **each})
    for number, each in enumerate(written, start=1):
        connection.execute(insert(table(schema.RuleCondition)), {"rule_id": rule_id, "number": number, **each})


def conditions(chosen: random.Random, end: str) -> Iterator[dict[str, Any]]:
    for _ in range(chosen.choices((0, 1, 2), (2, 6, 1))[0]):
        # One name is written otherwise than the model's, and one is of no model.
        named = chosen.sample([f"M {each}" for each in range(1, MODELS + 1)] + ["m  3", "M 99"], chosen.randint(1, 4))
        yield {"end": end, "fact": "model", "op": "any of", "values_": named}
    for _ in range(chosen.choice((0, 0, 1, 2))):
        fact = chosen.choice([*VALUES, "built", "built", "plant", "weight class", "year", "model"])
        alt = chosen.choice((0, 0, 1, 2))
        yield {"end": end, "alt": alt, **asked(chosen, fact)}


def asked(chosen: random.Random, fact: str) -> dict[str, Any]:
    if fact == "built":
        return {"fact": fact, "op": chosen.choice(("before", "from")), "values_": [chosen.choice(MONTHS)]}
    values = {"plant": ("K", "M"), "weight class": ("light",), "year": ("2003", "2005"), "model": ("M 2", "M 5")}
    op = "none of" if fact == "model" else chosen.choice(("any of", "none of"))
    return {"fact": fact, "op": op, "values_": [chosen.choice(values.get(fact) or VALUES[fact])]}


def expected(connection: Connection) -> tuple[set[Any], set[Any]]:
    """The rows as whole rules and the engine's chains have them."""
    types = {row.id: row.name for row in connection.execute(select(schema.PartType.id, schema.PartType.name))}
    kinds = {name: key for key, name in types.items()}
    models, facts = read_models(connection), read_facts(connection)
    rules = read_rules(connection, connection.scalars(select(schema.Rule.id)).all(), types)
    ids = {rule.code: rule_id for rule_id, rule in rules.items()}
    heard = {
        (False, kinds[part_type], model_id, number)
        for rule_id, rule in rules.items()
        for part_type, model, back in reach(rule)
        for model_id in ([0] if model == ANY_MODEL else [models.ids[key] for key in models.named([model])])
        for number in numbers(rule_id, rule, back, facts)
    }
    know = Knowledge(facts, (), read_moves(connection, types), models=models.infos)
    return heard, met(graph_of(know, rules.values()), ids)


def met(graph: LinkGraph, ids: dict[str, int]) -> set[Any]:
    at = {at: link_number(ids[step.link.rule.code], step.link.back, step.link.way) for at, step in graph.steps.items()}
    return {(at[second], at[first]) for first, following in graph.after.items() for second in following}


@pytest.mark.parametrize("seed", range(12))
def test_rows_are_those_of_whole_rules_and_the_same_one_by_one(sqlite_book: Book, seed: int) -> None:
    chosen = random.Random(seed)
    with sqlite_book.engine.begin() as connection:
        fill(connection, chosen)
        rebuild(connection)
        catalog, rule = read_catalog(connection), table(schema.Rule)
        for changed in (0, *chosen.sample(range(1, RULES + 1), 6)):
            if changed:
                state = {"direction": chosen.choice(("both ways", "one way")), "chains": chosen.random() < 0.8}
                connection.execute(update(rule).where(rule.c.id == changed).values(state))
                connection.execute(table(schema.RuleCondition).delete().where(schema.RuleCondition.rule_id == changed))
                write_conditions(connection, chosen, changed)
                renew(connection, catalog, [changed])
            reached, meeting = rows(connection)
            heard, chained = expected(connection)
            assert {each for each in reached if not each[0]} == heard
            assert {each[:2] for each in meeting} == chained
            rebuild(connection)
            assert rows(connection) == (reached, meeting)


def one_rule(connection: Connection, rule_id: int, kind: str, *asked: tuple[str, str, str, str]) -> None:
    values = {"id": rule_id, "code": f"R{rule_id}", "kind": kind, "grade": "bolts_up", "why": "compared"}
    connection.execute(insert(table(schema.Rule)), values)
    connection.execute(insert(table(schema.RuleType)), {"rule_id": rule_id, "end": "part", "part_type_id": 1})
    for number, (end, fact, op, value) in enumerate(asked, start=1):
        each = {"rule_id": rule_id, "number": number, "end": end, "fact": fact, "op": op, "values_": [value]}
        connection.execute(insert(table(schema.RuleCondition)), each)


FIRST, SECOND = link_number(1, False, 0), link_number(2, False, 0)


def of_second(connection: Connection) -> set[Any]:
    return {each for each in rows(connection)[1] if each[0] == SECOND}


def test_two_links_meet_where_a_moved_date_lets_them_until_the_move_itself_changes(book: Book) -> None:
    """Built from 2005-01 and before it is no vehicle, but at plant K the second goes on to 2005-06."""
    with book.engine.begin() as connection:
        connection.execute(insert(table(schema.Fact)), {"id": 1, "name": "towing", "kind": FactKind.YES_NO})
        connection.execute(insert(table(schema.PartType)), {"id": 1, "name": "hub", "group": "body"})
        model = {"id": 1, "key": "M 1", "make": "Belgal", "name": "Tanver", "family": "Tanver family"}
        connection.execute(insert(table(schema.Model)), {**model, "year_from": 2003, "year_to": 2006})
        one_rule(connection, 1, "fit", ("target", "model", "any of", "M 1"), ("target", "built", "from", "2005-01"))
        one_rule(connection, 2, "fit", ("part", "built", "before", "2005-01"), ("part", "towing", "any of", "yes"))
        rebuild(connection)
        assert of_second(connection) == set()
        one_rule(connection, 3, "moves date", ("target", "plant", "any of", "K"))
        move = {"rule_id": 3, "moves_id": 2, "from_month": "2005-01", "to_month": "2005-06"}
        connection.execute(insert(table(schema.RuleDateMove)), move)
        catalog, condition = read_catalog(connection), table(schema.RuleCondition)
        both = {(SECOND, FIRST, '["Tanver family"]')}
        for at, met in (("K", both), ("", set()), ("K", both)):
            changed = {"fact": "plant", "values_": ["K"]} if at else {"fact": "weight class", "values_": ["heavy"]}
            connection.execute(update(condition).where(condition.c.rule_id == 3).values(changed))
            renew(connection, catalog, [3])
            assert of_second(connection) == met
            rebuild(connection)
            assert of_second(connection) == met
