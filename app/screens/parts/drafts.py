"""Keeping half-filled forms: one thread writes them in the order they were typed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor

from app.book.drafts import DraftRow, draft, drop_draft, keep_draft
from app.book.work import Book, Who
from app.errors import YardError
from app.screens.parts.stumbles import Stumbled

PAUSE = 0.3
"""Seconds without typing after which a form is kept."""


class Keeper:
    """Writes drafts in the background, one after the other; `close` waits for the last one."""

    def __init__(self, book: Book, trouble: Callable[[YardError], None]) -> None:
        self._book = book
        self._trouble = trouble
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="drafts")

    def keep(self, who: Who, form: str, fields: Mapping[str, str]) -> None:
        """Keep what stands in a form now."""
        self._later(keep_draft, self._book, who, form, dict(fields))

    def drop(self, who: Who, form: str) -> None:
        """Forget a form that is done."""
        self._later(drop_draft, self._book, who, form)

    def restore(self, who: Who, form: str) -> DraftRow | None:
        """What was typed into a form and not finished."""
        return self._thread.submit(draft, self._book, who, form).result()

    def close(self) -> None:
        """Wait until everything is written."""
        self._thread.shutdown(wait=True)

    def _later(self, act: Callable[..., None], *given: object) -> None:
        self._thread.submit(act, *given).add_done_callback(self._look_at)

    def _look_at(self, done: Future[None]) -> None:
        error = done.exception()
        if error is not None:
            self._trouble(error if isinstance(error, YardError) else Stumbled(error))
