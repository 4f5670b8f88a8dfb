"""The mounts that belong to a form: restored with it, walked from it, and forgotten with it."""

from __future__ import annotations

from app.book.bench.holding import mounts_to_take
from app.book.bench.typed import TypedMount
from app.errors import YardError
from app.fit.frames.queries import Spot
from app.screens.bench_mounts import MountsView, Walk, from_text, measured_ones
from app.screens.parts.page import Steps


class Walked:
    """What was walked off for one frame; `design` names the frame whose mounts are asked for."""

    def __init__(self, frame: str) -> None:
        self.draft = f"mounts {frame}"
        self.design = frame
        self.mounts: tuple[TypedMount, ...] = ()
        self._view: MountsView | None = None

    @property
    def taken(self) -> tuple[TypedMount, ...]:
        """The mounts of which anything was read."""
        return measured_ones(self._view.mounts if self._view is not None else self.mounts)

    @property
    def words(self) -> str:
        """How many there are, for the form."""
        count = len(self.taken)
        return f"{count} mounts taken, F4 shows them" if count else "F4 takes the mounts down"

    def restore(self, page: Steps) -> None:
        """Have back what was typed before."""
        kept = page.house.keeper.restore(page.who, self.draft)
        if kept is not None:
            self.mounts = from_text(str(kept.fields.get("mounts", "")))

    def open(self, page: Steps) -> None:
        """Walk on where it was left."""
        names, like = self._asked(page)
        walk = Walk(self.draft, names, like)
        self._view = MountsView(page.book, page.who, walk, self._view.mounts if self._view else self.mounts)
        page.app.push_screen(self._view)

    def _asked(self, page: Steps) -> tuple[tuple[str, ...], tuple[Spot, ...]]:
        try:
            mounts = mounts_to_take(page.book, self.design)
        except YardError:
            # A frame that is not in the book yet has no mounts to ask for by name.
            return (), ()
        names = tuple(dict.fromkeys(each.name for each in mounts))
        return names, tuple(Spot(each.name, each.side, each.x_mm, each.y_mm, each.z_mm) for each in mounts)

    def forget(self, page: Steps) -> None:
        """The form is done."""
        page.house.keeper.drop(page.who, self.draft)
