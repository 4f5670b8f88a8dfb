"""What hangs on the rails: the hitch receiver, the fuel tank, the bumper."""

from __future__ import annotations

from app.fit.frames.comparison import GroupVerdict
from app.fit.frames.made import Made, count_a_side
from app.fit.frames.shape import Known, Reading
from app.fit.frames.verdicts import Judged, Verdict, figure, judge, length
from app.fit.terms import Grade, Hazard

_HOLES_UNKNOWN = "bolt holes not measured, look at them"


def hitch(made: Made) -> GroupVerdict | None:
    """The receiver goes over the rails if it is no narrower than they are and shims fill what it is wider."""
    spreads = made.readings(Known.SPREAD)
    if spreads is None:
        return None
    receiver = made.frame.reading(Known.RECEIVER)
    judged, words, arithmetic = _inside(made, receiver, spreads[1]) if receiver else _made_for_spread(made, spreads)
    grade = Grade.WONT_FIT if judged.verdict is Verdict.DIFFERENT else Grade.MEASURE
    holes = made.named("hitch") or made.named("receiver")
    if judged.verdict is Verdict.SAME:
        grade, more = _holes(made) if holes else (Grade.MEASURE, _HOLES_UNKNOWN)
        words = f"{words}; {more}"
    return made.found("hitch receiver", grade, words, arithmetic)


def _inside(made: Made, receiver: Reading, spread: Reading) -> tuple[Judged, str, tuple[str, ...]]:
    """A measured receiver on a measured spread: what is left a side lies between nothing and the shims."""
    unit, shims = made.settings.unit, made.settings.hitch_shims_mm
    left = (receiver.mm - spread.mm) / 2
    judged = judge(left - shims / 2, (receiver.u_mm / 2, spread.u_mm / 2), shims / 2, unit)
    inside, rails, doubt = (figure(mm, unit) for mm in (receiver.mm, spread.mm, judged.doubt_mm))
    room = f"{length(abs(left), unit)} a side"
    arithmetic = (
        f"({inside} - {rails}) / 2 = {figure(left, unit)}",
        f"{figure(left, unit)} ± {doubt} against 0 to {length(shims, unit)}",
    )
    end = f"{room} too narrow" if left < 0 else f"{room}, shims stop at {figure(shims, unit)}"
    return judged, f"{inside} inside on {rails} rails: {end}", arithmetic


def _made_for_spread(made: Made, spreads: tuple[Reading, Reading]) -> tuple[Judged, str, tuple[str, ...]]:
    """A receiver known only by the frame it fits: it is as wide as that frame and at most the shims wider."""
    own, other = spreads
    shims, unit = made.settings.hitch_shims_mm, made.settings.unit
    half = judge((own.mm - other.mm) / 2, (own.u_mm / 2, other.u_mm / 2), shims, unit)
    said = f"made for {made.against(own, other)} rails: {made.say(half.difference_mm)} a side"
    if half.verdict is Verdict.DIFFERENT:
        return half, f"{said} too {'wide' if half.difference_mm > 0 else 'narrow'}", (half.arithmetic,)
    if abs(half.difference_mm) <= made.settings.rail_mm / 2 and half.verdict is Verdict.SAME:
        return half, said, (half.arithmetic,)
    doubtful = judge(half.difference_mm, (half.doubt_mm, shims), shims, unit)
    return doubtful, f"{said}; measure the receiver inside", (doubtful.arithmetic,)


def _holes(made: Made) -> tuple[Grade, str]:
    holes = made.named("hitch") or made.named("receiver")
    count = count_a_side(holes).replace("mounts", "holes")
    verdicts = {hole.verdict for hole in holes}
    if Verdict.DIFFERENT in verdicts:
        drill = sum(hole.verdict is Verdict.DIFFERENT for hole in holes)
        return Grade.NEEDS_WORK, f"{count}: drill {drill}"
    return (Grade.MEASURE if Verdict.MEASURE_AGAIN in verdicts else Grade.BOLTS_UP), count


def fuel_tank(made: Made) -> GroupVerdict | None:
    """The tank must leave its clearance in the gap; straps that sit elsewhere are work."""
    straps = made.readings(Known.STRAPS)
    long, gap = made.frame.reading(Known.TANK_LENGTH), made.onto.reading(Known.TANK_GAP)
    if straps is None and (long is None or gap is None):
        return None
    words, arithmetic = [], []
    grades = []
    if straps is not None:
        spacing = made.judged(*straps, made.settings.straps_mm)
        words.append(f"strap spacing {made.against(*straps)}")
        arithmetic.append(spacing.arithmetic)
        grades.append(_straps(spacing.verdict))
    grade, said, figures = _room(made, long, gap)
    grades.append(grade)
    worst = max(grades, key=lambda each: each.rank)
    words.append(said)
    work = (Hazard.WELDING,) if worst is Grade.NEEDS_WORK else ()
    return made.found("fuel tank", worst, ", ".join(words), (*arithmetic, *figures), (Hazard.FUEL, *work))


def _straps(verdict: Verdict) -> Grade:
    if verdict is Verdict.DIFFERENT:
        return Grade.NEEDS_WORK
    return Grade.MEASURE if verdict is Verdict.MEASURE_AGAIN else Grade.BOLTS_UP


def _room(made: Made, long: Reading | None, gap: Reading | None) -> tuple[Grade, str, tuple[str, ...]]:
    """The tank in its gap: what is left against what is needed, in the worst case."""
    if long is None or gap is None:
        return Grade.MEASURE, "measure the tank's length" if long is None else "measure the gap it hangs in", ()
    unit, needed = made.settings.unit, made.settings.tank_clear_mm
    left, doubt = gap.mm - long.mm, gap.u_mm + long.u_mm
    said = f"{figure(long.mm, unit)} long in a {figure(gap.mm, unit)} gap"
    if left < 0:
        said += f": {length(-left, unit)} too long"
    else:
        said += f": {figure(left, unit)} clear, {length(needed, unit)} needed"
    short = round(needed - left, 9)
    if short - doubt > 0:
        return Grade.WONT_FIT, said, (f"{figure(left, unit)} + {figure(doubt, unit)}, under {length(needed, unit)}",)
    least = f"{figure(left, unit)} - {figure(doubt, unit)}"
    if short + doubt <= 0:
        return Grade.BOLTS_UP, said, (f"{least}, at least {length(needed, unit)}",)
    return Grade.MEASURE, f"{said}, measure again", (f"{least}, under {length(needed, unit)}",)


def bumper(made: Made) -> GroupVerdict | None:
    """The bumper goes over where its bolts are as far apart; else its brackets move."""
    spacing = made.readings(Known.BUMPER)
    if spacing is None:
        return None
    judged = made.judged(*spacing, made.settings.bumper_mm)
    words = f"bolt spacing {made.against(*spacing)}"
    if judged.verdict is Verdict.DIFFERENT:
        move = f"brackets move {made.say(judged.difference_mm / 2)} a side"
        return made.found("bumper", Grade.NEEDS_WORK, f"{words}: {move}", (judged.arithmetic,))
    grade = Grade.BOLTS_UP if judged.verdict is Verdict.SAME else Grade.MEASURE
    return made.found("bumper", grade, words, (judged.arithmetic,))
