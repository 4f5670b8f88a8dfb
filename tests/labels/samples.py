"""Invented labels, tickets and receipts, and an independent decoder, for the tests of the labels."""

import zxingcpp
from PIL import Image

from labels import PartLabel, PlaceLabel, Receipt, ReceiptLine, Record, VehicleLabel, WeightTicket

TAG = "P7K3M9H"
LONGEST_TAG = "ZW7K3M9QHX"
HAZARDS = ("airbag, live: keep away from heat and sparks", "spring under load")


def part(tag: str = TAG, **other: object) -> PartLabel:
    words: dict[str, object] = {
        "part": "lower control arm",
        "side": "RH",
        "family_years": "Dunmarsh Longwagon 2007–2013 light",
        "condition": "B usable",
        "date": "4 Mar 2026",
        "donor": "D13",
        "note": "ball joint tight, one bushing cracked",
    }
    return PartLabel(tag, **(words | other))  # type: ignore[arg-type]


def place(tag: str = TAG, **other: object) -> PlaceLabel:
    words: dict[str, object] = {"code": "A1-2", "kind": "shelf", "limits": "60 lb a piece · 12 pieces"}
    return PlaceLabel(tag, **(words | other))  # type: ignore[arg-type]


def vehicle(tag: str = TAG, **other: object) -> VehicleLabel:
    words: dict[str, object] = {
        "stock_number": "D13",
        "words": "2008 Dunmarsh Longwagon, regular cab, 4x4, gray",
        "date": "4 Mar 2026",
        "warnings": ("airbags live", "fuel in tank"),
    }
    return VehicleLabel(tag, **(words | other))  # type: ignore[arg-type]


def ticket(tag: str = TAG, **other: object) -> WeightTicket:
    words: dict[str, object] = {
        "number": "W-000123",
        "kind": "outbound",
        "gross_at": "4 Mar 2026 10:02",
        "tare_at": "4 Mar 2026 10:31",
        "scale": "truck scale 1",
        "party": "mill at Nearwater",
        "vehicle": "hulk D13, 2008 Longwagon",
        "plate": "AB 12 345",
        "gross": "21,980",
        "tare": "17,460",
        "net": "4,380",
        "unit": "lb",
        "division": "20 lb",
        "weigher": "scale hand 2",
        "deductions": (("dirt, 2 percent", "90"), ("tires, 4", "50")),
        "price": "212.00 a gross ton (2,240 lb)",
        "amount": "414.54",
        "commodity": "complete hulk for the shredder",
        "yard": "Quarry Road Yard",
        "city": "Port Alder",
    }
    return WeightTicket(tag=tag, **(words | other))  # type: ignore[arg-type]


def receipt(tag: str = TAG, **other: object) -> Receipt:
    words: dict[str, object] = {
        "number": "S-000045",
        "lines": (
            ReceiptLine("P7K3M9H", "lower control arm RH", "bolts up: the same arm, 17.25 in", "75.00"),
            ReceiptLine("P8K3M9H", "steering gear", "as a set with the intermediate shaft", "140.00"),
        ),
        "totals": (("subtotal", "215.00"), ("tax 7.25 %", "15.59"), ("total", "230.59")),
        "date": "4 Mar 2026 10:02",
        "customer": "counter customer",
        "seller": ("Quarry Road Yard", "Port Alder"),
        "footer": ("Steering: fit by the maker's instructions; follow local rules.",),
    }
    return Receipt(tag=tag, **(words | other))  # type: ignore[arg-type]


MAKERS = (part, place, vehicle, ticket, receipt)


def every_kind(tag: str = TAG) -> list[Record]:
    return [make(tag) for make in MAKERS]


def decoded(image: Image.Image) -> list[tuple[str, str]]:
    """Kind and text of every code found: "QR" or "strip"."""
    formats = zxingcpp.barcode_formats_from_str("QRCode,Code128")
    found = zxingcpp.read_barcodes(image.convert("L"), formats=formats)
    kinds = {zxingcpp.BarcodeFormat.Code128: "strip"}
    return sorted((kinds.get(code.format, "QR"), code.text) for code in found)
