"""Blanks for what a rule wants on the ticket, on whatever sheet a sale begins."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from app.book.written import LATER, ToWrite
from app.screens.parts.form import Blank


def written_blanks(wanted: Sequence[ToWrite], told: Mapping[str, str]) -> list[Blank]:
    """One blank for each fact; what the customer told at the ask, or the part shows, stands there already."""
    return [
        Blank(each.fact, each.fact, each.known or told.get(each.fact, ""), hint=_hint(each), choices=each.choices)
        for each in wanted
    ]


def _hint(each: ToWrite) -> str:
    ours = f"ours {each.shown(each.ours)}" if each.of_vehicle and each.ours else ""
    return "; ".join(filter(None, (each.ask, ours, f"or: {LATER}"))).replace("?; ", "? ")


def written_words(wanted: Sequence[ToWrite]) -> str:
    """What to say above the form; empty where nothing is wanted."""
    return f"goes on the ticket: {', '.join(each.fact for each in wanted)}" if wanted else ""
