"""The book as a folder of CSV files: load one, dump one, and what the files hold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.commands.desk import Desk, YardCommand
from app.commands.progress import shown, stoppable
from app.commands.show import lines_of, plain, table
from app.errors import BadInput

if TYPE_CHECKING:
    from app.book.sheets import LoadRefused, LoadReport

PAGE = 200


@click.command(cls=YardCommand)
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@click.option(
    "--columns", is_flag=False, flag_value="", metavar="[FILE]", help="Say what the files hold, or one of them."
)
@click.pass_obj
def load(desk: Desk, folder: Path | None, columns: str | None) -> None:
    """Load a folder of CSV files into the book: all of it, or nothing.

    Every bad row is named with its file, line and column, what was found and what was expected; more than 200
    are counted, --json names them all. A row that the book has already is left as it is. Ctrl-C stops the load
    and nothing is loaded.

    \b
    Examples:
      donorbook load tests/casebook
      donorbook load --columns
      donorbook load --columns parts
    """
    if columns is not None:
        _show_columns(desk, columns)
        return
    if folder is None:
        raise BadInput("which folder", "Say: donorbook load FOLDER.", place="folder")
    _load(desk, folder)


def _load(desk: Desk, folder: Path) -> None:
    from app.book.sheets import LoadRefused, load_folder

    with desk.at("office") as (book, who), stoppable() as stop:
        try:
            with shown() as progress:
                report = load_folder(book, who, folder, progress=progress, stop=stop)
        except LoadRefused as refused:
            if not desk.as_json:
                _name_faults(refused)
            raise
    totals = {"added": report.added, "changed": report.changed, "same": report.same}
    desk.show({"folder": folder, **totals, "told": report.told, "sheets": report.sheets}, lambda: _report_lines(report))


def _name_faults(refused: LoadRefused) -> None:
    """Each fault on a line of its own before the one line of the error; a single fault is that line."""
    faults = refused.faults
    for fault in faults[:PAGE] if len(faults) > 1 else ():
        click.echo(plain(f"{fault.where}: {fault.words}"), err=True)
    if len(faults) > PAGE:
        click.echo(f"{PAGE:,} of {len(faults):,} faults; --json names them all", err=True)


def _report_lines(report: LoadReport) -> Iterator[str]:
    cells = [
        (name, f"{count.added:,}", f"{count.changed:,}", f"{count.same:,}") for name, count in report.sheets.items()
    ]
    whole = ("in all", f"{report.added:,}", f"{report.changed:,}", f"{report.same:,}")
    yield from table(("sheet", "added", "changed", "same"), [*cells, whole], figures=[1, 2, 3])
    yield from report.told


def _show_columns(desk: Desk, name: str) -> None:
    from app.book.sheets import describe_sheets

    rules, *sheets = describe_sheets().rstrip().split("\n\n")
    named = {sheet.partition(".csv")[0]: sheet for sheet in sheets}
    wanted = name.removesuffix(".csv")
    if wanted and wanted not in named:
        raise BadInput(f"there is no sheet {name!r}", f"Sheets are {', '.join(named)}.", place="--columns")
    kept = {wanted: named[wanted]} if wanted else named
    found = {"rules": rules.splitlines(), "sheets": {each: text.splitlines() for each, text in kept.items()}}
    desk.show(found, lambda: _text_lines([*([] if wanted else [rules]), *kept.values()]))


def _text_lines(blocks: list[str]) -> Iterator[str]:
    for number, block in enumerate(blocks):
        yield from [""] if number else []
        yield from block.splitlines()


@click.command(cls=YardCommand)
@click.argument("folder", type=click.Path(path_type=Path))
@click.pass_obj
def dump(desk: Desk, folder: Path) -> None:
    """Write the whole book into a folder of CSV files.

    The folder may be new, empty, or an earlier dump, which is replaced as a whole. Loading it into an empty
    book gives the same book.

    \b
    Example:
      donorbook dump yard-2026-03-04
    """
    from app.book.sheets import dump_folder

    with desk.book() as book, shown() as progress:
        report = dump_folder(book, folder, progress=progress)
    found = {"folder": folder, "rows": report.rows, "sheets": report.sheets}
    desk.show(found, lambda: _dump_lines(folder, report.sheets, report.rows))


def _dump_lines(folder: Path, sheets: Mapping[str, int], rows: int) -> Iterator[str]:
    cells = [*((name, f"{count:,}") for name, count in sheets.items()), ("in all", f"{rows:,}")]
    yield from table(("sheet", "rows"), cells, figures=[1])
    yield from lines_of([f"written to {folder}"])
