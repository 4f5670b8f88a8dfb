"""Counts in figures and in words, and the choices of a fact as people say them: "eleven pins", "373" for 3.73."""

from __future__ import annotations

from collections.abc import Iterator

from app.book.schema import Fact
from app.book.words.everyday import COUNTS, FILLER, SIDES
from app.fit.terms import FactKind, Group

SAID = {str(number): word for word, number in COUNTS.items()}
FIGURES = {word: figures for figures, word in SAID.items() if word != "one"}
RATIO_PLACES = 2
"""Decimals of an axle ratio."""


def said_choice(fact: Fact, choice: str, of_models: set[str]) -> Iterator[str]:
    """How people say one choice of a fact."""
    yield f"{choice} {fact.name}"
    if fact.kind is FactKind.CHOICE:
        # "Heavy wagon" is first of all a vehicle: of a frame it is said with the word frame.
        vehicle = fact.group in (Group.FRAME, Group.NOSE) and _names_a_vehicle(choice, of_models)
        if vehicle:
            yield f"{choice} {fact.name.split()[0]} under it"
        elif choice.lower() not in FILLER and choice.lower() not in SIDES:
            yield choice
    elif fact.kind is FactKind.COUNT:
        noun = _counted(fact.name)
        for number in (choice, SAID.get(choice, choice), *_SAID_TOO.get(choice, ())):
            yield f"{number} {noun}"
            for other in _SAID_AS.get(noun, ()):
                yield f"{number} {other}"
    elif fact.kind is FactKind.NUMBER and "." in choice:
        yield choice
        if len(choice.partition(".")[2]) == RATIO_PLACES:
            # A ratio of 3.73 is said "three seventy-three" and written 373.
            yield choice.replace(".", "")
            whole, part = choice.split(".")
            if whole in SAID and part in SAID:
                yield f"{SAID[whole]} {SAID[part]}"


_SAID_TOO = {"1": ("single",), "2": ("dual", "double", "twin")}
_SAID_AS = {
    "teeth": ("tooth",), "splines": ("spline",), "lugs": ("lug",), "bolts": ("bolt",), "pins": ("pin",),
    "holes": ("hole",), "grooves": ("groove",), "pistons": ("piston",),
}  # fmt: skip


def _counted(name: str) -> str:
    """What a count counts: "lug count" lugs, "axle splines" splines."""
    words = name.split()
    return words[0] if words[-1] == "count" else words[-1]


def _names_a_vehicle(choice: str, of_models: set[str]) -> bool:
    """True when nothing but words of models stands in it."""
    left = f" {choice.lower().replace('-', ' ')} "
    for word in sorted(of_models, key=len, reverse=True):
        left = left.replace(f" {word} ", "  ")
    return not left.strip()
