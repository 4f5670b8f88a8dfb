"""What a tag fits, grouped by grade and said in words, with how many vehicles that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.book.reverse import FitRow
from app.fit.terms import Grade


@dataclass(frozen=True, slots=True)
class FitGroup:
    """The vehicles on which a tag comes to one grade: in words, how many models, how many model years."""

    grade: Grade
    vehicles: tuple[str, ...]
    models: int
    years: int
    rules: tuple[str, ...]

    @property
    def words(self) -> str:
        """The group in one sentence."""
        count = f"{self.models} model{'' if self.models == 1 else 's'}, {self.years} model years"
        return f"{self.grade.said} ({count}): {'; '.join(self.vehicles)}"


def in_groups(rows: Sequence[FitRow]) -> tuple[FitGroup, ...]:
    """Rows grouped by grade, best first; models of one run of years stand together."""
    by_grade: dict[Grade, list[FitRow]] = {}
    for row in rows:
        by_grade.setdefault(row.line.grade, []).append(row)
    return tuple(_group(grade, by_grade[grade]) for grade in sorted(by_grade, key=lambda grade: grade.rank))


def _group(grade: Grade, rows: Sequence[FitRow]) -> FitGroup:
    by_years: dict[tuple[int, int], list[str]] = {}
    for row in _joined(rows):
        by_years.setdefault((row[1], row[2]), []).append(row[0])
    vehicles = [f"{_years(*years)} {', '.join(names)}" for years, names in sorted(by_years.items())]
    return FitGroup(
        grade=grade,
        vehicles=tuple(vehicles),
        models=len({row.model for row in rows}),
        years=sum(row.year_to - row.year_from + 1 for row in rows),
        rules=tuple(dict.fromkeys(rule for row in rows for rule in row.line.rules)),
    )


def _joined(rows: Sequence[FitRow]) -> list[tuple[str, int, int]]:
    """The models with their runs of years; runs that follow on each other under different rules are one."""
    found: list[tuple[str, int, int]] = []
    for row in sorted(rows, key=lambda each: (each.model, each.year_from)):
        if found and found[-1][0] == row.vehicle and found[-1][2] + 1 == row.year_from:
            found[-1] = (row.vehicle, found[-1][1], row.year_to)
        else:
            found.append((row.vehicle, row.year_from, row.year_to))
    return found


def _years(first: int, last: int) -> str:
    return str(first) if first == last else f"{first} to {last}"


def counted(rows: Sequence[FitRow]) -> tuple[int, int]:
    """How many models a tag goes on somehow, of how many that were looked at; what won't fit is among the latter."""
    goes = {row.model for row in rows if row.line.grade.rank < Grade.NOT_COMPARED.rank}
    return len(goes), len({row.model for row in rows})
