"""Requirements that a customer states: "at least 30 gal", "today", "under $200", "A or better", "by tomorrow"."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from fractions import Fraction

from app.book.schema import Fact
from app.book.words.everyday import COUNTS
from app.book.words.figures import figure
from app.book.words.spoken import DOLLARS, UNITS, Figure, Line
from app.book.words.vocabulary import Vocabulary
from app.book.words.yearwords import is_year
from app.fit.answers import Chip
from app.fit.known import Want
from app.fit.lengths import LengthUnit
from app.fit.terms import Condition, FactKind
from app.fit.wants import AT_LEAST, AT_MOST, CONDITION, IS, LESS_THAN, MILES, MORE_THAN, PRICE, READY, SHELF

Wish = tuple[Want, Chip, int]
_LIMITS = {
    **dict.fromkeys(("at least", "minimum", "min", "no less than", "not less than", "not under"), AT_LEAST),
    **dict.fromkeys(
        ("over", "above", "more than", "bigger than", "larger than", "longer than", "wider than", "thicker than"),
        MORE_THAN,
    ),
    **dict.fromkeys(
        ("at most", "up to", "max", "maximum", "budget", "budget of", "budget is", "budget's", "spend", "pay",
         "can only do", "can do", "can only go"),
        AT_MOST,
    ),
    **dict.fromkeys(
        ("under", "below", "less than", "fewer than", "cheaper than", "smaller than", "shorter than", "narrower than",
         "thinner than"),
        LESS_THAN,
    ),
}  # fmt: skip
_LIMITS |= {
    f"{no} {words}": AT_MOST if op == MORE_THAN else AT_LEAST
    for words, op in tuple(_LIMITS.items())
    for no in ("no", "not", "nothing")
    if op in (MORE_THAN, LESS_THAN)
}
_LIMITS |= {words.replace("than", "then"): op for words, op in _LIMITS.items() if words.endswith("than")}
_BEHIND = {
    **dict.fromkeys(
        ("or more", "at least", "or better", "or bigger", "or larger", "or longer", "or over", "or above", "or up",
         "and up", "minimum", "min", "plus", "+"),
        AT_LEAST,
    ),
    **dict.fromkeys(
        ("or less", "or under", "or below", "or cheaper", "or smaller", "or shorter", "or fewer", "tops", "max",
         "maximum", "at most"),
        AT_MOST,
    ),
}  # fmt: skip
_NOW = ("today", "now", "right now", "on the shelf", "in stock", "right away", "this minute")
_GOES_ON = frozenset("it it's its he he's she she's i i'm i've has got is runs there's there".split())
"""Words behind "now" with which it tells what has become of a vehicle: "now it's got leafs"."""
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}$")
"""Behind "today" it tells which day it is, and wants nothing."""
_SOON = ("by tomorrow", "tomorrow", "for tomorrow")
_NAMED = ("condition", "grade")
_CONDITIONS = {str(each).lower(): each for each in (Condition.A, Condition.B, Condition.C)}
FIRST = frozenset(
    words.split()[0] for words in (*_LIMITS, *_NOW, *_SOON, *_CONDITIONS, "condition", "grade", "by", "clean")
)
"""Words with which a requirement may begin, beside a figure."""
_FIGURED = frozenset("0123456789$.")
"""With what a figure begins that is not said in words."""
_LONGEST = 3
_COUNTED = (FactKind.NUMBER, FactKind.COUNT)
_WAYS = {
    "wide": "width", "long": "length", "tall": "height", "high": "height", "thick": "thickness", "deep": "depth"
}  # fmt: skip
"""What a length said with such a word behind it is of: "at least 50 in wide"."""
SLACK = 0.1
"""How far outside what the yard knows of a fact a bare figure may be one of it, as a share of that."""
LEAST_MILES = 20_000
"""A bare figure from which on it is one of miles: "under 130k" (common practice, no source)."""


def wish(line: Line, at: int, vocabulary: Vocabulary) -> Wish | None:
    """The requirement stated at a place, as the engine takes it, with its chip and the words it took."""
    if line.said[at] in FIRST:
        found = _when(line, at) or _condition(line, at) or _limit(line, at, vocabulary)
        if found:
            return found
    word = line.word(at)
    return _limit_behind(line, at, vocabulary) if word[:1] in _FIGURED or word in COUNTS or word == "a" else None


def _when(line: Line, at: int) -> Wish | None:
    for size in range(_LONGEST, 0, -1):
        said = line.words(at, size)
        if (said == "now" and line.word(at + 1) in _GOES_ON) or (said == "today" and _DAY.match(line.word(at + 1))):
            return None
        if said in _NOW:
            return Want(SHELF, IS, "yes", "today"), Chip("wants", "today: on the shelf", said), size
        if said in _SOON:
            return (
                Want(READY, AT_MOST, "8 h", "by tomorrow"),
                Chip("wants", "by tomorrow: in hand in a day", said),
                size,
            )
    return None


def _condition(line: Line, at: int) -> Wish | None:
    """ "A or better", "grade A", "condition B only", "A grade", "A or B", "at least grade B"."""
    lead = next((size for size in range(_LONGEST, 0, -1) if _LIMITS.get(line.words(at, size)) == AT_LEAST), 0)
    first, at = at, at + lead
    named = line.word(at) in _NAMED
    letter = _CONDITIONS.get(line.said[at + named] if at + named < len(line.said) else "")
    if letter is None:
        return None
    behind = at + named + 1
    worded = line.words(behind, 2) in ("or better", "or up")
    better = worded or bool(lead)
    other = _CONDITIONS.get(line.words(behind + 1, 1)) if line.word(behind) == "or" else None
    letter = max(letter, other, key=lambda each: each.rank) if other else letter
    size = 1 + named + (2 if worded or other else 0)
    if not named and line.word(at + size) in _NAMED:
        named, size = True, size + 1
    if not named and not better and not other:
        return None
    words = f"{letter} or better" if better or other else f"condition {letter}"
    op = AT_LEAST if better or other else IS
    size += lead
    return Want(CONDITION, op, str(letter), words), Chip("wants", words, line.words(first, size)), size


def _limit(line: Line, at: int, vocabulary: Vocabulary) -> Wish | None:
    for size in range(_LONGEST, 0, -1):
        op = _LIMITS.get(line.words(at, size))
        if op is not None:
            return _limited(line, at, size, op, vocabulary)
    return None


def limit(line: Line, at: int, words: str, vocabulary: Vocabulary) -> Wish | None:
    """The limit of such words with the figure that stands behind the word at a place; None where that is none."""
    op = _LIMITS.get(words)
    return _limited(line, at, 1, op, vocabulary) if op is not None else None


def _limited(line: Line, at: int, lead: int, op: str, vocabulary: Vocabulary) -> Wish | None:
    if at + lead in line.breaks:
        # "42 long at least, 2500 lb".
        return None
    dollar = line.word(at + lead) == "$"
    found = _figure(line, at + lead + dollar, vocabulary, bare=dollar)
    if found is None or (found.text[0] == "0" and found.text.isdigit() and not found.unit):
        # An 08 is a year.
        return None
    size = lead + dollar + found.size
    worded = line.word(at + size) in DOLLARS
    way = "" if dollar or worded else way_said(line, at + size, vocabulary)
    unit = _unit(found) or (unit_of(way, vocabulary) if way else "")
    want = wanted(found.text, unit, op, vocabulary, dollar or worded)
    if way := way if unit in _LENGTHS else "":
        want = replace(want, words=f"{want.words} {way}")
    size += worded + bool(way)
    return want, Chip("wants", want.words, line.words(at, size)), size


def way_said(line: Line, at: int, vocabulary: Vocabulary) -> str:
    """The word behind a figure by which it is one of a length: "17.25 long"; empty where it begins another phrase."""
    word = line.word(at)
    if word not in _WAYS or at in line.breaks:
        return ""
    return "" if any(size > 1 for size, _ in vocabulary.senses_at(line.bare, at)) else word


def unit_of(way: str, vocabulary: Vocabulary) -> str:
    """The unit in which a yard measures that way where it has just one; else inches."""
    units = {
        fact.unit for fact in vocabulary.facts.values() if fact.unit in _LENGTHS and fact.name.endswith(_WAYS[way])
    }
    return units.pop() or "in" if len(units) == 1 else "in"


def _limit_behind(line: Line, at: int, vocabulary: Vocabulary) -> Wish | None:
    """ "30 gal or more", "200 tops"."""
    dollar = line.said[at] == "$"
    found = _figure(line, at + dollar, vocabulary, bare=dollar)
    if found is None:
        return None
    size = dollar + found.size
    worded = line.word(at + size) in DOLLARS
    size += worded
    if not (dollar or worded) and (way := way_said(line, at + size, vocabulary)):
        return _long_behind(line, at, found, way, vocabulary)
    if line.word(at + size) == "+" and not (dollar or worded or found.unit) and line.word(at + size + 1) in UNITS:
        # "30+ gal" is "30 gal+".
        want = wanted(found.text, UNITS[line.word(at + size + 1)], AT_LEAST, vocabulary, dollars=False)
        return want, Chip("wants", want.words, line.words(at, size + 2)), size + 2
    for behind in (2, 1):
        op = _BEHIND.get(line.words(at + size, behind))
        onwards = line.word(at + size) in ("+", "plus") and (len(found.text) == 4 or line.said[at][0] in "'0")
        of_years = onwards or line.word(at + size + 1) == "up" or line.word(at + size + behind) == "recent"
        if not found.unit and line.word(at + size) == "at" and figure(line, at + size + behind) is not None:
            # "2016 at least 40 gal": the limit is of what follows.
            return None
        if op is not None and of_years and is_year(line.said[at], vocabulary):
            # "2010 and up", "2010 or more recent", "2010+" are model years.
            return None
        if op is not None:
            want = wanted(found.text, _unit(found), op, vocabulary, dollar or worded)
            return want, Chip("wants", want.words, line.words(at, size + behind)), size + behind
    return None


def _long_behind(line: Line, at: int, found: Figure, way: str, vocabulary: Vocabulary) -> Wish | None:
    """ "42 long at least", "17.25 in long or more"."""
    end = at + found.size + 1
    behind = next((size for size in (2, 1) if line.words(end, size) in _BEHIND), 0)
    if not behind or end in line.breaks:
        return None
    unit, op = _unit(found) or unit_of(way, vocabulary), _BEHIND[line.words(end, behind)]
    want = wanted(found.text, unit, op, vocabulary, dollars=False)
    want = replace(want, words=f"{want.words} {way}")
    return want, Chip("wants", want.words, line.words(at, end + behind - at)), end + behind - at


def _figure(line: Line, at: int, vocabulary: Vocabulary, *, bare: bool) -> Figure | None:
    """The figure at a place; a unit that only facts of this yard are counted in goes with it: "30 lpm"."""
    found = figure(line, at, bare=bare)
    if found is None or found.unit or bare:
        return found
    word = line.word(at + found.size)
    unit = vocabulary.units.get(word, "") if word not in UNITS else ""
    return replace(found, unit=unit, size=found.size + 1) if unit else found


def _unit(found: Figure) -> str:
    """The unit of a figure; a fraction is of an inch."""
    return found.unit or ("in" if found.fraction else "")


def wanted(text: str, unit: str, op: str, vocabulary: Vocabulary, dollars: bool) -> Want:
    """A limit: a bare one of dollars, or of miles where no part costs so much; a unit says what it is held against."""
    if not unit and not dollars and text.isdigit() and int(text) >= LEAST_MILES:
        unit = "mi"
    words = f"{op} {text} {unit}".strip()
    if dollars or not unit:
        return Want(PRICE, op, text, f"{op} ${text}")
    fact = MILES if unit == "mi" else _fact_of_unit(unit, vocabulary)
    return Want(fact, op, f"{text} {unit}", words)


def _fact_of_unit(unit: str, vocabulary: Vocabulary) -> str:
    """The one fact that is counted in a unit; empty when several are."""
    names = [name for name, fact in vocabulary.facts.items() if fact.unit == unit]
    return names[0] if len(names) == 1 else ""


def of_part(wants: Iterable[Want], part_types: Iterable[str], vocabulary: Vocabulary) -> tuple[Want, ...]:
    """The requirements with a figure in a unit held against the one fact in it that the part is looked at for."""
    looked_at = [vocabulary.facts[name] for name in vocabulary.looked_at(part_types) if name in vocabulary.facts]
    found = []
    for want in wants:
        unit = "" if want.fact else want.value.partition(" ")[2]
        facts = [fact for fact in looked_at if unit and fact.unit == unit]
        facts = facts or [fact for fact in looked_at if unit in _ALIKE.get(fact.unit, {})]
        if len(facts) > 1 and (way := _WAYS.get(want.words.rpartition(" ")[2])):
            facts = [fact for fact in facts if fact.name.endswith(way)]
        found.append(_in_unit_of(want, facts[0]) if len(facts) == 1 else want)
    return tuple(found)


_LENGTHS = dict.fromkeys(map(str, LengthUnit), Fraction(1))
_ALIKE: Mapping[str, Mapping[str, Fraction]] = {
    "L": {"gal": Fraction("3.785411784"), "qt": Fraction("0.946352946")},
    "gal": {"L": 1 / Fraction("3.785411784"), "qt": Fraction(1, 4)},
    "kg": {"lb": Fraction("0.45359237")},
    "lb": {"kg": 1 / Fraction("0.45359237")},
    **dict.fromkeys(map(str, LengthUnit), _LENGTHS),
}
"""What a figure in another unit is multiplied by (NIST Special Publication 811, B.8); lengths know their own."""


def _in_unit_of(want: Want, fact: Fact) -> Want:
    """The requirement held against a fact, its figure in the unit of that."""
    text, _, unit = want.value.partition(" ")
    if unit == fact.unit or unit in _LENGTHS:
        return replace(want, fact=fact.name)
    figure = float(Fraction(text.replace(",", "")) * _ALIKE[fact.unit][unit])
    return replace(want, fact=fact.name, value=f"{figure:.6g} {fact.unit}")


def with_unit(
    want: Want, said: str, part_types: Iterable[str], vocabulary: Vocabulary, *, slack: float = SLACK
) -> Want:
    """A bare floor is in the one unit that a part is counted in, where that can be meant: a tank "over 26".

    Nobody asks for a part that costs more; "under 145" may well be dollars.
    """
    number = want.value.replace(".", "", 1)
    if want.fact != PRICE or want.op not in (AT_LEAST, MORE_THAN) or not number.isdigit():
        return want
    if "$" in said or not set(DOLLARS).isdisjoint(said.split()):
        return want
    figures = {
        name: [float(choice) for choice in map(str, fact.choices)]
        for name in vocabulary.looked_at(part_types)
        if (fact := vocabulary.facts.get(name)) is not None and fact.unit and fact.choices and fact.kind in _COUNTED
    }
    least, most = 1 - slack, 1 + slack
    near = [name for name, each in figures.items() if least * min(each) <= float(want.value) <= most * max(each)]
    if len(near) != 1:
        return want
    value = f"{want.value} {vocabulary.facts[near[0]].unit}"
    return Want(near[0], want.op, value, f"{want.op} {value}")


_SIGNS = ((">=", AT_LEAST), ("<=", AT_MOST), (">", MORE_THAN), ("<", LESS_THAN), ("=", IS))


def stated_want(text: str, vocabulary: Vocabulary) -> Want | None:
    """A requirement stated as "fact=value", "fact>=value", "fact at least value" …; None for loose words."""
    in_words = tuple((op, op) for op in (AT_LEAST, AT_MOST, MORE_THAN, LESS_THAN))
    for mark, op in (*_SIGNS, *in_words):
        name, found, value = (part.strip() for part in text.partition(mark))
        if found and value and (name in vocabulary.facts or name in (PRICE, CONDITION, MILES)):
            # "Thickness=at least 19 mm" is no value of its own.
            said = next((each for each, _ in in_words if op == IS and value.startswith(f"{each} ")), "")
            return Want(name, said or op, value.removeprefix(said).strip(), text.strip())
    return None
