"""Vehicle identification numbers: what one says, what it cannot say, and what a wrong one may have been.

Source of the rules: 49 CFR 565.15 (sections, Tables III to VII) and 565.13 (length and alphabet).
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations, product, zip_longest

LENGTH = 17
CHECK_POSITION = 9
REMAINDERS = "0123456789X"

TRANSLITERATION: Mapping[str, int] = {
    **{str(digit): digit for digit in range(10)},
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    **dict(zip("JKLMNPR", (1, 2, 3, 4, 5, 7, 9), strict=True)),
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
}
"""The value of each of the 33 symbols. Source: 49 CFR 565.15(c)(1), Table III."""

WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
"""The weight of each position, 0 for the check digit itself. Source: 49 CFR 565.15(c), Tables IV and VI."""

YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
"""Position 10: 30 codes from 1980 and again from 2010. Source: 49 CFR 565.15(d)(1), Table VII (which
prints 2005 to 2039; 1980 to 2004 follow from the 30-year cycle)."""

LOOK_ALIKES = ("S5", "B8", "Z2", "G6", "0D", "17", "HN", "VY", "UV", "MN")
"""Symbols taken for each other on a worn plate: a yard setting, common practice, no source."""

_FORBIDDEN: Mapping[str, str] = {"I": "1", "O": "0D", "Q": "0"}
_IGNORED = frozenset(" -\t\u00a0\u2010\u2011\u2012\u2013\u2014")


class VinVerdict(StrEnum):
    """What a typed VIN comes to; everything but VALID is refused as it stands."""

    VALID = "valid"
    WRONG_LENGTH = "wrong length"
    WRONG_CHARACTER = "wrong character"
    CHECK_DIGIT = "check digit does not work out"


@dataclass(frozen=True, slots=True)
class VinFinding:
    """One thing wrong with a typed VIN; `position` is 1-based, None where it is about the whole."""

    kind: VinVerdict
    words: str
    position: int | None = None


@dataclass(frozen=True, slots=True)
class VinReport:
    """All that one typed VIN says, and in `unknowns` what it cannot say.

    `check_digit` is the computed one, with its weighted sum; both None where a character has no value.
    """

    typed: str
    vin: str
    verdict: VinVerdict
    findings: tuple[VinFinding, ...]
    check_digit: str | None
    weighted_sum: int | None
    years: tuple[int, ...]
    year_words: str
    unknowns: tuple[str, ...]

    @property
    def ok(self) -> bool:
        """Whether nothing was found against it; `verdict` and `findings` say what."""
        return self.verdict is VinVerdict.VALID


def normalize(text: str) -> str:
    """The capitals of a VIN as typed, without the spaces and hyphens people put in."""
    kept = (char for char in text.strip() if char not in _IGNORED)
    return "".join(char.upper() if char.isascii() else char for char in kept)


def weighted_sum(vin: str) -> int:
    """Sum of value times weight over the 17 positions; position 9 does not count.

    Source: 49 CFR 565.15(c)(2) to (4). KeyError for a symbol without a value, ValueError for another length.
    """
    pairs = zip(vin, WEIGHTS, strict=True)
    return sum(TRANSLITERATION[char] * weight for char, weight in pairs if weight)


def check_digit(vin: str) -> str:
    """The check digit the other 16 characters call for: the remainder modulo 11, with X for 10.

    Source: 49 CFR 565.15(c)(5). The remainder itself is used: Table V misprints 7/11 as 0.634.
    """
    return REMAINDERS[weighted_sum(vin) % 11]


def read_vin(text: str, *, light: bool | None = True, newest: int | None = None) -> VinReport:
    """Say whether a typed VIN is valid and why not, its check digit, and the years it could be.

    `light` is True for cars, MPVs and trucks up to 10,000 lb, False for heavier ones, None where the class
    is not known. `newest` is the newest model year that can have been built; later ones are struck out.
    """
    vin = normalize(text)
    findings = _form_findings(vin)
    countable = len(vin) == LENGTH and all(f.position == CHECK_POSITION for f in findings)
    total = weighted_sum(vin) if countable else None
    digit = None if total is None else REMAINDERS[total % 11]
    if digit is not None and digit != vin[CHECK_POSITION - 1]:
        findings = (*findings, _check_finding(vin, digit))
    years, words = _years(vin, light, newest)
    verdict = findings[0].kind if findings else VinVerdict.VALID
    return VinReport(text, vin, verdict, findings, digit, total, years, words, _unknowns(verdict, years, words))


def _form_findings(vin: str) -> tuple[VinFinding, ...]:
    found = []
    if len(vin) != LENGTH:
        words = f"{len(vin)} characters, a VIN has {LENGTH} (one from before 1981 may be shorter)"
        found.append(VinFinding(VinVerdict.WRONG_LENGTH, words))
    for position, char in enumerate(vin, 1):
        if char not in TRANSLITERATION:
            why = "never in a VIN (nor are I, O and Q)" if char in _FORBIDDEN else "no digit and no capital letter"
            words = f"position {position}: {char} is {why}"
            found.append(VinFinding(VinVerdict.WRONG_CHARACTER, words, position))
    return tuple(found)


def _check_finding(vin: str, digit: str) -> VinFinding:
    remedy = "read the plate again (an import may carry no check digit: accept it only with a reason)"
    words = f"check digit typed {vin[CHECK_POSITION - 1]}, works out {digit}: {remedy}"
    return VinFinding(VinVerdict.CHECK_DIGIT, words, CHECK_POSITION)


def _years(vin: str, light: bool | None, newest: int | None) -> tuple[tuple[int, ...], str]:
    """Model year or years by position 10, with the reason (note to Table VII of 49 CFR 565.15)."""
    if len(vin) != LENGTH:
        return (), f"no year: it is position 10 of {LENGTH}"
    code, marker = vin[9], vin[6]
    if code not in YEAR_CODES:
        return (), f"no year: {code} in position 10 stands for none"
    early = 1980 + YEAR_CODES.index(code)
    if light:
        years, words = _light_years(early, code, marker)
    else:
        years = (early, early + 30)
        why = "for a heavier vehicle" if light is False else "with the class unknown"
        words = f"{early} or {early + 30}: position 10 is {code}, and {why} position 7 does not decide"
    if newest is None or all(year <= newest for year in years):
        return years, words
    late = " and ".join(str(year) for year in years if year > newest)
    return tuple(year for year in years if year <= newest), f"{words}; {late} has not been built yet"


def _light_years(early: int, code: str, marker: str) -> tuple[tuple[int, ...], str]:
    if marker not in TRANSLITERATION:
        return (early, early + 30), f"{early} or {early + 30}: position 7 cannot be read"
    kind = "a digit" if marker.isdigit() else "a letter"
    year = early if marker.isdigit() else early + 30
    return (year,), f"{year}: position 10 is {code}, position 7 is {kind}"


def _unknowns(verdict: VinVerdict, years: tuple[int, ...], year_words: str) -> tuple[str, ...]:
    unknown = []
    if len(years) != 1:
        unknown.append(f"model year ({year_words})")
    elif verdict is not VinVerdict.VALID:
        unknown.append("model year: as typed, and the wrong character may be the year's own")
    unknown.append("build month: the door label has it")
    unknown.append("what the maker's positions 1 to 8 and 11 stand for, until the yard has read such plates")
    if verdict is VinVerdict.VALID:
        unknown.append("a character read for another of the same value (8 for H): a second reading finds it")
    return tuple(unknown)


class SuggestionKind(StrEnum):
    """How a wrong VIN was changed to make one whose check digit works out."""

    LOOK_ALIKE = "look-alike"
    SWAPPED = "swapped neighbors"
    DOUBLED = "character typed twice"
    MISSED = "double character typed once"


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A VIN that may have been meant; a person re-reads the plate, nothing applies it. Positions 1-based."""

    vin: str
    positions: tuple[int, ...]
    kind: SuggestionKind
    words: str


def suggest(text: str, look_alikes: Sequence[str] = LOOK_ALIKES) -> tuple[Suggestion, ...]:
    """VINs one slip away whose check digit works out, look-alikes first, then by position.

    `look_alikes` are pairs of symbols taken for each other. Nothing for a VIN that is valid already.
    """
    vin = normalize(text)
    if abs(len(vin) - LENGTH) == 1:
        return tuple(_off_by_one(vin))
    if len(vin) != LENGTH or read_vin(vin).ok:
        return ()
    twins = _twins(look_alikes)
    if any(char in _FORBIDDEN for char in vin):
        return tuple(_forbidden_replaced(vin, twins))
    return (*_look_alike(vin, twins), *_swapped(vin))


def _twins(pairs: Sequence[str]) -> dict[str, str]:
    twins = dict(_FORBIDDEN)
    for pair in pairs:
        one, other = pair[0], pair[1]
        twins[one] = twins.get(one, "") + other
        twins[other] = twins.get(other, "") + one
    return twins


def _could_be(vin: str, changed: Sequence[int]) -> bool:
    """Whether a changed VIN is valid and the change put no letter in the numeric tail, nor a year away.

    The last four are digits (49 CFR 565.15(d)); with 9 in position 3, positions 12 to 14 name the maker.
    """
    tail = 15 if vin[2] == "9" else 14
    lettered = any(position >= tail and not vin[position - 1].isdigit() for position in changed)
    yearless = 10 in changed and vin[9] not in YEAR_CODES
    return not lettered and not yearless and read_vin(vin).ok


def _look_alike(vin: str, twins: Mapping[str, str]) -> Iterator[Suggestion]:
    for position, char in enumerate(vin, 1):
        for twin in twins.get(char, ""):
            changed = vin[: position - 1] + twin + vin[position:]
            if _could_be(changed, (position,)):
                words = f"position {position}: {char} read as {twin}"
                yield Suggestion(changed, (position,), SuggestionKind.LOOK_ALIKE, words)


def _forbidden_replaced(vin: str, twins: Mapping[str, str]) -> Iterator[Suggestion]:
    """Every I, O and Q replaced at once, since none of them can stay."""
    places = tuple(position for position, char in enumerate(vin, 1) if char in _FORBIDDEN)
    if len(places) > 4:
        return
    for choice in product(*(twins[vin[place - 1]] for place in places)):
        new = list(vin)
        for place, char in zip(places, choice, strict=True):
            new[place - 1] = char
        changed = "".join(new)
        if _could_be(changed, places):
            said = (f"position {p}: {vin[p - 1]} read as {c}" for p, c in zip(places, choice, strict=True))
            yield Suggestion(changed, places, SuggestionKind.LOOK_ALIKE, "; ".join(said))


def _swapped(vin: str) -> Iterator[Suggestion]:
    for left in range(1, LENGTH):
        one, other = vin[left - 1], vin[left]
        changed = vin[: left - 1] + other + one + vin[left + 1 :]
        if one != other and _could_be(changed, (left, left + 1)):
            words = f"positions {left} and {left + 1}: {one}{other} read as {other}{one}"
            yield Suggestion(changed, (left, left + 1), SuggestionKind.SWAPPED, words)


def _off_by_one(vin: str) -> Iterator[Suggestion]:
    """A character typed twice left out, or one that stands double on the plate put back."""
    too_long = len(vin) > LENGTH
    kind = SuggestionKind.DOUBLED if too_long else SuggestionKind.MISSED
    for position, char in enumerate(vin, 1):
        ends_run = vin[position : position + 1] != char
        doubled = vin[position - 2 : position - 1] == char
        changed = vin[: position - 1] + ("" if too_long else char * 2) + vin[position:]
        if ends_run and (doubled or not too_long) and read_vin(changed).ok:
            typed, meant = (char * 2, char) if too_long else (char, char * 2)
            words = f"position {position}: {typed} read as {meant}"
            yield Suggestion(changed, (position,), kind, words)


class Source(StrEnum):
    """Where on the vehicle a whole VIN is read."""

    DASH = "dash"
    DOOR_LABEL = "door label"
    FRAME_STAMP = "frame stamp"
    FIREWALL = "firewall"


@dataclass(frozen=True, slots=True)
class Reading:
    """One VIN as read at one place."""

    source: str
    text: str

    @property
    def vin(self) -> str:
        """The reading in capitals, without spaces and hyphens."""
        return normalize(self.text)


class ReadingOutcome(StrEnum):
    """What the readings of one vehicle come to."""

    NEEDS_FIRST = "needs a first reading"
    NEEDS_SECOND = "needs a second reading"
    AGREE = "agree"
    MISMATCH = "mismatch: needs another reading"
    SETTLED = "settled by most readings"
    FRAME_DIFFERS = "the frame says another vehicle"
    NO_TWO_AGREE = "no two agree"


@dataclass(frozen=True, slots=True)
class Difference:
    """Two readings at one position; `same_value` where the check digit cannot tell the two apart."""

    position: int
    one: str
    other: str
    same_value: bool
    words: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """The outcome, the VIN most places carry (None until settled), who was outvoted, and why in words."""

    outcome: ReadingOutcome
    vin: str | None
    outvoted: tuple[Reading, ...]
    differences: tuple[Difference, ...]
    words: tuple[str, ...]


def compare_readings(readings: Sequence[Reading]) -> Comparison:
    """Hold the readings of one vehicle against each other: two that differ ask for a third, most settle it.

    A later reading at the same place stands for the earlier one: two looks at one plate are one reading.
    """
    latest = tuple({reading.source: reading for reading in readings}.values())
    if len(latest) < 2:
        outcome = ReadingOutcome.NEEDS_SECOND if latest else ReadingOutcome.NEEDS_FIRST
        words = "read a second place; a number copied from the first proves nothing" if latest else "read the dash"
        return Comparison(outcome, None, (), (), (words,))
    differences = tuple(d for one, other in combinations(latest, 2) for d in _differences(one, other))
    ranked = Counter(reading.vin for reading in latest).most_common()
    winner, votes = ranked[0]
    if len(ranked) > 1 and ranked[1][1] == votes:
        all_differ = len(ranked) > 2 and votes == 1
        outcome = ReadingOutcome.NO_TWO_AGREE if all_differ else ReadingOutcome.MISMATCH
        return Comparison(outcome, None, (), differences, _open_words(all_differ, differences, latest))
    outvoted = tuple(reading for reading in latest if reading.vin != winner)
    outcome = _settled(outvoted)
    return Comparison(outcome, winner, outvoted, differences, _settled_words(outcome, winner, latest))


def _differences(one: Reading, other: Reading) -> Iterator[Difference]:
    for position, (left, right) in enumerate(zip_longest(one.vin, other.vin, fillvalue=""), 1):
        if left == right:
            continue
        value = TRANSLITERATION.get(left)
        same = value is not None and value == TRANSLITERATION.get(right) and position != CHECK_POSITION
        blind = f"; both count {value}, so the check digit cannot tell them apart" if same else ""
        sides = f"{left or 'nothing'} on the {one.source}, {right or 'nothing'} on the {other.source}"
        yield Difference(position, left, right, same, f"position {position}: {sides}{blind}")


def _open_words(all_differ: bool, found: Sequence[Difference], latest: Sequence[Reading]) -> tuple[str, ...]:
    failing = [f"the {r.source} as read is not valid by itself" for r in latest if not read_vin(r.text).ok]
    remedy = "read a third place, or look again at what is read already"
    if all_differ:
        remedy = "no two agree: stop, and read every place again with a second person"
    return (*(difference.words for difference in found), *failing, remedy)


def _settled(outvoted: Sequence[Reading]) -> ReadingOutcome:
    """A frame stamp that is a good VIN of its own is a body swap or worse, and no misreading to outvote."""
    if not outvoted:
        return ReadingOutcome.AGREE
    stamped = any(r.source == Source.FRAME_STAMP and read_vin(r.text).ok for r in outvoted)
    return ReadingOutcome.FRAME_DIFFERS if stamped else ReadingOutcome.SETTLED


def _settled_words(outcome: ReadingOutcome, winner: str, latest: Sequence[Reading]) -> tuple[str, ...]:
    agreeing = " and ".join(f"the {reading.source}" for reading in latest if reading.vin == winner)
    words = [f"{agreeing} read {winner}"]
    for reading in latest:
        if reading.vin != winner:
            words.append(f"the {reading.source} reads {reading.vin}, kept in the history")
            agreed = Reading("others", winner)
            words += [difference.words for difference in _differences(reading, agreed)]
    if outcome is ReadingOutcome.FRAME_DIFFERS:
        words.append("body swapped or stolen: stop, ask, and write both numbers down")
    if not read_vin(winner).ok:
        words.append("the number agreed on is not valid by itself: accept it only with a reason")
    return tuple(words)
