"""Values that are none of their fact's closed list of choices: no rule would ever know them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import and_, or_, select
from sqlalchemy.orm import Session

from app.book.schema import Design, DesignFact, Donor, DonorFact, Fact, Model, ModelFact, Part, PartFact
from app.fit.terms import FactKind
from app.fit.values import same

_TABLES: tuple[tuple[Any, Any, Any], ...] = (
    (PartFact, Part, Part.tag),
    (DonorFact, Donor, Donor.stock_number),
    (ModelFact, Model, Model.key),
    (DesignFact, Design, Design.code),
)
_OWNER = {PartFact: "part_id", DonorFact: "donor_id", ModelFact: "model_id", DesignFact: "design_id"}
MOST_NAMED = 200
"""So many of one table are named; mending these shows the others."""


@dataclass(frozen=True, slots=True)
class Strange:
    """A value that is no choice: of what it is said, of which fact, and what could be said."""

    subject: str
    fact: str
    value: str
    choices: tuple[str, ...]


def strange_values(session: Session) -> Iterator[Strange]:
    """Every value of parts, vehicles, models and designs that is none of its fact's choices."""
    rows = session.execute(select(Fact.id, Fact.name, Fact.choices).where(Fact.kind == FactKind.CHOICE))
    closed = {row.id: (row.name, tuple(map(str, row.choices))) for row in rows if row.choices}
    for table, owner, named in _TABLES:
        said = session.execute(select(table.fact_id, table.value).where(table.fact_id.in_(closed)).distinct()).all()
        strange = [row for row in said if not any(same(row.value, each) for each in closed[row.fact_id][1])]
        if not strange:
            continue
        either = or_(*(and_(table.fact_id == row.fact_id, table.value == row.value) for row in strange[:MOST_NAMED]))
        query = select(named, table.fact_id, table.value).join(owner, owner.id == getattr(table, _OWNER[table]))
        for subject, fact_id, value in session.execute(query.where(either).order_by(named).limit(MOST_NAMED)):
            yield Strange(subject, closed[fact_id][0], value, closed[fact_id][1])
