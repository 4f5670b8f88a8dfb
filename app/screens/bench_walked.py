"""The mounts and rails that belong to a form: restored with it, taken from it, and forgotten with it."""

from __future__ import annotations

from app.book.bench.holding import mounts_to_take
from app.book.bench.typed import TypedMount, TypedStation
from app.errors import YardError
from app.fit.frames.queries import Spot
from app.screens.bench_mounts import MountsView, Walk, from_text, measured_ones
from app.screens.bench_rails import RailsView, taken
from app.screens.bench_rails import from_text as stations_from_text
from app.screens.parts.page import Steps


class Walked:
    """What was walked off for one frame; `design` names the frame whose mounts are asked for."""

    def __init__(self, frame: str) -> None:
        self.draft = f"mounts {frame}"
        self.rail_draft = f"rail {frame}"
        self.design = frame
        self.mounts: tuple[TypedMount, ...] = ()
        self.stations: tuple[TypedStation, ...] = ()
        self._view: MountsView | None = None
        self._rails: RailsView | None = None

    @property
    def taken(self) -> tuple[TypedMount, ...]:
        """The mounts of which anything was read."""
        return measured_ones(self._view.mounts if self._view is not None else self.mounts)

    @property
    def words(self) -> str:
        """How many there are, for the form."""
        return f"F4 mounts taken: {len(self.taken)}   F5 places of the rail: {len(self.rail)}"

    @property
    def rail(self) -> tuple[TypedStation, ...]:
        """The places of the rail of which anything was said."""
        return taken(self._rails.stations if self._rails is not None else self.stations)

    def restore(self, page: Steps) -> None:
        """Have back what was typed before."""
        kept = page.house.keeper.restore(page.who, self.draft)
        if kept is not None:
            self.mounts = from_text(str(kept.fields.get("mounts", "")))
        rail = page.house.keeper.restore(page.who, self.rail_draft)
        if rail is not None:
            self.stations = stations_from_text(str(rail.fields.get("stations", "")))

    def open_rail(self, page: Steps) -> None:
        """Take the rail down, place by place."""
        self._rails = RailsView(page.book, page.who, self.rail_draft, self.rail)
        page.app.push_screen(self._rails)

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
        page.house.keeper.drop(page.who, self.rail_draft)
