"""Looking parts up for the screens and commands."""

from __future__ import annotations

from sqlalchemy import select

from app.book.parts import PartRow, find_part, part_row, part_rows
from app.book.places import find_place
from app.book.schema import Part
from app.book.work import Book

PAGE = 200


def part(book: Book, said: str) -> PartRow:
    """One part by its tag.

    Raises:
        NotFound: a misread tag, or none of ours.
    """
    with book.read() as session:
        return part_row(session, find_part(session, said))


def parts_in(book: Book, place: str, *, limit: int = PAGE) -> tuple[PartRow, ...]:
    """The parts in a place, by tag."""
    with book.read() as session:
        here = select(Part).where(Part.place_id == find_place(session, place).id).order_by(Part.tag).limit(limit)
        return part_rows(session, session.scalars(here).all())
