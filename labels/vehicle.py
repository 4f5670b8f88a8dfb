"""The vehicle label: the stock number to read across the yard, and what not to do to the vehicle."""

from labels.geometry import LARGE, QR_BOX, STANDARD, Box, Paper
from labels.items import Item, Rule, Sign, Square, Strip, Words
from labels.part import copy_words, joined, marked
from labels.records import VehicleLabel

SIZES = (LARGE, STANDARD)


def compose(label: VehicleLabel, paper: Paper) -> list[Item]:
    """The pieces of the label on one of SIZES."""
    return _large(label) if paper == LARGE else _standard(label)


def _large(label: VehicleLabel) -> list[Item]:
    hazards = marked(Box(2.4, 89.4, 96.8, 25.6), label.warnings, 3.4, 4)
    strip_top = 121.0 if hazards else 96.0
    return [
        Sign(Box(2.4, 2.6, 96.8, 26.4), label.stock_number, 21.0),
        Rule(Box(2.4, 30.4, 96.8, 0.6)),
        Sign(Box(2.4, 32.0, 96.8, 20.4), label.tag, 15.8),
        Square(Box(1.2, 53.4, 34.0, 34.0), label.tag),
        Words(Box(37.0, 56.0, 62.2, 22.8), label.words, 4.2, 2.4, 4),
        Words(Box(37.0, 80.0, 62.2, 6.0), joined(label.date, copy_words(label.copy)), 2.8, 1.8),
        *hazards,
        Strip(Box(1.2, strip_top, 63.6, 147.0 - strip_top), label.tag),
        Square(Box(66.4, 117.2, 34.0, 34.0), label.tag),
    ]


def _standard(label: VehicleLabel) -> list[Item]:
    hazards = marked(Box(2.0, 30.9, 71.6, 9.7), label.warnings, 1.8, 2)
    strip_top = 41.2 if hazards else 34.0
    return [
        Square(Box(1.0, 1.0, QR_BOX, QR_BOX), label.tag),
        Sign(Box(27.6, 1.6, 40.0, 12.0), label.stock_number, 9.0),
        Sign(Box(69.0, 1.6, 30.6, 12.0), label.tag, 5.6, "right"),
        Words(Box(27.6, 14.0, 72.4, 9.4), label.words, 2.6, 1.6, 2),
        Words(Box(2.0, 27.0, 72.0, 3.7), joined(label.date, copy_words(label.copy)), 2.1, 1.4),
        *hazards,
        Strip(Box(1.0, strip_top, 72.6, 49.6 - strip_top), label.tag),
        Square(Box(75.2, 24.4, QR_BOX, QR_BOX), label.tag),
    ]
