"""`donorbook`: opens the terminal program, or runs one command. This page is the table of contents."""

from __future__ import annotations

import gc
import os
import sys

import click

from app.commands.desk import Desk
from app.commands.house import READER_LEFT, House
from app.errors import BadInput

SEATS = ("intake", "floor", "counter", "scale", "office", "bench")

CONTENTS = {
    "Intake": {
        "vin": "app.commands.vin:vin",
        "take-in": "app.commands.intake:take_in",
        "identify": "app.commands.identify:identify",
        "turn-away": "app.commands.intake:turn_away",
        "survey": "app.commands.vehicle:survey",
        "drain": "app.commands.vehicle:drain",
        "torch": "app.commands.vehicle:torch",
    },
    "Floor": {
        "harvest": "app.commands.floor:harvest",
        "put-away": "app.commands.places:put_away",
        "take-up": "app.commands.places:take_up",
        "take-back": "app.commands.places:take_back",
        "label": "app.commands.paper:label",
        "resend": "app.commands.paper:resend",
        "part": "app.commands.floor:part",
        "look": "app.commands.floor:look",
        "place": "app.commands.places:place",
    },
    "Counter": {
        "ask": "app.commands.asking:ask",
        "why": "app.commands.asking:why",
        "fits": "app.commands.asking:fits",
        "takes": "app.commands.takes:takes",
        "want": "app.commands.asking:want",
        "wants": "app.commands.asking:wants",
        "hold": "app.commands.counter:hold",
        "release": "app.commands.counter:release",
        "set": "app.commands.sets:sets",
        "sell": "app.commands.counter:sell",
        "sale": "app.commands.counter:sale",
        "void": "app.commands.counter:void",
    },
    "Scale": {
        "weigh": "app.commands.scale:weigh",
        "balance": "app.commands.balance:balance",
    },
    "Bench": {
        "frame": "app.commands.frame:frame",
        "pattern": "app.commands.pattern:pattern",
        "which": "app.commands.which:which",
        "section": "app.commands.section:section",
        "arms": "app.commands.arms:arms",
        "springs": "app.commands.springs:springs",
    },
    "Office": {
        "donors": "app.commands.donors:donors",
        "donor": "app.commands.donors:donor",
        "history": "app.commands.office:history",
        "people": "app.commands.office:people",
        "sign-on": "app.commands.office:sign_on",
        "settings": "app.commands.office:settings",
    },
    "What the yard knows": {
        "models": "app.commands.known:models",
        "parts": "app.commands.known:parts",
        "facts": "app.commands.known:facts",
        "rules": "app.commands.rules:rules",
        "places": "app.commands.places:places",
        "add-place": "app.commands.places:add_place",
    },
    "The book": {
        "load": "app.commands.folder:load",
        "dump": "app.commands.folder:dump",
        "check": "app.commands.upkeep:check",
        "upgrade": "app.commands.upkeep:upgrade",
        "demo": "app.commands.upkeep:demo",
    },
}

EPILOG = """
\b
Examples:
  donorbook                           choose a seat
  donorbook --seat counter            straight to the counter
  donorbook demo                      look around an invented yard
  donorbook ask 08 longwagon lower control arm rh
  donorbook --by C1 sell P7K3M83 --paid cash --json

\b
Exit status:
  0  done
  1  the answer is no: a VIN that cannot be right, a book with faults
  2  refused or wrong; one line on stderr says why and what to do,
     with --json an object {"error": ...} on stdout
  130  stopped with Ctrl-C; what was not finished was not done
"""


@click.group(
    cls=House,
    contents=CONTENTS,
    invoke_without_command=True,
    epilog=EPILOG,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.option(
    "--book", metavar="ADDRESS", help="The book: a file, or a PostgreSQL URL. Else DONORBOOK_BOOK, else yours."
)
@click.option("--by", metavar="CODE", help="Who is at the desk; else the owner.")
@click.option(
    "--seat", type=click.Choice(SEATS), metavar="SEAT", help=f"Open the program at a seat: {', '.join(SEATS)}."
)
@click.version_option(package_name="donorbook", prog_name="donorbook", message="%(prog)s %(version)s")
@click.pass_context
def cli(ctx: click.Context, book: str | None, by: str | None, seat: str | None) -> None:
    """The yard's book: take vehicles in, harvest and tag parts, answer what fits, weigh out the rest.

    Without a command the terminal program opens. Every step of the yard is a command too; each takes
    --json, and --book and --by may also stand after it. "donorbook COMMAND --help" has the details.
    """
    ctx.obj = Desk(open_program, address=book, by=by)
    if ctx.invoked_subcommand is None:
        open_program(book, seat, by)


def open_program(address: str | None, seat: str | None, by: str | None) -> None:
    """Open the terminal program on a book.

    Raises:
        BadInput: there is no terminal to draw on.
        BookTrouble: the book cannot be opened.
    """
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise BadInput("the program needs a terminal", "Use a command instead; see: donorbook --help.")
    from app.book.work import open_book
    from app.screens.app import run

    book = open_book(address)
    try:
        run(book, seat, by)
    finally:
        book.close()


def main() -> None:
    """The console script."""
    # Importing makes many objects that stay; looking through them for garbage costs a tenth of the start.
    gc.set_threshold(50_000)
    status = 0
    try:
        cli(prog_name="donorbook")
    except SystemExit as done:
        status = done.code if isinstance(done.code, int) else 0
    try:
        sys.stdout.flush()
    except OSError as error:
        # Python flushes once more at its end; that must not find the broken pipe or the full disk again.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        status = READER_LEFT if isinstance(error, BrokenPipeError) else status or 2
    sys.exit(status)
