"""Parts off one model against the target: the few rules that name them, and only what these look at.

Worlds between which nothing at hand can tell are one.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from app.fit.cases import Case, Voice, seeing_more, with_uses
from app.fit.chains.chains import Chains
from app.fit.knowledge import Knowledge
from app.fit.known import ModelInfo, Offer, Possible, Subject
from app.fit.links.linkgraph import Step
from app.fit.looks import NOTHING, Looks, looks_of_moves, together
from app.fit.making import record
from app.fit.rules import End
from app.fit.values import plain
from app.fit.worlds import OTHER_PLANT, YEARS, Scope, World, closure, given_by, narrowing, worlds

Seen = tuple[object, ...]
Possibles = tuple[Possible, ...]


@record(frozen=True, slots=True)
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


PLAIN = Sight(("family", "model"), (), frozenset())
"""What is seen where nothing but the model is looked at."""


@record(frozen=True, slots=True)
class TargetClass:
    """Worlds of the target of which the same is seen: one that stands for all, and all of them.

    `values` are those that facts have in them, once they were looked at.
    """

    world: World
    subject: Subject
    members: tuple[World, ...]
    values: dict[str, tuple[str, ...]] = field(default_factory=dict)


@record(frozen=True, slots=True)
class Match:
    """What bears on parts off one model: the rules, also by the model of the target, and what they look at on the part.

    `wide` are all the facts that rules of the case look at, by which a known one may narrow the worlds; `telling` are
    the facts that bear on a grade; `dated` says whether year, month and plant do.
    """

    case: Case
    heard: dict[str, tuple[Voice, ...]]
    voices: tuple[Voice, ...]
    scope: Scope
    wide: frozenset[str]
    telling: frozenset[str]
    sight: Sight
    classes: tuple[TargetClass, ...]
    chained: bool
    dated: bool

    @property
    def silent(self) -> bool:
        """Whether nothing speaks of these parts."""
        return not (self.voices or self.chained or self.case.uses)

    def ours(self, offer: Offer, know: Knowledge) -> dict[Seen, World]:
        """The worlds of a part, by what is seen of them."""
        subject, identity = offer.subject, offer.subject.identity
        if identity is not None and not self.scope.facts and self.sight.names == PLAIN.names:
            world = given_by(identity)
            return {self.sight.of(world): world}
        narrowed = narrowing(subject, self.wide, know.facts)
        scope = replace(self.scope, facts=self.scope.facts | narrowed)
        return {self.sight.of(world): world for world in worlds(subject, scope, know.facts)}


@dataclass(slots=True)
class Matches:
    """The matches of one case, each worked out once."""

    case: Case
    chains: Chains
    know: Knowledge
    wanted: frozenset[str]
    _listening: dict[str, _Listening] = field(init=False)
    _matches: dict[str, Match] = field(default_factory=dict)
    _alike: dict[tuple[object, ...], Match] = field(default_factory=dict)
    _classes: dict[tuple[int, Sight], tuple[TargetClass, ...]] = field(default_factory=dict)
    _cases: dict[Scope, Case] = field(default_factory=dict)

    def __post_init__(self) -> None:
        models = {world["model"].value if "model" in world else "" for world, _ in self.case.theirs}
        self._listening = {each: _Listening(self.case.voices, plain(each)) for each in models}

    def of(self, offer: Offer) -> Match:
        """The match of parts off the model of this one."""
        identity = offer.subject.identity
        key = identity.model.key if identity is not None else ""
        if key not in self._matches:
            self._matches[key] = self._new(offer.part_type, identity.model if identity is not None else None)
        return self._matches[key]

    def _new(self, part_type: str, model: ModelInfo | None) -> Match:
        """Models of which the same rules and links speak, and which are alike in what they can be, share one."""
        ours, heard = self._heard(model)
        firsts, lasts = self._links(model, part_type, heard)
        # What a model can be bears on nothing where nothing speaks of it.
        rows = model.possible if model is not None and (firsts or self.case.uses or any(heard.values())) else ()
        hanging = any(row.given or row.built_from or row.built_to or row.plants for row in rows)
        spoken = (*(tuple(map(id, every)) for every in heard.values()), tuple(map(id, firsts)))
        key = (ours if hanging else ours == "", *spoken)
        if key not in self._alike:
            self._alike[key] = self._match(part_type, heard, firsts, lasts, rows)
        return self._alike[key]

    def is_silent(self, part_type: str, model: ModelInfo) -> bool:
        """Whether nothing speaks of parts off a model: no rule names it, no chain begins there, no use is known."""
        _, heard = self._heard(model)
        return not self.case.uses and not any(heard.values()) and not self._links(model, part_type, heard)[0]

    def _heard(self, model: ModelInfo | None) -> tuple[str, dict[str, tuple[Voice, ...]]]:
        ours = plain(model.key) if model is not None else ""
        return ours, {each: listening.to(ours) for each, listening in self._listening.items()}

    def _match(
        self,
        part_type: str,
        heard: dict[str, tuple[Voice, ...]],
        firsts: Sequence[Step],
        lasts: Sequence[Step],
        rows: Possibles,
    ) -> Match:
        voices = list({id(each): each for every in heard.values() for each in every}.values())
        on_part, on_target = self._looks(voices, firsts, End.PART), self._looks(voices, lasts, End.TARGET)
        case = self._seeing(on_target, part_type) if lasts else self.case
        wide = case.scope.facts | on_part.facts
        tied = {name for row in rows if row.given for name in (row.fact, *(each for each, _ in row.given))}
        dated = {row.fact for row in rows if row.built_from or row.built_to or row.plants}
        dates = bool(dated) and bool(dated & (closure(wide, rows) | tied))
        return Match(
            case,
            heard,
            tuple(voices),
            on_part.scope,
            wide,
            on_part.facts | tied | dated,
            _sight(on_part),
            self._told_apart(case, on_target),
            bool(firsts),
            dates or bool({"built", "year", "plant"} & on_part.built_in),
        )

    def _looks(self, voices: Sequence[Voice], steps: Sequence[Step], end: End) -> Looks:
        """What rules and links look at on one end, and the rules that move their dates."""
        own = [each.on_part if end is End.PART else each.on_target for each in voices]
        moved = NOTHING
        if self.know.moves:
            codes = [*(each.rule.code for each in voices), *(each.link.rule.code for each in steps)]
            moved = looks_of_moves(self.know.moves, codes)
        return together([*own, *([self.chains.looks(steps, end)] if steps else []), moved])

    def _links(
        self, model: ModelInfo | None, part_type: str, heard: dict[str, tuple[Voice, ...]]
    ) -> tuple[Sequence[Step], Sequence[Step]]:
        """The links that a chain may begin and end with; none are looked for where a rule speaks in any world."""
        ours = model.key if model is not None else ""
        open_to = [
            each for each, voices in heard.items() if not (ours and each and any(each.always for each in voices))
        ]
        if self.case.other_side or not open_to:
            return (), ()
        return self.chains.outer(ours, part_type, open_to, self.wanted)

    def _seeing(self, looks: Looks, part_type: str) -> Case:
        """The case, told apart also by what links look at that are of other parts than those on offer."""
        if looks.scope not in self._cases:
            self._cases[looks.scope] = seeing_more(self.case, looks.scope, part_type, self.wanted, self.know)
        return self._cases[looks.scope]

    def _told_apart(self, case: Case, looks: Looks) -> tuple[TargetClass, ...]:
        """The worlds of the target by what rules and links look at, and the uses of the design see of them."""
        if self.case.uses:
            scope = with_uses(looks.scope, self.case.uses)
            used = Looks(scope.facts, scope.months, scope.plants, frozenset({"year", "built", "plant"}))
            looks = together([looks, used])
        sight = _sight(looks)
        key = (id(case), sight)
        if key not in self._classes:
            found: dict[tuple[int, Seen], list[tuple[World, Subject]]] = {}
            for world, subject in case.theirs:
                found.setdefault((id(subject), sight.of(world)), []).append((world, subject))
            self._classes[key] = tuple(
                TargetClass(*same[0], tuple(world for world, _ in same)) for same in found.values()
            )
        return self._classes[key]


def _sight(looks: Looks) -> Sight:
    if looks is NOTHING:
        return PLAIN
    names = {*looks.facts, *looks.built_in, *({YEARS} if "year" in looks.built_in else ()), "family", "model"}
    return Sight(tuple(sorted(names)), tuple(sorted(looks.months)), looks.plants, looks.to_the_month)


class _Listening:
    """Which rules are not silent already by the models they name, for one model of the target."""

    def __init__(self, voices: Iterable[Voice], theirs: str) -> None:
        # Of a vehicle of no known model nothing is said.
        self._every = tuple(each for each in voices if each.of_target is None or not theirs or theirs in each.of_target)
        self._anywhere = tuple(each for each in self._every if each.of_part is None)
        self._of_model = {model for each in self._every if each.of_part is not None for model in each.of_part}

    def to(self, ours: str) -> tuple[Voice, ...]:
        """Those heard of a part off one model, in their order."""
        if not ours:
            return self._every
        if ours not in self._of_model:
            return self._anywhere
        return tuple(each for each in self._every if each.of_part is None or ours in each.of_part)
