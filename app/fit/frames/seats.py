"""What sits on the body mounts: the body shell and the core support."""

from __future__ import annotations

from collections.abc import Sequence

from app.fit.frames.comparison import GroupVerdict, MountCheck
from app.fit.frames.made import Made, carries_body, count_a_side
from app.fit.frames.shape import FrameShape, Known, Reading
from app.fit.frames.verdicts import Verdict
from app.fit.terms import Grade, Hazard, Side

_CORE = "core support"


def body(made: Made) -> GroupVerdict | None:
    """The body drops on where every mount lines up; what does not is moved, if any does line up to locate it."""
    mounts = made.body_mounts()
    missing = [name for name in made.missing if carries_body(name)]
    if not mounts:
        return None
    arithmetic = [mount.words for mount in mounts] + [f"{name}: nothing to sit on" for name in missing]
    count = count_a_side(mounts)
    verdicts = {mount.verdict for mount in mounts}
    if Verdict.SAME not in verdicts and Verdict.MEASURE_AGAIN not in verdicts:
        return made.found("body shell", Grade.WONT_FIT, f"{count}: nothing locates the body", arithmetic)
    if Verdict.DIFFERENT in verdicts or missing:
        out = [mount for mount in mounts if mount.verdict is Verdict.DIFFERENT]
        work = [f"move {move}" for move in made.moves(out)] + [f"make a mount for {name}" for name in missing]
        words = f"{count}; on {made.onto.name} {', '.join(work)}{_again(mounts)}"
        return made.found("body shell", Grade.NEEDS_WORK, words, arithmetic, (Hazard.LIFT, Hazard.WELDING))
    if Verdict.MEASURE_AGAIN in verdicts:
        return made.found("body shell", Grade.MEASURE, f"{count}{_again(mounts)}", arithmetic)
    return made.found("body shell", Grade.BOLTS_UP, f"{count}: the body drops on", arithmetic, (Hazard.LIFT,))


def _again(mounts: Sequence[MountCheck]) -> str:
    doubtful = dict.fromkeys(mount.name for mount in mounts if mount.verdict is Verdict.MEASURE_AGAIN)
    return f"; measure {', '.join(doubtful)} again" if doubtful else ""


def core_support(made: Made) -> GroupVerdict | None:
    """The core support goes over where its mounts are as far apart and it stands as high."""
    spreads = (_spread(made.frame), _spread(made.onto))
    if spreads[0] is None or spreads[1] is None:
        return None
    spread = made.judged(spreads[0], spreads[1], made.settings.core_mm)
    words = [f"mount spread {made.against(spreads[0], spreads[1])}"]
    arithmetic, verdicts = [spread.arithmetic], [spread.verdict]
    heights = made.readings(Known.CORE_HEIGHT)
    if heights is not None:
        height = made.judged(*heights, made.settings.z_shims_mm)
        words.append(f"height {made.against(*heights)}")
        if height.verdict is Verdict.DIFFERENT:
            words[-1] += f": {made.say(height.difference_mm)} {'taller' if height.difference_mm > 0 else 'lower'}"
        arithmetic.append(height.arithmetic)
        verdicts.append(height.verdict)
    return made.found(_CORE, _grade(verdicts), ", ".join(words), arithmetic)


def _grade(verdicts: list[Verdict]) -> Grade:
    if Verdict.DIFFERENT in verdicts:
        return Grade.WONT_FIT
    return Grade.MEASURE if Verdict.MEASURE_AGAIN in verdicts else Grade.BOLTS_UP


def _spread(shape: FrameShape) -> Reading | None:
    """How far apart the core support's mounts are: as measured across, else from the mounts of that name."""
    taken = shape.reading(Known.CORE_SPREAD)
    if taken is not None:
        return taken
    sides = {mount.side: mount for mount in shape.mounts if _CORE in mount.name.casefold()}
    left, right = sides.get(Side.LH), sides.get(Side.RH)
    if left is None or right is None:
        return None
    return Reading(Known.CORE_SPREAD, left.y_mm + right.y_mm, left.doubt.y + right.doubt.y)
