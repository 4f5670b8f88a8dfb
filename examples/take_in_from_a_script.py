"""Take a vehicle in from a script: the plate is read twice, a slip of the pen is refused with suggestions.

    python examples/take_in_from_a_script.py

The same use cases stand behind the screens and the commands; a script calls them with plain dataclasses.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from app.book.donors import donor_page
from app.book.intake import TakeIn, take_in
from app.book.plates import WrongVin, read_plate
from app.book.schema import Paper, Role
from app.book.work import Who, open_book
from app.fit.vin import Reading, check_digit
from seed_demo import build


def main() -> None:
    """Build a demo, take one truck into it, show its page."""
    start, end = "0RVHLW4V", "8T900001"
    vin = f"{start}{check_digit(f'{start}0{end}')}{end}"
    slip = vin.replace("W", "V", 1)
    with tempfile.TemporaryDirectory() as near:
        build(str(Path(near) / "demo.book"))
        book, who = open_book(str(Path(near) / "demo.book")), Who("IN", Role.INTAKE, "intake")
        try:
            read_plate(book, who, [Reading("dash", slip)])
        except WrongVin as wrong:
            print(f"refused: {wrong.title}; perhaps {', '.join(each.vin for each in wrong.suggestions[:3])}")
        taken = take_in(
            book,
            who,
            TakeIn(
                readings=(Reading("dash", vin), Reading("door label", vin)),
                model="HL2",
                built="2007-11",
                miles=141_000,
                paper=Paper.SALVAGE,
                source="auction",
                price_cents=1_150_00,
                fee_cents=310_00,
                tow_cents=135_00,
                facts={"drive": "4x4", "towing": "yes"},
            ),
        )
        print(f"{taken.stock_number} is {taken.vehicle}, landed at {taken.landed_cents / 100:,.2f}")
        page = donor_page(book, taken.stock_number)
        print("by group:", "; ".join(f"{group} {name}" for group, name in page.identities))
        book.close()


if __name__ == "__main__":
    main()
