"""Which groups of parts go from one frame to the other, by the measures of both and nothing else."""

from __future__ import annotations

from collections.abc import Callable

from app.fit.frames.arms import lower_arm, torsion_bar, upper_arm
from app.fit.frames.comparison import GroupVerdict
from app.fit.frames.hangers import bumper, fuel_tank, hitch
from app.fit.frames.made import Made
from app.fit.frames.seats import body, core_support

Rule = Callable[[Made], GroupVerdict | None]
RULES: tuple[Rule, ...] = (body, core_support, hitch, fuel_tank, bumper, lower_arm, upper_arm, torsion_bar)
"""Each says how its part made for one frame does on the other; None where nothing was measured that decides."""


def groups(there: Made, back: Made) -> tuple[GroupVerdict, ...]:
    """Every group of parts made for one frame onto the other, and the other way."""
    return tuple(found for rule in RULES for made in (there, back) if (found := rule(made)) is not None)
