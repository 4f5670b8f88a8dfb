"""Under which looks a rule speaks that does not speak in every world, in words."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping

from app.fit.decide import Decision
from app.fit.knowledge import Knowledge
from app.fit.making import record
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
    for each in found:
        for word in _words(each[2], know):
            spoken.setdefault(word.key, (word, []))[1].append(each)
    everywhere = _pairs(found)
    told = {key: _where(word, some, found, know) for key, (word, some) in spoken.items() if _pairs(some) != everywhere}
    return {key: words for key, words in told.items() if words}


def _words(outcome: Outcome, know: Knowledge) -> Iterator[_Word]:
    for fire in fires(outcome):
        part, target = (End.TARGET, End.PART) if fire.back else (End.PART, End.TARGET)
        asked = fire.rule.conditions
        yield _Word(of_rule(fire), _names(asked, target), _names(asked, part))
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


@record(frozen=True, slots=True)
class _Side:
    """One end: the values that a fact has in its worlds, and how a sentence about it begins."""

    values: Callable[[Finding, str], Iterable[str]]
    start: str


def _theirs(found: Collection[Finding]) -> _Side:
    lasting = stretches_of(found)

    def values(finding: Finding, name: str) -> Iterator[str]:
        theirs = finding[1]
        for world in theirs.members:
            yield from lasting.of(world, theirs.subject) if name == BUILT else _value(world, name)

    return _Side(values, "")


def _value(world: World, name: str) -> Iterator[str]:
    if name in world:
        yield world[name].value


_OURS = _Side(lambda found, name: _value(found[0], name), "on ours ")


def _where(word: _Word, some: Collection[Finding], found: Collection[Finding], know: Knowledge) -> str:
    theirs = _clauses(word.theirs, _theirs(found), some, found, know)
    return listed([*theirs, *_clauses(word.ours, _OURS, some, found, know)])


def _clauses(
    names: Iterable[str], side: _Side, some: Iterable[Finding], found: Iterable[Finding], know: Knowledge
) -> Iterator[str]:
    """What facts of one end are where something is said, of those that may be something else too."""
    for name in names:
        if name in NO_LOOK:
            continue
        every, here = _values(name, side, found), _values(name, side, some)
        # What is never otherwise is no condition, and a long list says nothing.
        if not here or here == every or NO_SUCH in here:
            continue
        values = times(sorted(every), sorted(here)) if name == BUILT else sorted(here)
        if len(values) <= MOST_VALUES:
            yield f"{side.start}{clause(name, tuple(values), sorted(every) if name == PLANT else (), know)}"


def _values(name: str, side: _Side, found: Iterable[Finding]) -> set[str]:
    return {value for each in found for value in side.values(each, name)}
