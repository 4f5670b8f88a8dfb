"""Looking at a part again: what is seen, measured or tested on it now takes the place of what was known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import select

from app.book.facts import Seen, keep_part_facts
from app.book.harvest import AIRBAG_BLOCK, OPEN_RECALL, RECALL_BLOCK, RECALL_CHECKED, airbag_block
from app.book.parts import PartRow, find_part, part_row
from app.book.schema import Fact, Law, Part, PartFact, PartType, Standing
from app.book.work import Book, Who, Work
from app.errors import BadInput, Refused
from app.fit.terms import FactKind

GONE = (Standing.SOLD, Standing.WRITTEN_OFF)


@dataclass(frozen=True, slots=True)
class ToLookAt:
    """A fact that is looked at on a part, with what is known of it now; `value` empty: nothing is."""

    fact: str
    kind: FactKind
    unit: str
    choices: tuple[str, ...]
    question: str
    value: str


def to_look_at(book: Book, tag: str) -> tuple[ToLookAt, ...]:
    """What its part type is looked at for, and whatever else is known of a part; what runs out with time stands first.

    Raises:
        NotFound: the tag is not ours.
    """
    with book.read() as session:
        part = find_part(session, tag)
        of_part = session.scalars(select(PartFact).where(PartFact.part_id == part.id))
        known = {row.fact_id: row.value for row in of_part}
        look_for = session.get_one(PartType, part.part_type_id).look_for
        facts = session.scalars(select(Fact).where(Fact.name.in_(look_for) | Fact.id.in_(known)).order_by(Fact.id))
        rows = [
            ToLookAt(fact.name, fact.kind, fact.unit, _choices(fact), fact.question, known.get(fact.id, ""))
            for fact in facts
        ]
    return tuple(sorted(rows, key=lambda row: row.kind is not FactKind.DATE))


def _choices(fact: Fact) -> tuple[str, ...]:
    return ("yes", "no") if fact.kind is FactKind.YES_NO else tuple(map(str, fact.choices))


def look_again(book: Book, who: Who, tag: str, facts: Mapping[str, Seen]) -> PartRow:
    """Write down what was seen, measured or tested on a part; what it takes the place of stands in the history.

    A recall that was looked up frees an airbag that waited for it; whether it may be sold is then for the rules.

    Raises:
        NotFound: the tag is not ours. Refused: the part is sold or written off.
        BadInput: nothing was seen, there is no such fact, or it cannot be so.
    """
    if not facts:
        raise BadInput("nothing was seen", "Name a fact and what it is now.", place="fact")
    with book.write(who) as work:
        part = find_part(work.session, tag)
        if part.standing in GONE:
            raise Refused(f"{part.tag} is {part.standing}", "Look at another.", action="look", subject=part.tag)
        said = keep_part_facts(work, part, facts)
        work.session.flush()
        freed = _by_its_recall(work, part) if {RECALL_CHECKED, OPEN_RECALL} & facts.keys() else ()
        work.note("look", part.tag, "; ".join((*said, *freed)), facts=list(said))
        return part_row(work.session, part)


def _by_its_recall(work: Work, part: Part) -> tuple[str, ...]:
    """Let an airbag go, or take it off sale, for what is known of its recall now; in words what came of it."""
    kind = work.session.get_one(PartType, part.part_type_id)
    waits = part.standing is Standing.BLOCKED and part.block_reason in (AIRBAG_BLOCK, RECALL_BLOCK)
    if kind.law is not Law.AIRBAG or not (waits or part.standing is Standing.FREE):
        return ()
    query = select(Fact.name, PartFact.value).join(Fact, Fact.id == PartFact.fact_id)
    rows = work.session.execute(query.where(PartFact.part_id == part.id)).all()
    reason = airbag_block({row.name: row.value for row in rows})
    if reason == part.block_reason:
        return ()
    part.block_reason = reason
    part.standing = Standing.BLOCKED if reason else Standing.FREE
    return (reason or "free to sell",)
