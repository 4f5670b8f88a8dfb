"""The next best question: the one fact of the customer's vehicle that leaves the fewest tags undecided."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from itertools import pairwise

from app.fit.answers import Question
from app.fit.decide import Decision
from app.fit.information import told_of
from app.fit.knowledge import Knowledge
from app.fit.known import Target
from app.fit.merging import BUILT, MODEL, PLANT, merge_grades
from app.fit.plants import any_but
from app.fit.saying.buildtimes import spans
from app.fit.saying.reasons import question_about
from app.fit.terms import Grade, Side
from app.fit.worlds import OTHER_PLANT
from app.fit.years import YEAR, by_year, open_years, waits_for_year

MOST = 2


def questions(decisions: Sequence[Decision], target: Target, know: Knowledge) -> tuple[Question, ...]:
    """At most two questions, best first; nothing that changes nothing is asked.

    Which vehicle it is stands in its place; the one who knows the names of the models finds the words.
    """
    asked = _side_question(decisions, target)
    undecided = [each for each in decisions if each.target_facts]
    # A reading that was set aside, and a word that leaves several values open, are asked for again.
    names = {
        name for each in undecided for name, values in each.merged.by_target.items() if _may_be_asked(name, values)
    }
    # Of facts that leave equally few undecided the one of least effort, and of these the one that tells most.
    scored = [(_left_over(name, undecided), _effort(name, know), -_told(name, undecided), name) for name in names]
    useful = sorted(each for each in scored if each[0] < len(undecided))
    told = [_question(name, undecided, know) for *_, name in useful[:MOST]]
    year = _year_question(decisions, undecided, target)
    if year is not None:
        # Everybody knows the year of his car: it is asked in any case, first where no fact tells more.
        least = useful[0][:3] if useful else (float(len(decisions)),)
        told = [year[1], *told] if year[0] <= least else [*told[: MOST - 1], year[1]]
    # Of things of which some have no side (a whole nose) both sides are meant more often than not.
    whole = any(each.offer.subject.side is Side.NONE for each in _told_apart(decisions))
    return tuple(([*told, *asked] if whole else [*asked, *told])[:MOST])


def _year_question(
    decisions: Sequence[Decision], undecided: Sequence[Decision], target: Target
) -> tuple[tuple[float, int, float], Question] | None:
    """ "What year?" with how little it leaves, where nobody said it and it would change the answer."""
    years = open_years(target)
    tables = [by_year(each, years, target) for each in undecided] if years else []
    settled = {year: sum(_is_settled(table.get(str(year), ())) for table in tables) for year in years}
    waiting = sum(map(waits_for_year, decisions)) if years else 0
    if not waiting and not any(settled.values()):
        return None
    left = sum(len(undecided) - count for count in settled.values()) / len(years)
    told = round(sum(told_of(table) for table in tables if table), 9)
    choices = tuple(map(str, years)) if len(years) <= MOST_YEARS else ()
    return (left, 0, -told), Question(YEAR, "What year?", choices, max(waiting, *settled.values()))


MOST_YEARS = 4
"""Years that are offered to choose from; of more it is typed."""


def _is_settled(grades: Collection[Grade]) -> bool:
    return bool(grades) and not (len(grades) > 1 and merge_grades(set(grades)) is Grade.MEASURE)


def _may_be_asked(name: str, values: Mapping[str, object]) -> bool:
    """Of plants, one that the rules name against all others; one listed beside every other letter tells by a look."""
    return len(values) > 1 and (name != PLANT or OTHER_PLANT in values)


def _told_apart(decisions: Sequence[Decision]) -> list[Decision]:
    """Those that the customer takes one of and not another."""
    return [each for each in decisions if each.grade not in (Grade.WONT_FIT, Grade.SET)]


def _side_question(decisions: Sequence[Decision], target: Target) -> list[Question]:
    told_apart = _told_apart(decisions)
    sides = {each.offer.subject.side for each in told_apart} - {Side.NONE}
    if target.side or len(sides) < 2:
        return []
    of_one_side = [sum(each.offer.subject.side is side for each in told_apart) for side in sides]
    return [Question("side", "Left or right, sitting in it?", (Side.LH.value, Side.RH.value), max(of_one_side))]


def _left_over(name: str, undecided: Sequence[Decision]) -> float:
    """How many tags stay undecided, averaged over the values the fact may have."""
    values = {value for each in undecided for value in each.merged.by_target.get(name, {})}
    if not values:
        return float(len(undecided))
    return sum(sum(_stays_open(each, name, value) for each in undecided) for value in values) / len(values)


def _told(name: str, undecided: Sequence[Decision]) -> float:
    """How many bits the fact is expected to tell of all undecided parts together."""
    return round(sum(told_of(each.merged.by_target.get(name, {})) for each in undecided), 9)


def _stays_open(decision: Decision, name: str, value: str) -> bool:
    grades = decision.merged.by_target.get(name, {}).get(value)
    if grades is None:
        return True
    return len(grades) > 1 and merge_grades(set(grades)) is Grade.MEASURE


def _effort(name: str, know: Knowledge) -> int:
    info = know.facts.get(name)
    return info.effort if info is not None else int(name != MODEL)


def _question(name: str, undecided: Sequence[Decision], know: Knowledge) -> Question:
    info = know.facts.get(name)
    values = {value: None for each in undecided for value in each.merged.by_target.get(name, {})}
    words = info.question if info is not None and info.question else question_about(name)
    settled = max(sum(not _stays_open(each, name, value) for each in undecided) for value in values)
    if name == BUILT:
        months = _telling(sorted(values), undecided)
        return Question(name, words, spans(months), settled)
    others = any_but(value for value in values if value != OTHER_PLANT)
    choices = sorted(others if value == OTHER_PLANT else value for value in values)
    return Question(name, words, tuple(choices), settled)


def _telling(months: Sequence[str], undecided: Sequence[Decision]) -> tuple[str, ...]:
    """The first build month, and those from which on a part comes to something else than before."""
    grades = {
        month: [set(each.merged.by_target.get(BUILT, {}).get(month, ())) for each in undecided] for month in months
    }
    return (*months[:1], *(month for before, month in pairwise(months) if grades[month] != grades[before]))
