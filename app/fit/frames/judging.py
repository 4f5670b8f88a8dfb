"""From the three answers of a tape to straight, measure again, bent."""

from __future__ import annotations

from collections.abc import Iterable

from app.fit.diagonals import DiagonalOutcome
from app.fit.frames.findings import DamageVerdict
from app.fit.frames.verdicts import Verdict

_OF_A_TAPE = {
    Verdict.SAME: DamageVerdict.STRAIGHT,
    Verdict.MEASURE_AGAIN: DamageVerdict.MEASURE_AGAIN,
    Verdict.DIFFERENT: DamageVerdict.BENT,
}
_OF_DIAGONALS = {
    DiagonalOutcome.STRAIGHT: DamageVerdict.STRAIGHT,
    DiagonalOutcome.MEASURE_AGAIN: DamageVerdict.MEASURE_AGAIN,
    DiagonalOutcome.BENT: DamageVerdict.BENT,
}
_WORST_FIRST = (DamageVerdict.BENT, DamageVerdict.MEASURE_AGAIN, DamageVerdict.STRAIGHT)


def damage_verdict(verdict: Verdict) -> DamageVerdict:
    """What a tape's answer says of a frame."""
    return _OF_A_TAPE[verdict]


def diagonal_verdict(outcome: DiagonalOutcome) -> DamageVerdict:
    """What two diagonals say of a frame."""
    return _OF_DIAGONALS[outcome]


def worst_damage(verdicts: Iterable[DamageVerdict]) -> DamageVerdict:
    """The worst of several; what was not measured says nothing."""
    given = set(verdicts)
    return next((verdict for verdict in _WORST_FIRST if verdict in given), DamageVerdict.NOT_MEASURED)
