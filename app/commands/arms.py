"""`donorbook arms`: what other control arms do to camber and track; no book is opened."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import dist
from typing import TYPE_CHECKING, Any

import click

from app.commands.bench_kinds import LENGTH, OFFSET, POINT
from app.commands.desk import Desk, YardCommand
from app.commands.kinds import Figure
from app.commands.show import lines_of, pairs, table
from app.errors import BadInput
from app.fit.lengths import in_words

if TYPE_CHECKING:
    from app.fit.lengths import Length
    from app.fit.suspension.geometry import FrontView
    from app.fit.suspension.swap import Joined, Reach, SwapFigures, Travel

DEGREES = Figure("degrees")
ENDS = "Two points Y,Z: inner end, outer end."


@click.command(cls=YardCommand)
@click.option("--lower-by", type=OFFSET, help="How much longer the other lower arm is; a minus for shorter.")
@click.option("--upper-by", type=OFFSET, help="How much longer the other upper arm is; a minus for shorter.")
@click.option("--ball-height", type=LENGTH, help="From ball joint to ball joint, for the simple figure.")
@click.option("--lower", type=POINT, nargs=2, metavar="PIVOT BALL", help="Lower arm: its pivot and its ball joint.")
@click.option("--upper", type=POINT, nargs=2, metavar="PIVOT BALL", help="Upper arm: its pivot and its ball joint.")
@click.option("--wheel", type=POINT, metavar="Y,Z", help="The wheel's center.")
@click.option("--tire-radius", type=LENGTH, help="From the wheel's center to the ground, to follow track there.")
@click.option("--camber", type=float, default=0.0, metavar="DEGREES", help="Camber as it stands, minus: top in.")
@click.option("--bump", type=LENGTH, help="Travel to look at upward; 2 in when left out.")
@click.option("--rebound", type=LENGTH, help="Travel to look at downward; 2 in when left out.")
@click.option("--cams", type=DEGREES, help="Degrees the camber adjusters take out either way.")
@click.option("--thread-out", type=LENGTH, help="Thread the tie-rod end can still come out.")
@click.option("--thread-in", type=LENGTH, help="Thread the tie-rod end can still go in.")
@click.option("--plunge-out", type=LENGTH, help="Plunge the half-shaft has outward.")
@click.option("--plunge-in", type=LENGTH, help="Plunge the half-shaft has inward.")
@click.option("--tie-rod", type=POINT, nargs=2, metavar="INNER OUTER", help=ENDS)
@click.option("--half-shaft", type=POINT, nargs=2, metavar="INNER OUTER", help=ENDS)
@click.pass_obj
def arms(desk: Desk, /, **said: Any) -> None:
    """Figure what an arm swap does to camber and track.

    And what the adjusters, the tie-rod and the half-shaft leave. With --ball-height alone it is the simple figure,
    atan of the difference over the height. With the pivots the exact geometry stands beside it, with camber and
    track through bump and rebound. Points are Y,Z of one side: outboard from the truck's centerline, and up;
    inches unless a unit is typed. Track is for one side; both sides are always swapped alike.

    \b
    Examples:
      donorbook arms --ball-height 10.50 --lower-by 1.00 --cams 1.75 --thread-out 0.60 --plunge-out 1.10
      donorbook arms --lower 250mm,180mm 680mm,170mm --upper 330mm,430mm 640mm,470mm \\
          --wheel 760mm,310mm --lower-by 1in --bump 50mm --rebound 50mm --json
    """
    from app.fit.suspension.swap import exact_swap, simple_swap

    lower_by, upper_by = (_mm(said[name]) or 0.0 for name in ("lower_by", "upper_by"))
    view, reach = _view(said), _reach(said)
    height = _ball_height(said, view)
    found = [simple_swap(height, lower_by, upper_by, reach)]
    rows: Sequence[Travel] = ()
    if view is not None:
        rod, shaft = _joined(said["tie_rod"]), _joined(said["half_shaft"])
        found.append(exact_swap(view, lower_by, upper_by, reach, tie_rod=rod, half_shaft=shaft))
        rows = _travel(view, said, lower_by, upper_by)
    desk.show(_record(found, rows, view), lambda: _lines(found, rows, view))


def _mm(length: Length | None) -> float | None:
    return None if length is None else length.mm


def _view(said: dict[str, Any]) -> FrontView | None:
    from app.fit.suspension.geometry import FrontView

    points = {"--lower": said["lower"], "--upper": said["upper"], "--wheel": said["wheel"]}
    missing = [name for name, value in points.items() if value is None]
    if len(missing) == len(points):
        return None
    if missing:
        raise BadInput(f"the pivots are not all there: {', '.join(missing)}", "Give all of them.", place=missing[0])
    (lower_pivot, lower_ball), (upper_pivot, upper_ball) = said["lower"], said["upper"]
    radius, camber = _mm(said["tire_radius"]) or 0.0, said["camber"]
    return FrontView(lower_pivot, lower_ball, upper_pivot, upper_ball, said["wheel"], radius, camber)


def _ball_height(said: dict[str, Any], view: FrontView | None) -> float:
    height = _mm(said["ball_height"])
    if height is None and view is None:
        raise BadInput(
            "nothing to figure with", "Give --ball-height, or --lower, --upper and --wheel.", place="--ball-height"
        )
    if height is not None or view is None:
        return height or 0.0
    return dist(view.lower_ball, view.upper_ball)


def _reach(said: dict[str, Any]) -> Reach:
    from app.fit.suspension.swap import Reach

    cams = said["cams"]
    names = ("thread_out", "thread_in", "plunge_out", "plunge_in")
    return Reach(None if cams is None else float(cams), *(_mm(said[name]) for name in names))


def _joined(points: Any) -> Joined | None:
    from app.fit.suspension.swap import Joined

    return Joined(*points) if points else None


def _travel(view: FrontView, said: dict[str, Any], lower_by: float, upper_by: float) -> Sequence[Travel]:
    from app.fit.suspension.swap import over_travel, steps

    bump, rebound = (50.8 if said[name] is None else said[name].mm for name in ("bump", "rebound"))
    return over_travel(view, steps(bump, rebound), lower_by, upper_by)


def _record(found: list[SwapFigures], rows: Sequence[Travel], view: FrontView | None) -> dict[str, object]:
    from app.fit.suspension.words import ALIGNMENT, sentences, spoken

    figures = [_figures(each) for each in found]
    plain: dict[str, object] = {"figures": figures, "sentences": [sentences(each) for each in found]}
    plain["say"] = spoken(found[0])
    if view is not None:
        plain["as_it_stands"] = _stand(view)
        plain["travel"] = rows
    return {**plain, "cautions": [ALIGNMENT]}


def _figures(each: SwapFigures) -> dict[str, object]:
    return {
        "figured": each.figured,
        "lower_by_mm": each.lower_by_mm,
        "upper_by_mm": each.upper_by_mm,
        "ball_height_mm": each.ball_height_mm,
        "camber_deg": each.camber_deg,
        "adjusters_deg": each.adjusters_deg,
        "camber_left_deg": each.camber_left_deg,
        "track_at": each.track_at,
        "track_side_mm": each.track_side_mm,
        "track_pair_mm": each.track_pair_mm,
        "tie_rod": {**_taken(each.tie_rod)},
        "half_shaft": {**_taken(each.half_shaft)},
        "roadworthy": each.roadworthy,
    }


def _taken(taken: Any) -> dict[str, object]:
    return {"needed_mm": taken.needed_mm, "has_mm": taken.has_mm, "left_mm": taken.left_mm}


def _stand(view: FrontView) -> dict[str, object]:
    from app.fit.suspension.geometry import at_travel, linkage_of

    here = at_travel(linkage_of(view), 0.0)
    center = here.instant_center()
    arm = here.swing_arm_mm()
    return {
        "instant_center_mm": None if center is None else [center.y, center.z],
        "swing_arm_mm": None if center is None else arm,
        "camber_rate_deg_per_mm": here.camber_rate(),
    }


def _lines(found: list[SwapFigures], rows: Sequence[Travel], view: FrontView | None) -> Iterator[str]:
    from app.fit.suspension.words import ALIGNMENT, sentences, spoken

    for each in found:
        yield from lines_of(sentences(each))
        yield ""
    yield from lines_of([spoken(found[0])], "say: ")
    if view is not None:
        yield from _stand_lines(view)
        yield from table(
            ("travel", "camber old", "camber new", "track old", "track new"), [_cells(row) for row in rows], range(5)
        )
        yield ""
    yield from lines_of([ALIGNMENT], "caution: ")


def _stand_lines(view: FrontView) -> list[str]:
    from app.fit.suspension.geometry import at_travel, linkage_of

    here = at_travel(linkage_of(view), 0.0)
    center = here.instant_center()
    if center is None:
        return pairs([("instant center", "none, the arms are parallel as they stand")])
    where = f"{in_words(abs(center.y))} {'out' if center.y > 0 else 'past the centerline'}, {in_words(center.z)} up"
    rate = f"{here.camber_rate() * 25.4:+.2f} degrees for an inch of bump, as it stands"
    swing = here.swing_arm_mm()
    arm = f"{in_words(abs(swing))} ({in_words(abs(swing), 'mm')}){'' if swing > 0 else ', outboard of the wheel'}"
    return pairs([("instant center", where), ("swing arm", arm), ("camber", rate)])


def _cells(row: Travel) -> tuple[str, ...]:
    degrees = (f"{each:+.2f}°" for each in (row.camber_old_deg, row.camber_new_deg))
    return (
        in_words(row.travel_mm),
        *degrees,
        in_words(row.track_old_mm),
        in_words(row.track_new_mm),
    )
