"""How long one pattern of 10 points takes against thousands of vehicles' patterns, stacked once beforehand.

    .venv/bin/python tests/benchmarks/bench_patterns.py
    .venv/bin/python tests/benchmarks/bench_patterns.py --vehicles 1000 --rounds 20

Yards: `other` vehicles all of other designs; `usual` one in ten of the part's design, two in ten near it, the rest
others; `near` all so near that clearance and doubt decide (the hardest for the verdict); `symmetric` frames alike
left and right, all of the part's design; `circle` bolt circles of ten alike holes (ten ways each, twenty with
the back). Reported are milliseconds, best and median, and the best of the processor alone (for a machine that is busy
otherwise); and how far the batch is from a plain loop.
"""

from __future__ import annotations

import argparse
import statistics
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from app.fit.patterns.batch import Vehicles
from app.fit.patterns.match import fits
from app.fit.patterns.pairing import Match
from app.fit.patterns.points import Kind, Pattern, Point, View
from app.fit.patterns.problem import Floats
from app.fit.patterns.rigid import least_squares

POINTS = 10
U_MM = 0.75
LOOPED = 200


def pattern(name: str, places: Floats, kind: Kind, size: float) -> Pattern:
    """Points M0 … M9 at these places."""
    points = [Point(f"M{at}", tuple(place), kind, size, U_MM) for at, place in enumerate(places.tolist())]
    return Pattern(name, tuple(points), View.PLAN if places.shape[1] == 2 else View.BODY)


def turned(chosen: np.random.Generator, places: Floats) -> Floats:
    """The same places, turned and shifted at random."""
    turn, upper = np.linalg.qr(chosen.normal(size=(places.shape[1],) * 2))
    turn = turn * np.sign(np.diag(upper))
    turn[:, 0] *= np.linalg.det(turn)
    moved: Floats = places @ turn + chosen.uniform(-2000, 2000, places.shape[1])
    return moved


def random_frame(chosen: np.random.Generator) -> Floats:
    """Mounts anywhere on a frame."""
    return chosen.uniform((0, -500, -150), (4000, 500, 250), (POINTS, 3))


def symmetric_frame(chosen: np.random.Generator) -> Floats:
    """Mounts alike left and right."""
    half = chosen.uniform((0, 300, -150), (4000, 500, 250), (POINTS // 2, 3))
    return np.concatenate([half, half * (1, -1, 1)])


def circle() -> Floats:
    """Ten holes on a circle."""
    angles = np.arange(POINTS) * 2 * np.pi / POINTS
    return 300 * np.stack([np.cos(angles), np.sin(angles)], axis=1)


def yard(kind: str, count: int, chosen: np.random.Generator) -> tuple[Pattern, list[Pattern]]:
    """The part and the vehicles."""
    own = {"symmetric": symmetric_frame(chosen), "circle": circle()}.get(kind, random_frame(chosen))
    vehicles = []
    for _ in range(count):
        share = chosen.uniform()
        noise = {"near": 2.5, "symmetric": 0.8, "circle": 0.8}.get(kind, 0.8 if share < 0.1 else 4.0)
        places = random_frame(chosen) if kind == "other" or (kind == "usual" and share > 0.3) else own
        moved = turned(chosen, places + chosen.normal(scale=noise, size=places.shape))
        vehicles.append(pattern("vehicle", moved, Kind.HOLE, 22.0))
    return pattern("part", own, Kind.STUD, 12.0), vehicles


def shuffled(vehicles: list[Pattern], chosen: np.random.Generator) -> list[Pattern]:
    """The same patterns with their points in another order, and unnamed."""
    mixed = []
    for vehicle in vehicles:
        order = chosen.permutation(len(vehicle.points))
        points = tuple(replace(vehicle.points[at], name=f"hole {place}") for place, at in enumerate(order))
        mixed.append(replace(vehicle, points=points))
    return mixed


def timed(rounds: int, task: Callable[[], object]) -> tuple[float, float, float]:
    """Best and median milliseconds of a task, and the best of the processor's, after one run to warm up."""
    task()
    taken, busy = [], []
    for _ in range(rounds):
        started, working = time.perf_counter(), time.process_time()
        task()
        taken.append((time.perf_counter() - started) * 1000)
        busy.append((time.process_time() - working) * 1000)
    return min(taken), statistics.median(taken), min(busy)


def off_the_loop(part: Pattern, vehicles: list[Pattern], stacked: Vehicles) -> float:
    """The farthest that a point comes to lie from where the plain loop puts it, in mm."""
    found = stacked.least_squares(part)
    a = np.array([point.position for point in part.points])
    far = 0.0
    for at, vehicle in enumerate(vehicles[:LOOPED]):
        plain = least_squares(a, [point.position for point in vehicle.points]).apply(a)
        far = max(far, float(np.abs(plain - a @ found.turn[at].T - found.shift[at]).max()))
    return far


def disagreements(part: Pattern, vehicles: list[Pattern], stacked: Vehicles, match: Match) -> int:
    """How many of the first few verdicts differ from those given one by one."""
    screened = stacked.screen(part, match=match)
    one_by_one = [fits(part, vehicle, match=match).outcome for vehicle in vehicles[: LOOPED // 10]]
    return sum(screened.outcome(at) is not outcome for at, outcome in enumerate(one_by_one))


def report(what: str, figures: tuple[float, float, float], note: str) -> None:
    """One line of the table."""
    print(f"{what:<44}{''.join(f'{figure:>10.1f}' for figure in figures)}   {note}")


def main() -> None:
    """Build the yards and report."""
    parser = argparse.ArgumentParser(description="Time one pattern against many.")
    parser.add_argument("--vehicles", type=int, default=5000)
    parser.add_argument("--rounds", type=int, default=9)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    chosen = np.random.default_rng(given.seed)
    print(
        f"{'one part of 10 points, ' + format(given.vehicles, ',') + ' vehicles':<44}"
        f"{'best ms':>10}{'median ms':>10}{'cpu ms':>10}"
    )
    for kind in ("other", "usual", "near"):
        part, vehicles = yard(kind, given.vehicles, chosen)
        stacked = Vehicles(vehicles)
        if kind == "usual":
            report("stacking, once", timed(1, lambda vehicles=vehicles: Vehicles(vehicles)), "")  # type: ignore[misc]
        ask = timed(given.rounds, lambda stacked=stacked, part=part: stacked.least_squares(part))  # type: ignore[misc]
        report(f"least squares, {kind}", ask, f"{off_the_loop(part, vehicles, stacked):.0e} mm off the plain loop")
        ask = timed(given.rounds, lambda stacked=stacked, part=part: stacked.screen(part))  # type: ignore[misc]
        note = f"{np.bincount(stacked.screen(part).codes, minlength=3).tolist()} fit, in doubt, do not; "
        wrong = disagreements(part, vehicles, stacked, Match.NAMES)
        report(f"verdict, points by name, {kind}", ask, f"{note}{wrong} differ from one by one")
    for kind in ("other", "usual", "symmetric", "circle"):
        part, vehicles = yard(kind, given.vehicles, chosen)
        vehicles = shuffled(vehicles, chosen)
        stacked = Vehicles(vehicles)
        ask = timed(given.rounds, lambda stacked=stacked, part=part: stacked.screen(part, match=Match.SEARCH))  # type: ignore[misc]
        found = stacked.screen(part, match=Match.SEARCH)
        note = f"{np.bincount(found.codes, minlength=3).tolist()}, {found.ways.sum():,} ways; "
        wrong = disagreements(part, vehicles, stacked, Match.SEARCH)
        report(f"verdict, points searched, {kind}", ask, f"{note}{wrong} differ from one by one")


if __name__ == "__main__":
    main()
