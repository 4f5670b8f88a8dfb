"""How many pieces are wanted where that tells itself, and of which lots they may come: a set, or so many loose ones."""

from __future__ import annotations

from dataclasses import replace

from sqlalchemy.orm import Session

from app.book.knowing import Knowing, TypeInfo
from app.fit.answers import Asked, Chip
from app.fit.known import FactInfo
from app.fit.terms import FactKind
from app.fit.values import number


def in_lots(session: Session, asked: Asked, known: Knowing) -> Asked:
    """The ask with its count of pieces, and with all kinds of lots that these may be put together from.

    A vehicle of which it is known how many it takes wants that many where a set is asked for, or where it was said.
    """
    types = [known.types[known.type_ids[name]] for name in asked.part_types]
    wider = {each.wider for each in types}
    kinds = [each for each in known.types.values() if each.wider and wider == {each.wider} and _is_lot(each, known)]
    if len({each.pieces for each in kinds}) < 2 or any(each not in kinds for each in types):
        return asked
    count = asked.quantity or _taken(session, asked, types, known)
    if count is None:
        return asked
    chips = asked.chips if asked.quantity else (*asked.chips, Chip("pieces", str(count), ""))
    return replace(asked, quantity=count, part_types=tuple(each.name for each in kinds), chips=chips)


def _is_lot(kind: TypeInfo, known: Knowing) -> bool:
    """True for a pair of coil springs of a yard that calls all such "coil spring"; a leaf spring is no lot of these."""
    return known.vocabulary.one_word((kind.wider, kind.name))


def _taken(session: Session, asked: Asked, types: list[TypeInfo], known: Knowing) -> int | None:
    """How many pieces the vehicle takes: as was said, else for a set as its models have it, if all have the same."""
    info = _count_of(types[0].wider, known)
    if info is None:
        return None
    values = {asked.facts[info.name]} if info.name in asked.facts else set[str]()
    if not values and len(types) == 1 and types[0].pieces > 1:
        known.shelf_of_models.bring(session.connection(), asked.models)
        models = [known.models[key] for key in asked.models if key in known.models]
        own = [{row.value for row in model.possible if row.fact == info.name} for model in models]
        values = set().union(*own) if all(own) else values
    count = number(values.pop()) if len(values) == 1 else None
    return int(count) if count is not None and count.denominator == 1 and count > 0 else None


def _count_of(name: str, known: Knowing) -> FactInfo | None:
    """The count that is called like pieces of a name: "body-mount cushions"."""
    found = (known.facts.get(each) for each in (f"{name}s", name))
    return next((each for each in found if each is not None and each.kind is FactKind.COUNT), None)
