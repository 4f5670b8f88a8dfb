"""Taking a vehicle in: plate, vehicle, papers, money, kept at every change and taken in by one question."""

from __future__ import annotations

from collections.abc import Mapping

from textual.content import Content

from app.book.intake import PapersWrong, take_in
from app.book.money import dollars
from app.book.plates import AlreadyHere, PlateRow
from app.book.schema import TicketKind
from app.book.work import Book, Who
from app.errors import BadInput, YardError
from app.fit.terms import Group
from app.fit.vin import Reading, Suggestion, read_vin
from app.screens.intake_donor import DonorView
from app.screens.intake_new_form import (
    DEEDS,
    DRAFT,
    SELLER_BLANKS,
    STEPS,
    InNow,
    ModelNamed,
    PlateRead,
    PlateRefused,
    look_at_plate,
    name_model,
)
from app.screens.intake_plates import SOURCES as PLACES
from app.screens.intake_plates import next_source, pack, same, say_outcome, show_readings, show_suggestions, unpack
from app.screens.intake_turn import TurnAway
from app.screens.intake_typed import SELLER_ASKED, money, read_vehicle, whole
from app.screens.parts.form import Blank
from app.screens.parts.keys import keyed
from app.screens.parts.page import Steps
from app.screens.parts.papers import paper_of_vehicle
from app.screens.parts.plain import joined, lines, wall_day, wall_time
from app.screens.parts.sheets import Choice, FormSheet, Sure
from app.screens.scale_weigh import WeighView


class NewVehicle(Steps):
    """The form of a new vehicle; Escape leaves it half filled."""

    NAME = "intake · new vehicle"
    HELP_WORDS = (
        "The VIN is typed once and confirmed by a second plate. What cannot be right is refused as typed; a "
        "suggestion is only taken after you have read it on the plate."
    )
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)

    def __init__(self, book: Book, who: Who, draft: str = DRAFT) -> None:
        super().__init__(book, who, draft, STEPS)
        self.readings: list[Reading] = []
        self.plate: PlateRow | None = None
        self.suggestions: tuple[Suggestion, ...] = ()
        self.taken_up = ""
        self.model: ModelNamed | None = None

    def restored(self, fields: Mapping[str, str]) -> None:
        """The readings come back with the rest."""
        super().restored(fields)
        self.readings = unpack(self.extra)

    def shown_step(self) -> None:
        """Each page says what it knows."""
        show = {
            "plate": self._show_plate,
            "vehicle": self._ask_model,
            "identity": self._show_identity,
            "papers": self._show_papers,
            "money": self._show_money,
        }
        show[self.step]()

    def first_blank(self) -> str:
        """The place to read is chosen already: the cursor starts in the VIN."""
        return "vin" if self.step == "plate" else ""

    def changed(self) -> None:
        """Keep up with the typing."""
        if self.step != "plate":
            self.shown_step()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Suggestions and reasons belong to the plate; nothing is taken in twice."""
        if action == "suggestion":
            return self.step == "plate" and bool(self.suggestions)
        if action == "reason":
            return self.step == "plate"
        if action == "finish":
            return None if self.busy else True
        return super().check_action(action, parameters)

    # The plate

    def page_sent(self) -> None:
        """Enter in the VIN checks it, or goes on when nothing new was typed."""
        if self.step != "plate" or not self.typed["vin"].strip():
            super().page_sent()
        elif self._place() not in PLACES:
            self.say(f"{self._place()!r} is no place on the list; a digit picks.", fault=True)
            self.form.start("source of reading")
        elif self.taken_up and same(self.taken_up, self.typed["vin"]):
            self.app.push_screen(
                Sure("I read it on the plate", f"Does the {self._place()} itself read {self.taken_up}?"),
                self._read_again,
            )
        else:
            self._check_plate()

    def _place(self) -> str:
        return self.typed["source of reading"] or str(PLACES[0])

    def _read_again(self, answer: bool | None) -> None:
        if answer:
            self.taken_up = ""
            self._check_plate()

    def _check_plate(self) -> None:
        readings = [*self.readings, Reading(self._place(), self.typed["vin"].strip())]
        self.writes("plate", lambda: look_at_plate(self.book, self.who, readings))

    def on_plate_read(self, message: PlateRead) -> None:
        """Keep the reading; ask for the next place until the readings settle it."""
        self.readings, self.plate, self.suggestions, self.taken_up = message.readings, message.row, (), ""
        self.extra = {**self.extra, **pack(self.readings)}
        following = next_source(self.readings)
        self.put({"vin": "", "source of reading": str(following) if following else self._place()})
        self.refresh_bindings()
        if message.row.settled and len(self.readings) > 1:
            self.show_step(1)
            self.tell(f"VIN settled: {message.row.vin}")
        else:
            self.show_step(0)

    def on_plate_refused(self, message: PlateRefused) -> None:
        """Say why and what may have been meant; change nothing."""
        error = message.error
        if isinstance(error, AlreadyHere):
            self.say(error.in_one_line(), fault=True)
            self.app.push_screen(
                Sure(f"Open {error.stock_number}?", f"{error.title}. No new vehicle was made."),
                lambda yes: self._open(error.stock_number) if yes else None,
            )
            return
        self.suggestions = error.suggestions
        self.refresh_bindings()
        found = "; ".join(finding.words for finding in error.report.findings)
        refused = joined((f"refused as typed: {found}", "bold $accent"))
        self.say(lines([refused, show_suggestions(self.suggestions)]) if self.suggestions else refused)

    def _open(self, stock_number: str) -> None:
        others = {name: value for name, value in self.typed.items() if name not in ("vin", "source of reading")}
        if not any(others.values()) and not self.readings:
            self.forget()
        self.app.switch_screen(DonorView(self.book, self.who, stock_number))

    def _show_plate(self) -> None:
        if not self.readings:
            self.above(
                "Read the dash first, then the door label; on a truck the frame stamp too.\n"
                "A number copied from the first plate proves nothing.\n"
            )
            return
        report = read_vin(self.readings[-1].text)
        rows: list[Content | str] = [show_readings(self.readings), f"{'year':<13}{report.year_words}"]
        rows += [f"{'plates say':<13}{words}" for words in (self.plate.plate_words[:3] if self.plate else ())]
        if self.plate is not None:
            rows.append(joined((say_outcome(self.plate), "bold $accent")))
        self.above(lines([*rows, ""]))

    def action_suggestion(self) -> None:
        """Offer the suggestions; the one picked is written into the box and still has to be read."""
        self.app.push_screen(
            Choice("Which of these does the plate read?", [f"{s.vin}   {s.words}" for s in self.suggestions]),
            self._take_up,
        )

    def _take_up(self, index: int | None) -> None:
        if index is None:
            return
        self.taken_up = self.suggestions[index].vin
        self.put({"vin": self.taken_up})
        self.form.start("vin")
        self.say(f"Not taken yet. Look at the {self._place()} again, then Enter.", fault=True)

    def action_reason(self) -> None:
        """Ask why the rule of two plates, or of the check digit, cannot be kept."""
        self.app.push_screen(
            FormSheet(
                "Why is there no second plate, no VIN, or a number out of rule?",
                [Blank("reason", "because", self.extra.get("vin reason", ""), "import, built before 1981, plate gone")],
            ),
            self._take_reason,
        )

    def _take_reason(self, values: Mapping[str, str] | None) -> None:
        if values is None:
            return
        self.extra["vin reason"] = values["reason"]
        typed = self.typed["vin"].strip()
        if typed:
            self.readings = [*self.readings, Reading(self._place(), typed)]
            self.extra.update(pack(self.readings))
            self.put({"vin": ""})
        self.keep()
        self.show_step(1)

    # The vehicle, its papers, its money

    def _ask_model(self) -> None:
        said = self.typed["model"]
        if not said.strip():
            self.model = None
            self._show_vehicle()
            return
        try:
            year = whole(self.typed, "year") or self._plate_year()
        except BadInput:
            year = None
        self.reads("model", lambda: name_model(self.book, said, year))

    def _plate_year(self) -> int | None:
        years = read_vin(self.readings[-1].text).years if self.readings else ()
        return years[0] if len(years) == 1 else None

    def on_model_named(self, message: ModelNamed) -> None:
        """Say what the words mean."""
        self.model = message
        if self.step == "vehicle":
            self._show_vehicle()

    def _show_vehicle(self) -> None:
        year = self._plate_year()
        rows = [f"the plate says {year}"] if year else []
        if self.model is not None:
            rows.append(f"model: {self.model.words}" if self.model.row else self.model.words)
        self.above(lines([*rows, ""]) if rows else "")

    def _show_identity(self) -> None:
        named = self.model.row.words if self.model and self.model.row else "not known"
        other = [f"{group:<10} {self.typed[f'identity {group}'] or f'{named}, as the plate'}" for group in Group]
        self.above(lines(["What each group of parts is off; a body may sit on another frame.", *other, ""]))

    def _show_papers(self) -> None:
        asked = self.typed["source"] in SELLER_ASKED
        self.show_blanks(self.form, ("paper", "source", *(SELLER_BLANKS if asked else ())))

    def _show_money(self) -> None:
        try:
            landed = sum(money(self.typed, name) for name in ("price", "fee", "tow"))
        except BadInput as error:
            self.above(lines([error.in_one_line(), ""]))
            return
        self.above(lines([joined("landed cost ", (dollars(landed), "bold")), ""]))

    # Taking in

    def sent(self) -> None:
        """Enter on the last blank."""
        self.action_finish()

    def action_finish(self) -> None:
        """Ask once, then take the vehicle in."""
        self.typed.update(self.form.values())
        if self.step == "plate" and self.typed["vin"].strip():
            self.say("The VIN typed was not checked yet: Enter.", fault=True)
            return
        try:
            form = read_vehicle(self._with_reason(), self.readings)
        except YardError as error:
            self.fault(error)
            return
        landed = dollars(form.price_cents + form.fee_cents + form.tow_cents)
        vin = self.readings[-1].vin if self.readings else "no VIN"
        what = form.model or form.words or "vehicle of unknown make"
        self.app.push_screen(
            Sure("Take it in?", f"{vin}\n{what}, {form.paper}, from {form.source or 'nobody named'}\nlanded {landed}"),
            lambda yes: self._take_in() if yes else None,
        )

    def _with_reason(self) -> dict[str, str]:
        """The reason goes where it belongs: no VIN, a number out of rule, or one reading only."""
        reason = self.extra.get("vin reason", "")
        out_of_rule = not self.readings or any(not read_vin(each.text).ok for each in self.readings)
        return {**self.typed, ("no_vin_reason" if out_of_rule else "one_reading_reason"): reason}

    def _take_in(self) -> None:
        form = read_vehicle(self._with_reason(), self.readings)

        def job() -> InNow:
            taken = take_in(self.book, self.who, form)
            return InNow(taken, paper_of_vehicle(self.book, self.who, taken.stock_number))

        self.writes("take in", job)

    def on_in_now(self, message: InNow) -> None:
        """It is in: the form is done, and the weighing and the frame come next."""
        taken = message.taken
        self.forget()
        hold = f", held until {wall_day(taken.hold_until)} {wall_time(taken.hold_until)}" if taken.hold_until else ""
        self.tell(f"{taken.stock_number} {taken.vehicle} in, {dollars(taken.landed_cents)}{hold}; {message.paper}")
        self.app.switch_screen(DonorView(self.book, self.who, taken.stock_number))
        self.app.push_screen(WeighView(self.book, self.who, TicketKind.ARRIVAL, taken.stock_number))

    def failed(self, topic: str, error: YardError) -> None:
        """A refusal is said on the page where it can be mended."""
        if isinstance(error, PapersWrong):
            self.show_step(3)
            self.say(f"We may not buy it: {'; '.join(error.reasons)}. F9 turns it away.", fault=True)
        elif topic in ("take in", "plate"):
            self.fault(error)
        else:
            super().failed(topic, error)

    def action_turn_away(self) -> None:
        """Hand what is typed to the refusal form."""
        self.typed.update(self.form.values())
        vin = self.readings[-1].vin if self.readings else self.typed["vin"]
        self.app.push_screen(TurnAway(self.book, self.who, {**self.typed, "vin": vin}, self._turned_away))

    def _turned_away(self) -> None:
        self.forget()
        self.dismiss(None)
