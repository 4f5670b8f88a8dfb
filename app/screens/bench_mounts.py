"""Mounts taken down in the order a person crawls under a truck: one side front to rear, then the other."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from textual.message import Message
from textual.widget import Widget

from app.book.bench.files import typed_mounts
from app.book.bench.readings import read_length
from app.book.bench.typed import TypedMount
from app.book.work import Book, Who
from app.errors import YardError
from app.fit.frames.queries import Query, Spot, queries
from app.fit.lengths import Tool
from app.fit.terms import Side
from app.screens.parts.form import Blank, Form
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Page
from app.screens.parts.plain import Words, joined, left, lines, right
from app.screens.parts.sheets import FormSheet

AXES = ("x", "y", "z")
TOOLS = tuple(map(str, Tool))
SIDES = (Side.LH, Side.RH)
SAME = "="
"""Typed for a coordinate that reads the same as on the other side."""
BLANKS = (
    Blank("mount", "mount", hint="M1 core support, M2 cowl … in the order you crawl past them"),
    Blank("x", "x rearward", hint="from the datum: 66 1/2, 5' 6-1/2\", 1689 mm; a minus is forward; = as on LH"),
    Blank("y", "y outboard", hint="from the centerline, on its own side"),
    Blank("z", "z up", hint="from the datum height; a minus is below"),
)
DEEDS = (
    Deed("f2", "done", "done", "Back to the survey with these mounts.", urgent=True),
    Deed("f4", "other_side", "other side", "Go on with the first mount of the other side.", urgent=True),
    Deed("f5", "tools", "tools", "What x, y and z are taken with from here on, and the hole's size.", urgent=True),
    Deed("f7", "load", "load file", "Take the mounts of a CSV file.", urgent=True),
    Deed("pageup", "step(-1)", "mount before", "The mount before.", face="PgUp", urgent=True),
    Deed("pagedown", "step(1)", "next mount", "The next mount.", face="PgDn", urgent=True, shown=False),
    Deed("f9", "take_out", "take out", "Take this mount out of the list.", urgent=True, shown=False),
    BACK,
)
SHOWN = 8


class MountsLoaded(Message):
    """The mounts of a file."""

    def __init__(self, mounts: tuple[TypedMount, ...]) -> None:
        super().__init__()
        self.mounts = mounts


@dataclass(frozen=True, slots=True)
class Walk:
    """What a walk starts with: what it is called, the mounts to ask for by name, where the design has them."""

    draft: str
    names: tuple[str, ...] = ()
    design: tuple[Spot, ...] = ()


class MountsView(Page):
    """The walk: one mount at a time, all that was taken below it, and what to read again at once."""

    NAME = "bench · mounts"
    HELP_WORDS = (
        "Enter goes from x to y to z and on to the next mount; F4 goes on with the other side. "
        "What looks misread is asked at once and is kept either way."
    )
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)
    DEFAULT_CSS = """
    MountsView #where { height: 1; }
    MountsView Form { height: 4; }
    MountsView #asked { height: auto; max-height: 4; color: $accent; }
    MountsView #fault { height: auto; max-height: 2; }
    MountsView #taken { height: 1fr; text-wrap: nowrap; }
    """

    def __init__(self, book: Book, who: Who, walk: Walk, mounts: Sequence[TypedMount] = ()) -> None:
        super().__init__(book, who)
        self.walk = walk
        self.mounts = list(mounts) or [TypedMount(name, side) for side in SIDES for name in walk.names]
        if not self.mounts:
            self.mounts = [TypedMount("", Side.LH)]
        self.at = next((n for n, each in enumerate(self.mounts) if not complete(each)), 0)
        self.form = Form(BLANKS, id="mount")
        self._filling = False

    def body(self) -> Iterable[Widget]:
        """Which mount this is, its blanks, what to read again, and what was taken."""
        yield Words(id="where")
        yield self.form
        yield Words(id="fault", classes="fault")
        yield Words(id="asked")
        yield Words(id="taken")

    def on_mount(self) -> None:
        """Start at the first mount that is not complete."""
        self.show_mount()

    def show_mount(self) -> None:
        """Show one mount in the blanks, the cursor where something is wanted."""
        mount = self.mounts[self.at]
        self._filling = True
        self.form.fill({"mount": mount.mount, **{axis: getattr(mount, axis) for axis in AXES}})
        self.call_after_refresh(self._filled)
        wanted = ("mount", *AXES) if not mount.mount else AXES
        start = next((name for name in wanted if not getattr(mount, name).strip()), "x")
        self.form.start(start)
        self.show_rest()

    def _filled(self) -> None:
        self._filling = False

    def show_rest(self) -> None:
        """The line above and all below the blanks."""
        mount = self.mounts[self.at]
        here = [n for n, each in enumerate(self.mounts) if each.side is mount.side]
        where = f"{said_side(mount.side)}, front to rear   {here.index(self.at) + 1} of {len(here)}"
        tools = f"x {_tool(mount, 'x')}, y {_tool(mount, 'y')}, z {_tool(mount, 'z')}"
        self.query_one("#where", Words).say(joined((where, "bold"), f"   {tools}"))
        asked = queries([spot(each) for each in self.mounts], self.walk.design)
        first = sorted(asked, key=lambda each: (each.name, each.side) != (mount.mount, mount.side))
        self.query_one("#asked", Words).say(lines([f"? {each.words}" for each in first[:3]]))
        self.query_one("#taken", Words).say(lines(_taken(self.mounts, self.at, asked)))

    def on_form_typed(self, message: Form.Typed) -> None:
        """Every change is kept."""
        message.stop()
        if not self._filling:
            self._take(message.values)

    def _take(self, values: Mapping[str, str]) -> None:
        read = {axis: values[axis] for axis in AXES}
        mount = changed(self.mounts[self.at], {**read, "mount": values["mount"].strip()})
        if mount != self.mounts[self.at]:
            self.mounts[self.at] = mount
            self.keep()
            self.show_rest()

    def keep(self) -> None:
        """Keep all that was typed; returns at once."""
        self.house.keeper.keep(self.who, self.walk.draft, {"mounts": to_text(self.mounts)})

    def on_form_sent(self, message: Form.Sent) -> None:
        """The mount is done: read it, and on to the next."""
        message.stop()
        self._take({**message.values, **self._same(message.values)})
        if not self.mounts[self.at].mount:
            self.action_other_side()
            return
        error = unreadable(self.mounts[self.at])
        self.query_one("#fault", Words).say(error.in_one_line() if error else "")
        if error is not None:
            self.form.start(error.place.rpartition(", ")[2])
            return
        self._next()

    def _same(self, values: Mapping[str, str]) -> dict[str, str]:
        """`=` as what was read on the other side."""
        mount = self.mounts[self.at]
        other = next((each for each in self.mounts if each.mount == values["mount"] and each.side != mount.side), None)
        alike = [axis for axis in AXES if values[axis].strip() == SAME]
        return {axis: getattr(other, axis) if other else "" for axis in alike}

    def _next(self) -> None:
        """The next mount of this side; after the last one that was named, the other side asks for the same names."""
        side = self.mounts[self.at].side
        if self.at + 1 < len(self.mounts) and self.mounts[self.at + 1].side is side:
            self.at += 1
        elif self.walk.names or side is Side.RH:
            self._next_after_last(side)
        else:
            self.mounts.insert(self.at + 1, self._new("", side))
            self.at += 1
        self.show_mount()

    def _next_after_last(self, side: Side) -> None:
        if side is Side.LH:
            self._other_side()
            return
        missing = next((n for n, each in enumerate(self.mounts) if not complete(each)), None)
        if missing is None:
            self.query_one("#fault", Words).say("all taken: F2 is done, Enter on a name takes one more")
        self.at = self.at if missing is None else missing

    def _new(self, name: str, side: Side) -> TypedMount:
        like = self.mounts[self.at]
        return replace(like, mount=name, side=side, x="", y="", z="", reading=1)

    def _other_side(self) -> None:
        """The first mount of the right side; those that the left has and the right lacks are added to it."""
        self.mounts = [each for each in self.mounts if each.mount or any(getattr(each, axis) for axis in AXES)] or [
            TypedMount("", Side.LH)
        ]
        there = {each.mount for each in self.mounts if each.side is Side.RH}
        lacking = [each for each in self.mounts if each.side is Side.LH and each.mount not in there]
        self.mounts += [replace(each, side=Side.RH, x="", y="", z="") for each in lacking]
        self.at = next((n for n, each in enumerate(self.mounts) if each.side is Side.RH), len(self.mounts) - 1)
        self.keep()

    def action_other_side(self) -> None:
        """To the other side."""
        if self.mounts[self.at].side is Side.RH:
            self.at = 0
        else:
            self.at = min(self.at, len(self.mounts) - 1)
            self._other_side()
        self.show_mount()

    def action_step(self, by: int) -> None:
        """Another mount."""
        self.at = max(0, min(self.at + by, len(self.mounts) - 1))
        self.show_mount()

    def action_take_out(self) -> None:
        """One mount less."""
        if len(self.mounts) > 1:
            del self.mounts[self.at]
            self.at = min(self.at, len(self.mounts) - 1)
            self.keep()
            self.show_mount()

    def action_tools(self) -> None:
        """Ask for the tools, the hole and what bolts on."""
        mount = self.mounts[self.at]
        blanks = [
            *(Blank(f"{axis}_tool", f"{axis} with", value=_tool(mount, axis), choices=TOOLS) for axis in AXES),
            Blank("size", "hole", value=mount.size, hint="diameter, such as 1 1/8"),
            Blank("carries", "carries", value=mount.carries, hint="what bolts on: body, hitch, tank, bumper"),
        ]
        words = "Tools hold from this mount on; hole and what it carries for this one."
        self.app.push_screen(FormSheet("Taken with", blanks, words=words), self._tools)

    def _tools(self, values: Mapping[str, str] | None) -> None:
        if not values:
            return
        tools = {f"{axis}_tool": values[f"{axis}_tool"] for axis in AXES}
        here = self.mounts[self.at]
        self.mounts[self.at] = changed(here, {**tools, "size": values["size"], "carries": values["carries"] or "body"})
        for number in range(self.at + 1, len(self.mounts)):
            if not any(getattr(self.mounts[number], axis).strip() for axis in AXES):
                self.mounts[number] = changed(self.mounts[number], tools)
        self.keep()
        self.show_mount()

    def action_load(self) -> None:
        """Ask for a file."""
        hint = "a CSV file with the columns mount,side,x,y,z,tool"
        self.app.push_screen(FormSheet("Load mounts from", [Blank("file", "file", hint=hint)]), self._load)

    def _load(self, values: Mapping[str, str] | None) -> None:
        if values:
            path = Path(values["file"].strip()).expanduser()
            self.reads("load", lambda: MountsLoaded(typed_mounts(path)))

    def on_mounts_loaded(self, message: MountsLoaded) -> None:
        """They stand in place of what was empty; what was typed is kept."""
        typed = [each for each in self.mounts if any(getattr(each, axis).strip() for axis in AXES)]
        there = {(each.mount, each.side, each.reading) for each in typed}
        self.mounts = typed + [each for each in message.mounts if (each.mount, each.side, each.reading) not in there]
        self.at = max(0, len(self.mounts) - 1)
        self.keep()
        self.show_mount()
        self.tell(f"{len(message.mounts)} mounts loaded")

    def action_done(self) -> None:
        """Back, with what was typed; a length that cannot be read is asked for first."""
        self._take({**self.form.values(), **self._same(self.form.values())})
        for number, mount in enumerate(self.mounts):
            error = unreadable(mount) if mount.mount else None
            if error is not None:
                self.at = number
                self.show_mount()
                self.query_one("#fault", Words).say(error.in_one_line())
                return
        self.dismiss(None)

    def taken(self) -> tuple[TypedMount, ...]:
        """The mounts of which anything was read."""
        return measured_ones(self.mounts)


def changed(mount: TypedMount, values: Mapping[str, Any]) -> TypedMount:
    """The mount with other values."""
    return replace(mount, **values)


def measured_ones(mounts: Iterable[TypedMount]) -> tuple[TypedMount, ...]:
    """The mounts of which anything was read."""
    return tuple(each for each in mounts if each.mount and any(getattr(each, axis).strip() for axis in AXES))


def complete(mount: TypedMount) -> bool:
    """Whether all three coordinates stand."""
    return all(getattr(mount, axis).strip() for axis in AXES)


def said_side(side: Side) -> str:
    """A side in words."""
    return {Side.LH: "left side", Side.RH: "right side"}.get(side, "both sides")


def unreadable(mount: TypedMount) -> YardError | None:
    """What is wrong with a mount's lengths; its place names mount and coordinate."""
    for axis in AXES:
        text = str(getattr(mount, axis))
        if text.strip():
            try:
                read_length(text, Tool(_tool(mount, axis)), f"{mount.label}, {axis}", signed=axis != "y")
            except YardError as error:
                return error
    return None


def spot(mount: TypedMount) -> Spot:
    """A mount as far as it can be read."""
    read = {axis: _mm(mount, axis) for axis in AXES}
    return Spot(mount.mount, mount.side, read["x"], read["y"], read["z"])


def _mm(mount: TypedMount, axis: str) -> float | None:
    text = str(getattr(mount, axis))
    if not text.strip():
        return None
    try:
        return read_length(text, Tool(_tool(mount, axis)), axis, signed=True).mm
    except YardError:
        return None


def _tool(mount: TypedMount, axis: str) -> str:
    return str(getattr(mount, f"{axis}_tool")) or mount.tool


def to_text(mounts: Iterable[TypedMount]) -> str:
    """Mounts as they are kept in a draft."""
    names = ("mount", "side", *AXES, "tool", "x_tool", "y_tool", "z_tool", "kind", "size", "carries", "reading")
    return json.dumps([{name: getattr(each, name) for name in names} for each in mounts])


def from_text(text: str) -> tuple[TypedMount, ...]:
    """Mounts out of a draft."""
    return tuple(TypedMount(**{**each, "side": Side(each["side"])}) for each in json.loads(text or "[]"))


def _taken(mounts: Sequence[TypedMount], at: int, asked: Sequence[Query]) -> list[str]:
    """The mounts about the one at hand; a question mark where one is to be read again."""
    first = max(0, min(at - SHOWN // 2, len(mounts) - SHOWN))
    doubtful = {(each.name, each.side) for each in asked}
    head = f"  {left('taken so far', 26)}{right('x', 14)}{right('y', 14)}{right('z', 14)}"
    rows = [head]
    for number, each in enumerate(mounts[first : first + SHOWN], start=first):
        mark = "›" if number == at else "?" if (each.mount, each.side) in doubtful else " "
        rows.append(f"{mark} {left(each.label, 26)}{right(each.x, 14)}{right(each.y, 14)}{right(each.z, 14)}")
    left_over = len(mounts) - first - SHOWN
    return [*rows, f"  and {left_over} more"] if left_over > 0 else rows
