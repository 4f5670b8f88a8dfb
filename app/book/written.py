"""What a rule wants written on the ticket: who fits it, who welds it, what either meter shows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.behind import Behind
from app.book.facts import read_fact
from app.book.parts import find_part
from app.book.schema import Fact, Part, PartFact, Rule, RuleConsequence, RuleType
from app.book.tags import clean
from app.book.work import Book, Work
from app.errors import BadInput, Refused
from app.fit.terms import FactKind

LATER = "later"
"""What is said of a fact that nobody knows yet: the ticket then says that it was not written down."""
LEFT = "not written down at the sale"
BACK = " back"
"""How a link of a chain that ran turned round ends."""


@dataclass(frozen=True, slots=True)
class ToWrite:
    """A fact that a rule wants on the ticket of a part.

    `ask` is in the customer's words, `ours` what the part itself has by that name. A fact of a vehicle is wanted
    of both: ours is written beside the customer's. Any other that the part has is known already.
    """

    fact: str
    rule: str
    ask: str = ""
    kind: FactKind = FactKind.WORDS
    unit: str = ""
    choices: tuple[str, ...] = ()
    of_vehicle: bool = False
    ours: str = ""

    @property
    def known(self) -> str:
        """What need not be asked for; empty where it must be."""
        return "" if self.of_vehicle else self.ours

    def read(self, value: str) -> str:
        """What is to be written, checked for the fact's kind; "later" stands for nothing yet.

        Raises:
            BadInput: nothing, or no such value can be.
        """
        plain = value.strip()
        if not plain:
            raise BadInput(f"{self.fact} is not written down", self.remedy, place=self.fact)
        if plain.lower() == LATER:
            return LATER
        return read_fact(Fact(name=self.fact, kind=self.kind, unit=self.unit, choices=list(self.choices)), plain)

    @property
    def remedy(self) -> str:
        """What to do about it."""
        asked = f"Ask: {self.ask} " if self.ask else ""
        return f'{asked}Write it down, or write "{LATER}": the ticket then says that it was not.'

    def words(self, value: str) -> str:
        """The line of the ticket that says it."""
        said = LEFT if value == LATER else self.shown(value)
        if self.of_vehicle and self.ours:
            return f"{self.fact}: ours {self.shown(self.ours)}, the customer's {said}"
        return f"{self.fact}: {said}"

    def shown(self, value: str) -> str:
        """A value as people read it: long numbers in threes, with their unit."""
        figure = f"{int(value):,}" if self.kind is FactKind.NUMBER and value.isdecimal() else value
        return f"{figure} {self.unit}".strip()


def to_write(book: Book, sold: Iterable[tuple[str, Behind | None]]) -> tuple[ToWrite, ...]:
    """What must be asked for before parts are sold, each fact once; by tag, with what its word of fit stands on."""
    found: dict[str, ToWrite] = {}
    with book.read() as session:
        for tag, behind in sold:
            for each in wanted_of(session, find_part(session, clean(tag)), behind):
                found.setdefault(each.fact, each)
    return tuple(found.values())


def wanted_of(session: Session, part: Part, behind: Behind | None) -> tuple[ToWrite, ...]:
    """What the rules that speak of this part want on its line, in their order."""
    codes = [code.removesuffix(BACK) for code in (*behind.rules, *behind.chain)] if behind is not None else []
    if not codes:
        return ()
    of_its_type = select(RuleType.rule_id).where(RuleType.part_type_id == part.part_type_id)
    query = (
        select(Rule.code, RuleConsequence.record)
        .join(RuleConsequence, RuleConsequence.rule_id == Rule.id)
        .where(Rule.code.in_(codes), Rule.id.in_(of_its_type))
        .order_by(Rule.code, RuleConsequence.number)
    )
    named: dict[str, str] = {}
    for code, names in session.execute(query):
        for name in names:
            named.setdefault(str(name), code)
    return tuple(_wanted(session, part, named)) if named else ()


def _wanted(session: Session, part: Part, rules: Mapping[str, str]) -> Iterator[ToWrite]:
    """A row for each fact, given the rule that names it; one that the yard does not keep is plain words."""
    facts = {fact.name: fact for fact in session.scalars(select(Fact).where(Fact.name.in_(rules)))}
    own = session.scalars(select(PartFact).where(PartFact.part_id == part.id))
    values = {row.fact_id: row.value for row in own}
    for name, rule in rules.items():
        fact = facts.get(name)
        if fact is None:
            yield ToWrite(name, rule)
        else:
            choices, ours = tuple(map(str, fact.choices)), values.get(fact.id, "")
            yield ToWrite(name, rule, fact.question, fact.kind, fact.unit, choices, fact.group is not None, ours)


def written_on(work: Work, part: Part, behind: Behind | None, written: Mapping[str, str]) -> tuple[str, ...]:
    """What a part's line says because a rule wants it there.

    Raises:
        Refused: something of it was neither written down nor left for later.
        BadInput: what was written cannot be.
    """
    return tuple(_line(part, each, written.get(each.fact, "")) for each in wanted_of(work.session, part, behind))


def _line(part: Part, each: ToWrite, given: str) -> str:
    value = given.strip() or each.known
    if not value:
        why = f"{part.tag}: {each.fact} must stand on the ticket ({each.rule})"
        raise Refused(why, each.remedy, action="sell", subject=part.tag, place=each.fact)
    return each.words(each.read(value))


def read_written(wanted: Sequence[ToWrite], given: Mapping[str, str]) -> dict[str, str]:
    """What was written down for each fact that is wanted, checked.

    Raises:
        BadInput: a fact is missing, or what was written cannot be.
    """
    return {each.fact: each.read(given.get(each.fact, "") or each.known) for each in wanted}


def refuse_unwanted(wanted: Sequence[ToWrite], given: Mapping[str, str]) -> None:
    """Let nothing be written that would stand nowhere.

    Raises:
        BadInput: no rule behind what is sold wants it on the ticket.
    """
    extra = next((name for name in given if name not in {each.fact for each in wanted}), "")
    if extra:
        facts = ", ".join(each.fact for each in wanted)
        remedy = f"Wanted on it: {facts}." if facts else "Say for which vehicle it is sold, or leave it out."
        raise BadInput(f"no rule wants {extra!r} on this ticket", remedy, place=extra)
