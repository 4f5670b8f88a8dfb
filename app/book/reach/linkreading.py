"""Links of chains from the sheets of rules.

What links ask of their ends besides models is worked out once for all rules that ask it in the same words.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from app.book.reach.linknumbers import TURNED, link_number
from app.book.reach.rulereading import Named, Texts, rule_on
from app.book.reach.rulesheets import Sheet
from app.fit.known import FactInfo
from app.fit.links.link import Link, links_of
from app.fit.links.linkgraph import Step, step_of
from app.fit.rules import Condition, End, Rule
from app.fit.values import plain

Models = frozenset[str] | None

_PART, _TARGET = End.PART, End.TARGET
_TURNED = {End.PART: End.TARGET, End.TARGET: End.PART, End.BETWEEN: End.BETWEEN}
_NO_TYPES: frozenset[str] = frozenset()


def _turned(each: Condition) -> Condition:
    return Condition(_TURNED[each.end], each.fact, each.op, each.values, each.other_fact, each.allowed, each.alt)


@dataclass
class Links:
    """Reads rules as links, and keeps what many of them share."""

    texts: Texts
    facts: Mapping[str, FactInfo]
    _likes: dict[tuple[str, str], Sequence[Step]] = field(default_factory=dict)

    def steps(self, sheet: Sheet, named: Sequence[Named]) -> Iterable[tuple[int, Step]]:
        """All links that a rule comes to, with their numbers."""
        key = (sheet.terms, sheet.besides)
        likes = self._likes.get(key)
        if likes is None:
            likes = self._likes[key] = self._like(sheet)
        rule = rule_on(sheet, named, self.texts)
        if not likes:
            links = links_of([rule], self.facts)
            return [(link_number(sheet.rule_id, link.back, link.way), step_of(link)) for link in links]
        number, (part, target) = link_number(sheet.rule_id, False, 0), _models(named)
        found = []
        for like in likes:
            if like.link.back:
                at, models = number + TURNED, {_PART: target, _TARGET: part}
                conditions = tuple(map(_turned, rule.conditions))
                link = Link(rule, True, conditions, rule.wanted_types, rule.offered_types)
            else:
                at, models = number, {_PART: part, _TARGET: target}
                link = Link(rule, False, rule.conditions, rule.offered_types, rule.wanted_types)
            found.append((at, Step(link, models, like.asked, like.one_side, like.looks, bool(named) or like.roams)))
        return found

    def _like(self, sheet: Sheet) -> Sequence[Step]:
        """The links of such a rule if it names no models; none where these would not ask just what it does."""
        kind, grade, direction, state, chains = self.texts.terms(sheet.terms)
        asked = self.texts.besides(sheet.besides).conditions
        bare = Rule("", kind, grade, direction, state, "", _NO_TYPES, _NO_TYPES, asked, chains=chains)
        links = links_of([bare], self.facts)
        plainly = all(not link.way and (link.back or link.conditions == asked) for link in links)
        return tuple(map(step_of, links)) if plainly else ()


def _models(named: Sequence[Named]) -> tuple[Models, Models]:
    """The models that a rule names on the part and on the target, in plain words."""
    part: Models = None
    target: Models = None
    for _, end, names in named:
        models = frozenset([plain(str(name)) for name in names])
        if end == _PART:
            part = models if part is None else part & models
        else:
            target = models if target is None else target & models
    return part, target
