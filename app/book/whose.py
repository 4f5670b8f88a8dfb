"""Whose vehicle an ask is about: a VIN or stock number in the words, what was seen on it, whose frame is under it."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from sqlalchemy import bindparam, func, or_, select
from sqlalchemy.orm import Session

from app.book.contradicted import OF_ANOTHER, contradicted, showing, tells
from app.book.knowing import Knowing
from app.book.schema import Donor, DonorFact, DonorIdentity, Fact, PlateWord
from app.book.words.buildtime import time_said
from app.book.words.linereading import OR
from app.book.words.understanding import understand
from app.book.words.vocabulary import MODEL_FACTS
from app.fit.answers import Asked, Chip
from app.fit.known import FactInfo, Identity, ModelInfo, Want
from app.fit.terms import FactKind, Group
from app.fit.values import number, same
from app.fit.vin import read_vin
from app.fit.wants import IS

VIN_LENGTH = 17
_STOCK_NUMBER = re.compile(r"^[a-z]{1,3}-?[0-9]{1,7}$")
_SIZES = (FactKind.LENGTH, FactKind.NUMBER)
_PLAIN_KINDS = (FactKind.CHOICE, FactKind.YES_NO, FactKind.COUNT, FactKind.NUMBER)


def settled(session: Session, asked: Asked, known: Knowing) -> Asked:
    """The ask with its vehicle settled as far as words, plates and looks go."""
    asked = _of_the_yard(session, asked, known)
    asked = _of_plate(session, asked, known)
    if asked.facts:
        # Looks are held against what the models can show; else that is read along with the rules.
        carried = [key for keys in asked.carries.values() for key in keys]
        known.shelf_of_models.bring(session.connection(), (*asked.models, *carried))
    return _as_looked_at(_other_groups(session, _of_the_part(_narrowed(asked, known), known), known), known)


def identities(asked: Asked, known: Knowing) -> dict[Group, tuple[Identity, ...]]:
    """What the vehicle is for each group; a group of another vehicle goes by its own year, unknown where not said."""
    plant = asked.facts.get("plant", "")
    models = [known.models[key] for key in asked.models if key in known.models]
    years = ((model, year) for model in models for year in _years(model, asked.said_years))
    own = tuple(_dated(Identity(model, year, plant=plant), asked.built) for model, year in years)
    found = dict.fromkeys(Group, own) if own else {}
    for group, keys in asked.carries.items():
        dates = asked.carried_dates.get(group)
        kept = tuple(each for each in own if each.model.key in keys and dates is None)
        others = [known.models[key] for key in keys if key in known.models and (dates or key not in asked.models)]
        if kept:
            # It may be the vehicle that was misnamed: then its year and month are those of all of it.
            dated = [each for each in kept if each.model is kept[0].model]
            found[Group(group)] = (*kept, *(replace(each, model=model) for model in others for each in dated))
        else:
            said = asked.carried_years.get(group, ())
            built, theirs = dates or ("", "")
            others = _of_that_time(others, built)
            found[Group(group)] = tuple(
                _dated(Identity(model, year, plant=theirs), built) for model in others for year in _years(model, said)
            )
    return {group: each for group, each in found.items() if each}


def _of_that_time(models: list[ModelInfo], built: str) -> list[ModelInfo]:
    """The models that were built at a time that was said; all of them where none was said or none was built then."""
    time = time_said(built) if built else None
    return [model for model in models if time is None or time.meets(*_built_in(model, None))] or models


def _years(model: ModelInfo, said: Sequence[int]) -> Sequence[int | None]:
    """The years that a model may be of: of several that were said those it was built in."""
    built = [year for year in said if len(said) == 1 or model.year_from <= year <= model.year_to]
    return built or (None,)


def _dated(identity: Identity, built: str | None) -> Identity:
    """The identity with what was said of when it was built; a time when none were built counts as its nearest month."""
    time = time_said(built) if built else None
    if time is None:
        return identity
    if not time.month and time.meets(*_built_in(identity.model, identity.year)):
        return replace(identity, built_from=time.first, built_to=time.last)
    return replace(identity, built=time.first or time.last)


def _built_in(model: ModelInfo, year: int | None) -> tuple[str, str]:
    """The first and last month in which vehicles of a model, or of one model year, are built."""
    return f"{(year or model.year_from) - 1}-07", f"{year or model.year_to}-12"


def _of_the_yard(session: Session, asked: Asked, known: Knowing) -> Asked:
    """A truck of the yard itself, by stock number, tag or VIN."""
    words = [word for word in asked.not_understood if _STOCK_NUMBER.match(word) or len(word) in (7, VIN_LENGTH)]
    if not words:
        return asked
    names = [word.upper() for word in words]
    match = or_(func.upper(Donor.stock_number).in_(names), Donor.tag.in_(names), Donor.vin.in_(names))
    donor = session.scalar(select(Donor).where(match).limit(1))
    if donor is None:
        return asked
    said = {donor.stock_number.upper(), donor.tag, donor.vin}
    if _is_source(asked.words, said):
        left = tuple(word for word in asked.not_understood if word.upper() not in said)
        off = Chip("off", f"off {donor.stock_number}", _said(words, said))
        return replace(asked, chips=(*asked.chips, off), not_understood=left)
    model = known.model(donor.model_id)
    facts = {row.name: row.value for row in session.execute(_FACTS, {"donor": donor.id})}
    plant = {"plant": donor.vin[10]} if donor.vin and len(donor.vin) == VIN_LENGTH else {}
    rows = session.scalars(select(DonorIdentity).where(DonorIdentity.donor_id == donor.id))
    swapped = {str(row.group): (other, row) for row in rows if (other := known.model(row.model_id)) is not None}
    return replace(
        asked,
        models=(model.key,) if model is not None else asked.models,
        year=donor.year or asked.year,
        built=donor.built or asked.built,
        facts={**facts, **plant, **asked.facts},
        carries={**{group: (other.key,) for group, (other, _) in swapped.items()}, **asked.carries},
        carried_years={group: (row.year,) for group, (_, row) in swapped.items() if row.year} | {**asked.carried_years},
        carried_dates={
            **{
                group: (row.built or "", row.plant)
                for group, (other, row) in swapped.items()
                if asked.carries.get(group, (other.key,)) == (other.key,)
            },
            **asked.carried_dates,
        },
        chips=(*asked.chips, Chip("vehicle", donor.stock_number, _said(words, said))),
        not_understood=tuple(word for word in asked.not_understood if word.upper() not in said),
    )


def _is_source(line: str, names: Collection[str | None]) -> bool:
    """A part on or off a truck of ours is asked for: it says nothing of the truck it shall go on."""
    words = re.findall(r"[\w-]+", line.upper())
    before = [word for word, after in pairwise(words) if after in names]
    return any(word in _SOURCE_MARKS for word in before)


_SOURCE_MARKS = frozenset({"DONOR", "ON", "OFF", "FROM", "OF"})
_FACTS = (
    select(Fact.name, DonorFact.value)
    .join(DonorFact, DonorFact.fact_id == Fact.id)
    .where(DonorFact.donor_id == bindparam("donor"))
)


def _said(words: Sequence[str], names: Collection[str | None]) -> str:
    return next((word for word in words if word.upper() in names), "")


def _of_plate(session: Session, asked: Asked, known: Knowing) -> Asked:
    """A VIN gives year and plant, and what earlier plates taught of its letters: make, model, options."""
    for word in (each for each in asked.not_understood if " " not in each):
        report = read_vin(word)
        if len(report.vin) != VIN_LENGTH:
            continue
        left = tuple(each for each in asked.not_understood if each != word)
        if not report.ok:
            wrong = "; ".join(finding.words for finding in report.findings)
            return replace(asked, chips=(*asked.chips, Chip("VIN misread", wrong, word)))
        meanings = tuple(_taught(session, report.vin))
        taught = understand(" ".join(meanings), known.vocabulary).asked
        senses = [sense for meaning in meanings for sense in known.vocabulary.senses(meaning)]
        facts = {sense.fact: sense.value for sense in senses if sense.field == "fact" and sense.fact not in MODEL_FACTS}
        chips = [chip for chip in taught.chips if chip.field != "part"]
        return replace(
            asked,
            year=report.years[0] if len(report.years) == 1 else asked.year,
            models=taught.models or asked.models,
            facts={**facts, "plant": report.vin[10], **asked.facts},
            chips=(*asked.chips, Chip("VIN", report.year_words, word), *(replace(chip, said=word) for chip in chips)),
            not_understood=left,
        )
    return asked


def _taught(session: Session, vin: str) -> Iterator[str]:
    rows = session.scalars(
        select(PlateWord).where(PlateWord.maker == vin[:3]).order_by(PlateWord.position, PlateWord.id)
    )
    for row in rows:
        if vin[row.position - 1] == row.symbol:
            yield row.meaning


def _narrowed(asked: Asked, known: Knowing) -> Asked:
    """Of several models that are meant, those that can have what was said of the vehicle."""
    models = [known.models[key] for key in asked.models if key in known.models]
    if said := asked.said_years:
        models = [model for model in models if any(model.year_from <= year <= model.year_to for year in said)] or models
    models = _of_that_time(models, asked.built or "")
    for name, value in asked.facts.items():
        info = known.facts.get(name)
        if len(models) > 1 and info is not None and (info.kind in _PLAIN_KINDS or info.choices):
            models = [model for model in models if _can_have(model, name, value)] or models
    return replace(asked, models=tuple(model.key for model in models))


def _of_the_part(asked: Asked, known: Knowing) -> Asked:
    """What no such vehicle has is the part's own, where that is called so or it stands right before: "6.2 engine"."""
    models = [known.models[key] for key in asked.models if key in known.models]
    for chip in asked.chips if models else ():
        told = {name: asked.facts[name] for name in chip.field.split(" / ") if name in asked.facts}
        strange = [name for name, value in told.items() if not any(_can_have(each, name, value) for each in models)]
        if not chip.said or not strange:
            continue
        senses = (sense for name in strange for sense in known.vocabulary.senses(told[name]))
        called = {sense.value for sense in senses if sense.field == "part"}
        theirs = tuple(each for each in asked.part_types if each in called)
        if theirs or _before_part(chip.said, strange, asked, known):
            facts = {name: value for name, value in asked.facts.items() if name not in told}
            own = replace(chip, value=f"{chip.value}, the part's own")
            chips = tuple(own if each is chip else each for each in asked.chips)
            asked = replace(asked, part_types=theirs or asked.part_types, facts=facts, chips=chips)
    return asked


def _before_part(said: str, names: Sequence[str], asked: Asked, known: Knowing) -> bool:
    """True for a look right before the part's name: "towing radiator".

    One of a frame or nose tells whose that is, but for a size: "38.5 gallon tank", "thirteen inch rotors".
    """
    infos = [known.facts[name] for name in names if name in known.facts]
    if any(info.group in OF_ANOTHER and info.kind not in _SIZES for info in infos):
        return False
    words = " ".join(asked.words.lower().split())
    parts = [each.said for each in asked.chips if each.field == "part" and each.said]
    return any(f"{said} {part}" in words or said.endswith(f" {part}") for part in parts)


def sizes_asked_for(said: Asked, settled_on: Asked, known: Knowing) -> tuple[Want, ...]:
    """The sizes that turned out to be those of the part that is wanted, as requirements of it."""
    looked_at = known.vocabulary.looked_at(settled_on.part_types)
    own = {name: value for name, value in said.facts.items() if name not in settled_on.facts and name in looked_at}
    return tuple(
        Want(name, IS, size := _listed(value, known.facts[name]), f"{name} {size}")
        for name, value in own.items()
        if known.facts[name].kind in _SIZES
    )


def _listed(value: str, info: FactInfo) -> str:
    """A size as it is in the closed list, where it was said in round figures: 38 of 38.5 gallons."""
    said = number(value)
    near = [each for each in info.choices if said is not None and abs((number(each) or 0) - said) < 1]
    return near[0] if len(near) == 1 else value


def _can_have(model: ModelInfo, name: str, value: str) -> bool:
    listed = [row.value for row in model.possible if row.fact == name]
    return not listed or any(same(row, said) for row in listed for said in value.split(OR))


def _other_groups(session: Session, asked: Asked, known: Knowing) -> Asked:
    """A look that no vehicle of the model can show says that its frame or nose is another's."""
    own = [known.models[key] for key in asked.models if key in known.models]
    carries, chips = dict(asked.carries), list(asked.chips)
    for name, value in asked.facts.items():
        info = known.facts.get(name)
        group = info.group if info is not None else None
        if not own or info is None or str(group) in carries:
            continue
        if any(_can_have(model, name, value) for model in own):
            continue
        if group not in OF_ANOTHER or not tells(name, group, own, known):
            carries, chips = contradicted(session, asked, known, name, own, carries, chips)
            continue
        others = showing(session, name, value, own, known)
        if others:
            carries[str(group)] = tuple(model.key for model in others)
            said = next((chip.said for chip in asked.chips if name in chip.field.split(" / ")), value)
            chips.append(Chip(str(group), OR.join(dict.fromkeys(model.words for model in others)), said))
    return replace(asked, carries=carries, chips=tuple(chips))


def _as_looked_at(asked: Asked, known: Knowing) -> Asked:
    """Of several vehicles that a frame or nose may be off, those that show what was seen of it."""
    carries = dict(asked.carries)
    for name, value in asked.facts.items():
        info = known.facts.get(name)
        if info is None or info.group not in OF_ANOTHER or str(info.group) not in carries:
            continue
        models = [known.models[key] for key in carries[str(info.group)] if key in known.models]
        if len(models) > 1 and tells(name, info.group, models, known):
            shown = [model for model in models if _can_have(model, name, value)]
            carries[str(info.group)] = tuple(model.key for model in shown or models)
    return replace(asked, carries=carries)
