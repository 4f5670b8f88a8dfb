"""The links of chains, and which may follow which."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from app.fit.closure import Families, Joints, Link, Meeting, links_of, models_named
from app.fit.knowledge import Knowledge
from app.fit.looks import Looks, looks_of
from app.fit.rules import Condition, End, Rule


@dataclass(frozen=True, slots=True)
class Step:
    """A link as a step of a path, with all that is asked for at each step worked out once.

    `models` are those it must be at either end, in plain words, None where it names none; `asks_more` is a link that
    holds its ends against each other by more than the side.
    """

    link: Link
    models: Mapping[End, frozenset[str] | None]
    asked: Mapping[End, tuple[Condition, ...]]
    looks: Mapping[End, Looks]
    asks_more: bool
    roams: bool


@dataclass(frozen=True, slots=True)
class LinkGraph:
    """Links by number, and for each the links that may come after it, the lower number first.

    `families` are those of the vehicles in which two links meet, of all pairs one of which is kept inside a family.
    """

    steps: Mapping[int, Step] = field(default_factory=dict)
    after: Mapping[int, Sequence[int]] = field(default_factory=dict)
    families: Mapping[tuple[int, int], Families] = field(default_factory=dict)


def step_of(link: Link) -> Step:
    """A link with what it asks of each end."""
    asked = {end: link.at(end) for end in End}
    between = asked[End.BETWEEN]
    ends = (End.PART, End.TARGET)
    named = {end: models_named(asked[end], end) for end in ends}
    return Step(
        link,
        named,
        asked,
        {end: looks_of((*asked[end], *between)) for end in ends},
        any(each.fact != "side" for each in between),
        any(each is not None for each in named.values()) or link.roams,
    )


def graph_of(know: Knowledge, rules: Iterable[Rule]) -> LinkGraph:
    """All links that rules make, over all the models that are known."""
    links = links_of(rules)
    numbers = {link.key: number for number, link in enumerate(links)}
    joints, meeting = Joints(links), Meeting(know)
    after: dict[int, list[int]] = {}
    families = {}
    for number, link in enumerate(links):
        for other in joints.after(link):
            if met := meeting.families(link, other):
                after.setdefault(number, []).append(numbers[other.key])
                families[number, numbers[other.key]] = met
    steps = {number: step_of(link) for number, link in enumerate(links)}
    return LinkGraph(steps, {number: sorted(following) for number, following in after.items()}, families)
