"""The owner's lists: people, places with their signs, settings."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping

from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import OptionList

from app.book.office import SettingRow, change_setting, settings
from app.book.papers import place_paper
from app.book.people import PersonRow, people, sign_on
from app.book.places import PlaceRow, add_place, places
from app.book.schema import PlaceKind, Role
from app.book.work import Book, Who
from app.errors import BadInput, YardError
from app.screens.intake_typed import number, whole
from app.screens.parts.board import column, folded
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Page
from app.screens.parts.papers import send_paper
from app.screens.parts.plain import Words, joined, left, right
from app.screens.parts.rows import Rows
from app.screens.parts.sheets import FormSheet

Values = Mapping[str, str]


class Listed(Message):
    """The rows of a list, as text beside what each stands for."""

    def __init__(self, rows: list[tuple[str, Content]]) -> None:
        super().__init__()
        self.rows = rows


class Changed(Message):
    """Something in the list was changed."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words


class ListView(Page):
    """A list of the book with what can be done to it."""

    HEADING = ""
    DEFAULT_CSS = "ListView Rows { height: 1fr; }"

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self.names: list[str] = []

    def body(self) -> Iterable[Widget]:
        """What the columns are, then the list."""
        heading = Words(self.HEADING, classes="quiet")
        heading.display = not self.fold
        yield heading
        yield Rows(id="list")

    def refold(self) -> None:
        """Show it again."""
        self.query_one(".quiet").display = not self.fold
        self.on_screen_resume()

    def rows(self) -> list[tuple[str, Content]]:
        """Read the list; called in a thread."""
        raise NotImplementedError

    def on_screen_resume(self) -> None:
        """Read it again."""
        self.reads("list", lambda: Listed(self.rows()))

    def on_listed(self, message: Listed) -> None:
        """Show it."""
        self.names = [name for name, _ in message.rows]
        self.query_one(Rows).show_rows([text for _, text in message.rows])
        self.query_one(Rows).focus()

    @property
    def here(self) -> str:
        """What the line under the cursor stands for."""
        index = self.query_one(Rows).highlighted
        return self.names[index] if index is not None and index < len(self.names) else ""

    def change(self, topic: str, job: Callable[[], str]) -> None:
        """Change something and read the list again."""
        self.writes(topic, lambda: Changed(job()))

    def on_changed(self, message: Changed) -> None:
        """Say so."""
        self.tell(message.words)
        self.on_screen_resume()


PEOPLE_DEEDS = (Deed("n", "sign_on", "sign on", "Write a person into the book, or change one's role."), BACK)


class PeopleView(ListView):
    """Who works here."""

    NAME = "office · people"
    HELP_WORDS = "Only the owner signs people on."
    DEEDS = PEOPLE_DEEDS
    BINDINGS = keyed(DEEDS)
    HEADING = " code   name                          role"

    def rows(self) -> list[tuple[str, Content]]:
        """Everybody by code."""
        return [(row.code, say_person(row, self.fold)) for row in people(self.book)]

    def action_sign_on(self) -> None:
        """Ask for code, name and role."""
        blanks = [Blank("code", "code", hint="one to four capitals and digits"), Blank("name", "name")]
        roles = Blank("role", "role", choices=tuple(map(str, Role)))
        sheet = FormSheet("Sign somebody on", [*blanks, roles], draft="sign on", check=_known_role)
        self.app.push_screen(sheet, lambda values: self._sign_on(values) if values else None)

    def _sign_on(self, values: Values) -> None:
        def job() -> str:
            row = sign_on(self.book, self.who, values["code"], values["name"].strip(), Role(values["role"]))
            self.house.keeper.drop(self.who, "sign on")
            return f"{row.code} {row.name} is {row.role} here"

        self.change("sign on", job)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter does nothing to a person."""
        event.stop()


def _known_role(values: Values) -> None:
    if values["role"] not in list(Role):
        raise BadInput(f"{values['role']!r} is no role", f"Roles are {', '.join(Role)}.", place="role")


PLACE_DEEDS = (
    Deed("n", "add", "add", "Make a place with its own tag."),
    Deed("p", "sign", "print sign", "Send the sign of the place under the cursor to the printer."),
    Deed("slash", "find", "find", "Only the places whose code begins so; with nothing typed all of them again."),
    BACK,
)


class PlacesView(ListView):
    """The places of the yard."""

    NAME = "office · places"
    HELP_WORDS = "A place's kind and limits decide what may stand in it."
    DEEDS = PLACE_DEEDS
    BINDINGS = keyed(DEEDS)
    HEADING = " code       kind              limits                        pieces"

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self.wanted = ""

    def rows(self) -> list[tuple[str, Content]]:
        """Every place that answers to what was looked for."""
        found = sorted(places(self.book), key=lambda row: by_number(row.code))
        wanted = self.wanted.upper()
        return [(row.code, say_place(row, self.fold)) for row in found if row.code.upper().startswith(wanted)]

    def action_find(self) -> None:
        """Ask how the code begins."""
        sheet = FormSheet("Which places?", [Blank("code", "code", self.wanted, hint="begins so", anew=True)])
        self.app.push_screen(sheet, lambda values: self._find(values) if values else None)

    def _find(self, values: Values) -> None:
        self.wanted = values["code"].strip()
        self.on_screen_resume()

    def action_add(self) -> None:
        """Ask for code, kind and limits."""
        blanks = [
            Blank("code", "code", hint="such as A1-2"),
            Blank("kind", "kind", hint="a beginning of: " + ", ".join(PlaceKind)),
            Blank("inside", "inside of", hint="another place, or empty"),
            Blank("weight limit", "lb a piece, most", hint="empty: no limit"),
            Blank("piece limit", "pieces, most", hint="empty: no limit"),
        ]
        words = "Kinds: " + ", ".join(PlaceKind)
        sheet = FormSheet("Add a place", blanks, draft="add place", words=words, check=read_kind)
        self.app.push_screen(sheet, lambda values: self._add(values) if values else None)

    def _add(self, values: Values) -> None:
        def job() -> str:
            row = add_place(
                self.book,
                self.who,
                values["code"],
                read_kind(values),
                inside=values["inside"].strip(),
                weight_limit_lb=number(values, "weight limit"),
                piece_limit=whole(values, "piece limit"),
            )
            self.house.keeper.drop(self.who, "add place")
            return f"place {row.code}, {row.kind}, tag {row.tag}"

        self.change("add place", job)

    def action_sign(self) -> None:
        """Print the sign."""
        self._sign("")

    def _sign(self, reason: str) -> None:
        code = self.here
        if code:
            self.change("sign", lambda: send_paper(self.book, self.who, place_paper(self.book, code), reason))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter does nothing to a place."""
        event.stop()

    def failed(self, topic: str, error: YardError) -> None:
        """A second sign asks for its reason."""
        if topic == "sign" and isinstance(error, BadInput) and error.place == "reason":
            sheet = FormSheet("This sign was sent to a printer before", [Blank("reason", "why again")])
            self.app.push_screen(sheet, lambda values: self._sign(values["reason"]) if values else None)
        else:
            super().failed(topic, error)


def read_kind(values: Values) -> PlaceKind:
    """The kind of place that was typed, or that begins so.

    Raises:
        BadInput: none does, or several do; a place limit that is no number.
    """
    typed = values["kind"].strip().lower()
    found = [kind for kind in PlaceKind if kind.lower() == typed] or [
        kind for kind in PlaceKind if typed and kind.lower().startswith(typed)
    ]
    if len(found) != 1:
        raise BadInput(f"{values['kind']!r} is no kind of place", f"Kinds are {', '.join(PlaceKind)}.", place="kind")
    number(values, "weight limit")
    whole(values, "piece limit")
    return found[0]


SETTING_DEEDS = (Deed("c", "change", "change", "Change the setting under the cursor; only the owner may."), BACK)


class SettingsView(ListView):
    """The yard's settings."""

    NAME = "office · settings"
    HELP_WORDS = "Laws and prices differ by state, so they are settings. What a setting was stays in the history."
    DEEDS = SETTING_DEEDS
    BINDINGS = keyed(DEEDS)
    HEADING = " setting                      in force            usual"

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self.values: dict[str, str] = {}

    def rows(self) -> list[tuple[str, Content]]:
        """Every setting."""
        found = settings(self.book)
        self.values = {row.name: row.value for row in found}
        return [(row.name, say_setting(row, self.fold)) for row in found]

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter changes."""
        event.stop()
        self.action_change()

    def action_change(self) -> None:
        """Ask for the new value."""
        name = self.here
        if name:
            blank = Blank("value", name.replace("_", " "), value=self.values.get(name, ""))
            sheet = FormSheet("Change a setting", [blank])
            self.app.push_screen(sheet, lambda values: self._change(name, values) if values else None)

    def _change(self, name: str, values: Values) -> None:
        def job() -> str:
            row = change_setting(self.book, self.who, name, values["value"])
            return f"{row.words} is now {row.value or 'empty'}"

        self.change("setting", job)


def say_person(row: PersonRow, fold: int = 0) -> Content:
    """A person in the list."""
    if fold:
        return folded(f" {row.code}", f"{row.name}, {row.role}", [], fold)
    return joined((left(f" {row.code}", 8), "bold"), column(row.name, 30), str(row.role))


def say_place(row: PlaceRow, fold: int = 0) -> Content:
    """A place in the list."""
    count = len(row.tags)
    if fold:
        pieces = f"{count} piece{'' if count == 1 else 's'}"
        return folded(f" {row.code}", f"{row.kind}, {pieces}", [row.limits], fold)
    return joined(
        (left(f" {row.code}", 12), "bold"), left(str(row.kind), 18), column(row.limits, 30), right(str(count), 6)
    )


def by_number(code: str) -> list[tuple[int, str]]:
    """A place's code for sorting: A1-2 stands before A1-10."""
    return [(int(part), "") if part.isdecimal() else (-1, part) for part in re.findall(r"\d+|\D+", code)]


def say_setting(row: SettingRow, fold: int = 0) -> Content:
    """A setting in the list; a changed one is marked in words."""
    changed = "" if row.value == row.usual else "changed"
    if fold:
        usual = f"usually {row.usual or 'empty'}" if changed else ""
        return folded(f" {row.words}", "", [row.value or "empty", usual], fold)
    return joined(
        (left(f" {row.words}", 30), "bold"),
        column(row.value or "empty", 20),
        f"{row.usual or 'empty'}   {changed}".rstrip(),
    )
