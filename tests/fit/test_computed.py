"""What two measured frames say of a part where no rule speaks. Figures are those of the casebook's measured frames."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from app.fit.computed import MeasuredFrames, PartSeat
from app.fit.frames.shape import Doubt, FrameShape, Mount, Reading
from app.fit.terms import FrontSuspension, Grade, RearSuspension, Side

INCH = 25.4
ON_MOUNTS, BY_SPREAD = (PartSeat(mounts="body"),), (PartSeat(span="receiver spread"),)
LIGHT = {"M1": (0, 18.5, 0), "M2": (38, 21.75, 0), "M3": (66.5, 22, 0), "M4": (99, 22, 0), "M5": (128.5, 20.25, 0)}
HEAVY = {**LIGHT, "M1": (-1.5, 19.75, 0.4), "M5": (131, 20.25, 0.75)}
SPANS = {"receiver spread": (36.1, 36.9), "frame spread": (36.0, 36.8), "strap spacing": (19.25, 22.0)}


def shape(name: str, mounts: Mapping[str, tuple[float, float, float]], which: int) -> FrameShape:
    """A frame in inches."""
    return FrameShape(
        name,
        mounts=tuple(
            Mount(mount, Side.NONE, x * INCH, y * INCH, z * INCH, Doubt.even(0.5))
            for mount, (x, y, z) in mounts.items()
        ),
        readings=tuple(Reading(span, pair[which] * INCH, 0.5) for span, pair in SPANS.items()),
        front=(FrontSuspension.COIL_OVER, FrontSuspension.TORSION_BAR)[which],
        rear=(RearSuspension.FIVE_LINK_COIL, RearSuspension.LEAF)[which],
        datum="M2",
    )


def frames(**seats: tuple[PartSeat, ...]) -> MeasuredFrames:
    """Both frames, all mounts of which carry the body."""
    shapes = {"light": shape("light", LIGHT, 0), "heavy": shape("heavy", HEAVY, 1)}
    carries = {name: dict.fromkeys(LIGHT, "body") for name in shapes}
    return MeasuredFrames(shapes, {name.replace("_", " "): seat for name, seat in seats.items()}, carries)


def test_a_body_between_two_frames_needs_the_work_that_the_mounts_say() -> None:
    found = frames(body_shell=ON_MOUNTS).computed(["body shell, Longwagon", "body shell"], "light", "heavy")
    assert found is not None
    assert found.grade is Grade.NEEDS_WORK
    assert "M5 2.50 in forward" in found.words
    assert any("welder" in words for words in found.cautions)


def test_a_hitch_too_narrow_for_the_rails_does_not_fit_and_says_by_how_much() -> None:
    # (36.10 - 36.80) / 2 = -0.35 a side.
    found = frames(hitch_receiver=BY_SPREAD).computed(["hitch receiver", ""], "light", "heavy")
    assert found is not None
    assert (found.grade, found.onto) == (Grade.WONT_FIT, "heavy")
    assert "0.35 in a side too narrow" in found.words


def test_what_was_taken_on_this_very_part_stands_before_its_frame() -> None:
    own = (Reading("receiver spread", 36.95 * INCH, 0.5),)
    found = frames(hitch_receiver=BY_SPREAD).computed(["hitch receiver"], "light", "heavy", own)
    assert found is not None
    assert found.grade is not Grade.WONT_FIT


@pytest.mark.parametrize(
    ("u_mm", "grade"),
    [(0.1, Grade.WONT_FIT), (3.0, Grade.MEASURE), (0.0, Grade.WONT_FIT)],
    ids=["fine", "coarse", "none"],
)
def test_a_span_of_the_yards_own_decides_by_the_tape(u_mm: float, grade: Grade) -> None:
    yard = frames(oil_cooler=(PartSeat(span="cooler spacing", allowed_mm=6.35),))
    light, heavy = (
        FrameShape(name, mounts=yard.shapes[name].mounts, readings=(Reading("cooler spacing", mm, u_mm),))
        for name, mm in (("light", 300.0), ("heavy", 308.0))
    )
    found = MeasuredFrames({"light": light, "heavy": heavy}, yard.seats).computed(["oil cooler"], "light", "heavy")
    assert found is not None
    assert found.grade is grade
    assert "cooler spacing 11.811 in against 12.126 in" in found.words


def test_a_part_that_sits_on_mounts_of_its_own_follows_those_mounts() -> None:
    found = frames(bed=(PartSeat(mounts="body"),)).computed(["bed"], "light", "heavy")
    assert found is not None
    assert found.grade is Grade.NEEDS_WORK
    assert found.words == "6 of 10 mounts line up"


def test_nothing_is_said_of_one_design_of_unmeasured_frames_or_of_what_sits_elsewhere() -> None:
    yard = frames(body_shell=ON_MOUNTS)
    assert yard.computed(["body shell"], "light", "light") is None
    assert yard.computed(["body shell"], "light", "never measured") is None
    assert yard.computed(["door mirror"], "light", "heavy") is None
