"""An interchange rule as plain data: what the engine reads, whoever keeps it."""

from __future__ import annotations

import re
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache

from app.fit.making import record
from app.fit.terms import Grade, Side


class RuleKind(StrEnum):
    """What sort of statement a rule is."""

    FIT = "fit"
    NUMBERS = "numbers"
    LAW = "law"
    MOVES_DATE = "moves date"


class Direction(StrEnum):
    """Whether the rule also holds with the two ends changed over."""

    ONE_WAY = "one way"
    BOTH_WAYS = "both ways"


class RuleState(StrEnum):
    """Open, in dispute after a return, or closed with a reason."""

    OPEN = "open"
    DISPUTED = "disputed"
    CLOSED = "closed"


class End(StrEnum):
    """Which end a condition looks at."""

    PART = "part"
    TARGET = "target"
    BETWEEN = "between"


class Way(StrEnum):
    """For which direction of a both-ways rule a line of work is meant."""

    BOTH = "both"
    FORTH = "forth"
    BACK = "back"


class Op(StrEnum):
    """How a condition compares."""

    ANY_OF = "any of"
    NONE_OF = "none of"
    BEFORE = "before"
    FROM = "from"
    AT_LEAST = "at least"
    AT_MOST = "at most"
    SAME = "same"
    DIFFERS = "differs"
    WITHIN = "within"
    FRESH = "fresh"
    KNOWN = "known"


class Evidence(StrEnum):
    """Where a rule's word comes from."""

    MEASURED = "measured"
    SEEN = "seen"
    TRIED = "tried"
    DONE = "done"
    ARITHMETIC = "arithmetic"
    SOLD_AND_KEPT = "sold and kept"
    RETURNED = "returned"
    TRADE_PRACTICE = "trade practice"
    TOLD = "told"
    YARD_LAW = "yard law"
    GUESS = "guess"


@record(frozen=True, slots=True)
class Condition:
    """One condition; `values` are words as typed, months as YYYY-MM, numbers with their unit.

    Conditions of one rule with the same `alt` above 0 are alternatives: any one of them suffices.
    """

    end: End
    fact: str
    op: Op
    values: tuple[str, ...] = ()
    other_fact: str = ""
    allowed: str = ""
    alt: int = 0


@record(frozen=True, slots=True)
class Operation:
    """A line of work with its hours."""

    work: str
    hours: Decimal | None = None
    kind: str = ""
    by_whom: str = ""
    way: Way = Way.BOTH


@record(frozen=True, slots=True)
class Companion:
    """A part the set cannot do without."""

    part_type: str
    side: Side = Side.NONE
    count: int = 1
    same_donor: bool = False
    given: tuple[str, ...] = ()
    or_else: str = ""
    already_there: str = ""


@record(frozen=True, slots=True)
class Consequence:
    """What works differently; `{n}` in the words stands for the number."""

    words: str
    amount: str = ""
    fact: str = ""
    worked_out: str = ""


@record(frozen=True, slots=True)
class EvidenceLine:
    """One reason to believe a rule, or to doubt it."""

    kind: Evidence
    count: int = 1
    words: str = ""


@record(frozen=True, slots=True)
class Rule:
    """One directed statement with all that goes with it."""

    code: str
    kind: RuleKind
    grade: Grade
    direction: Direction
    state: RuleState
    why: str
    offered_types: frozenset[str]
    wanted_types: frozenset[str]
    conditions: tuple[Condition, ...] = ()
    operations: tuple[Operation, ...] = ()
    companions: tuple[Companion, ...] = ()
    consequences: tuple[Consequence, ...] = ()
    evidence: tuple[EvidenceLine, ...] = ()
    chains: bool = True

    def __hash__(self) -> int:
        # Rules are told apart by their codes; all their lines would be looked through for each hash.
        return hash(self.code)


_PIECES = re.compile(r"[0-9]+|[^0-9]+")


@lru_cache(maxsize=20_000)
def code_order(code: str) -> tuple[tuple[int, str], ...]:
    """By which codes stand in their order, numbers in them as numbers: R77 before R100."""
    return tuple((int(each), "") if each[0] in "0123456789" else (-1, each) for each in _PIECES.findall(code))
