"""Labels, signs and tickets drawn into a file or handed to the printer."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.commands.desk import Desk, YardCommand
from app.commands.kinds import TICKET
from app.commands.show import lines_of
from app.errors import BadInput

if TYPE_CHECKING:
    from app.book.papers import Paper
    from app.book.work import Book

KINDS = ("part", "place", "vehicle", "sale", "weight")


def paper_of(book: Book, kind: str | None, said: str) -> Paper:
    """The paper of a kind, or of whatever carries the tag, code or number."""
    from app.book import papers

    makers = {
        "part": papers.part_paper,
        "place": papers.place_paper,
        "vehicle": papers.vehicle_paper,
        "sale": papers.receipt_paper,
        "receipt": papers.receipt_paper,
        "weight": papers.weight_paper,
    }
    return makers[kind](book, said) if kind else papers.paper_for(book, said)


def draw_to(
    book: Book, kind: str | None, said: str, target: Path, size: str | None = None, dpi: int | None = None
) -> Path:
    """Draw a paper into a file."""
    from app.book.papers import draw_paper

    return draw_paper(book, paper_of(book, kind, said), target, size=size, dpi=dpi)


@click.command(cls=YardCommand)
@click.argument("said", metavar="TAG", type=TICKET)
@click.option("--kind", type=click.Choice(KINDS), help="What TAG is, where a number could be several things.")
@click.option("--to", "target", type=click.Path(path_type=Path), metavar="FILE", help="Draw into a .png or .pdf file.")
@click.option("--print", "to_printer", is_flag=True, help="Hand it to the printer of the settings, through lp.")
@click.option("--size", metavar="NAME", help="Another size than the usual one.")
@click.option("--dpi", type=click.Choice(["203", "300"]), help="Dots an inch of the printer.")
@click.option("--reason", default="", metavar="WHY", help="Why it is sent again: smeared, lost, torn.")
@click.pass_obj
def label(
    desk: Desk,
    said: str,
    kind: str | None,
    target: Path | None,
    to_printer: bool,
    size: str | None,
    dpi: str | None,
    reason: str,
) -> None:
    """Draw or print a label, a sign or a ticket.

    TAG is a tag, a place code, a stock number or the number of a weight ticket. "Sent to the printer" is all
    that can be known from here: look whether paper came out. A second copy needs a reason and says on it that
    it is a copy.

    \b
    Examples:
      donorbook label P7K3M83 --to label.png --dpi 300
      donorbook label A1-2 --print
      donorbook label 12 --kind sale --to receipt.pdf
    """
    from app.book.papers import print_paper

    if target is None and not to_printer:
        raise BadInput("nowhere to put the label", "Say --to FILE.png, --to FILE.pdf or --print.")
    drawn, sent = None, None
    with desk.at("floor") as (book, who):
        paper = paper_of(book, kind, said)
        if target is not None:
            drawn = draw_to(book, kind, said, target, size, int(dpi) if dpi else None)
        if to_printer:
            sent = print_paper(book, who, paper, reason=reason, size=size)
    found = {"tag": paper.tag, "kind": paper.kind, "warning": paper.warning, "file": drawn, "sent": sent}
    words = [paper.warning] if paper.warning else []
    words += [f"{paper.kind} {paper.tag} drawn: {drawn}"] if drawn else []
    words += [sent.words] if sent else []
    desk.show(found, lambda: lines_of(words))


@click.command(cls=YardCommand)
@click.argument("tag", required=False, type=TICKET)
@click.pass_obj
def resend(desk: Desk, tag: str | None) -> None:
    """Send again what came after the last good label.

    For when paper or ribbon ran out: the same tags, no new numbers. Without TAG the last label that somebody
    saw come out right is shown.

    \b
    Examples:
      donorbook resend
      donorbook resend P7K3M83
    """
    from app.book.papers import came_out_right, last_good_label, part_paper, print_paper

    with desk.at("floor") as (book, who):
        if tag is None:
            good, sent = last_good_label(book), []
        else:
            good = tag
            later = came_out_right(book, who, tag)
            sent = [print_paper(book, who, part_paper(book, each), reason="did not come out") for each in later]
    words = [f"last good label: {good or 'none marked yet'}", *(each.words for each in sent)]
    desk.show({"last_good": good, "sent": sent}, lambda: lines_of(words))
