"""The part label: number and side to read from afar, the rest at arm's length, no price and no seller."""

from labels.geometry import LARGE, QR_BOX, SMALL, STANDARD, Box, Paper
from labels.items import Frame, Item, Rule, Sign, Square, Strip, Words
from labels.records import PartLabel

SIZES = (STANDARD, SMALL, LARGE)
CAUTION = "Follow local rules and the maker's instructions."


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


def warning(hazards: tuple[str, ...]) -> str:
    """The hazards in words with the caution that goes with every one of them."""
    named = "; ".join(hazard.strip() for hazard in hazards if hazard.strip())
    return f"CAUTION: {named}. {CAUTION}" if named else ""


def donor_words(donor: str) -> str:
    """Which donor the part came off."""
    return f"off {donor}" if donor.strip() else ""


def marked(box: Box, text: str, cap: float, least: float, lines: int) -> list[Item]:
    """A caution in a thick frame; nothing at all where there is nothing to warn of."""
    if not text:
        return []
    return [Frame(box, 0.7), Words(box.inset(1.3), text, cap, least, lines)]


def _small(label: PartLabel) -> list[Item]:
    text = warning(label.hazards)
    items: list[Item] = [
        Square(Box(0.6, 0.4, QR_BOX, QR_BOX), label.tag),
        Sign(Box(26.2, 1.4, 29.8, 6.4), label.tag, 4.8),
        Sign(Box(26.2, 8.2, 11.4, 8.2), label.side, 6.4),
        Words(Box(38.2, 8.2, 17.8, 8.2), joined(label.condition, copy_words(label.copy)), 2.0, 1.3, 3),
        Words(Box(26.2, 16.6, 29.8, 5.6), label.part, 2.2, 1.4, 2),
        Words(Box(26.2, 22.2, 29.8, 3.2), label.family_years, 1.7, 1.3),
    ]
    if text:
        return [*items, Rule(Box(1.2, 26.2, 0.9, 4.8)), Words(Box(2.9, 26.2, 53.2, 4.8), text, 1.4, 1.3, 2)]
    facts = joined(donor_words(label.donor), label.date, label.note)
    return [*items, Words(Box(1.5, 26.4, 54.6, 4.6), facts, 1.6, 1.3, 2)]


def _standard(label: PartLabel) -> list[Item]:
    text = warning(label.hazards)
    facts = joined(label.condition, label.date, donor_words(label.donor), copy_words(label.copy))
    return [
        Square(Box(1.0, 1.0, QR_BOX, QR_BOX), label.tag),
        Sign(Box(27.6, 1.6, 49.0, 12.0), label.tag, 9.0),
        Sign(Box(79.2, 1.6, 20.4, 12.0), label.side, 9.0, "right"),
        Words(Box(27.6, 13.8, 72.4, 5.4), label.part, 3.0, 1.9),
        Words(Box(27.6, 19.2, 72.4, 4.4), label.family_years, 2.4, 1.6),
        Words(Box(27.6, 23.8, 46.0, 3.2), label.note, 1.8, 1.4),
        Words(Box(2.0, 27.2, 72.0, 3.8), facts, 2.1, 1.4),
        *marked(Box(2.0, 31.2, 71.6, 7.4), text, 1.5, 1.3, 2),
        Strip(Box(1.0, 39.4, 72.6, 10.2), label.tag),
        Square(Box(75.2, 24.4, QR_BOX, QR_BOX), label.tag),
    ]


def _large(label: PartLabel) -> list[Item]:
    facts = joined(label.condition, label.date, donor_words(label.donor))
    return [
        Sign(Box(2.4, 2.6, 96.8, 20.4), label.tag, 15.8),
        Rule(Box(2.4, 24.0, 96.8, 0.6)),
        Square(Box(1.2, 25.8, 34.0, 34.0), label.tag),
        Sign(Box(37.0, 27.6, 62.2, 20.4), label.side, 15.8),
        Words(Box(37.0, 50.0, 62.2, 9.4), joined(label.note, copy_words(label.copy)), 2.4, 1.8, 2),
        Words(Box(2.4, 61.6, 96.8, 16.4), label.part, 5.4, 3.0, 2),
        Words(Box(2.4, 78.4, 96.8, 11.0), label.family_years, 3.4, 2.2, 2),
        Words(Box(2.4, 89.8, 96.8, 6.6), facts, 3.0, 2.0),
        *marked(Box(2.4, 97.6, 96.8, 18.0), warning(label.hazards), 3.0, 1.8, 4),
        Strip(Box(1.2, 121.0, 63.6, 26.0), label.tag),
        Square(Box(66.4, 117.2, 34.0, 34.0), label.tag),
    ]
