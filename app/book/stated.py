"""Facts stated by name beside the words: known names, values that can be, written as the yard writes them."""

from __future__ import annotations

from collections.abc import Mapping

from app.book.buildtime import time_said
from app.book.knowing import Knowing
from app.book.settling import OR
from app.errors import BadInput
from app.fit.knowledge import FactInfo, Kind
from app.fit.values import plain, same

BESIDE = ("built", "plant", "side")
"""What is no fact of the yard's list and may be stated like one."""
_YES_NO = {"yes": "yes", "y": "yes", "true": "yes", "no": "no", "n": "no", "false": "no"}


def stated_facts(facts: Mapping[str, str], known: Knowing) -> dict[str, str]:
    """The facts with their values as the yard writes them.

    Raises:
        BadInput: there is no fact of that name, or its value is none of a closed list; the place is the name.
    """
    names = {plain(name): name for name in (*known.facts, *BESIDE)}
    found: dict[str, str] = {}
    for said, value in facts.items():
        name = names.get(plain(said))
        if name is None:
            raise BadInput(f"there is no fact {said!r}", "Take a fact the yard asks for.", place=said)
        info = known.facts.get(name)
        found[name] = _value(info, value.strip()) if info is not None else _beside(name, value.strip())
    return found


def _beside(name: str, value: str) -> str:
    """A build month or time as it is kept; a plant or side as it is."""
    if name != "built" or not value:
        return value
    time = time_said(value)
    if time is None:
        raise BadInput(f"built cannot be {value!r}", "Say a month like 2007-06, or before 2007-06.", place=name)
    return time.said


def _value(info: FactInfo, value: str) -> str:
    if info.kind is Kind.YES_NO:
        if value.lower() not in _YES_NO:
            raise BadInput(f"{info.name} cannot be {value!r}", "Say yes or no.", place=info.name)
        return _YES_NO[value.lower()]
    if info.kind is not Kind.CHOICE or not info.choices:
        return value
    meant = [next((choice for choice in info.choices if same(choice, each)), "") for each in value.split(OR)]
    if not all(meant):
        choices = " or ".join(info.choices)
        raise BadInput(f"{info.name} cannot be {value!r}", f"Say {choices}.", place=info.name)
    return OR.join(meant)
