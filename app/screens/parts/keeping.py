"""Keeps what is typed in a form: one write at a time, the newest always last, never in the way of typing."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from typing import Any

from textual.app import App

from app.book.drafts import drop_draft, keep_draft
from app.book.work import Book, Who
from app.errors import YardError


class DraftKeeper:
    """The draft of one form at one seat."""

    def __init__(self, app: App[Any], book: Book, who: Who, form: str) -> None:
        self.form = form
        self._app, self._book, self._who = app, book, who
        self._waiting: Mapping[str, Any] | None = None
        self._over = False
        self._state = threading.Lock()
        self._writing = threading.Lock()

    def keep(self, fields: Mapping[str, Any]) -> None:
        """Keep this state of the form; returns at once."""
        with self._state:
            if self._over:
                return
            under_way, self._waiting = self._waiting is not None, dict(fields)
        if not under_way:
            self._app.run_worker(self._write, thread=True, group="drafts", name=f"draft of {self.form}")

    def finish(self) -> None:
        """Forget the draft: its form was finished. Call it in a worker; nothing is kept after it."""
        with self._state:
            self._over, self._waiting = True, None
        with self._writing:
            drop_draft(self._book, self._who, self.form)

    def _write(self) -> None:
        with self._writing:
            with self._state:
                fields, self._waiting = self._waiting, None
            if fields is None:
                return
            try:
                keep_draft(self._book, self._who, self.form, fields)
            except YardError as trouble:
                self._app.notify(trouble.in_one_line(), title="not kept yet", severity="warning", markup=False)
