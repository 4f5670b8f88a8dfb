"""Longer names that the yard does not have and in which a part's noun stands: "ball joint", "tank strap"."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from app.book.words.counted import BETWEEN, facts_of, parts_of
from app.book.words.everyday import EVERYDAY, FILLER, NAMING, ON_PARTS
from app.book.words.linereading import Reading
from app.book.words.meanings import kinds_of
from app.book.words.spoken import Line
from app.book.words.vocabulary import Vocabulary


def kin_of(strange: str, names: Sequence[str], vocabulary: Vocabulary) -> tuple[str, ...]:
    """The one part in whose name the strange word stands, where it is of one kind with those named.

    A "curtain bag" is the curtain airbag where "bag" is said of another airbag.
    """
    word, *rest = strange.split()
    found = vocabulary.part_names([word]) if len(rest) == 1 else ()
    if len(found) != 1:
        return ()
    alike = any(found[0] in types and not set(names).isdisjoint(types) for types in vocabulary.wider.values())
    return found if alike else ()


def shorter_name(strange: str, vocabulary: Vocabulary) -> tuple[str, ...]:
    """The part that may be meant by a longer name of three words: "torsion bar crossmember" by its first and last."""
    first, *between, last = strange.split() if strange else ["", ""]
    if len(between) != 1:
        return ()
    ways = (f"{first} {last}", f"{between[0]} {last}")
    return next((names for said in ways if (names := parts_of(vocabulary.senses(said)))), ())


def strange_name(line: Line, span: range, names: Sequence[str], vocabulary: Vocabulary, reading: Reading) -> str:
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
        word = line.word(end)
        unknown = word.isalpha() and word not in EVERYDAY and word not in FILLER and end + 1 not in line.breaks
        if _is_on_it(line, end, own, vocabulary):
            end += 1
        elif unknown and _ends_a_name(line, end + 1, own, vocabulary):
            end += 2
        else:
            break
    return end if end > span.stop or not told_behind(line, span, names, vocabulary) else end + 1


def _ends_a_name(line: Line, at: int, own: Collection[str], vocabulary: Vocabulary) -> bool:
    """Whether a word behind a strange one ends the name of another part: "engine wiring harness", "tank skid plate"."""
    word = line.word(at)
    noun = word in ON_PARTS or (word not in own and word.isalpha() and vocabulary.is_noun(word))
    return noun and not _begins_more(line, at, vocabulary)


def told_behind(line: Line, span: range, names: Sequence[str], vocabulary: Vocabulary) -> bool:
    """True where the word right behind makes another thing of the part: its motor, or a light that tells of it."""
    return _piece_behind(line, span, names, vocabulary) or (
        line.word(span.stop) in _LIGHTS and line.word(span.stop + 1) in _LIT and span.stop not in line.breaks
    )


_LIGHTS = frozenset({"light", "lights", "lamp"})
_LIT = frozenset("is on out came comes keeps stays flashing flashes lit".split())
"""Words behind a "battery light" that tells of the battery, and is none of a light truck."""


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
    if word in _BOLTS and line.word(at + 1) in _ONTO:
        # "Will a light body bolt down".
        return False
    plain = not word.isalpha() or any(word in each for each in (EVERYDAY, FILLER, BETWEEN, _OF_ANY))
    of_this = plain or word in own or word.removesuffix("s") in own
    return word in ON_PARTS or (not of_this and vocabulary.is_noun(word))


_BOLTS = frozenset({"bolt", "bolts"})
_ONTO = frozenset("down up on onto in right straight to".split())
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
    naming = said.isalpha() and len(said) > 2 and (said not in EVERYDAY or said in NAMING) and said not in _LOOKS
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


_LOOKS = frozenset(
    """aluminum aluminium steel alloy chrome chromed plastic metal rubber painted primed polished machined vented
    slotted drilled heated insulated stiff soft spare new used rebuilt remanufactured reconditioned factory original oem
    aftermarket matching solid hollow bent cracked dented scratched""".split()
)
"""Words that tell how a part looks or what it is made of, and no other part of it."""
_ORDINALS = frozenset({"first", "second", "third", "fourth", "1st", "2nd", "3rd", "4th"})
