"""What is done with a vehicle before anything comes off: weighed in, drained, its frame looked at."""

from __future__ import annotations

import random
from datetime import datetime, timedelta
from decimal import Decimal

from app.book.schema import FrameState, FrameSurvey, Removal, SurveyMeasure, TicketKind
from app.fit.diagonals import DiagonalOutcome, check_diagonals, read_diagonal
from app.fit.lengths import Tool, measured
from app.fit.terms import FrontSuspension, Group, RearSuspension, Section
from app.fit.weights import Fluid, fluid_weight
from seed_demo.scale import on_division
from seed_demo.vehicles import Vehicle, add_cost
from seed_demo.weighing import Weighing
from seed_demo.yard import Yard, some

BAD_REPAIR = ("plate welded across the flange", "heat blue on the rail", "filler on a rail", "holes in the flange")
RAIL = (("rail height", Tool.HOOK_TAPE), ("rail width", Tool.HOOK_TAPE), ("rail wall", Tool.DIAL_CALIPER))


def settle_in(yard: Yard, vehicles: list[Vehicle]) -> None:
    """Weigh, drain and survey what came in, in the order it came."""
    rng = yard.chances("arrival")
    for vehicle in vehicles:
        age = yard.days_since(vehicle.arrived_at)
        if age > 20 or (age > 0 and some(rng, 75)):
            _weigh_in(yard, vehicle, rng)
        start = max(vehicle.arrived_at, vehicle.ready_at or vehicle.arrived_at)
        drained = yard.after(start, rng.randrange(1, 6), rng)
        if drained is None:
            continue
        _drain(yard, vehicle, drained, rng)
        vehicle.ready_at = drained
        looked = yard.after(drained, rng.randrange(0, 4), rng)
        if looked is not None and some(rng, 80):
            _survey(yard, vehicle, looked, rng)


def _weigh_in(yard: Yard, vehicle: Vehicle, rng: random.Random) -> None:
    curb = yard.known.model_habits[vehicle.plate.key].curb_lb
    vehicle.net_lb = on_division(curb * rng.uniform(0.93, 1.05))
    yard.weighings.append(
        Weighing(
            kind=TicketKind.ARRIVAL,
            at=vehicle.arrived_at + timedelta(minutes=rng.randrange(4, 18)),
            tare=on_division(rng.uniform(15_200, 16_400)),
            net=vehicle.net_lb,
            commodity="vehicle",
            stock_number=vehicle.stock_number,
            donor_id=vehicle.id,
        )
    )


def _drain(yard: Yard, vehicle: Vehicle, at: datetime, rng: random.Random) -> None:
    car = vehicle.truth["frame section"] == "unibody"
    size = 0.6 if car else 1.0
    gallons = {
        Fluid.GASOLINE: rng.uniform(2, 16) * size,
        Fluid.ENGINE_OIL: rng.uniform(1.2, 2.0) * size,
        Fluid.COOLANT: rng.uniform(2.5, 5.0) * size,
        Fluid.GEARBOX_FLUID: rng.uniform(2, 4) * size,
        Fluid.AXLE_OIL: 0.0 if car else rng.uniform(0.5, 1.5),
        Fluid.BRAKE_FLUID: rng.uniform(0.2, 0.5),
    }
    off: list[tuple[str, Decimal | None, Decimal, str]] = []
    for fluid, amount in gallons.items():
        metered = Decimal(f"{amount:.1f}")
        if metered:
            off.append((str(fluid), metered, fluid_weight(fluid, metered), "metered"))
    rear_air = vehicle.truth.get("rear air") == "yes"
    recovered = rng.uniform(2.6, 3.9) if rear_air else rng.uniform(1.0, 1.8)
    off.append(("refrigerant", None, Decimal(f"{recovered:.1f}"), "weighed"))
    off.append(("cat", None, Decimal(f"{rng.uniform(8, 20) * size:.1f}"), "weighed"))
    for number, (what, volume, pounds, how) in enumerate(off, start=1):
        yard.ledger.add(
            Removal,
            donor_id=vehicle.id,
            number=number,
            what=what,
            gallons=volume,
            weight_lb=pounds,
            how=how,
            at=at,
            by_="IN",
        )
    vehicle.metered_lb = sum((pounds for _, _, pounds, _ in off), Decimal(0))
    hours = Decimal(rng.choice(["0.5", "0.75", "1.0"]))
    add_cost(yard, vehicle, "labor", int(hours * 3300), at, "depollution")
    add_cost(yard, vehicle, "disposal", rng.randrange(15, 45, 5) * 100, at)
    fluids = sum((pounds for _, volume, pounds, _ in off if volume is not None), Decimal(0))
    words = f"drained {fluids} lb of fluids, {vehicle.metered_lb} lb off in all"
    yard.ledger.note(at, "intake", "IN", "drain", vehicle.stock_number, words)


def _survey(yard: Yard, vehicle: Vehicle, at: datetime, rng: random.Random) -> None:
    truth = vehicle.truth
    unibody = truth["frame section"] == "unibody"
    bad = [rng.choice(BAD_REPAIR)] if not unibody and some(rng, 4) else []
    typed = None if unibody else _diagonals(rng)
    state, arithmetic = _verdict(unibody, bad, typed)
    survey = yard.ledger.add(
        FrameSurvey,
        donor_id=vehicle.id,
        number=1,
        at=at,
        by_="IN",
        section=Section(truth["frame section"]),
        front=FrontSuspension(truth["front suspension"]),
        rear=RearSuspension(truth["rear suspension"]),
        datum="" if unibody else "M2 cowl",
        bad_repair=bad,
        verdict=state,
        arithmetic=arithmetic,
    )
    if typed:
        for number, reading in enumerate(typed, start=1):
            _measure(yard, survey, f"diagonal middle {number}", reading, Tool.HOOK_TAPE, clear=True)
        for name, tool in RAIL:
            if name in truth and some(rng, 80):
                _measure(yard, survey, name, truth[name].removesuffix(" in"), tool)
    vehicle.frame_known, vehicle.frame_reason = str(state), f"survey of {at:%Y-%m-%d}"
    yard.ledger.note(
        at,
        "intake",
        "IN",
        "frame survey",
        vehicle.stock_number,
        f"frame {state}: {arithmetic}",
        {"identity": vehicle.models[Group.FRAME].words, "blocked": []},
    )


def _diagonals(rng: random.Random) -> tuple[str, str]:
    """Two diagonals of the middle box in inches: mostly straight, now and then in doubt or bent."""
    sixteenths = rng.choices([0, 1, 4, 9, 12], [46, 40, 5, 5, 4])[0]
    whole, first = rng.randrange(112, 134), rng.randrange(0, 4)
    return f"{whole} {first}/16", f"{whole} {first + sixteenths}/16"


def _verdict(unibody: bool, bad: list[str], typed: tuple[str, str] | None) -> tuple[FrameState, str]:
    if unibody or typed is None:
        return FrameState.NO_FRAME, "unibody, no separate frame"
    checked = check_diagonals(read_diagonal(typed[0]), read_diagonal(typed[1]))
    states = {
        DiagonalOutcome.STRAIGHT: FrameState.STRAIGHT,
        DiagonalOutcome.BENT: FrameState.SCRAP_ONLY,
        DiagonalOutcome.MEASURE_AGAIN: FrameState.MEASURE_AGAIN,
    }
    words = f"middle: {checked.words}"
    if bad:
        return FrameState.SCRAP_ONLY, f"{words}; signs of bad repair: {', '.join(bad)}"
    return states[checked.outcome], words


def _measure(yard: Yard, survey: int, name: str, typed: str, tool: Tool, *, clear: bool = False) -> None:
    value = read_diagonal(typed, tool) if clear else measured(typed, tool)
    yard.ledger.add(
        SurveyMeasure,
        survey_id=survey,
        name=name,
        typed=typed,
        mm=value.length.mm,
        u_mm=value.u_mm,
        tool=str(tool),
    )
