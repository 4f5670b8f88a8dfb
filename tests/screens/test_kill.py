"""A power cut at the counter: the program is killed on a real terminal, and what was typed is in the book."""

from __future__ import annotations

import os
import pty
import select
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

from app.book.drafts import drafts
from app.book.work import Who, open_book
from tests.support.books import copy_file

PATIENCE = 20.0
"""Seconds, for a machine that is slow now and then."""
PROMISED = 0.5
"""Seconds without typing after which everything is kept."""


class Terminal:
    """The program on a terminal of its own."""

    def __init__(self, *arguments: str) -> None:
        self.shown = b""
        self.process, self.line = pty.fork()
        if not self.process:
            os.execv(sys.executable, [sys.executable, "-m", "app", *arguments])

    def wait_for(self, there: Callable[[], bool]) -> None:
        """Read what the program draws until something is so."""
        end = time.monotonic() + PATIENCE
        while not there():
            assert time.monotonic() < end, self.shown[-2000:]
            self._show(0.05)

    def type(self, words: str) -> None:
        """Type as a person does, too slowly for a scanner."""
        for character in words:
            os.write(self.line, character.encode())
            self.stand(0.06)

    def stand(self, seconds: float) -> None:
        """Show what the program draws for a while: one that nobody shows stands still."""
        end = time.monotonic() + seconds
        while (left := end - time.monotonic()) > 0:
            self._show(left)

    def _show(self, seconds: float) -> None:
        if select.select([self.line], [], [], seconds)[0]:
            self.shown += os.read(self.line, 65536)

    def kill(self) -> None:
        """The power is gone."""
        os.kill(self.process, signal.SIGKILL)
        os.waitpid(self.process, 0)
        os.close(self.line)


def test_words_typed_half_a_second_before_the_power_went_are_there_again(sqlite_template: Path, tmp_path: Path) -> None:
    file = copy_file(sqlite_template, tmp_path / "yard.book")
    book = open_book(str(file))
    who = Who("OW", seat="counter")
    terminal = Terminal("--book", str(file), "--seat", "counter")
    try:
        terminal.wait_for(lambda: "ask ▸".encode() in terminal.shown)
        terminal.type("left mirror with [blinker]")
        terminal.stand(PROMISED)
    finally:
        terminal.kill()
    assert [draft.fields["words"] for draft in drafts(book, who)] == ["left mirror with [blinker]"]
    book.close()
