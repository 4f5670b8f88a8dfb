"""Build months as the times they stand for, checked month by month."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from app.fit.saying.buildtimes import spans, times

EVERY = [f"{year}-{month:02d}" for year in range(2007, 2012) for month in range(1, 13)]
MONTHS = st.lists(st.sampled_from(EVERY), min_size=2, max_size=6, unique=True).map(sorted)


def within(month: str, said: str) -> bool:
    """Whether a month lies in a time, as anybody would read it."""
    if said.startswith("before "):
        return month < said.removeprefix("before ")
    if said.endswith(" or later"):
        return month >= said.removesuffix(" or later")
    first, _, last = said.partition(" to ")
    return first <= month <= (last or first)


def test_a_split_is_said_by_its_month() -> None:
    assert spans(["2008-07", "2009-01"]) == ("before 2009-01", "2009-01 or later")
    assert spans(["2006-07", "2007-06", "2009-01"]) == ("before 2007-06", "2007-06 to 2008-12", "2009-01 or later")
    assert spans(["2008-07"]) == ("2008-07",)


@given(MONTHS)
def test_every_month_lies_in_one_span(months: list[str]) -> None:
    said = spans(months)
    for month in EVERY:
        last_before = max((at for at, start in enumerate(months) if start <= month), default=0)
        assert [within(month, each) for each in said] == [at == last_before for at in range(len(months))]


@given(MONTHS, st.data())
def test_months_that_follow_each_other_are_one_time(months: list[str], data: st.DataObject) -> None:
    chosen = data.draw(st.sets(st.sampled_from(months), min_size=1, max_size=len(months) - 1))
    said = times(months, chosen)
    for month in EVERY:
        start = max((each for each in months if each <= month), default=months[0])
        assert any(within(month, each) for each in said) is (start in chosen)
    assert len(said) <= (len(months) + 1) // 2, "no two that touch"
