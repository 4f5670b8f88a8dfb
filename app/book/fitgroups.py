"""What a tag fits, grouped by grade and said in words, with how many vehicles that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.book.reverse import CAME_OFF, FitRow
from app.fit.terms import Grade

GOES_ON = frozenset({Grade.BOLTS_UP, Grade.MOVE_OVER, Grade.SET, Grade.BOLTS_IN, Grade.NEEDS_WORK})
"""The grades under which a part surely goes on, one way or another."""


@dataclass(frozen=True, slots=True)
class FitGroup:
    """The vehicles on which a tag comes to one grade: in words, how many models, how many model years.

    `came_off` is the group of the one it came off, where that is all there is to say.
    """

    grade: Grade
    vehicles: tuple[str, ...]
    models: int
    years: int
    rules: tuple[str, ...]
    came_off: bool = False

    @property
    def said(self) -> str:
        """How it fits, in the words of the counter."""
        return CAME_OFF if self.came_off else self.grade.said

    @property
    def words(self) -> str:
        """The group in one sentence."""
        count = f"{_many(self.models, 'model')}, {_many(self.years, 'model year')}"
        return f"{self.said} ({count}): {'; '.join(self.vehicles)}"


@dataclass(frozen=True, slots=True)
class Count:
    """On how many models a tag surely goes, of how many looked at, and how many there are of each grade.

    A model of which some years come to another grade counts under each.
    """

    goes_on: int
    of: int
    by_grade: tuple[tuple[str, int], ...]

    @property
    def words(self) -> str:
        """The count in one line."""
        told = "; ".join(f"{count} {said}" for said, count in self.by_grade)
        return f"{_many(self.of, 'model')} looked at{f': {told}' if told else ''}"


def in_groups(rows: Sequence[FitRow]) -> tuple[FitGroup, ...]:
    """Rows grouped by grade, best first; models of one run of years stand together."""
    by_grade: dict[tuple[Grade, bool], list[FitRow]] = {}
    for row in rows:
        by_grade.setdefault((row.line.grade, row.only_came_off), []).append(row)
    order = sorted(by_grade, key=lambda each: (each[0].rank, not each[1]))
    return tuple(_group(grade, came_off, by_grade[grade, came_off]) for grade, came_off in order)


def _group(grade: Grade, came_off: bool, rows: Sequence[FitRow]) -> FitGroup:
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
        came_off=came_off,
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


def counted(rows: Sequence[FitRow]) -> Count:
    """How many models there are of each grade, and on how many of them a tag goes for sure."""
    goes = {row.model for row in rows if row.line.grade in GOES_ON}
    by_grade = tuple((group.said, group.models) for group in in_groups(rows))
    return Count(len(goes), len({row.model for row in rows}), by_grade)


def _many(count: int, thing: str) -> str:
    return f"{count} {thing}{'' if count == 1 else 's'}"
