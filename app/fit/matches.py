"""Parts off one model against the target: the few rules that name them, and only what these look at.

Worlds between which nothing at hand can tell are one.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from app.fit.cases import Case, Voice, already_there, scope_of_conditions, with_uses
from app.fit.chains import Chains, asked_at
from app.fit.knowledge import Knowledge, ModelInfo, Offer, Subject
from app.fit.linkgraph import Step
from app.fit.rules import Condition, End, Op
from app.fit.values import plain
from app.fit.worlds import BUILT_IN, OTHER_PLANT, Scope, World, closure, narrowing, worlds

Seen = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Sight:
    """What is looked at of a vehicle: names of facts, and the months and plants at which something changes."""

    names: tuple[str, ...]
    months: tuple[str, ...]
    plants: frozenset[str]
    to_the_month: bool = False

    def of(self, world: World) -> Seen:
        """What is seen of a world; worlds of which the same is seen are one."""
        return tuple(self._seen(name, world) for name in self.names)

    def _seen(self, name: str, world: World) -> object:
        known = world.get(name)
        if known is None:
            return None
        if name == "built" and not self.to_the_month:
            return bisect_right(self.months, known.value)
        if name == "plant":
            return known.value if known.value in self.plants else OTHER_PLANT
        return (known.value, known.u_mm) if known.u_mm else known.value


@dataclass(frozen=True, slots=True)
class TargetClass:
    """Worlds of the target of which the same is seen: one that stands for all, and all of them."""

    world: World
    subject: Subject
    members: tuple[World, ...]


@dataclass(frozen=True, slots=True)
class Match:
    """What bears on parts off one model: the rules by the model of the target, and what they look at on the part.

    `wide` are all the facts that rules of the case look at, by which a known one may narrow the worlds; `telling` are
    the facts that bear on a grade; `dated` says whether year, month and plant do.
    """

    case: Case
    heard: dict[str, tuple[Voice, ...]]
    scope: Scope
    wide: frozenset[str]
    telling: frozenset[str]
    sight: Sight
    classes: tuple[TargetClass, ...]
    chained: bool
    dated: bool

    def ours(self, subject: Subject, know: Knowledge) -> dict[Seen, World]:
        """The worlds of a part, by what is seen of them."""
        scope = replace(self.scope, facts=self.scope.facts | narrowing(subject, self.wide, know.facts))
        return {self.sight.of(world): world for world in worlds(subject, scope, know.facts)}


@dataclass(frozen=True, slots=True)
class _LookedAt:
    """All that rules and links ask of one end, and between the ends."""

    conditions: tuple[Condition, ...]
    codes: frozenset[str]

    def scope(self, know: Knowledge) -> Scope:
        return scope_of_conditions(self.conditions, self.codes, know)

    def sight(self, scope: Scope, know: Knowledge, besides: Iterable[str] = ()) -> Sight:
        moving = (each for move in know.moves if move.moves in self.codes for each in move.rule.conditions)
        every = [*self.conditions, *moving]
        looked_at = {each.fact for each in every} & BUILT_IN
        to_the_month = any(each.fact == "built" and each.op not in (Op.BEFORE, Op.FROM) for each in every)
        names = sorted({*scope.facts, *looked_at, *besides, "family", "model"})
        return Sight(tuple(names), tuple(sorted(scope.months)), scope.plants, to_the_month)


@dataclass(slots=True)
class Matches:
    """The matches of one case, each worked out once."""

    case: Case
    chains: Chains
    know: Knowledge
    wanted: frozenset[str]
    _matches: dict[str, Match] = field(default_factory=dict)
    _classes: dict[Sight, tuple[TargetClass, ...]] = field(default_factory=dict)

    def of(self, offer: Offer) -> Match:
        """The match of parts off the model of this one."""
        identity = offer.subject.identity
        key = identity.model.key if identity is not None else ""
        if key not in self._matches:
            self._matches[key] = self._new(offer.part_type, identity.model if identity is not None else None)
        return self._matches[key]

    def _new(self, part_type: str, model: ModelInfo | None) -> Match:
        ours = plain(model.key) if model is not None else ""
        theirs = {world["model"].value if "model" in world else "" for world, _ in self.case.theirs}
        heard = {each: self._heard(ours, plain(each)) for each in theirs}
        voices = list({id(each): each for every in heard.values() for each in every}.values())
        firsts, lasts = self._links(model, part_type, heard)
        on_part = _looked_at(voices, firsts, End.PART)
        scope = on_part.scope(self.know)
        sight = on_part.sight(scope, self.know)
        wide = self.case.scope.facts | scope.facts
        rows = model.possible if model is not None else ()
        tied = {row.fact for row in rows if row.given} | {name for row in rows for name, _ in row.given}
        dated = {row.fact for row in rows if row.built_from or row.built_to or row.plants}
        dates = bool(dated) and bool(dated & (closure(wide, rows) | tied))
        return Match(
            self.case,
            heard,
            scope,
            wide,
            scope.facts | tied | dated,
            sight,
            self._told_apart(voices, lasts),
            bool(firsts),
            dates or bool({"built", "year", "plant"} & set(sight.names)),
        )

    def _heard(self, ours: str, theirs: str) -> tuple[Voice, ...]:
        """The rules that are not silent already by the models they name."""
        return tuple(
            each for each in self.case.voices if _may_be(each.of_part, ours) and _may_be(each.of_target, theirs)
        )

    def _links(
        self, model: ModelInfo | None, part_type: str, heard: dict[str, tuple[Voice, ...]]
    ) -> tuple[Sequence[Step], Sequence[Step]]:
        """The links that a chain may begin and end with; none are looked for where a rule speaks in any world."""
        ours = model.key if model is not None else ""
        open_to = [each for each, voices in heard.items() if not (ours and each and any(map(_always_speaks, voices)))]
        if self.case.other_side or not open_to:
            return (), ()
        return self.chains.outer(ours, part_type, open_to, self.wanted)

    def _told_apart(self, voices: Sequence[Voice], lasts: Sequence[Step]) -> tuple[TargetClass, ...]:
        """The worlds of the target by what these rules and links, and the uses of the design, see of them."""
        on_target = _looked_at(voices, lasts, End.TARGET)
        scope = with_uses(on_target.scope(self.know), self.case.uses)
        there = {name for each in voices for name in already_there(each.rule)}
        used = {"year", "built", "plant"} if self.case.uses else set[str]()
        sight = on_target.sight(scope, self.know, there | used)
        if sight not in self._classes:
            found: dict[tuple[int, Seen], list[tuple[World, Subject]]] = {}
            for world, subject in self.case.theirs:
                found.setdefault((id(subject), sight.of(world)), []).append((world, subject))
            self._classes[sight] = tuple(
                TargetClass(*same[0], tuple(world for world, _ in same)) for same in found.values()
            )
        return self._classes[sight]


def _looked_at(voices: Sequence[Voice], steps: Sequence[Step], end: End) -> _LookedAt:
    """What is asked of one end; a rule turned round asks there what it says of the other."""
    asked = [
        each for voice in voices for each in voice.rule.conditions if _stands_at(each, voice.back) in (end, End.BETWEEN)
    ]
    codes = frozenset((*(each.rule.code for each in voices), *(each.link.rule.code for each in steps)))
    return _LookedAt((*asked, *asked_at(steps, end)), codes)


def _stands_at(condition: Condition, back: bool) -> End:
    if not back or condition.end is End.BETWEEN:
        return condition.end
    return End.TARGET if condition.end is End.PART else End.PART


def _may_be(named: Iterable[str] | None, model: str) -> bool:
    """False where an end must be of other models; of a vehicle of no known model nothing is said."""
    return named is None or not model or model in named


def _always_speaks(voice: Voice) -> bool:
    """True for a rule that asks for models alone: where these are met it speaks in any world."""
    conditions = voice.rule.conditions
    return bool(conditions) and all(
        each.fact == "model" and each.op is Op.ANY_OF and not each.alt for each in conditions
    )
