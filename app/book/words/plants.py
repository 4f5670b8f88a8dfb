"""The plant as a customer says it: "plant K", "K plant", "eleventh letter is K", "not plant K"."""

from __future__ import annotations

from app.book.words.linereading import Reading
from app.book.words.spoken import Line
from app.fit.answers import Chip
from app.fit.plants import PLANT_LETTERS, any_but

_PLACE = frozenset({"eleventh", "11th"})
_NAMED = frozenset(
    {"letter", "code", "digit", "character", "place", "of", "on", "the", "my", "vin", "is", "was", "its"}
)
"""Words between "plant" and its letter."""
_BUT = frozenset({"not", "isn't", "isnt", "wasn't", "but", "except"})
_MOST_NAMED = 6
BEGINNINGS = frozenset({"plant", *_PLACE})


def plant_said(line: Line, at: int) -> tuple[str, int]:
    """The plant named at a place, as it is kept, and how many words that took; none where no plant is named."""
    if _letter(line, at) and line.word(at + 1) == "plant" and at + 1 not in line.breaks:
        return _letter(line, at), 2
    if at >= len(line.said) or BEGINNINGS.isdisjoint((line.said[at], line.meant[at])):
        return "", 0
    here, but = at + 1, False
    while here <= at + _MOST_NAMED and line.word(here) in _NAMED | _BUT and here not in line.breaks:
        but = but or line.word(here) in _BUT
        here += 1
    letter = _letter(line, here)
    if not letter or here in line.breaks:
        return "", 0
    return any_but([letter]) if but else letter, here + 1 - at


def keep_plant(plant: str, said: str, reading: Reading) -> None:
    """Keep what a line says of the plant: the vehicle's, or that of an engine, frame … which it carries."""
    carried = reading.mentions.carried
    if carried is not None:
        carried.plant = plant
        carried.chips.append(Chip(f"{carried.group} plant", plant, said))
    else:
        reading.facts["plant"] = plant
        reading.chips.append(Chip("plant", plant, said))


def _letter(line: Line, at: int) -> str:
    said = line.said[at].upper() if at < len(line.said) else ""
    return said if said in PLANT_LETTERS else ""
