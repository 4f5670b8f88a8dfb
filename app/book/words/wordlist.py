"""The words of a yard read from its book: part names, models, spoken names, the choices of facts, sides."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.modelreading import read_models
from app.book.schema import Alias, AliasKind, Fact, Law, PartType
from app.book.words.everyday import EVERYDAY, FILLER, SIDES, STICKERS
from app.book.words.saidchoices import SAID, said_choice
from app.book.words.tradewords import add_trade_words
from app.book.words.vocabulary import MODEL_FACTS, Sense, Vocabulary, joined
from app.fit.known import ModelInfo
from app.fit.terms import FactKind
from app.fit.values import number


def load_vocabulary(session: Session, models: dict[str, ModelInfo] | None = None) -> Vocabulary:
    """Read the words of the book; its models too where they are not given."""
    made = Vocabulary(models=models if models is not None else read_models(session.connection()).infos)
    _add_parts(made, session)
    _add_models(made)
    aliases = session.scalars(select(Alias).order_by(Alias.id)).all()
    _add_facts(made, session, {alias.said.lower() for alias in aliases if alias.kind is AliasKind.MODEL})
    for alias in aliases:
        made.add(alias.said, _sense(alias))
    _add_plain_names(made)
    _add_short_names(made)
    _add_speeds(made)
    for said, side in SIDES.items():
        made.add(said, Sense("side", side))
    for said in STICKERS:
        made.add(said, Sense("nothing", ""))
    add_trade_words(made)
    _add_back(made)
    made.settle()
    return made


def _sense(alias: Alias) -> Sense:
    if alias.kind is not AliasKind.FACT:
        return Sense(str(alias.kind), alias.means)
    name, equal, value = (part.strip() for part in alias.means.partition("="))
    if not equal:
        return Sense("want", alias.means)
    return Sense("side", value) if name == "side" else Sense("fact", value, name)


def _add_parts(made: Vocabulary, session: Session) -> None:
    wider: dict[str, list[str]] = {}
    kinds = session.scalars(select(PartType).order_by(PartType.id)).all()
    for kind in kinds:
        made.add(kind.name, Sense("part", kind.name))
        wider.setdefault(kind.name, []).append(kind.name)
        if kind.wider:
            made.add(kind.wider, Sense("part", kind.wider))
            wider.setdefault(kind.wider, []).append(kind.name)
    made.wider = {name: tuple(dict.fromkeys(names)) for name, names in wider.items()}
    made.looks = {kind.name: frozenset(map(str, kind.look_for)) for kind in kinds}
    on_frames = (made.looks[kind.name] for kind in kinds if kind.law is not Law.FRAME)
    made.parts_looks = frozenset[str]().union(*on_frames)
    made.sided = frozenset(kind.name for kind in kinds if kind.sided)


def _add_plain_names(made: Vocabulary) -> None:
    """What stands before the comma of a part's name is said for it, where that means nothing else: "clips, bag"."""
    found: dict[str, list[str]] = {}
    for name in made.wider:
        plain_name, comma, _ = name.partition(",")
        if comma and not made.senses(plain_name):
            found.setdefault(plain_name, []).append(name)
    for plain_name, names in found.items():
        made.add(plain_name, Sense("part", names[0] if len(names) == 1 else plain_name))
        if len(names) > 1:
            made.wider[plain_name] = tuple(dict.fromkeys(each for name in names for each in made.wider[name]))


def _add_short_names(made: Vocabulary) -> None:
    """A long part name is said without its first words, where that means nothing else: a "van engine computer"."""
    found: dict[str, list[str]] = {}
    for name in made.wider:
        words = name.partition(",")[0].lower().split()
        for start in range(1, len(words) - 1):
            said = " ".join(words[start:])
            plain = words[start] not in FILLER and not words[start][0].isdigit()
            if plain and not made.senses(said):
                found.setdefault(said, []).append(name)
    for said, names in found.items():
        for name in names:
            made.add(said, Sense("part", name))


def _add_back(made: Vocabulary) -> None:
    """What is rear is said back too, where that means nothing else: "no back air"."""
    for said, senses in [(phrase, list(each)) for phrase, each in made.phrases.items() if "rear " in phrase]:
        words = said.replace("rear ", "back ")
        if said.split()[0] in ("rear", "no", "not") and not made.senses(words):
            for sense in senses:
                made.add(words, sense)


def _add_speeds(made: Vocabulary) -> None:
    """A count of gears is said "six speed", where the yard has no part of that name."""
    named = [set(phrase.replace("-", " ").split()) for phrase in made.phrases if "speed" in phrase]
    for fact in made.facts.values():
        counts = fact.kind is FactKind.COUNT and fact.name.split()[0] in ("gear", "gears")
        for choice in map(str, fact.choices) if counts else ():
            ways = (choice, SAID.get(choice, choice))
            if not any({said, "speed"} <= words for said in ways for words in named):
                made.add(f"{choice} speed", Sense("fact", choice, fact.name))


def _add_models(made: Vocabulary) -> None:
    found: dict[tuple[str, str], list[ModelInfo]] = {}
    spans: set[tuple[int, int]] = set()
    for model in made.models.values():
        spans.add((model.year_from, model.year_to))
        # A key is typed, not said: it is looked up as it is, and makes no phrase.
        made.keep_key(model.key)
        for trait, value in _traits(model):
            if (trait, value) not in found:
                made.add(value, Sense("fact", value, trait) if trait in MODEL_FACTS else Sense(trait, value))
            found.setdefault((trait, value), []).append(model)
    made.models_of = {trait: tuple(models) for trait, models in found.items()}
    _add_body_nouns(made)
    _add_families(made)
    made.longer_names = _longer_names(made)
    made.years = frozenset(year for first, last in spans for year in range(first, last + 1))


def _add_body_nouns(made: Vocabulary) -> None:
    """The noun of a body style of several words means all of that noun: a "bus" is a city bus or a bendy bus."""
    for trait, value in made.models_of:
        noun = value.lower().split()[-1]
        if trait == "body style" and noun != value.lower() and noun not in FILLER and noun not in EVERYDAY:
            made.add(noun, Sense("fact", value, trait))


def _measures(made: Vocabulary) -> dict[float, tuple[Sense, ...]]:
    """The choices of lengths and numbers, by their figures."""
    found: dict[float, list[Sense]] = {}
    for fact in made.facts.values():
        for choice in map(str, fact.choices) if fact.kind in (FactKind.LENGTH, FactKind.NUMBER) else ():
            if (figure := number(choice)) is not None:
                found.setdefault(float(figure), []).append(Sense("fact", choice, fact.name))
    return {figure: tuple(senses) for figure, senses in found.items()}


def _longer_names(made: Vocabulary) -> dict[str, tuple[str, ...]]:
    """For each word of models' names of several words that is no name or make by itself, those names."""
    names = [value for trait, value in made.models_of if trait == "name"]
    own = {value.lower() for trait, value in made.models_of if trait in ("name", "make")}
    found: dict[str, list[str]] = {}
    for name in names:
        words = name.lower().split()
        for word in words if len(words) > 1 else ():
            if word not in own:
                found.setdefault(word, []).append(name)
    return {word: tuple(every) for word, every in found.items()}


def _add_families(made: Vocabulary) -> None:
    """A family's name that is no model's own means all its models: "Plover" of a Plover 40 and a Plover 45."""
    own = {joined(value) for trait, value in made.models_of if trait in ("name", "make")}
    for family, name in dict.fromkeys((model.family, model.name) for model in made.models.values()):
        if joined(family) not in own and joined(name).startswith(joined(family)):
            made.add(family, Sense("name", name))


def _traits(model: ModelInfo) -> Iterator[tuple[str, str]]:
    yield "name", model.name
    yield "make", model.make
    for fact, attribute in MODEL_FACTS.items():
        if value := getattr(model, attribute):
            yield fact, value


def _add_facts(made: Vocabulary, session: Session, model_words: set[str]) -> None:
    made.facts = {fact.name: fact for fact in session.scalars(select(Fact).order_by(Fact.id))}
    made.measures = _measures(made)
    of_models = model_words | {value.lower() for trait, value in made.models_of if trait != "model"}
    for fact in made.facts.values():
        for choice in map(str, fact.choices):
            for said in said_choice(fact, choice, of_models):
                made.add(said, Sense("fact", choice, fact.name))
        if fact.kind is FactKind.YES_NO:
            made.add(fact.name, Sense("fact", "yes", fact.name))
            made.add(f"no {fact.name}", Sense("fact", "no", fact.name))
            made.add(f"not {fact.name}", Sense("fact", "no", fact.name))
            for said in _with_part(fact.name, made):
                made.add(said, Sense("fact", "yes", fact.name))
                made.add(f"no {said}", Sense("fact", "no", fact.name))


def _with_part(name: str, made: Vocabulary) -> list[str]:
    """A fact's name with the whole name of the part it begins with: a "torsion bar socket" is a torsion socket."""
    first, _, rest = name.partition(" ")
    longer = (part for part in made.wider if part.startswith(f"{first} ") and "," not in part)
    return [f"{part} {rest}" for part in longer if rest and not part.endswith(rest)]
