"""Taking a vehicle in, or turning it away."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from app.commands.desk import Desk, YardCommand, given
from app.commands.kinds import DAY, FACT, MILES, MOMENT, MONEY, READING, YEAR, Named, OneOf, Whole
from app.commands.show import lines_of, money, pairs, when
from app.errors import BadInput
from app.fit.terms import Group

if TYPE_CHECKING:
    from app.book.intake import Seller, TakenIn, TurnedAway

PAPER = OneOf("paper", "app.book.schema:Paper")
SELLER = ("seller_name", "seller_phone", "seller_address", "id_kind", "id_number", "id_expires", "title_name")


def _seller_options(command: Any) -> Any:
    options = (
        click.option("--title-name", metavar="NAME", help="The name on the title."),
        click.option("--id-expires", type=DAY, help="When the photo ID expires."),
        click.option("--id-number", metavar="TEXT", help="Number of the photo ID."),
        click.option("--id-kind", metavar="TEXT", help="What ID it is."),
        click.option("--seller-address", metavar="TEXT", help="The seller's address."),
        click.option("--seller-phone", metavar="TEXT", help="The seller's phone."),
        click.option("--seller-name", metavar="NAME", help="Who sells it."),
    )
    for option in options:
        command = option(command)
    return command


@click.command("take-in", cls=YardCommand)
@click.option(
    "--vin", "readings", multiple=True, type=READING, help="One reading; SOURCE is dash, door label, frame stamp …"
)
@click.option(
    "--no-vin", "no_vin_reason", metavar="WHY", help="Why there is no valid VIN (import, before 1981, burnt)."
)
@click.option("--one-reading", "one_reading_reason", metavar="WHY", help="Why the VIN was read in one place only.")
@click.option("--model", metavar="TEXT", help='Model key, or words such as "longwagon light".')
@click.option("--year", type=YEAR, help="Model year, where the VIN leaves it open.")
@click.option("--built", metavar="YYYY-MM", help="Build month from the door label.")
@click.option("--words", metavar="TEXT", help="The vehicle in words, when no model of the book is meant.")
@click.option("--miles", type=MILES, help="Odometer miles; leave out when not known.")
@click.option("--keys", type=Whole("count", 0, 99), help="How many keys came with it.")
@click.option(
    "--paper",
    type=PAPER,
    help='"clean title", "salvage title", "rebuilt title", "parts only", "certificate of '
    'destruction", "bill of sale", "lien sale papers", "lost title, affidavit" or "none yet".',
)
@click.option("--source", metavar="TEXT", help="auction, walk-in, tow yard, dealer, fleet. A walk-in waits its hold.")
@_seller_options
@click.option("--price", "price_cents", type=MONEY, help="Paid for the vehicle.")
@click.option("--fee", "fee_cents", type=MONEY, help="Auction or other fee.")
@click.option("--tow", "tow_cents", type=MONEY, help="Towing.")
@click.option("--paid", "paid_how", metavar="TEXT", help="How it was paid.")
@click.option("--body", metavar="TEXT", help="State of the body in plain words.")
@click.option("--fact", "facts", multiple=True, type=FACT, help="An option or a look, by the yard's list of facts.")
@click.option(
    "--identity",
    "identities",
    multiple=True,
    type=Named("group=model"),
    help="What it is by look for frame, body, nose or driveline, where that is not the plate's.",
)
@click.option("--arrived", "arrived_at", type=MOMENT, help="When it came in, on the yard's clock; else now.")
@click.option("--note", metavar="TEXT", help="Anything else.")
@click.pass_obj
def take_in(desk: Desk, /, **said: Any) -> None:
    """Take a vehicle in under a new stock number.

    Every VIN reading is checked by its check digit and held against the others: two places that agree settle
    it, two that differ ask for a third. A mistyped VIN is refused with what may have been meant; nothing is
    applied by itself. Money in dollars.

    \b
    Examples:
      donorbook take-in --vin "dash=0DMLW53A68B104417" --vin "door label=0DMLW53A68B104417" \\
          --model "longwagon light" --built 2007-11 --miles 143200 --paper "clean title" \\
          --source auction --price 1,150.00 --fee 285 --tow 120
      donorbook take-in --no-vin "plate burnt" --words "pickup, make not known" --price 300
    """
    from app.book.intake import take_in as take_in_vehicle
    from app.book.plates import read_plate

    form = _form(said)
    with desk.at("intake") as (book, who):
        if not form.no_vin_reason:
            for number in range(1, len(form.readings) + 1):
                read_plate(book, who, form.readings[:number])
        taken = take_in_vehicle(book, who, form)
    desk.show(taken, lambda: _taken_lines(taken))


def _form(said: dict[str, Any]) -> Any:
    from app.book.intake import TakeIn

    seller = _seller(said)
    identities = {_group(name): model for name, model in said.pop("identities")}
    return TakeIn(**given(said | {"seller": seller, "facts": dict(said["facts"]), "identities": identities}))


def _group(name: str) -> Group:
    try:
        return Group(name.lower())
    except ValueError:
        raise BadInput(f"{name!r} is no group", f"Groups are {', '.join(Group)}.", place="--identity") from None


def _seller(said: dict[str, Any]) -> Seller | None:
    """The seller out of the options, which are taken out of `said`; None when nothing was said of one."""
    from app.book.intake import Seller

    typed = given({name.removeprefix("seller_"): said.pop(name) for name in SELLER})
    if not typed:
        return None
    if not typed.get("name", "").strip():
        raise BadInput("a seller without a name", "Add --seller-name.", place="--seller-name")
    return Seller(**typed)


def _taken_lines(taken: TakenIn) -> Iterator[str]:
    yield from pairs(
        [
            ("stock number", taken.stock_number),
            ("vehicle", taken.vehicle),
            ("vin", taken.vin),
            ("tag", taken.tag),
            ("landed", money(taken.landed_cents)),
            ("held until", when(taken.hold_until)),
        ]
    )
    yield from lines_of(taken.words)
    if not taken.model:
        yield "model: not known, so an ask can only say 'measure first' of its parts"
        yield f"next: donorbook identify {taken.stock_number} --model …"
    yield f"next: donorbook weigh in {taken.stock_number} --gross … --tare …"
    yield f"then: donorbook survey {taken.stock_number} --section … --front … --rear …"


@click.command("turn-away", cls=YardCommand)
@click.option("--vin", metavar="VIN", default="", help="The VIN as read, if any.")
@click.option("--words", metavar="TEXT", default="", help="The vehicle in words.")
@click.option("--reason", "reasons", multiple=True, metavar="WHY", help="Why; may be given again.")
@click.option("--source", default="walk-in", metavar="TEXT", show_default=True, help="Where it was offered from.")
@click.option("--photo", metavar="FILE", default="", help="File name of a photo of the papers.")
@_seller_options
@click.pass_obj
def turn_away(desk: Desk, /, vin: str, words: str, reasons: tuple[str, ...], **said: Any) -> None:
    """Write down that a vehicle was refused.

    It gets no stock number and no money moves. What speaks against the seller's papers (an expired ID, a
    title in another name) is found by itself; other reasons are given in words.

    \b
    Examples:
      donorbook turn-away --vin 0DMLW53A68B104417 --seller-name "R. Ash" --title-name "P. Birch"
      donorbook turn-away --words "old pickup" --reason "no title at all" --photo papers.jpg
    """
    from app.book.intake import turn_away as turn_vehicle_away

    seller = _seller(said)
    with desk.at("intake") as (book, who):
        turned = turn_vehicle_away(
            book, who, vin=vin, words=words, seller=seller, source=said["source"], reasons=reasons, photo=said["photo"]
        )
    desk.show(turned, lambda: _turned_lines(turned))


def _turned_lines(turned: TurnedAway) -> Iterator[str]:
    yield from pairs([("turned away", f"number {turned.number}"), ("vin", turned.vin)])
    yield from lines_of(turned.reasons, "because: ")
