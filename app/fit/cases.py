"""What is the same for all parts of one type and side: the rules that may speak, and the worlds of the target."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import product

from app.fit.knowledge import Knowledge
from app.fit.known import Identity, Offer, Subject, Target, UseInfo
from app.fit.links.link import models_named
from app.fit.looks import Looks, looks_of, looks_of_moves, together
from app.fit.making import record
from app.fit.rules import Condition, Direction, End, Op, Rule, RuleKind, RuleState
from app.fit.terms import Group, Side
from app.fit.values import plain
from app.fit.worlds import BUILT_IN, NO_SUCH, Scope, World, closure, dating, next_month, rows_of, worlds

_OF_THE_CASE = frozenset({"side", "part type"})
"""What is the same of all parts of a case."""


@record(frozen=True, slots=True)
class Voice:
    """A rule in a direction in which it may speak, with the models it names on either end; None where it names none.

    `on_part` and `on_target` are what it looks at there, `rest` what it asks besides the models; `always` is one that
    speaks wherever these are met. `everywhere` is one that is not kept inside one family. `of_target_alone` says that
    all parts off the models it names come to the same by it in one world of the target. `names_of_part` and
    `names_of_target` are all that `rest` goes by, `taken` those of which it counts whether they were taken of this
    very part.
    """

    rule: Rule
    back: bool
    of_part: frozenset[str] | None
    of_target: frozenset[str] | None
    on_part: Looks
    on_target: Looks
    rest: tuple[Condition, ...]
    always: bool
    everywhere: bool
    of_target_alone: bool
    names_of_part: tuple[str, ...]
    names_of_target: tuple[str, ...]
    taken: tuple[str, ...]


@record(frozen=True, slots=True)
class Case:
    """The rules that may speak of parts of a type and side, and the target's worlds.

    `scope` is what the rules look at, `asked` also what tells it of the target, and so may be asked instead. Of parts
    of the other side only the rules about sides are heard.
    """

    voices: tuple[Voice, ...]
    uses: tuple[UseInfo, ...]
    scope: Scope
    asked: Scope
    theirs: tuple[tuple[World, Subject], ...]
    other_side: bool


def case_of(offer: Offer, target: Target, know: Knowledge, uses: Sequence[UseInfo]) -> Case:
    """The case of all parts that are of one type and side with this one; `uses` are those of their design."""
    subjects = target_subjects(offer, target, know)
    agrees = all(each.side is offer.subject.side for each in subjects)
    turned = [(rule, back) for rule in know.rules for back in _ways(rule, offer, target)]
    voices = [_voice(rule, back, side_agrees=agrees) for rule, back in turned]
    if all(each.identity is not None for each in subjects):
        # What a rule about other vehicles looks at narrows nothing here.
        models = {plain(each.identity.model.key) for each in subjects if each.identity is not None}
        voices = [each for each in voices if each.of_target is None or each.of_target & models]
    other_side = bool(target.side and offer.subject.side and offer.subject.side is not target.side)
    if other_side:
        voices = [each for each in voices if _speaks_of_sides(each.rule)]
    scope = with_uses(scope_of([each.rule for each in voices], know), uses)
    asked, theirs = _told_of(subjects, scope, offer.part_type, target.wanted, know)
    return Case(tuple(voices), tuple(uses), scope, asked, theirs, other_side)


def seeing_more(case: Case, scope: Scope, part_type: str, wanted: Iterable[str], know: Knowledge) -> Case:
    """The case with the target's worlds told apart by more: by what the last links of chains look at."""
    wide = Scope(case.scope.facts | scope.facts, case.scope.months | scope.months, case.scope.plants | scope.plants)
    if wide == case.scope:
        return case
    subjects = {id(each): each for _, each in case.theirs}.values()
    asked, theirs = _told_of(subjects, wide, part_type, wanted, know)
    return replace(case, scope=wide, asked=asked, theirs=theirs)


def _told_of(
    subjects: Iterable[Subject], scope: Scope, part_type: str, wanted: Iterable[str], know: Knowledge
) -> tuple[Scope, tuple[tuple[World, Subject], ...]]:
    """What may be asked of the target, and its worlds."""
    told = [(each, _with_what_tells(scope, each, know.groups.get(part_type), know)) for each in subjects]
    every = [(world, each) for each, tells in told for world in worlds(each, tells, know.facts)]
    theirs = _having_one(every, {name for each in wanted for name in know.look_for.get(each, ())}, know)
    asked = replace(scope, facts=scope.facts.union(*(tells.facts for _, tells in told)))
    return _without_takers_away(asked, scope, [world for world, _ in theirs]), tuple(theirs)


def _having_one(
    theirs: list[tuple[World, Subject]], look_for: Collection[str], know: Knowledge
) -> list[tuple[World, Subject]]:
    """Who asks for a part has one: worlds with none of its looks are left out, unless there are no others."""
    having = [(world, each) for world, each in theirs if not _is_without(world, each, look_for, know)]
    return having or theirs


def _is_without(world: World, subject: Subject, look_for: Collection[str], know: Knowledge) -> bool:
    """Whether of all looks that such vehicles have on such a part none is there."""
    gone = {name for name in look_for if name in world and world[name].value == NO_SUCH}
    return bool(gone) and gone.issuperset({row.fact for row in rows_of(subject, know.facts)}.intersection(look_for))


@lru_cache(maxsize=2048)
def _voice(rule: Rule, back: bool, *, side_agrees: bool) -> Voice:
    """`side_agrees` says that the part is of the side that is asked for."""
    ours, theirs = (End.TARGET, End.PART) if back else (End.PART, End.TARGET)
    conditions = rule.conditions
    # Whichever way round it is heard, the lot in hand is counted.
    seen = [replace(each, end=ours) if each.fact == "pieces" else each for each in conditions]
    on_part, on_target = (looks_of([each for each in seen if each.end in (end, End.BETWEEN)]) for end in (ours, theirs))
    there = frozenset(already_there(rule))
    rest = tuple(each for each in conditions if not _asks_for_models(each))
    seen = [each for each in seen if not _asks_for_models(each)]
    everywhere = is_heard_everywhere(rule)
    return Voice(
        rule,
        back,
        models_named(conditions, ours),
        models_named(conditions, theirs),
        on_part,
        together([on_target, Looks(there)]) if there else on_target,
        rest,
        any(map(_asks_for_models, conditions))
        and all(_asks_for_models(each) or (side_agrees and _asks_for_its_side(each)) for each in conditions),
        everywhere,
        everywhere and all(each.end is theirs or (each.fact in _OF_THE_CASE and not each.other_fact) for each in seen),
        _names(seen, ours),
        _names(seen, theirs),
        _names([each for each in seen if rule.kind is RuleKind.NUMBERS or each.other_fact], ours),
    )


def _names(conditions: Iterable[Condition], end: End) -> tuple[str, ...]:
    """The facts that conditions go by at one end."""
    there = [each for each in conditions if each.end in (end, End.BETWEEN)]
    return tuple(sorted({name for each in there for name in (each.fact, each.other_fact) if name}))


def is_heard_everywhere(rule: Rule) -> bool:
    """A rule that names no model speaks inside one family only, but for law and numbers held against numbers."""
    universal = rule.kind is RuleKind.NUMBERS and all(each.end is End.BETWEEN for each in rule.conditions)
    return rule.kind is RuleKind.LAW or universal or any(each.fact == "model" for each in rule.conditions)


def _asks_for_models(condition: Condition) -> bool:
    return condition.fact == "model" and condition.op is Op.ANY_OF and not condition.alt


def _asks_for_its_side(condition: Condition) -> bool:
    return condition.fact == "side" and condition.op is Op.SAME and condition.end is End.BETWEEN and not condition.alt


def _ways(rule: Rule, offer: Offer, target: Target) -> Iterator[bool]:
    """In which directions the part types allow the rule to speak."""
    if rule.state is RuleState.CLOSED or rule.kind is RuleKind.MOVES_DATE:
        return
    wanted = rule.wanted_types or rule.offered_types
    if offer.part_type in rule.offered_types and (wanted & target.wanted or rule.kind is RuleKind.LAW):
        yield False
    # A turned rule adds something only where its two ends differ.
    turned = offer.part_type in wanted and bool(rule.offered_types & target.wanted)
    if rule.direction is Direction.BOTH_WAYS and turned:
        yield True


def _speaks_of_sides(rule: Rule) -> bool:
    return any(condition.fact == "side" and condition.op is not Op.SAME for condition in rule.conditions)


def scope_of(rules: Iterable[Rule], know: Knowledge) -> Scope:
    """The facts, months and plants that the rules look at, with those of the rules that move their dates."""
    given = list(rules)
    looks = looks_of([each for rule in given for each in rule.conditions])
    there = Looks(frozenset(name for rule in given for name in already_there(rule)))
    return together([looks, there, looks_of_moves(know.moves, (rule.code for rule in given))]).scope


def already_there(rule: Rule) -> tuple[str, ...]:
    """The facts of the target that tell whether the customer has a companion already."""
    return tuple(each.already_there.partition("=")[0].strip() for each in rule.companions if "=" in each.already_there)


def with_uses(scope: Scope, uses: Sequence[UseInfo]) -> Scope:
    """A use of a design is evidence only in its months, at its plants and with its options: they are looked at too."""
    months = {use.built_from for use in uses if use.built_from}
    months |= {next_month(use.built_to) for use in uses if use.built_to}
    given = {name for use in uses for name, _ in use.given} - BUILT_IN
    plants = {plant for use in uses for plant in use.plants}
    return Scope(scope.facts | given, scope.months | months, scope.plants | plants)


def _with_what_tells(scope: Scope, subject: Subject, group: Group | None, know: Knowledge) -> Scope:
    """The scope with the facts of the target that its facts hang on: stick or automatic tells the radiator.

    And with those that change with the months and plants looked at, for a look at the piece tells what the label says.
    """
    rows = rows_of(subject, know.facts)
    dated = dating(scope, rows, group, know.facts)
    return replace(scope, facts=scope.facts | closure(scope.facts | dated, rows) | dated)


def _without_takers_away(asked: Scope, scope: Scope, theirs: Sequence[World]) -> Scope:
    """Who asks for a part has it: what would only take away a thing looked at is not asked for instead of it."""
    telling = {name for name in asked.facts - scope.facts if not any(_takes_away(name, x, theirs) for x in scope.facts)}
    return replace(asked, facts=scope.facts | telling)


def _takes_away(name: str, looked_at: str, theirs: Sequence[World]) -> bool:
    values = {
        (world[name].value, world[looked_at].value == NO_SUCH) for world in theirs if {name, looked_at} <= set(world)
    }
    gone = {value for value, absent in values if absent}
    return bool(gone) and gone != {value for value, _ in values}


def target_subjects(offer: Offer, target: Target, know: Knowledge) -> list[Subject]:
    """Every vehicle that the target may be, as it is seen by parts of the kind of this one."""
    group = know.groups.get(offer.part_type)
    identities = target.identities.get(group, ()) if group else ()
    side = target.side or offer.subject.side if offer.sided else Side.NONE
    wanted = offer.part_type if offer.part_type in target.wanted else min(target.wanted, default="")
    if group is None or not identities:
        return [Subject(None, target.facts, {}, side or Side.NONE, wanted, 0)]
    return [
        Subject(one[group], target.facts, {}, side or Side.NONE, "", 0, _of_others(one, group))
        for one in _one_each(target.identities)
    ]


def _one_each(identities: Mapping[Group, tuple[Identity, ...]]) -> Iterator[dict[Group, Identity]]:
    """Every vehicle it may be: groups that leave the same choice choose the same."""
    distinct = {id(each): each for each in identities.values() if each}
    for chosen in product(*distinct.values()):
        picked = dict(zip(distinct, chosen, strict=True))
        yield {group: picked[id(each)] for group, each in identities.items() if each}


def _of_others(one: Mapping[Group, Identity], own: Group) -> dict[Group, Identity]:
    return {group: identity for group, identity in one.items() if identity is not one[own]}
