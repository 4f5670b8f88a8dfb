"""The tests of a joint at one cut through both rails, each with its number."""

from __future__ import annotations

from collections.abc import Sequence

from app.fit.frames.joints import JoinResult, JoinSettings, JoinTest
from app.fit.frames.shape import RailStation
from app.fit.frames.verdicts import Judged, Verdict, figure, judge, length

_RESULTS = {
    Verdict.SAME: JoinResult.PASS,
    Verdict.MEASURE_AGAIN: JoinResult.MEASURE_AGAIN,
    Verdict.DIFFERENT: JoinResult.FAIL,
}
_WORST_FIRST = (JoinResult.FAIL, JoinResult.MEASURE_AGAIN, JoinResult.PASS)
_UNKNOWN = "not measured"

Span = tuple[float, float]


def section_tests(a: RailStation, b: RailStation, settings: JoinSettings) -> tuple[JoinTest, ...]:
    """Section, overlap of width and of height, steps at both flanges, wall."""
    heights = _height_tests(a, b, settings)
    return (_section(a, b), _overlap("width", _width(a), _width(b), (a, b), settings), *heights, _wall(a, b, settings))


def worst_result(tests: Sequence[JoinTest]) -> JoinResult:
    """The worst of several tests."""
    given = {test.result for test in tests}
    return next((result for result in _WORST_FIRST if result in given), JoinResult.MEASURE_AGAIN)


def result_of(judged: Judged) -> JoinResult:
    """A tape's answer as that of a test."""
    return _RESULTS[judged.verdict]


def unknown(what: str, remedy: str) -> JoinTest:
    """A test for which something was not measured."""
    words = f"{what}: {remedy}"
    return JoinTest(what, JoinResult.MEASURE_AGAIN, _UNKNOWN, _UNKNOWN, None, "", None, words)


def _section(a: RailStation, b: RailStation) -> JoinTest:
    if a.section is None or b.section is None:
        return unknown("section type", "look at both rails: boxed, open, tube")
    result = JoinResult.PASS if a.section is b.section else JoinResult.FAIL
    words = f"section type: {a.section} on both" if a.section is b.section else f"{a.section} against {b.section}"
    return JoinTest("section type", result, str(a.section), str(b.section), None, "", None, words)


def _width(rail: RailStation) -> Span | None:
    """Inner to outer face, from the centerline."""
    if rail.outer_mm is None or rail.width_mm is None:
        return None
    return rail.outer_mm - rail.width_mm, rail.outer_mm


def _flanges(rail: RailStation) -> Span | None:
    """Bottom to top; one of them follows from the other and the height."""
    top, bottom, height = rail.top_mm, rail.bottom_mm, rail.height_mm
    if height is not None and top is None and bottom is not None:
        top = bottom + height
    if height is not None and bottom is None and top is not None:
        bottom = top - height
    return None if top is None or bottom is None else (bottom, top)


def _overlap(
    what: str, a: Span | None, b: Span | None, rails: tuple[RailStation, RailStation], settings: JoinSettings
) -> JoinTest:
    """How much of the smaller rail lies within the other; by itself it lies, the steps tell the rest.

    Its doubt is that of one face: what one face gains in overlap the other loses.
    """
    if a is None or b is None:
        return unknown(what, "measure the rail's width and the spread" if what == "width" else "measure the rail")
    smaller = min(a[1] - a[0], b[1] - b[0])
    over = max(min(a[1], b[1]) - max(a[0], b[0]), 0.0)
    share = over / smaller if smaller > 0 else 0.0
    doubts = tuple(each.u_mm / smaller for each in rails) if smaller > 0 else (0.0,)
    judged = judge(1.0 - share, doubts, 1.0 - settings.overlap)
    result = _at_most_whole(judged, share, sum(doubts), settings.overlap)
    unit = settings.unit
    said = [f"{figure(each[0], unit)} to {length(each[1], unit)}" for each in (a, b)]
    words = f"{what}: overlap {length(over, unit)} = {share:.1%} of the smaller, {settings.overlap:.0%} needed"
    return JoinTest(what, result, said[0], said[1], share * 100, "%", settings.overlap * 100, words)


def _at_most_whole(judged: Judged, share: float, doubt: float, needed: float) -> JoinResult:
    """A share with its doubt against what is needed: a tape no doubt reaches beyond decides."""
    if share - doubt >= needed - 1e-9:
        return JoinResult.PASS
    return JoinResult.FAIL if judged.verdict is Verdict.DIFFERENT else JoinResult.MEASURE_AGAIN


def _height_tests(a: RailStation, b: RailStation, settings: JoinSettings) -> tuple[JoinTest, ...]:
    one, other = _flanges(a), _flanges(b)
    if one is not None and other is not None:
        top = _step("step at the top", one[1], other[1], a, b, settings)
        bottom = _step("step at the bottom", one[0], other[0], a, b, settings)
        return _overlap("height", one, other, (a, b), settings), top, bottom
    if a.height_mm is None or b.height_mm is None:
        return (unknown("height", "measure both rails' height"),)
    return (_set_level(a, b, a.height_mm, b.height_mm, settings),)


def _step(what: str, a: float, b: float, one: RailStation, other: RailStation, settings: JoinSettings) -> JoinTest:
    judged = judge(b - a, (one.u_mm, other.u_mm), settings.step_mm, settings.unit)
    unit = settings.unit
    step = abs(judged.difference_mm)
    words = f"{what}: {length(step, unit)} ({judged.arithmetic})"
    shown = (length(a, unit), length(b, unit))
    return JoinTest(what, result_of(judged), *shown, step, "mm", settings.step_mm, words)


def _set_level(a: RailStation, b: RailStation, one: float, other: float, settings: JoinSettings) -> JoinTest:
    """The flanges' heights are not known: at best the rails are set middle to middle, with half the difference left."""
    unit = settings.unit
    judged = judge((other - one) / 2, (a.u_mm / 2, b.u_mm / 2), settings.step_mm, unit)
    step = abs(judged.difference_mm)
    words = (
        f"steps: {figure(one, unit)} and {length(other, unit)} high set middle to middle leave {length(step, unit)} at"
        f" each flange ({judged.arithmetic}); the mounts behind the joint move with it"
    )
    return JoinTest(
        "steps",
        result_of(judged),
        length(one, unit),
        length(other, unit),
        step,
        "mm",
        settings.step_mm,
        words,
    )


def _wall(a: RailStation, b: RailStation, settings: JoinSettings) -> JoinTest:
    if not a.wall_mm or not b.wall_mm:
        return unknown("wall", "measure both walls with a caliper at a hole")
    unit = settings.unit
    (thin, thin_u), (thick, thick_u) = sorted(((a.wall_mm, a.wall_u_mm), (b.wall_mm, b.wall_u_mm)))
    ratio = thick / thin
    most = (thick + thick_u) / (thin - thin_u) if thin > thin_u else float("inf")
    least = (thick - thick_u) / (thin + thin_u)
    result = _ratio(most, least, settings.wall_ratio)
    both = f"{figure(a.wall_mm, unit)} and {length(b.wall_mm, unit)}"
    words = f"wall: {both}, ratio {ratio:.2f}, limit {settings.wall_ratio:g}"
    shown = (length(a.wall_mm, unit), length(b.wall_mm, unit))
    return JoinTest("wall", result, *shown, ratio, "ratio", settings.wall_ratio, words)


def _ratio(most: float, least: float, limit: float) -> JoinResult:
    if most <= limit + 1e-9:
        return JoinResult.PASS
    return JoinResult.FAIL if least > limit + 1e-9 else JoinResult.MEASURE_AGAIN
