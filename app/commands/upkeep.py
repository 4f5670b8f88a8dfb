"""Keeping the book: its integrity, its schema, and the demo yard."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.commands.desk import Desk, YardCommand
from app.commands.progress import shown
from app.commands.show import lines_of, listed
from app.errors import BadInput, BookTrouble

if TYPE_CHECKING:
    from app.book.integrity import Finding


@click.command(cls=YardCommand)
@click.pass_obj
def check(desk: Desk) -> None:
    """Check that the book is whole.

    Nothing sold twice, nothing nowhere, every ticket adding up. Nothing is changed. Status 1 when something is found.

    \b
    Example:
      donorbook check
    """
    from app.book.integrity import check as check_book

    with desk.book() as book:
        found = check_book(book)
    desk.show({"whole": not found, "findings": found}, lambda: _finding_lines(found))
    if found:
        raise SystemExit(1)


def _finding_lines(found: Sequence[Finding]) -> Iterator[str]:
    yield from lines_of(f"{each.subject}: {each.words}. {each.remedy}" for each in found)
    yield listed(len(found), "fault") if found else "the book is whole"


@click.command(cls=YardCommand)
@click.pass_obj
def upgrade(desk: Desk) -> None:
    """Bring the book to this program's version.

    A book in a file is backed up beside itself first.

    \b
    Example:
      donorbook --book yard.book upgrade
    """
    from app.book.engine import SCHEMA, make_engine, schema_of, where
    from app.book.upgrading import bring_up

    address = where(desk.address)
    if "://" not in address and not Path(address).expanduser().exists():
        raise BookTrouble(f"there is no book at {address}", "Give another with --book; a new one needs no upgrade.")
    engine = make_engine(address)
    try:
        before = schema_of(engine)
        if before is not None and before > SCHEMA:
            raise BookTrouble(
                f"this book is of version {before}, newer than this program", "Install the newer program."
            )
        backup = bring_up(engine) if before != SCHEMA else None
    finally:
        engine.dispose()
    found = {"book": engine.url.render_as_string(), "before": before, "now": SCHEMA, "backup": backup}
    desk.show(found, lambda: _upgrade_lines(before, SCHEMA, backup))


def _upgrade_lines(before: str | None, now: str, backup: Path | None) -> Iterator[str]:
    yield f"the book is of version {now}" + (", as it was" if before == now else f", was {before or 'empty'}")
    if backup is not None:
        yield from lines_of([f"as it was before: {backup}"])


@click.command(cls=YardCommand)
@click.option(
    "--no-open", is_flag=True, help="Build it and say where it is, without opening the program; so does --json."
)
@click.option("--fresh", is_flag=True, help="Build it anew; what was done in the old one is gone.")
@click.option("--seat", metavar="SEAT", help="Open at this seat.")
@click.pass_obj
def demo(desk: Desk, no_open: bool, fresh: bool, seat: str | None) -> None:
    """Open an invented yard to look around in.

    It has its own book, which never is the yard's own; --book puts it somewhere else.

    \b
    Examples:
      donorbook demo
      donorbook demo --no-open --json
      donorbook --book /tmp/demo.book demo --fresh --seat counter
    """
    from seed_demo import build

    address = desk.address or _demo_file()
    with shown("steps") as progress:
        build(address, progress, fresh=fresh)
    if desk.as_json or no_open:
        desk.show({"book": address}, lambda: lines_of([address]))
    else:
        desk.program(address, seat, desk.by)


def _demo_file() -> str:
    from platformdirs import user_data_path

    folder = user_data_path("donorbook", appauthor=False)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(f"{folder} cannot be made: {error.strerror}", "Give a file with --book.") from error
    return str(folder / "demo.book")
