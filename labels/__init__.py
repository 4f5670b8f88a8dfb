"""Draws labels, tickets and receipts from plain records and hands them to a printer.

Importing this package is cheap: what draws is loaded by the first call that draws.
"""

from pathlib import Path
from typing import TYPE_CHECKING

from labels.bench import BenchSheet, SheetArrow, SheetPoint, SheetRail
from labels.errors import LabelError, PayloadError, PrinterError, SizeError
from labels.printer import Sent
from labels.records import (
    PartLabel,
    PlaceLabel,
    Receipt,
    ReceiptLine,
    Record,
    VehicleLabel,
    WeightTicket,
)

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = [
    "BenchSheet",
    "LabelError",
    "PartLabel",
    "PayloadError",
    "PlaceLabel",
    "PrinterError",
    "Receipt",
    "ReceiptLine",
    "Record",
    "Sent",
    "SheetArrow",
    "SheetPoint",
    "SheetRail",
    "SizeError",
    "VehicleLabel",
    "WeightTicket",
    "draw",
    "draw_sheet",
    "save",
    "send",
    "sizes",
]


def draw(record: Record, *, size: str | None = None, dpi: int = 203) -> "Image":
    """The label as a one-bit picture at 203 or 300 dots an inch.

    `size` is one of `sizes(type(record))`, None the usual one. PayloadError for a tag that codes cannot
    carry, SizeError for an unknown size or resolution.
    """
    from labels import drawing

    return drawing.draw(record, size, dpi)


def draw_sheet(sheet: BenchSheet, *, dpi: int = 300) -> "Image":
    """A sheet of the bench as a one-bit picture on letter paper laid across, at 203 or 300 dots an inch."""
    from labels import bench, plot

    return plot.draw(bench.SHEET, bench.compose(sheet), dpi)


def sizes(kind: type[Record]) -> tuple[str, ...]:
    """Names of the sizes this kind of record is drawn in, the usual one first."""
    from labels import drawing

    return drawing.sizes(kind)


def save(image: "Image", path: str | Path, dpi: int = 203) -> Path:
    """Write a drawn label as PNG or PDF at its true size, by the suffix; `dpi` is what it was drawn at."""
    from labels import output

    return output.save(image, Path(path), dpi)


def send(path: str | Path, printer: str | None = None, copies: int = 1) -> Sent:
    """Hand a saved label to the system's `lp`; "sent" is all that is known. PrinterError where it fails."""
    from labels import printer as queue

    return queue.send(Path(path), printer, copies)
