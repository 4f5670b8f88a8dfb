"""Parts as they are named in a line: one noun for two places, a piece of one, names in which a part's noun stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from app.book.words.counted import AND, BETWEEN, facts_of, parts_of
from app.book.words.everyday import FILLER, MOVED, ON_IT, POSITIONS, SIDES
from app.book.words.linereading import Noun, Reading
from app.book.words.meanings import PartSaid, of_place
from app.book.words.measured import sized
from app.book.words.mentions import group_of
from app.book.words.namedfacts import called_with_value
from app.book.words.spoken import Line
from app.book.words.strange import kin_of, shorter_name, strange_name, told_behind
from app.book.words.vocabulary import Sense, Vocabulary
from app.fit.answers import Chip

_LINKS = frozenset({*AND, "or"})
_JOINING = frozenset({*AND, "a", "an", "the", "some", "both", "one", "matching", "other", "with"})
"""Words that may stand between two parts asked for in one breath."""
_VEHICLES = frozenset({"off", "from", "for", "my"})
_MOST_BEFORE = 3
"""Words that may stand between "with" and what comes with a part."""


def both_places(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Upper and lower control arms": one noun for two parts, each of which is asked for."""
    other = at + 1 + (line.word(at + 1) in _LINKS)
    places = (POSITIONS.get(line.word(at)), POSITIONS.get(line.word(other)))
    if None in places or places[0] == places[1] or (other == at + 1 and other not in line.breaks):
        return 0
    noun = next((place for place in range(other + 1, len(line.said)) if line.word(place) not in SIDES), other + 1)
    size = next((size - 1 for size, senses in vocabulary.senses_at(line.bare, other) if parts_of(senses)), 0)
    size = size or next((size for size, senses in vocabulary.senses_at(line.bare, noun) if parts_of(senses)), 0)
    if not size:
        return 0
    named = [_placed(line.meant[place], line.meant[noun : noun + size], vocabulary) for place in (at, other)]
    if not any(named):
        return 0
    _keep_places(line, (at, other, noun, noun + size), named, reading)
    return noun + size - at


def _placed(place: str, noun: Sequence[str], vocabulary: Vocabulary) -> tuple[str, ...]:
    """The parts of a noun at one place: those called so, else what the noun alone may mean and is of that place."""
    called = parts_of(vocabulary.senses(" ".join((place, *noun))))
    if called:
        return called
    names = parts_of(vocabulary.senses(" ".join(noun)))
    return tuple(name for name in names if of_place(vocabulary.wider.get(name, (name,)), POSITIONS[place]))


def _keep_places(
    line: Line, spans: tuple[int, int, int, int], named: Sequence[tuple[str, ...]], reading: Reading
) -> None:
    at, other, noun, end = spans
    together = _joined(line, at, reading)
    for place in range(other + 1, noun):
        side = SIDES[line.meant[place]]
        reading.sides.append(side)
        reading.chips.append(Chip("side", side, line.said[place]))
    carried, before = reading.mentions.part(line.meant[end - 1]), len(reading.mentions.all)
    for names, place, said in zip(named, (at, other), (line.said[at], line.words(other, end - other)), strict=True):
        if not names:
            reading.left.append(line.said[place])
            continue
        told = said if all(named) else line.words(at, end - at)
        reading.parts.append(PartSaid(told, names, (), reading.mine, reading.wanted, carried, together, before))
        together = True
    reading.wanted = reading.mine = False
    reading.part_end = end


def _joined(line: Line, at: int, reading: Reading) -> bool:
    """True when a part is asked for with the one before: "grille and headlights", "hood, grille and a left fender"."""
    if not reading.part_end:
        return False
    between = range(reading.part_end, at)
    words = {line.meant[place] for place in between}
    plainly = not AND.isdisjoint(words)
    if not plainly and line.breaks.isdisjoint(range(reading.part_end, at + 1)):
        return False
    # "A grille off a brae and a longwagon hood": with an "and" a vehicle may stand between.
    allowed = _JOINING | BETWEEN | _VEHICLES if plainly else _JOINING | BETWEEN
    # "A transfer case with buttons … and the shift motor".
    told = reading.of_vehicles.keys() | reading.of_looks if plainly else ()
    if any(line.meant[place] not in allowed and place not in told for place in between):
        return False
    reading.left = [word for word in reading.left if word not in AND]
    return True


def piece(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "A piece of another one": a section of the part that was named, where the yard knows such a section."""
    if line.word(at) not in PIECES or line.word(at + 1) != "of":
        return 0
    here = at + 2
    while line.word(here) in _OTHERS:
        here += 1
    behind = next((size for size, senses in vocabulary.senses_at(line.bare, here) if parts_of(senses)), 0)
    nouns = [line.words(here, behind)] if behind else [part.said for part in reading.parts[-1:]]
    names = tuple(name for noun in nouns for name in parts_of(vocabulary.senses(f"{noun} section")))
    if not names:
        return 0
    size = here + behind - at
    reading.mentions.part("")
    reading.parts.append(PartSaid(line.words(at, size), names, wanted=True, mentions=len(reading.mentions.all)))
    reading.part_end = at + size
    return size


PIECES = frozenset({"piece", "pieces", "section", "length", "part"})
_OTHERS = frozenset({"a", "an", "another", "one", "the", "other", "old"})


def keep_part(line: Line, span: range, senses: Sequence[Sense], vocabulary: Vocabulary, reading: Reading) -> int:
    """Keep a part as it was named; how many words behind it were heard along with it."""
    said, meant = line.words(span.start, len(span)), " ".join(line.meant[span.start : span.stop])
    together, touching = _joined(line, span.start, reading), 0 < reading.part_end == span.start
    if together and _in_one_name(line, span, vocabulary, reading):
        return 0
    value, behind = called_with_value(line, span, vocabulary)
    if value is not None:
        reading.fact_chips.append((line.words(span.stop, behind), (value,)))
    facts = facts_of(senses)
    keep_noun(span, meant, facts, reading)
    on_it = 0 if reading.wanted else on_it_words(line, span.stop)
    carried = reading.mentions.part(meant, on_it=line.words(span.stop, on_it))
    names = parts_of(senses)
    strange = strange_name(line, span, names, vocabulary, reading)
    if kin := kin_of(strange, names, vocabulary) if strange.endswith(f" {said}") else ():
        reading.left.pop()
        said, names, strange = strange, kin, ""
    names = shorter_name(strange, vocabulary) or names
    part = PartSaid(
        said,
        names,
        facts,
        mine=reading.mine or (said.endswith(("'s", "s'")) and _told_of(line, span.stop, vocabulary)),
        wanted=reading.wanted,
        needed=reading.needed,
        start=span.start,
        place=_is_place(line, span.start),
        carried=carried,
        joined=together,
        mentions=len(reading.mentions.all),
        touching=touching,
        near=touching or _is_near(line, span.start, reading),
        counted=reading.counting,
        pieces=(reading.quantity or 0) if reading.counting else 0,
        with_it=_with_it(line, span, reading.part_end),
        strange=strange,
        sized=sized(line, span.start, vocabulary, reading) or value or _look_before(span, senses, vocabulary, reading),
    )
    reading.parts.append(part)
    reading.wanted = reading.needed = reading.mine = reading.counting = False
    if strange and not (behind or facts) and told_behind(line, span, names, vocabulary):
        behind = 1
    reading.part_end = span.stop
    return behind


def keep_noun(span: range, meant: str, facts: Sequence[Sense], reading: Reading) -> None:
    """Keep a word for what a vehicle carries; an engine is named by its size too: "a 6.2 swapped in"."""
    group = group_of(meant.removesuffix("'s"))
    look = group is None
    if look:
        groups = (group_of(sense.fact.rpartition(" ")[2]) for sense in facts)
        group = next((each for each in groups if each is not None), None)
    if group is not None:
        reading.nouns.append(Noun(span.start, span.stop, group, look))


def _is_near(line: Line, at: int, reading: Reading) -> bool:
    """True where nothing but sides and places stands between a part and the one before."""
    between = range(reading.part_end, at) if reading.part_end else ()
    return bool(between) and all(line.meant[place] in BETWEEN and place not in line.breaks for place in between)


def _look_before(span: range, senses: Sequence[Sense], vocabulary: Vocabulary, reading: Reading) -> Sense | None:
    """The look right before a part by which a fact is called: "manual trans" tells first of all of the vehicle."""
    if not 0 < reading.fact_end == span.start or not reading.fact_chips:
        return None
    names, looks = set(parts_of(senses)), reading.fact_chips[-1][1]
    return next((look for look in looks if names & set(parts_of(vocabulary.senses(look.fact)))), None)


def _in_one_name(line: Line, span: range, vocabulary: Vocabulary, reading: Reading) -> bool:
    """ "Axle, rear, complete": the part before with this word behind it, where the yard has such a name."""
    before = reading.parts[-1] if reading.parts else None
    if before is None or before.strange or not AND.isdisjoint(line.meant[reading.part_end : span.start]):
        return False
    said = line.words(span.start, len(span))
    names = parts_of(vocabulary.senses(f"{before.said} {said}"))
    if not names or vocabulary.wider.get(names[0]) == vocabulary.wider.get(parts_of(vocabulary.senses(said))[0]):
        return False
    reading.parts[-1] = replace(before, said=f"{before.said} {said}", names=names)
    reading.part_end = span.stop
    return True


def _is_place(line: Line, at: int) -> bool:
    """True for the door of "it says light on the door"; a price is one on the very door that is wanted."""
    if line.word(at - 1) not in ("the", "my"):
        return False
    return line.word(at - 2) in _PLACES and line.word(at - 3) not in _ASKED_ON


_PLACES = frozenset("on in inside behind under beside for of off to took pulled removed".split())
"""Words before what is only told of: where something is, what it is for, what was taken off to get at it."""
_ASKED_ON = frozenset(
    "price prices priced deal deals quote bid line looking lookin interested ask asking search market".split()
)


def _with_it(line: Line, span: range, since: int) -> bool:
    """True when "with" stands before a part or "on it" behind: it comes with what is asked for, or is the vehicle's."""
    before = line.meant[max(since, span.start - _MOST_BEFORE) : span.start]
    return "with" in before or line.words(span.stop, 2) in _INCLUDED or line.word(span.stop) in _INCLUDED


_INCLUDED = frozenset({"on it", "with it", "in it", "included", "attached"})


def _told_of(line: Line, at: int, vocabulary: Vocabulary) -> bool:
    """True when "the frame's" goes on to tell of one's own: "the frame's perfect", not "lca's and rotors"."""
    word = line.word(at)
    plain = word.isalpha() and word not in FILLER and word not in BETWEEN and at not in line.breaks
    return plain and not vocabulary.senses_at(line.bare, at)


def on_it_words(line: Line, at: int) -> int:
    """How many words say that what was just named is on the customer's own vehicle: "a heavy frame under it", "now"."""
    if line.word(at) == "now" and at not in line.breaks:
        return 1
    start = at + (line.word(at) in MOVED and at not in line.breaks)
    if line.word(start) not in _UNDER or start in line.breaks:
        return 0
    end = start + 1
    while line.word(end) in ON_IT and end not in line.breaks:
        end += 1
    alone = end >= len(line.said) or end in line.breaks
    return end - at if alone or end > start + 1 else 0


_UNDER = frozenset("under underneath beneath on in".split())
