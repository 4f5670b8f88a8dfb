"""Lumps: one tag for several pieces that hang together, such as a half-cut; each piece may have its own tag.

A sold lump takes its pieces with it, a held one holds them; a piece that is gone takes its price off the lump.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.book.parts import find_part
from app.book.schema import Part, Standing
from app.book.work import Book, Who
from app.errors import BadInput, Refused

GONE = (Standing.SOLD, Standing.WRITTEN_OFF, Standing.MISSING)
"""Pieces that are no more on their lump."""


def pieces_on(session: Session, lump: Part) -> Iterator[Part]:
    """The pieces that hang on a lump, those of lumps on it with them; what is gone is left out."""
    query = select(Part).where(Part.lump_id == lump.id, Part.standing.not_in(GONE)).order_by(Part.id)
    for piece in session.scalars(query).all():
        yield piece
        yield from pieces_on(session, piece)


def asking_price(session: Session, part: Part) -> int:
    """What a part asks, in cents: a lump less the prices of its pieces that are gone, and never below nothing."""
    off = session.scalar(select(func.sum(Part.price_cents)).where(Part.lump_id == part.id, Part.standing.in_(GONE)))
    return max(0, part.price_cents - (off or 0))


def join_lump(book: Book, who: Who, lump: str, pieces: Sequence[str]) -> str:
    """Make parts pieces of a lump.

    Raises:
        NotFound: a tag is not ours. BadInput: no piece, or the lump would hang on itself.
        Refused: a piece is of another vehicle, of another lump, or not free.
    """
    if not pieces:
        raise BadInput("a lump needs pieces", "Name the tags that hang on it.", place="pieces")
    with book.write(who) as work:
        whole = find_part(work.session, lump)
        found = [find_part(work.session, tag) for tag in pieces]
        for piece in found:
            _may_hang(work.session, whole, piece)
            piece.lump_id = whole.id
        work.session.flush()
        words = f"{', '.join(piece.tag for piece in found)} hang on {whole.tag}"
        work.note("join lump", whole.tag, words, pieces=[piece.tag for piece in found])
        return words


def _may_hang(session: Session, whole: Part, piece: Part) -> None:
    if piece.id in _above(session, whole):
        raise BadInput(f"{piece.tag} cannot hang on {whole.tag}", "A lump never hangs on itself.", place=piece.tag)
    why = ""
    if Standing.FREE not in (whole.standing, piece.standing) or piece.standing is not whole.standing:
        why = f"{piece.tag} is {piece.standing}, {whole.tag} is {whole.standing}"
    elif piece.donor_id != whole.donor_id:
        why = f"{piece.tag} and {whole.tag} are of different vehicles"
    elif piece.lump_id not in (None, whole.id):
        why = f"{piece.tag} hangs on another lump"
    if why:
        raise Refused(why, "Only free parts of one vehicle make a lump.", action="join lump", subject=piece.tag)


def _above(session: Session, part: Part) -> set[int]:
    """A part and every lump it hangs on."""
    found: set[int] = set()
    at: int | None = part.id
    while at is not None and at not in found:
        found.add(at)
        at = session.scalar(select(Part.lump_id).where(Part.id == at))
    return found
