"""What the yard knows before a vehicle comes in: models, part types, and the facts to look for."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from app.commands.desk import Desk, YardCommand
from app.commands.records import record
from app.commands.show import figure, lines_of, listed, money, pairs, table

if TYPE_CHECKING:
    from app.book.boards import ModelRow
    from app.book.harvest import TypeRow

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
@click.argument("part_type", metavar="PART-TYPE")
@click.pass_obj
def facts(desk: Desk, part_type: str) -> None:
    """Show what to look for on a part type.

    And what comes off first, what it usually weighs, and what can hurt.

    \b
    Example:
      donorbook facts "front lower control arm"
    """
    from app.book.harvest import part_type as known_type

    with desk.book() as book:
        row = known_type(book, part_type)
    plain = record(row)
    assert isinstance(plain, dict)
    plain["cautions"] = [hazard.caution for hazard in row.hazards]
    desk.show(plain, lambda: _type_lines(row))


def _type_lines(row: TypeRow) -> Iterator[str]:
    yield from pairs(
        [
            ("part", row.name),
            ("group", row.group),
            ("side", "LH or RH" if row.sided else "none"),
            ("position", ", ".join(row.positions)),
            ("comes off after", ", ".join(row.comes_off_after)),
            ("usual weight", figure(row.usual_weight_lb, "lb")),
            ("usual hours", figure(row.usual_hours)),
            ("core", money(row.core_cents) if row.core_cents else ""),
        ]
    )
    if row.look_for:
        cells = [
            (each.fact, each.kind, each.unit, " / ".join(map(str, each.choices)), each.question)
            for each in row.look_for
        ]
        yield from table(("fact", "kind", "unit", "choices", "question"), cells)
    yield from lines_of((hazard.caution for hazard in row.hazards), "caution: ")
