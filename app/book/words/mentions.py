"""Vehicles that a line of words speaks of: whose part is wanted, whose it came off, what is under or on it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace

from app.book.words.everyday import PEOPLE
from app.book.words.mention import ATTRIBUTES, MOST_MODELS, Mention, Role, SoFar
from app.book.words.vocabulary import MODEL_FACTS, Vocabulary
from app.fit.answers import Chip
from app.fit.known import ModelInfo
from app.fit.terms import Group

MARKS = {
    **dict.fromkeys(("off", "from", "out"), Role.DONOR),
    **dict.fromkeys(("on", "onto", "in", "into", "for", "fit", "fits", "my", "under"), Role.TARGET),
    **dict.fromkeys(("with", "has", "got", "wearing", "wears", "having", "carries"), Role.CARRIED),
}
KEPT = PEOPLE | frozenset("a an the of our this that own same one is it's cheap good used nice".split())
"""Words that may stand between a mark and the vehicle."""
IS = frozenset("is was are came comes swapped changed replaced been switched".split())
"""Words by which what a vehicle carries is said to be another's: "the frame is a …", "engine swapped for …"."""
_OF_IT = KEPT.union(
    IS, "it its has had got under underneath on in out off from of for to with by now just another".split()
)
"""Words that may stand between what a vehicle carries and whose that is."""
_ONE = frozenset({"one", "one's", "same", "identical"})
"""Words behind a second vehicle by which it is one that has such a part."""
_COMES_OFF = KEPT | {"of", "swapped", "pulled", "taken", "over"}
"""Words that may stand between what a vehicle carries and whose that was."""
GROUP_NOUNS = {
    "frame": Group.FRAME, "chassis": Group.FRAME, "nose": Group.NOSE, "front clip": Group.NOSE, "doghouse": Group.NOSE,
    "front": Group.NOSE, "front end": Group.NOSE,
    "body": Group.BODY, "cab": Group.BODY, "engine": Group.DRIVELINE, "motor": Group.DRIVELINE,
}  # fmt: skip


_OWN = (Role.OPEN, Role.TARGET)
_BENEATH = ("under", "beneath")
ANOTHERS = "another's"
"""What the chip of something carried says until it is known whose it is."""
REPLACED = {"reframed": "frame", "rebodied": "body", "repowered": "engine"}
"""Words that say that what a noun means was replaced."""


def group_of(noun: str) -> Group | None:
    """The group that a noun names, in the singular or plural."""
    return GROUP_NOUNS.get(noun) or GROUP_NOUNS.get(noun.rstrip("s"))


class Mentions:
    """The vehicles of a line, put together word by word."""

    def __init__(self) -> None:
        self.all: list[Mention] = []
        self.denied: list[tuple[str, list[str]]] = []
        """Traits with the values that the customer's own vehicle is said not to have."""
        self._mark: Role | None = None
        self._marked = ""
        # What it is that a vehicle carries of the one about to be named.
        self._whose: Group | None = None
        # The noun of which it is about to be said whose it is, and whether that was begun.
        self._noun = ""
        self._noun_is = False
        self._parts = 0
        self._last_was_vehicle = False
        # The noun of what is carried was said last.
        self._noun_last = False
        self._told_of_donor = False
        # The vehicle named last as it was before the words that are just being said of it.
        self._before: SoFar | None = None
        # After "or" the next words tell of another vehicle that it may be: "07 tolliver or 08 longwagon".
        self._or = False
        # What a vehicle was before more was told of it behind a mark.
        self._joined: Role | None = None
        # After "same" comes "as", and then a vehicle that the customer's is held against.
        self._same = False

    @property
    def goes_on(self) -> bool:
        """True when what was last said is of a vehicle."""
        return self._last_was_vehicle

    def pause(self) -> None:
        """A comma: what is said next may be of another vehicle."""
        if self._last_was_vehicle:
            self._before = self.all[-1].so_far

    @property
    def carried(self) -> Mention | None:
        """The vehicle of which what the customer's carries was named last, with nothing said since."""
        here = self.all[-1] if self.all else None
        return here if here is not None and here.group and (self._last_was_vehicle or self._noun_last) else None

    @property
    def of_another(self) -> bool:
        """True when the vehicle that is about to be named is what a part comes off, or what is carried."""
        return self._mark in (Role.DONOR, Role.CARRIED)

    def word(self, word: str) -> None:
        """A word that names no vehicle; it may mark the role of the next one."""
        self._noun_is = self._noun_is or (bool(self._noun) and word in IS)
        if word not in _OF_IT or word == "my":
            self._noun, self._noun_is = "", False
        if word in REPLACED and self.all:
            self._noun, self._noun_is = REPLACED[word], True
        role = MARKS.get(word)
        if role is not None:
            # "Out of the turbo for my 2010": what it comes off was told of before.
            kept = self._mark is Role.DONOR and not self._told_of_donor
            self._mark, self._marked = (self._mark, self._marked) if kept else (role, word)
            self._told_of_donor = False
        elif word not in KEPT:
            self._mark = None
        if role is not Role.DONOR and word not in _COMES_OFF and group_of(word) is None:
            self._whose = None
        if word in _ONE and self._last_was_vehicle and self.all[-1].role is Role.OPEN and len(self.all) > 1:
            # "Would the Brae one work?" speaks of the part's vehicle; so does "the Brae's the same".
            self.all[-1].role = Role.DONOR
        if word == "as" and self._same:
            self._mark = Role.DONOR
        self._same = word == "same"
        self._joined = self._joined if word in KEPT else None
        self._or = (word == "or" and self._last_was_vehicle) or (self._or and word in KEPT)
        self._last_was_vehicle = self._last_was_vehicle and word in KEPT
        self._noun_last = self._noun_last and word in KEPT

    def fact(self) -> bool:
        """A look that is said; True where it is one of what a part comes off."""
        behind = self._last_was_vehicle and self.all[-1].role is Role.DONOR
        self._told_of_donor = self._mark is Role.DONOR
        return self._told_of_donor or behind

    def part(self, said: str, *, on_it: str = "") -> Mention | None:
        """A part's name: "with a Brae nose", "a heavy frame under it" say whose it carries; gives that vehicle."""
        here = self._just_named()
        if here is not None:
            here.of_part = True
        self._parts += 1
        self._say_whose(said)
        group = group_of(said)
        if group is Group.NOSE and any(on_it.startswith(word) for word in _BENEATH):
            # A front end under it is no sheet metal.
            group = Group.FRAME
        return self._carried(here, group, on_it=bool(on_it))

    def _say_whose(self, said: str) -> None:
        """Of what a vehicle carries it may be said next that it is another's."""
        noun = said.removesuffix("'s")
        here = self._just_named()
        told = bool(self.all) and (here is None or here is self.all[0]) and group_of(noun) is not None
        self._noun, self._noun_is = (noun, noun != said) if told else ("", False)

    def noun(self, said: str) -> Mention | None:
        """The same of a word that is no part's name in this yard."""
        group = group_of(said)
        if group is None:
            return None
        self._say_whose(said)
        return self._carried(self._just_named(), group, on_it=False)

    def take_back_year(self) -> str:
        """Forget the year said last; gives its words."""
        here = next((each for each in reversed(self.all) if each.years), None)
        return here.forget("year") if here is not None else ""

    def take_back_trait(self, trait: str, values: Sequence[str]) -> str:
        """Forget what was said last of a trait where the vehicle is now said to be another; gives its words."""
        here = next((each for each in reversed(self.all) if trait in each.traits), None)
        return here.forget(trait) if here is not None and not here.takes(trait, values) else ""

    def _just_named(self) -> Mention | None:
        return self.all[-1] if self.all and self._last_was_vehicle else None

    def _carried(self, here: Mention | None, group: Group | None, *, on_it: bool) -> Mention | None:
        # Whose it is may follow: "with an engine out of a tolliver".
        self._whose = group if here is None and self._mark is Role.CARRIED else None
        self._mark, self._last_was_vehicle, self._or, self._noun_last = None, False, False, False
        apart = here is not None and (here is not self.all[0] or here.role is Role.CARRIED or (on_it and here.vague))
        if not apart or here is None or group is None or not (on_it or here.role in (Role.CARRIED, Role.TARGET)):
            return None
        here.group = group
        self._noun_last = True
        return here

    def front(self) -> Mention | None:
        """The vehicle whose front the customer's has: "it has a Brae front on it"."""
        here = self._just_named()
        return self.part("front") if here is not None and here.role is Role.CARRIED else None

    def year(self, years: Sequence[int], chip: Chip) -> None:
        """A model year, or several of which it is one."""
        if self._or and self.all[-1].years:
            here = self.all[-1]
            here.years = tuple(sorted({*here.years, *years}))
        else:
            here = self._here(lambda mention: not mention.years or bool(set(mention.years) & set(years)))
            here.years = tuple(year for year in years if not here.years or year in here.years)
        here.chips.append(chip)
        self._last_was_vehicle = True

    def trait(self, trait: str, values: Sequence[str], chip: Chip) -> None:
        """A name, make, key, weight class, body style or variant; several values are a choice."""
        if self._or and not self.all[-1].takes(trait, values):
            here = self.all[-1]
            here.traits[trait] = [*here.traits[trait], *values]
        else:
            here = self._here(lambda mention: mention.takes(trait, values))
            old = here.traits.get(trait)
            here.traits[trait] = [value for value in values if old is None or value in old] or list(values)
        here.chips.append(chip)
        self._last_was_vehicle = True

    def _here(self, can_be: Callable[[Mention], bool]) -> Mention:
        marked = self._mark is not None
        told = self._noun if self._noun_is and not self._last_was_vehicle else ""
        anew = bool(self.all) and not self._last_was_vehicle and (marked or self.all[-1].group is not None)
        apart = not self.all or anew or bool(told) or not can_be(self.all[-1])
        if told or (apart and not (len(self.all) == 1 and self._may_join(can_be))):
            whose = group_of(told) if told else self._whose if self._mark is Role.DONOR else None
            role = Role.CARRIED if whose is not None else self._mark or Role.OPEN
            mark = self._marked if self._mark is not None else ""
            self.all.append(Mention(role, group=whose, parts_before=self._parts, noun=told, mark=mark))
            self._begin_anew()
        elif not self._last_was_vehicle:
            self._before = self.all[-1].so_far
        self._mark = self._whose = None
        self._noun, self._noun_is, self._noun_last = "", False, False
        return self.all[-1]

    def _begin_anew(self) -> None:
        """What stood right before belongs to the new vehicle too: of "a heavy, 08 light" the 08 is of the light one."""
        if self._before is not None and self._last_was_vehicle:
            self.all[-1].take(self.all[-2], self._before)
            if self._joined is not None:
                # "Of a heavy for my 08 half-ton": what was marked as the customer's is the light one.
                self.all[-1].role, self.all[-2].role = self.all[-2].role, self._joined
        self._before = self._joined = None

    def _may_join(self, can_be: Callable[[Mention], bool]) -> bool:
        """A lone vehicle without a name that is told more of: "08 lca for a longwagon" is one truck."""
        first = self.all[0]
        apart = {first.role, self._mark} & {Role.DONOR, Role.CARRIED}
        # "Will the heavy hitch fit an 08": what stands before the part is its own, unless a year tells of a vehicle.
        owned = first.of_part and first.role is Role.OPEN and self._mark is Role.TARGET and not first.years
        if apart or owned or first.named or not can_be(first):
            return False
        self._joined, first.role = first.role, self._mark or first.role
        return True

    def target(self) -> Mention | None:
        """The customer's own vehicle, with its year where that was said apart: "tansy with an osier nose, 2008"."""
        found = self._target()
        if found is None or len(self.all) == 1 or (found.years and found.traits.get("name")):
            return found
        apart = [each for each in self.all if each is not found and self._is_same(found, each)]
        if len(apart) == 1:
            found.join(apart[0])
            self.all = [each for each in self.all if each is not apart[0]]
        return found

    def _is_same(self, found: Mention, other: Mention) -> bool:
        """True for what is told of the customer's vehicle in another place: its year, its name, or both by its name."""
        if other.group is not None or other.role not in _OWN or not found.like(other) or not found.traits:
            return False
        name = found.traits.get("name")
        if name is not None and name == other.traits.get("name"):
            return True
        carrying = any(each.group is not None for each in self.all)
        return bool(other.years and not other.traits) or (carrying and name is None)

    def _target(self) -> Mention | None:
        """The one marked so, else the first that a part would not come off."""
        by_role = [mention for mention in self.all if mention.role is Role.TARGET and mention.group is None]
        dated = [each for each in by_role if each.mark == "in" and not each.traits]
        if not any(each.named and each.years and each.role is Role.OPEN for each in self.all):
            dated = []
        if dated:
            # "Bought one here in 2019" is no year of the vehicle.
            by_role = [each for each in by_role if each not in dated]
        if by_role:
            now = [each for each in self.all if each.named and each.is_had]
            gone = bool(now) and not by_role[-1].named and not by_role[-1].years
            # "Sold my heavy, now I got a light Longwagon": what he has is the vehicle.
            return now[-1] if gone else self._named_by_another(by_role[-1])
        others = [
            mention
            for mention in self.all
            if mention.role is not Role.DONOR and mention.group is None and mention not in dated
        ]
        # With nothing else said, what it comes off is what it is for: "joint off an 08".
        return others[0] if others else (self.all[0] if self.all else None)

    def allowed(self, models: Sequence[ModelInfo]) -> tuple[ModelInfo, ...]:
        """The models without those that it was said not to be."""
        left = list(models)
        for trait, values in self.denied:
            attribute = MODEL_FACTS.get(trait, ATTRIBUTES.get(trait, trait))
            left = [model for model in left if getattr(model, attribute) not in values]
        return tuple(left)

    def rivals(self) -> list[Mention]:
        """Vehicles that cannot be the same, of which none is marked more than another as the customer's own."""
        free = [mention for mention in self.all if mention.group is None and (mention.named or mention.years)]
        marked = [mention for mention in free if mention.role is Role.TARGET]
        found: list[Mention] = []
        for mention in marked or (each for each in free if each.role is Role.OPEN):
            if not any(mention.like(each) for each in found):
                found.append(mention)
        return found if len(found) > 1 else []

    def owner(self, rivals: Sequence[Mention], mentions_before: int) -> Mention:
        """Whose of several vehicles a part is that was named after so many of all that are spoken of.

        Who begins with a vehicle names it before each part ("brae grille and longwagon hood"), else behind.
        """
        said_before = [each for each in rivals if any(each is other for other in self.all[:mentions_before])]
        if rivals[0].parts_before == 0:
            return said_before[-1] if said_before else rivals[0]
        return rivals[min(len(said_before), len(rivals) - 1)]

    def _named_by_another(self, mention: Mention) -> Mention:
        """ "Longwagon lca for my 08": the name was said before."""
        named = [each for each in self.all if each.named and each.role is Role.OPEN and each.group is None]
        if mention.named or not named:
            return self._named_by_donor(mention)
        other = named[0]
        if mention.years and other.years and not set(mention.years) & set(other.years):
            return mention
        for trait, values in other.traits.items():
            mention.traits.setdefault(trait, values)
        mention.years = mention.years or other.years
        mention.chips = [*(_chip_of_other(chip, mention) for chip in other.chips), *mention.chips]
        self.all.remove(other)
        return mention

    def _named_by_donor(self, mention: Mention) -> Mention:
        """ "Would a tailgate off a 2005 Tolliver fit my 2009": of the same name, and another year."""
        donors = [each for each in self.all if each.named and each.role is Role.DONOR]
        if mention.traits or not mention.years or len(donors) != 1:
            return mention
        mention.traits = dict(donors[0].traits)
        fields = {trait if trait in MODEL_FACTS else "vehicle" for trait in mention.traits}
        mention.chips = [*(chip for chip in donors[0].chips if chip.field in fields), *mention.chips]
        return mention


def _chip_of_other(chip: Chip, mention: Mention) -> Chip:
    """The chip of the other vehicle's name; a weight class that is not the customer's tells what the part is off."""
    own = mention.traits.get(chip.field)
    return chip if own is None or chip.value in own else replace(chip, field="off", value=f"off {chip.value}")


def carried_models(
    mention: Mention, vocabulary: Vocabulary, families: Collection[str], names: Collection[str]
) -> tuple[str, ...]:
    """The models whose frame, nose … a vehicle carries: of its own name or family where the words leave it open."""
    found = mention.models(vocabulary, mention.years)
    kin = [model for model in found if model.family in families] or list(found)
    if "name" not in mention.traits:
        kin = [model for model in kin if model.name in names] or kin
    return tuple(model.key for model in kin[:MOST_MODELS])
