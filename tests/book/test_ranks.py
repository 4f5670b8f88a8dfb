"""A part at a glance ranks as the whole part does, so that the first page holds the best."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import update

from app.book.knowing import knowing
from app.book.offers import Gathered, Search
from app.book.schema import Part
from app.book.sheets import load_folder
from app.book.work import Book
from app.fit.candidates import standing
from tests.book.test_sets import OWNER, TODAY

YARD = Path(__file__).parents[1] / "casebook"


def test_what_is_read_off_the_index_ranks_as_the_part_itself(book: Book) -> None:
    load_folder(book, OWNER, YARD)
    with book.write(OWNER) as work:
        work.session.execute(update(Part).where(Part.tag.in_(["S300", "S321"])).values(miles=None))
        work.session.execute(update(Part).where(Part.tag == "S301").values(miles=0))
        work.note("miles", "S300", "nobody knows")
    with book.read() as session:
        known = knowing(session)
        found = Gathered(session.connection(), known, Search(frozenset(known.type_ids)), TODAY)
        assert len(found.candidates) > 100
        for each in found.candidates:
            assert each.standing == standing([found.offer(each)])
        miles = {each.standing[-1][0]: each.standing[2] for each in found.candidates}
        assert miles["S301"] == 0 < miles["S306"] < miles["S300"], "nobody knows the miles of S300"
