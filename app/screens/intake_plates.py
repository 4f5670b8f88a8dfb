"""The readings of one vehicle's plates while it is taken in: kept in the draft, shown one above the other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from textual.content import Content

from app.book.plates import PlateRow
from app.fit.vin import Reading, ReadingOutcome, Source, Suggestion, compare_readings, normalize
from app.screens.parts.plain import joined, left, lines

PREFIX = "reading "
MOST_NAMED = 4
"""Differences that are named one by one; with more it is another vehicle's plate, and the marks show them."""
SOURCES = tuple(Source)


def pack(readings: Sequence[Reading]) -> dict[str, str]:
    """The readings as fields of a draft."""
    return {f"{PREFIX}{number}": f"{each.source}|{each.text}" for number, each in enumerate(readings, start=1)}


def unpack(fields: Mapping[str, str]) -> list[Reading]:
    """The readings that a draft keeps, in their order."""
    found = sorted(
        ((int(name.removeprefix(PREFIX)), value) for name, value in fields.items() if name.startswith(PREFIX)),
        key=lambda each: each[0],
    )
    return [Reading(source, text) for source, _, text in (value.partition("|") for _, value in found)]


def next_source(readings: Sequence[Reading]) -> Source | None:
    """The first place on the vehicle that was not read yet."""
    read = {reading.source for reading in readings}
    return next((source for source in SOURCES if source not in read), None)


def show_readings(readings: Sequence[Reading]) -> Content:
    """The readings under each other, with a mark below every position at which two differ."""
    rows: list[Content | str] = [
        joined((left(reading.source, 13), "$quiet"), (" ".join(reading.vin), "bold")) for reading in readings
    ]
    places = sorted({difference.position for difference in compare_readings(readings).differences})
    if places:
        marks = [" "] * (max(places) * 2)
        for place in places:
            marks[(place - 1) * 2] = "^"
        few = len(places) <= MOST_NAMED
        named = f"position {', '.join(map(str, places))}" if few else f"{len(places)} of 17 differ"
        rows.append(
            joined(
                left("", 13),
                ("".join(marks).rstrip(), "bold $accent"),
                (f" {named}", "bold $accent"),
            )
        )
    return lines(rows)


def show_suggestions(suggestions: Sequence[Suggestion]) -> Content:
    """What may have been meant, never applied by itself."""
    rows: list[Content | str] = [joined("It may have been one of these; none is taken by itself:")]
    rows += [joined((f" {each.vin}", "bold"), f"  {each.words}") for each in suggestions[:6]]
    if len(suggestions) > 6:
        rows.append(f" and {len(suggestions) - 6} more")
    rows.append("Read the plate again and type it, or F5 takes one up to be read again.")
    return lines(rows)


def say_outcome(row: PlateRow) -> str:
    """What the readings come to, in words that fit a few lines."""
    words = list(row.words)
    if row.outcome is ReadingOutcome.MISMATCH:
        if len(words) > MOST_NAMED:
            words = ["the two are of different vehicles, or one was copied wrong", words[-1]]
        return f"MISMATCH: {'; '.join(words)}"
    return f"{row.outcome}: {'; '.join(words[:MOST_NAMED])}" if words else str(row.outcome)


def same(one: str, other: str) -> bool:
    """Whether two typed numbers are the same number."""
    return normalize(one) == normalize(other)
