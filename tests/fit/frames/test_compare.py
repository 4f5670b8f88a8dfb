"""Two frames held against each other: either may come first, any datum will do, and doubt never makes a yes."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.fit.frames.compare import Comparison, compare
from app.fit.frames.shape import DIRECTIONS, Doubt, FrameError, FrameKind, FrameShape, Mount, Reading, checked
from app.fit.frames.verdicts import Verdict, judge, verdict_of
from app.fit.terms import Side
from tests.fit.frames.frame_yard import (
    HEAVY,
    INCH,
    LIGHT,
    Spot,
    bent,
    design,
    plain,
    surveyed,
    with_doubt,
    with_mount,
)

OPPOSITE = {one: other for pair in DIRECTIONS.values() for one, other in (pair, pair[::-1])} | {"": ""}


@st.composite
def frames(draw: st.DrawFn, name: str, datum: bool = True) -> FrameShape:
    """A frame of some of the same mounts as any other, off by eighths of an inch and now and then by much more."""
    mounts = []
    for i in draw(st.lists(st.integers(1, 6), min_size=1, max_size=6, unique=True)):
        off = [draw(st.integers(-24, 24)) * INCH / 8 * draw(st.sampled_from((0, 0, 1))) for _ in range(3)]
        doubt = Doubt(*(draw(st.sampled_from((0.0, INCH / 32, INCH / 8))) for _ in range(3)))
        mounts.append(Mount(f"P{i}", Side.NONE, i * 700 + off[0], 500 + off[1], off[2], doubt, "hole", 28.575))
    return FrameShape(name, mounts=tuple(mounts), datum=draw(st.sampled_from(["", mounts[0].name])) if datum else "")


def verdicts(found: Comparison) -> dict[tuple[str, Side], Verdict]:
    """What was said of each mount."""
    return {(mount.name, mount.side): mount.verdict for mount in found.mounts}


@given(frames("A"), frames("B"))
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_either_frame_may_come_first(a: FrameShape, b: FrameShape) -> None:
    if not {mount.name for mount in a.mounts} & {mount.name for mount in b.mounts}:
        with pytest.raises(FrameError, match="no mount in common"):
            compare(a, b)
        return
    there, back = compare(a, b), compare(b, a)
    assert verdicts(there) == verdicts(back)
    assert (there.only_a, there.only_b, there.sides) == (back.only_b, back.only_a, back.sides)
    others = {(mount.name, mount.side): mount for mount in back.mounts}
    for mount in there.mounts:
        other = others[mount.name, mount.side]
        assert mount.probability == pytest.approx(other.probability, abs=1e-9)
        for axis, back_axis in zip(mount.axes, other.axes, strict=True):
            assert axis.difference_mm == pytest.approx(-back_axis.difference_mm, abs=1e-9)
            assert axis.direction == OPPOSITE[back_axis.direction]


@given(frames("A"), frames("B"))
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_no_shift_lines_up_more_mounts(a: FrameShape, b: FrameShape) -> None:
    """The search against every shift that puts an edge of one allowance on another: brute force over all of them."""
    common = {mount.name for mount in a.mounts} & {mount.name for mount in b.mounts}
    if not common:
        return
    a, b = replace(a, datum=""), replace(b, datum="")
    found = compare(a, b)
    rooms = [[(axis.difference_mm, axis.allowed_mm - axis.doubt_mm) for axis in mount.axes] for mount in found.mounts]
    ends = [{sign * room[axis][1] - room[axis][0] for room in rooms for sign in (-1, 0, 1)} for axis in (0, 2)]
    best = 0
    for x, z in product(*ends):
        shift = (x, 0.0, z)
        fits = [all(abs(d + s) <= w + 1e-9 for (d, w), s in zip(room, shift, strict=True)) for room in rooms]
        best = max(best, sum(fits))
    assert sum(mount.verdict is Verdict.SAME for mount in found.mounts) == best


@given(frames("A"), frames("B"), st.floats(-3000, 3000), st.floats(-300, 300))
def test_where_the_tape_began_does_not_matter(a: FrameShape, b: FrameShape, x: float, z: float) -> None:
    common = {mount.name for mount in a.mounts} & {mount.name for mount in b.mounts}
    if not common:
        return
    moved = tuple(replace(mount, x_mm=mount.x_mm + x, z_mm=mount.z_mm + z) for mount in b.mounts)
    assert verdicts(compare(a, replace(b, mounts=moved))) == verdicts(compare(a, b))


@given(frames("A", datum=False), st.floats(0, 1), st.integers(0, 2**32 - 1))
def test_noise_below_the_doubt_never_flips_a_verdict(a: FrameShape, share: float, seed: int) -> None:
    signs = [1 if seed >> i & 1 else -1 for i in range(18)]
    there = with_doubt(replace(a, datum=a.mounts[0].name), Doubt.even(2.0))
    noisy = tuple(
        replace(
            mount,
            x_mm=mount.x_mm + (share * 2.0 * signs[3 * i] if i else 0.0),
            y_mm=mount.y_mm + share * 2.0 * signs[3 * i + 1],
            z_mm=mount.z_mm + (share * 2.0 * signs[3 * i + 2] if i else 0.0),
        )
        for i, mount in enumerate(there.mounts)
    )
    found = compare(there, replace(there, name="B", mounts=noisy))
    assert Verdict.DIFFERENT not in verdicts(found).values()
    assert all(mount.verdict is Verdict.SAME or mount.probability < 1 for mount in found.mounts)


def test_of_a_pair_the_most_agreeing_place_is_found_and_said() -> None:
    a = plain()
    b = replace(a, name="B", mounts=tuple(replace(m, x_mm=m.x_mm + (40 if m.name > "P1" else 0)) for m in a.mounts))
    found = compare(a, b)
    assert verdicts(found)["P1", Side.LH] is Verdict.DIFFERENT
    assert sum(verdict is Verdict.SAME for verdict in verdicts(found).values()) == 10
    assert found.alignment.x_mm == pytest.approx(-40)
    assert found.alignment.words.startswith("found on P2, P3, P4, P5, P6: B moved 1.5748 in forward and 0.00 in up")
    stated = compare(replace(a, datum="P1"), replace(b, datum="P1")).alignment.words
    assert stated.endswith("on P1, the datum, only 2 would line up")


def test_a_datum_is_kept_where_no_other_place_does_better() -> None:
    a = plain()
    b = replace(a, name="B", mounts=tuple(replace(m, x_mm=m.x_mm + (40 if m.name > "P3" else 0)) for m in a.mounts))
    assert compare(replace(a, datum="P5"), replace(b, datum="P5")).alignment.datum == "P5"
    assert compare(replace(a, datum="P2"), replace(b, datum="P2")).alignment.datum == "P2"


def test_a_survey_laid_down_askew_is_turned_and_a_design_is_not() -> None:
    askew = surveyed(plain(), turn=(0.5, 1.0, 2.0), shift=(30.0, 5.0, 12.0))
    found = compare(plain(), askew)
    assert all(verdict is Verdict.SAME for verdict in verdicts(found).values())
    assert found.alignment.is_turned
    assert all(abs(axis.difference_mm) < 1e-6 for mount in found.mounts for axis in mount.axes)
    assert not compare(plain(), replace(askew, kind=FrameKind.DESIGN)).alignment.is_turned


@given(st.integers(0, 2**32 - 1))
@settings(max_examples=40, deadline=None)
def test_of_two_surveys_laid_down_askew_either_may_come_first(seed: int) -> None:
    lots = Random(seed)

    def misread(p: Spot) -> Spot:
        x, y, z = (each + lots.gauss(0, 3) + lots.choice((0, 0, 0, 40)) for each in p)
        return x, y, z

    a, b = bent(plain(), misread, 1.0), bent(plain(), misread, 1.0)
    b = replace(
        surveyed(b, (lots.gauss(0, 0.4), lots.gauss(0, 0.3), lots.gauss(0, 0.3)), (9.0, -4.0, 6.0), 1.0), name="B"
    )
    there, back = compare(a, b), compare(b, a)
    assert verdicts(there) == verdicts(back)
    others = {(mount.name, mount.side): mount for mount in back.mounts}
    for mount in there.mounts:
        for axis, back_axis in zip(mount.axes, others[mount.name, mount.side].axes, strict=True):
            assert axis.difference_mm == pytest.approx(-back_axis.difference_mm, abs=1e-9)


@given(st.floats(-50, 50), st.lists(st.floats(0, 9), max_size=3), st.floats(-1, 20))
def test_a_quick_verdict_is_the_exact_one(difference: float, doubts: list[float], allowed: float) -> None:
    assert verdict_of(difference, tuple(doubts), allowed) is judge(difference, tuple(doubts), allowed).verdict


def test_a_slot_lets_a_mount_slide_along_the_rail() -> None:
    a = FrameShape("A", mounts=tuple(Mount(f"P{i}", Side.NONE, i * 700.0, 500.0, 0.0) for i in range(3)), datum="P0")
    b = with_mount(replace(a, name="B"), "P2", x_mm=1420.0)
    assert verdicts(compare(a, b))["P2", Side.LH] is Verdict.DIFFERENT
    one, other = (with_mount(each, "P2", kind="slot", slot_mm=60.0) for each in (a, b))
    assert verdicts(compare(one, other))["P2", Side.LH] is Verdict.SAME


def test_the_smaller_hole_decides_what_a_mount_may_be_off() -> None:
    a = design(LIGHT)
    b = with_mount(replace(a, name="B"), "M3 front floor", size_mm=14.7)
    found = {(each.name, each.side): each for each in compare(a, b).mounts}
    assert found["M3 front floor", Side.LH].axes[0].allowed_mm == pytest.approx(1.0)
    assert found["M3 front floor", Side.LH].verdict is Verdict.MEASURE_AGAIN


def test_a_mount_that_only_one_has_is_named_and_is_work_for_the_body() -> None:
    a = plain()
    b = replace(a, name="B", mounts=tuple(mount for mount in a.mounts if mount.name != "P6"))
    found = compare(a, b)
    assert (found.only_a, found.only_b) == (("P6 LH", "P6 RH"), ())
    body = {group.onto: group for group in found.groups if group.part == "body shell"}
    assert "make a mount for P6 LH" in body["B"].words
    assert body["plain design"].grade == "bolts_up"


@pytest.mark.parametrize(
    ("shape", "place", "title"),
    [
        (
            replace(plain(), mounts=(*plain().mounts, Mount("P1", Side.LH, 1.0, 470.0, 0.0))),
            "plain design, P1 LH",
            "twice",
        ),
        (with_mount(plain(), "P2", Side.LH, y_mm=550 / INCH), "plain design, P2 LH", "units look mixed"),
        (with_mount(plain(), "P2", Side.LH, x_mm=float("nan")), "plain design, P2 LH", "no number"),
        (with_mount(plain(), "P2", Side.LH, doubt=Doubt.even(-1)), "plain design, P2 LH", "below zero"),
        (replace(plain(), datum="P9"), "plain design", "'P9' is none of its mounts"),
        (replace(plain(), readings=(Reading("wheelbase", 1), Reading("wheelbase", 2))), "plain design", "twice"),
    ],
)
def test_a_frame_that_cannot_be_names_the_point_and_the_remedy(shape: FrameShape, place: str, title: str) -> None:
    with pytest.raises(FrameError, match=title) as caught:
        checked(shape)
    assert (caught.value.place, bool(caught.value.remedy)) == (place, True)


def test_a_frame_typed_in_inches_against_one_in_millimeters_is_seen() -> None:
    inches = tuple(replace(m, x_mm=m.x_mm / INCH, y_mm=m.y_mm / INCH, z_mm=m.z_mm / INCH) for m in plain().mounts)
    with pytest.raises(FrameError, match="units look mixed") as caught:
        compare(plain(), replace(plain(), name="B", mounts=inches))
    assert caught.value.place == "B"


def test_the_same_point_twice_with_one_value_is_one_point() -> None:
    shape = plain()
    assert len(checked(replace(shape, mounts=shape.mounts + shape.mounts[:1])).mounts) == 12


def test_suspension_not_looked_at_is_neither_same_nor_other() -> None:
    found = compare(replace(design(LIGHT), front=None), design(HEAVY))
    assert [end.same for end in found.suspension] == [None, False]
