"""Checking the yard's rules: what contradicts, what is never heard, what nobody compared the other way round."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.garbage import none_collected
from app.book.modelreading import read_facts, read_models
from app.book.reach.rulereading import read_every_rule, read_moves
from app.book.rulecheck import broken_references
from app.book.schema import PartType
from app.book.times import local_day
from app.book.work import Book
from app.errors import BadInput
from app.fit.knowledge import Knowledge
from app.fit.rulechecks.rulefaults import Fault, RuleFinding, moves_nothing, never_hold, no_such_choice, not_a_choice
from app.fit.rulechecks.rulepairs import contradictions, never_turned, unreachable
from app.fit.rulechecks.ruleways import Pairs, pairs_by_type
from app.fit.values import plain

PAGE = 200
PAIRED: Mapping[Fault, Callable[[Pairs], Iterator[RuleFinding]]] = {
    Fault.UNREACHABLE: unreachable,
    Fault.CONTRADICTION: contradictions,
    Fault.ONE_WAY: never_turned,
}
"""What is found by holding rules against each other."""


@dataclass(frozen=True, slots=True)
class RuleCheck:
    """The first findings of each kind, and how many of each there are in all, over how many rules."""

    findings: tuple[RuleFinding, ...]
    counts: tuple[tuple[str, int], ...]
    rules: int

    @property
    def in_all(self) -> int:
        """Findings of every kind."""
        return sum(count for _, count in self.counts)


def check_rules(book: Book, *, kinds: Iterable[str] = (), limit: int = PAGE) -> RuleCheck:
    """Look for faults in the rules; nothing is changed. At most `limit` findings of a kind are given, all counted.

    Raises:
        BadInput: there is no such kind of finding.
    """
    wanted = frozenset(_kind(each) for each in kinds) or frozenset(Fault)
    with none_collected():
        return _checked(book, wanted, limit)


def _checked(book: Book, wanted: frozenset[Fault], limit: int) -> RuleCheck:
    with book.read() as session:
        know = _knowledge(session, book)
        dead = [_dead(*each) for each in broken_references(session)] if Fault.DEAD in wanted else []
    places = {rule.code: at for at, rule in enumerate(know.rules)}
    pages = {kind: _Kept(limit, places) for kind in Fault if kind in wanted}
    for each in _found(know, dead, wanted):
        pages[each.kind].add(each)
    first = tuple(each for page in pages.values() for each in page.first())
    counts = tuple((str(kind), page.count) for kind, page in pages.items() if page.count)
    return RuleCheck(first, counts, len(know.rules))


@dataclass
class _Kept:
    """The first findings of a kind in the order of the rules, and how many there were."""

    limit: int
    places: Mapping[str, int]
    count: int = 0
    _findings: list[RuleFinding] = field(default_factory=list)

    def add(self, finding: RuleFinding) -> None:
        """Keep one, as long as it may be among the first."""
        self.count += 1
        self._findings.append(finding)
        if len(self._findings) > 2 * self.limit + PAGE:
            self._findings = self.first()

    def first(self) -> list[RuleFinding]:
        """The first ones; what is found at no rule stands before them."""
        return sorted(self._findings, key=lambda each: self.places.get(each.code, -1))[: self.limit]


def _kind(said: str) -> Fault:
    try:
        return Fault(said)
    except ValueError:
        raise BadInput(f"{said!r} is no kind of finding", f"Kinds are {', '.join(Fault)}.", place="kind") from None


def _found(know: Knowledge, dead: Iterable[RuleFinding], wanted: Collection[Fault]) -> Iterator[RuleFinding]:
    if Fault.DEAD in wanted:
        yield from dead
        yield from not_a_choice(know.rules, know.facts)
        yield from no_such_choice(know.rules, know.facts)
        yield from moves_nothing(know)
    if Fault.NEVER in wanted:
        yield from never_hold(know)
    looks = [look for kind, look in PAIRED.items() if kind in wanted]
    for pairs in pairs_by_type(know) if looks else ():
        for look in looks:
            yield from look(pairs)


def _dead(subject: str, words: str) -> RuleFinding:
    place = words.partition(f" of {subject}")[0] if f" of {subject}" in words else subject
    return RuleFinding(subject, Fault.DEAD, place, words, "Write the name as the book has it, or add what it names.")


def _knowledge(session: Session, book: Book) -> Knowledge:
    connection = session.connection()
    types = {row.id: row.name for row in session.execute(select(PartType.id, PartType.name))}
    groups = {row.name: row.group for row in session.execute(select(PartType.name, PartType.group))}
    rules = tuple(read_every_rule(connection, types))
    every = read_models(connection)
    every.bring_all(connection)
    models = {plain(key): model for key, model in every.infos.items()}
    moves = read_moves(connection, types)
    return Knowledge(read_facts(connection), rules, moves, groups, (), models, local_day(book.clock()))
