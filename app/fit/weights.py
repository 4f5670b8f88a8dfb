"""Weights as the scale showed them, exact from unit to unit, and what they come to in money."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from enum import StrEnum
from fractions import Fraction
from math import floor

from app.errors import BadInput

Exact = int | Decimal | Fraction


class WeightUnit(StrEnum):
    """Units a weight or a price by weight is said in; "ton" alone is never one of them."""

    LB = "lb"
    KG = "kg"
    NET_TON = "net ton"
    GROSS_TON = "gross ton"
    TONNE = "tonne"


KG_PER_LB = Fraction("0.45359237")
"""Exact: the international avoirdupois pound by definition."""

LB_PER: Mapping[WeightUnit, Fraction] = {
    WeightUnit.LB: Fraction(1),
    WeightUnit.KG: 1 / KG_PER_LB,
    WeightUnit.NET_TON: Fraction(2000),
    WeightUnit.GROSS_TON: Fraction(2240),
    WeightUnit.TONNE: 1000 / KG_PER_LB,
}


class WeightError(BadInput, ValueError):
    """A weight that cannot stand, and the remedy."""


@dataclass(frozen=True, slots=True)
class Weight:
    """A weight as shown, never re-rounded. WeightError below zero."""

    value: Decimal
    unit: WeightUnit = WeightUnit.LB

    def __post_init__(self) -> None:
        if not self.value.is_finite() or self.value < 0:
            raise WeightError(f"{self.value} {self.unit} is no weight", "Read the scale again")

    def __str__(self) -> str:
        return f"{self.value:,f} {self.unit}"

    @property
    def pounds(self) -> Fraction:
        """Exact pounds."""
        return Fraction(self.value) * LB_PER[self.unit]

    def to(self, unit: WeightUnit) -> "Weight":
        """The same weight in another unit: exact where its decimals end, else to 28 figures."""
        if unit is self.unit:
            return self
        return Weight(as_decimal(self.pounds / LB_PER[unit]), unit)


def as_decimal(value: Fraction) -> Decimal:
    """A fraction as a decimal: exact where its decimals end within 28 figures, else rounded to them."""
    with localcontext(prec=28):
        return Decimal(value.numerator) / value.denominator


class OffDivision(WeightError):
    """A reading between two steps of the scale, which no scale of that division can show."""

    def __init__(self, value: Decimal, division: Decimal) -> None:
        below = value // division * division
        super().__init__(
            f"{value:,f} is not a multiple of {division:f}",
            f"Read the scale again: it shows {below:,f} or {below + division:,f}",
        )
        self.value = value
        self.division = division


class TareOverGross(WeightError):
    """The tare is the larger: swapped nine times in ten. `would_be` is the negative net, never kept."""

    def __init__(self, gross: Weight, tare: Weight) -> None:
        self.would_be = gross.value - tare.value
        super().__init__(
            f"tare {tare.value:,f} is over gross {gross.value:,f} (net would be {self.would_be:,f})",
            f"Swap the two for a net of {-self.would_be:,f}, or weigh again",
        )
        self.gross = gross
        self.tare = tare

    @property
    def swapped(self) -> tuple[Weight, Weight]:
        """Gross and tare the other way round, to offer."""
        return self.tare, self.gross


class NothingWeighed(WeightError):
    """Gross and tare are equal."""

    def __init__(self, gross: Weight) -> None:
        super().__init__(f"gross and tare are both {gross}", "Nothing was on the scale: weigh again")


class NothingLeft(WeightError):
    """Deductions as large as the net or larger."""

    def __init__(self, scale_net: Decimal, taken: Decimal) -> None:
        super().__init__(f"deductions of {taken:,f} leave nothing of {scale_net:,f}", "Check what was deducted")


class UnitsDiffer(WeightError):
    """Gross and tare in two units."""

    def __init__(self, gross: Weight, tare: Weight) -> None:
        super().__init__(f"gross is in {gross.unit}, tare in {tare.unit}", "Read both in the scale's unit")


def on_division(value: Decimal, division: Decimal) -> bool:
    """Whether a scale with this division can show the value."""
    return value % division == 0


def check_division(value: Decimal, division: Decimal) -> None:
    """OffDivision when a typed reading is no multiple of the scale's division."""
    if not on_division(value, division):
        raise OffDivision(value, division)


class DeductionKind(StrEnum):
    """How a deduction is said."""

    WEIGHT = "weight"
    PERCENT = "percent"


@dataclass(frozen=True, slots=True)
class Deduction:
    """Something taken off the net: dirt by percent, tires by weight. `amount` in the ticket's unit or percent."""

    words: str
    amount: Decimal
    kind: DeductionKind = DeductionKind.WEIGHT

    def __post_init__(self) -> None:
        if not self.amount.is_finite() or self.amount < 0:
            raise WeightError(f"{self.words}: {self.amount} cannot be deducted", "Type what comes off")

    def taken_from(self, scale_net: Decimal) -> Decimal:
        """What it takes off; a percentage is of gross less tare, unrounded."""
        return self.amount if self.kind is DeductionKind.WEIGHT else scale_net * self.amount / 100


def net(gross: Weight, tare: Weight, deductions: Sequence[Deduction] = (), division: Decimal | None = None) -> Weight:
    """Gross less tare less deductions, always above zero, in the scale's unit.

    WeightError of its own kind for two units, a reading off the division, a tare equal to or over the
    gross, and deductions that leave nothing.
    """
    if gross.unit is not tare.unit:
        raise UnitsDiffer(gross, tare)
    if division is not None:
        check_division(gross.value, division)
        check_division(tare.value, division)
    if tare.value > gross.value:
        raise TareOverGross(gross, tare)
    if tare.value == gross.value:
        raise NothingWeighed(gross)
    scale_net = gross.value - tare.value
    taken = sum((deduction.taken_from(scale_net) for deduction in deductions), Decimal(0))
    if taken >= scale_net:
        raise NothingLeft(scale_net, taken)
    return Weight(scale_net - taken, gross.unit)


def round_cents(cents: Exact) -> int:
    """Whole cents, half a cent up. For sums of zero and above.

    Source: the sales tax statutes' "third decimal greater than four" (N.D.C.C. 57-39.4-25 and alike).
    """
    exact_cents = Fraction(cents)
    if exact_cents < 0:
        raise ValueError("a sum to round is never below zero")
    return floor(exact_cents + Fraction(1, 2))


def price(weight: Weight | Decimal, per_unit_cents: int | Decimal, unit: WeightUnit) -> int:
    """Cents for a weight (a bare number is pounds) at so many cents a `unit`, rounded half up once."""
    pounds = weight.pounds if isinstance(weight, Weight) else Weight(weight).pounds
    return round_cents(pounds * Fraction(per_unit_cents) / LB_PER[unit])


def price_in(per_unit_cents: int | Decimal, unit: WeightUnit, other: WeightUnit) -> Fraction:
    """The same price by another unit, in exact cents: 21,200 a gross ton is 9.46 a pound."""
    return Fraction(per_unit_cents) * LB_PER[other] / LB_PER[unit]


class Fluid(StrEnum):
    """What is drained from a vehicle and metered in gallons."""

    GASOLINE = "gasoline"
    DIESEL = "diesel"
    ENGINE_OIL = "engine oil"
    COOLANT = "coolant"
    GEARBOX_FLUID = "gearbox fluid"
    AXLE_OIL = "axle oil"
    BRAKE_FLUID = "brake fluid"
    WASHER = "washer"


FLUID_LB_PER_GAL: Mapping[Fluid, Decimal] = {
    Fluid.GASOLINE: Decimal("6.1"),
    Fluid.DIESEL: Decimal("7.1"),
    Fluid.ENGINE_OIL: Decimal("7.3"),
    Fluid.COOLANT: Decimal("8.9"),
    Fluid.GEARBOX_FLUID: Decimal("7.3"),
    Fluid.AXLE_OIL: Decimal("7.3"),
    Fluid.BRAKE_FLUID: Decimal("8.9"),
    Fluid.WASHER: Decimal("8.2"),
}
"""Pounds a US gallon. Common practice, no source."""


def fluid_weight(kind: Fluid, gallons: Decimal, table: Mapping[Fluid, Decimal] = FLUID_LB_PER_GAL) -> Decimal:
    """Pounds of a drained fluid by its gallons; `table` is the yard's own where it differs."""
    if gallons < 0:
        raise WeightError(f"{gallons} gal of {kind}", "Type what was drained")
    return table[kind] * gallons
