"""Frames measured on vehicles: what is kept, which reading decides, and what a bent one takes off sale."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from sqlalchemy import select

from app.book.bench.holding import compare_frames, damage_of, frame_held
from app.book.bench.readings import Taken, deciding
from app.book.bench.typed import TypedMount
from app.book.frames import Measure, Survey, Surveyed, survey_frame
from app.book.holds import hold
from app.book.sales import Basket, Line, pay_ticket, sell, start_ticket, void_ticket
from app.book.schema import (
    Donor,
    FrameDesign,
    FramePoint,
    FrameState,
    Law,
    Model,
    Part,
    PartType,
    Role,
    Standing,
    SurveyPoint,
)
from app.book.work import Book, Who
from app.errors import BadInput, NotFound, YardError
from app.fit.frames.damage import DamageVerdict
from app.fit.frames.verdicts import Verdict
from app.fit.terms import FrontSuspension, Group, RearSuspension, Section, Side
from tests.support.yard import COUNTER, OWNER, furnish, keep, part

INTAKE = Who("IN", Role.INTAKE, "intake")
LOOK = (Section.BOXED, FrontSuspension.COIL_OVER, RearSuspension.FIVE_LINK_COIL)
# The light frame of the casebook in inches: x, y, z of each mount.
LIGHT = {
    "M1 core support": (0.0, 18.5, 0.0),
    "M2 cowl": (38.0, 21.75, 0.0),
    "M3 front floor": (66.5, 22.0, 0.0),
    "M4 rear floor": (99.0, 22.0, 0.0),
    "M5 kick-up": (128.5, 20.25, 0.0),
    "M6 tail": (163.25, 18.75, 0.0),
}


@pytest.fixture
def yard(book: Book) -> Book:
    """A truck on the light frame, with a frame section, a clip and a steering gear for sale."""
    furnish(book)
    keep(
        book,
        FrameDesign(code="light", name="Light", section=LOOK[0], front=LOOK[1], rear=LOOK[2], datum="M2 cowl"),
        *(
            FramePoint(frame_design_id=1, mount=name, x_mm=x * 25.4, y_mm=y * 25.4, z_mm=z * 25.4, u_mm=0.1)
            for name, (x, y, z) in LIGHT.items()
        ),
        Model(key="WL", make="Dunmarsh", name="Longwagon", family="L", year_from=2007, year_to=2013, frame_design_id=1),
        PartType(name="frame rear section", group=Group.FRAME, law=Law.FRAME),
    )
    with book.unrecorded(OWNER) as work:
        work.session.get_one(Donor, 1).model_id = 1
    for number in range(1, 4):
        keep(book, part(tag=f"S{number}", part_type_id=2))
    keep(book, part(tag="S9"))
    return book


def mounts(tool: str = "dial caliper", **moved: tuple[float, float, float]) -> list[TypedMount]:
    """All twelve mounts as typed; `moved` gives other inches for the mounts on the right, by M1, M2 …"""
    typed = []
    for side in (Side.LH, Side.RH):
        for name, place in LIGHT.items():
            at = moved.get(name.split(" ")[0], place) if side is Side.RH else place
            x, y, z = (f"{inches:g}" for inches in at)
            typed.append(TypedMount(name, side, x, y, z, tool=tool))
    return typed


def surveyed(book: Book, who: Who, typed: Sequence[TypedMount], **more: object) -> Surveyed:
    """Write a survey of D1."""
    return survey_frame(book, who, Survey("D1", *LOOK, mounts=typed, **more))  # type: ignore[arg-type]


def standings(book: Book) -> dict[str, Standing]:
    """Where each part stands."""
    with book.read() as session:
        return {row.tag: row.standing for row in session.scalars(select(Part))}


def test_mounts_are_kept_as_typed_with_tool_and_doubt(yard: Book) -> None:
    surveyed(yard, INTAKE, [TypedMount("M2 cowl", Side.LH, "5' 4-3/8\"", "21 3/4", "-0.25", x_tool="tram gauge")])
    with yard.read() as session:
        (row,) = session.scalars(select(SurveyPoint)).all()
    assert (row.x, row.x_mm, row.u_x_mm) == ("5' 4-3/8\"", 1635.125, 0.79375)
    assert (row.y_mm, row.u_y_mm, row.z_mm) == (552.45, 1.5875, -6.35)


def test_a_frame_whose_mounts_are_where_its_design_has_them_is_straight(yard: Book) -> None:
    found = surveyed(yard, INTAKE, mounts())
    assert found.state is FrameState.STRAIGHT
    assert found.blocked == ()
    assert damage_of(yard, "D1").found.verdict is DamageVerdict.STRAIGHT


def test_a_frame_bent_by_its_mounts_blocks_what_was_cut_from_it_wherever_it_stands(yard: Book) -> None:
    hold(yard, COUNTER, "S2", "Ada")
    draft = start_ticket(yard, COUNTER, Basket((Line("S3"),)))
    found = surveyed(yard, INTAKE, mounts(M6=(163.25, 18.75, 2.0), M5=(128.5, 20.25, 1.2)))
    assert found.state is FrameState.SCRAP_ONLY
    assert found.blocked == ("S1", "S2", "S3")
    assert found.to_tell == ("S2 was held for Ada",)
    assert any("twist: bent" in words for words in found.arithmetic)
    assert standings(yard) == {
        "S1": Standing.BLOCKED,
        "S2": Standing.BLOCKED,
        "S3": Standing.BLOCKED,
        "S9": Standing.FREE,
    }
    for tag in ("S1", "S2", "S3"):
        with pytest.raises(YardError, match="frame is scrap only"):
            start_ticket(yard, COUNTER, Basket((Line(tag),), customer="Ada"))
    with pytest.raises(YardError, match="frame is scrap only"):
        pay_ticket(yard, COUNTER, draft.number, "cash")


def test_a_part_of_a_condemned_frame_that_comes_back_is_not_for_sale(yard: Book) -> None:
    sold = sell(yard, COUNTER, Basket((Line("S1"), Line("S9"))))
    surveyed(yard, INTAKE, mounts(M6=(163.25, 18.75, 2.0), M5=(128.5, 20.25, 1.2)))
    assert standings(yard)["S1"] is Standing.SOLD, "what was sold before is sold"
    void_ticket(yard, OWNER, sold.number, "changed his mind")
    assert (standings(yard)["S1"], standings(yard)["S9"]) == (Standing.BLOCKED, Standing.FREE)


def test_only_the_owner_lifts_it_with_new_readings_and_what_was_blocked_for_it_is_for_sale_again(yard: Book) -> None:
    bent = mounts(M6=(163.25, 18.75, 2.0), M5=(128.5, 20.25, 1.2))
    surveyed(yard, INTAKE, bent)
    assert surveyed(yard, INTAKE, mounts()).state is FrameState.SCRAP_ONLY
    assert surveyed(yard, OWNER, bent).state is FrameState.SCRAP_ONLY
    lifted = surveyed(yard, OWNER, mounts())
    assert (lifted.state, lifted.given_back) == (FrameState.STRAIGHT, ("S1", "S2", "S3"))
    assert set(standings(yard).values()) == {Standing.FREE}


def test_a_tape_is_too_coarse_to_doubt_what_diagonals_cleared(yard: Book) -> None:
    # 118 7/16 and 118 1/2 by hook tape: 0.0625 + 0.125 within 0.25 (the job's own example of a straight box).
    pair = {"middle": (Measure("118 7/16"), Measure("118 1/2"))}
    found = surveyed(yard, INTAKE, mounts("hook tape"), diagonals=pair)
    assert found.state is FrameState.STRAIGHT
    assert any(words.startswith("mounts: measure again") for words in found.arithmetic)


def test_fewer_mounts_than_needed_are_kept_and_said_and_decide_nothing(yard: Book) -> None:
    found = surveyed(yard, INTAKE, mounts()[:1])
    assert found.state is FrameState.UNMEASURED
    assert found.arithmetic[0].startswith("mounts: ")


def test_a_later_finer_reading_decides_and_both_are_kept(yard: Book) -> None:
    surveyed(yard, INTAKE, mounts("hook tape", M4=(99.19, 22.0, 0.0)))
    surveyed(yard, INTAKE, [TypedMount("M4 rear floor", Side.RH, x="99.06", tool="tram gauge")])
    held = frame_held(yard, "D1")
    (mount,) = [each for each in held.shape.mounts if each.label == "M4 rear floor RH"]
    assert (mount.x_mm, mount.doubt.x) == (99.06 * 25.4, 0.79375)
    assert mount.y_mm == 22.0 * 25.4, "what was not taken again stays"
    with yard.read() as session:
        rows = session.scalars(select(SurveyPoint).where(SurveyPoint.mount == "M4 rear floor")).all()
    assert [row.x for row in rows if row.side is Side.RH] == ["99.19", "99.06"]


@pytest.mark.parametrize(
    ("readings", "wanted"),
    [
        ([Taken(2519.4, 3.175), Taken(2516.1, 0.8)], 2516.1),
        ([Taken(2516.1, 0.8), Taken(2517.0, 3.175)], 2516.1),
        ([Taken(2516.1, 0.8), Taken(2530.0, 3.175)], 2530.0),
        ([], None),
    ],
    ids=["finer later", "coarser later that agrees", "coarser later that cannot be the same", "none"],
)
def test_which_reading_decides(readings: list[Taken], wanted: float | None) -> None:
    found = deciding(readings)
    assert (found.mm if found else None) == wanted


@pytest.mark.parametrize(
    ("typed", "place"),
    [
        ([TypedMount("M3", Side.LH, "66 1/2", "22", "0"), TypedMount("M3", Side.LH, "67 1/2", "22", "0")], "M3 LH"),
        ([TypedMount("M3", Side.LH, "66 1/2", "559 mm", "0"), TypedMount("M4", Side.LH, "99", "22", "0")], "M3 LH, y"),
        ([TypedMount("M3", Side.LH, "1689", "22", "0")], "M3 LH, x"),
        ([TypedMount("M3", Side.LH, "66 1/2", "-22", "0")], "M3 LH"),
        ([TypedMount("M3", Side.LH, "66 1/2x", "22", "0")], "M3 LH, x"),
        ([TypedMount(" ", Side.LH, "66 1/2", "22", "0")], "mount"),
    ],
    ids=["twice", "units mixed", "unit left out", "minus outboard", "no length", "no name"],
)
def test_what_cannot_be_names_the_point_and_what_to_do(yard: Book, typed: list[TypedMount], place: str) -> None:
    with pytest.raises(BadInput) as refused:
        surveyed(yard, INTAKE, typed)
    assert refused.value.place == place
    assert refused.value.remedy
    with yard.read() as session:
        assert session.scalars(select(SurveyPoint)).all() == []


HEAD = "mount,side,x,y,z,tool\n"


def test_a_survey_file_is_held_against_a_design_without_being_written_into_the_book(yard: Book, tmp_path: Path) -> None:
    file = tmp_path / "survey.csv"
    rows = [f"{m.mount},{m.side},{m.x},{m.y},{m.z},tram gauge" for m in mounts(M5=(131.0, 20.25, 0.0))]
    file.write_text(HEAD + "\n".join(rows) + "\n")
    found = compare_frames(yard, "light", str(file)).found
    off = {f"{each.name} {each.side}": each.verdict for each in found.mounts if each.verdict is not Verdict.SAME}
    assert off == {"M5 kick-up RH": Verdict.DIFFERENT}
    with yard.read() as session:
        assert session.scalars(select(SurveyPoint)).all() == []


@pytest.mark.parametrize(
    ("text", "place", "said"),
    [
        (f"{HEAD}M2,LH,38,21x,0,hook tape\n", "survey.csv, line 2, M2 LH, y", "21x"),
        (f"{HEAD}M2,LH,38,21,0,yardstick\n", "survey.csv, line 2, M2 LH, tool", "yardstick"),
        (f"{HEAD}M2,LH,38\n", "survey.csv, line 2", "3 cells"),
        (f"{HEAD}M2,up,38,21,0,hook tape\n", "survey.csv, line 2, side", "up"),
        ("mount,side,x,y,z,shoe\n", "survey.csv, line 1", "shoe"),
    ],
    ids=["no length", "no tool", "cells missing", "no side", "strange column"],
)
def test_a_file_that_cannot_be_read_names_line_column_and_remedy(
    yard: Book, tmp_path: Path, text: str, place: str, said: str
) -> None:
    file = tmp_path / "survey.csv"
    file.write_text(text)
    with pytest.raises(BadInput) as refused:
        frame_held(yard, str(file))
    assert refused.value.place.startswith(place)
    assert said in refused.value.title
    assert refused.value.remedy


def test_a_mount_without_all_coordinates_is_left_out_and_said(yard: Book, tmp_path: Path) -> None:
    file = tmp_path / "survey.csv"
    file.write_text("mount,x,y\nM2,38,21\n")
    assert frame_held(yard, str(file)).left_out == ("M2: z not measured",)


def test_a_frame_that_is_nowhere_says_what_could_be_named(yard: Book) -> None:
    with pytest.raises(NotFound) as missing:
        frame_held(yard, "nosuch")
    assert "stock number" in missing.value.remedy
    with pytest.raises(BadInput) as unmeasured:
        compare_frames(yard, "D1", "light")
    assert "design 'light'" in unmeasured.value.remedy
