"""The casebook's measured rules held against the measuring code: what the tape says never contradicts them.

For every part in stock and every model, the lengths taken of the part are held against those of the model's frame, as
if nothing had been written, and then the written rules are asked.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select

from app.book.asking import knowledge
from app.book.bearing import bearing
from app.book.knowing import Knowing, knowing
from app.book.offers import offer_tagged
from app.book.schema import Part
from app.book.sheets import load_folder
from app.book.work import Book, Who, open_book
from app.fit.computed_lengths import computed_fit
from app.fit.decide import Decision, Judge
from app.fit.known import Identity, Known, ModelInfo, Offer, Target
from app.fit.rules import Evidence, RuleKind
from app.fit.terms import FactKind, Grade, Group

YARD = Path(__file__).parents[1] / "casebook"
TODAY = date(2026, 3, 4)
MEASURED = frozenset({Evidence.MEASURED, Evidence.SOLD_AND_KEPT, Evidence.DONE})


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp("rules") / "yard.book"))
    load_folder(book, Who("OW"), YARD)
    yield book
    book.close()


def lengths_of(model: ModelInfo, known: Knowing) -> dict[str, Known]:
    """The lengths a model has whatever its options."""
    found: dict[str, list[Known]] = {}
    for each in model.possible:
        if known.facts[each.fact].kind is FactKind.LENGTH:
            found.setdefault(each.fact, []).append(Known(each.value, each.u_mm))
    return {name: values[0] for name, values in found.items() if len(values) == 1}


def by_rules(decision: Decision | None) -> Grade | None:
    """The grade where written rules that somebody measured settle it alone."""
    if decision is None or len(decision.outcomes) != 1 or decision.main.resolved is None:
        return None
    rules = [fire.rule for fire in decision.main.resolved.fires]
    proven = all(any(line.kind in MEASURED for line in rule.evidence) for rule in rules)
    return decision.grade if proven and all(rule.kind is RuleKind.FIT for rule in rules) else None


def pairs(book: Book) -> Iterator[tuple[str, Grade, Grade, str]]:
    """Tag and model, what the tape says, what the measured rules say, and the figures."""
    with book.read() as session:
        known = knowing(session)
        for tag in session.scalars(select(Part.tag).order_by(Part.tag)).all():
            offer = offer_tagged(session.connection(), known, tag, TODAY)
            bears = bearing(session.connection(), known, [offer.part_type])
            know = knowledge(session, known, bears, TODAY)
            for model in known.models.values():
                yield from _held(offer, model, known, Judge(_target(offer, model), know).decide(offer))


def _target(offer: Offer, model: ModelInfo) -> Target:
    return Target(frozenset({offer.part_type}), dict.fromkeys(Group, (Identity(model),)), side=offer.subject.side)


def _held(
    offer: Offer, model: ModelInfo, known: Knowing, decision: Decision | None
) -> Iterator[tuple[str, Grade, Grade, str]]:
    taped = {name: each for name, each in offer.subject.facts.items() if known.facts[name].kind is FactKind.LENGTH}
    found = computed_fit(taped, lengths_of(model, known), tuple(taped), known.facts)
    written = by_rules(decision)
    if found is not None and written is not None:
        yield f"{offer.tag} on {model.key}", found.grade, written, found.words


def test_the_tape_never_contradicts_a_measured_rule(yard: Book) -> None:
    held = list(pairs(yard))
    assert len(held) > 60
    refused = [each for each in held if each[1] is Grade.WONT_FIT]
    assert len(refused) > 10
    # What the tape refuses no measured rule calls a straight fit, and what one calls so the tape does not refuse.
    straight = (Grade.BOLTS_UP, Grade.MOVE_OVER)
    assert [each for each in refused if each[2] in straight] == []
    assert any(each[2] is Grade.BOLTS_UP for each in held)
