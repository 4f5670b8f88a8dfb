"""What bears on an ask, read anew: links as those of whole rules, and after a change what a rebuilt book says."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from typing import Any

import pytest
from sqlalchemy import Connection, delete, insert, update

from app.book import schema
from app.book.bearing import bearing
from app.book.knowing import Knowing, knowing
from app.book.modelreading import read_facts
from app.book.reach.closure import read_catalog, rebuild, renew
from app.book.reach.linknumbers import link_number
from app.book.reach.linkreading import Links
from app.book.reach.rulereading import Texts, read_rules, with_names
from app.book.reach.rulesheets import read_sheets
from app.book.schema import rule_sheets
from app.book.shelf import Bearing, Shelf
from app.book.work import Book
from app.fit.links.link import links_of
from app.fit.links.linkgraph import LinkGraph, Step, step_of
from tests.book.test_closure_any_rules import MODELS, RULES, TYPES, conditions, fill, table
from tests.book.test_rulesheets import furnish, ids_of, made, names_of


def as_read(step: Step) -> tuple[Any, ...]:
    """All there is to a step."""
    link = step.link
    of_link = (link.rule, link.back, link.way, link.conditions, link.offered, link.wanted, link.roams, link.key)
    return of_link, step.models, step.asked, step.one_side, step.looks, step.roams


@pytest.mark.parametrize("seed", range(12))
def test_links_read_from_sheets_are_those_of_the_rules_read_whole(sqlite_book: Book, seed: int) -> None:
    chosen = random.Random(seed)
    with sqlite_book.engine.begin() as connection:
        fill(connection, chosen)
        facts, names = read_facts(connection), names_of(connection)
        reader, found = Links(Texts(names), facts), 0
        for sheet, named in with_names(read_sheets(connection, ids_of(connection))):
            [rule] = read_rules(connection, [sheet.rule_id], names).values()
            expected = {
                link_number(sheet.rule_id, link.back, link.way): as_read(step_of(link))
                for link in links_of([rule], facts)
            }
            assert {number: as_read(step) for number, step in reader.steps(sheet, named)} == expected
            found += len(expected)
        assert found


def test_both_directions_of_a_rule_have_the_same_rule(sqlite_book: Book) -> None:
    """A chain never runs over one rule twice, and tells rules apart as they stand in memory."""
    with sqlite_book.engine.begin() as connection:
        furnish(connection, random.Random(4))
        reader = Links(Texts(names_of(connection)), read_facts(connection))
        both = 0
        for sheet, named in with_names(read_sheets(connection, ids_of(connection))):
            rules = [step.link.rule for _, step in reader.steps(sheet, named)]
            assert all(rule is rules[0] for rule in rules)
            both += len(rules) > 1
        assert both


def of_graph(graph: LinkGraph) -> tuple[Any, ...]:
    return {number: as_read(step) for number, step in graph.steps.items()}, graph.after, graph.families


def told(bears: Bearing) -> tuple[Any, ...]:
    return bears.rules, of_graph(bears.graph), bears.moves, bears.uses, bears.designs, bears.needed


def every_bearing(connection: Connection, known: Knowing) -> Iterator[Any]:
    """What bears on each part type, for each model and for any, read with nothing on the shelf and then once more."""
    wants: list[Sequence[str] | None] = [None, *([f"M {model}"] for model in range(1, MODELS + 1))]
    for cold in (True, False):
        known.rules = Shelf()
        for part_type in TYPES:
            for models in wants:
                if cold:
                    known.rules = Shelf()
                yield told(bearing(connection, known, [part_type], models))


@pytest.mark.parametrize("seed", range(6))
def test_what_bears_on_an_ask_after_a_change_is_what_a_rebuilt_book_says(book: Book, seed: int) -> None:
    chosen = random.Random(seed)
    with book.engine.begin() as connection:
        furnish(connection, chosen)
    with book.read() as session:
        known = knowing(session)
    with book.engine.begin() as connection:
        catalog, rules = read_catalog(connection), table(schema.Rule)
        for rule_id in chosen.sample(range(1, RULES + 1), 3):
            asked = table(schema.RuleCondition)
            connection.execute(delete(asked).where(asked.c.rule_id == rule_id))
            for number, each in enumerate([*conditions(chosen, "part"), *conditions(chosen, "target")], start=1):
                connection.execute(insert(asked), {"rule_id": rule_id, "number": number, **each})
            connection.execute(update(rules).where(rules.c.id == rule_id).values(why="measured again"))
            renew(connection, catalog, [rule_id])
            assert made(connection) == set(ids_of(connection))
            kept = list(every_bearing(connection, known))
            connection.execute(delete(rule_sheets))
            assert kept == list(every_bearing(connection, known))
            rebuild(connection)
            assert made(connection) == set(ids_of(connection))
            assert kept == list(every_bearing(connection, known))
