"""How long the build month of a world lasts, where the vehicles that may be meant were not built over the same time."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping
from itertools import pairwise

from app.fit.known import Identity, Subject
from app.fit.making import record
from app.fit.worlds import World, next_month, run_of


@record(frozen=True, slots=True)
class Stretches:
    """The months from which on something changes for any of several vehicles, and up to where each month of one lasts.

    A month of a vehicle stands for all up to the next that tells something of it; of another vehicle one in between may
    be the first. `ends` has for each vehicle, by the id of its subject, the end of each of its months.
    """

    marks: tuple[str, ...]
    ends: Mapping[int, Mapping[str, str]]

    def of(self, world: World, subject: Subject) -> tuple[str, ...]:
        """All months that the one of a world stands for, among those of all the vehicles."""
        if "built" not in world:
            return ()
        month = world["built"].value
        if not self.marks:
            return (month,)
        end = self.ends[id(subject)][month]
        return (month, *self.marks[bisect_left(self.marks, month) + 1 : bisect_left(self.marks, end)])


def stretches(theirs: Iterable[tuple[World, Subject]]) -> Stretches:
    """The stretches of the worlds of a target; of one vehicle, or several of the same time, each month is its own."""
    found: dict[int, tuple[Identity, set[str]]] = {}
    for world, subject in theirs:
        if "built" in world and subject.identity is not None:
            found.setdefault(id(subject), (subject.identity, set()))[1].add(world["built"].value)
    runs = {key: _run(identity, months) for key, (identity, months) in found.items()}
    if len(set(runs.values())) < 2:
        return Stretches((), {})
    after = {key: next_month(last) for key, (_, last) in runs.items()}
    months = {month for _, some in found.values() for month in some}
    marks = months | {month for month in after.values() if month < max(after.values())}
    ends = {key: dict(pairwise([*sorted(some), after[key]])) for key, (_, some) in found.items()}
    return Stretches(tuple(sorted(marks)), ends)


def _run(identity: Identity, months: Iterable[str]) -> tuple[str, str]:
    """The time that some months of a vehicle are of: of its year, or of its model's whole run where a look beat it."""
    first, last = run_of(identity)
    return (first, last) if all(first <= month <= last for month in months) else run_of(Identity(identity.model))
