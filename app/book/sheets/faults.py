"""What a load finds wrong, and what a load or a dump reports."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from threading import Event
from typing import Protocol

from app.errors import BadInput, YardError

Stop = Callable[[], bool] | Event


class Progress(Protocol):
    """Told how far a load or dump is: rows done, rows in all, the sheet at hand."""

    def __call__(self, done: int, total: int, sheet: str, /) -> None: ...


def no_progress(_done: int, _total: int, _sheet: str, /) -> None:
    """Tell nobody."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in one file; `line` is the line on which the row starts, 0 for the file as a whole."""

    file: str
    line: int
    column: str
    found: str
    expected: str

    @property
    def where(self) -> str:
        """File, line and column, as far as they are known."""
        line = f", line {self.line}" if self.line else ""
        column = f", column {self.column}" if self.column else ""
        return f"{self.file}{line}{column}"

    @property
    def words(self) -> str:
        """What was found and what was expected."""
        return f"found {shorten(self.found)}, expected {self.expected}"

    def as_record(self) -> dict[str, object]:
        """The fault as plain data."""
        return {
            "file": self.file,
            "line": self.line,
            "column": self.column,
            "found": self.found,
            "expected": self.expected,
        }


def shorten(text: str, room: int = 60) -> str:
    """Text on one line in quotes, its end left out when it is long."""
    line = " ".join(text.split())
    return f"'{line}'" if len(line) <= room else f"'{line[:room]}…'"


class LoadRefused(BadInput):
    """The folder has faults; nothing of it was loaded."""

    kind = "load"

    def __init__(self, faults: Sequence[Fault]) -> None:
        first, more = faults[0], len(faults) - 1
        others = f", and {more:,} other fault{'s' if more > 1 else ''}" if more else ""
        super().__init__(
            f"{first.words}{others}",
            "Nothing was loaded: mend the folder and load it again.",
            place=first.where,
            details={"count": len(faults), "faults": [fault.as_record() for fault in faults]},
        )
        self.faults = tuple(faults)


class Stopped(YardError):
    """Somebody stopped the load; the book is as it was."""

    kind = "stopped"

    def __init__(self) -> None:
        super().__init__("the load was stopped, nothing was loaded", "Load the folder again when there is time.")


def check_stop(stop: Stop | None) -> None:
    """Leave the load when somebody asked for it.

    Raises:
        Stopped: somebody did.
    """
    if stop is not None and (stop.is_set() if isinstance(stop, Event) else stop()):
        raise Stopped


@dataclass(slots=True)
class SheetCount:
    """What a load did with the rows of one sheet."""

    added: int = 0
    same: int = 0
    changed: int = 0


@dataclass(frozen=True, slots=True)
class LoadReport:
    """What a load did, sheet by sheet; `told` are lines of what it did besides what the rows say."""

    sheets: Mapping[str, SheetCount]
    told: tuple[str, ...] = ()

    @property
    def added(self) -> int:
        """Rows new to the book."""
        return sum(count.added for count in self.sheets.values())

    @property
    def same(self) -> int:
        """Rows the book had already, word for word."""
        return sum(count.same for count in self.sheets.values())

    @property
    def changed(self) -> int:
        """Rows of knowledge that were brought up to date."""
        return sum(count.changed for count in self.sheets.values())


@dataclass(frozen=True, slots=True)
class DumpReport:
    """How many rows a dump wrote, sheet by sheet; a sheet without rows has no file."""

    sheets: Mapping[str, int]

    @property
    def rows(self) -> int:
        """Rows in all."""
        return sum(self.sheets.values())
