"""Work beside the screen: a thread calls the book and its answer comes back as one typed message."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual.dom import DOMNode
from textual.message import Message
from textual.worker import Worker, WorkerState

from app.errors import YardError
from app.screens.parts.house import house
from app.screens.parts.stumbles import Stumbled

Job = Callable[[], Message]


class Failed(Message):
    """Work that the book refused or that could not be done, with the topic it was started under."""

    def __init__(self, topic: str, error: YardError) -> None:
        super().__init__()
        self.topic = topic
        self.error = error


class Working(DOMNode):
    """A screen or app that gives work to threads; it stands after the Textual class among the bases.

    Reads drop what was asked before under the same topic. Writes are never dropped or started twice:
    while one runs, its topic is in `busy` and `check_action` should refuse what starts it.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.busy: set[str] = set()

    def reads(self, topic: str, job: Job) -> None:
        """Look something up; an older look-up of the topic is forgotten."""
        self._start(topic, job, exclusive=True)

    def writes(self, topic: str, job: Job) -> bool:
        """Do something once; False when the same is already being done."""
        if topic in self.busy:
            return False
        self.busy.add(topic)
        self._bindings_changed()
        self._start(topic, job, exclusive=False)
        return True

    def _start(self, topic: str, job: Job, *, exclusive: bool) -> None:
        self.run_worker(job, name=topic, group=topic, exclusive=exclusive, exit_on_error=False, thread=True)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Turn the end of a worker into its message, or into `Failed`."""
        event.stop()
        worker = event.worker
        if event.state not in (WorkerState.SUCCESS, WorkerState.ERROR, WorkerState.CANCELLED):
            return
        self.busy.discard(worker.name)
        self._bindings_changed()
        if event.state is WorkerState.SUCCESS and isinstance(worker.result, Message):
            self.post_message(worker.result)
        elif event.state is WorkerState.ERROR:
            error = worker.error
            self.post_message(Failed(worker.name, error if isinstance(error, YardError) else Stumbled(error)))

    def _bindings_changed(self) -> None:
        if self.app.is_running and self.app.screen_stack:
            self.app.screen.refresh_bindings()

    def on_failed(self, message: Failed) -> None:
        """Give the failure to `failed`."""
        message.stop()
        self.failed(message.topic, message.error)

    def failed(self, topic: str, error: YardError) -> None:  # noqa: ARG002 (overriders look at the topic)
        """What to do about a failure; by default the person is told."""
        house(self).trouble(error)
