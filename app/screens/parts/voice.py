"""How the program tells a person something: on the last line, as a toast, or on a sheet to be read."""

from __future__ import annotations

from app.errors import BadInput, NotFound, YardError
from app.screens.parts.house import House, Told
from app.screens.parts.seat import LastLine
from app.screens.parts.sheets import Notice
from app.screens.parts.working import Working


class Voice(House, Working):
    """The program with a voice, and with work beside its screens."""

    def tell(self, words: str, *, can_take_back: bool = False) -> None:
        """Say in one line what was done and whether it can be taken back."""
        self.told = Told(words, can_take_back)
        for screen in self.screen_stack:
            for line in screen.query(LastLine):
                line.show_told()

    def trouble(self, error: YardError) -> None:
        """Tell of a failure: a toast for what can be mended now, a sheet for what must be read."""
        if isinstance(error, BadInput | NotFound) or error.kind in ("paper", "doubtful"):
            self.notify(error.in_one_line(), severity="error", markup=False, timeout=8)
        else:
            # A toast would lie over the words that must be read.
            self.clear_notifications()
            self.push_screen(Notice(error.title, error.remedy))
