"""Facts stated by name beside the words: known names, values that can be, written as the yard writes them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from difflib import get_close_matches

from app.book.knowing import Knowing
from app.book.words.buildtime import time_said
from app.book.words.linereading import OR
from app.book.words.understanding import understand
from app.book.words.vocabulary import MODEL_FACTS
from app.book.words.wishes import stated_want
from app.errors import BadInput
from app.fit.known import FactInfo, Want
from app.fit.lengths import with_unit
from app.fit.plants import as_kept
from app.fit.terms import FactKind
from app.fit.values import millimeters, number, plain, same, unit_of
from app.fit.wants import IS

BESIDE = ("built", "plant", "side", "year", "pieces", *MODEL_FACTS)
"""What is no fact of the yard's list and may be stated like one."""
_FIGURES = {FactKind.NUMBER: "a number", FactKind.COUNT: "a whole number", FactKind.LENGTH: "a length"}
_YES_NO = {"yes": "yes", "y": "yes", "true": "yes", "no": "no", "n": "no", "false": "no"}


def stated_facts(facts: Mapping[str, str], known: Knowing) -> dict[str, str]:
    """The facts with their values as the yard writes them.

    Raises:
        BadInput: there is no fact of that name, or its value is none of a closed list or no figure where it takes
            one; the place is the name.
    """
    names = {_spelled(name): name for name in (*known.facts, *BESIDE)} if facts else {}
    found: dict[str, str] = {}
    for said, value in facts.items():
        name = names.get(_spelled(said))
        if name is None:
            close = [names[each] for each in get_close_matches(_spelled(said), names)]
            remedy = f"Is it {' or '.join(close)}?" if close else "Take a fact the yard asks for of that part."
            raise BadInput(f"there is no fact {said!r}", remedy, place=said)
        found[name] = _stated(name, value.strip(), known)
    return found


def _spelled(name: str) -> str:
    """A name of a fact for comparing, whatever stands between its words."""
    return plain(name.replace("_", " ").replace("-", " "))


def _stated(name: str, value: str, known: Knowing) -> str:
    info = known.facts.get(name)
    try:
        return _value(info, value) if info is not None else _beside(name, value, known)
    except BadInput:
        heard = _heard(name, value, known)
        if not heard:
            raise
        return heard


def _heard(name: str, value: str, known: Knowing) -> str:
    """A value in everyday words: "4wd", "stick", "April 2007"; empty where they are others or misspelled."""
    if name == "built":
        asked = understand(value, known.vocabulary, of_vehicle=True).asked
        return (asked.built or "") if not asked.not_understood else ""
    return OR.join(sense.value for sense in known.vocabulary.senses(value) if sense.fact == name)


def _beside(name: str, value: str, known: Knowing) -> str:
    """A build month, time or plant as it is kept; what the list of models keeps as it is there; a side as it is."""
    if name in MODEL_FACTS:
        return _of_models(name, value, known)
    if name == "plant" and value:
        return _plant(value)
    if name == "year" and value:
        return _year(value, known)
    if name == "pieces" and value:
        return _count(value)
    if name != "built" or not value:
        return value
    time = time_said(value)
    if time is None:
        raise BadInput(f"built cannot be {value!r}", "Say a month like 2007-06, or before 2007-06.", place=name)
    return time.said


def _year(value: str, known: Knowing) -> str:
    """A model year as it is said at a counter, in four figures."""
    years = understand(value, known.vocabulary, of_vehicle=True).asked.said_years
    if len(years) != 1:
        raise BadInput(f"year cannot be {value!r}", "Say one model year, 2008 or 08.", place="year")
    return str(years[0])


def _count(value: str) -> str:
    count = number(value)
    if count is None or count.denominator != 1 or count < 1:
        raise BadInput(f"pieces cannot be {value!r}", "Say how many are wanted.", place="pieces")
    return str(count)


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


def stated_wants(texts: Iterable[str], known: Knowing) -> tuple[list[Want], list[str]]:
    """Requirements stated by the name of a fact, with values as the yard writes them, and those in loose words.

    Raises:
        BadInput: a value that the fact cannot have; the place is its name.
    """
    wants, loose = [], []
    for text in texts:
        want = stated_want(text, known.vocabulary)
        if want is None:
            loose.append(text)
        elif want.fact in known.facts:
            wants.append(replace(want, value=_stated(want.fact, want.value, known)))
        else:
            wants.append(want)
    return wants, loose


def looks_wanted(texts: Iterable[str], known: Knowing) -> tuple[list[str], list[tuple[str, Mapping[str, str]]]]:
    """Requirements in loose words: those that a line of words says, and those that are a look of the part: "white"."""
    lines, looks = [], []
    for text in texts:
        asked = understand(text, known.vocabulary, of_vehicle=True).asked
        said = asked.wants or asked.models or asked.said_years or asked.built or asked.side or asked.quantity
        if asked.facts and not said and not asked.not_understood:
            looks.append((text, asked.facts))
        else:
            lines.append(text)
    return lines, looks


def of_looks(looks: Iterable[tuple[str, Mapping[str, str]]], part_types: Iterable[str], known: Knowing) -> list[Want]:
    """Looks as requirements, each of the facts that the part is looked at for."""
    looked_at = known.vocabulary.looked_at(part_types)
    return [
        Want(name, IS, value, text)
        for text, facts in looks
        for name, value in facts.items()
        if name in looked_at or looked_at.isdisjoint(facts)
    ]


def _value(info: FactInfo, value: str) -> str:
    if info.kind is FactKind.YES_NO:
        if value.lower() not in _YES_NO:
            raise BadInput(f"{info.name} cannot be {value!r}", "Say yes or no.", place=info.name)
        return _YES_NO[value.lower()]
    if info.kind in _FIGURES:
        return _figure(info, value)
    if info.kind is not FactKind.CHOICE or not info.choices:
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
    """A figure as it was said, each one of several left open, a length with its unit; what was not said stays so."""
    if value and not all(_is_figure(info.kind, each.strip()) for each in value.split(OR)):
        unit = f" of {info.unit}" if info.unit else ""
        example = f", such as {info.choices[0]}" if info.choices else ""
        raise BadInput(
            f"{info.name} cannot be {value!r}", f"Say {_FIGURES[info.kind]}{unit}{example}.", place=info.name
        )
    if info.kind is FactKind.LENGTH:
        return OR.join(with_unit(each, info.unit) for each in value.split(OR))
    return value


def _is_figure(kind: FactKind, said: str) -> bool:
    if kind is FactKind.LENGTH:
        return millimeters(said) is not None
    figure = number(said)
    return figure is not None and figure >= 0 and (kind is FactKind.NUMBER or figure.denominator == 1)
