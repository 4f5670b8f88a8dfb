"""What a customer's line comes to, with what is stated beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from sqlalchemy.orm import Session

from app.book.knowing import Knowing
from app.book.lots import in_lots
from app.book.stated import looks_wanted, of_looks, stated_facts, stated_wants
from app.book.whose import settled, sizes_asked_for
from app.book.words.buildtime import narrowed
from app.book.words.everyday import SIDES
from app.book.words.linereading import Understood
from app.book.words.settling import in_order
from app.book.words.spoken import without
from app.book.words.understanding import understand, with_pick
from app.book.words.vocabulary import MODEL_FACTS
from app.book.words.wishes import of_part
from app.errors import BadInput
from app.fit.answers import Asked, Chip
from app.fit.terms import Side
from app.fit.values import plain


@dataclass(frozen=True, slots=True)
class Beside:
    """What is stated beside the words; it beats them."""

    vehicle: str = ""
    part: str = ""
    side: str = ""
    facts: Mapping[str, str] = field(default_factory=dict)
    wants: Sequence[str] = ()


def heard(session: Session, known: Knowing, words: str, beside: Beside) -> Understood:
    """A line of words with what is stated beside it, settled on a vehicle and a part.

    Raises:
        BadInput: a vehicle of which nothing is understood, a part or a side that there is not, or a fact the yard does
            not know.
    """
    by_name, in_words = stated_wants(beside.wants, known)
    loose, looks = looks_wanted(in_words, known)
    facts = stated_facts(beside.facts, known)
    # What the list of models keeps says which vehicle it is, wherever that is said.
    traits = [facts.pop(name) for name in MODEL_FACTS if name in facts]
    year = facts.pop("year", "")
    vehicle, understood = _read(words, beside, traits, loose, year, known)
    asked = _with_vehicle(session, understood.asked, known, vehicle) if vehicle else understood.asked
    asked = _with_the_rest(asked, beside, facts, year, known)
    every = (*understood.wants, *by_name, *of_looks(looks, asked.part_types, known))
    told = tuple(Chip(name, value, "") for name, value in facts.items())
    asked = replace(
        asked,
        facts={**asked.facts, **facts},
        wants=tuple(want.words for want in every),
        chips=in_order((*(chip for chip in asked.chips if not set(chip.field.split(" / ")) <= set(facts)), *told)),
    )
    found = in_lots(session, settled(session, asked, known), known)
    sizes = sizes_asked_for(asked, found, known)
    found = replace(found, wants=(*found.wants, *(want.words for want in sizes)))
    return Understood(found, of_part((*every, *sizes), asked.part_types, known.vocabulary))


def _read(
    words: str, beside: Beside, traits: Sequence[str], loose: Sequence[str], year: str, known: Knowing
) -> tuple[str, Understood]:
    """The vehicle in words, as it was stated with its traits, and all words as they were understood."""
    of_vehicle = bool(beside.part) or not words
    vehicle = " ".join((beside.vehicle, *traits)) if beside.vehicle else ""
    own = words if vehicle else ""
    line = " ".join(word for word in (words, vehicle or " ".join(traits), *loose) if word)
    understood = understand(line, known.vocabulary, own=own, of_vehicle=of_vehicle)
    if year:
        # A year that is stated beats those in the words, and the models that were meant by them.
        said = [chip.said for chip in understood.asked.chips if chip.field == "year"]
        line, vehicle = (_with_year(text, year, said) if text else text for text in (line, vehicle))
        understood = understand(line, known.vocabulary, own=own, of_vehicle=of_vehicle)
    return vehicle, replace(understood, asked=replace(understood.asked, words=words or line))


def _with_the_rest(asked: Asked, beside: Beside, facts: dict[str, str], year: str, known: Knowing) -> Asked:
    """What is asked with part, side, count, month and year as they were stated; side and count are taken from facts."""
    if beside.part:
        asked = _with_part(asked, known, beside.part)
    for side in (beside.side, facts.pop("side", "")):
        if side:
            asked = replace(asked, side=_side(side))
    if pieces := facts.pop("pieces", ""):
        asked = replace(asked, quantity=int(pieces))
    if facts.get("built"):
        facts["built"] = narrowed(asked.built or "", facts["built"])
    if year:
        asked = replace(asked, year=int(year))
    return replace(asked, built=facts.get("built", asked.built or "") or None)


def _with_year(line: str, year: str, said: Sequence[str]) -> str:
    """A line with another year than was said in it."""
    for each in said:
        line = without(line, each)
    return f"{line} {year}".strip()


def _with_vehicle(session: Session, asked: Asked, known: Knowing, vehicle: str) -> Asked:
    """The vehicle as it was stated beside the words; it beats what they say."""
    stated = settled(session, understand(vehicle, known.vocabulary, of_vehicle=True).asked, known)
    if not stated.models and stated.year is None and not stated.chips:
        raise BadInput(f"{vehicle!r} names no vehicle", "Say year, make or model, or a VIN.", place="vehicle")
    return replace(
        asked,
        models=stated.models or asked.models,
        year=stated.year or asked.year,
        carries=stated.carries or asked.carries,
        carried_years=stated.carried_years or asked.carried_years,
    )


def _with_part(asked: Asked, known: Knowing, part: str) -> Asked:
    if part in known.vocabulary.wider:
        return with_pick(asked, known.vocabulary, part)
    named = understand(part, known.vocabulary).asked
    if not named.part_types and not named.meanings:
        raise BadInput(f"there is no part {part!r}", "Take one of the yard's part names.", place="part")
    return replace(asked, part_types=named.part_types, meanings=named.meanings, side=asked.side or named.side)


def _side(said: str) -> Side:
    try:
        return Side(SIDES.get(plain(said), said.strip().upper()))
    except ValueError:
        raise BadInput(f"{said!r} is no side", "Say LH or RH, as seated facing forward.", place="side") from None
