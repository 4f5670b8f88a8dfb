"""What somebody typed and did not finish is kept, for that person alone. Invented data."""

from __future__ import annotations

from app.book.drafts import draft, drafts, drop_draft, keep_draft
from app.book.history import history
from app.book.work import Book, Who

ADA, BEN = Who("C1", seat="counter"), Who("C2", seat="counter")


def test_two_people_at_one_kind_of_seat_keep_two_drafts(book: Book) -> None:
    keep_draft(book, ADA, "ask 1", {"words": "08 longwagon lca"})
    keep_draft(book, BEN, "ask 1", {"words": "07 tolliver hub"})
    drop_draft(book, BEN, "ask 1")
    kept = draft(book, ADA, "ask 1")
    assert kept is not None
    assert kept.fields == {"words": "08 longwagon lca"}
    assert draft(book, BEN, "ask 1") is None


def test_a_draft_is_replaced_and_leaves_no_history(book: Book) -> None:
    for words in ("0", "08", "08 long"):
        keep_draft(book, ADA, "ask 1", {"words": words})
    assert [row.fields for row in drafts(book, ADA)] == [{"words": "08 long"}]
    assert drafts(book, Who("C1", seat="intake")) == ()
    assert history(book) == ()
