"""The pages of the new vehicle's form, and the answers the book gives while it is filled in."""

from __future__ import annotations

from textual.message import Message

from app.book.boards import ModelRow, which_model
from app.book.intake import TakenIn
from app.book.plates import AlreadyHere, PlateRow, WrongVin, read_plate
from app.book.schema import Paper
from app.book.work import Book, Who
from app.errors import YardError
from app.fit.terms import Group
from app.fit.vin import Reading
from app.screens.intake_plates import SOURCES as PLACES
from app.screens.intake_typed import ID_KINDS, PAID, SELLER_FIELDS, SOURCES
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed
from app.screens.parts.page import STEP_DEEDS, Step

DRAFT = "new vehicle"
DEEDS = (
    Deed("f2", "finish", "take in", "Take the vehicle in as it is typed."),
    Deed("f5", "suggestion", "suggestions", "Take a suggested VIN up, to be read on the plate again."),
    Deed("f4", "reason", "reason", "Say why there is no VIN, one reading only, or a number out of rule."),
    Deed("f9", "turn_away", "turn away", "Turn this vehicle away, with what is typed."),
    *STEP_DEEDS,
)
STEPS = (
    Step(
        "plate",
        (
            Blank("source of reading", "read at", value=PLACES[0], choices=tuple(map(str, PLACES))),
            Blank("vin", "VIN", hint="17 characters; Enter checks it at once"),
        ),
    ),
    Step(
        "vehicle",
        (
            Blank("model", "model", hint="its words: longwagon light"),
            Blank("year", "model year", hint="leave empty to take the plate's"),
            Blank("built", "built", hint="door label: 2007-11"),
            Blank("miles", "miles", hint="leave empty if unknown"),
            Blank("keys", "keys", hint="how many"),
            Blank("words", "in words", hint="only if no model answers to it"),
            Blank("body", "body", hint="damage in plain words: dent, hand-size, rear lower corner"),
        ),
    ),
    Step(
        "identity",
        tuple(
            Blank(f"identity {group}", f"{group} is of", hint="empty: as the plate; else the other model's words")
            for group in Group
        ),
    ),
    Step(
        "papers",
        (
            Blank("paper", "paper", choices=tuple(map(str, Paper))),
            Blank("source", "bought from", choices=SOURCES),
            Blank("seller name", "seller", hint="name on the ID"),
            Blank("seller title name", "name on title", hint="as the title has it"),
            Blank("seller ID kind", "ID", choices=ID_KINDS),
            Blank("seller ID number", "ID number"),
            Blank("seller ID expires", "ID expires", hint="2027-05-31"),
            Blank("seller phone", "phone"),
            Blank("seller address", "address"),
        ),
    ),
    Step(
        "money",
        (
            Blank("price", "price", hint="what is paid for the vehicle"),
            Blank("fee", "fees", hint="auction and others"),
            Blank("tow", "tow"),
            Blank("paid_how", "paid how", choices=PAID, hint="local law may forbid cash here"),
            Blank("note", "note"),
        ),
    ),
)
SELLER_BLANKS = tuple(f"seller {name}" for name in SELLER_FIELDS)


class PlateRead(Message):
    """A reading that can be right, held against the earlier ones."""

    def __init__(self, readings: list[Reading], row: PlateRow) -> None:
        super().__init__()
        self.readings = readings
        self.row = row


class PlateRefused(Message):
    """A reading that cannot be right, or is of a vehicle that is here."""

    def __init__(self, error: WrongVin | AlreadyHere) -> None:
        super().__init__()
        self.error = error


class ModelNamed(Message):
    """What the words for the model mean, or why they mean none."""

    def __init__(self, row: ModelRow | None, words: str) -> None:
        super().__init__()
        self.row = row
        self.words = words


class InNow(Message):
    """The vehicle is in the book; `paper` says what became of its label."""

    def __init__(self, taken: TakenIn, paper: str) -> None:
        super().__init__()
        self.taken = taken
        self.paper = paper


def look_at_plate(book: Book, who: Who, readings: list[Reading]) -> Message:
    """Check the newest reading; a refusal is an answer here and no trouble."""
    try:
        return PlateRead(readings, read_plate(book, who, readings))
    except (WrongVin, AlreadyHere) as error:
        return PlateRefused(error)


def name_model(book: Book, said: str, year: int | None) -> ModelNamed:
    """What the words for a model mean."""
    try:
        row = which_model(book, said, year)
    except YardError as error:
        return ModelNamed(None, error.in_one_line())
    return ModelNamed(row, f"{row.words} ({row.key}), model years {row.year_from} to {row.year_to}")
