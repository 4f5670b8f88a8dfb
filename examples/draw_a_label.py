"""Draw the label of a part: big letters, a QR and a bar strip that say the same tag.

    python examples/draw_a_label.py [FILE.png or FILE.pdf]

Drawing needs the `labels` package alone: a plain record goes in, a file comes out. Only the tag, with its
check character, is the yard's.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import labels
from app.book.tags import TagKind, make_tag


def main(words: list[str]) -> None:
    """Draw one label and say where it is."""
    label = labels.PartLabel(
        tag=make_tag(TagKind.PART, 1),
        part="front lower control arm",
        side="RH",
        family_years="Hestrow light 2006-2012",
        condition="B",
        date="2026-03-04",
        hazards=("spring under load",),
        donor="D14",
    )
    target = Path(words[0]) if words else Path(tempfile.mkdtemp()) / "label.png"
    labels.save(labels.draw(label, size="standard", dpi=300), target, dpi=300)
    print(f"{label.tag} drawn to {target}, {target.stat().st_size:,} bytes")
    print(f"other sizes: {', '.join(labels.sizes(labels.PartLabel))}")


if __name__ == "__main__":
    main(sys.argv[1:])
