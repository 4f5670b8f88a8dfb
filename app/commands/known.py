"""What the yard knows before a vehicle comes in: models, part types, and the facts to look for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import click

from app.commands.desk import Desk, YardCommand
from app.commands.records import record
from app.commands.show import figure, lines_of, listed, money, pairs, table

if TYPE_CHECKING:
    from app.book.boards import ModelRow
    from app.book.harvest import TypeRow
    from app.book.telling import TellingFact

MOST = 1_000


@click.command(cls=YardCommand)
@click.argument("words", nargs=-1)
@click.pass_obj
def models(desk: Desk, words: tuple[str, ...]) -> None:
    """List the models the yard knows; words narrow the list.

    \b
    Examples:
      donorbook models
      donorbook models longwagon light
    """
    from app.book.boards import models as known_models

    with desk.book() as book:
        rows = known_models(book, like=" ".join(words), limit=MOST)
    desk.show({"models": rows}, lambda: _model_lines(rows))


def _model_lines(rows: tuple[ModelRow, ...]) -> Iterator[str]:
    if rows:
        cells = [(row.key, row.words, f"{row.year_from} to {row.year_to}") for row in rows]
        yield from table(("model", "words", "years"), cells)
    yield listed(len(rows), "model")


@click.command(cls=YardCommand)
@click.pass_obj
def parts(desk: Desk) -> None:
    """List the part types the yard knows.

    \b
    Example:
      donorbook parts
    """
    from app.book.harvest import part_types

    with desk.book() as book:
        names = part_types(book)
    desk.show({"part_types": names}, lambda: [*lines_of(names), listed(len(names), "part type")])


@click.command(cls=YardCommand)
@click.argument("words", nargs=-1, required=True, metavar="PART-TYPE")
@click.pass_obj
def facts(desk: Desk, words: tuple[str, ...]) -> None:
    """List every fact that can change an answer for a part.

    Each with its choices and the words that ask for it. Any of them can be stated with --fact to "donorbook ask".
    And what comes off first, what it usually weighs, and what can hurt. The part may be said in everyday words.

    \b
    Examples:
      donorbook facts front lower control arm
      donorbook facts lca --json
    """
    from app.book.harvest import part_type as known_type
    from app.book.telling import telling_facts, types_named

    part_type = " ".join(words)
    with desk.book() as book:
        types = types_named(book, part_type)
        rows, facts = [known_type(book, each) for each in types], telling_facts(book, part_type)
    plain = record(rows[0])
    assert isinstance(plain, dict)
    plain["part_types"] = list(types)
    plain["cautions"] = _cautions(rows)
    plain["facts"] = [record(fact) for fact in facts]
    desk.show(plain, lambda: _type_lines(rows, facts))


def _cautions(rows: Sequence[TypeRow]) -> list[str]:
    return list(dict.fromkeys(hazard.caution for row in rows for hazard in row.hazards))


def _type_lines(rows: Sequence[TypeRow], facts: Sequence[TellingFact]) -> Iterator[str]:
    yield from pairs(_told_of(rows[0]) if len(rows) == 1 else [("part", " or ".join(row.name for row in rows))])
    if facts:
        cells = [
            (each.fact, each.kind, each.unit, _looked_at(each), " / ".join(each.choices), each.question)
            for each in facts
        ]
        yield from table(("fact", "kind", "unit", "looked at on", "choices", "question"), cells)
    yield from lines_of(_cautions(rows), "caution: ")


def _told_of(row: TypeRow) -> list[tuple[str, str]]:
    return [
        ("part", row.name),
        ("group", row.group),
        ("side", "LH or RH" if row.sided else "none"),
        ("position", ", ".join(row.positions)),
        ("comes off after", ", ".join(row.comes_off_after)),
        ("usual weight", figure(row.usual_weight_lb, "lb")),
        ("usual hours", figure(row.usual_hours)),
        ("core", money(row.core_cents) if row.core_cents else ""),
    ]


def _looked_at(fact: TellingFact) -> str:
    return " and ".join(end for end, asked in (("vehicle", fact.of_vehicle), ("part", fact.of_part)) if asked)
