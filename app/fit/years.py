"""The model year where nobody said it: what it would tell of each part, as months and models tell it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from app.fit.conditions import Truth
from app.fit.decide import Decision
from app.fit.known import Target
from app.fit.merging import BUILT, MODEL
from app.fit.outcomes import Outcome
from app.fit.terms import Grade
from app.fit.worlds import years_of

YEAR = "year"


def open_years(target: Target) -> tuple[int, ...]:
    """The model years that a vehicle may be of: of its models, or those that were said; none where it is just one."""
    every = [each for some in target.identities.values() for each in some]
    said = {each.year for each in every}
    if None in said and len(said) > 1:
        return ()
    years = {year for year in said if year is not None} or {year for each in every for year in years_of(each)}
    return tuple(sorted(years)) if len(years) > 1 else ()


def by_year(decision: Decision, years: Sequence[int], target: Target) -> Mapping[str, frozenset[Grade]]:
    """The grades that a part may have under each year; empty where it goes neither by months nor by the model.

    A month stands for all up to the next of them, and year Y is built from July of Y-1 to December of Y.
    """
    months, models = (decision.merged.by_target.get(name, {}) for name in (BUILT, MODEL))
    every_one = [each for some in target.identities.values() for each in some]
    # Who told the month is asked for the model by its name.
    if (not months and not models) or any(each.built for each in every_one):
        return {}
    runs = {each.model.key: years_of(each) for each in every_one}
    every = frozenset(outcome.grade for _, _, outcome in decision.merged.found)
    return {str(year): _in_year(months, year, every) & _of_models(models, runs, year, every) or every for year in years}


def _in_year(months: Mapping[str, frozenset[Grade]], year: int, every: frozenset[Grade]) -> frozenset[Grade]:
    if not months:
        return every
    order = sorted(months)
    ends = [*order[1:], "9"]
    some = [
        months[start]
        for start, end in zip(order, ends, strict=True)
        if start <= f"{year}-12" and end > f"{year - 1}-07"
    ]
    return frozenset[Grade]().union(*some) if some else every


def _of_models(
    models: Mapping[str, frozenset[Grade]], runs: Mapping[str, Sequence[int]], year: int, every: frozenset[Grade]
) -> frozenset[Grade]:
    some = [grades for key, grades in models.items() if year in runs.get(key, ())]
    return frozenset[Grade]().union(*some) if some else every


def waits_for_year(decision: Decision) -> bool:
    """True where nobody said the model year and a rule that speaks of the part looks at it, or a use of its design."""
    return any(_looks_at_year(outcome) for outcome in decision.outcomes) or _is_of_some_years(decision)


def _looks_at_year(outcome: Outcome) -> bool:
    fires = outcome.resolved.fires if outcome.resolved else ()
    return any(each.fact == YEAR and each.truth is Truth.UNKNOWN for fire in fires for each in fire.findings)


def _is_of_some_years(decision: Decision) -> bool:
    """Whether one and the same vehicle carries the part's design under some of the years that it may be of."""
    if not decision.offer.design:
        return False
    carried: dict[tuple[int, int], set[bool]] = {}
    for ours, theirs, outcome in decision.merged.found:
        if outcome.resolved is None and not outcome.chain:
            carried.setdefault((id(ours), id(theirs)), set()).add(bool(outcome.design))
    return any(len(each) > 1 for each in carried.values())
