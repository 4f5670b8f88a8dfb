"""Checking the yard's rules: what contradicts, what is never heard, what nobody compared the other way round."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import chain, islice

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.knowing import knowing
from app.book.modelreading import read_models
from app.book.rulecheck import broken_references
from app.book.rulereading import read_rules
from app.book.schema import PartType, Rule, RuleDateMove
from app.book.times import local_day
from app.book.work import Book
from app.errors import BadInput
from app.fit.knowledge import DateMove, Knowledge
from app.fit.rulefaults import Fault, RuleFinding, never_hold, not_a_choice
from app.fit.rulepairs import Pairs, contradictions, never_turned, unreachable
from app.fit.rules import Rule as FitRule
from app.fit.values import plain

PAGE = 200
BATCH = 5_000


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
    with book.read() as session:
        know = _knowledge(session, book)
        dead = [_dead(*each) for each in broken_references(session)] if Fault.DEAD in wanted else []
    kept: list[RuleFinding] = []
    counts: Counter[str] = Counter()
    for kind, found in _found(know, dead).items():
        if kind in wanted:
            first = list(islice(found, limit))
            kept += first
            counts[str(kind)] = len(first) + sum(1 for _ in found)
    return RuleCheck(tuple(kept), tuple((kind, count) for kind, count in counts.items() if count), len(know.rules))


def _kind(said: str) -> Fault:
    try:
        return Fault(said)
    except ValueError:
        raise BadInput(f"{said!r} is no kind of finding", f"Kinds are {', '.join(Fault)}.", place="kind") from None


def _found(know: Knowledge, dead: Iterable[RuleFinding]) -> dict[Fault, Iterator[RuleFinding]]:
    """The findings of each kind, each looked for only when it is read."""
    pairs: list[Pairs] = []

    def held() -> Pairs:
        if not pairs:
            pairs.append(Pairs(know))
        return pairs[0]

    def paired(look: Callable[[Pairs], Iterator[RuleFinding]]) -> Iterator[RuleFinding]:
        yield from look(held())

    return {
        Fault.DEAD: chain(dead, not_a_choice(know.rules, know.facts)),
        Fault.NEVER: never_hold(know),
        Fault.UNREACHABLE: paired(unreachable),
        Fault.CONTRADICTION: paired(contradictions),
        Fault.ONE_WAY: paired(never_turned),
    }


def _dead(subject: str, words: str) -> RuleFinding:
    place = words.partition(f" of {subject}")[0] if f" of {subject}" in words else subject
    return RuleFinding(subject, Fault.DEAD, place, words, "Write the name as the book has it, or add what it names.")


def _knowledge(session: Session, book: Book) -> Knowledge:
    known = knowing(session)
    types = {row.id: row.name for row in session.execute(select(PartType.id, PartType.name))}
    groups = {row.name: row.group for row in session.execute(select(PartType.name, PartType.group))}
    ids = session.scalars(select(Rule.id).order_by(Rule.id)).all()
    rules: dict[int, FitRule] = {}
    for at in range(0, len(ids), BATCH):
        rules |= read_rules(session.connection(), ids[at : at + BATCH], types)
    moves = tuple(
        DateMove(rules[row.rule_id], rules[row.moves_id].code, row.from_month, row.to_month)
        for row in session.scalars(select(RuleDateMove))
    )
    ordered = tuple(rules[each] for each in ids)
    every = read_models(session.connection())
    every.bring(session.connection(), every.infos)
    models = {plain(key): model for key, model in every.infos.items()}
    return Knowledge(known.facts, ordered, moves, groups, (), models, local_day(book.clock()))
