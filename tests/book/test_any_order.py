"""The phrases of a line mean the same in any order: vehicle, part, side, and facts called by their names."""

from __future__ import annotations

from random import Random

from app.book.asking import heard_beside
from app.book.knowing import Knowing, knowing
from app.book.words.everyday import SIDES
from app.book.words.vocabulary import Vocabulary
from app.book.work import Book
from app.fit.answers import Asked
from app.fit.known import FactInfo, ModelInfo
from app.fit.terms import FactKind

LINES = 300


def phrases(known: Knowing, chosen: Random) -> list[str]:
    """What a customer says, phrase by phrase; of what a name and a value make together none is a part's name."""
    model = chosen.choice(list(known.models.values()))
    said = [f"{chosen.randint(model.year_from, model.year_to)} {model.words}", chosen.choice(list(known.type_ids))]
    said += [f"built {model.year_to}-{chosen.randint(1, 12):02d}"] if chosen.random() < 0.3 else []
    said += [chosen.choice(["left", "right"])] if chosen.random() < 0.3 else []
    # A yes or no may go with what stands before it or behind it.
    facts = [each for each in known.facts.values() if each.kind is not FactKind.YES_NO]
    named = [looked_at(fact, model, chosen, known.vocabulary) for fact in chosen.sample(facts, 2)]
    return [*said, *filter(None, named)]


def looked_at(fact: FactInfo, model: ModelInfo, chosen: Random, vocabulary: Vocabulary) -> str:
    values = [each.value for each in model.possible if each.fact == fact.name] or list(fact.choices)
    value = chosen.choice(values) if values else ""
    said = f"{fact.name} {value}"
    a_part = any(sense.field == "part" for sense in vocabulary.senses(said))
    # "Seat left" may be the seat of that side, and "Drover face" is the face of a Drover.
    unclear = a_part or not value or not SIDES.keys().isdisjoint(value.split()) or value.startswith(model.name)
    return "" if unclear else said


def understood(asked: Asked) -> tuple[object, ...]:
    return (
        asked.part_types,
        sorted(asked.models),
        asked.year,
        asked.built,
        asked.side,
        sorted(asked.facts.items()),
        asked.quantity,
        sorted(asked.wants),
        sorted(asked.not_understood),
    )


def test_the_order_of_what_is_said_changes_nothing(any_yard: Book) -> None:
    with any_yard.read() as session:
        known = knowing(session)
        known.shelf_of_models.bring_all(session.connection())
        told = 0
        for seed in range(LINES):
            chosen = Random(seed)
            said = phrases(known, chosen)
            first = heard_beside(session, known, ", ".join(said))
            told += len(first.facts)
            for between in (", ", " "):
                chosen.shuffle(said)
                assert understood(heard_beside(session, known, between.join(said))) == understood(first), said
    assert told > LINES // 2, "many facts must be understood"
