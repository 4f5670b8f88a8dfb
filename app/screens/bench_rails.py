"""The rail taken down place by place, front to rear: where, outer face, sizes, top and bottom, what sits on it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, replace
from typing import Any

from textual.widget import Widget

from app.book.bench.typed import TypedStation, station_rows
from app.book.work import Book, Who
from app.errors import YardError
from app.fit.terms import Section, Side
from app.screens.parts.form import Blank, Form
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Page
from app.screens.parts.plain import Words, left, lines, right

SIZES = ("x", "face", "height", "width", "wall", "top", "bottom")
BLANKS = (
    Blank("station", "place", hint="nose, at M3, spring hanger …"),
    Blank("x", "x rearward", hint="from the datum"),
    Blank("face", "outer face", hint="from the centerline"),
    Blank("height", "height", hint="empty: not taken here"),
    Blank("width", "width"),
    Blank("wall", "wall", hint="by caliper at a hole"),
    Blank("top", "top", hint="up from the datum"),
    Blank("bottom", "bottom", hint="up from the datum; a minus is below"),
    Blank("section", "section", choices=tuple(map(str, Section)), hint="only where it differs from the frame's"),
    Blank("fitted", "fitted", hint="what sits there and ends a sleeve: spring hanger, crossmember; empty: nothing"),
)
DEEDS = (
    Deed("f2", "done", "done", "Back to the form with these places.", urgent=True),
    Deed("pageup", "step(-1)", "place before", "The place before.", face="PgUp", urgent=True),
    Deed("pagedown", "step(1)", "next place", "The next place.", face="PgDn", urgent=True, shown=False),
    Deed("f9", "take_out", "take out", "Take this place out of the list.", urgent=True),
    BACK,
)


class RailsView(Page):
    """One place of the rail at a time, all that was taken below it."""

    NAME = "bench · rail"
    HELP_WORDS = "Enter goes from blank to blank and on to the next place; both rails are taken alike."
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)
    DEFAULT_CSS = """
    RailsView Form { height: 10; }
    RailsView #fault { height: auto; max-height: 2; }
    RailsView #taken { height: 1fr; text-wrap: nowrap; }
    """

    def __init__(self, book: Book, who: Who, draft: str, stations: Sequence[TypedStation] = ()) -> None:
        super().__init__(book, who)
        self.draft = draft
        self.stations = [*stations, TypedStation("", "")]
        self.at = len(self.stations) - 1
        self.form = Form(BLANKS, id="rail")
        self._filling = False

    def body(self) -> Iterable[Widget]:
        """The blanks, what is wrong, and the places that were taken."""
        yield self.form
        yield Words(id="fault", classes="fault")
        yield Words(id="taken")

    def on_mount(self) -> None:
        """Start at a new place."""
        self.show_station()

    def show_station(self) -> None:
        """Show one place in the blanks."""
        here = self.stations[self.at]
        self._filling = True
        self.form.fill({blank.name: str(getattr(here, blank.name) or "") for blank in BLANKS})
        self.call_after_refresh(self._filled)
        self.form.start("station" if not here.station else "x")
        self.show_taken()

    def _filled(self) -> None:
        self._filling = False

    def show_taken(self) -> None:
        """The places below."""
        head = f"  {left('taken so far', 14)}" + "".join(right(name, 8) for name in SIZES)
        rows = [head]
        for number, each in enumerate(self.stations):
            mark = "›" if number == self.at else " "
            sizes = "".join(right(getattr(each, name), 8) for name in SIZES)
            rows.append(f"{mark} {left(each.station, 14)}{sizes}")
        self.query_one("#taken", Words).say(lines(rows))

    def on_form_typed(self, message: Form.Typed) -> None:
        """Every change is kept."""
        message.stop()
        if not self._filling:
            self._take(message.values)

    def _take(self, values: Mapping[str, str]) -> None:
        typed: dict[str, Any] = {name: value.strip() for name, value in values.items()}
        typed["section"] = Section(typed["section"]) if typed["section"] in set(Section) else None
        changed = replace(self.stations[self.at], **typed)
        if changed != self.stations[self.at]:
            self.stations[self.at] = changed
            self.house.keeper.keep(self.who, self.draft, {"stations": to_text(taken(self.stations))})
            self.show_taken()

    def on_form_sent(self, message: Form.Sent) -> None:
        """The place is done: read it, and on to the next."""
        message.stop()
        self._take(message.values)
        if self._readable():
            if self.at + 1 == len(self.stations):
                self.stations.append(TypedStation("", ""))
            self.action_step(1)

    def _readable(self) -> bool:
        """Whether the place can be read; what cannot is said with the cursor there."""
        try:
            station_rows(taken([self.stations[self.at]]))
        except YardError as error:
            self.query_one("#fault", Words).say(error.in_one_line())
            self.form.start(error.place.rpartition(", ")[2])
            return False
        self.query_one("#fault", Words).say("")
        return True

    def action_step(self, by: int) -> None:
        """Another place."""
        self.at = max(0, min(self.at + by, len(self.stations) - 1))
        self.show_station()

    def action_take_out(self) -> None:
        """One place less."""
        del self.stations[self.at]
        self.stations = self.stations or [TypedStation("", "")]
        self.action_step(0)

    def action_done(self) -> None:
        """Back; what cannot be read is asked for first."""
        self._take(self.form.values())
        for number in range(len(self.stations)):
            self.at = number
            if not self._readable():
                self.show_taken()
                return
        self.dismiss(None)


def taken(stations: Iterable[TypedStation]) -> tuple[TypedStation, ...]:
    """The places of which anything was said."""
    return tuple(each for each in stations if each.station or any(getattr(each, name) for name in SIZES))


def to_text(stations: Iterable[TypedStation]) -> str:
    """Places as they are kept in a draft."""
    names = [each.name for each in fields(TypedStation)]
    return json.dumps([{name: getattr(each, name) for name in names} for each in stations])


def from_text(text: str) -> tuple[TypedStation, ...]:
    """Places out of a draft."""
    return tuple(_station(each) for each in json.loads(text or "[]"))


def _station(kept: dict[str, Any]) -> TypedStation:
    section = Section(kept["section"]) if kept["section"] else None
    return TypedStation(**{**kept, "side": Side(kept["side"]), "section": section})
