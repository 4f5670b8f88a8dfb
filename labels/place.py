"""The place label: the code big enough to find from the aisle, the tag for the scanner."""

from labels.geometry import QR_BOX, SIGN, STANDARD, Box, Paper
from labels.items import Item, Rule, Sign, Square, Strip, Words
from labels.part import copy_words, joined
from labels.records import PlaceLabel

SIZES = (SIGN, STANDARD)


def compose(label: PlaceLabel, paper: Paper) -> list[Item]:
    """The pieces of the label on one of SIZES."""
    return _sign(label) if paper == SIGN else _standard(label)


def _sign(label: PlaceLabel) -> list[Item]:
    """Letters 50 mm and a QR of 100 mm without its quiet zone, on a sheet of 11 by 8.5 inches."""
    return [
        Sign(Box(8.0, 6.0, 263.4, 62.0), label.code, 51.0),
        Rule(Box(8.0, 70.0, 263.4, 1.2)),
        Square(Box(3.0, 75.0, 136.0, 136.0), label.tag),
        Sign(Box(146.0, 80.0, 125.4, 18.0), label.tag, 14.0),
        Words(Box(146.0, 99.0, 125.4, 20.0), label.kind, 8.0, 5.0),
        Words(Box(146.0, 121.0, 125.4, 32.0), label.limits, 6.0, 3.0, 3),
        Strip(Box(142.0, 156.0, 78.0, 48.0), label.tag),
        Square(Box(223.0, 154.0, 52.0, 52.0), label.tag),
        Words(Box(146.0, 205.6, 74.0, 6.4), copy_words(label.copy), 3.4, 1.8),
    ]


def _standard(label: PlaceLabel) -> list[Item]:
    return [
        Square(Box(1.0, 1.0, QR_BOX, QR_BOX), label.tag),
        Sign(Box(27.6, 1.8, 72.0, 21.6), label.code, 17.0),
        Words(Box(2.0, 27.0, 72.0, 5.2), joined(label.kind, copy_words(label.copy)), 2.6, 1.6),
        Words(Box(2.0, 32.4, 44.0, 6.4), label.limits, 1.9, 1.4, 2),
        Words(Box(47.0, 32.6, 26.6, 6.0), label.tag, 3.2, 1.6, align="right"),
        Strip(Box(1.0, 39.4, 72.6, 10.2), label.tag),
        Square(Box(75.2, 24.4, QR_BOX, QR_BOX), label.tag),
    ]
