"""Where to lay one frame over another: the place where most mounts agree."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Alignment:
    """How the second frame was moved to lie over the first: rearward and up in mm; turned in degrees.

    `turned` is (roll, pitch, yaw), all zero where only shifted. `found_on` are the mounts that agree; `datum` is
    the mount it was laid on, empty where it was searched.
    """

    x_mm: float
    y_mm: float
    z_mm: float
    turned: tuple[float, float, float]
    found_on: tuple[str, ...]
    datum: str
    words: str
