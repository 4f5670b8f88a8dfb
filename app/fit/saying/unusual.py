"""What was seen on a part that no vehicle of its donor's model is known to have: believed, and told."""

from __future__ import annotations

from collections.abc import Mapping

from app.fit.known import FactInfo, Offer
from app.fit.outcomes import Outcome
from app.fit.terms import FactKind
from app.fit.values import same

TOLD_APART = frozenset({FactKind.CHOICE, FactKind.YES_NO, FactKind.COUNT})
"""What is this or that; a measured figure is never just the one in the book."""


def unusual(offer: Offer, outcome: Outcome, facts: Mapping[str, FactInfo]) -> tuple[str, ...]:
    """Words for every such look that the rules go by: the piece may have been changed before the yard got the vehicle.

    What was found on the part beats what its donor's model says, so it changes no grade.
    """
    seen, identity = offer.subject.facts, offer.subject.identity
    if not seen or identity is None or outcome.resolved is None:
        return ()
    asked = [each.fact for fire in outcome.resolved.fires for each in fire.rule.conditions if each.fact in seen]
    found = []
    for name in dict.fromkeys(asked):
        if name not in facts or facts[name].kind not in TOLD_APART:
            continue
        listed = [row.value for row in identity.model.possible if row.fact == name]
        if listed and not any(same(value, seen[name].value) for value in listed):
            found.append(
                f"unusual: {name} {seen[name].value} was seen on it, and no {identity.model.words} is known with that"
            )
    return tuple(found)
