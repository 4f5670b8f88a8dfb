"""One registry for a command: its key, its word in the key line, its sentence in the help and the palette."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from textual.app import App
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static


@dataclass(frozen=True, slots=True)
class Deed:
    """Something a person can do at a screen.

    `key` is the key as Textual names it, or digits such as "1-9", whose digit is given to the action;
    `action` is the screen's `action_…` method, `word` what the key line says, `sentence` what help and palette
    say. `face` is how the key is written, if otherwise; a deed that is not `shown` stands in the help alone;
    an `urgent` one works even while a text box has the focus.
    """

    key: str
    action: str
    word: str
    sentence: str
    face: str = ""
    shown: bool = True
    urgent: bool = False

    @property
    def can_be_found(self) -> bool:
        """True for what can be done by its words alone, without a digit or a place on the screen."""
        return "-" not in self.key and self.action != "none"

    @property
    def written(self) -> str:
        """The key as it is written on the screen."""
        return self.face or written(self.key)


NARROW = 60
"""Columns under which a screen is a handheld's."""
LOW = 20
"""Rows under which a screen does without blank lines."""

NAMES = {
    "escape": "Esc",
    "enter": "Enter",
    "tab": "Tab",
    "slash": "/",
    "question_mark": "?",
    "space": "Space",
    "down": "↓",
    "up": "↑",
}


def written(key: str) -> str:
    """A key as people write it."""
    first = key.split(",", maxsplit=1)[0]
    if "-" in first:
        return first
    return NAMES.get(first, first.upper() if len(first) > 1 else first)


def keyed(deeds: Iterable[Deed]) -> list[BindingType]:
    """The bindings of a screen's deeds, for its `BINDINGS`."""
    return [
        Binding(
            key,
            action,
            deed.word,
            show=deed.shown,
            key_display=deed.written,
            tooltip=deed.sentence,
            priority=deed.urgent,
        )
        for deed in deeds
        for key, action in _keys(deed)
    ]


def _keys(deed: Deed) -> list[tuple[str, str]]:
    first, dash, last = deed.key.partition("-")
    if not (dash and first.isdigit() and last.isdigit()):
        return [(deed.key, deed.action)]
    return [(str(digit), f"{deed.action}({digit})") for digit in range(int(first), int(last) + 1)]


def acting(app: App[None]) -> list[tuple[str, str]]:
    """Key and word of every shown deed that would act now, in the order the screen names its deeds."""
    screen = app.screen
    order = {deed.word: place for place, deed in enumerate(getattr(screen, "DEEDS", ()))}
    seen: dict[str, tuple[str, str]] = {}
    for active in screen.active_bindings.values():
        binding = active.binding
        if binding.show and active.enabled and binding.description not in seen:
            seen[binding.description] = (binding.key_display or written(binding.key), binding.description)
    # What a screen does not name is the house's, and stands last.
    return sorted(seen.values(), key=lambda pair: order.get(pair[1], len(order)))


def fitting(pairs: Sequence[tuple[str, str]], width: int, gap: int) -> list[tuple[str, str]]:
    """As many keys as a line of that width takes; the last one, which opens the help, always stays."""
    if not pairs:
        return []
    *others, last = pairs
    room = width - _long(last)
    kept = []
    for pair in others:
        room -= _long(pair) + gap
        if room < 0:
            break
        kept.append(pair)
    return [*kept, last]


def _long(pair: tuple[str, str]) -> int:
    return len(pair[0]) + 1 + len(pair[1])


class KeyLine(Static):
    """The last line of a screen: the keys that act now."""

    def on_mount(self) -> None:
        """Follow the focus and whatever else changes which keys act."""
        self.screen.bindings_updated_signal.subscribe(self, lambda _: self.show_keys())
        self.call_after_refresh(self.show_keys)

    def on_resize(self) -> None:
        """A narrow screen shows fewer keys."""
        self.show_keys()

    def show_keys(self) -> None:
        """Write the keys out."""
        if self.app.screen is not self.screen:
            return
        parts: list[str | Content | tuple[str, str]] = []
        width = self.size.width
        gap = 2 if width < NARROW else 3
        for key, word in fitting(acting(self.app), width, gap):
            parts += [(f"{key} ", "bold $accent"), word + " " * gap]
        self.update(Content.assemble(*parts))
