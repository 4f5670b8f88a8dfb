"""What an arm swap does, in sentences that can be said over the counter and written under an answer."""

from __future__ import annotations

from app.fit.lengths import in_words
from app.fit.suspension.swap import Figured, SwapFigures, Taken

ALIGNMENT = (
    "Springs under load can kill: unload a torsion bar or coil with the proper tool before an arm comes off. "
    "Steering and brakes are for a qualified person, with an alignment after."
)
"""The caution that goes with every answer about arms."""


def sentences(swap: SwapFigures, unit: str = "in") -> tuple[str, ...]:
    """The consequences, each with its number, and what they come to; lengths in `unit`."""
    said = [_camber(swap, unit), *_adjusters(swap), _track(swap, unit)]
    said += _tie_rod(swap.tie_rod, unit) + _half_shaft(swap.half_shaft, unit)
    if swap.lower_by_mm or swap.upper_by_mm:
        said.append(f"Both sides alike, never one side only: alone it stands {abs(swap.camber_deg):.2f} degrees apart")
    if swap.roadworthy is False:
        said.append("Not for road use as it stands")
    return tuple(said)


def spoken(swap: SwapFigures, unit: str = "in") -> str:
    """The same as one would say it to a customer, rounded to the half degree."""
    side = abs(swap.track_side_mm)
    moves = f"moves the bottom of the tire {'out' if swap.track_side_mm > 0 else 'in'} {in_words(side, unit)}"
    halves = round(abs(swap.camber_deg) * 2) / 2
    lean = f"leans the top {'in' if swap.camber_deg < 0 else 'out'} about {halves:g} degrees"
    said = " and ".join(part for part, holds in ((moves, side >= 0.05), (lean, halves > 0)) if holds)
    if not said:
        return "It leaves the wheel where it is."
    takes = f", and your cams take out {swap.adjusters_deg:g}" if swap.adjusters_deg is not None and halves else ""
    end = " I wouldn't put it on the road." if swap.roadworthy is False else ""
    return f"It {said}{takes}.{end}"


def _camber(swap: SwapFigures, unit: str) -> str:
    lean = "no lean" if abs(swap.camber_deg) < 0.005 else f"top leans {'in' if swap.camber_deg < 0 else 'out'}"
    degrees = f"{abs(swap.camber_deg):.2f} degrees"
    if swap.figured is Figured.EXACT:
        return f"Camber by exact geometry: {degrees}, {lean}"
    difference = in_words(abs(swap.lower_by_mm - swap.upper_by_mm), unit).removesuffix(f" {unit}")
    height = in_words(swap.ball_height_mm, unit).removesuffix(f" {unit}")
    return f"Camber by the simple figure, atan({difference}/{height}): {degrees}, {lean}"


def _adjusters(swap: SwapFigures) -> list[str]:
    if swap.adjusters_deg is None or swap.camber_left_deg is None:
        return []
    change, takes, left = abs(swap.camber_deg), swap.adjusters_deg, swap.camber_left_deg
    if left > 0:
        return [f"Cam adjusters take out {takes:.2f}, left over {change:.2f} - {takes:.2f} = {left:.2f} degrees"]
    return [f"Cam adjusters take it out: {change:.2f} of {takes:.2f} degrees"]


def _track(swap: SwapFigures, unit: str) -> str:
    side, pair = _signed(swap.track_side_mm, unit), _signed(swap.track_pair_mm, unit)
    return f"Track {side} a side, {pair} as a pair, at {swap.track_at}"


def _tie_rod(rod: Taken, unit: str) -> list[str]:
    way = "out" if rod.needed_mm >= 0 else "in"
    if rod.left_mm is None:
        still = abs(rod.needed_mm) < 0.05
        return [] if still else [f"Tie-rod end must come {way} {_size(rod.needed_mm, unit)}: look at the thread left"]
    left = f"left over {_size(rod.left_mm, unit)}" if rod.left_mm >= 0 else f"short by {_size(rod.left_mm, unit)}"
    has = in_words(rod.has_mm or 0.0, unit)
    return [f"Tie-rod end must come {way} {_size(rod.needed_mm, unit)} with {has} of thread left: {left}"]


def _half_shaft(shaft: Taken, unit: str) -> list[str]:
    way = "outward" if shaft.needed_mm >= 0 else "inward"
    if shaft.left_mm is None:
        return []
    bare = [in_words(each, unit).removesuffix(f" {unit}") for each in (shaft.has_mm or 0.0, abs(shaft.needed_mm))]
    end = "left over" if shaft.left_mm >= 0 else "short"
    return [f"Half-shaft plunge {way}, {end}: {bare[0]} - {bare[1]} = {in_words(shaft.left_mm, unit)}"]


def _size(mm: float, unit: str) -> str:
    return in_words(abs(mm), unit)


def _signed(mm: float, unit: str) -> str:
    text = in_words(mm, unit)
    return text if text.startswith("-") else f"+{text}"
