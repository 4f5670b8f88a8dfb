"""Pieces of lumps that sheets say are sold or held, while their pieces are still free in them.

Who writes down that a half-cut was sold seldom goes through its pieces. A sold lump takes its pieces with it, a held
one holds them, so a load takes them off sale and says which.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from sqlalchemy import select, update
from sqlalchemy.orm import aliased

from app.book.schema import Hold, Part, Standing, Whereabouts
from app.book.work import Work

STILL_THERE = (Standing.FREE, Standing.BLOCKED)
"""How a piece stands that nobody took off its lump."""


class Tagged(NamedTuple):
    """A part by its number and tag."""

    id: int
    tag: str


def pieces_follow(work: Work) -> tuple[str, ...]:
    """Take the pieces of sold and held lumps off sale, those of lumps on lumps with them; a line for each lump."""
    told: list[str] = []
    while found := [*_gone_along(work), *_held_along(work)]:
        told += found
    return tuple(told)


def _gone_along(work: Work) -> Iterator[str]:
    for whole, pieces in _by_lump(work, Standing.SOLD, STILL_THERE):
        gone = update(Part).where(Part.id.in_([piece.id for piece in pieces]))
        work.session.execute(
            gone.values(standing=Standing.SOLD, whereabouts=Whereabouts.GONE, place_id=None, holder_id=None)
        )
        yield f"{_tags(pieces)} went with {whole.tag}, which is sold"


def _held_along(work: Work) -> Iterator[str]:
    for whole, pieces in _by_lump(work, Standing.HELD, (Standing.FREE,)):
        kept = work.session.scalar(select(Hold).where(Hold.part_id == whole.id, Hold.ended_at.is_(None)))
        if kept is None:
            # For whom it is held nobody wrote down: the check of the book names it.
            continue
        for piece in pieces:
            work.session.execute(update(Part).where(Part.id == piece.id).values(standing=Standing.HELD))
            work.session.add(
                Hold(
                    number=work.number("holds"),
                    part_id=piece.id,
                    name=kept.name,
                    phone=kept.phone,
                    made_at=kept.made_at,
                    until=kept.until,
                    by=kept.by,
                )
            )
        work.session.flush()
        yield f"{_tags(pieces)} held with {whole.tag} for {kept.name}"


def _by_lump(work: Work, standing: Standing, of_pieces: Sequence[Standing]) -> Iterator[tuple[Tagged, list[Tagged]]]:
    """Lumps that stand so, each with its pieces that stand otherwise."""
    lump = aliased(Part)
    joined = select(Part.id, Part.tag, Part.lump_id).join(lump, lump.id == Part.lump_id)
    rows = work.session.execute(
        joined.where(lump.standing == standing, Part.standing.in_(of_pieces)).order_by(Part.id)
    ).all()
    for number in dict.fromkeys(row.lump_id for row in rows):
        whole = work.session.execute(select(Part.id, Part.tag).where(Part.id == number)).one()
        yield Tagged(whole.id, whole.tag), [Tagged(row.id, row.tag) for row in rows if row.lump_id == number]


def _tags(pieces: Sequence[Tagged]) -> str:
    return ", ".join(piece.tag for piece in pieces)
