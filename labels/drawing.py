"""Which record is drawn how, on which papers."""

from typing import TYPE_CHECKING

from labels import part, place, receipt, ticket, vehicle
from labels.errors import SizeError
from labels.geometry import Paper
from labels.items import Item
from labels.payload import checked
from labels.records import PartLabel, PlaceLabel, Receipt, Record, VehicleLabel, WeightTicket
from labels.render import render

if TYPE_CHECKING:
    from PIL.Image import Image

_SIZES: dict[type, tuple[Paper, ...]] = {
    PartLabel: part.SIZES,
    PlaceLabel: place.SIZES,
    VehicleLabel: vehicle.SIZES,
    WeightTicket: ticket.SIZES,
    Receipt: receipt.SIZES,
}


def sizes(kind: type[Record]) -> tuple[str, ...]:
    """Names of the sizes this kind of record is drawn in, the usual one first."""
    return tuple(paper.name for paper in _SIZES[kind])


def lay_out(record: Record, size: str | None = None) -> tuple[Paper, list[Item]]:
    """The paper and the pieces of a label, all in mm. PayloadError for a bad tag, SizeError for a bad size."""
    checked(record.tag)
    paper = _paper(record, size)
    match record:
        case PartLabel():
            return paper, part.compose(record, paper)
        case PlaceLabel():
            return paper, place.compose(record, paper)
        case VehicleLabel():
            return paper, vehicle.compose(record, paper)
        case WeightTicket():
            long = ticket.paper_for(record)
            return long, ticket.compose(record, long)
        case Receipt():
            return receipt.lay_out(record)


def draw(record: Record, size: str | None = None, dpi: int = 203) -> "Image":
    """The label as a one-bit picture at `dpi` dots an inch."""
    paper, items = lay_out(record, size)
    return render(paper, items, dpi)


def _paper(record: Record, size: str | None) -> Paper:
    papers = _SIZES[type(record)]
    for paper in papers:
        if size is None or paper.name == size:
            return paper
    known = ", ".join(paper.name for paper in papers)
    raise SizeError(f"This label is not drawn in the size {size!r}", f"Choose from: {known}")
