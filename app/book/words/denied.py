"""What a customer says his vehicle is not or has not: "no rear air", "not the heavy", "it isn't a 4x4"."""

from __future__ import annotations

from collections.abc import Sequence

from app.book.words.dated import COUNTED
from app.book.words.everyday import EVERYDAY, FILLER, POSITIONS, SIZE_WORDS
from app.book.words.figures import figure, several
from app.book.words.linereading import Reading
from app.book.words.meanings import PartSaid, opposite
from app.book.words.plants import keep_plant, plant_said
from app.book.words.spoken import Line
from app.book.words.vocabulary import MODEL_FACTS, Sense, Vocabulary
from app.book.words.yearwords import is_year
from app.fit.answers import Chip
from app.fit.plants import PLANT_LETTERS, any_but

DENIALS = frozenset("no not non without isn't isnt ain't aint wasn't never minus except excluding".split())
_HAVING = frozenset(
    "don't dont doesn't doesnt hasn't hasnt haven't havent didn't didnt won't wont can't cannot".split()
)
"""Words that deny what follows when "have", "got" or "want" does, or that hold it themselves."""
DENYING = DENIALS | _HAVING | {"dunno", "unsure", "but"}
_BETWEEN = frozenset(
    "a an the any of my his one with for have has had having got get been come came comes want need".split()
)
"""Words that may stand between a denial and what is denied."""
_LINKS = frozenset({"or", "nor"})
_MADE = frozenset({"built", "made", "at", "in", "from", "the"})
_SOURCE = frozenset({"off", "from", "out"})
_MOST_BETWEEN = 4


_UNSURE = frozenset({"not sure", "not certain", "don't know", "dont know", "no idea", "dunno", "unsure"})
_WHETHER = frozenset({"if", "whether"})
_MOST_UNSURE = 8


def denial(said: str, meant: str) -> str:
    """The denying word at a place, as it was said or in full; empty where there is none."""
    return said if said in DENYING else meant if meant in DENYING else ""


def unsure(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Not sure if it has rear air": nothing is said of it, and the words are shown."""
    size = next((size for size in (2, 1) if " ".join(line.said[at : at + size]) in _UNSURE), 0)
    here = at + size
    if not size or line.word(here) not in _WHETHER:
        return 0
    for place in range(here + 1, min(len(line.said), here + _MOST_UNSURE)):
        for found, senses in vocabulary.senses_at(line.bare, place)[:1]:
            # "Heavy or light" is not known either way.
            end, _ = _with_others(line, place + found, senses, vocabulary)
            reading.left += line.said[at:end]
            return end - at
        if line.word(place) not in FILLER or place in line.breaks:
            break
    return 0


def denied(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """What is said not to be so; gives the words it took. A denied look leaves the other ones open."""
    here, source = at + 1, False
    while here < min(len(line.said), at + 1 + _MOST_BETWEEN) and (line.word(here) in _BETWEEN | _SOURCE):
        source = source or line.word(here) in _SOURCE
        here += 1
    if not line.breaks.isdisjoint(range(at + 1, here + 1)) or not _denies(line, at, here, vocabulary):
        # "No, it's a half-ton" denies nothing that follows.
        return 0
    if size := _plant(line, at, here, reading):
        return size
    if here < len(line.said) and is_year(line.said[here], vocabulary) and _is_bare(line, here):
        # Of "not 07, an 08" only the 08 is a year of his.
        reading.left += line.said[at : here + 1]
        return here + 1 - at
    if size := _place(line, at, here, vocabulary, reading):
        return size
    if named := vocabulary.senses_at(line.bare, here)[:1]:
        end, senses = _with_others(line, here + named[0][0], named[0][1], vocabulary)
        said = line.words(at, end - at)
        if source or not keep_denied(senses, said, vocabulary, reading):
            reading.left += said.split()
        reading.mentions.word(line.word(at))
        return end - at
    if size := _denied_in_a_phrase(line, at, here, vocabulary, reading):
        return size
    measure = (figure(line, here) or several(line, here)) if here < len(line.said) else None
    if measure is not None and (measure.unit or measure.fraction or vocabulary.measuring(measure.text)):
        # What a figure is of is known when the part is.
        reading.not_figures.append((measure, line.words(at, here + measure.size - at)))
        return here + measure.size - at
    if line.word(here) in SIZE_WORDS and line.word(here + 1) in ("one", "ones"):
        # Which it is then is known when the part is.
        reading.left.append(line.words(at, here + 2 - at))
        return here + 2 - at
    plain = line.word(here).isalpha() and line.word(here) not in EVERYDAY
    if names := vocabulary.part_names([line.word(here)]) if plain else ():
        # "Not the shaft": none of the parts in whose names it stands.
        reading.parts.append(PartSaid(line.words(at, here + 1 - at), names, denied=True))
        return here + 1 - at
    if line.word(at) in FILLER and here < len(line.said):
        # What is not understood is shown with its "no".
        reading.left.append(line.said[at])
    return 0


def _place(line: Line, at: int, here: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Not the front": the other place is meant, and a look that is called so where the part is looked at for it."""
    place = POSITIONS.get(line.word(here))
    named = vocabulary.senses_at(line.bare, here)[:1] if place is not None else []
    if (
        place is None
        or (named and named[0][0] > 1)
        or any(sense.field == "side" for _, each in named for sense in each)
    ):
        return 0
    looks = [sense for _, senses in named for sense in senses if sense.field == "fact"]
    others = [
        other for name in dict.fromkeys(look.fact for look in looks) for other in _others(name, looks, vocabulary)
    ]
    reading.hints.append(opposite(place))
    reading.not_places.append((line.words(at, here + 1 - at), place, tuple(others)))
    return here + 1 - at


def _is_bare(line: Line, at: int) -> bool:
    """True for a figure that has no unit, and counts nothing."""
    found = figure(line, at)
    return found is not None and not (found.unit or found.fraction) and line.word(at + found.size) not in COUNTED


def _denied_in_a_phrase(line: Line, at: int, here: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Without the bag" where the yard says "no bag"."""
    for size in range(min(_MOST_IN_PHRASE, len(line.said) - here), 0, -1):
        found = vocabulary.senses(f"no {' '.join(line.meant[here : here + size])}")
        facts = tuple(sense for sense in found if sense.field == "fact" and sense.fact not in MODEL_FACTS)
        if facts:
            reading.fact_chips.append((line.words(at, here + size - at), facts))
            return here + size - at
    return 0


_MOST_IN_PHRASE = 3


def _plant(line: Line, at: int, here: int, reading: Reading) -> int:
    """ "Not plant K", "not built at plant K": any other."""
    while line.word(here) in _MADE:
        here += 1
    plant, size = plant_said(line, here)
    if plant not in PLANT_LETTERS:
        return 0
    keep_plant(any_but([plant]), line.words(at, here + size - at), reading)
    return here + size - at


def denied_with(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """What a phrase denies that holds its own "no", with all that the same "no" goes over: "no rear air or tow"."""
    named = vocabulary.senses_at(line.bare, at)[:1]
    looks = [sense for sense in named[0][1] if sense.field == "fact" and sense.fact not in MODEL_FACTS] if named else []
    if not looks:
        return 0
    size, senses = named[0]
    end, every = _with_others(line, at + size, senses, vocabulary)
    if end == at + size or not keep_denied(
        every[len(senses) :], line.words(at + size, end - at - size), vocabulary, reading
    ):
        return 0
    reading.fact_chips.append((line.words(at, size), tuple(looks)))
    return end - at


def _with_others(
    line: Line, after: int, senses: Sequence[Sense], vocabulary: Vocabulary
) -> tuple[int, tuple[Sense, ...]]:
    """What else one denial goes over, and where that ends: "no rear air or tow package", "rear air, tow nor 4x4".

    A comma goes on only where an "or" follows: "no rear air, 4x4" has the 4x4.
    """
    every, kept, end = tuple(senses), tuple(senses), after
    while (linked := line.word(end) in _LINKS) or end in line.breaks:
        here = end + linked
        while line.word(here) in _BETWEEN:
            here += 1
        found = vocabulary.senses_at(line.bare, here)[:1]
        if not found or not _denied_alike(senses, found[0][1]):
            break
        end = here + found[0][0]
        every = (*every, *found[0][1])
        if linked:
            kept, after = every, end
    return after, kept


def _denied_alike(senses: Sequence[Sense], others: Sequence[Sense]) -> bool:
    """True when both tell of looks or of vehicles, or both name parts."""
    return _tells(senses) == _tells(others)


def _tells(senses: Sequence[Sense]) -> bool:
    return any(sense.field != "part" for sense in senses)


def _denies(line: Line, at: int, here: int, vocabulary: Vocabulary) -> bool:
    said = denial(line.said[at], line.word(at))
    if said == "but":
        # "Any color but black".
        return not {"any", "anything", "everything"}.isdisjoint(line.meant[max(0, at - 3) : at])
    having = any(line.word(place) in ("have", "got", "want", "need") for place in range(at + 1, here))
    return said in DENIALS or said.startswith("ha") or having or (here == at + 1 and _is_look(line, here, vocabulary))


def _is_look(line: Line, at: int, vocabulary: Vocabulary) -> bool:
    """True for what a thing does or not, and nothing else: "doesn't fold"."""
    named = vocabulary.senses_at(line.bare, at)[:1]
    return bool(named) and all(sense.field == "fact" and sense.fact not in MODEL_FACTS for sense in named[0][1])


def keep_denied(senses: Sequence[Sense], said: str, vocabulary: Vocabulary, reading: Reading) -> bool:
    """Keep what follows from a denial; False when nothing does."""
    traits = [each for each in senses if each.field in ("name", "make", "model") or each.fact in MODEL_FACTS]
    facts = [each for each in senses if each.field == "fact" and each.fact not in MODEL_FACTS]
    others = tuple(
        each for fact in dict.fromkeys(each.fact for each in facts) for each in _others(fact, facts, vocabulary)
    )
    sides = [each.value for each in senses if each.field == "side"]
    for trait in dict.fromkeys(each.fact or each.field for each in traits):
        values = [each.value for each in traits if (each.fact or each.field) == trait]
        reading.mentions.denied.append((trait, values))
        shown = trait if trait in MODEL_FACTS else "vehicle"
        reading.chips.append(Chip(shown, f"not {' or '.join(values)}", said))
    for each in facts:
        reading.not_so.setdefault(each.fact, set()).add(each.value)
    if others:
        reading.fact_chips.append((said, others))
        reading.denials.append(said)
    if sides:
        other = "RH" if sides[0] == "LH" else "LH"
        reading.sides.append(other)
        reading.chips.append(Chip("side", other, said))
    parts = tuple(each.value for each in senses if each.field == "part")
    if parts and not facts:
        reading.mentions.part(parts[0])
        reading.parts.append(PartSaid(said, parts, denied=True))
    return bool(traits or others or sides or (parts and not facts))


def _others(name: str, senses: Sequence[Sense], vocabulary: Vocabulary) -> list[Sense]:
    """What a fact may be when it is not as said: no for yes, each other choice of a closed list."""
    values = {each.value for each in senses if each.fact == name}
    fact = vocabulary.facts.get(name)
    choices = list(map(str, fact.choices)) if fact is not None else []
    if not choices and values <= {"yes", "no"}:
        choices = ["yes", "no"]
    return [Sense("fact", choice, name) for choice in choices if choice not in values]
