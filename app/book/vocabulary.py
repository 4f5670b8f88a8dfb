"""Every word the yard understands, with what it points to."""

from __future__ import annotations

from dataclasses import dataclass, field

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.schema import Alias, AliasKind, Fact, FactKind, Model, PartType

SIDES = {
    "lh": "LH", "l": "LH", "left": "LH", "driver's": "LH", "drivers": "LH", "driver": "LH",
    "rh": "RH", "r": "RH", "right": "RH", "passenger": "RH", "passenger's": "RH", "passengers": "RH",
}  # fmt: skip
FILLER = frozenset(
    """a about all an and another any anything are as at be but can cheap could couldn't do does doesn't don't else ever
    fits for from get give go going good got had has have he hear her his i i'd i'll i'm i've if in into is it it's its
    just know like line looking me mind mine mine's my need needs new no of off old on one or our out perhaps piece
    please put same says she should side some somebody sticker than that the their them then there these they they're
    thing this to truck up us used want wants was we were what what's when where which will with won't work would you
    you've your yours""".split()
)


@dataclass(frozen=True, slots=True)
class Sense:
    """One thing a phrase may mean: a field (part, model, side, fact …) and its value."""

    field: str
    value: str
    fact: str = ""


@dataclass
class Vocabulary:
    """Phrases and their senses; `wider` maps a part name to the part types it covers."""

    phrases: dict[str, list[Sense]] = field(default_factory=dict)
    wider: dict[str, tuple[str, ...]] = field(default_factory=dict)
    models: tuple[Model, ...] = ()
    facts: dict[str, Fact] = field(default_factory=dict)
    words: tuple[str, ...] = ()
    longest: int = 1

    def add(self, said: str, sense: Sense) -> None:
        """Let a phrase mean something."""
        phrase = " ".join(said.lower().replace(",", " ").split())
        if not phrase:
            return
        senses = self.phrases.setdefault(phrase, [])
        if sense not in senses:
            senses.append(sense)
        self.longest = max(self.longest, len(phrase.split()))


def load_vocabulary(session: Session) -> Vocabulary:
    """Read the words of the book."""
    made = Vocabulary()
    _add_parts(made, session)
    _add_models(made, session)
    _add_facts(made, session)
    for alias in session.scalars(select(Alias).order_by(Alias.id)):
        made.add(alias.said, _sense(alias))
    for said, side in SIDES.items():
        made.add(said, Sense("side", side))
    made.words = tuple(sorted({word for phrase in made.phrases for word in phrase.split() if len(word) > 3}))
    return made


def _sense(alias: Alias) -> Sense:
    if alias.kind is not AliasKind.FACT:
        return Sense(str(alias.kind), alias.means)
    name, _, value = (part.strip() for part in alias.means.partition("="))
    return Sense("side", value) if name == "side" else Sense("fact", value, name)


def _add_parts(made: Vocabulary, session: Session) -> None:
    wider: dict[str, list[str]] = {}
    for kind in session.scalars(select(PartType).order_by(PartType.id)):
        made.add(kind.name, Sense("part", kind.name))
        wider.setdefault(kind.name, []).append(kind.name)
        if kind.wider:
            made.add(kind.wider, Sense("part", kind.wider))
            wider.setdefault(kind.wider, []).append(kind.name)
    made.wider = {name: tuple(dict.fromkeys(names)) for name, names in wider.items()}


def _add_models(made: Vocabulary, session: Session) -> None:
    made.models = tuple(session.scalars(select(Model).order_by(Model.key)))
    for model in made.models:
        made.add(model.key, Sense("model", model.key))
        made.add(model.name, Sense("name", model.name))
        made.add(model.make, Sense("make", model.make))
        for fact, value in (
            ("variant", model.variant),
            ("weight class", model.weight_class),
            ("body style", model.body_style),
        ):
            if value:
                made.add(value, Sense("fact", value, fact))


def _add_facts(made: Vocabulary, session: Session) -> None:
    made.facts = {fact.name: fact for fact in session.scalars(select(Fact).order_by(Fact.id))}
    names = {model.name for model in made.models}
    for fact in made.facts.values():
        for choice in fact.choices:
            everyday = str(choice) in names or str(choice).lower() in FILLER or str(choice).lower() in SIDES
            if fact.kind is FactKind.CHOICE and not everyday:
                made.add(str(choice), Sense("fact", str(choice), fact.name))
            made.add(f"{choice} {fact.name}", Sense("fact", str(choice), fact.name))
            if fact.kind is FactKind.NUMBER and "." in str(choice):
                made.add(str(choice), Sense("fact", str(choice), fact.name))
        if fact.kind is FactKind.YES_NO:
            made.add(fact.name, Sense("fact", "yes", fact.name))
            made.add(f"no {fact.name}", Sense("fact", "no", fact.name))
            made.add(f"not {fact.name}", Sense("fact", "no", fact.name))
