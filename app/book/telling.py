"""Every fact that can change an answer for a part type, with its choices and the words that ask for it."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from sqlalchemy import String, cast, or_, select
from sqlalchemy.orm import Session

from app.book.bearing import bearing
from app.book.harvest import find_type
from app.book.knowing import Knowing, knowing
from app.book.modelreading import pairs
from app.book.schema import Fact, Model, ModelFact
from app.book.shelf import Bearing
from app.book.words.understanding import understand
from app.book.work import Book
from app.errors import BadInput, NotFound
from app.fit.cases import already_there, with_uses
from app.fit.known import FactInfo
from app.fit.links.link import models_named
from app.fit.looks import looks_of, looks_of_moves, together
from app.fit.rules import Direction, End, Rule
from app.fit.saying.figures import DIFFERENCE, PERCENT
from app.fit.saying.reasons import question_about
from app.fit.terms import FactKind, Group
from app.fit.values import plain
from app.fit.worlds import BUILT_IN, changes_with

ALWAYS = {
    "built": ("month", question_about("built")),
    "plant": ("words", question_about("plant")),
    "side": ("choice", "Left or right, sitting in it?"),
}
"""What is no fact of the yard's list and may still decide: how it is read, and the words that ask."""


@dataclass(frozen=True, slots=True)
class TellingFact:
    """A fact that can change an answer: how it is read, its choices, the question, and whose end it is looked at on.

    `effort` is what it costs to answer (0 knows it, 5 a jack). `of_vehicle` is one that the customer can tell of
    his vehicle, `of_part` one that is looked at on our part.
    """

    fact: str
    kind: str
    unit: str
    choices: tuple[str, ...]
    question: str
    of_vehicle: bool
    of_part: bool
    effort: int = 0


def types_named(book: Book, said: str) -> tuple[str, ...]:
    """The part types that a name or an everyday word stands for.

    Raises:
        NotFound: none. BadInput: the word has several meanings; the remedy names them.
    """
    with book.read() as session:
        vocabulary = knowing(session).vocabulary
    plain = " ".join(said.lower().split())
    exact = next((name for name in vocabulary.wider if name.lower() == plain), "")
    asked = understand(said, vocabulary).asked
    if exact or asked.part_types:
        return vocabulary.wider[exact] if exact else asked.part_types
    if asked.meanings:
        choices = " or ".join(asked.meanings[0].choices)
        raise BadInput(f"{said!r} has several meanings", f"Say {choices}.", place="part")
    raise NotFound(f"there is no part type {said!r}", "Take one of the yard's part names.", place="part")


def telling_facts(book: Book, said: str) -> tuple[TellingFact, ...]:
    """The facts that rules, uses of designs and models look at for a part, in the order of the yard's list.

    Raises:
        NotFound: there is no such part type. BadInput: the word has several meanings.
    """
    types = types_named(book, said)
    with book.read() as session:
        rows = [find_type(session, name) for name in types]
        known = knowing(session)
        bears = bearing(session.connection(), known, types)
        looked_at = {str(name) for row in rows for name in row.look_for}
        ours = looked_at | {name for rule in bears.rules for name in _at(rule, End.PART)}
        theirs = looked_at | {name for rule in bears.rules for name in _at(rule, End.TARGET)}
        ours |= {each.fact for rule in bears.rules for each in rule.consequences if each.worked_out}
        theirs |= {name for rule in bears.rules for name in _to_tell_more(rule)}
        theirs |= {name for use in bears.uses for name, _ in use.given}
        theirs |= {each.fact for move in bears.moves for each in move.rule.conditions}
        theirs |= {name for row in rows for name in _of_the_whole(known, row.group)}
        theirs |= {"built"} if any(use.built_from or use.built_to for use in bears.uses) else set()
        theirs |= {"plant"} if any(use.plants for use in bears.uses) else set()
        theirs |= _telling_the_time(session, bears, {row.group for row in rows})
        theirs = _with_what_they_hang_on(session, theirs) | ({"side"} if any(row.sided for row in rows) else set())
        return tuple(_telling(known.facts, theirs, ours))


def _of_the_whole(known: Knowing, group: Group) -> set[str]:
    """The looks that say whose frame or nose it is, by which every part of that group goes."""
    if group not in (Group.FRAME, Group.NOSE):
        return set()
    on_parts = known.vocabulary.parts_looks if group is Group.FRAME else frozenset()
    return {
        name
        for name, info in known.facts.items()
        # What can be one thing only tells no vehicle from another.
        if info.group is group and info.kind is FactKind.CHOICE and len(info.choices) != 1 and name not in on_parts
    }


def _at(rule: Rule, end: End) -> Iterator[str]:
    for each in rule.conditions:
        if each.end in (end, End.BETWEEN):
            yield each.fact
            if each.other_fact and (each.end is end or end is End.TARGET):
                yield each.other_fact


def _to_tell_more(rule: Rule) -> Iterator[str]:
    """The facts of the vehicle that tell which companions it has, and by how much it works differently."""
    yield from already_there(rule)
    yield from (each.fact for each in rule.consequences if each.worked_out in (DIFFERENCE, PERCENT))


def _telling_the_time(session: Session, bears: Bearing, groups: Collection[Group]) -> set[str]:
    """The facts that changed with the months or plants that are looked at: a look at one tells what the label says.

    Only those of the part's own group do, on the models that those rules name.
    """
    rules = [(rule, looks_of(rule.conditions)) for rule in bears.rules]
    dated = [rule for rule, looks in rules if looks.months or looks.plants]
    moves = looks_of_moves(bears.moves, [rule.code for rule in dated])
    scope = with_uses(together([*(looks for _, looks in rules), moves]).scope, bears.uses)
    if not scope.months and not scope.plants:
        return set()
    every = select(Fact.name, ModelFact.built_from, ModelFact.built_to, cast(ModelFact.plants, String), Model.key)
    rows = session.execute(
        every.select_from(ModelFact)
        .join(Fact, Fact.id == ModelFact.fact_id)
        .join(Model, Model.id == ModelFact.model_id)
        .where(or_(Fact.group.is_(None), Fact.group.in_(groups)))
        .distinct()
    )
    models = set(_dated_models(dated)) | {plain(use.model) for use in bears.uses}
    return {
        name
        for name, start, end, plants, model in rows
        if (plain(model) in models or None in models)
        and changes_with(start or "", end or "", frozenset(json.loads(plants or "[]")), scope)
    }


def _dated_models(rules: Iterable[Rule]) -> Iterator[str | None]:
    """The models that rules name for the vehicle, in plain words; None where one names none."""
    for rule in rules:
        ends = (End.PART, End.TARGET) if rule.direction is Direction.BOTH_WAYS else (End.TARGET,)
        for end in ends:
            yield from models_named(rule.conditions, end) or (None,)


def _with_what_they_hang_on(session: Session, wanted: Iterable[str]) -> set[str]:
    """With the facts that decide which value of these a model has, and with month and plant where they do."""
    found: set[str] = set()
    new = set(wanted)
    while new:
        found |= new
        rows = session.execute(
            select(
                cast(ModelFact.given, String), ModelFact.built_from, ModelFact.built_to, cast(ModelFact.plants, String)
            )
            .join(Fact, Fact.id == ModelFact.fact_id)
            .where(Fact.name.in_(new))
            .distinct()
        ).all()
        hanging = {name for row in rows for name, _ in pairs(json.loads(row[0] or "[]"))}
        hanging |= {"built"} if any(row[1] or row[2] for row in rows) else set()
        hanging |= {"plant"} if any(json.loads(row[3] or "[]") for row in rows) else set()
        new = hanging - found
    return found


def _telling(facts: dict[str, FactInfo], theirs: set[str], ours: set[str]) -> Iterator[TellingFact]:
    for name, info in facts.items():
        if name in theirs | ours:
            choices = ("yes", "no") if info.kind == "yes or no" else info.choices
            question = info.question or question_about(name)
            yield TellingFact(
                name, str(info.kind), info.unit, choices, question, name in theirs, name in ours, info.effort
            )
    for name, (kind, question) in ALWAYS.items():
        if name in theirs and name in BUILT_IN:
            choices = ("LH", "RH") if name == "side" else ()
            yield TellingFact(name, kind, "", choices, question, of_vehicle=True, of_part=False)
