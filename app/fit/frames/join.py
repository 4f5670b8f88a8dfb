"""Can two rails be cut and joined: where along the length they agree, and what it costs against a straight frame.

Never a fit: welding a frame is for certified people under local rules, and an engineer signs for the joint.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from app.fit.amounts import money
from app.fit.frames.comparison import CompareSettings
from app.fit.frames.cuts import result_of, section_tests, unknown, worst_result
from app.fit.frames.findings import DamageVerdict
from app.fit.frames.joints import (
    USUAL_JOINT,
    JoinCost,
    JoinPlace,
    JoinResult,
    JoinSettings,
    JoinStation,
    Joint,
    JoinTest,
)
from app.fit.frames.laying import laid_over
from app.fit.frames.motion import Rigid
from app.fit.frames.rails import Rail, moved_rail, rail_at
from app.fit.frames.runs import OUTER, TOP, Stop, run_end, slope, stops_of
from app.fit.frames.shape import FrameError, FrameShape, RailStation, checked
from app.fit.frames.verdicts import figure, judge, length
from app.fit.terms import Grade, Hazard, Section

__all__ = ["JoinCost", "JoinPlace", "JoinResult", "JoinSettings", "JoinStation", "JoinTest", "Joint", "join"]

_PARTS = 8
"""Into how many parts the length between two stations is divided to look for a joint."""
_FUZZ_MM = 1e-6
_SOUND = {
    DamageVerdict.STRAIGHT: JoinResult.PASS,
    DamageVerdict.BENT: JoinResult.FAIL,
    DamageVerdict.MEASURE_AGAIN: JoinResult.MEASURE_AGAIN,
    DamageVerdict.NOT_MEASURED: JoinResult.MEASURE_AGAIN,
}
_GRADES = {
    JoinResult.PASS: Grade.NEEDS_WORK,
    JoinResult.MEASURE_AGAIN: Grade.MEASURE,
    JoinResult.FAIL: Grade.WONT_FIT,
}


@dataclass(frozen=True, slots=True)
class _Rails:
    """Both rails on one x, the first giving the front and the second the rear, and what is in the way on each."""

    a: Rail
    b: Rail
    stops_a: tuple[Stop, ...]
    stops_b: tuple[Stop, ...]


@dataclass(frozen=True, slots=True)
class _Cut:
    """The tests at one place, with the stops that bound its straight run."""

    station: JoinStation
    front: Stop | None
    rear: Stop | None
    sleeve_mm: float

    @property
    def run(self) -> tuple[Stop | None, Stop | None]:
        """What it lies between."""
        return self.front, self.rear

    @property
    def room_mm(self) -> float:
        """What is left beyond the nearer end of the sleeve; nothing where the run is not known."""
        if self.front is None or self.rear is None:
            return 0.0
        x = self.station.x_mm
        return min(x - self.front.x_mm, self.rear.x_mm - x) - self.sleeve_mm / 2


def join(
    a: FrameShape,
    b: FrameShape,
    settings: JoinSettings = USUAL_JOINT,
    *,
    shift_mm: float | None = None,
    a_straight: DamageVerdict = DamageVerdict.NOT_MEASURED,
    b_straight: DamageVerdict = DamageVerdict.NOT_MEASURED,
) -> Joint:
    """Where the front of frame `a` and the rear of frame `b` can be joined.

    `shift_mm` slides `b` rearward from where most mounts agree, to lengthen the frame (or shorten it, below zero).
    FrameError where no rail was measured, and for what cannot be compared.
    """
    one, other = checked(a), checked(b)
    for shape in (one, other):
        if not shape.rail and shape.section is not Section.UNIBODY:
            remedy = "Measure height, width, wall and spread at a place or more."
            raise FrameError("its rail was not measured", remedy, place=shape.name)
    cuts = _cuts(_rails(one, other, shift_mm or 0.0, settings), settings)
    places = tuple(_places(cuts, settings))
    sound = (_sound(one, a_straight), _sound(other, b_straight))
    grade = _grade(places, sound)
    cost = _cost(settings)
    return Joint(
        a=one.name,
        b=other.name,
        grade=grade,
        places=places,
        stations=tuple(cut.station for cut in _shown(cuts)),
        failed=() if places else _failed(cuts),
        sound=sound,
        cost=cost,
        words=_words(one, other, grade, places, sound, cost),
        conditions=_conditions(one, other, cuts, settings) if grade is not Grade.WONT_FIT else (),
        cautions=(Hazard.WELDING.caution, Hazard.LIFT.caution),
    )


def _rails(a: FrameShape, b: FrameShape, shift_mm: float, settings: JoinSettings) -> _Rails:
    alignment, _ = laid_over(a, b, CompareSettings(unit=settings.unit))
    x, y, z = alignment.motion.shift
    motion = Rigid(alignment.motion.rows, (x + shift_mm, y, z))
    return _Rails(a.rail, moved_rail(b.rail, motion), stops_of(a), stops_of(b, x + shift_mm))


def _cuts(rails: _Rails, settings: JoinSettings) -> list[_Cut]:
    return [cut for x in _spots(rails, settings) if (cut := _cut(rails, x, settings)) is not None]


def _spots(rails: _Rails, settings: JoinSettings) -> list[float]:
    """The places looked at: stations, even parts between all that lies along the rails, where a sleeve just fits.

    Nothing is cut at a mount or hanger itself.
    """
    stops = {stop.x_mm for stop in (*rails.stops_a, *rails.stops_b)}
    stations = {each.x_mm for rail in (rails.a, rails.b) if len(rail) > 1 for each in rail}
    ordered = sorted(stops | stations)
    if len(ordered) < 2:
        return [each.x_mm for each in rails.a[:1]]
    found = set(stations)
    for one, other in pairwise(ordered):
        found |= {one + (other - one) * part / _PARTS for part in range(1, _PARTS)}
        found |= {x for x in _fitting(rails, one, other, settings) if one < x < other}
    return sorted(x for x in found if all(abs(x - stop) > _FUZZ_MM for stop in stops))


def _fitting(rails: _Rails, one: float, other: float, settings: JoinSettings) -> Iterator[float]:
    """Between two neighboring marks: the middle of the free run, and where the sleeve just fits at either end."""
    front = max((stop.x_mm for stop in rails.stops_a if stop.x_mm <= one), default=one)
    rear = min((stop.x_mm for stop in rails.stops_b if stop.x_mm >= other), default=other)
    middle = (front + rear) / 2
    yield middle
    tall = _tallest(rail_at(rails.a, middle), rail_at(rails.b, middle))
    if tall is not None:
        reach = settings.sleeve_heights * tall + settings.end_clear_mm
        yield from (front + reach, rear - reach)


def _tallest(*rails: RailStation | None) -> float | None:
    return max((each.height_mm for each in rails if each is not None and each.height_mm is not None), default=None)


def _cut(rails: _Rails, x_mm: float, settings: JoinSettings) -> _Cut | None:
    a, b = rail_at(rails.a, x_mm), rail_at(rails.b, x_mm)
    if a is None or b is None:
        return None
    front = run_end(rails.a, rails.stops_a, x_mm, -1, settings)
    rear = run_end(rails.b, rails.stops_b, x_mm, 1, settings)
    tall = _tallest(a, b)
    sleeve = 2 * settings.sleeve_heights * tall if tall else 0.0
    tests = (
        *section_tests(a, b, settings),
        _in_line(rails, x_mm, sleeve / 2, settings),
        _room(x_mm, front, rear, tall, settings),
    )
    return _Cut(JoinStation(x_mm, worst_result(tests), tests), front, rear, sleeve)


def _in_line(rails: _Rails, x_mm: float, reach_mm: float, settings: JoinSettings) -> JoinTest:
    """Whether both rails run the same way from the joint, seen at the end of the sleeve."""
    off = 0.0
    for read in (OUTER, TOP):
        one, other = slope(rails.a, x_mm, -1, read), slope(rails.b, x_mm, 1, read)
        if one is not None and other is not None:
            off = max(off, abs(other - one) * reach_mm)
    judged = judge(off, (), settings.step_mm, settings.unit)
    words = f"in line: {length(off, settings.unit)} apart at the sleeve's end ({judged.arithmetic})"
    return JoinTest("in line", result_of(judged), "", "", off, "mm", settings.step_mm, words)


def _room(x_mm: float, front: Stop | None, rear: Stop | None, tall: float | None, settings: JoinSettings) -> JoinTest:
    """The straight free run against the sleeve and what must be clear beyond its ends."""
    what = "straight length for the sleeve"
    if tall is None:
        return unknown(what, "measure the rail's height")
    if front is None or rear is None:
        return unknown(what, "measure how far the rail runs straight and free on both sides of the joint")
    unit = settings.unit
    sleeve, free = 2 * settings.sleeve_heights * tall, rear.x_mm - front.x_mm
    clear = min(x_mm - front.x_mm, rear.x_mm - x_mm) - sleeve / 2
    result = JoinResult.PASS if clear >= settings.end_clear_mm - _FUZZ_MM else JoinResult.FAIL
    words = (
        f"{what}: {length(free, unit)} between {front.name} and {rear.name}; sleeve 2 × ({settings.sleeve_heights:g} ×"
        f" {figure(tall, unit)}) = {figure(sleeve, unit)}; {_clear_words(clear, free, sleeve, settings)}"
    )
    shown = (f"from {front.name}", f"to {rear.name}")
    return JoinTest(what, result, *shown, clear, "mm", settings.end_clear_mm, words)


def _clear_words(clear: float, free: float, sleeve: float, settings: JoinSettings) -> str:
    unit, needed = settings.unit, figure(settings.end_clear_mm, settings.unit)
    most = (free - sleeve) / 2
    if abs(most - clear) < _FUZZ_MM:
        sums = f"({figure(free, unit)} - {figure(sleeve, unit)}) / 2 = {length(most, unit)}"
        return f"{sums} clear at each end, {needed} needed"
    return f"{length(clear, unit)} clear at the nearer end, {needed} needed"


def _places(cuts: Sequence[_Cut], settings: JoinSettings) -> Iterator[JoinPlace]:
    """Runs of neighboring cuts between the same stops of which none fails."""
    for (open_, _), group in groupby(cuts, key=lambda cut: (cut.station.result is not JoinResult.FAIL, cut.run)):
        if open_:
            yield _place(list(group), settings)


def _place(cuts: Sequence[_Cut], settings: JoinSettings) -> JoinPlace:
    best = _best(cuts)
    unit, unknown_run = settings.unit, best.front is None or best.rear is None
    between = ("not measured", "not measured")
    free = 0.0
    if best.front is not None and best.rear is not None:
        between, free = (best.front.name, best.rear.name), best.rear.x_mm - best.front.x_mm
    where = f"between {between[0]} and {between[1]}, best at x {length(best.station.x_mm, unit)}"
    again = [test.words for test in best.station.tests if test.result is JoinResult.MEASURE_AGAIN]
    room = "" if unknown_run else f", {length(best.room_mm, unit)} clear beyond each end of the sleeve"
    return JoinPlace(
        from_mm=cuts[0].station.x_mm,
        to_mm=cuts[-1].station.x_mm,
        best_mm=best.station.x_mm,
        between=between,
        free_mm=free,
        sleeve_mm=best.sleeve_mm,
        end_clear_mm=best.room_mm,
        result=best.station.result,
        words=f"{where}{room}{''.join(f'; {each}' for each in again)}",
    )


def _best(cuts: Sequence[_Cut]) -> _Cut:
    """The cut with fewest tests failed, then fewest in doubt, then most room."""

    def rank(cut: _Cut) -> tuple[int, int, float]:
        results = [test.result for test in cut.station.tests]
        return results.count(JoinResult.FAIL), results.count(JoinResult.MEASURE_AGAIN), -cut.room_mm

    return min(cuts, key=rank)


def _shown(cuts: Sequence[_Cut]) -> list[_Cut]:
    """The best cut of each run between two stops."""
    return [_best(list(group)) for _, group in groupby(cuts, key=lambda cut: cut.run)]


def _failed(cuts: Sequence[_Cut]) -> tuple[JoinTest, ...]:
    if not cuts:
        words = "the two rails reach no place in common"
        return (JoinTest("length", JoinResult.FAIL, "", "", None, "", None, words),)
    best = _best(cuts)
    return tuple(test for test in best.station.tests if test.result is JoinResult.FAIL)


def _sound(shape: FrameShape, straight: DamageVerdict) -> JoinTest:
    what = f"{shape.name} sound"
    if shape.bad_repair:
        words = f"{what}: no, {', '.join(shape.bad_repair)}"
        return JoinTest(what, JoinResult.FAIL, "", "", None, "", None, words)
    remedy = "" if straight in (DamageVerdict.STRAIGHT, DamageVerdict.BENT) else ", measure its diagonals first"
    return JoinTest(what, _SOUND[straight], "", "", None, "", None, f"{what}: {straight}{remedy}")


def _grade(places: Sequence[JoinPlace], sound: Sequence[JoinTest]) -> Grade:
    if not places:
        return Grade.WONT_FIT
    best = JoinResult.PASS if any(each.result is JoinResult.PASS for each in places) else JoinResult.MEASURE_AGAIN
    order = list(_GRADES)
    return _GRADES[max([best, *(test.result for test in sound)], key=order.index)]


def _cost(settings: JoinSettings) -> JoinCost:
    """Hours × rate and the parts, against what a straight frame costs."""
    labor = None if settings.rate_cents is None else round(settings.hours * settings.rate_cents)
    known = [each for each in (labor, settings.parts_cents) if each is not None]
    total = sum(known) if labor is not None else None
    said = [f"{settings.hours:.1f} h"]
    if labor is not None and settings.rate_cents is not None:
        said[0] += f" × {money(settings.rate_cents)} = {money(labor)}"
    said += [f"parts {money(settings.parts_cents)}"] if settings.parts_cents is not None else []
    said += [f"{money(total)} in all"] if total is not None and len(known) > 1 else []
    words = ", ".join(said) + _against_straight(total, settings.straight_frame_cents)
    return JoinCost(settings.hours, labor, settings.parts_cents, total, settings.straight_frame_cents, words)


def _against_straight(total: int | None, straight: int | None) -> str:
    if straight is None:
        return ""
    said = f"; a straight frame is {money(straight)}"
    if total is None:
        return said
    if total == straight:
        return f"{said}, the same"
    return f"{said}, {money(abs(total - straight))} {'less' if straight < total else 'more'} than the joint"


def _conditions(a: FrameShape, b: FrameShape, cuts: Sequence[_Cut], settings: JoinSettings) -> tuple[str, ...]:
    sleeve = length(_best(cuts).sleeve_mm / 2, settings.unit)
    found = [f"sleeve inside the rail, {sleeve} into each side of the joint"]
    found += ["certified welder, named", "the buyer's engineer signs for the joint"]
    once = [shape.name for shape in (a, b) if len(shape.rail) == 1]
    if once:
        whose = " and ".join(dict.fromkeys(once))
        found.append(f"a look that the rail of {whose} runs straight there: it was measured at one place only")
    return tuple(found)


def _words(
    a: FrameShape,
    b: FrameShape,
    grade: Grade,
    places: Sequence[JoinPlace],
    sound: Sequence[JoinTest],
    cost: JoinCost,
) -> str:
    both = f"front of {a.name}, rear of {b.name}"
    if not places:
        return f"{both}: the rails join nowhere"
    if grade is Grade.WONT_FIT:
        return f"{both}: not to be joined; {'; '.join(test.words for test in sound if test.result is JoinResult.FAIL)}"
    found = [place for place in places if place.result is JoinResult.PASS] or list(places)
    where = " or ".join(f"{place.between[0]} and {place.between[1]}" for place in found)
    first = "measure first" if grade is Grade.MEASURE else f"can be welded, {cost.hours:.1f} h; never a fit"
    return f"{both}: {first}; between {where}"
