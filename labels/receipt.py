"""The sale receipt on an 80 mm roll: everything said about the sale in full, so its length follows its words."""

from labels import text
from labels.geometry import QR_BOX, ROLL, Box, Paper
from labels.items import Align, Frame, Item, Rule, Sign, Square, Strip, Words
from labels.part import copy_words, joined
from labels.records import Receipt, ReceiptLine

SIZES = (ROLL,)
_LEFT, _WIDTH = 4.0, 72.0
"""The printing width of an 80 mm roll is 72 mm."""
SHARE = 0.68
"""Of the width, for the words beside an amount."""
_STATE = 15.0
"""Height of the frame that says a receipt is void or not paid, mm."""


class _Roll:
    """Pieces laid one under the other; `top` is where the next one goes, mm."""

    def __init__(self, top: float) -> None:
        self.items: list[Item] = []
        self.top = top

    def write(self, words: str, cap: float, *, left: float = 0.0, align: Align = "left") -> None:
        """A paragraph in full, as many rows as it takes."""
        width = _WIDTH - left
        rows = len(text.wrap(text.plain(words), text.columns_in(width, cap)))
        if rows:
            box = Box(_LEFT + left, self.top, width, text.height_of(rows, cap))
            self.items.append(Words(box, words, cap, cap, rows, align))
            self.top = box.bottom

    def pair(self, words: str, amount: str, cap: float) -> None:
        """Words on the left in full, an amount on the right on their first row."""
        columns = text.columns_in(_WIDTH * SHARE, cap)
        rows = max(1, len(text.wrap(text.plain(words), columns)))
        left, right = Box(_LEFT, self.top, _WIDTH, text.height_of(rows, cap)).split(_WIDTH * SHARE)
        amount_box = Box(right.left, right.top, right.width, text.height_of(1, cap))
        self.items.append(Words(left, words, cap, cap, rows))
        self.items.append(Words(amount_box, amount, cap, cap * 0.4, 1, "right"))
        self.top = left.bottom

    def rule(self) -> None:
        """A thin line with air around it."""
        self.items.append(Rule(Box(_LEFT, self.top + 1.2, _WIDTH, 0.3)))
        self.top += 2.8

    def gap(self, height: float) -> None:
        """Blank paper, mm."""
        self.top += height


def lay_out(receipt: Receipt) -> tuple[Paper, list[Item]]:
    """The pieces of the receipt and the length of roll they take."""
    roll = _Roll(_LEFT)
    _head(roll, receipt)
    for line in receipt.lines:
        _line(roll, line)
    roll.rule()
    _totals(roll, receipt)
    _foot(roll, receipt)
    return Paper(ROLL.name, ROLL.width, roll.top + _LEFT), roll.items


def _head(roll: _Roll, receipt: Receipt) -> None:
    top = roll.top
    roll.items += [
        Square(Box(_LEFT + _WIDTH - QR_BOX, top, QR_BOX, QR_BOX), receipt.tag),
        Words(Box(_LEFT, top + 1.0, 45.0, 4.4), joined("RECEIPT", copy_words(receipt.copy)), 2.4, 1.6),
        Sign(Box(_LEFT, top + 6.0, 45.0, 8.2), receipt.number, 6.0),
        Words(Box(_LEFT, top + 15.4, 45.0, 4.4), receipt.date, 2.2, 1.4),
    ]
    roll.top = top + QR_BOX + 1.0
    _state(roll, receipt)
    for words in receipt.seller:
        roll.write(words, 2.2)
    if receipt.customer.strip():
        roll.write(f"to {receipt.customer}", 2.2)
    roll.rule()


def _state(roll: _Roll, receipt: Receipt) -> None:
    if receipt.state:
        box = Box(_LEFT, roll.top, _WIDTH, _STATE)
        mark, words = box.inset(1.8).split(_WIDTH / 2 if receipt.state_words else _WIDTH - 3.6)
        roll.items += [Frame(box, 1.0), Sign(mark, receipt.state, 8.0)]
        roll.items += [Words(words, receipt.state_words, 2.4, 1.5, 4)] if receipt.state_words else []
        roll.top = box.bottom + 1.6


def _line(roll: _Roll, line: ReceiptLine) -> None:
    roll.pair(line.words, line.amount, 2.4)
    roll.write(line.tag, 1.9)
    roll.write(line.said, 1.9, left=3.0)
    roll.gap(1.6)


def _totals(roll: _Roll, receipt: Receipt) -> None:
    for place, (label, amount) in enumerate(receipt.totals, start=1):
        roll.pair(label, amount, 3.2 if place == len(receipt.totals) else 2.2)
    roll.rule()


def _foot(roll: _Roll, receipt: Receipt) -> None:
    for words in receipt.footer:
        roll.write(words, 1.7)
        roll.gap(1.2)
    roll.items.append(Strip(Box(_LEFT, roll.top + 1.0, _WIDTH, 12.0), receipt.tag))
    roll.top += 14.0
    roll.items += [
        Square(Box(_LEFT, roll.top, QR_BOX, QR_BOX), receipt.tag),
        Sign(Box(_LEFT + 28.0, roll.top + 8.0, 44.0, 8.2), receipt.tag, 6.0),
    ]
    roll.top += QR_BOX
