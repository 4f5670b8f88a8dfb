"""Telling a scanner's burst from typing: it types very fast and ends with Enter."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from textual import events
from textual.widget import Widget
from textual.widgets import Input

from app.book.tags import clean, looks_like_house_tag

PACE = 0.05
"""Seconds between two characters of a scanner, at most."""
SHORTEST = 6
"""Characters of a burst that may be a scan on its own."""
KINDS = frozenset("PVYSWHC")


@dataclass(slots=True)
class _Before:
    """A text box as it was before a burst began."""

    box: Input
    value: str
    cursor: int

    def put_back(self) -> None:
        self.box.value = self.value
        self.box.cursor_position = self.cursor


class Catcher:
    """Watches the keys of the whole program and takes scans out of them.

    Into a text box keys go on as they come, and what was in the box is put back if they were a scan. Elsewhere
    a key that could begin a tag waits for `PACE` seconds, so that a scan never sets off single keys.
    `short` tells whether a burst under six characters is expected and known, such as a place code.
    """

    def __init__(self, caught: Callable[[str], None], short: Callable[[str], bool]) -> None:
        self._caught = caught
        self._short = short
        self._run: list[events.Key] = []
        self._held: list[events.Key] = []
        self._before: _Before | None = None

    @property
    def holding(self) -> bool:
        """True while keys wait to be told from a scan."""
        return bool(self._held)

    def feed(self, event: events.Key, focused: Widget | None) -> list[events.Key]:
        """Take a key in; returns the keys to pass on now."""
        in_pace = bool(self._run) and event.time - self._run[-1].time <= PACE
        if event.key == "enter":
            return self._enter(event, in_pace)
        if event.character is None or not (event.character.isalnum() or event.character == "-"):
            return [*self.let_go(), event]
        passed = [] if in_pace else self.let_go()
        if not in_pace:
            self._before = _snapshot(focused)
        self._run.append(event)
        if self._before is None and (self._held or event.character.upper() in KINDS):
            self._held.append(event)
            return passed
        return [*passed, event]

    def let_go(self) -> list[events.Key]:
        """Forget the burst; returns the keys that waited."""
        held, self._held, self._run, self._before = self._held, [], [], None
        return held

    def settled(self, now: float) -> bool:
        """True when the last key is longer ago than a scanner would take."""
        return not self._run or now - self._run[-1].time > PACE

    def _enter(self, event: events.Key, in_pace: bool) -> list[events.Key]:
        text = "".join(key.character or "" for key in self._run)
        before = self._before
        held = self.let_go()
        if not in_pace or not self._is_scan(text):
            return [*held, event]
        if before is not None:
            # The box still has the burst's keys in its queue; this comes after them.
            before.box.call_later(before.put_back)
        self._caught(text)
        return []

    def _is_scan(self, text: str) -> bool:
        if len(text) >= SHORTEST:
            return looks_like_house_tag(clean(text)) or self._short(text)
        return len(text) > 1 and self._short(text)


def _snapshot(widget: Widget | None) -> _Before | None:
    return _Before(widget, widget.value, widget.cursor_position) if isinstance(widget, Input) else None
