"""`donorbook which`: which known design a piece is, and which bolt circle."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from app.commands.bench_kinds import MEASURED_LENGTH, both
from app.commands.desk import Desk, YardCommand
from app.commands.kinds import FACT, MEASURED, Whole
from app.commands.show import lines_of, pairs, table
from app.errors import BadInput

if TYPE_CHECKING:
    from app.fit.lookalikes.asking import Next
    from app.fit.lookalikes.circles import BoltCircle
    from app.fit.lookalikes.which import Answer, Candidate

MOST_ASKED = 3
STUDS = Whole("count", 2, 24)
PLACES = Whole("count", 1, 12)


@click.command(cls=YardCommand)
@click.argument("part_type", metavar="PART-TYPE", required=False)
@click.option("--measure", "measures", multiple=True, type=MEASURED, help="A length by name; a hook tape unless named.")
@click.option("--look", "looks", multiple=True, type=FACT, help="A look or a count, as fact=value.")
@click.option("--studs", type=STUDS, help="Studs of a wheel or hub, to find its bolt circle.")
@click.option("--chord", type=MEASURED_LENGTH, help="Center to center of two studs.")
@click.option("--apart", type=PLACES, help="How many places round the two studs are apart; neighbors when left out.")
@click.pass_obj
def which(desk: Desk, /, part_type: str | None, **said: Any) -> None:
    """Say which known design a piece is, and what to measure next.

    The designs of a PART-TYPE in the book are a closed list: the one that alone lies within every reading is it.
    When none does, the reading is wrong and nothing is picked. "donorbook facts PART-TYPE" names what to look at.
    With --studs and --chord it is a bolt circle, and no book is opened; from the outer edge of one stud to the
    inner edge of the other is the same as center to center.

    \b
    Examples:
      donorbook which "rear driveshaft yoke and joint" --measure "joint cap to cap=3 5/8@hook tape"
      donorbook which "front lower control arm" --look "torsion socket=no" --json
      donorbook which --studs 5 --chord "67.2mm@dial caliper"
      donorbook which --studs 5 --chord "4 1/4" --apart 2
    """
    if (part_type is None) == (said["studs"] is None):
        raise BadInput(
            "one of the two: a part type, or a bolt circle",
            "Give PART-TYPE, or --studs and --chord.",
            place="PART-TYPE",
        )
    if part_type is None:
        circle = _circle(said)
        desk.show(_circle_record(circle), lambda: lines_of([circle.words]))
        return
    answer = _answer(desk, part_type, said)
    desk.show(_record(answer), lambda: _lines(answer))


def _circle(said: dict[str, Any]) -> BoltCircle:
    from app.fit.lookalikes.circles import circle_from_chord
    from app.fit.lookalikes.readings import Size

    if said["measures"] or said["looks"]:
        raise BadInput("a bolt circle takes its chord alone", "Leave --measure and --look out.", place="--studs")
    if said["chord"] is None:
        raise BadInput("how far apart are the studs?", "Give --chord.", place="--chord")
    chord = said["chord"]
    return circle_from_chord(Size(chord.length.mm, chord.u_mm), said["studs"], said["apart"] or 1)


def _circle_record(circle: BoltCircle) -> dict[str, object]:
    named = circle.circle
    return {
        "studs": circle.studs,
        "places_apart": circle.apart,
        "chord_mm": circle.chord.mm,
        "chord_u_mm": circle.chord.u_mm,
        "circle_mm": named.size.mm,
        "circle_u_mm": named.size.u_mm,
        "found": named.found,
        "names": named.names,
        "nearest": named.nearest,
        "off_mm": named.off_mm,
        "words": circle.words,
    }


def _answer(desk: Desk, part_type: str, said: dict[str, Any]) -> Answer:
    from app.book.which import Read, which_part

    if said["chord"] or said["apart"]:
        raise BadInput("a chord is of a bolt circle", "Give --studs with it, and no PART-TYPE.", place="--chord")
    taken = [Read(name, value, tool) for name, value, tool in said["measures"]]
    taken += [Read(name, value) for name, value in said["looks"]]
    with desk.book() as book:
        return which_part(book, part_type, taken)


def _record(answer: Answer) -> dict[str, object]:
    return {
        "verdict": answer.verdict,
        "words": answer.words,
        "designs": answer.candidates,
        "doubtful_readings": answer.doubtful,
        "open_bits": answer.open_bits,
        "next": [_next(each) for each in answer.next],
        "cautions": [answer.caution],
    }


def _likely(answer: Answer, each: Candidate) -> str:
    """The probability; none where the reading is wrong and nothing is picked."""
    return "-" if answer.verdict is answer.verdict.MISREAD else f"{each.probability:.1%}"


def _next(each: Next) -> dict[str, object]:
    return {
        "fact": each.ask.fact,
        "tool": each.ask.tool,
        "u_mm": each.ask.u_mm,
        "question": each.ask.question,
        "effort": each.ask.effort,
        "expected_bits": each.bits,
        "expected_bits_per_effort": each.bits_for_effort,
    }


def _lines(answer: Answer) -> Iterator[str]:
    yield from pairs([("verdict", answer.verdict), ("", answer.words)])
    rows = [
        (each.code, each.name, _likely(answer, each), "yes" if each.possible else "no", ", ".join(each.clashes))
        for each in answer.candidates
    ]
    yield from table(("design", "name", "likely", "within", "it has"), rows, figures=(2,))
    for each in answer.next[:MOST_ASKED]:
        doubt = "" if each.ask.u_mm is None else f" (±{both(each.ask.u_mm)})"
        tool = f", {each.ask.tool}{doubt}" if each.ask.tool else ""
        yield f"next: {each.ask.fact}{tool}: {each.ask.question}".rstrip(": ")
    yield from lines_of([answer.caution], "caution: ")
