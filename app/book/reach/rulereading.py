"""Reading interchange rules into the engine's form, from their sheets."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, NamedTuple, TypeVar

from sqlalchemy import Connection, text

from app.book.reach.rulesheets import Sheet, read_every_sheet, read_sheets
from app.fit.known import DateMove
from app.fit.rules import (
    Companion,
    Condition,
    Consequence,
    Direction,
    End,
    Evidence,
    EvidenceLine,
    Op,
    Operation,
    Rule,
    RuleKind,
    RuleState,
    Way,
)
from app.fit.terms import Grade, Side

Line = TypeVar("Line")
Cells = Sequence[Any]
Types = Mapping[int, str]
Named = tuple[int, str, Sequence[object]]
"""A condition that names models: its number, end and models."""

_ENDS = {end.value: end for end in End}
_OPS = {op.value: op for op in Op}


class Terms(NamedTuple):
    """What sort of rule one is."""

    kind: RuleKind
    grade: Grade
    direction: Direction
    state: RuleState
    chains: bool


class Ends(NamedTuple):
    """The part types a rule speaks of."""

    offered: frozenset[str]
    wanted: frozenset[str]


class Numbered(NamedTuple):
    """Conditions in the order of their numbers."""

    numbers: tuple[int, ...]
    conditions: tuple[Condition, ...]


class Rest(NamedTuple):
    """What goes with a rule."""

    operations: tuple[Operation, ...]
    companions: tuple[Companion, ...]
    consequences: tuple[Consequence, ...]
    evidence: tuple[EvidenceLine, ...]


NOTHING = Rest((), (), (), ())


@dataclass
class Texts:
    """Texts of sheets as they were read, for many rules share them; `names` are those of the part types by id."""

    names: Types
    _terms: dict[str, Terms] = field(default_factory=dict)
    _ends: dict[str, Ends] = field(default_factory=dict)
    _besides: dict[str, Numbered] = field(default_factory=dict)
    _rest: dict[str, Rest] = field(default_factory=dict)

    def __len__(self) -> int:
        """How many texts are kept."""
        return len(self._terms) + len(self._ends) + len(self._besides) + len(self._rest)

    def terms(self, words: str) -> Terms:
        """What sort of rule one is."""
        found = self._terms.get(words)
        if found is None:
            found = self._terms[words] = _terms(words)
        return found

    def ends(self, words: str) -> Ends:
        """The part types a rule speaks of."""
        found = self._ends.get(words)
        if found is None:
            found = self._ends[words] = _ends(words, self.names)
        return found

    def besides(self, words: str) -> Numbered:
        """What a rule asks besides models."""
        found = self._besides.get(words)
        if found is None:
            lines = sorted(json.loads(words), key=_number)
            conditions = tuple(_condition(*line[1:]) for line in lines)
            found = self._besides[words] = Numbered(tuple(line[0] for line in lines), conditions)
        return found

    def rest(self, words: str) -> Rest:
        """What goes with a rule."""
        found = self._rest.get(words)
        if found is None:
            found = self._rest[words] = _rest(words, self.names)
        return found


def rule_on(sheet: Sheet, named: Sequence[Named], texts: Texts, rest: Rest = NOTHING) -> Rule:
    """The rule of a sheet, without what goes with it if that is not given."""
    kind, grade, direction, state, chains = texts.terms(sheet.terms)
    offered, wanted = texts.ends(sheet.types)
    conditions = _in_order(named, texts.besides(sheet.besides))
    return Rule(sheet.code, kind, grade, direction, state, sheet.why, offered, wanted, conditions, *rest, chains=chains)


def whole_rule_on(sheet: Sheet, named: Sequence[Named], texts: Texts) -> Rule:
    """The rule of a sheet with all that goes with it."""
    return rule_on(sheet, named, texts, texts.rest(sheet.rest))


def with_names(sheets: Iterable[Sheet]) -> Iterator[tuple[Sheet, Sequence[Named]]]:
    """Sheets with the conditions of each that name models; all are taken out of their JSON at once."""
    every = list(sheets)
    for sheet, named in zip(every, json.loads(f"[{','.join([each.named for each in every])}]"), strict=True):
        if len(named) > 1:
            named.sort(key=_number)
        yield sheet, named


def _in_order(named: Sequence[Named], besides: Numbered) -> tuple[Condition, ...]:
    """All conditions of a rule in the order of their numbers."""
    models = [Condition(_ENDS[end], "model", Op.ANY_OF, tuple(map(str, values))) for _, end, values in named]
    if not models or not besides.conditions or named[-1][0] < besides.numbers[0]:
        return (*models, *besides.conditions)
    numbers = (*map(_number, named), *besides.numbers)
    both = sorted(zip(numbers, (*models, *besides.conditions), strict=True), key=_number)
    return tuple(condition for _, condition in both)


def read_rules(connection: Connection, ids: Iterable[int], types: Types) -> dict[int, Rule]:
    """The rules of these ids with all that goes with them; `types` are the names of the part types by id."""
    texts = Texts(types)
    found = with_names(read_sheets(connection, ids))
    return {sheet.rule_id: whole_rule_on(sheet, named, texts) for sheet, named in found}


def read_every_rule(connection: Connection, types: Types) -> Iterator[Rule]:
    """Every rule of the book in the order of their ids; a few thousand at a time are at hand while they are read."""
    for sheets in read_every_sheet(connection):
        texts = Texts(types)
        yield from (whole_rule_on(sheet, named, texts) for sheet, named in with_names(sheets))


_MOVES = text("SELECT rule_id, moves_id, from_month, to_month FROM rule_date_moves ORDER BY id")
_CODES = text("SELECT m.moves_id, r.code FROM rule_date_moves m JOIN rules r ON r.id = m.moves_id")


def read_moves(connection: Connection, types: Mapping[int, str]) -> tuple[DateMove, ...]:
    """Every rule that moves the date of another."""
    rows = connection.execute(_MOVES).all()
    if not rows:
        return ()
    movers = read_rules(connection, sorted({row.rule_id for row in rows}), types)
    codes: dict[int, str] = {row.moves_id: row.code for row in connection.execute(_CODES)}
    return tuple(DateMove(movers[row.rule_id], codes[row.moves_id], row.from_month, row.to_month) for row in rows)


def _terms(words: str) -> Terms:
    kind, grade, direction, state, chains = json.loads(words)
    grade = Grade(grade) if grade else Grade.MEASURE
    return Terms(RuleKind(kind), grade, Direction(direction), RuleState(state), bool(chains))


def _ends(words: str, names: Types) -> Ends:
    ends = json.loads(words)
    offered = _names(ends, End.PART, names)
    return Ends(offered, _names(ends, End.TARGET, names) or offered)


def _names(ends: Iterable[tuple[str, int]], end: End, types: Types) -> frozenset[str]:
    return frozenset(types[of] for at, of in ends if at == end.value)


def _rest(words: str, types: Types) -> Rest:
    operations, companions, consequences, evidence = json.loads(f"[{words}]")
    return Rest(
        _lines(operations, _operation),
        _lines(companions, lambda of, *cells: _companion(types[of], *cells)),
        _lines(consequences, Consequence),
        _lines(evidence, _evidence),
    )


def _lines(listed: Iterable[Cells], read: Callable[..., Line]) -> tuple[Line, ...]:
    """The lines of a list in the order of their numbers."""
    return tuple(read(*cells) for _, *cells in sorted(listed, key=_number))


def _number(cells: Cells) -> int:
    return int(cells[0])


def _condition(
    end: str, fact: str, op: str, values: Sequence[object], other_fact: str, allowed: str, alt: int
) -> Condition:
    return Condition(_ENDS[end], fact, _OPS[op], tuple(map(str, values)), other_fact, allowed, alt)


def _operation(work: str, hours: int | None, kind: str, by_whom: str, way: str) -> Operation:
    return Operation(work, in_hours(hours), kind, by_whom, Way(way))


def _evidence(kind: str, count: int, words: str) -> EvidenceLine:
    return EvidenceLine(Evidence(kind), count, words)


def _companion(part_type: str, side: str, count: int, same_donor: int, *cells: Any) -> Companion:
    given, or_else, already_there = cells
    return Companion(part_type, Side(side), count, bool(same_donor), tuple(map(str, given)), or_else, already_there)


def in_hours(thousandths: str | int | None) -> Decimal | None:
    """Hours as the book keeps them, in thousandths, without zeros beyond their own places."""
    if thousandths is None:
        return None
    plain = (Decimal(thousandths) / 1000).normalize()
    return plain.quantize(Decimal(1)) if plain == plain.to_integral_value() else plain
