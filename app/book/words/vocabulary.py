"""Every word the yard understands, with what it points to."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from app.book.schema import Fact
from app.book.words.everyday import AS_THEY_ARE, COUNTS, EVERYDAY, FILLER, POSITIONS, SIDES
from app.book.words.saidchoices import FIGURES, SAID
from app.fit.known import ModelInfo

MODEL_FACTS = {"weight class": "weight_class", "variant": "variant", "body style": "body_style"}
"""Facts that the list of models itself keeps."""
_JOINTS = str.maketrans("", "", " -'")
LEAST_SLIP = 3
"""Letters a word needs before it is held against others."""
MOST_KEPT = 20_000
"""Words of customers of which it is kept what they mean."""
_AS_IT_IS = FILLER | EVERYDAY | AS_THEY_ARE | COUNTS.keys()
LONG = 8
"""Letters from which two of them may be wrong."""


@dataclass(frozen=True, slots=True)
class Sense:
    """One thing a phrase may mean: a field (part, model, side, fact, want …) and its value."""

    field: str
    value: str
    fact: str = ""


def joined(said: str) -> str:
    """A phrase without its joints, so that "T-case", "t case" and "tcase" are one."""
    bare = said.lower()
    if bare.isalnum():
        return bare
    if "/" in bare:
        # The stroke of a fraction is no joint: 3/4 is not 34.
        bare = "".join(word if any(map(str.isdigit, word)) else word.replace("/", "") for word in bare.split())
    return bare.translate(_JOINTS)


@dataclass
class Vocabulary:
    """Phrases and their senses; `wider` maps a part name to the part types it covers.

    `longer_names` finds, for a word, the models' names of several words in which it stands;
    `measures` are the lengths and numbers by their choices;
    `units` are those of the facts, by how they are said;
    `models_of` finds models by a trait: ("name", "Gavlock"), ("make", …), ("weight class", "light") …;
    `looks` is what each part type is looked at for, `parts_looks` all that is looked at on what bolts to a frame.
    """

    phrases: dict[str, list[Sense]] = field(default_factory=dict)
    wider: dict[str, tuple[str, ...]] = field(default_factory=dict)
    looks: dict[str, frozenset[str]] = field(default_factory=dict)
    parts_looks: frozenset[str] = frozenset()
    sided: frozenset[str] = frozenset()
    models: dict[str, ModelInfo] = field(default_factory=dict)
    models_of: dict[tuple[str, str], tuple[ModelInfo, ...]] = field(default_factory=dict)
    years: frozenset[int] = frozenset()
    longer_names: dict[str, tuple[str, ...]] = field(default_factory=dict)
    facts: dict[str, Fact] = field(default_factory=dict)
    measures: dict[float, tuple[Sense, ...]] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    longest: int = 1
    _keys: dict[str, str] = field(default_factory=dict)
    _index: dict[str, list[Sense]] = field(default_factory=dict)
    _loose: dict[str, list[Sense]] = field(default_factory=dict)
    _words: frozenset[str] = frozenset()
    _beginnings: tuple[str, ...] = ()
    _sorted: tuple[str, ...] = ()
    _by_length: dict[int, tuple[str, ...]] = field(default_factory=dict)
    _less: dict[str, list[str]] = field(default_factory=dict)
    _skeletons: dict[str, str] = field(default_factory=dict)
    _part_words: dict[str, frozenset[str]] = field(default_factory=dict)
    _heads: frozenset[str] = frozenset()
    _nouns: frozenset[str] = frozenset()
    _hinted: dict[str, dict[str, None]] = field(default_factory=dict)
    _meant: dict[str, str] = field(default_factory=dict)
    _known: dict[str, tuple[list[Sense], bool]] = field(default_factory=dict)
    _named: dict[str, list[tuple[tuple[str, ...], Fact]]] = field(default_factory=dict)
    _like_parts: dict[str, Fact] = field(default_factory=dict)

    def add(self, said: str, sense: Sense) -> None:
        """Let a phrase mean something."""
        phrase = " ".join(said.lower().replace(",", " ").split())
        if not joined(phrase):
            return
        senses = self.phrases.setdefault(phrase, [])
        if sense not in senses:
            senses.append(sense)
        for said in _counted_ways(phrase):
            found = self._index.setdefault(joined(said), [])
            if sense not in found:
                found.append(sense)
        self.longest = max(self.longest, len(phrase.replace("-", " ").split()))

    def keep_key(self, key: str) -> None:
        """Let a model be named by its key."""
        self._keys.setdefault(joined(key), key)

    def senses(self, said: str) -> list[Sense]:
        """What a phrase may mean: as it stands, in the singular, or in the plural."""
        return self._of_key(joined(said))

    def senses_at(self, bare: Sequence[str], at: int) -> list[tuple[int, list[Sense]]]:
        """The phrases that begin at a word, longest first, each with its number of words; `bare` has no joints."""
        found: list[tuple[int, list[Sense]]] = []
        key = ""
        for size, word in enumerate(bare[at : at + self.longest], 1):
            key += word
            senses, goes_on = self._phrase_of(key)
            if senses:
                found.append((size, senses))
            if not goes_on:
                break
        found.reverse()
        return found

    def begins_fact(self, bare: str) -> bool:
        """Whether the name of a fact begins with a word."""
        return bare in self._named

    def facts_at(self, bare: Sequence[str], at: int) -> Iterator[tuple[int, Fact]]:
        """The facts whose names begin at a word, the longest first, each with its number of words."""
        for names, fact in self._named.get(bare[at], ()) if at < len(bare) else ():
            if tuple(bare[at : at + len(names)]) == names:
                yield len(names), fact

    def fact_called_like_part(self, key: str) -> Fact | None:
        """The fact of a name without its joints that a part has too."""
        return self._like_parts.get(key)

    def _phrase_of(self, key: str) -> tuple[list[Sense], bool]:
        """What a phrase without its joints means, and whether some phrase begins so and is longer."""
        known = self._known.get(key)
        if known is None:
            at = bisect_right(self._beginnings, key)
            longer = at < len(self._beginnings) and self._beginnings[at].startswith(key)
            known = self._of_key(key), longer
            if len(self._known) < MOST_KEPT:
                self._known[key] = known
        return known

    def _singular(self, key: str) -> list[Sense]:
        """What a word means of which the plural was said; lights are of no light truck."""
        return [sense for sense in self._index.get(key, ()) if sense.fact not in MODEL_FACTS]

    def _plural(self, key: str) -> list[Sense]:
        """What a word means as it stands; the plural of a part's name means all that the singular does."""
        senses = self._index.get(key, [])
        if not key.endswith("s") or not any(sense.field == "part" for sense in senses):
            return senses
        return [
            *senses,
            *(each for each in self._index.get(key[:-1], ()) if each.field == "part" and each not in senses),
        ]

    def _of_key(self, key: str) -> list[Sense]:
        return (
            self._plural(key)
            or (self._singular(key[:-1]) if key.endswith("s") and len(key) > LEAST_SLIP else None)
            or (self._index.get(key[:-2]) if key.endswith("es") and len(key) > LEAST_SLIP + 1 else None)
            or (self._index.get(f"{key[:-3]}y") if key.endswith("ies") else None)
            or self._loose.get(key)
            or ([Sense("model", self._keys[key])] if key in self._keys else [])
        )

    def models_with(self, trait: str, value: str) -> tuple[ModelInfo, ...]:
        """The models of a trait; of the trait "model" the one of that key."""
        if trait == "model":
            return (self.models[value],) if value in self.models else ()
        return self.models_of.get((trait, value), ())

    def measuring(self, text: str) -> tuple[Sense, ...]:
        """The lengths and numbers that have a plain figure among their choices."""
        try:
            return self.measures.get(float(text), ()) if text else ()
        except ValueError:
            return ()

    def names_with(self, word: str) -> tuple[str, ...]:
        """The models' names of several words in which a word stands that is no name by itself."""
        return self.longer_names.get(word, ())

    def looked_at(self, part_types: Iterable[str]) -> frozenset[str]:
        """All facts that any of some part types is looked at for."""
        return frozenset[str]().union(*(self.looks.get(name, frozenset()) for name in part_types))

    def parts_called(self, said: str) -> tuple[str, ...]:
        """The names of parts that a phrase may mean."""
        return tuple(sense.value for sense in self.senses(said) if sense.field == "part")

    def part_types(self, said: str) -> tuple[str, ...]:
        """All part types that a phrase may mean."""
        names = self.parts_called(said)
        return tuple(dict.fromkeys(each for name in names for each in self.wider.get(name, (name,))))

    def settle(self) -> None:
        """Make the lists that spelling is held against; to be called when all phrases are in."""
        self._name_facts()
        self.units = {fact.unit.lower(): fact.unit for fact in self.facts.values() if fact.unit}
        names = (fact.name.lower() for fact in self.facts.values())
        self._words = frozenset(word for phrase in (*self.phrases, *names) for word in phrase.split())
        # A model's key is typed, not said: nobody's slip is held against it.
        spoken = {word for phrase, senses in self.phrases.items() if _is_spoken(senses) for word in phrase.split()}
        own = sorted(word for word in spoken if _takes_slips(word))
        self._sorted = tuple(own)
        by_length: dict[int, list[str]] = {}
        for word in own:
            by_length.setdefault(len(word), []).append(word)
        self._by_length = {length: tuple(group) for length, group in by_length.items()}
        for word in own:
            for key in (word, *_one_less(word)):
                self._less.setdefault(key, []).append(word)
        self._skeletons = _skeletons(own)
        for key, senses in self._index.items():
            if key.endswith("s") and len(key) > LEAST_SLIP:
                self._loose.setdefault(key[:-1], senses)
        for phrase, senses in self.phrases.items():
            for word in _plain_words(phrase) if " " in phrase else ():
                self._hinted.setdefault(word, {}).update(dict.fromkeys(s.value for s in senses if s.field == "part"))
        self._heads = frozenset(_heads(self.phrases))
        self._nouns = frozenset(_nouns(self.phrases))
        self._beginnings = tuple(sorted({*self._index, *self._keys}))
        self._part_words = {name: frozenset(_plain_words(name)) for name in self.wider}

    def _name_facts(self) -> None:
        """Facts by the first word of their names; those that are called like a part apart."""
        for fact in sorted(self.facts.values(), key=lambda each: -len(each.name.split())):
            names = tuple(map(joined, fact.name.lower().replace(",", " ").split()))
            if any(sense.field == "part" for sense in self.senses(fact.name)):
                self._like_parts["".join(names)] = fact
            elif names and fact.name not in MODEL_FACTS:
                self._named.setdefault(names[0], []).append((names, fact))

    def meant(self, token: str) -> str:
        """A word as it was meant: itself where the yard knows it, else the one a letter off, else itself."""
        if token in self._words or token in _AS_IT_IS or not token[:1].isalpha():
            return token
        if len(token) < LEAST_SLIP or self.senses(token) or self._in_number(token):
            return token
        found = self._meant.get(token)
        if found is None:
            found = self._completed(token) or self._near(token) or self._skeletons.get(token) or token
            if len(self._meant) < MOST_KEPT:
                self._meant[token] = found
        return found

    def _in_number(self, token: str) -> bool:
        """True for the singular or plural of a word of some phrase."""
        return f"{token}s" in self._words or (token.endswith("s") and token[:-1] in self._words)

    def _near(self, token: str) -> str:
        """The one word a letter off (two in a long word); empty when there is none or it is not clear which."""
        found = self._one_off(token) or (self._two_off(token) if len(token) >= LONG else [])
        best = sorted(((off, word[0] != token[0], not self.senses(word)), word) for off, word in found)
        if not best or (len(best) > 1 and best[0][0] == best[1][0] and not self._alike(best[0][1], best[1][1])):
            return ""
        (_, other_start, _), word = best[0]
        # In a short word the first letter is the one that people get right.
        return "" if other_start and len(token) < LONG - 3 else word

    def _one_off(self, token: str) -> list[tuple[int, str]]:
        """The words one letter off: too many, too few, another, or two turned round."""
        from rapidfuzz.distance import OSA

        shared = {word for key in (token, *_one_less(token)) for word in self._less.get(key, ())}
        near = [word for word in shared if OSA.distance(token, word, score_cutoff=1) <= 1]
        # One letter for another makes too many words of three: "pin" is no slip for "pig".
        short = len(token) == LEAST_SLIP
        return [(1, word) for word in near if not (short and len(word) == LEAST_SLIP and sorted(word) != sorted(token))]

    def _two_off(self, token: str) -> list[tuple[int, str]]:
        from rapidfuzz import process
        from rapidfuzz.distance import OSA

        lengths = range(len(token) - 2, len(token) + 3)
        words = [word for length in lengths for word in self._by_length.get(length, ())]
        found = process.extract(token, words, scorer=OSA.distance, score_cutoff=2, limit=8)
        return [(int(off), word) for word, off, _ in found]

    def _alike(self, one: str, other: str) -> bool:
        senses = self.senses(one)
        return bool(senses) and senses == self.senses(other)

    def _completed(self, token: str) -> str:
        """The only word that begins so; what is being typed is understood before it is finished."""
        at = bisect_left(self._sorted, token)
        begin = [word for word in self._sorted[at : at + 3] if word.startswith(token)]
        if not begin or any(not word.startswith(begin[0]) for word in begin):
            return ""
        return begin[0]

    def is_head(self, word: str) -> bool:
        """True for the last word of longer part names: "joint" of "U-joint", "motor" of "blower motor", "lamp"."""
        return _singular(word) in self._heads

    def is_noun(self, word: str) -> bool:
        """True for the last word of some part's name of several words: "bar" of "torsion bar"."""
        return _singular(word) in self._nouns

    def one_word(self, names: Iterable[str]) -> bool:
        """True when all the names are of one noun: "half-shafts" and "front half-shaft"."""
        words = sorted((self._part_words.get(name, frozenset()) for name in names), key=len)
        return bool(words) and bool(words[0]) and all(words[0] <= each for each in words)

    def part_hinted(self, word: str) -> tuple[str, ...]:
        """The parts of the spoken phrases in which a word stands: "encoder" of "encoder motor"."""
        return tuple(self._hinted.get(word, ()))

    def part_names(self, words: Iterable[str]) -> tuple[str, ...]:
        """The part names in which all of these words stand, in any order."""
        wanted = {word for said in words for word in _plain_words(said)}
        if not wanted:
            return ()
        return tuple(name for name, own in self._part_words.items() if wanted <= own)


def _counted_ways(phrase: str) -> Iterator[str]:
    """A phrase as it is, and with its counts in figures or in words: "four-pin", "4-pin"."""
    yield phrase
    words = phrase.replace("-", " ").split()
    if len(words) > 1:
        for ways in (FIGURES, SAID):
            other = " ".join(ways.get(word, word) for word in words)
            if other != " ".join(words):
                yield other


def _takes_slips(word: str) -> bool:
    """True where a word may be what a slip was meant for; sides in short are too many: "pads" is no "pass"."""
    short_side = word in SIDES and len(word) <= LEAST_SLIP + 1 and word != "left"
    return len(word) >= LEAST_SLIP and not word[0].isdigit() and not short_side


def _skeletons(words: Iterable[str]) -> dict[str, str]:
    """Words by their letters without vowels, as they are written short: "fndr"; those that are one word's alone."""
    found: dict[str, list[str]] = {}
    for word in words:
        short = word[0] + "".join(letter for letter in word[1:] if letter not in "aeiou")
        if len(short) > LEAST_SLIP and short != word and word.isalpha():
            found.setdefault(short, []).append(word)
    return {short: each[0] for short, each in found.items() if len(each) == 1}


def _one_less(word: str) -> Iterator[str]:
    """A word with each of its letters left out: words one letter off share one of these."""
    return (word[:at] + word[at + 1 :] for at in range(len(word)))


def _is_spoken(senses: list[Sense]) -> bool:
    return any(sense.field != "model" or sense.fact for sense in senses)


def _plain_words(said: str) -> Iterator[str]:
    """The words of a name, in the singular."""
    return map(_singular, said.lower().replace(",", " ").replace("-", " ").split())


def _singular(word: str) -> str:
    return word[:-1] if word.endswith("s") and len(word) > LEAST_SLIP and not word.endswith("ss") else word


def _nouns(phrases: Mapping[str, Sequence[Sense]]) -> Iterator[str]:
    """The last words of part names of several words."""
    names = (phrase for phrase, senses in phrases.items() if any(sense.field == "part" for sense in senses))
    return (words[-1] for name in names if len(words := list(_plain_words(name))) > 1)


def _heads(phrases: Mapping[str, Sequence[Sense]]) -> Iterator[str]:
    """The words on which part names end that are part names by themselves: other words before them tell them apart."""
    names = [phrase for phrase, senses in phrases.items() if any(sense.field == "part" for sense in senses)]
    alone = {_singular(name) for name in names if name.isalpha()}
    for name in names:
        *before, last = _plain_words(name)
        if last in alone and any(word not in POSITIONS for word in before):
            yield last
        if not before:
            yield from (last[at:] for at in range(LEAST_SLIP, len(last) - LEAST_SLIP) if last[at:] in alone)
