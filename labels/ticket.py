"""The weight ticket: the figures as the scale showed them, one under the other, and who stands for them."""

from labels.geometry import QR_BOX, TICKET, Box, Paper
from labels.items import Frame, Item, Rule, Sign, Square, Strip, Words
from labels.part import copy_words, joined
from labels.records import WeightTicket

SIZES = (TICKET,)
BY_HAND = "weights typed by hand"
_LESS = "less "
_LEFT, _WIDTH = 3.0, 95.6
_HEAD, _FOOT = 29.4, 27.4
_LEAST_ROW, _FULL_ROW = 4.0, 5.2


def compose(ticket: WeightTicket, paper: Paper) -> list[Item]:
    """The pieces of the ticket on the paper that `paper_for` gives."""
    rows_top = _HEAD + _void_height(ticket)
    rows = _rows(ticket)
    pitch = min(_FULL_ROW, (paper.height - _FOOT - rows_top) / _units(rows))
    return [*_head(ticket), *_void(ticket), *_figures(rows, rows_top, pitch), *_foot(ticket, paper)]


def paper_for(ticket: WeightTicket) -> Paper:
    """4 by 6 inches; longer only where so many deductions would not be readable on it."""
    needed = _HEAD + _void_height(ticket) + _FOOT + _units(_rows(ticket)) * _LEAST_ROW
    return Paper(TICKET.name, TICKET.width, max(TICKET.height, needed))


def _head(ticket: WeightTicket) -> list[Item]:
    marks = joined(copy_words(ticket.copy), BY_HAND if ticket.manual_entry else "")
    return [
        Words(Box(_LEFT, 2.4, 68.0, 5.6), joined("WEIGHT TICKET", ticket.kind), 2.8, 1.8),
        Sign(Box(_LEFT, 8.4, 68.0, 10.6), ticket.number, 8.0),
        Words(Box(_LEFT, 19.4, 34.0, 4.4), ticket.tag, 2.6, 1.6),
        Words(Box(_LEFT, 23.8, 68.0, 4.4), marks, 2.6, 1.8),
        Square(Box(74.6, 1.4, QR_BOX, QR_BOX), ticket.tag),
        Rule(Box(_LEFT, 28.4, _WIDTH, 0.5)),
    ]


def _void_height(ticket: WeightTicket) -> float:
    return 0.0 if ticket.void_reason is None else 19.0


def _void(ticket: WeightTicket) -> list[Item]:
    if ticket.void_reason is None:
        return []
    box = Box(_LEFT, _HEAD + 0.6, _WIDTH, 17.4)
    mark, words = box.inset(1.8).split(38.0)
    reason = ticket.void_reason.strip() or "no reason given"
    return [Frame(box, 1.0), Sign(mark, "VOID", 10.5), Words(words, reason, 2.6, 1.6, 4)]


def _weight(figure: str, unit: str) -> str:
    return f"{figure} {unit}".strip() if figure.strip() else ""


def _rows(ticket: WeightTicket) -> list[tuple[str, str, float]]:
    """Label, value and weight of each row: 1 is a plain row, 2 the net, 0 a rule above what follows."""
    who = [
        ("commodity", ticket.commodity, 1.0),
        ("party", ticket.party, 1.0),
        ("yard", joined(ticket.yard, ticket.city), 1.0),
        ("vehicle" if ticket.vehicle.strip() else "plate", joined(ticket.vehicle, ticket.plate), 1.0),
        ("scale", joined(ticket.scale, f"steps of {ticket.division}" if ticket.division else ""), 1.0),
    ]
    weights = [
        ("gross", joined(ticket.gross_at, _weight(ticket.gross, ticket.unit)), 1.0),
        ("tare", joined(ticket.tare_at, _weight(ticket.tare, ticket.unit)), 1.0),
        *((f"{_LESS}{words}", _weight(amount, ticket.unit), 1.0) for words, amount in ticket.deductions),
        ("NET", _weight(ticket.net, ticket.unit), 2.0),
    ]
    money = [("price", ticket.price, 1.0), ("amount", ticket.amount, 1.0), ("weighed by", ticket.weigher, 1.0)]
    rule = ("", "", 0.0)
    kept = [[row for row in group if row[1].strip()] for group in (who, weights, money)]
    return [row for group in kept if group for row in (*group, rule)][:-1]


def _units(rows: list[tuple[str, str, float]]) -> float:
    """Height of the rows in plain rows; a rule takes half of one."""
    return sum(weight or 0.5 for _, _, weight in rows)


def _figures(rows: list[tuple[str, str, float]], top: float, pitch: float) -> list[Item]:
    items: list[Item] = []
    for label, value, weight in rows:
        if not weight:
            items.append(Rule(Box(_LEFT, top + pitch * 0.2, _WIDTH, 0.25)))
            top += pitch * 0.5
            continue
        height = pitch * weight
        cap = min(2.3 * weight, height * 0.5)
        name, rest = Box(_LEFT, top, _WIDTH, height).split(62.0 if label.startswith(_LESS) else 30.0)
        items += [
            Words(name, label, min(cap, 3.4), 1.3),
            Words(rest, value, cap, 1.3, align="right"),
        ]
        top += height
    return items


def _foot(ticket: WeightTicket, paper: Paper) -> list[Item]:
    top = paper.height - 26.8
    return [
        Strip(Box(1.4, top + 3.0, 72.0, 20.0), ticket.tag),
        Square(Box(74.6, top, QR_BOX, QR_BOX), ticket.tag),
    ]
