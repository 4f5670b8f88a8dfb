"""Loading a folder of CSV files into the book: all of it, or nothing with every fault named."""

from __future__ import annotations

import random
import time
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from sqlalchemy import Connection, func, select, text
from sqlalchemy.exc import OperationalError

from app.book.reach.closure import BASIS, rebuild
from app.book.reach.rulesheets import write_missing_sheets
from app.book.schema import Fact
from app.book.sheets.broken import FactKnown, Facts
from app.book.sheets.faults import (
    Fault,
    LoadRefused,
    LoadReport,
    Progress,
    SheetCount,
    Stop,
    check_stop,
    no_progress,
)
from app.book.sheets.files import Broken, Row, find_sheets, read_rows
from app.book.sheets.keys import Keys
from app.book.sheets.lumps import pieces_follow
from app.book.sheets.reading import Entry, Reader, read_header
from app.book.sheets.series import raise_counters
from app.book.sheets.spec import Sheet, sheet_named, sheets
from app.book.sheets.store import Store
from app.book.versions import RULES, VERSION
from app.book.work import Book, Who
from app.errors import BookTrouble

BATCH = 1000
LOCK_SECONDS = 20.0

Found = list[tuple[Sheet, Path]]


def load_folder(
    book: Book, who: Who, folder: Path, *, progress: Progress = no_progress, stop: Stop | None = None
) -> LoadReport:
    """Load a folder in one transaction.

    Raises:
        NotFound: there is no such folder.
        LoadRefused: something in it is wrong; `faults` has everything that is.
        Stopped: `stop` said so; the book is as it was.
    """
    found, faults = find_sheets(folder)
    total = _count_rows(found, stop)
    with book.write(who) as work:
        loading = _Loading(work.session.connection(), found, faults, progress, total, stop)
        report = loading.run()
        changed = {name for name, count in report.sheets.items() if count.added + count.changed}
        if any(sheet_named(name).knowledge for name in changed):
            work.number(VERSION)
        if changed & BASIS:
            rebuild(work.session.connection())
        if any(name.startswith("rule") for name in changed):
            write_missing_sheets(work.session.connection())
            work.number(RULES)
        if "parts" in changed:
            report = replace(report, told=pieces_follow(work))
        words = f"{report.added} rows added, {report.changed} changed, {report.same} known already"
        words = "; ".join((words, *report.told))
        work.note("load", folder.name, words, added={name: count.added for name, count in report.sheets.items()})
        # The last moment at which the load can be stopped.
        check_stop(stop)
    return report


def _count_rows(found: Found, stop: Stop | None) -> int:
    total = 0
    for _, path in found:
        for number, _row in enumerate(read_rows(path)):
            if number % BATCH == 0:
                check_stop(stop)
            total += number > 0
    return total


class _Loading:
    """One load under way."""

    def __init__(
        self,
        connection: Connection,
        found: Found,
        faults: Iterable[Fault],
        progress: Progress,
        total: int,
        stop: Stop | None,
    ) -> None:
        self.connection = connection
        self.found = found
        self.faults = list(faults)
        self.progress = progress
        self.total = total
        self.done = 0
        self.stop = stop
        self.keys: dict[str, Keys] = {}
        self.counts: dict[str, SheetCount] = {}

    def run(self) -> LoadReport:
        """Load every sheet; LoadRefused when anything was wrong with any."""
        if self.connection.dialect.name == "postgresql":
            self._lock()
        for name in _needed(sheet for sheet, _ in self.found):
            self.keys[name] = Keys(sheet_named(name))
            self.keys[name].read_book(self.connection, self.stop)
        for sheet, path in self.found:
            self._load_sheet(sheet, path)
        if self.faults:
            raise LoadRefused(self._in_order())
        if self.connection.dialect.name == "postgresql":
            self._set_sequences()
        raise_counters(self.connection, self.counts)
        return LoadReport(self.counts)

    def _load_sheet(self, sheet: Sheet, path: Path) -> None:
        rows = read_rows(path)
        header_row = next(rows, None)
        if not isinstance(header_row, Row):
            line = header_row.line if header_row else 1
            found = header_row.reason if header_row else "an empty file"
            self.faults.append(Fault(sheet.file, line, "", found, "a header row"))
            self.keys[sheet.name].incomplete = True
            return
        header = read_header(sheet, header_row)
        self.faults += header.faults
        reader = Reader(sheet, header, self.keys, self._facts(sheet))
        if sheet.refers_to_itself:
            self._foresee(reader, path)
        store = Store(self.connection, sheet, [column for _, column in header.given], self.keys, self.stop)
        for batch in self._batches(sheet, reader, rows):
            store.keep(batch)
            self.progress(self.done, self.total, sheet.name)
        self.faults += [*reader.faults, *store.faults]
        self.counts[sheet.name] = store.count

    def _foresee(self, reader: Reader, path: Path) -> None:
        for number, row in enumerate(read_rows(path)):
            if number % BATCH == 0:
                check_stop(self.stop)
            if number and isinstance(row, Row):
                reader.foresee(row)

    def _batches(self, sheet: Sheet, reader: Reader, rows: Iterator[Row | Broken]) -> Iterator[list[Entry]]:
        """The sound rows of a sheet, a batch at a time."""
        batch: list[Entry] = []
        for number, row in enumerate(rows, start=1):
            self.done += 1
            if isinstance(row, Broken):
                self.faults.append(Fault(sheet.file, row.line, "", row.reason, "a row of CSV (RFC 4180)"))
                self.keys[sheet.name].incomplete = True
            elif (entry := reader.read(row)) is not None:
                batch.append(entry)
            if number % BATCH == 0:
                check_stop(self.stop)
                yield batch
                batch = []
        yield batch

    def _facts(self, sheet: Sheet) -> Facts:
        named = sheet.name == "rule_conditions"
        if not named and not any(column.refers == "facts" and column.name == "fact_id" for column in sheet.columns):
            return {}
        rows = self.connection.execute(select(Fact.id, Fact.name, Fact.kind, Fact.unit))
        return {row.name if named else row.id: FactKnown(row.kind, row.unit) for row in rows}

    def _in_order(self) -> list[Fault]:
        places = {sheet.file: place for place, sheet in enumerate(sheets().values())}
        return sorted(self.faults, key=lambda fault: (places.get(fault.file, -1), fault.file, fault.line))

    def _lock(self) -> None:
        """Keep other writers out, so that the ids the load gives out stay free; readers go on reading.

        All the tables or none: waiting for one while holding another could stand still for good.
        """
        names = ", ".join(sorted({sheet.name for sheet, _ in self.found} | {"counters"}))
        deadline = time.monotonic() + LOCK_SECONDS
        while True:
            check_stop(self.stop)
            try:
                with self.connection.begin_nested():
                    self.connection.execute(text(f"LOCK TABLE {names} IN SHARE ROW EXCLUSIVE MODE NOWAIT"))
                return
            except OperationalError as error:
                if time.monotonic() > deadline:
                    raise BookTrouble(
                        "the book is busy", "Somebody writes a lot now; try again in a minute."
                    ) from error
                time.sleep(random.uniform(0.02, 0.08))

    def _set_sequences(self) -> None:
        for name, count in self.counts.items():
            if count.added:
                table = sheet_named(name).table
                highest = select(func.max(table.c.id)).scalar_subquery()
                self.connection.execute(select(func.setval(func.pg_get_serial_sequence(name, "id"), highest)))


def _needed(loaded: Iterable[Sheet]) -> list[str]:
    """The sheets whose keys a load has to know: those in the folder and all they refer to."""
    needed: set[str] = set()
    waiting = list(loaded)
    while waiting:
        sheet = waiting.pop()
        if sheet.name not in needed:
            needed.add(sheet.name)
            waiting += [sheet_named(column.refers) for column in sheet.columns if column.refers]
    return [name for name in sheets() if name in needed]
