"""What a hulk should weigh after all that came off it, and whether the scale agrees.

The rule is the yard's own setting (common practice, no source): doubt is four truck-scale steps, a tenth
of the estimated weights and a hundredth of the weighed and metered ones. All weights in pounds.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from itertools import combinations

from app.fit.weights import WeightError

SCALE_READINGS = 4
"""Gross and tare at arrival, gross and tare at the end."""

MOST_SUSPECTS = 6
"""More names than that help nobody to look."""

ESTIMATED_SHARE = Decimal("0.10")
MEASURED_SHARE = Decimal("0.01")


class How(StrEnum):
    """Where a removed weight comes from."""

    WEIGHED = "weighed"
    METERED = "metered"
    ESTIMATED = "estimated"


@dataclass(frozen=True, slots=True)
class Removal:
    """Something recorded as taken off. `missing` when it is reported missing or its label was never scanned."""

    words: str
    weight_lb: Decimal
    how: How
    missing: bool = False

    def __post_init__(self) -> None:
        if not self.weight_lb.is_finite() or self.weight_lb < 0:
            raise WeightError(f"{self.words}: {self.weight_lb} lb cannot have come off", "Weigh it again")


@dataclass(frozen=True, slots=True)
class StillOn:
    """Something the book has as still on the vehicle: tagged and listed, or a kind of part no tag was made of."""

    words: str
    weight_lb: Decimal
    tagged: bool = True

    def __post_init__(self) -> None:
        if not self.weight_lb.is_finite() or self.weight_lb <= 0:
            raise WeightError(f"{self.words}: {self.weight_lb} lb is no weight", "Take its usual weight")


class MassVerdict(StrEnum):
    """What the scale says about what was recorded."""

    NOT_WEIGHED = "not weighed yet"
    AS_EXPECTED = "as expected"
    TOO_HEAVY = "too heavy"
    TOO_LIGHT = "too light"
    HEAVIER_THAN_ARRIVAL = "heavier than it came in"


STOPS = frozenset({MassVerdict.TOO_HEAVY, MassVerdict.HEAVIER_THAN_ARRIVAL})
"""The verdicts that stop a hulk from leaving; too light is a warning."""


@dataclass(frozen=True, slots=True)
class MassBalance:
    """Expected hulk weight and doubt, the verdict, `over` (hulk less expected) and the parts near it.

    Suspects of a hulk too heavy are recorded off and may still be on; of one too light they are recorded on,
    and may have left without a tag.
    """

    arrival_net: Decimal
    removed: Decimal
    expected: Decimal
    doubt: Decimal
    hulk_net: Decimal | None
    over: Decimal | None
    verdict: MassVerdict
    suspects: tuple[Removal | StillOn, ...]
    words: str


def balance(
    arrival_net: Decimal,
    removals: Sequence[Removal],
    division: Decimal = Decimal(20),
    hulk_net: Decimal | None = None,
    still_on: Sequence[StillOn] = (),
) -> MassBalance:
    """Hold a hulk against its arrival net less everything recorded off; pounds, exact.

    Over expected + doubt is too heavy, under expected - doubt too light, the edges themselves as expected.
    `still_on` is what may have left without a tag.
    """
    removed = sum((removal.weight_lb for removal in removals), Decimal(0))
    expected, doubt = arrival_net - removed, _doubt(removals, division)
    over = None if hulk_net is None else hulk_net - expected
    verdict = _verdict(arrival_net, hulk_net, over, doubt)
    suspects: tuple[Removal | StillOn, ...] = ()
    if over is not None and verdict in STOPS:
        suspects = _suspects(removals, over, doubt)
    elif over is not None and verdict is MassVerdict.TOO_LIGHT:
        suspects = _gone(still_on, -over, doubt)
    words = _words(expected, doubt, hulk_net, over, verdict, suspects)
    return MassBalance(arrival_net, removed, expected, doubt, hulk_net, over, verdict, suspects, words)


def _doubt(removals: Sequence[Removal], division: Decimal) -> Decimal:
    estimated = sum((r.weight_lb for r in removals if r.how is How.ESTIMATED), Decimal(0))
    measured = sum((r.weight_lb for r in removals if r.how is not How.ESTIMATED), Decimal(0))
    return SCALE_READINGS * division + ESTIMATED_SHARE * estimated + MEASURED_SHARE * measured


def _verdict(arrival_net: Decimal, hulk_net: Decimal | None, over: Decimal | None, doubt: Decimal) -> MassVerdict:
    if hulk_net is None or over is None:
        return MassVerdict.NOT_WEIGHED
    if over < -doubt:
        return MassVerdict.TOO_LIGHT
    if over <= doubt:
        return MassVerdict.AS_EXPECTED
    return MassVerdict.HEAVIER_THAN_ARRIVAL if hulk_net > arrival_net else MassVerdict.TOO_HEAVY


def _suspects(removals: Sequence[Removal], over: Decimal, doubt: Decimal) -> tuple[Removal, ...]:
    """Parts recorded off that weigh about the excess: missing ones first, then the nearest in weight.

    Drained fluids are left out, they cannot still be under the hulk as a piece. Common practice, no source.
    """
    near = (r for r in removals if r.how is not How.METERED and abs(r.weight_lb - over) <= doubt)
    return tuple(sorted(near, key=lambda r: (not r.missing, abs(r.weight_lb - over), r.words)))


def _gone(still_on: Sequence[StillOn], short: Decimal, doubt: Decimal) -> tuple[StillOn, ...]:
    """What weighs about the shortfall: tagged ones first, then the nearest in weight; else two tagged together.

    A weight in the book may be off by the share of an estimate. Common practice, no source.
    """
    one = _near(still_on, short, doubt)
    if one:
        return one
    tagged = [each for each in still_on if each.tagged]
    pairs = [StillOn(f"{a.words} and {b.words}", a.weight_lb + b.weight_lb) for a, b in combinations(tagged, 2)]
    return _near(pairs, short, doubt)


def _near(still_on: Sequence[StillOn], short: Decimal, doubt: Decimal) -> tuple[StillOn, ...]:
    near = [each for each in still_on if abs(each.weight_lb - short) <= doubt + ESTIMATED_SHARE * each.weight_lb]
    near.sort(key=lambda each: (not each.tagged, abs(each.weight_lb - short), each.words))
    return tuple(near[:MOST_SUSPECTS])


_CAUSES = {
    MassVerdict.AS_EXPECTED: "",
    MassVerdict.TOO_HEAVY: (
        "stop: a part tagged and not pulled, scrap or water in the body, mud, a wrong tare, another hulk"
    ),
    MassVerdict.TOO_LIGHT: "parts gone without a tag, or estimated weights too low",
    MassVerdict.HEAVIER_THAN_ARRIVAL: "stop: another hulk or another ticket",
}


def _words(
    expected: Decimal,
    doubt: Decimal,
    hulk_net: Decimal | None,
    over: Decimal | None,
    verdict: MassVerdict,
    suspects: Sequence[Removal | StillOn],
) -> str:
    start = f"expected {expected:,f} lb, doubt {doubt:,.0f}"
    if hulk_net is None or over is None:
        return f"{start}, {verdict}"
    side = "over" if over >= 0 else "under"
    parts = [f"{start}; hulk {hulk_net:,f}, {abs(over):,f} {side}: {verdict}", _CAUSES[verdict]]
    if suspects:
        lead = "may have left: " if verdict is MassVerdict.TOO_LIGHT else "look for "
        parts.append(lead + ", ".join(f"{s.words} ({s.weight_lb:,f} lb)" for s in suspects))
    return "; ".join(part for part in parts if part)
