"""What carries the front wheels: control arms and torsion bars."""

from __future__ import annotations

from app.fit.frames.comparison import GroupVerdict
from app.fit.frames.made import Made
from app.fit.frames.shape import FrameShape, Known, Reading
from app.fit.frames.verdicts import Judged, Verdict
from app.fit.suspension.geometry import SuspensionError
from app.fit.suspension.swap import Reach, SwapFigures, simple_swap
from app.fit.suspension.words import sentences
from app.fit.terms import FrontSuspension, Grade, Hazard

_WISHBONES = (FrontSuspension.COIL_OVER, FrontSuspension.TORSION_BAR)
_LOWER = "front lower control arm"
_UPPER = "front upper control arm"
_BAR = "torsion bar"
_PAIR_ONLY = "pair only; not for road use as it stands"


def track_mm(shape: FrameShape) -> float | None:
    """How far apart the lower ball joints are with the arms level: the pivots' spread and an arm on each side."""
    pivots, arm = shape.reading(Known.PIVOT_SPREAD), shape.reading(Known.ARM_LENGTH)
    return None if pivots is None or arm is None else pivots.mm + 2 * arm.mm


def lower_arm(made: Made) -> GroupVerdict | None:
    """The arm goes in where its sleeves do; another length is told, a missing torsion-bar socket forbids it."""
    sleeves, lengths = made.readings(Known.SLEEVES), made.readings(Known.ARM_LENGTH)
    if sleeves is None and lengths is None:
        return None
    if _other_kind(made):
        return made.found(_LOWER, Grade.WONT_FIT, f"{made.frame.front} against {made.onto.front}")
    held = made.judged(*sleeves, made.settings.sleeves_mm) if sleeves else None
    long = made.judged(*lengths, made.settings.arm_mm) if lengths else None
    arithmetic = [each.arithmetic for each in (held, long) if each is not None]
    reasons = _no_socket(made)
    if sleeves and held and held.verdict is Verdict.DIFFERENT:
        reasons.append(f"sleeve spacing {made.against(*sleeves)}")
    if reasons:
        said = "; ".join([*reasons, *_length_words(made, lengths, long)])
        return made.found(_LOWER, Grade.WONT_FIT, said, arithmetic, (Hazard.SPRING,))
    if sleeves is None or lengths is None or held is None or long is None:
        missing = "sleeve spacing" if sleeves is None else "pivot to ball joint"
        return made.found(_LOWER, Grade.MEASURE, f"measure the {missing} of both", arithmetic, (Hazard.SPRING,))
    grade = _arm_grade(held, long)
    words = "; ".join([f"sleeve spacing {made.against(*sleeves)}", *_length_words(made, lengths, long)])
    if grade is Grade.BOLTS_IN:
        swap = _what_it_does(made.onto, long.difference_mm)
        lean = (
            [f"leans the top {'in' if swap.camber_deg < 0 else 'out'} {abs(swap.camber_deg):.2f} degrees"]
            if swap
            else []
        )
        words = "; ".join(["bolts to the same holes", *_length_words(made, lengths, long), *lean, _PAIR_ONLY])
        arithmetic += sentences(swap) if swap else ()
    return made.found(_LOWER, grade, words, arithmetic, (Hazard.SPRING,))


def _what_it_does(onto: FrameShape, longer_mm: float) -> SwapFigures | None:
    """What an arm of another length does to the wheel, where the height between the ball joints was measured."""
    height = onto.reading(Known.BALL_HEIGHT)
    if height is None:
        return None
    thread, plunge = onto.reading(Known.THREAD), onto.reading(Known.PLUNGE)
    out = Reach(tie_rod_out_mm=thread.mm if thread else None, shaft_out_mm=plunge.mm if plunge else None)
    try:
        return simple_swap(height.mm, lower_by_mm=longer_mm, reach=out)
    except SuspensionError:
        # A height that no knuckle has is a misread; the bench asks for it again, the arm is judged without.
        return None


def _lean_words(swap: SwapFigures | None) -> list[str]:
    if swap is None:
        return []
    return [f"leans the top {'in' if swap.camber_deg < 0 else 'out'} {abs(swap.camber_deg):.2f} degrees"]


def _arm_grade(held: Judged, long: Judged) -> Grade:
    if Verdict.MEASURE_AGAIN in (held.verdict, long.verdict):
        return Grade.MEASURE
    return Grade.BOLTS_UP if long.verdict is Verdict.SAME else Grade.BOLTS_IN


def _length_words(made: Made, lengths: tuple[Reading, Reading] | None, long: Judged | None) -> list[str]:
    """The arm's length in words, and what it makes of the track where the pivots are known."""
    if lengths is None or long is None:
        return []
    said = f"{made.against(*lengths)} pivot to ball joint"
    if long.verdict is Verdict.DIFFERENT:
        said = f"{made.say(long.difference_mm)} {'longer' if long.difference_mm > 0 else 'short'}"
    tracks = track_mm(made.frame), track_mm(made.onto)
    if long.verdict is not Verdict.DIFFERENT or tracks[0] is None or tracks[1] is None:
        return [said]
    apart = tracks[0] - tracks[1]
    if abs(apart) <= 2 * made.settings.arm_mm:
        return [said, "each on its own frame keeps the same track"]
    return [said, f"their own frames' tracks differ by {made.say(apart)}"]


def _no_socket(made: Made) -> list[str]:
    """A torsion-bar truck stands on the socket in its arms."""
    if made.onto.front is FrontSuspension.TORSION_BAR and made.frame.front is FrontSuspension.COIL_OVER:
        return ["no torsion-bar socket: nothing holds the truck up"]
    return []


def _other_kind(made: Made) -> bool:
    """Whether one front has control arms of another kind or none."""
    kinds = (made.frame.front, made.onto.front)
    return None not in kinds and kinds[0] is not kinds[1] and any(kind not in _WISHBONES for kind in kinds)


def upper_arm(made: Made) -> GroupVerdict | None:
    """The upper arm's bolts must meet the holes; its own length is measured on the arm."""
    bolts = made.readings(Known.UPPER_BOLTS)
    if bolts is None:
        return None
    judged = made.judged(*bolts, made.settings.sleeves_mm)
    words = f"bolt spacing {made.against(*bolts)}"
    if judged.verdict is Verdict.DIFFERENT:
        return made.found(_UPPER, Grade.WONT_FIT, words, (judged.arithmetic,))
    more = "measure the arm itself" if judged.verdict is Verdict.SAME else "measure again"
    return made.found(_UPPER, Grade.MEASURE, f"{words}; {more}", (judged.arithmetic,))


def torsion_bar(made: Made) -> GroupVerdict | None:
    """A torsion bar goes only under a torsion-bar truck, and only at its length."""
    if made.frame.front is not FrontSuspension.TORSION_BAR or made.onto.front is None:
        return None
    if made.onto.front is not FrontSuspension.TORSION_BAR:
        words = f"{made.onto.front} truck: no crossmember, no socket"
        return made.found(_BAR, Grade.WONT_FIT, words, (), (Hazard.SPRING,))
    bars = made.readings(Known.TORSION_BAR)
    if bars is None:
        return None
    judged = made.judged(*bars, made.settings.sleeves_mm)
    grades = {Verdict.SAME: Grade.MEASURE, Verdict.DIFFERENT: Grade.WONT_FIT, Verdict.MEASURE_AGAIN: Grade.MEASURE}
    more = "" if judged.verdict is Verdict.DIFFERENT else "; same side stamp only, look at the hex"
    words = f"{made.against(*bars)} long{more}"
    return made.found(_BAR, grades[judged.verdict], words, (judged.arithmetic,), (Hazard.SPRING,))
