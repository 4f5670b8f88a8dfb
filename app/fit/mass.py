"""What a hulk should weigh after all that came off it, and whether the scale agrees.

The rule is the yard's own setting (common practice, no source): doubt is four truck-scale steps, a tenth
of the estimated weights and a hundredth of the weighed and metered ones. All weights in pounds.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from app.fit.weights import WeightError

SCALE_READINGS = 4
"""Gross and tare at arrival, gross and tare at the end."""

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
    """Expected hulk weight and doubt, the verdict, `over` (hulk less expected) and the parts near it."""

    arrival_net: Decimal
    removed: Decimal
    expected: Decimal
    doubt: Decimal
    hulk_net: Decimal | None
    over: Decimal | None
    verdict: MassVerdict
    suspects: tuple[Removal, ...]
    words: str


def balance(
    arrival_net: Decimal,
    removals: Sequence[Removal],
    division: Decimal = Decimal(20),
    hulk_net: Decimal | None = None,
) -> MassBalance:
    """Hold a hulk against its arrival net less everything recorded off; pounds, exact.

    Over expected + doubt is too heavy, under expected - doubt too light, the edges themselves as expected.
    """
    removed = sum((removal.weight_lb for removal in removals), Decimal(0))
    expected, doubt = arrival_net - removed, _doubt(removals, division)
    over = None if hulk_net is None else hulk_net - expected
    verdict = _verdict(arrival_net, hulk_net, over, doubt)
    suspects = _suspects(removals, over, doubt) if over is not None and verdict in STOPS else ()
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
    suspects: Sequence[Removal],
) -> str:
    start = f"expected {expected:,f} lb, doubt {doubt:,f}"
    if hulk_net is None or over is None:
        return f"{start}, {verdict}"
    side = "over" if over >= 0 else "under"
    parts = [f"{start}; hulk {hulk_net:,f}, {abs(over):,f} {side}: {verdict}", _CAUSES[verdict]]
    if suspects:
        parts.append("look for " + ", ".join(f"{s.words} ({s.weight_lb:,f} lb)" for s in suspects))
    return "; ".join(part for part in parts if part)
