"""What is asked back beside what the engine asks: which part is meant, and which vehicle it is for."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from app.book.knowing import Knowing
from app.book.words.compared import BENCH
from app.book.words.settling import UNKNOWN
from app.fit.answers import Answer, Asked, Question
from app.fit.known import ModelInfo
from app.fit.merging import MODEL
from app.fit.saying.opens import WHICH_MODEL
from app.fit.years import YEAR

_TAG = re.compile(r"^[a-z]{1,3}-?[0-9]{2,7}$|^(?=.*[0-9])[a-z][a-z0-9]{6}$")
"""How tags look, and nothing else that is said."""
MOST_SAID = 4
"""Models that a question can name and still be said."""
MOST_ASKED = 2
"""Questions asked at once."""


def what_part(asked: Asked) -> tuple[Question, ...]:
    """What is asked where no part was understood."""
    if asked.meanings:
        meaning = asked.meanings[0]
        return (Question("part", meaning.question, meaning.choices, 0),)
    told = [f"{chip.value[0].upper()}{chip.value[1:]}. " for chip in asked.chips if chip.field == BENCH]
    told += [f"There is no tag {word.upper()}. " for word in asked.not_understood if _TAG.match(word)]
    return (Question("part", f"{''.join(told[:1])}Which part?", (), 0),)


def _told_apart(models: Sequence[ModelInfo]) -> tuple[str, ...]:
    """What the models are called; those of one name by their variant, else by their keys."""
    words = [model.words for model in models]
    if len(set(words)) == len(words):
        return tuple(words)
    by_variant = [f"{model.words} {model.variant}".strip() for model in models]
    if len(set(by_variant)) == len(by_variant):
        return tuple(by_variant)
    return tuple(f"{model.words} {model.key}" for model in models)


def and_vehicle(asked: Asked, known: Knowing, found: Answer) -> tuple[Question, ...]:
    """The questions with that for the vehicle in words: where the engine has it, else before a lone other one."""
    vehicle = _which_vehicle(asked, known, found)
    facts = [each.fact for each in found.questions]
    at = facts.index(MODEL) if MODEL in facts else len(facts) // MOST_ASKED * MOST_ASKED
    others = [each for each in found.questions if each.fact != MODEL]
    return (*others[:at], *vehicle, *others[at:])


def _which_vehicle(asked: Asked, known: Knowing, found: Answer) -> tuple[Question, ...]:
    """Ask for the vehicle only where it would change the answer."""
    if not asked.models:
        told = [f"{chip.value[0].upper()}{chip.value[1:]}. " for chip in asked.chips if chip.field == UNKNOWN]
        return (Question("vehicle", f"{''.join(told[:1])}Year, make and model?", (), len(found.answers)),)
    if len(asked.models) > 1 and any(WHICH_MODEL in line.unknowns for line in found.answers):
        if any(each.fact == YEAR for each in found.questions) and _told_by_year(asked, known):
            return ()
        choices = _told_apart([known.models[key] for key in asked.models])
        words = f"Which one is it: {' or '.join(choices)}?" if len(choices) <= MOST_SAID else "Which model is it?"
        return (Question("vehicle", words, choices, len(found.answers)),)
    return ()


def _told_by_year(asked: Asked, known: Knowing) -> bool:
    """True when the models that may be meant were built one after the other."""
    runs = sorted((known.models[key].year_from, known.models[key].year_to) for key in asked.models)
    return all(before[1] < after[0] for before, after in pairwise(runs))
