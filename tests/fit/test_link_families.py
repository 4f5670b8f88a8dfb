"""In which families chains run, held against every way to choose a family for each vehicle of a path."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product

from hypothesis import given
from hypothesis import strategies as st

from app.fit.links.link import ANYWHERE, Families, Link
from app.fit.links.linkfamilies import Starting, arrives, onward
from app.fit.links.linkgraph import LinkGraph, Step, step_of
from app.fit.rules import Direction, Rule, RuleKind, RuleState
from app.fit.terms import Grade

FAMILIES = ("Tolliver", "Harrow", "Tansy")
HUBS = frozenset({"hub"})
RULE = Rule("R01", RuleKind.FIT, Grade.BOLTS_UP, Direction.ONE_WAY, RuleState.OPEN, "because", HUBS, HUBS)
STEP = step_of(Link(RULE, False, (), HUBS, HUBS))
Path = tuple[int, ...]

met = st.frozensets(st.sampled_from(FAMILIES), min_size=1) | st.just(ANYWHERE)


@st.composite
def graphs(draw: st.DrawFn) -> LinkGraph:
    """Up to five links, some of which stay inside a family, and where these meet."""
    steps: dict[int, Step] = {at: replace(STEP, roams=draw(st.booleans())) for at in range(draw(st.integers(2, 5)))}
    after = {one: [other for other in steps if other != one and draw(st.booleans())] for one in steps}
    pairs = [(one, other) for one, following in after.items() for other in following]
    # Where both roam it is not kept in which families they meet.
    kept: dict[tuple[int, int], Families] = {
        pair: draw(met) for pair in pairs if not all(steps[at].roams for at in pair)
    }
    return LinkGraph(steps, after, kept)


def paths(graph: LinkGraph) -> list[Path]:
    """Every path of two or three links."""
    pairs = [(one, other) for one, following in graph.after.items() for other in following]
    return [*pairs, *((*pair, last) for pair in pairs for last in graph.after.get(pair[-1], ()))]


def can_lead(graph: LinkGraph, path: Path, ours: str, theirs: str) -> bool:
    """Whether the vehicles between can be of families such that each link that stays in one does."""
    between = [graph.families.get(pair, ANYWHERE) for pair in pairwise(path)]
    stops = [(ours,), *(FAMILIES if each == ANYWHERE else sorted(each) for each in between), (theirs,)]
    return any(
        all(graph.steps[at].roams or way[n] == way[n + 1] for n, at in enumerate(path)) for way in product(*stops)
    )


@given(graphs(), st.sampled_from(FAMILIES), st.sampled_from(FAMILIES))
def test_a_path_leads_on_where_some_families_between_allow_it(graph: LinkGraph, ours: str, theirs: str) -> None:
    for path in paths(graph):
        near: Families = frozenset((ours,))
        for one, other in pairwise(path):
            near = onward(graph, one, other, near)
        assert arrives(graph, path[-1], near, theirs) == can_lead(graph, path, ours, theirs)


@given(graphs(), st.sets(st.sampled_from(FAMILIES), min_size=1), st.sets(st.integers(0, 4)))
def test_a_link_can_start_in_the_families_of_which_a_path_leads_to_the_target(
    graph: LinkGraph, theirs: set[str], lasts: set[int]
) -> None:
    starting = Starting(graph, lasts, theirs)
    ending = [path for path in paths(graph) if path[-1] in lasts]
    for first in graph.steps:
        found = starting.by(first)
        for ours in FAMILIES:
            led = any(can_lead(graph, path, ours, each) for path in ending if path[0] == first for each in theirs)
            assert (found == ANYWHERE or ours in found) == led


@given(graphs(), st.sets(st.sampled_from(FAMILIES), min_size=1), st.sets(st.integers(0, 4)))
def test_links_that_lead_to_no_target_are_left_and_no_path_with_them(
    graph: LinkGraph, theirs: set[str], lasts: set[int]
) -> None:
    left = Starting(graph, lasts, theirs).leading()
    ending = [path for path in paths(graph) if path[-1] in lasts]
    led = [path for path in ending if any(can_lead(graph, path, ours, each) for ours in FAMILIES for each in theirs)]
    assert set(led) <= set(paths(left))
    assert {pair for path in led for pair in pairwise(path)} == {
        (one, other) for one, following in left.after.items() for other in following
    }
    assert set(left.steps) == {at for path in led for at in path}
