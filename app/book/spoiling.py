"""Which sets a sale would break: pieces of one vehicle that go together, open quotes, held sets."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.quotes import WHOLE, open_sets
from app.book.schema import Part, Rule, RuleCompanion, RuleType, Standing
from app.book.tags import clean
from app.book.work import Book, Who
from app.errors import Refused
from app.fit.rules import End, RuleState


def spoils(book: Book, tags: Sequence[str]) -> tuple[str, ...]:
    """What to say of each set that selling these tags, and no more, would break; nothing where a set goes whole.

    A set of pieces of one vehicle is one by part types alone: whether every condition of its rule is met is not asked.
    """
    names = {clean(tag) for tag in tags}
    with book.read() as session:
        parts = session.scalars(select(Part).where(Part.tag.in_(names)).order_by(Part.tag)).all()
        said = [words for part in parts for words in _of_one_vehicle(session, part, names)]
    for row in open_sets(book):
        broken = names & set(row.tags)
        if row.state == WHOLE and broken and not set(row.tags) <= names:
            said.append(f"{row.kind} {row.number} for {row.name} falls short without {' + '.join(sorted(broken))}")
    return tuple(dict.fromkeys(said))


def refuse_spoiling(book: Book, who: Who, tags: Sequence[str], *, meant: bool) -> tuple[str, ...]:
    """What a sale of these tags breaks, which is let through only where it is meant.

    Raises:
        Refused: it breaks a set, and that is not meant.
    """
    spoiled = spoils(book, tags)
    if meant or not spoiled:
        return spoiled
    with book.write(who):
        remedy = "Sell the set whole, or say that it is meant."
        raise Refused("; ".join(spoiled), remedy, action="sell", subject=", ".join(map(clean, tags)), place="spoil")


def _of_one_vehicle(session: Session, part: Part, going: set[str]) -> Iterator[str]:
    """The sets that want this part as a companion off their own vehicle, where there is no other of its kind."""
    rules = select(Rule.id, Rule.code).join(RuleCompanion, RuleCompanion.rule_id == Rule.id)
    asking = rules.where(
        RuleCompanion.part_type_id == part.part_type_id, RuleCompanion.same_donor, Rule.state != RuleState.CLOSED
    )
    found = session.execute(asking.order_by(Rule.code)).all() if part.donor_id is not None else ()
    if not found:
        return
    free = _free_off(session, part)
    if any(other.part_type_id == part.part_type_id and other.side == part.side for other in free):
        return
    for rule_id, code in found:
        offered = set(
            session.scalars(select(RuleType.part_type_id).where(RuleType.rule_id == rule_id, RuleType.end == End.PART))
        )
        along = set(
            session.scalars(
                select(RuleCompanion.part_type_id).where(RuleCompanion.rule_id == rule_id, RuleCompanion.same_donor)
            )
        )
        if not along <= {part.part_type_id, *(other.part_type_id for other in free)}:
            # A set that is short already is not spoiled any more.
            continue
        for head in free:
            others = [other.tag for other in free if other is head or other.part_type_id in along]
            if head.part_type_id in offered and not set(others) <= going:
                yield f"{part.tag} makes a set with {' + '.join(others)} ({code}): sold alone, it spoils that set"


def _free_off(session: Session, part: Part) -> list[Part]:
    """What else is free off the same vehicle."""
    others = select(Part).where(Part.donor_id == part.donor_id, Part.standing == Standing.FREE, Part.id != part.id)
    return list(session.scalars(others.order_by(Part.tag)))
