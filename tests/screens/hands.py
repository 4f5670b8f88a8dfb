"""Hands and eyes of a screen test: reads what is on the screen, types, scans, and a small yard to do it in."""

from __future__ import annotations

import html
import re
from contextlib import suppress
from datetime import timedelta
from decimal import Decimal
from typing import Any

from textual import events
from textual.pilot import Pilot
from textual.widgets import Input
from textual.worker import WorkerFailed

from app.book.people import sign_on
from app.book.schema import Donor, Fact, Part, PartType, Place, PlaceKind, Role, Whereabouts
from app.book.tags import TagKind, make_tag
from app.book.work import Book
from app.fit.answers import Answer, AnswerLine, Asked, Chip, Kept, Question, WorkLine
from app.fit.terms import Condition, FactKind, Grade, Group, Hazard, Side
from app.screens.app import Donorbook
from app.screens.parts.scans import KINDS, PACE
from tests.support.clock import START
from tests.support.yard import OWNER, keep

TAGS = tuple(make_tag(TagKind.PART, number) for number in range(1, 5))
SHELF_TAG = make_tag(TagKind.PLACE, 1)
TRUCK_TAG = make_tag(TagKind.VEHICLE, 1)
TEXT = re.compile(r'<text class="[^"]*-(?:r\d+)" x="([\d.]+)" y="([\d.]+)"[^>]*>([^<]*)</text>')


def furnish(book: Book) -> Book:
    """Three people, two shelves, an airbag locker, a truck of an odd name, four arms of which one is in hand."""
    sign_on(book, OWNER, "OW", "owner", Role.OWNER)
    sign_on(book, OWNER, "C1", "[bumper] Ann", Role.COUNTER)
    sign_on(book, OWNER, "P1", "Pat [/x]", Role.PULLER)
    keep(
        book,
        Place(code="A1-2", tag=SHELF_TAG, kind=PlaceKind.SHELF),
        Place(code="A1-3", tag="", kind=PlaceKind.SHELF),
        Place(code="AL-1", tag="", kind=PlaceKind.AIRBAG_LOCKER),
        Fact(name="arm length", kind=FactKind.LENGTH, unit="in", question="From the pivot to the ball joint?"),
        Fact(name="torsion socket", kind=FactKind.YES_NO, question="Is there a socket for a torsion bar?"),
        Fact(name="lugs", kind=FactKind.CHOICE, choices=["5", "6", "8"], question="How many lugs?"),
        PartType(
            name="lower control arm",
            group=Group.FRAME,
            sided=True,
            hazards=[Hazard.SPRING],
            look_for=["arm length", "torsion socket", "lugs"],
            usual_weight_lb=Decimal(28),
            weight_low_lb=Decimal(20),
            weight_high_lb=Decimal(40),
        ),
        PartType(name="tailgate", group=Group.BODY),
        Donor(
            stock_number="D1", tag=TRUCK_TAG, words="2008 Dunmarsh [bumper] Longwagon [/x]", year=2008, arrived_at=START
        ),
    )
    keep(book, *(_arm(number, tag) for number, tag in enumerate(TAGS)))
    return book


def _arm(number: int, tag: str) -> Part:
    in_hand = number == 3
    return Part(
        tag=tag,
        donor_id=1,
        part_type_id=1,
        side=Side.RH,
        condition=Condition.B,
        price_cents=7500 + 1000 * number,
        core_cents=1500 if number == 1 else 0,
        whereabouts=Whereabouts.IN_HAND if in_hand else Whereabouts.IN_PLACE,
        holder_id=3 if in_hand else None,
        place_id=None if in_hand else 1,
        made_at=START - timedelta(days=6),
    )


def line(tag: str, grade: Grade, price_cents: int, **changes: Any) -> AnswerLine:
    """An answer line as the engine gives one."""
    usual: dict[str, Any] = {
        "core_cents": 0,
        "condition": Condition.B,
        "where": ("A1-2",),
        "donors": ("D1",),
        "seen_days": 6,
        "say": "I have the right arm on the shelf.",
        "reasons": ("17.25 in pivot to ball joint on both [by tape]",),
        "facts": (("arm length", "17.25 in"),),
    }
    return AnswerLine(
        tags=(tag,), names=("lower control arm RH",), grade=grade, price_cents=price_cents, **{**usual, **changes}
    )


def arms_answer(words: str, facts: dict[str, str]) -> Answer:
    """What a yard with these arms answers: two lines, one trap, one that is held, and a question."""
    asked = Asked(
        words=words,
        part_types=("lower control arm",),
        side=Side.RH,
        year=2008,
        chips=(Chip("year", "2008", "08"), Chip("model", "Longwagon [/x]", "longwagon"), Chip("side", "RH", "rh")),
        not_understood=("flibbertigib",) if "flibbertigib" in words else (),
    )
    if "nothing" in words:
        return Answer(asked)
    longer = line(
        TAGS[1],
        Grade.BOLTS_IN,
        8500,
        core_cents=1500,
        consequences=("1.00 in longer",),
        operations=(WorkLine("move the stops over", Decimal("0.5")),),
    )
    question = Question("rear springs", "Leafs or coils in the back?", ("coils", "leafs"), 2)
    return Answer(
        asked=asked,
        questions=() if facts else (question,),
        answers=(line(TAGS[0], Grade.BOLTS_UP, 7500), longer),
        do_not_sell=(line(TAGS[2], Grade.WONT_FIT, 9500, reasons=("the socket is not there",)),),
        kept=(Kept(TAGS[3], "lower control arm RH", "held for Ada until 10:02"),),
        counted=(2, 2),
    )


def seen(app: Donorbook) -> str:
    """What is on the screen, line by line."""
    rows: dict[float, list[tuple[float, str]]] = {}
    for x, y, text in TEXT.findall(app.export_screenshot()):
        rows.setdefault(float(y), []).append((float(x), html.unescape(text).replace("\xa0", " ")))
    return "\n".join("".join(text for _, text in sorted(rows[y])).rstrip() for y in sorted(rows))


def flat(app: Donorbook) -> str:
    """The same with every run of blanks and line breaks as one blank, for sentences that wrap."""
    return " ".join(seen(app).split())


async def settle(pilot: Pilot[None]) -> None:
    """Wait until threads have answered and the screen shows it."""
    await pilot.pause(0.02)
    for _ in range(3):
        # What a worker failed with is the screen's to tell.
        with suppress(WorkerFailed):
            await pilot.app.workers.wait_for_complete()
        await pilot.pause()


async def listen(pilot: Pilot[None]) -> None:
    """Wait as long as a pause in typing, then for the answer."""
    await pilot.pause(0.45)
    await settle(pilot)


async def scan(pilot: Pilot[None], text: str) -> None:
    """A scanner types the text at once and ends with Enter."""
    for character in text:
        pilot.app.post_message(events.Key(character, character))
    pilot.app.post_message(events.Key("enter", "\r"))
    await pilot.pause(0.1)
    await settle(pilot)


async def press(pilot: Pilot[None], *keys: str) -> None:
    """Press keys as slowly as a person, and wait for what they do."""
    for key in keys:
        await pilot.press(key)
        if key.upper() in KINDS:
            # Such a key waits as long as a scanner would take for the next one.
            await pilot.pause(PACE * 1.6)
    await settle(pilot)


async def say(pilot: Pilot[None], words: str) -> None:
    """Put words into the text box that has the cursor."""
    box = pilot.app.focused
    assert isinstance(box, Input), f"the cursor is in {box}"
    box.value = words
    await listen(pilot)
