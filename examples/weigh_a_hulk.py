"""Weigh a stripped hulk of the demo yard out: a swapped tare is refused, the ticket is drawn.

python examples/weigh_a_hulk.py [TICKET.pdf]
"""

from __future__ import annotations

import sys
import tempfile
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from app.book.boards import scale_board
from app.book.donors import donor_page
from app.book.papers import draw_paper, weight_paper
from app.book.scale import Weighing, weigh_out
from app.book.schema import Role
from app.book.work import Who, open_book
from app.errors import Refused
from app.fit.weights import WeightUnit
from seed_demo import build


def main(words: list[str]) -> None:
    """Weigh one hulk out of a demo built for the purpose."""
    with tempfile.TemporaryDirectory() as near:
        build(str(Path(near) / "demo.book"))
        book, who = open_book(str(Path(near) / "demo.book")), Who("SC", Role.SCALE, "scale")
        pages = [donor_page(book, hulk.stock_number) for hulk in scale_board(book).hulks]
        page = next(page for page in pages if page.balance is not None)
        assert page.balance is not None
        hulk = page.row.stock_number
        print(f"{hulk}, {page.row.vehicle}: {page.balance.words}")
        tare, net = Decimal(15_800), round(page.balance.expected / 20) * Decimal(20)
        right = Weighing(
            gross=tare + net, tare=tare, vehicle=hulk, price_cents=Decimal(212_00), price_unit=WeightUnit.GROSS_TON
        )
        try:
            weigh_out(book, who, replace(right, gross=tare, tare=tare + net))
        except Refused as refused:
            print(f"refused: {refused.in_one_line()}")
        ticket = weigh_out(book, who, right)
        print(f"ticket {ticket.number}: {ticket.gross:,} - {ticket.tare:,} = {ticket.net:,} {ticket.unit}")
        print(f"at 212.00 a gross ton: {Decimal(ticket.amount_cents or 0) / 100:,.2f}")
        file = Path(words[0]) if words else Path(near) / "ticket.pdf"
        print(f"drawn to {draw_paper(book, weight_paper(book, str(ticket.number)), file)}")
        book.close()


if __name__ == "__main__":
    main(sys.argv[1:])
