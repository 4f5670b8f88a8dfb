"""What the rules say of one part in one pair of worlds."""

from __future__ import annotations

from collections.abc import Sequence

from app.fit.bymeasure import measured
from app.fit.cases import Voice
from app.fit.chains.chains import Chains
from app.fit.conditions import Pair
from app.fit.firing import of_one_family, speaks
from app.fit.knowledge import Knowledge
from app.fit.known import Offer, Target, UseInfo
from app.fit.laws import law_doubt, law_fires
from app.fit.links.link import Link
from app.fit.making import record
from app.fit.resolve import Fire, Resolved, resolve
from app.fit.terms import Grade
from app.fit.values import same
from app.fit.worlds import YEARS, World

PROVEN = ("seen", "measured")
"""How a use must be known to be evidence of its own; one that follows from a rule or a guess is not."""


@record(frozen=True, slots=True)
class Outcome:
    """What one part comes to in one pair of worlds; `resolved` is None where no rule speaks."""

    grade: Grade
    resolved: Resolved | None
    part: World
    target: World
    design: str = ""
    chain: tuple[Link, ...] = ()


def chained(pair: Pair, offer: Offer, target: Target, chains: Chains | None, know: Knowledge) -> Outcome:
    """Where no direct rule speaks of the two in any world, a chain may, and where none does, measuring."""
    path = chains.find(pair, offer.part_type, target.wanted) if chains is not None else ()
    # Across families a part appears only where a rule names it.
    taken = measured(pair, offer, know) if not path and of_one_family(pair) else None
    doubts = law_doubt(offer, know)
    if path and doubts:
        return Outcome(Grade.MEASURE, Resolved(Grade.MEASURE, doubts), pair.part, pair.target)
    if taken is not None:
        taken = _with_doubt(taken, doubts)
        return Outcome(taken.grade, taken, pair.part, pair.target)
    grade = Grade.BOLTS_UP if path else Grade.NOT_COMPARED
    return Outcome(grade, None, pair.part, pair.target, chain=path)


class Hearing:
    """What rules say and come to together, worked out once for all parts of which they say the same."""

    def __init__(self, know: Knowledge) -> None:
        self.know = know
        self._moved = {move.moves for move in know.moves}
        self._said: dict[tuple[object, ...], tuple[Fire | None, bool]] = {}
        self._resolved: dict[tuple[int, ...], tuple[Resolved, Sequence[Fire]]] = {}

    def fire(self, voice: Voice, pair: Pair, *, named: bool) -> tuple[Fire | None, bool]:
        """The rule as it speaks here, and whether it surely does; None where it is silent."""
        # Voices, and worlds and subjects of the target, last as long as this does.
        if named and voice.of_target_alone:
            key: tuple[object, ...] = (id(voice), id(pair.target))
        elif not voice.everywhere and not of_one_family(pair):
            return None, True
        elif voice.rule.code in self._moved:
            # A date may hang on anything.
            return speaks(voice.rule, voice.back, voice.rest if named else voice.rule.conditions, pair)
        else:
            key = (*_seen(voice, pair), *(() if named else (_value(pair.part, "model"), _value(pair.target, "model"))))
        found = self._said.get(key)
        if found is None:
            conditions = voice.rest if named else voice.rule.conditions
            found = self._said[key] = speaks(voice.rule, voice.back, conditions, pair)
        return found

    def resolve(self, fires: Sequence[Fire]) -> Resolved:
        """What rules that speak come to together."""
        key = tuple(map(id, fires))
        if key not in self._resolved:
            # They are kept along, so that no other takes the place of one in memory.
            self._resolved[key] = (resolve(fires), fires)
        return self._resolved[key][0]


def _seen(voice: Voice, pair: Pair) -> tuple[object, ...]:
    """All that a rule goes by in a pair of worlds besides the models it names."""
    ours = pair.part_subject
    return (
        id(voice),
        id(pair.target_subject),
        ours.side,
        ours.part_type,
        ours.pieces,
        *[_value(pair.part, name) for name in voice.names_of_part],
        *[_value(pair.target, name) for name in voice.names_of_target],
        *[name in ours.facts for name in voice.taken],
    )


def _value(world: World, name: str) -> object:
    known = world.get(name)
    if known is None:
        # Where nobody said the year, it may be any in which such a one was built.
        return _value(world, YEARS) if name == "year" else None
    return (known.value, known.u_mm) if known.u_mm else known.value


def outcomes(
    voices: Sequence[Voice], pair: Pair, offer: Offer, hearing: Hearing, *, named: bool = False, with_law: bool = True
) -> list[Outcome]:
    """What all rules come to: surely, and once more for each rule of which it is not known whether it speaks.

    `named` says that the models are those which the rules name; `with_law` adds what yard law says of the part by its
    type.
    """
    fires = {fire.rule.code: fire for fire in law_fires(offer, hearing.know)} if with_law else {}
    maybe: list[Fire] = []
    for voice in voices:
        fire, sure = hearing.fire(voice, pair, named=named)
        if fire is None:
            continue
        if sure:
            # A rule that speaks both ways has said it as it is written, which is heard first.
            fires.setdefault(fire.rule.code, fire)
        else:
            maybe.append(fire)
    certain = list(fires.values())
    # The years that are left open may differ in whether the vehicle carries the design.
    carries = _carried(offer.design, pair, hearing.know.uses) if offer.design and not certain else {False}
    found = [_outcome(certain, pair, offer, hearing, carried=each) for each in sorted(carries, reverse=True)]
    for fire in maybe:
        sure_one = fires.get(fire.rule.code)
        # A rule that surely speaks turned round may speak as it is written besides, and then it is heard so.
        if sure_one is None or (sure_one.back and not fire.back):
            found.append(_outcome([*(each for each in certain if each is not sure_one), fire], pair, offer, hearing))
    return found


def _outcome(fires: list[Fire], pair: Pair, offer: Offer, hearing: Hearing, *, carried: bool = False) -> Outcome:
    doubts = law_doubt(offer, hearing.know)
    if fires or (carried and doubts):
        resolved = _with_doubt(hearing.resolve(fires), doubts) if fires else Resolved(Grade.MEASURE, doubts)
        return Outcome(resolved.grade, resolved, pair.part, pair.target)
    if carried:
        return Outcome(Grade.BOLTS_UP, None, pair.part, pair.target, offer.design)
    # What nothing speaks of is no better for a law that may forbid it.
    return Outcome(Grade.NOT_COMPARED, None, pair.part, pair.target)


def _with_doubt(resolved: Resolved, doubts: tuple[Fire, ...]) -> Resolved:
    """A frame in doubt may turn out to be scrap: whatever good is said of the part waits for the measuring."""
    if not doubts or resolved.grade.rank >= Grade.SET_SHORT.rank:
        return resolved
    return Resolved(Grade.MEASURE, (*doubts, *resolved.fires), resolved.against)


def _carried(design: str, pair: Pair, uses: Sequence[UseInfo]) -> set[bool]:
    """Whether the vehicle of this world carries the design by its own record: under each year that it may be of."""
    said = pair.target.get("year") or pair.target.get(YEARS)
    return {_carries(design, pair, uses, int(year)) for year in said.value.split()} if said is not None else {False}


def _carries(design: str, pair: Pair, uses: Sequence[UseInfo], year: int) -> bool:
    world = pair.target
    model, built, plant = (world[name].value if name in world else "" for name in ("model", "built", "plant"))
    return any(
        use.design == design
        and use.model == model
        and use.known_by in PROVEN
        and not (use.year_from and year < use.year_from)
        and not (use.year_to and year > use.year_to)
        and not (use.built_from and built < use.built_from)
        and not (use.built_to and built > use.built_to)
        and not (use.plants and plant not in use.plants)
        and all(_is_given(name, value, pair) for name, value in use.given)
        for use in uses
    )


def _is_given(name: str, value: str, pair: Pair) -> bool:
    if name == "side":
        return pair.target_subject.side == value
    return name in pair.target and same(pair.target[name].value, value)
