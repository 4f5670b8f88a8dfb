"""What the intake desk typed, turned into what the book takes: every refusal names its field."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal, InvalidOperation

from app.book.intake import WALK_IN, Seller, TakeIn
from app.book.money import parse_money
from app.book.schema import Paper
from app.book.teardown import Drain
from app.errors import BadInput
from app.fit.terms import Group
from app.fit.vin import Reading
from app.fit.weights import FLUID_LB_PER_GAL, Fluid

TOW_YARD = "tow yard"
SOURCES = ("auction", WALK_IN, TOW_YARD, "dealer", "fleet or town", "another yard")
SELLER_ASKED = (WALK_IN, TOW_YARD)
PAID = ("check", "electronic", "cash", "not paid yet")
ID_KINDS = ("driver's license", "state ID", "passport", "company papers")
Fields = Mapping[str, str]
FIRST_YEAR, LAST_YEAR = 1900, 2100
MOST = 1_000_000
"""No amount that an intake desk or a scale reads is larger; a number typed twice over is."""


def read_vehicle(fields: Fields, readings: Sequence[Reading]) -> TakeIn:
    """The vehicle form as the book takes it.

    Raises:
        BadInput: a field that cannot be read; its `place` is the field's name.
    """
    source = one_of(fields, "source", SOURCES)
    return TakeIn(
        readings=tuple(readings),
        no_vin_reason=fields.get("no_vin_reason", "").strip() if not readings else "",
        one_reading_reason=fields.get("one_reading_reason", "").strip(),
        model=fields.get("model", "").strip(),
        year=year(fields),
        built=month(fields, "built"),
        words=fields.get("words", "").strip(),
        miles=whole(fields, "miles"),
        keys=whole(fields, "keys"),
        paper=Paper(one_of(fields, "paper", tuple(map(str, Paper))) or Paper.NONE),
        source=source,
        seller=read_seller(fields) if source in SELLER_ASKED else None,
        price_cents=money(fields, "price"),
        fee_cents=money(fields, "fee"),
        tow_cents=money(fields, "tow"),
        paid_how=one_of(fields, "paid_how", PAID),
        body=fields.get("body", "").strip(),
        identities={group: said for group in Group if (said := fields.get(f"identity {group}", "").strip())},
        note=fields.get("note", "").strip(),
    )


def read_seller(fields: Fields) -> Seller | None:
    """The seller as typed; None when nothing was typed about one.

    Raises:
        BadInput: a name is missing, or a date that cannot be read.
    """
    typed = {name: fields.get(f"seller {name}", "").strip() for name in SELLER_FIELDS}
    if not any(typed.values()):
        return None
    if not typed["name"]:
        raise BadInput("the seller has no name", "Type the name on the ID.", place="seller name")
    return Seller(
        name=typed["name"],
        phone=typed["phone"],
        address=typed["address"],
        id_kind=typed["ID kind"],
        id_number=typed["ID number"],
        id_expires=day(fields, "seller ID expires"),
        title_name=typed["title name"],
    )


SELLER_FIELDS = ("name", "phone", "address", "ID kind", "ID number", "ID expires", "title name")


def read_drain(vehicle: str, fields: Fields) -> Drain:
    """The drain form as the book takes it.

    Raises:
        BadInput: an amount that is no number.
    """
    return Drain(
        vehicle=vehicle,
        gallons={kind: gallons for kind in Fluid if (gallons := number(fields, str(kind))) is not None},
        refrigerant_lb=number(fields, "refrigerant"),
        battery_lb=number(fields, "battery"),
        other_lb={"cat": cat} if (cat := number(fields, "cat")) is not None else {},
        hours=number(fields, "hours") or Decimal(0),
        disposal_cents=money(fields, "disposal"),
    )


def fluid_pounds(fields: Fields) -> Decimal:
    """Pounds of the fluids typed so far; what cannot be read yet counts nothing."""
    total = Decimal(0)
    for kind in Fluid:
        try:
            total += (number(fields, str(kind)) or Decimal(0)) * FLUID_LB_PER_GAL[kind]
        except BadInput:
            continue
    return total


def number(fields: Fields, name: str, places: int = 2) -> Decimal | None:
    """A plain number that is not below zero, with so many decimals at most; None when the field is empty.

    Raises:
        BadInput: anything else.
    """
    typed = fields.get(name, "").strip().replace(",", "")
    if not typed:
        return None
    try:
        value = Decimal(typed)
    except InvalidOperation:
        value = Decimal(-1)
    if not value.is_finite() or value < 0 or value > MOST:
        raise BadInput(f"{typed!r} is no amount", "Type a plain number.", place=name)
    if value != round(value, places):
        raise BadInput(f"{typed!r} has more than {places} decimals", "Read the meter again.", place=name)
    return value


def one_of(fields: Fields, name: str, choices: Sequence[str]) -> str:
    """A word of a closed list; empty when nothing was typed.

    Raises:
        BadInput: another word.
    """
    typed = fields.get(name, "").strip()
    if typed and typed not in choices:
        raise BadInput(f"{typed!r} is none of the list", f"Choose {', '.join(choices)}; a digit picks.", place=name)
    return typed


def year(fields: Fields) -> int | None:
    """A model year; None when the field is empty.

    Raises:
        BadInput: no year that a vehicle can be of.
    """
    typed = whole(fields, "year")
    if typed is not None and not FIRST_YEAR <= typed <= LAST_YEAR:
        raise BadInput(f"{typed} is no model year", "Type it with four figures.", place="year")
    return typed


def whole(fields: Fields, name: str) -> int | None:
    """A whole number; None when the field is empty.

    Raises:
        BadInput: anything else.
    """
    typed = fields.get(name, "").strip().replace(",", "")
    if not typed:
        return None
    if not (typed.isascii() and typed.isdigit()):
        raise BadInput(f"{typed!r} is no whole number", "Type figures only, or leave it empty.", place=name)
    if len(typed) > len(str(MOST)):
        raise BadInput(f"{typed} is more than can be", "Type it once.", place=name)
    return int(typed)


def money(fields: Fields, name: str) -> int:
    """Cents of an amount; 0 when the field is empty.

    Raises:
        BadInput: no amount of money.
    """
    typed = fields.get(name, "").strip()
    cents = parse_money(typed, place=name) if typed else 0
    if not 0 <= cents <= MOST * 100:
        raise BadInput(f"{typed} cannot be paid", "Type dollars, such as 1,150.00.", place=name)
    return cents


def day(fields: Fields, name: str) -> date | None:
    """A calendar day; None when the field is empty.

    Raises:
        BadInput: no day.
    """
    typed = fields.get(name, "").strip()
    if not typed:
        return None
    try:
        return date.fromisoformat(typed)
    except ValueError:
        raise BadInput(f"{typed!r} is no day", "Type it as 2025-12-31.", place=name) from None


def month(fields: Fields, name: str) -> str | None:
    """A build month as the book writes it; 11/2007 is read too. None when the field is empty."""
    typed = fields.get(name, "").strip()
    if not typed:
        return None
    first, slash, last = typed.partition("/")
    if slash and len(last) == 4:
        return f"{last}-{first.zfill(2)}"
    return typed
