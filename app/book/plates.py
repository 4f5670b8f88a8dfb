"""Reading plates at the gate: one reading at a time, each refusal kept in the history."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.schema import Donor, PlateWord
from app.book.times import say_time
from app.book.work import Book, Who
from app.errors import Refused
from app.fit.vin import Comparison, Reading, ReadingOutcome, Suggestion, VinReport, compare_readings, read_vin, suggest

SETTLED = (ReadingOutcome.AGREE, ReadingOutcome.SETTLED, ReadingOutcome.FRAME_DIFFERS)


@dataclass(frozen=True, slots=True)
class PlateRow:
    """What the readings so far come to."""

    outcome: ReadingOutcome
    vin: str | None
    years: tuple[int, ...]
    year_words: str
    words: tuple[str, ...]
    plate_words: tuple[str, ...]

    @property
    def settled(self) -> bool:
        """True when the vehicle may be taken in under `vin`."""
        return self.outcome in SETTLED


class WrongVin(Refused):
    """A VIN that cannot be right as typed, with what may have been meant; nothing is applied."""

    def __init__(self, report: VinReport, suggestions: tuple[Suggestion, ...]) -> None:
        found = "; ".join(finding.words for finding in report.findings)
        meant = ", ".join(f"{each.vin} ({each.words})" for each in suggestions[:4])
        super().__init__(
            f"{report.vin} cannot be right: {found}",
            f"Read the plate again. Perhaps {meant}." if meant else "Read the plate again.",
            action="vin",
            subject=report.vin,
            place="vin",
            details={"suggestions": [each.vin for each in suggestions]},
        )
        self.report = report
        self.suggestions = suggestions


class AlreadyHere(Refused):
    """A VIN that is in the book already."""

    def __init__(self, vin: str, stock_number: str, arrived: str) -> None:
        super().__init__(
            f"{vin} is {stock_number}, here since {arrived}",
            f"Open {stock_number}; no new vehicle was made.",
            action="duplicate vin",
            subject=vin,
            place="vin",
            details={"stock_number": stock_number, "arrived": arrived},
        )
        self.stock_number = stock_number


def read_plate(book: Book, who: Who, readings: Sequence[Reading]) -> PlateRow:
    """Check the newest reading and hold it against the earlier ones.

    Raises:
        WrongVin: the newest reading cannot be right; a history line keeps it.
        AlreadyHere: a vehicle of that VIN is in the book.
    """
    newest = readings[-1]
    report = read_vin(newest.text)
    if not report.ok:
        with book.write(who):
            raise WrongVin(report, suggest(newest.text))
    with book.read() as session:
        here = session.scalar(select(Donor).where(Donor.vin == report.vin))
        words = plate_meanings(session, report.vin)
    if here is not None:
        with book.write(who):
            raise AlreadyHere(report.vin, here.stock_number, say_time(here.arrived_at))
    compared = compare_readings(readings)
    if compared.outcome in (ReadingOutcome.MISMATCH, ReadingOutcome.NO_TWO_AGREE):
        _keep_mismatch(book, who, readings, compared)
    return PlateRow(compared.outcome, compared.vin, report.years, report.year_words, compared.words, words)


def _keep_mismatch(book: Book, who: Who, readings: Sequence[Reading], compared: Comparison) -> None:
    with book.write(who) as work:
        work.note_refusal(
            "vin mismatch",
            readings[-1].vin,
            "; ".join(compared.words),
            readings=[{"source": each.source, "read": each.vin} for each in readings],
        )


def plate_meanings(session: Session, vin: str) -> tuple[str, ...]:
    """What earlier plates taught about this one's letters, with how many agreed."""
    rows = session.scalars(
        select(PlateWord).where(PlateWord.maker == vin[:3]).order_by(PlateWord.position, PlateWord.id)
    )
    return tuple(
        f"position {row.position} {row.symbol}: {row.meaning} ({row.seen} plates agree)"
        for row in rows
        if vin[row.position - 1] == row.symbol
    )
