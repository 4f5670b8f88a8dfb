"""Typing at the desk screens and reading them, for tests: what is seen is text, as a person reads it."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from textual.pilot import Pilot
from textual.widgets import Input, OptionList, Static

from app.book.work import Book
from app.screens.app import Donorbook
from app.screens.parts.scans import KINDS, PACE


@asynccontextmanager
async def at(book: Book, seat: str, by: str) -> AsyncIterator[Pilot[None]]:
    """The program at a seat, on a terminal of 80 by 24."""
    app = Donorbook(book, seat, by)
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await settle(pilot)
        yield pilot


async def settle(pilot: Pilot[None]) -> None:
    """Wait until nothing is being read, written or shown."""
    await pilot.pause()
    for _ in range(2):
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()


async def press(pilot: Pilot[None], *keys: str) -> None:
    """Press keys, each with its work done before the next."""
    for key in keys:
        await pilot.press(key)
        if key.upper() in KINDS:
            # A key that could begin a tag waits to be told from a scan.
            await pilot.pause(PACE * 1.6)
        await settle(pilot)


async def fill(pilot: Pilot[None], *texts: str) -> None:
    """Type into the blank under the cursor and those after it, Enter between them."""
    for number, text in enumerate(texts):
        if number:
            await pilot.press("enter")
        box = pilot.app.focused
        assert isinstance(box, Input), f"the cursor is in no blank: {box}"
        box.value = text
        await pilot.pause()
    await settle(pilot)


def seen(pilot: Pilot[None]) -> str:
    """All that stands on the screen on top, widget by widget."""
    screen = pilot.app.screen
    said = [str(widget.render()) for widget in screen.query(Static) if widget.display]
    boxes = [box.value for box in screen.query(Input)]
    rows = [
        str(rows.get_option_at_index(number).prompt)
        for rows in screen.query(OptionList)
        for number in range(rows.option_count)
    ]
    toasts = [toast.message for toast in pilot.app._notifications]
    return "\n".join((*said, *boxes, *rows, *toasts))


def focus_value(pilot: Pilot[None]) -> str:
    """What stands in the blank under the cursor."""
    box = pilot.app.focused
    assert isinstance(box, Input)
    return box.value
