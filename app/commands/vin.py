"""`donorbook vin`: what a VIN says and what it cannot say; no book is opened."""

from __future__ import annotations

from collections.abc import Iterator

import click

from app.commands.desk import Desk, YardCommand
from app.commands.records import record
from app.commands.show import lines_of, pairs
from app.fit.vin import Suggestion, VinReport, read_vin, suggest


@click.command(cls=YardCommand)
@click.argument("text", metavar="VIN")
@click.option("--heavy", "weight_class", flag_value="heavy", help="A vehicle over 10,000 lb: position 7 says no year.")
@click.option("--unknown-class", "weight_class", flag_value="unknown", help="The weight class is not known.")
@click.pass_obj
def vin(desk: Desk, text: str, weight_class: str | None) -> None:
    """Check a VIN and say what it can and cannot tell.

    Says whether it can be right and why not, its check digit (49 CFR 565.15), the model year or the years it
    could be, what cannot be known from it, and what a mistyped one may have been. Suggestions are for reading
    the plate again; nothing applies them. Status 1 when it cannot be right.

    \b
    Examples:
      donorbook vin 0DMLW53A68B104417
      donorbook vin 0DMLW53A68B104417 --heavy --json
    """
    light = {None: True, "heavy": False, "unknown": None}[weight_class]
    report = read_vin(text, light=light)
    meant = suggest(text)
    desk.show(_as_record(report, meant), lambda: _lines(report, meant))
    if not report.ok:
        raise SystemExit(1)


def _as_record(report: VinReport, meant: tuple[Suggestion, ...]) -> dict[str, object]:
    plain = record(report)
    assert isinstance(plain, dict)
    return {"valid": report.ok, **plain, "suggestions": meant}


def _lines(report: VinReport, meant: tuple[Suggestion, ...]) -> Iterator[str]:
    yield from pairs(
        [
            ("vin", report.vin),
            ("verdict", report.verdict),
            ("check digit", report.check_digit and f"{report.check_digit}, sum {report.weighted_sum}"),
            ("year", report.year_words),
        ]
    )
    yield from lines_of((finding.words for finding in report.findings), "wrong: ")
    yield from lines_of(report.unknowns, "not known: ")
    yield from lines_of((f"{each.vin}  {each.words}" for each in meant), "perhaps: ")
    if meant:
        yield "read the plate again before any of these is used"
