"""The part label: number and side to read from afar, the rest at arm's length, no price and no seller."""

from labels.geometry import LARGE, QR_BOX, SMALL, STANDARD, Box, Paper
from labels.items import Frame, Item, Rule, Sign, Square, Strip, Words
from labels.records import PartLabel

SIZES = (STANDARD, SMALL, LARGE)
CAUTION = "Follow local rules and the maker's instructions."
CAUTION_ROW = 3.9
"""Height of the row of the caution, mm: its 48 characters fill a label 4 inches wide."""
LEAST_CAP = 1.3
"""Height of the smallest capital on any label, mm."""


def compose(label: PartLabel, paper: Paper) -> list[Item]:
    """The pieces of the label on one of SIZES."""
    if paper == SMALL:
        return _small(label)
    return _large(label) if paper == LARGE else _standard(label)


def joined(*words: str) -> str:
    """The words that are there, with a raised dot between them."""
    return " · ".join(word for word in words if word.strip())


def copy_words(copy: int) -> str:
    """ "copy 2" and on; the first says nothing."""
    return f"copy {copy}" if copy > 1 else ""


def named(hazards: tuple[str, ...]) -> str:
    """The hazards in words on one line, or nothing."""
    words = "; ".join(hazard.strip() for hazard in hazards if hazard.strip())
    return f"CAUTION: {words}" if words else ""


def donor_words(donor: str) -> str:
    """Which donor the part came off."""
    return f"off {donor}" if donor.strip() else ""


def marked(box: Box, hazards: tuple[str, ...], cap: float, lines: int) -> list[Item]:
    """The hazards in a thick frame, above the caution that goes with every one of them and is never shortened.

    Nothing at all where there is nothing to warn of. `cap` is the height of a capital of the hazards, mm.
    """
    text = named(hazards)
    if not text:
        return []
    inner = box.inset(1.3)
    foot = min(CAUTION_ROW, inner.height * 0.35)
    upper = Box(inner.left, inner.top, inner.width, inner.height - foot)
    lower = Box(inner.left, upper.bottom, inner.width, foot)
    return [
        Frame(box, 0.7),
        Words(upper, text, cap, LEAST_CAP, lines),
        Words(lower, CAUTION, foot / 1.75, LEAST_CAP),
    ]


def _small(label: PartLabel) -> list[Item]:
    state = joined(label.status, label.condition, label.date, copy_words(label.copy))
    beside_side = Box(38.0, 7.6, 17.8, 7.4) if label.side.strip() else Box(26.2, 7.6, 29.6, 7.4)
    items: list[Item] = [
        Square(Box(0.6, 0.4, QR_BOX, QR_BOX), label.tag),
        Sign(Box(26.2, 1.0, 29.6, 6.2), label.tag, 4.8),
        Sign(Box(26.2, 7.4, 10.8, 7.6), label.side, 6.0),
        Words(beside_side, state, 1.9, LEAST_CAP, 3),
        Words(Box(26.2, 15.2, 29.6, 5.4), label.part, 2.2, LEAST_CAP, 2),
        Words(Box(26.2, 20.8, 29.6, 4.8), label.family_years, 1.6, LEAST_CAP, 2),
    ]
    text = named(label.hazards)
    if text:
        return [
            *items,
            Rule(Box(1.2, 26.2, 0.9, 4.8)),
            Words(Box(2.9, 26.1, 53.0, 2.5), text, 1.4, LEAST_CAP),
            Words(Box(2.9, 28.6, 53.0, 2.5), CAUTION, 1.4, LEAST_CAP),
        ]
    facts = joined(donor_words(label.donor), label.note)
    return [*items, Words(Box(1.5, 26.2, 54.4, 4.8), facts, 1.6, LEAST_CAP, 2)]


def _standard(label: PartLabel) -> list[Item]:
    facts = joined(label.condition, label.date, donor_words(label.donor), copy_words(label.copy))
    hazards = marked(Box(2.0, 30.9, 71.6, 9.7), label.hazards, 1.8, 2)
    strip_top = 41.2 if hazards else 34.0
    return [
        Square(Box(1.0, 1.0, QR_BOX, QR_BOX), label.tag),
        Sign(Box(27.6, 1.6, 49.0, 12.0), label.tag, 9.0),
        Sign(Box(79.2, 1.6, 20.4, 12.0), label.side, 9.0, "right"),
        Words(Box(27.6, 13.6, 72.0, 5.0), label.part, 3.0, 1.9),
        Words(Box(27.6, 18.6, 72.0, 4.0), label.family_years, 2.4, 1.6),
        Words(Box(27.6, 22.6, 46.0, 4.4), joined(label.status, label.note), 1.8, 1.3, 2),
        Words(Box(2.0, 27.0, 72.0, 3.7), facts, 2.1, 1.4),
        *hazards,
        Strip(Box(1.0, strip_top, 72.6, 49.6 - strip_top), label.tag),
        Square(Box(75.2, 24.4, QR_BOX, QR_BOX), label.tag),
    ]


def _large(label: PartLabel) -> list[Item]:
    facts = joined(label.condition, label.date, donor_words(label.donor))
    hazards = marked(Box(2.4, 97.6, 96.8, 18.0), label.hazards, 3.0, 3)
    strip_top = 121.0 if hazards else 104.0
    return [
        Sign(Box(2.4, 2.6, 96.8, 20.4), label.tag, 15.8),
        Rule(Box(2.4, 24.0, 96.8, 0.6)),
        Square(Box(1.2, 25.8, 34.0, 34.0), label.tag),
        Sign(Box(37.0, 27.6, 62.2, 20.4), label.side, 15.8),
        Words(Box(37.0, 50.0, 62.2, 9.4), joined(label.status, label.note, copy_words(label.copy)), 2.4, 1.8, 2),
        Words(Box(2.4, 61.6, 96.8, 16.4), label.part, 5.4, 3.0, 2),
        Words(Box(2.4, 78.4, 96.8, 11.0), label.family_years, 3.4, 2.2, 2),
        Words(Box(2.4, 89.8, 96.8, 6.6), facts, 3.0, 2.0),
        *hazards,
        Strip(Box(1.2, strip_top, 63.6, 147.0 - strip_top), label.tag),
        Square(Box(66.4, 117.2, 34.0, 34.0), label.tag),
    ]
