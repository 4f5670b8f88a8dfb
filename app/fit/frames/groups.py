"""Which groups of parts go from one frame to the other, by the measures of both and nothing else."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from app.fit.frames.arms import lower_arm, torsion_bar, upper_arm
from app.fit.frames.comparison import CompareSettings, GroupVerdict, MountCheck
from app.fit.frames.hangers import bumper, fuel_tank, hitch
from app.fit.frames.made import Made
from app.fit.frames.seats import body, core_support
from app.fit.frames.shape import FrameShape

Rule = Callable[[Made], GroupVerdict | None]
RULES: tuple[Rule, ...] = (body, core_support, hitch, fuel_tank, bumper, lower_arm, upper_arm, torsion_bar)
"""Each says how its part made for one frame does on the other; None where nothing was measured that decides."""


def groups(
    a: FrameShape,
    b: FrameShape,
    mounts: Sequence[MountCheck],
    missing: tuple[tuple[str, ...], tuple[str, ...]],
    settings: CompareSettings,
) -> tuple[GroupVerdict, ...]:
    """Every group in both directions; `missing` are the mounts that only `a` and only `b` has."""
    there = Made(a, b, tuple(mounts), missing[0], 1.0, settings)
    back = Made(b, a, tuple(mounts), missing[1], -1.0, settings)
    return tuple(found for rule in RULES for made in (there, back) if (found := rule(made)) is not None)
