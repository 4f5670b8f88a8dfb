"""How long a test, a look or a tire is good."""

from __future__ import annotations

from datetime import date

import pytest

from app.fit.ages import fresh


@pytest.mark.parametrize(
    ("done", "allowed", "last"),
    [
        ("2026-02-25", "30 d", date(2026, 3, 27)),
        ("2026-02-25", "30", date(2026, 3, 27)),
        ("2026-05-01", "4 weeks", date(2026, 5, 29)),
        ("2024-02-29", "1 year", date(2025, 2, 28)),
        ("2025-08-31", "18 months", date(2027, 2, 28)),
        ("2016-05", "10 years", date(2026, 5, 1)),
    ],
)
def test_what_was_done_on_a_day_is_good_to_the_last_day_of_its_age(done: str, allowed: str, last: date) -> None:
    """Days by the calendar; a year or month ends on the same day of the month, or its last. Common practice, no source.

    Of a date code that only names a month it is the first day: it may be that old.
    """
    assert fresh(done, allowed, last)
    assert not fresh(done, allowed, date.fromordinal(last.toordinal() + 1))


@pytest.mark.parametrize("done", ["", "last spring", "2026-13", "2026-02-30", "26-02-25"])
def test_no_date_is_no_test(done: str) -> None:
    assert not fresh(done, "30 d", date(2026, 3, 1))


def test_what_was_done_tomorrow_is_no_test_and_an_age_nobody_can_read_is_met_by_nothing() -> None:
    assert not fresh("2026-03-02", "30 d", date(2026, 3, 1))
    assert not fresh("2026-03-01", "a while", date(2026, 3, 1))


def test_an_age_beyond_all_years_never_ends() -> None:
    assert fresh("2026-03-01", "9999 years", date(2026, 3, 1))
