"""Papers and boxes in millimeters, and the one place where millimeters become printer dots."""

import math
from dataclasses import dataclass

from labels.errors import SizeError

MM_PER_INCH = 25.4
RESOLUTIONS = (203, 300)
"""Dots an inch of the label printers drawn for."""

QR_BOX = 25.4
"""Smallest square, mm, that takes a version 2 QR with its quiet zone at 0.75 mm a module on both printers."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the paper, mm from its top left corner."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The right edge, mm."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """The lower edge, mm."""
        return self.top + self.height

    def inset(self, by: float) -> "Box":
        """The same rectangle, smaller by `by` mm on each side."""
        return Box(self.left + by, self.top + by, self.width - 2 * by, self.height - 2 * by)

    def split(self, left: float) -> tuple["Box", "Box"]:
        """This rectangle cut into its first `left` mm of width and the rest."""
        rest = Box(self.left + left, self.top, self.width - left, self.height)
        return Box(self.left, self.top, left, self.height), rest


@dataclass(frozen=True, slots=True)
class Paper:
    """A label or sheet by its size in mm."""

    name: str
    width: float
    height: float


SMALL = Paper("small", 2.25 * MM_PER_INCH, 1.25 * MM_PER_INCH)
STANDARD = Paper("standard", 4 * MM_PER_INCH, 2 * MM_PER_INCH)
LARGE = Paper("large", 4 * MM_PER_INCH, 6 * MM_PER_INCH)
SIGN = Paper("sign", 11 * MM_PER_INCH, 8.5 * MM_PER_INCH)
TICKET = Paper("ticket", 4 * MM_PER_INCH, 6 * MM_PER_INCH)
ROLL = Paper("roll", 80.0, 0.0)
"""The receipt roll: its length follows the content."""


@dataclass(frozen=True, slots=True)
class Grid:
    """The dots of one printer."""

    dpi: int

    def __post_init__(self) -> None:
        if self.dpi not in RESOLUTIONS:
            known = " or ".join(str(dpi) for dpi in RESOLUTIONS)
            raise SizeError(f"Labels are not drawn at {self.dpi} dots an inch", f"Use {known}")

    def dots(self, mm: float) -> int:
        """The nearest whole number of dots to a length in mm."""
        return math.floor(mm * self.dpi / MM_PER_INCH + 0.5)

    def mm(self, dots: int) -> float:
        """The length in mm of a number of dots."""
        return dots * MM_PER_INCH / self.dpi

    def edges(self, box: Box) -> tuple[int, int, int, int]:
        """Left, top, right and lower edge of a box in dots; boxes that touch in mm touch in dots."""
        return self.dots(box.left), self.dots(box.top), self.dots(box.right), self.dots(box.bottom)
