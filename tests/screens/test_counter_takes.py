"""What it would take, as the counter reads it: refusals by their reason, and what was not understood."""

from __future__ import annotations

from app.book.takes import Takes
from app.screens.counter_view import takes_words


def test_what_is_refused_for_one_reason_is_told_once() -> None:
    reason = "Won't fit: not one bracket in common."
    refused = (*(f"nose: S{number}: {reason}" for number in range(1, 7)), "nose: S9: Won't fit: bent.")
    said = takes_words([Takes("nose", "08 hestrow", (), ("nose",), (), refused)], 76).plain
    assert said.count("not one bracket in common") == 1
    assert "(S1, S2, S3, S4 and 2 more)" in " ".join(said.split())
    assert "nose: Won't fit: bent. (S9)" in " ".join(said.split())


def test_a_word_that_means_nothing_to_the_yard_is_shown() -> None:
    said = takes_words([Takes("nose", "08 hestrow", (), ("nose",), (), (), ("gavlibbet",))], 76).plain
    assert said.endswith("not understood: gavlibbet")
