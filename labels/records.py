"""What goes on a label: plain frozen records whose strings are already worded for people.

A tag is at most 10 capitals and digits; it is the only thing the scanner codes carry. `copy` counts
reprints of the same number: 1 is the first and says nothing, 2 is marked "copy 2".
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PartLabel:
    """One part in the hand. Price, seller and the donor's full VIN have no field: customers read labels."""

    tag: str
    part: str
    side: str = ""
    """LH, RH or nothing."""
    family_years: str = ""
    condition: str = ""
    date: str = ""
    hazards: tuple[str, ...] = ()
    donor: str = ""
    copy: int = 1
    note: str = ""
    status: str = ""
    """What everybody must see first, such as a copy of a sold tag; on every size."""


@dataclass(frozen=True, slots=True)
class PlaceLabel:
    """A row, rack, shelf, bin or yard slot; `code` is what is said aloud, `tag` what is scanned."""

    tag: str
    code: str
    kind: str = ""
    limits: str = ""
    copy: int = 1


@dataclass(frozen=True, slots=True)
class VehicleLabel:
    """A donor standing in the yard; `words` name it without its VIN."""

    tag: str
    stock_number: str
    words: str
    date: str = ""
    warnings: tuple[str, ...] = ()
    copy: int = 1


@dataclass(frozen=True, slots=True)
class WeightTicket:
    """Gross, tare, deductions and net as the scale showed them, with the price and who weighed."""

    number: str
    tag: str
    kind: str
    gross_at: str
    tare_at: str
    scale: str
    party: str
    vehicle: str
    plate: str
    gross: str
    tare: str
    net: str
    unit: str
    division: str
    weigher: str
    deductions: tuple[tuple[str, str], ...] = ()
    """Words and amount of each, in the order they are taken off."""
    price: str = ""
    amount: str = ""
    commodity: str = ""
    yard: str = ""
    city: str = ""
    void_reason: str | None = None
    """Anything but None makes it a voided ticket; an empty reason is said to be missing."""
    manual_entry: bool = False
    """The weights were typed by a person and not read from the scale."""
    copy: int = 1


@dataclass(frozen=True, slots=True)
class ReceiptLine:
    """One thing sold: its tag, its name, what was said about its fit, what it cost."""

    tag: str
    words: str
    said: str
    amount: str


@dataclass(frozen=True, slots=True)
class Receipt:
    """A sale, drawn on a roll as long as it needs to be."""

    number: str
    tag: str
    lines: tuple[ReceiptLine, ...]
    totals: tuple[tuple[str, str], ...]
    date: str
    customer: str = ""
    seller: tuple[str, ...] = ()
    """The yard, one paragraph each."""
    state: str = ""
    """What everybody must see first, such as VOID or NOT PAID; nothing on a paid one."""
    state_words: str = ""
    footer: tuple[str, ...] = ()
    """Cautions and terms, one paragraph each."""
    copy: int = 1


Record = PartLabel | PlaceLabel | VehicleLabel | WeightTicket | Receipt
