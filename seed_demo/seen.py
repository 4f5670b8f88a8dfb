"""What a puller saw, counted or measured on a part: true of its vehicle, with the tool it was taken with."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache

from app.book.schema import Law
from app.fit.lengths import Tool, measured
from app.fit.terms import FactKind, Side
from seed_demo.known import TypeKnown
from seed_demo.vehicles import Vehicle
from seed_demo.yard import Yard, some

SEEN_PERCENT = 88
"""How often a puller writes down a fact that he should look for."""

LEAST_THICKNESS = "1.06"


@dataclass(frozen=True, slots=True)
class Saw:
    """A fact of a part as it was typed; a length has its millimeters, doubt and tool."""

    fact: str
    value: str
    mm: float | None = None
    u_mm: float | None = None
    tool: str = ""
    known_by: str = "seen"


def look_at(yard: Yard, vehicle: Vehicle, kind: TypeKnown, side: Side, at: datetime, rng: random.Random) -> list[Saw]:
    """What was written down of a part, in the order in which it is asked."""
    found = []
    for name in kind.look_for:
        value = _on_the_part(yard, vehicle, name, side, at, rng)
        by_law = kind.law in (Law.AIRBAG, Law.BELT, Law.HIGH_VOLTAGE, Law.WEAR)
        if value and (by_law or some(rng, SEEN_PERCENT)):
            found.append(_saw(yard, name, value, rng))
    return found


def _saw(yard: Yard, name: str, value: str, rng: random.Random) -> Saw:
    if yard.known.facts[name].kind is not FactKind.LENGTH:
        return Saw(name, value)
    tool = Tool.DIAL_CALIPER if "thickness" in name or "wire" in name else rng.choice([Tool.HOOK_TAPE, Tool.TRAM_GAUGE])
    mm, u_mm = _length(value, tool)
    return Saw(name, value, mm, u_mm, str(tool), "measured")


@lru_cache(maxsize=4096)
def _length(value: str, tool: Tool) -> tuple[float, float]:
    taken = measured(value, tool)
    return taken.length.mm, taken.u_mm


def _on_the_part(yard: Yard, vehicle: Vehicle, name: str, side: Side, at: datetime, rng: random.Random) -> str | None:
    """The value of a fact: by the part's own state, else as the vehicle is; None for what is not there."""
    if name in _YES_PERCENT:
        return "yes" if some(rng, _YES_PERCENT[name]) else "no"
    if name in ("bleeder top side", "bar stamp"):
        return str(side) if name == "bleeder top side" else str(side)[:1]
    if name in ("recall checked", "tested on"):
        return _checked(yard, at, rng)
    if name in _MADE_UP:
        return _made_up(vehicle, name, rng)
    return vehicle.truth.get(name)


_YES_PERCENT = {
    "leaking": 12, "burn marks": 8, "open recall": 7, "airbag fired": 4, "wet": 2, "pretensioner fired": 8,
    "belt cut": 4,
}  # fmt: skip
_MADE_UP = (
    "rotor thickness", "least thickness", "driveshaft length", "module spread", "cold amps", "mileage shown", "keys",
    "paired to", "cushion height",
)  # fmt: skip


def _checked(yard: Yard, at: datetime, rng: random.Random) -> str | None:
    """The day of the last look-up or test: most of them lately, some long ago, some never."""
    if some(rng, 25):
        return None
    ago = rng.randrange(0, 25) if some(rng, 65) else rng.randrange(35, 200)
    return max(yard.today - timedelta(days=ago), at.date()).isoformat()


def _made_up(vehicle: Vehicle, name: str, rng: random.Random) -> str | None:
    if name == "rotor thickness":
        return f"{rng.uniform(1.02, 1.24):.2f} in"
    if name == "driveshaft length":
        needed = vehicle.truth.get("driveshaft length needed", "")
        start = float(needed.removesuffix(" in")) if needed else rng.uniform(44, 66)
        return f"{round((start + rng.uniform(-0.15, 0.15)) * 16) / 16:.4g} in"
    if name == "mileage shown":
        return str(vehicle.miles) if vehicle.miles is not None else None
    plain = {
        "least thickness": f"{LEAST_THICKNESS} in",
        "module spread": f"{rng.uniform(0.05, 0.34):.2f}",
        "cold amps": str(rng.randrange(500, 860, 10)),
        "keys": str(rng.choice([1, 2, 2])),
        "paired to": vehicle.stock_number,
        "cushion height": "2.10 in",
    }
    return plain[name]
