"""Frames on the bench: two held against each other, one looked over for damage, two held up for a joint; papers."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.commands.bench_kinds import OFFSET
from app.commands.desk import Desk, YardCommand, YardGroup
from app.commands.kinds import HOURS, MONEY
from app.commands.show import heading, lines_of, pairs, table
from app.commands.units import with_units
from app.errors import BadInput

if TYPE_CHECKING:
    from decimal import Decimal

    from app.book.bench.holding import Compared, Damaged, Joined
    from app.fit.frames.comparison import Comparison
    from app.fit.lengths import Length

FRAME_HELP = "A frame design's code, a vehicle's stock number, or a survey file."


@click.group(cls=YardGroup)
def frame() -> None:
    """Compare frames, find damage, see whether two can be joined.

    A frame is named by a design's code, by a vehicle's stock number (all its surveys together), or by a CSV file
    or folder in the form that "donorbook load" takes, which is read and not written into the book: mounts as
    survey_points.csv with the columns mount,side,x,y,z,tool, rails as survey_stations.csv, spans and diagonals as
    survey_measures.csv, or a design as frame_points.csv. "donorbook load --columns" documents each column.
    x runs rearward from the datum, y out from the centerline on its own side, z up; bare figures are inches.

    \b
    Examples:
      donorbook frame compare "light boxed" "heavy open"
      donorbook frame damage D1
    """


@frame.command(cls=YardCommand)
@click.argument("a")
@click.argument("b")
@click.pass_obj
def compare(desk: Desk, a: str, b: str) -> None:
    """Hold frame B against frame A: mounts, rails, suspension, and what follows for parts.

    B is laid over A where most mounts agree, or on a common datum. Each mount of each side lines up, does not, or
    is to be measured again with a finer tool; the doubt of both frames counts against it, and the probability
    beside it is what the figures make likely. Never taken for a welder's or an engineer's word.

    \b
    Examples:
      donorbook frame compare "light boxed" "heavy open"
      donorbook frame compare D1 "light boxed" --json
    """
    from app.book.bench.holding import compare_frames

    with desk.book() as book:
        found = compare_frames(book, a, b)
    desk.show(with_units(found.found), lambda: compare_lines(found))


def compare_lines(compared: Compared) -> Iterator[str]:
    """A comparison for people."""
    from app.book.bench import saying

    found = compared.found
    yield from pairs([("A", _named(compared.a.shape.name, compared.a.words)), ("B", _named(found.b, compared.b.words))])
    yield from lines_of([found.words])
    yield ""
    yield from _mount_table(found)
    yield from lines_of(saying.left_out(compared))
    if found.rails:
        yield ""
        rows = [(each.what, each.a, each.b, str(each.verdict)) for each in found.rails]
        yield from table(("rail", "A", "B", ""), rows, figures=(1, 2))
    yield from lines_of(each.words for each in found.suspension)
    if found.groups:
        yield ""
        yield heading("what follows, without a rule of its own")
    yield from lines_of(saying.followings(compared))


def _named(name: str, words: str) -> str:
    return f"{name}, {words}" if words and words != name else name


def _mount_table(found: Comparison) -> list[str]:
    from app.fit.frames.verdicts import Verdict

    rows = []
    for each in found.mounts:
        off = "; ".join(axis.words for axis in each.axes if axis.verdict is not Verdict.SAME)
        rows.append((each.name, str(each.side), str(each.verdict), f"{each.probability:.0%}", off))
    return table(("mount", "side", "", "likely", "off"), rows, figures=(3,))


@frame.command(cls=YardCommand)
@click.argument("survey")
@click.argument("design", required=False)
@click.pass_obj
def damage(desk: Desk, survey: str, design: str | None) -> None:
    """Say whether a surveyed frame is bent: sag, sway, mash, twist and diamond.

    SURVEY is held against DESIGN, else against the design its vehicle is known to have, else against itself, left
    to right. Limits are settings (frame_tolerance_mm, frame_limit_in); the maker's data go before both. Nothing is
    written: "donorbook survey" does that and blocks what a bent frame blocks.

    \b
    Examples:
      donorbook frame damage D1
      donorbook frame damage D1 "light boxed" --json
    """
    from app.book.bench.holding import damage_of

    with desk.book() as book:
        found = damage_of(book, survey, design)
    desk.show(with_units(found.found), lambda: damage_lines(found))


def damage_lines(damaged: Damaged) -> Iterator[str]:
    """A look for damage for people."""
    from app.book.bench import saying

    found = damaged.found
    against = found.design or "nothing but itself"
    yield from pairs([("frame", _named(found.frame, damaged.survey.words)), ("held against", against)])
    yield from pairs([("verdict", saying.in_short(found))])
    yield ""
    yield from lines_of(saying.conditions(damaged))
    yield from lines_of(each.words for each in found.points if each.verdict is not each.verdict.STRAIGHT)


@frame.command(cls=YardCommand)
@click.argument("a")
@click.argument("b")
@click.option("--shift", type=OFFSET, help="Slide B so far rearward from where it agrees, to lengthen the frame.")
@click.option("--hours", type=HOURS, help="Hours of the joint; else the yard's setting.")
@click.option("--rate", "rate_cents", type=MONEY, help="Dollars an hour; else the yard's shop rate.")
@click.option("--parts", "parts_cents", type=MONEY, help="Dollars for the pieces that are welded in.")
@click.option("--straight-frame", "straight_cents", type=MONEY, help="Dollars a straight frame would cost.")
@click.pass_obj
def join(
    desk: Desk,
    a: str,
    b: str,
    shift: Length | None,
    hours: Decimal | None,
    rate_cents: int | None,
    parts_cents: int | None,
    straight_cents: int | None,
) -> None:
    """Find where the front of frame A and the rear of frame B could be joined, if anywhere.

    Section, width, height, the steps at top and bottom, wall, and straight rail for the sleeve: every test that
    fails is shown with its number. Never offered as a fit: structural welding is for certified people under local
    rules, and an engineer signs.

    \b
    Examples:
      donorbook frame join "heavy open" "heavy open" --parts 450 --straight-frame 900
      donorbook frame join "light boxed" "heavy open" --json
    """
    from app.book.bench.holding import JoinPrices, join_frames

    prices = JoinPrices(hours, rate_cents, parts_cents, straight_cents)
    with desk.book() as book:
        found = join_frames(book, a, b, shift_mm=shift.mm if shift else None, prices=prices)
    desk.show(with_units(found.found), lambda: join_lines(found))


def join_lines(joined: Joined) -> Iterator[str]:
    """A joint for people."""
    from app.book.bench import saying

    found = joined.found
    yield from pairs([("front", _named(found.a, joined.a.words)), ("rear", _named(found.b, joined.b.words))])
    yield from lines_of(saying.joint(joined))


@frame.command(cls=YardCommand)
@click.argument("a")
@click.argument("b", required=False)
@click.option("--to", "target", required=True, type=click.Path(path_type=Path), metavar="FILE", help="A .png or .pdf.")
@click.option("--damage", "as_damage", is_flag=True, help="B is the design that A is looked over for damage against.")
@click.pass_obj
def sheet(desk: Desk, a: str, b: str | None, target: Path, as_damage: bool) -> None:
    """Draw the sheet to pin to the wall: two frames compared, or one looked over for damage.

    To scale, with dimensions, on letter paper laid across. With one frame, or --damage, it is the damage sheet;
    with two, the comparison.

    \b
    Examples:
      donorbook frame sheet "light boxed" "heavy open" --to compare.pdf
      donorbook frame sheet D1 --to damage.png
    """
    from app.book.bench.papers import draw_comparison, draw_damage

    if target.suffix.lower() not in (".png", ".pdf"):
        raise BadInput(
            f"{target.name} is neither .png nor .pdf", "Give a file with one of these endings.", place="--to"
        )
    with desk.book() as book:
        drawn = draw_damage(book, a, b, target) if as_damage or b is None else draw_comparison(book, a, b, target)
    desk.show({"file": drawn}, lambda: lines_of([f"drawn into {drawn}"]))
