"""What the scale desk typed: exact figures, live net and amount, and what still stands in the way of a ticket."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from app.book.money import parse_price
from app.book.scale import TON_QUESTION, Weighing
from app.errors import BadInput, YardError
from app.fit.weights import (
    Deduction,
    DeductionKind,
    TareOverGross,
    Weight,
    WeightUnit,
    as_decimal,
    check_division,
    net,
    price,
    price_in,
)
from app.screens.intake_typed import number

PRICE_UNITS = (WeightUnit.LB, WeightUnit.NET_TON, WeightUnit.GROSS_TON, WeightUnit.TONNE)
Fields = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Reckoned:
    """What the figures come to: net in pounds, cents if priced, and whether gross and tare are swapped.

    `words` say it, or what is missing; `ready` is False while no ticket can be issued.
    """

    words: tuple[str, ...]
    net_lb: Decimal | None = None
    amount_cents: int | None = None
    swapped: bool = False
    ready: bool = False


def weight(fields: Fields, name: str) -> Decimal:
    """A reading as the scale showed it.

    Raises:
        BadInput: no number.
    """
    value = number(fields, name, places=3)
    if value is None:
        raise BadInput(f"no {name} yet", "Read the scale.", place=name)
    return value


def deductions(fields: Fields) -> tuple[Deduction, ...]:
    """What is taken off: dirt by percent, the rest by pounds."""
    dirt, off = number(fields, "dirt", places=1), number(fields, "off")
    found = [Deduction("dirt", dirt, DeductionKind.PERCENT)] if dirt else []
    if off:
        found.append(Deduction(fields.get("off_words", "").strip() or "not metal", off))
    return tuple(found)


def price_of(fields: Fields) -> tuple[Decimal | None, WeightUnit | None]:
    """Cents and the unit they are for; None for both without a price.

    Raises:
        BadInput: a price without its unit, which asks which ton is meant.
    """
    typed, unit = fields.get("price", "").strip(), fields.get("price unit", "")
    if not typed:
        return None, None
    cents = parse_price(typed, place="price")
    if unit not in PRICE_UNITS:
        raise BadInput("a price without its unit", TON_QUESTION, place="price unit")
    return cents, WeightUnit(unit)


def read_weighing(fields: Fields, vehicle: str, despite: str = "") -> Weighing:
    """The form as the book takes it.

    Raises:
        BadInput: a field that cannot be read; its `place` is the field's name.
    """
    cents, unit = price_of(fields)
    return Weighing(
        gross=weight(fields, "gross"),
        tare=weight(fields, "tare"),
        vehicle=vehicle,
        deductions=deductions(fields),
        price_cents=cents,
        price_unit=unit,
        commodity=fields.get("commodity", "").strip(),
        party=fields.get("party", "").strip(),
        plate=fields.get("plate", "").strip(),
        despite=despite,
    )


def reckon(fields: Fields, division: Decimal) -> Reckoned:
    """What the figures typed so far come to."""
    try:
        gross, tare = weight(fields, "gross"), weight(fields, "tare")
        for value in (gross, tare):
            check_division(value, division)
        left = net(Weight(gross), Weight(tare), deductions(fields))
        cents, unit = price_of(fields)
    except TareOverGross as swapped:
        return Reckoned((swapped.in_one_line(),), swapped=True)
    except YardError as error:
        return Reckoned((error.in_one_line(),))
    net_words = f"net {left.value:,f} lb"
    if cents is None or unit is None:
        return Reckoned((net_words,), left.value, ready=True)
    amount = price(left, cents, unit)
    return Reckoned((net_words, *_price_words(cents, unit)), left.value, amount, ready=True)


def _price_words(cents: Decimal, unit: WeightUnit) -> tuple[str, ...]:
    """The price by every ton, so that the wrong one shows."""
    others = [each for each in PRICE_UNITS if each is not unit]
    said = ", ".join(f"{_exact(price_in(cents, unit, each))} a {each}" for each in others)
    return (f"{_exact(price_in(cents, unit, unit))} a {unit} is {said}",)


def _exact(cents: Fraction) -> str:
    """Cents as dollars, with as many decimals as a price a pound needs."""
    places = 2 if cents >= 100 else 4
    return f"{as_decimal(cents / 100):,.{places}f}"
