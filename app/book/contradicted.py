"""Looks that no vehicle of a model can show: whose frame or nose it is, or which look tells."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy.orm import Session

from app.book.knowing import Knowing
from app.book.words.linereading import OR
from app.fit.answers import Asked, Chip, Question
from app.fit.known import ModelInfo
from app.fit.saying.unusual import TOLD_APART
from app.fit.terms import FactKind, Group
from app.fit.values import same

CONTRADICTION = "contradiction"
"""Field of the chip of two things said that no vehicle of a model is known to be both."""
OF_ANOTHER = (Group.FRAME, Group.NOSE)
"""The groups of which a look may tell that they are another vehicle's."""


def contradicted(
    session: Session,
    asked: Asked,
    known: Knowing,
    name: str,
    own: Sequence[ModelInfo],
    carries: dict[str, tuple[str, ...]],
    chips: list[Chip],
) -> tuple[dict[str, tuple[str, ...]], list[Chip]]:
    """A look that no vehicle of the model is known to have: it is believed all the same, and told as unusual.

    After a count on a part that only vehicles on another frame have, eight lugs on a half-ton, whose frame it is stays
    open, unless a look at the frame itself was said.
    """
    value, info = asked.facts[name], known.facts[name]
    if info.kind not in TOLD_APART:
        return carries, chips
    had = OR.join(dict.fromkeys(row.value for model in own for row in model.possible if row.fact == name))
    said = next((chip.said for chip in asked.chips if name in chip.field.split(" / ")), value)
    words = f"{OR.join(dict.fromkeys(model.words for model in own))} has {name} {had}, not {value}"
    chips = [*chips, Chip(CONTRADICTION, words, said)]
    if info.kind is not FactKind.COUNT or info.group not in OF_ANOTHER:
        return carries, chips
    others = showing(session, name, value, own, known)
    frames = {model.frame_design for model in own}
    if not others or any(each.frame_design in frames for each in others):
        return carries, chips
    looked = any(each != name and tells(each, Group.FRAME, own, known) for each in asked.facts if each in known.facts)
    if looked:
        return carries, chips
    every = tuple(dict.fromkeys(model.key for model in (*own, *others)))
    return {**carries, str(info.group): every}, chips


def tells(name: str, group: Group, own: Sequence[ModelInfo], known: Knowing) -> bool:
    """True for what the whole frame or nose is, and not one part on it that may have been changed."""
    info = known.facts[name]
    if info.kind is not FactKind.CHOICE or (group is Group.FRAME and name in known.vocabulary.parts_looks):
        return False
    rows = [[row for row in model.possible if row.fact == name] for model in own]
    return all(len(each) == 1 and not (each[0].given or each[0].built_from or each[0].built_to) for each in rows)


def showing(session: Session, name: str, value: str, own: Sequence[ModelInfo], known: Knowing) -> list[ModelInfo]:
    """The models whose frame or nose shows it: of the same name and generation first, else of the family."""
    models = known.shelf_of_models
    keys = [key for family in sorted({model.family for model in own}) for key in models.family(family)]
    models.bring(session.connection(), keys)
    kin = [known.models[key] for key in keys]
    shows = [
        model
        for model in kin
        if any(row.fact == name and any(same(row.value, said) for said in value.split(OR)) for row in model.possible)
    ]
    same_name = [model for model in shows if any(model.name == each.name for each in own)]
    same_years = [
        model
        for model in same_name
        if any(model.year_from <= each.year_to and each.year_from <= model.year_to for each in own)
    ]
    return same_years or same_name or shows


def which_look(asked: Asked, known: Knowing, wanted: Group) -> tuple[Question, ...]:
    """The easiest look at the frame that tells whose it is.

    After a contradiction that left that open, and for what goes by a frame that is said to be another's.
    """
    keys = asked.carries.get(str(Group.FRAME), ())
    models = [known.models[key] for key in keys if key in known.models]
    own = [model for model in models if model.key in asked.models]
    misnamed = bool(own) and any(chip.field == CONTRADICTION for chip in asked.chips)
    if len(models) < 2 or not (misnamed or (wanted is Group.FRAME and not own)):
        return ()
    own = own or models
    names = [row.fact for model in own for row in model.possible]
    frame = [name for name in names if known.facts[name].group is Group.FRAME and tells(name, Group.FRAME, own, known)]
    for name in sorted(dict.fromkeys(frame), key=lambda name: known.facts[name].effort):
        values = [{row.value for row in model.possible if row.fact == name} for model in models]
        every = tuple(dict.fromkeys(value for each in values for value in sorted(each)))
        if all(values) and len(every) > 1 and known.facts[name].question and name not in asked.facts:
            return (Question(name, known.facts[name].question, every, 0),)
    return ()
