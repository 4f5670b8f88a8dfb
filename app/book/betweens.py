"""The rules that may speak of the vehicles between the links of chains, read once a chain may be an answer.

A link that another rule contradicts on such a vehicle is none. Most asks find no chain, so these rules are no part of
what bears on an ask; they are read by one statement, with what the models between can be.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence

from sqlalchemy import Connection

from app.book.bearing import reader_of
from app.book.fetching import JSON, Statement, fetch, listed, statement
from app.book.knowing import Knowing
from app.book.modelreading import LINE
from app.book.reach.linknumbers import OF_RULE, STORY
from app.book.reach.rulereading import whole_rule_on, with_names
from app.book.reach.rulesheets import Sheet, reading
from app.book.schema import NO_MODEL
from app.book.shelf import Bearing
from app.fit.chains.linkstands import MOST_MODELS
from app.fit.links.linkgraph import LinkGraph, Step
from app.fit.rules import End, Rule

_HEARD = (
    f"(SELECT DISTINCT (r.link & {STORY}) / {OF_RULE} AS value FROM rule_reach r "
    "WHERE r.gives = FALSE AND r.part_type_id {types} AND r.model_id {models}) AS k"
)
_LINES = (
    f" UNION ALL SELECT m.model_id, {LINE}{', NULL' * (len(Sheet._fields) - 2)} "
    "FROM model_facts m JOIN facts f ON f.id = m.fact_id WHERE m.model_id {unread}"
)


def _statement(dialect: str) -> str:
    lists = listed(dialect, ("types", "models", "unread"))
    return reading(dialect, _HEARD.format(**lists)) + _LINES.format(**lists, **JSON[dialect])


HEARD: Statement = statement({dialect: _statement(dialect) for dialect in JSON})
"""The sheets of all rules heard of some part types on some models, and lines of what models can be."""


def read_between(connection: Connection, known: Knowing, bears: Bearing) -> Sequence[Rule]:
    """The rules; what the models between can be is known then."""
    steps = list(_meetings(bears.graph))
    models = set(_models(steps, known))
    unread = known.shelf_of_models.missing(models)
    if bears.between.rules is not None and not unread:
        return bears.between.rules
    types = {known.type_ids[name] for one, other in steps for name in one.link.wanted & other.link.offered}
    given = {
        "types": json.dumps(sorted(types)),
        "models": json.dumps([NO_MODEL, *(known.shelf_of_models.ids[key] for key in models)]),
        "unread": json.dumps(unread),
    }
    rows = fetch(connection, HEARD, given)
    known.shelf_of_models.settle(unread, [(row[0], row[1]) for row in rows if row[3] is None])
    bears.between.rules = tuple(_rules(known, [Sheet._make(row) for row in rows if row[3] is not None]))
    return bears.between.rules


def _meetings(graph: LinkGraph) -> Iterator[tuple[Step, Step]]:
    for first, following in graph.after.items():
        yield from ((graph.steps[first], graph.steps[second]) for second in following)


def _models(steps: Iterable[tuple[Step, Step]], known: Knowing) -> Iterator[str]:
    """The models that may be between two links."""
    spoken = known.shelf_of_models
    for one, other in steps:
        taken, given = one.models[End.TARGET], other.models[End.PART]
        if taken is None and given is None:
            yield from known.models if len(known.models) <= MOST_MODELS else ()
        else:
            yield from spoken.named(taken & given if taken and given else taken or given or ())


def _rules(known: Knowing, sheets: Iterable[Sheet]) -> Iterator[Rule]:
    """The rules of sheets; those that were read before are the same ones."""
    kept, texts = known.rules.rules, reader_of(known, known.rules).texts
    for sheet, named in with_names(sheets):
        if sheet.rule_id not in kept:
            kept[sheet.rule_id] = whole_rule_on(sheet, named, texts)
        yield kept[sheet.rule_id]
