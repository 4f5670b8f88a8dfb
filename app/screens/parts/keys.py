"""One registry for a command: its key, its word in the key line, its sentence in the help and the palette."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from textual.app import App
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.screen import ModalScreen
from textual.widget import Widget
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
GAP, NARROW_GAP = 3, 2
"""Blanks between two keys, and on a handheld."""
TALL = 2
"""Lines that the keys may take where the screen is not low."""
HELP = ("F1", "help")

NAMES = {
    "escape": "Esc",
    "enter": "Enter",
    "tab": "Tab",
    "slash": "/",
    "question_mark": "?",
    "space": "Space",
    "down": "↓",
    "up": "↑",
    "delete": "Del",
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
    """Key and word of every deed that would act now: those always shown, those shown where there is room, the house's.

    Each in the order in which the screen names its deeds.
    """
    screen = app.screen
    deeds: Sequence[Deed] = getattr(screen, "DEEDS", ())
    order = {deed.word: (not deed.shown, place) for place, deed in enumerate(deeds)}
    seen: dict[str, tuple[str, str]] = {}
    for active in screen.active_bindings.values():
        binding = active.binding
        known = binding.show or (active.node is screen and binding.description in order)
        if known and active.enabled and binding.description not in seen:
            seen[binding.description] = (binding.key_display or written(binding.key), binding.description)
    more = [("↓", "more")] if isinstance(screen, ReadsOn) and screen.more_below() else []
    # What a screen does not name is the house's, and stands last.
    return more + sorted(seen.values(), key=lambda pair: order.get(pair[1], (True, len(order))))


class ReadsOn:
    """A screen whose words may be longer than it is: its key line says so while there is more below."""

    _read: Widget | None = None

    def reads_on(self, scroll: Widget) -> None:
        """Follow where a scrolling part of the screen stands."""
        self._read = scroll

        def moved() -> None:
            scroll.call_after_refresh(scroll.screen.refresh_bindings)

        for name in ("scroll_y", "virtual_size"):
            scroll.watch(scroll, name, moved)

    def read_on(self, key: str) -> bool:
        """Move by an arrow or a page; False for other keys."""
        moves = {"down": "scroll_down", "up": "scroll_up", "pagedown": "scroll_page_down", "pageup": "scroll_page_up"}
        if self._read is None or key not in moves:
            return False
        getattr(self._read, moves[key])(animate=False)
        return True

    def from_its_top(self) -> None:
        """Other words stand there now."""
        if self._read is not None:
            self._read.scroll_home(animate=False)

    def more_below(self) -> bool:
        """True while something stands below what is seen."""
        return self._read is not None and self._read.scroll_offset.y < self._read.max_scroll_y


def fitting(pairs: Sequence[tuple[str, str]], width: int, gap: int, most: int = 1) -> list[list[tuple[str, str]]]:
    """As many keys as so many lines of that width take; the last one, which opens the help, always stays."""
    if not pairs:
        return []
    *others, last = pairs
    lines: list[list[tuple[str, str]]] = [[]]
    for pair in others:
        if _wide([*lines[-1], pair], gap) <= width - (_long(last) + gap if len(lines) == most else 0):
            lines[-1].append(pair)
        elif len(lines) < most:
            lines.append([pair])
        else:
            break
    if lines[-1] and _wide([*lines[-1], last], gap) > width:
        lines.append([])
    lines[-1].append(last)
    return lines


def _wide(pairs: Sequence[tuple[str, str]], gap: int) -> int:
    return sum(_long(pair) for pair in pairs) + gap * (len(pairs) - 1)


def _long(pair: tuple[str, str]) -> int:
    return len(pair[0]) + 1 + len(pair[1])


class KeyLine(Static):
    """The last line of a screen, or its last two: the keys that act now."""

    TWO = "-two-keys"
    """A screen of this class has two lines of keys, whatever acts just now, so that nothing above them jumps."""

    def on_mount(self) -> None:
        """Follow the focus and whatever else changes which keys act."""
        self.screen.bindings_updated_signal.subscribe(self, lambda _: self.show_keys())
        self.call_after_refresh(self.show_keys)

    def on_resize(self) -> None:
        """A narrow screen shows fewer keys."""
        self.screen.set_class(self._most() == TALL, self.TWO)
        self.show_keys()

    def _most(self) -> int:
        """Lines of keys: a low screen has one; a higher one, and any sheet, two where the deeds need them."""
        deeds: Sequence[Deed] = getattr(self.screen, "DEEDS", ())
        every = [(deed.written, deed.word) for deed in deeds]
        gap = NARROW_GAP if self.size.width < NARROW else GAP
        needed = len(fitting([*every, HELP], self.size.width, gap, TALL))
        room = self.app.size.height >= LOW or isinstance(self.screen, ModalScreen)
        return needed if room else 1

    def show_keys(self) -> None:
        """Write the keys out."""
        if self.app.screen is not self.screen:
            return
        width = self.size.width
        gap = NARROW_GAP if width < NARROW else GAP
        rows = []
        for line in fitting(acting(self.app), width, gap, self._most()):
            parts: list[str | Content | tuple[str, str]] = []
            for key, word in line:
                parts += [(f"{key} ", "bold $accent"), word + " " * gap]
            rows.append(Content.assemble(*parts))
        self.update(Content("\n").join(rows))
