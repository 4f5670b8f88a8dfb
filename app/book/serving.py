"""Which vehicles' parts may answer an ask: the family of the target, and those that its rules name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from app.book.knowing import Knowing
from app.book.shelf import Bearing
from app.fit.known import Target
from app.fit.links.link import ANYWHERE, models_named
from app.fit.links.linkfamilies import Starting
from app.fit.links.linkgraph import LinkGraph
from app.fit.rules import Direction, End, Rule, RuleKind


class AnyVehicle(Exception):
    """A rule speaks of parts off whatever vehicle."""


def serving(known: Knowing, bearing: Bearing, target: Target) -> frozenset[str] | None:
    """The models whose parts may answer; None where parts off any vehicle may."""
    if not target.identities or any(known.types[known.type_ids[name]].law for name in target.wanted):
        return None
    families = {each.model.family for every in target.identities.values() for each in every}
    found = {key for family in families for key in known.shelf_of_models.family(family)}
    starting = Starting(bearing.graph, bearing.graph.steps, families)
    try:
        for rule in bearing.rules:
            found.update(known.shelf_of_models.named(_offered(rule, bearing.types)))
        for link in bearing.graph.after:
            if bearing.graph.steps[link].link.offered & target.wanted:
                found.update(_starting(known, bearing.graph, starting, link))
    except AnyVehicle:
        return None
    return frozenset(found)


def _offered(rule: Rule, looked_for: frozenset[str]) -> Iterator[str]:
    """The models a rule offers parts off, of types that are looked for, besides those of the target's own family.

    Raises:
        AnyVehicle: it is heard in every family, and names no model on the offered end.
    """
    ends = [(rule.offered_types, End.PART)]
    if rule.direction is Direction.BOTH_WAYS:
        ends.append((rule.wanted_types, End.TARGET))
    for types, end in ends:
        if types & looked_for:
            named = models_named(rule.conditions, end)
            if named is None and _heard_everywhere(rule):
                raise AnyVehicle
            yield from named or ()


def _heard_everywhere(rule: Rule) -> bool:
    """True for a rule that is not kept inside one family."""
    universal = rule.kind is RuleKind.NUMBERS and all(each.end is End.BETWEEN for each in rule.conditions)
    return universal or rule.kind is RuleKind.LAW or any(each.fact == "model" for each in rule.conditions)


def _starting(known: Knowing, graph: LinkGraph, families: Starting, number: int) -> Iterable[str]:
    """The models a chain may start from by this link."""
    named = graph.steps[number].models[End.PART]
    if named is not None:
        return known.shelf_of_models.named(named)
    found = families.by(number)
    if found == ANYWHERE:
        raise AnyVehicle
    return [key for family in found for key in known.shelf_of_models.family(family)]
