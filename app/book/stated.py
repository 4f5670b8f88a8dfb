"""Facts stated by name beside the words: known names, values that can be, written as the yard writes them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from app.book.buildtime import time_said
from app.book.knowing import Knowing
from app.book.linereading import OR
from app.book.vocabulary import MODEL_FACTS
from app.errors import BadInput
from app.fit.knowledge import FactInfo, Kind
from app.fit.plants import as_kept
from app.fit.values import millimeters, number, plain, same, unit_of

BESIDE = ("built", "plant", "side", *MODEL_FACTS)
"""What is no fact of the yard's list and may be stated like one."""
_FIGURES = {Kind.NUMBER: "a number", Kind.COUNT: "a whole number", Kind.LENGTH: "a length"}
_YES_NO = {"yes": "yes", "y": "yes", "true": "yes", "no": "no", "n": "no", "false": "no"}


def stated_facts(facts: Mapping[str, str], known: Knowing) -> dict[str, str]:
    """The facts with their values as the yard writes them.

    Raises:
        BadInput: there is no fact of that name, or its value is none of a closed list or no figure where it takes
            one; the place is the name.
    """
    names = {plain(name): name for name in (*known.facts, *BESIDE)}
    found: dict[str, str] = {}
    for said, value in facts.items():
        name = names.get(plain(said))
        if name is None:
            raise BadInput(f"there is no fact {said!r}", "Take a fact the yard asks for.", place=said)
        info = known.facts.get(name)
        found[name] = _value(info, value.strip()) if info is not None else _beside(name, value.strip(), known)
    return found


def _beside(name: str, value: str, known: Knowing) -> str:
    """A build month, time or plant as it is kept; what the list of models keeps as it is there; a side as it is."""
    if name in MODEL_FACTS:
        return _of_models(name, value, known)
    if name == "plant" and value:
        return _plant(value)
    if name != "built" or not value:
        return value
    time = time_said(value)
    if time is None:
        raise BadInput(f"built cannot be {value!r}", "Say a month like 2007-06, or before 2007-06.", place=name)
    return time.said


def _plant(value: str) -> str:
    plants = as_kept(value)
    if not plants:
        raise BadInput(f"plant cannot be {value!r}", 'Say the eleventh letter of the VIN, or "not K".', place="plant")
    return plants


def _of_models(name: str, value: str, known: Knowing) -> str:
    kept = [each for trait, each in known.vocabulary.models_of if trait == name]
    meant = next((each for each in kept if plain(each) == plain(value)), "")
    if not meant:
        raise BadInput(f"{name} cannot be {value!r}", f"Say {' or '.join(sorted(kept)[:8])}.", place=name)
    return meant


def _value(info: FactInfo, value: str) -> str:
    if info.kind is Kind.YES_NO:
        if value.lower() not in _YES_NO:
            raise BadInput(f"{info.name} cannot be {value!r}", "Say yes or no.", place=info.name)
        return _YES_NO[value.lower()]
    if info.kind in _FIGURES:
        return _figure(info, value)
    if info.kind is not Kind.CHOICE or not info.choices:
        return value
    meant = [_choice(info.choices, each) for each in value.split(OR)]
    if not all(meant):
        choices = " or ".join(info.choices)
        raise BadInput(f"{info.name} cannot be {value!r}", f"Say {choices}.", place=info.name)
    return OR.join(meant)


def _choice(choices: Sequence[str], said: str) -> str:
    """The choice that was said: as it is written, else the only one of its figure; empty where there is none."""
    alike = [each for each in choices if same(each, said)]
    if not alike and number(said) is not None and not unit_of(said):
        alike = [each for each in choices if number(each) == number(said)]
        return alike[0] if len(alike) == 1 else ""
    return next((each for each in alike if plain(each) == plain(said)), next(iter(alike), ""))


def _figure(info: FactInfo, value: str) -> str:
    """A figure as it was said, each one of several left open; one that was not said at all is left as it is."""
    if value and not all(_is_figure(info.kind, each.strip()) for each in value.split(OR)):
        unit = f" of {info.unit}" if info.unit else ""
        example = f", such as {info.choices[0]}" if info.choices else ""
        raise BadInput(
            f"{info.name} cannot be {value!r}", f"Say {_FIGURES[info.kind]}{unit}{example}.", place=info.name
        )
    return value


def _is_figure(kind: Kind, said: str) -> bool:
    if kind is Kind.LENGTH:
        return millimeters(said) is not None
    figure = number(said)
    return figure is not None and figure >= 0 and (kind is Kind.NUMBER or figure.denominator == 1)
