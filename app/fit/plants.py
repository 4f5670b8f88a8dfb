"""Plants as they are said: one letter of the plate, several of which it is one, or any but some."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

PLANT_LETTERS = frozenset("ABCDEFGHJKLMNPRSTUVWXYZ0123456789")
"""What can stand for the plant in a VIN. Source: 49 CFR 565.15, no I, O or Q."""
_OR, _NOT = " or ", "not "


@lru_cache(maxsize=256)
def plants_of(said: str) -> frozenset[str]:
    """The plants that "K", "K or M" or "not K" leave open; all of them where nothing is said.

    What is written in no such way is a plant of that name.
    """
    if not said:
        return PLANT_LETTERS
    named = frozenset(said.removeprefix(_NOT).split(_OR))
    if not named <= PLANT_LETTERS:
        return frozenset({said})
    return PLANT_LETTERS - named if said.startswith(_NOT) else named


def any_but(plants: Iterable[str]) -> str:
    """Any plant but these, as it is said."""
    return f"{_NOT}{_OR.join(sorted(plants))}"


def as_kept(said: str) -> str:
    """Plants as they are kept; empty where what was said names none that there can be."""
    text = " ".join(said.split())
    denied = text.lower().startswith(_NOT)
    named = frozenset(text[len(_NOT) * denied :].upper().split(_OR.upper()))
    if not named <= PLANT_LETTERS:
        return ""
    return any_but(named) if denied else _OR.join(sorted(named))
