"""What rules come to, kept as rows: made rule by rule or all at once it is the same, and nothing is lost."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, select, text

from app.book import modelreading, offers
from app.book.asking import ask
from app.book.holds import hold
from app.book.knowing import knowing
from app.book.modelreading import read_facts, read_models
from app.book.reach.closure import read_catalog, rebuild, renew
from app.book.reach.linknumbers import link_number
from app.book.reach.rulereading import read_moves, read_rules
from app.book.ruling import close, dispute
from app.book.sales import Basket, Line, start_ticket
from app.book.schema import PartType, Rule, rule_meets, rule_reach
from app.book.sheets import load_folder
from app.book.work import Book, Who
from app.fit import engine
from app.fit import rules as fit
from app.fit.chains.closure import ANY_MODEL, graph_of
from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo
from app.fit.links.link import links_of, models_named
from app.fit.values import plain

YARD = Path(__file__).parents[1] / "casebook"
OW, TODAY = Who("OW"), date(2026, 3, 4)
ASKS = ("front hub lh 07 tolliver light 4x4", "radiator 2007 light tolliver stick", "blower motor 2006 harrow")


@pytest.fixture
def yard(book: Book) -> Book:
    load_folder(book, OW, YARD)
    return book


def rows(connection: Connection) -> tuple[set[Any], set[Any]]:
    reached = {tuple(row) for row in connection.execute(select(rule_reach))}
    return reached, {tuple(row) for row in connection.execute(select(rule_meets))}


def reach(rule: fit.Rule) -> Iterator[tuple[str, str, bool]]:
    """Where a rule may be heard: part type asked for, model (plain, or ANY_MODEL), and whether turned round."""
    if rule.state is fit.RuleState.CLOSED or rule.kind is fit.RuleKind.MOVES_DATE:
        return
    wanted = rule.wanted_types or rule.offered_types
    heard_for = wanted | rule.offered_types if rule.kind is fit.RuleKind.LAW else wanted
    ways = [(False, heard_for, fit.End.TARGET)]
    if rule.direction is fit.Direction.BOTH_WAYS:
        ways.append((True, rule.offered_types, fit.End.PART))
    for back, types, end in ways:
        models = models_named(rule.conditions, end)
        for part_type in types:
            yield from ((part_type, model, back) for model in ((ANY_MODEL,) if models is None else models))


def numbers(rule_id: int, rule: fit.Rule, back: bool, facts: Mapping[str, FactInfo]) -> set[int]:
    """A rule is heard in each way that it may be met as a link, and in one if it is none."""
    return {link_number(rule_id, back, way) for way in {link.way for link in links_of([rule], facts)} or {0}}


def test_rows_made_rule_by_rule_are_those_made_all_at_once(yard: Book) -> None:
    chosen = random.Random(3)
    with yard.engine.begin() as connection:
        ids = list(connection.scalars(select(Rule.id)))
        catalog = read_catalog(connection)
        for _ in range(6):
            changed = chosen.sample(ids, 4)
            state = chosen.choice(("open", "disputed", "closed"))
            connection.execute(
                text("UPDATE rules SET state = :state, state_reason = 'x', state_on = '2026-03-01' WHERE id = :id"),
                [{"state": state, "id": each} for each in changed],
            )
            for each in changed:
                renew(connection, catalog, [each])
            kept = rows(connection)
            rebuild(connection)
            assert rows(connection) == kept


def test_rows_taken_away_and_made_anew_one_by_one_are_all_there_again(yard: Book) -> None:
    with yard.engine.begin() as connection:
        whole, catalog = rows(connection), read_catalog(connection)
        connection.execute(rule_reach.delete())
        connection.execute(rule_meets.delete())
        for each in connection.scalars(select(Rule.id)).all():
            renew(connection, catalog, [each])
        assert rows(connection) == whole


def test_every_rule_is_reached_where_it_may_be_heard(yard: Book) -> None:
    with yard.engine.connect() as connection:
        types = {row.id: row.name for row in connection.execute(select(PartType.id, PartType.name))}
        models = {key: plain(name) for key, name in read_models(connection).keys.items()} | {0: ""}
        kept = {
            (types[row.part_type_id], models[row.model_id], row.link)
            for row in connection.execute(select(rule_reach).where(rule_reach.c.gives.is_(False)))
        }
        rules, facts = read_rules(connection, connection.scalars(select(Rule.id)).all(), types), read_facts(connection)
    assert kept == {
        (part_type, model, number)
        for rule_id, rule in rules.items()
        for part_type, model, back in reach(rule)
        for number in numbers(rule_id, rule, back, facts)
    }


def test_the_meetings_kept_are_those_that_chains_find_over_all_models(yard: Book) -> None:
    with yard.engine.connect() as connection:
        types = {row.id: row.name for row in connection.execute(select(PartType.id, PartType.name))}
        rules = read_rules(connection, connection.scalars(select(Rule.id)).all(), types)
        ids = {rule.code: rule_id for rule_id, rule in rules.items()}
        kept = {(row.first, row.second) for row in connection.execute(select(rule_meets))}
        moves = read_moves(connection, types)
        know = Knowledge(read_facts(connection), tuple(rules.values()), moves, models=read_models(connection).infos)
    graph = graph_of(know, rules.values())
    at = {at: link_number(ids[step.link.rule.code], step.link.back, step.link.way) for at, step in graph.steps.items()}
    found = {(at[first], at[second]) for first, following in graph.after.items() for second in following}
    assert kept == found


def test_a_closed_rule_is_not_heard_by_the_next_ask_and_a_disputed_one_is_doubted(yard: Book) -> None:
    def grades(tag: str) -> list[str]:
        found = ask(yard, OW, "alternator 2008 light longwagon rear air towing", on=TODAY, keep=False)
        return [str(line.grade) for line in (*found.answers, *found.do_not_sell) if tag in line.tags]

    assert grades("S296") == ["bolts_up"]
    dispute(yard, OW, "R60", "one came back")
    assert grades("S296") == ["measure"]
    close(yard, OW, "R60", "measured otherwise")
    assert grades("S296") == ["not_compared"]


class Seen:
    """The statements that a book runs, in the words of its database."""

    def __init__(self, book: Book) -> None:
        self._every: list[str] = []
        with book.engine.connect() as connection:
            driver: Any = connection.connection.driver_connection
            driver.set_trace_callback(self._every.append)

    def of(self, work: Callable[[], object]) -> list[str]:
        """Those that some work takes, but for where a transaction begins and ends."""
        self._every.clear()
        work()
        return [each for each in self._every if not each.startswith(("BEGIN", "COMMIT", "ROLLBACK"))]


MORE_ASKS = (*ASKS, "front door lh 2010 light longwagon power", "rear axle 2008 light longwagon 3.73")


def test_an_ask_takes_at_most_six_statements(sqlite_book: Book) -> None:
    """However many parts, rules and models there are; the first ask after a change reads the yard's words besides."""
    load_folder(sqlite_book, OW, YARD)
    for words in ASKS:
        ask(sqlite_book, OW, words, on=TODAY, keep=False)
    seen = Seen(sqlite_book)
    for words in MORE_ASKS:
        asked = seen.of(partial(ask, sqlite_book, OW, words, on=TODAY, keep=False))
        assert 1 < len(asked) <= 6, asked


def test_an_ask_takes_no_more_for_parts_that_somebody_has(sqlite_book: Book) -> None:
    """When a hold or an unfinished ticket ends is read with the parts at a glance."""
    load_folder(sqlite_book, OW, YARD)
    words = ASKS[0]
    first, second = [line.tags[0] for line in ask(sqlite_book, OW, words, on=TODAY, keep=False).answers[:2]]
    hold(sqlite_book, OW, first, "Ada", "555-0100")
    start_ticket(sqlite_book, OW, Basket([Line(second)]))
    seen = Seen(sqlite_book)
    asked = seen.of(lambda: ask(sqlite_book, OW, words, on=TODAY, keep=False))
    assert {first, second} <= {each.tag for each in ask(sqlite_book, OW, words, on=TODAY, keep=False).kept}
    assert 1 < len(asked) <= 6, asked


@pytest.mark.parametrize("page", [1, 3, 50])
def test_an_ask_takes_no_more_where_nothing_was_read_before_and_there_is_too_much(
    sqlite_book: Book, monkeypatch: pytest.MonkeyPatch, page: int
) -> None:
    """In a large yard what models can be is read as they come; a short page makes an ask read on."""
    monkeypatch.setattr(modelreading, "SMALL", 0)
    monkeypatch.setattr(offers, "MOST", 2)
    monkeypatch.setattr(engine, "PAGE", page)
    load_folder(sqlite_book, OW, YARD)
    seen = Seen(sqlite_book)
    for words in MORE_ASKS:
        # Whatever is known is forgotten, but for the words and the laws.
        ask(sqlite_book, OW, "coil spring 2003 pellan cargo", on=TODAY, keep=False)
        with sqlite_book.read() as session:
            known = knowing(session)
            for kept in (known.rules.bearings, known.rules.rules, known.rules.steps, known.shelf_of_models.whole):
                kept.clear()
            known.rules.laws = ()
        asked = seen.of(partial(ask, sqlite_book, OW, words, on=TODAY, keep=False))
        assert 2 < len(asked) <= 6, asked
