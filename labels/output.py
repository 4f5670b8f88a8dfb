"""A drawn label as a file that prints at its true size."""

from pathlib import Path
from typing import TYPE_CHECKING

from labels.errors import SizeError

if TYPE_CHECKING:
    from PIL.Image import Image


def save(image: "Image", path: Path, dpi: int) -> Path:
    """Write PNG or PDF by the suffix of `path` and return the path.

    The PNG carries its dots an inch; the PDF page has the paper's size. SizeError for any other suffix;
    OSError where the file cannot be written.
    """
    suffix = path.suffix.lower()
    if suffix == ".png":
        image.save(path, "PNG", dpi=(dpi, dpi))
    elif suffix == ".pdf":
        image.save(path, "PDF", resolution=float(dpi))
    else:
        raise SizeError(f"A label is not saved as {path.name!r}", "End the file name in .png or .pdf")
    return path
