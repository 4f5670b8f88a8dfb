"""The links of chains, and which may follow which."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field

from app.fit.links.link import Families, Link, models_named
from app.fit.looks import Looks, looks_of
from app.fit.making import record
from app.fit.rules import Condition, End, Op


@record(frozen=True, slots=True)
class Step:
    """A link as a step of a path, with all that is asked for at each step worked out once.

    `models` are those it must be at either end, in plain words, None where it names none; `asked` is what it asks there
    besides, and between the ends, and `one_side` whether its ends must be of one side.
    """

    link: Link
    models: Mapping[End, frozenset[str] | None]
    asked: Mapping[End, tuple[Condition, ...]]
    one_side: bool
    looks: Mapping[End, Looks]
    roams: bool


@record(frozen=True, slots=True)
class LinkGraph:
    """Links by number, and for each the links that may come after it, the lower number first.

    `families` are those of the vehicles in which two links meet, of all pairs one of which is kept inside a family.
    """

    steps: Mapping[int, Step] = field(default_factory=dict)
    after: Mapping[int, Sequence[int]] = field(default_factory=dict)
    families: Mapping[tuple[int, int], Families] = field(default_factory=dict)


def step_of(link: Link) -> Step:
    """A link with what it asks of each end."""
    asked: dict[End, list[Condition]] = {end: [] for end in End}
    named: dict[End, list[Condition]] = {end: [] for end in End}
    for each in link.conditions:
        (named if each.fact == "model" and each.op is Op.ANY_OF and not each.alt else asked)[each.end].append(each)
    between = asked[End.BETWEEN]
    of_side = [each for each in between if each.fact == "side" and each.op is Op.SAME and not each.alt]
    besides = [each for each in between if each not in of_side]
    ends = (End.PART, End.TARGET)
    return Step(
        link,
        {end: models_named(named[end], end) for end in ends},
        {end: (*asked[end], *besides) for end in ends},
        bool(of_side),
        {end: looks_of((*asked[end], *between)) for end in ends},
        link.roams,
    )
