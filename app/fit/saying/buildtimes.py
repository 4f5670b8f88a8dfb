"""The times that build months stand for: each lasts from its month to the next at which something changes."""

from __future__ import annotations

from collections.abc import Collection, Sequence


def spans(months: Sequence[str]) -> tuple[str, ...]:
    """What each of some months (YYYY-MM, in order) stands for: from it to the next, the first all before."""
    return tuple(_span(months, at, at) for at in range(len(months)))


def times(months: Sequence[str], chosen: Collection[str]) -> tuple[str, ...]:
    """The times that the chosen ones of some months make up, those that follow each other as one."""
    is_in = [month in chosen for month in months]
    starts = [at for at, each in enumerate(is_in) if each and not (at and is_in[at - 1])]
    ends = [at for at, each in enumerate(is_in) if each and not any(is_in[at + 1 : at + 2])]
    return tuple(_span(months, first, last) for first, last in zip(starts, ends, strict=True))


def _span(months: Sequence[str], first: int, last: int) -> str:
    following = months[last + 1] if last + 1 < len(months) else ""
    if not following:
        return f"{months[first]} or later" if first else months[0]
    if not first:
        return f"before {following}"
    until = _month_before(following)
    return f"{months[first]} to {until}" if until > months[first] else until


def _month_before(month: str) -> str:
    """The month before YYYY-MM."""
    year, number = int(month[:4]), int(month[5:7])
    return f"{year - (number == 1)}-{(number - 2) % 12 + 1:02d}"
