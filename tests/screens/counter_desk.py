"""The counter of the screen tests: an engine that answers with the arms of the test yard."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from typing import Any

from app.book.work import Book
from app.fit.answers import Answer
from app.screens.app import Donorbook
from tests.screens.hands import arms_answer, press, say, seen, settle

SIZE = (80, 24)


class Engine:
    """Answers at once with the arms of the test yard, and remembers what it was asked."""

    def __init__(self) -> None:
        self.asked: list[tuple[str, dict[str, str], bool]] = []
        self.gate = threading.Event()
        self.gate.set()

    def __call__(
        self, book: Book, who: object, words: str, *, facts: Mapping[str, str], keep: bool, **stated: str
    ) -> Answer:
        del book, who, stated
        self.asked.append((words, dict(facts), keep))
        if words.startswith("slow"):
            self.gate.wait(5)
        return arms_answer(words, dict(facts))


def rows(app: Donorbook, word: str) -> list[str]:
    return [row for row in seen(app).splitlines() if word in row]


async def ask(pilot: Any, words: str = "08 longwagon lca rh") -> None:
    """Type the words and go to the answers."""
    await settle(pilot)
    await say(pilot, words)
    await press(pilot, "enter")
