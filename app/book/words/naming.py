"""Parts as they are named in a line: one noun for two places, a piece of one, names in which a part's noun stands."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from app.book.words.counted import AND, BETWEEN, parts_of
from app.book.words.everyday import EVERYDAY, FILLER, MOVED, NAMING, ON_IT, ON_PARTS, POSITIONS, SIDES
from app.book.words.linereading import Noun, Reading
from app.book.words.meanings import PartSaid, kinds_of, of_place
from app.book.words.measured import sized
from app.book.words.mentions import group_of
from app.book.words.namedfacts import called_with_value
from app.book.words.spoken import Line
from app.book.words.vocabulary import MODEL_FACTS, Sense, Vocabulary
from app.fit.answers import Chip

_LINKS = frozenset({*AND, "or"})
_JOINING = frozenset({*AND, "a", "an", "the", "some", "both", "one"})
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
    if any(line.meant[place] not in allowed and not (plainly and place in reading.of_vehicles) for place in between):
        return False
    reading.left = [word for word in reading.left if word not in AND]
    return True


def facts_of(senses: Sequence[Sense]) -> tuple[Sense, ...]:
    """The facts that a phrase states, but for those that say which model it is."""
    return tuple(sense for sense in senses if sense.field == "fact" and sense.fact not in MODEL_FACTS)


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
    keep_noun(span, meant, facts_of(senses), reading)
    on_it = 0 if reading.wanted else on_it_words(line, span.stop)
    carried = reading.mentions.part(meant, on_it=line.words(span.stop, on_it))
    names = parts_of(senses)
    strange = _strange_name(line, span, names, vocabulary, reading)
    if kin := _kin(strange, names, vocabulary) if strange.endswith(f" {said}") else ():
        reading.left.pop()
        said, names, strange = strange, kin, ""
    names = _shorter(strange, vocabulary) or names
    part = PartSaid(
        said,
        names,
        facts_of(senses),
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
        with_it=_with_it(line, span.start, reading.part_end),
        strange=strange,
        sized=sized(line, span.start, vocabulary, reading) or value or _look_before(span, senses, vocabulary, reading),
    )
    reading.parts.append(part)
    reading.wanted = reading.needed = reading.mine = reading.counting = False
    if strange and not behind and _piece_behind(line, span, names, vocabulary):
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


def _kin(strange: str, names: Sequence[str], vocabulary: Vocabulary) -> tuple[str, ...]:
    """The one part in whose name the strange word stands, where it is of one kind with those named.

    A "curtain bag" is the curtain airbag where "bag" is said of another airbag.
    """
    word, *rest = strange.split()
    found = vocabulary.part_names([word]) if len(rest) == 1 else ()
    if len(found) != 1:
        return ()
    alike = any(found[0] in types and not set(names).isdisjoint(types) for types in vocabulary.wider.values())
    return found if alike else ()


def _shorter(strange: str, vocabulary: Vocabulary) -> tuple[str, ...]:
    """The part that may be meant by a longer name of three words: "torsion bar crossmember" by its first and last."""
    first, *between, last = strange.split() if strange else ["", ""]
    if len(between) != 1:
        return ()
    ways = (f"{first} {last}", f"{between[0]} {last}")
    return next((names for said in ways if (names := parts_of(vocabulary.senses(said)))), ())


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
    said = line.word(at - 2) in ("on", "in") and line.word(at - 1) in ("the", "my")
    return said and line.word(at - 3) not in _ASKED_ON


_ASKED_ON = frozenset("price prices priced deal deals quote bid line looking lookin interested".split())


def _with_it(line: Line, at: int, since: int) -> bool:
    """True when "with" stands before a part: it comes with what is asked for, or is on the vehicle."""
    return "with" in line.meant[max(since, at - _MOST_BEFORE) : at]


def _strange_name(line: Line, span: range, names: Sequence[str], vocabulary: Vocabulary, reading: Reading) -> str:
    """The name of something else in which a part's noun stands: "ball joint", "tank strap"; else empty."""
    end = _end_of_strange(line, span, names, vocabulary)
    before = _strange_before(line, span, vocabulary, reading)
    if end > span.stop:
        return f"{before} {line.words(span.start, end - span.start)}".lstrip()
    if before and reading.fact_chips and 0 < reading.fact_end == span.start - 1:
        look = reading.fact_chips[-1][0]
        if look.isalpha() and span.start - 1 not in line.breaks:
            # The power of a "power steering pump" is none of the windows.
            del reading.fact_chips[-1]
            reading.left.insert(-1, look)
            before = f"{look} {before}"
    return f"{before} {line.said[span.start]}" if before else ""


def _end_of_strange(line: Line, span: range, names: Sequence[str], vocabulary: Vocabulary) -> int:
    """Where a longer name ends that begins with a part's: "tank strap", "fuel tank skid plate", "hood bracket"."""
    end = span.stop
    own = {word for name in names for word in name.replace(",", " ").split()}
    while end not in line.breaks and end < len(line.said) and not _begins_more(line, end, vocabulary):
        word, behind = line.word(end), line.word(end + 1)
        unknown = word.isalpha() and word not in EVERYDAY and word not in FILLER and end + 1 not in line.breaks
        if _is_on_it(line, end, own, vocabulary):
            end += 1
        elif unknown and behind in ON_PARTS and not _begins_more(line, end + 1, vocabulary):
            end += 2
        else:
            break
    return end if end > span.stop or not _piece_behind(line, span, names, vocabulary) else end + 1


def _piece_behind(line: Line, span: range, names: Sequence[str], vocabulary: Vocabulary) -> bool:
    """True where the noun right behind is a piece of the part, though the yard knows it by itself: "sunroof motor".

    So for what is on many parts, and for a noun that may mean several, unless one of them is this part.
    """
    at = span.stop
    found = vocabulary.senses_at(line.bare, at)[:1] if at not in line.breaks and at < len(line.said) else []
    others = parts_of(found[0][1]) if found and found[0][0] == 1 else ()
    if (
        not others
        or line.word(at - 1).endswith("s")
        or facts_of(found[0][1])
        or any(vocabulary.facts_at(line.bare, at))
    ):
        return False
    vague = line.word(at) in ON_PARTS or len(kinds_of(others, vocabulary)) > 1
    own = {each for name in names for each in vocabulary.wider.get(name, (name,))}
    return vague and own.isdisjoint(vocabulary.part_types(line.word(at)))


def _is_on_it(line: Line, at: int, own: Collection[str], vocabulary: Vocabulary) -> bool:
    """Whether a word is of a small piece on a part, or ends the name of another part: a "tailgate glass"."""
    word = line.word(at)
    plain = not word.isalpha() or any(word in each for each in (EVERYDAY, FILLER, BETWEEN, _OF_ANY))
    of_this = plain or word in own or word.removesuffix("s") in own
    return word in ON_PARTS or (not of_this and vocabulary.is_noun(word))


_OF_ANY = frozenset("assembly complete set pair unit kit section shell loose single bag switch".split())
"""Words that may end the name of a part without another being meant."""


def _begins_more(line: Line, at: int, vocabulary: Vocabulary) -> bool:
    """Whether the yard knows what begins at a word: a phrase, or the name of a fact."""
    return any(True for _ in vocabulary.facts_at(line.bare, at)) or bool(vocabulary.senses_at(line.bare, at))


def _strange_before(line: Line, span: range, vocabulary: Vocabulary, reading: Reading) -> str:
    """The word before a part's noun that is not understood and tells it from others that end so: "ball joint".

    A strange word behind a year is more likely the name of a vehicle.
    """
    at = span.start - 1
    said = line.said[at] if at >= 0 else ""
    naming = said.isalpha() and len(said) > 2 and (said not in EVERYDAY or said in NAMING)
    if len(span) > 1 or not naming or span.start in line.breaks or reading.left[-1:] != [said]:
        return ""
    if 0 < reading.figure_end == at:
        # "12.8 brakes caliper": the figure is of the brakes.
        return ""
    of_vehicle = at - 1 in reading.of_vehicles and not any(each.named for each in reading.mentions.all)
    if of_vehicle or not vocabulary.is_head(line.meant[span.start]):
        return ""
    order = line.said[at - 1] if at > 0 and at not in line.breaks else ""
    # "Third row seat", "license plate lamp".
    told = order in _ORDINALS or (order.isalpha() and order not in EVERYDAY and at - 1 not in reading.of_vehicles)
    return f"{order} {said}" if told and reading.left[-2:-1] == [order] else said


_ORDINALS = frozenset({"first", "second", "third", "fourth", "1st", "2nd", "3rd", "4th"})


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
