"""How parts, places and full hands read on forty columns at arm's length."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from app.book.parts import PartRow
from app.book.places import PlaceRow
from app.book.schema import Standing
from app.screens.parts.plain import apart, clip, joined, left, lines, plain

PAGE = 200


def large(tag: str) -> str:
    """A tag spread out, to be read at arm's length."""
    return " ".join(tag)


def part_rows(row: PartRow, offered: str, width: int, calls: Sequence[str] = ()) -> Content:
    """The tag large, its side, what it is, where it is and where it goes; whom to call about it."""
    name = " ".join(word for word in (row.position, row.part_type) if word)
    rows: list[Content | str] = [plain(apart(large(row.tag), str(row.side), width), "bold"), plain(name, "bold")]
    rows.append(f"{row.vehicle}, {row.donor}".strip(", "))
    rows.append(joined(left("is", 9), (clip(row.where, width - 9), "bold")))
    if offered and not row.place:
        rows.append(joined(left("goes to", 9), (offered, "bold $accent")))
    rows += [plain(call, "bold $accent") for call in calls]
    if row.standing is not Standing.FREE:
        reason = f": {row.block_reason}" if row.block_reason else ""
        rows.append(plain(f"{row.standing}{reason}", "bold $accent"))
    rows += [plain(hazard.caution, "bold $accent") for hazard in row.hazards]
    return lines(rows)


def place_rows(row: PlaceRow, parts: Sequence[PartRow], width: int) -> Content:
    """A place and what stands in it; at most a page of it, and honest about the rest."""
    limits = f", {row.limits}" if row.limits else ""
    rows: list[Content | str] = [plain(large(row.code), "bold"), f"{row.kind}{limits}", ""]
    rows += [joined((f"{each.tag} ", "bold"), clip(each.name, width - len(each.tag) - 1)) for each in parts[:PAGE]]
    if len(row.tags) > min(len(parts), PAGE):
        rows.append(f"{min(len(parts), PAGE)} of {len(row.tags):,}")
    if not row.tags:
        rows.append("nothing stands here")
    return lines(rows)


def hand_rows(parts: Sequence[tuple[PartRow, str]], width: int) -> Content:
    """What is in the hands and where each goes."""
    if not parts:
        return plain("your hands are empty", "bold")
    rows: list[Content | str] = [plain(f"in your hands: {len(parts)}", "bold"), ""]
    for row, offered in parts[:PAGE]:
        rows.append(plain(apart(row.tag, f"to {offered}" if offered else "", width), "bold"))
        rows.append(clip(f"  {row.name}", width))
    if len(parts) > PAGE:
        rows.append(f"{PAGE} of {len(parts)}")
    return lines(rows)
