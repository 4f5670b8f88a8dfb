"""Is a frame straight: the two diagonals of one box between the rails, held against each other."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from app.fit.lengths import LengthUnit, Measured, Number, Tool, measured
from app.fit.tape import TapeDecision, TapeOutcome, decide_measured, figure

USUAL_LIMIT_MM = 6.35
"""A quarter inch, a yard setting. Common practice, no source."""


class DiagonalOutcome(StrEnum):
    """What two diagonals say about the box they span."""

    STRAIGHT = "straight"
    BENT = "bent"
    MEASURE_AGAIN = "measure again"


_OUTCOMES = {
    TapeOutcome.FITS: DiagonalOutcome.STRAIGHT,
    TapeOutcome.DOES_NOT_FIT: DiagonalOutcome.BENT,
    TapeOutcome.MEASURE_AGAIN: DiagonalOutcome.MEASURE_AGAIN,
}


@dataclass(frozen=True, slots=True)
class DiagonalVerdict:
    """The outcome with both readings and the figures, in `unit`, that it stands on."""

    outcome: DiagonalOutcome
    a: Measured
    b: Measured
    d: Fraction
    doubt: Fraction
    limit: Fraction
    unit: LengthUnit
    words: str


def read_diagonal(text: str, tool: Tool = Tool.HOOK_TAPE, u: str | None = None) -> Measured:
    """A diagonal as typed; it is pulled clear between two points, so a hook tape is good to 1/16 in.

    `u` is another uncertainty as typed. LengthError for what cannot be read.
    """
    return measured(text, tool, u, clear_pull=True)


def check_diagonals(
    a: Measured, b: Measured, limit_mm: Number = USUAL_LIMIT_MM, unit: str = LengthUnit.INCH
) -> DiagonalVerdict:
    """Straight, bent, or measure again, by the two diagonals of one box and a limit in millimeters.

    Straight when d + U <= limit, bent when d - U > limit. The figures come in `unit`.
    """
    decision = decide_measured(a, b, limit_mm, unit)
    outcome = _OUTCOMES[decision.outcome]
    words = _words(outcome, decision, a, b, unit)
    return DiagonalVerdict(outcome, a, b, decision.d, decision.doubt, decision.allowed, LengthUnit(unit), words)


def _words(outcome: DiagonalOutcome, decision: TapeDecision, a: Measured, b: Measured, unit: str) -> str:
    d, doubt, limit = figure(decision.d), figure(decision.doubt), figure(decision.allowed)
    most, least = figure(decision.d + decision.doubt), figure(decision.d - decision.doubt)
    start = f"{a.length.typed} ({a.tool}) and {b.length.typed} ({b.tool}): difference {d} {unit}"
    if outcome is DiagonalOutcome.STRAIGHT:
        return f"{start}; {d} + {doubt} = {most}, within {limit}: straight"
    if outcome is DiagonalOutcome.BENT:
        return f"{start}; {d} - {doubt} = {least}, over {limit}: bent"
    finer = _finer(decision, unit)
    return f"{start}; neither {most} within {limit} nor {least} over it: measure again, {finer}"


def _finer(decision: TapeDecision, unit: str) -> str:
    """What tool would decide, were the readings to stay; right at the limit no figure can be promised."""
    if not decision.enough:
        return "with the finest tool"
    grade = "good to" if decision.d < decision.allowed else "better than"
    return f"with a tool {grade} {figure(decision.enough / 2)} {unit} a reading"
