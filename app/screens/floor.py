"""The floor: scan anything, one big line to read, one thing to do next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from textual import events, on
from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input

from app.book.facts import Seen
from app.book.finding import part, parts_in
from app.book.looking import ToLookAt, look_again, to_look_at
from app.book.parts import PartRow
from app.book.places import PlaceRow, in_hand, offer_place, place_named, take_up
from app.book.scanning import Scan, Scanned
from app.book.schema import Whereabouts
from app.book.wanting import WantRow, callers
from app.book.work import Book, Who
from app.errors import YardError
from app.screens.floor_harvest import Harvested, HarvestScreen
from app.screens.floor_look import look_sheet, seen_anew
from app.screens.floor_view import hand_rows, part_rows, place_rows
from app.screens.parts.form import Blank
from app.screens.parts.keys import NARROW, Deed, ReadsOn, keyed
from app.screens.parts.plain import Words, lines
from app.screens.parts.seat import Seat
from app.screens.parts.sheets import Choice, ScanSheet, Sure

REASONS = ("smeared", "lost", "torn")

DEEDS = (
    Deed("l", "label", "label", "Send its label to the printer again, with the reason: smeared, lost, torn."),
    Deed("t", "take_up", "take up", "Take the part out of its place into the hand."),
    Deed("c", "check", "check", "Check the part again: write down what is seen, measured or tested on it now."),
    Deed("i", "in_hand", "hands", "What was tagged or taken up and is not put away yet."),
    Deed("u", "take_back", "take back", "Take the last move back."),
    Deed("f", "save_label", "label file", "Save its label as PDF and PNG, when no printer is near."),
    Deed("g", "last_good", "last good", "Say which label came out right last; those after it are sent again."),
    Deed("q,escape", "back", "back", "Back: first to “scan anything”, then to the seats."),
)
BY_LETTER = {deed.key.split(",")[0]: deed.action for deed in DEEDS}


class ScanBox(Input):
    """Where a scan or a typed tag goes. While it is empty, small letters are keys; tags are in capitals."""

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Leave the letters to the floor's keys while nothing is typed."""
        if not self.value and key in BY_LETTER:
            return False
        return super().check_consume_key(key, character)

    async def _on_key(self, event: events.Key) -> None:
        if not self.value and event.key in BY_LETTER:
            event.stop()
            event.prevent_default()
            node = self.app if BY_LETTER[event.key] == "take_back" else self.screen
            await node.run_action(BY_LETTER[event.key])


class PartSeen(Message):
    """A part was scanned: what it is and where it should go."""

    def __init__(self, row: PartRow, offered: str) -> None:
        super().__init__()
        self.row = row
        self.offered = offered


class Called(Message):
    """Who is to be called about a part was looked up."""

    def __init__(self, tag: str, wanted: tuple[WantRow, ...]) -> None:
        super().__init__()
        self.tag = tag
        self.wanted = wanted


class Facts(Message):
    """What is looked at on a part was looked up."""

    def __init__(self, tag: str, rows: tuple[ToLookAt, ...]) -> None:
        super().__init__()
        self.tag = tag
        self.rows = rows


class PlaceSeen(Message):
    """A place was scanned: what stands there."""

    def __init__(self, row: PlaceRow, parts: tuple[PartRow, ...]) -> None:
        super().__init__()
        self.row = row
        self.parts = parts


class HandsSeen(Message):
    """What is in this person's hands."""

    def __init__(self, parts: tuple[tuple[PartRow, str], ...]) -> None:
        super().__init__()
        self.parts = parts


class Done(Message):
    """Something was done."""

    def __init__(self, words: str, tag: str = "") -> None:
        super().__init__()
        self.words = words
        self.tag = tag


class ToSendAgain(Message):
    """Labels sent after the last good one."""

    def __init__(self, good: str, tags: tuple[str, ...]) -> None:
        super().__init__()
        self.good = good
        self.tags = tags


class FloorSeat(Seat, ReadsOn):
    """The floor's screen."""

    NAME = "floor"
    HELP_WORDS = (
        "Scan a part, then its place. Scan a place to see what stands there, a vehicle to harvest from it. "
        "While the line is empty small letters are keys; type tags and places in capitals. Arrows read on."
    )
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)
    AUTO_FOCUS = "#scan"
    CSS = """
    #shown { height: 1fr; }
    #scan-line { height: 1; margin: 1 0; }
    #scan-line Words { width: auto; color: $accent; text-style: bold; }
    """

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self.tag = ""
        self.showing = ""
        self.seen: PartSeen | None = None

    def body(self) -> Iterable[Widget]:
        """What was scanned, and the line for the next scan."""
        yield VerticalScroll(Words(id="big"), id="shown", can_focus=False)
        yield Horizontal(Words(id="prompt"), ScanBox(id="scan", compact=True), id="scan-line")

    def on_mount(self) -> None:
        """Ready for anything."""
        self.reads_on(self.query_one("#shown"))
        self._nothing()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys about a part need a part."""
        del parameters
        return not (action in ("take_up", "check", "label", "save_label") and not self.tag)

    def _nothing(self) -> None:
        self.tag, self.showing = "", ""
        self.query_one("#big", Words).say(lines(["Part, place or vehicle.", "", "A part and then a place moves it."]))
        self._prompt("scan anything ▸ ")

    def _prompt(self, words: str) -> None:
        self.query_one("#prompt", Words).say(words)
        self.refresh_bindings()

    @property
    def width(self) -> int:
        """Columns for text."""
        return max(self.size.width - 2, 20)

    def on_key(self, event: events.Key) -> None:
        """What was scanned may be longer than the screen."""
        self.read_on(event.key)

    # scans

    @on(Input.Submitted, "#scan")
    def _entered(self, event: Input.Submitted) -> None:
        typed = event.value.strip()
        event.input.value = ""
        if typed:
            self.house.take_scan(typed)

    def scanned(self, found: Scan) -> bool:
        """A part is shown, a place too unless it is where a part goes, a vehicle is harvested from."""
        if found.kind is Scanned.PART:
            self._look_at(found.name)
            return False
        if found.kind is Scanned.PLACE and not self.house.waiting_part():
            self.reads("look", lambda: PlaceSeen(place_named(self.book, found.name), parts_in(self.book, found.name)))
            return True
        if found.kind is Scanned.VEHICLE:
            self.app.push_screen(HarvestScreen(self.book, self.who, found.name))
            return True
        return False

    def _look_at(self, tag: str) -> None:
        self.reads("look", lambda: PartSeen(part(self.book, tag), offer_place(self.book, tag)))

    def on_part_seen(self, message: PartSeen) -> None:
        """The tag large, its side, its name, where it goes; whom to call about it follows."""
        self.tag, self.showing, self.seen = message.row.tag, message.row.tag, message
        self.query_one("#big", Words).say(part_rows(message.row, message.offered, self.width))
        self.from_its_top()
        self._prompt("its new place ▸ " if message.row.place else "scan the place ▸ ")
        tag = message.row.tag
        self.reads("callers", lambda: Called(tag, callers(self.book, tag)))

    def on_called(self, message: Called) -> None:
        """Somebody waits for the part that is shown."""
        if self.seen is not None and self.tag == message.tag and message.wanted:
            calls = [row.call for row in message.wanted]
            self.query_one("#big", Words).say(part_rows(self.seen.row, self.seen.offered, self.width, calls))

    def on_place_seen(self, message: PlaceSeen) -> None:
        """What stands there."""
        self.tag, self.showing = "", message.row.code
        self.query_one("#big", Words).say(place_rows(message.row, message.parts, self.width))
        self.from_its_top()
        self._prompt("scan anything ▸ ")

    def stock_changed(self) -> None:
        """A part was moved: show it where it is now."""
        if self.tag:
            self._look_at(self.tag)

    def on_harvested(self, message: Harvested) -> None:
        """A new tag: send its label, show the part, and wait for its place."""
        row = message.row
        self._look_at(row.tag)
        if row.whereabouts is Whereabouts.ON_VEHICLE:
            self.tell(f"{row.tag} listed, still on {row.donor}")
            return
        self.house.take_in_mind(row.tag)
        self.tell(f"{row.tag} made: paint the number on the part")
        self.writes("print", lambda: self._print(row.tag, ""))

    # keys

    def action_back(self) -> None:
        """Clear the screen; from the clear screen to the seats."""
        box = self.query_one("#scan", Input)
        if box.value:
            box.value = ""
        elif self.showing:
            # A place that is scanned now is only looked at: no part waits for it any more.
            self.house.take_in_mind("")
            self.tell("")
            self._nothing()
        else:
            self.app.pop_screen()

    def action_in_hand(self) -> None:
        """What is in my hands."""
        self.reads("look", self._in_hand)

    def _in_hand(self) -> HandsSeen:
        tags = in_hand(self.book, self.who)
        return HandsSeen(tuple((part(self.book, tag), offer_place(self.book, tag)) for tag in tags))

    def on_hands_seen(self, message: HandsSeen) -> None:
        """List it with the places to go to."""
        self.tag, self.showing = "", "hands"
        self.query_one("#big", Words).say(hand_rows(message.parts, self.width))
        self.from_its_top()
        self._prompt("scan anything ▸ ")

    def action_take_up(self) -> None:
        """Take the part into the hand."""
        tag = self.tag
        self.writes("take up", lambda: Done(take_up(self.book, self.who, tag), tag))

    def action_check(self) -> None:
        """Look up what is looked at on the part, to look at it again."""
        tag = self.tag
        self.reads("to look at", lambda: Facts(tag, to_look_at(self.book, tag)))

    def on_facts(self, message: Facts) -> None:
        """Ask what it is now."""
        tag, rows = message.tag, message.rows
        if not rows:
            self.tell(f"{tag}: there is nothing that the yard looks at on such a part")
            return

        def filled(values: Mapping[str, str] | None) -> None:
            if values is not None:
                self.writes("look again", lambda: self._looked(tag, seen_anew(values, rows)))

        self.app.push_screen(look_sheet(tag, rows), filled)

    def _looked(self, tag: str, seen: Mapping[str, Seen]) -> Done:
        row = look_again(self.book, self.who, tag, seen)
        return Done(f"{row.tag} checked, it is {row.standing}", row.tag)

    def on_done(self, message: Done) -> None:
        """Say it."""
        self.tell(message.words)
        if message.tag:
            self._look_at(message.tag)

    def action_label(self) -> None:
        """Print the label again, saying why."""
        tag = self.tag

        def picked(index: int | None) -> None:
            if index is not None:
                self.writes("print", lambda: self._print(tag, REASONS[index]))

        self.app.push_screen(Choice(f"Label {tag} again, because it is", REASONS), picked)

    def _print(self, tag: str, reason: str) -> Done:
        from app.book.papers import part_paper, print_paper

        return Done(print_paper(self.book, self.who, part_paper(self.book, tag), reason=reason).words)

    def failed(self, topic: str, error: YardError) -> None:
        """A label that could not be sent can be saved as a file."""
        if topic == "print":
            # What is to be done next stays in sight: the reason is read where there is room for it.
            reason = "" if self.size.width < NARROW else f": {error.title}"
            self.tell(f"label not sent, f saves a file{reason}")
        else:
            super().failed(topic, error)

    def action_save_label(self) -> None:
        """Save the label as files."""
        tag = self.tag
        self.writes("save", lambda: self._save(tag))

    def _save(self, tag: str) -> Done:
        from app.book.papers import draw_paper, part_paper

        paper = part_paper(self.book, tag)
        saved = [draw_paper(self.book, paper, Path.home() / f"label-{tag}.{suffix}") for suffix in ("pdf", "png")]
        return Done(f"label saved as {saved[0]} and .png")

    def action_last_good(self) -> None:
        """Which label came out right last?"""
        blank = Blank("tag", "tag", hint="scan the last label that is good")
        self.app.push_screen(ScanSheet("Last good label", [blank]), self._good)

    def _good(self, values: Mapping[str, str] | None) -> None:
        tag = (values or {}).get("tag", "").strip().upper()
        if tag:
            self.writes("good", lambda: self._came_out(tag))

    def _came_out(self, tag: str) -> ToSendAgain:
        from app.book.papers import came_out_right

        return ToSendAgain(tag, came_out_right(self.book, self.who, tag))

    def on_to_send_again(self, message: ToSendAgain) -> None:
        """Send the ones after it again."""
        tags = message.tags
        self.tell(f"{message.good} came out right")
        if not tags:
            return

        def answered(yes: bool | None) -> None:
            if yes:
                self.writes("print", lambda: self._print_all(tags))

        self.app.push_screen(Sure(f"Send {len(tags)} labels again?", ", ".join(tags)), answered)

    def _print_all(self, tags: tuple[str, ...]) -> Done:
        for tag in tags:
            self._print(tag, "after the last good label")
        return Done(f"{len(tags)} labels sent to the printer again")
