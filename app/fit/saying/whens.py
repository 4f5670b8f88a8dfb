"""Under which looks a rule speaks that does not speak in every world, in words."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from typing import Generic, TypeVar

from app.fit.decide import Decision
from app.fit.knowledge import Knowledge
from app.fit.making import record
from app.fit.matches import TargetClass
from app.fit.merging import BUILT, DATED, PLANT, Finding, stretches_of
from app.fit.outcomes import Outcome
from app.fit.rules import Condition, End
from app.fit.saying.buildtimes import times
from app.fit.saying.opens import MOST_VALUES, clause
from app.fit.saying.reasons import Said, fires, listed, of_chain, of_design, of_rule
from app.fit.worlds import NO_SUCH, World

NO_LOOK = frozenset({"side", "part type", "pieces", "year"})


@record(frozen=True, slots=True)
class _Word:
    """One thing that is said, and the facts of the vehicle and of the part that it goes by."""

    key: Said
    theirs: tuple[str, ...]
    ours: tuple[str, ...]


def whens(decision: Decision, know: Knowledge) -> Mapping[Said, str]:
    """Of what is said in some worlds and not in others, where it is: "the hub plug is square"."""
    found = decision.merged.found
    if len(decision.outcomes) < 2:
        return {}
    spoken: dict[Said, tuple[_Word, list[Finding]]] = {}
    by_rules: dict[int, Sequence[_Word]] = {}
    for each in found:
        resolved = each[2].resolved
        # What rules come to together is worked out once, so most are the very same.
        if id(resolved) not in by_rules:
            by_rules[id(resolved)] = list(_of_rules(each[2]))
        for word in (*by_rules[id(resolved)], *_besides(each[2], know)):
            spoken.setdefault(word.key, (word, []))[1].append(each)
    everywhere, theirs, ours = _pairs(found), _theirs(found), _ours(found)
    told = {}
    for key, (word, some) in spoken.items():
        if _pairs(some) != everywhere:
            clauses = (*theirs.clauses(word.theirs, some, know), *ours.clauses(word.ours, some, know))
            told[key] = listed(clauses)
    return {key: words for key, words in told.items() if words}


def _of_rules(outcome: Outcome) -> Iterator[_Word]:
    for fire in fires(outcome):
        part, target = (End.TARGET, End.PART) if fire.back else (End.PART, End.TARGET)
        asked = fire.rule.conditions
        yield _Word(of_rule(fire), _names(asked, target), _names(asked, part))


def _besides(outcome: Outcome, know: Knowledge) -> Iterator[_Word]:
    if outcome.chain:
        first, last = outcome.chain[0].conditions, outcome.chain[-1].conditions
        yield _Word(of_chain(outcome.chain), _names(last, End.TARGET), _names(first, End.PART))
    if outcome.design:
        given = (name for use in know.uses if use.design == outcome.design for name, _ in use.given)
        yield _Word(of_design(outcome.design), tuple(dict.fromkeys((*DATED, *given))), ())


def _names(conditions: Iterable[Condition], end: End) -> tuple[str, ...]:
    looked = [each for each in conditions if each.end in (end, End.BETWEEN)]
    return tuple(dict.fromkeys(name for each in looked for name in (each.fact, each.other_fact) if name))


def _pairs(found: Iterable[Finding]) -> set[tuple[int, int]]:
    return {(id(ours), id(theirs)) for ours, theirs, _ in found}


_End = TypeVar("_End")


class _Side(Generic[_End]):
    """One end: what it may be in all that was found, the values that a fact then has, and how a sentence begins."""

    def __init__(
        self,
        found: Iterable[Finding],
        end: Callable[[Finding], _End],
        values: Callable[[_End, str], Iterable[str]],
        start: str,
    ) -> None:
        self._found = list(found)
        self._end = end
        self._of = values
        self._start = start
        self._kept: dict[tuple[int, str], frozenset[str]] = {}
        self._every: dict[str, set[str]] = {}

    def clauses(self, names: Iterable[str], some: Iterable[Finding], know: Knowledge) -> Iterator[str]:
        """What facts are where something is said, of those that may be something else too."""
        ends = self._ends(some)
        for name in names:
            if name in NO_LOOK:
                continue
            every, here = self._everywhere(name), self._values(name, ends)
            # What is never otherwise is no condition, and a long list says nothing.
            if not here or here == every or NO_SUCH in here:
                continue
            values = times(sorted(every), sorted(here)) if name == BUILT else sorted(here)
            if len(values) <= MOST_VALUES:
                yield f"{self._start}{clause(name, tuple(values), sorted(every) if name == PLANT else (), know)}"

    def _everywhere(self, name: str) -> set[str]:
        if name not in self._every:
            self._every[name] = self._values(name, self._ends(self._found))
        return self._every[name]

    def _ends(self, found: Iterable[Finding]) -> Sequence[_End]:
        return list({id(end): end for end in map(self._end, found)}.values())

    def _values(self, name: str, ends: Iterable[_End]) -> set[str]:
        return set().union(*(self._values_in(end, name) for end in ends))

    def _values_in(self, end: _End, name: str) -> frozenset[str]:
        key = (id(end), name)
        if key not in self._kept:
            self._kept[key] = frozenset(self._of(end, name))
        return self._kept[key]


def _theirs(found: Collection[Finding]) -> _Side[TargetClass]:
    lasting = stretches_of(found)

    def values(theirs: TargetClass, name: str) -> Iterator[str]:
        for world in theirs.members:
            yield from lasting.of(world, theirs.subject) if name == BUILT else _value(world, name)

    return _Side(found, lambda finding: finding[1], values, "")


def _ours(found: Collection[Finding]) -> _Side[World]:
    return _Side(found, lambda finding: finding[0], _value, "on ours ")


def _value(world: World, name: str) -> Iterator[str]:
    if name in world:
        yield world[name].value
