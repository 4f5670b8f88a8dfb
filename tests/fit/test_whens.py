"""Of what is said in some worlds and not in others it is said in which, and of what is said in all nothing."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from app.fit.decide import Decision, Judge
from app.fit.saying.reasons import Said, fires, of_rule, reasons
from app.fit.saying.whens import whens
from tests.fit.small_yards import Yard, small_yard

YARDS = st.integers(0, 10**6).map(small_yard)


def said_in(decision: Decision) -> dict[Said, set[tuple[int, int]]]:
    """The pairs of worlds in which each rule speaks."""
    found: dict[Said, set[tuple[int, int]]] = {}
    for ours, theirs, outcome in decision.merged.found:
        for fire in fires(outcome):
            found.setdefault(of_rule(fire), set()).add((id(ours), id(theirs)))
    return found


@settings(max_examples=300, deadline=None, derandomize=True)
@given(YARDS)
def test_only_of_a_rule_that_is_silent_in_some_world_it_is_said_if_what(yard: Yard) -> None:
    judge = Judge(yard.target, yard.know)
    for offer in yard.offers:
        decision = judge.decide(offer)
        if decision is None:
            continue
        every = {(id(ours), id(theirs)) for ours, theirs, _ in decision.merged.found}
        when = whens(decision, yard.know)
        told = reasons(decision, when)
        for key, pairs in said_in(decision).items():
            assert pairs != every or key not in when
            assert key not in when or any(f"{key[0]}: if {when[key]}: " in said for said in told)
