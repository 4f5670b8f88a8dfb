"""The bench at its screens: mounts typed in a walk, two frames over each other, and what follows."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import select
from textual.pilot import Pilot

from app.book.bench.designs import DesignTyped, Sized, write_design
from app.book.bench.typed import TypedMount
from app.book.schema import Fact, FramePoint, FrameStation, SurveyPoint
from app.book.work import Book
from app.fit.terms import FactKind, FrontSuspension, Group, RearSuspension, Section, Side
from tests.screens.desk_pilot import at, fill, press, seen, settle
from tests.screens.desk_yard import MONDAY, furnish, take_in_v1
from tests.support.clock import Clock
from tests.support.yard import OWNER, keep

NOTEPAD = [("M1", "0", "18 1/2", "0"), ("M2", "38", "21 3/4", "0"), ("M3", "66 1/2", "22", "0")]


@pytest.fixture
def yard(sqlite_book: Book, clock: Clock) -> Book:
    """The small yard on Monday with its first vehicle."""
    clock.now = MONDAY
    furnish(sqlite_book)
    take_in_v1(sqlite_book)
    keep(sqlite_book, Fact(name="receiver spread", kind=FactKind.LENGTH, group=Group.FRAME, unit="in"))
    return sqlite_book


def two_frames(book: Book) -> None:
    """Two measured designs: the tail of the second an inch and a quarter wide, its receiver too."""
    for code, wide, spread in (("alpha", "18.75", "36.0"), ("beta", "20", "36.9")):
        places = [("M2", "38", "21.75"), ("M3", "66.5", "22"), ("M4", "99", "22"), ("M6", "163", wide)]
        mounts = [
            TypedMount(name, side, x, y, "0", tool="tram gauge") for side in (Side.LH, Side.RH) for name, x, y in places
        ]
        look = (Section.BOXED, FrontSuspension.COIL_OVER, RearSuspension.FIVE_LINK_COIL)
        sizes = {"spread": Sized(spread), "receiver spread": Sized(spread)}
        sizes |= {"rail height": Sized("7.1"), "rail width": Sized("2.9"), "wall": Sized("0.15", "dial caliper")}
        write_design(book, OWNER, DesignTyped(code, *look, datum="M2", mounts=mounts, measures=sizes))


async def compare(pilot: Pilot[None]) -> None:
    """Mark the two frames and hold them against each other."""
    await press(pilot, "home")
    while "alpha" not in here(pilot):
        await press(pilot, "down")
    await press(pilot, "space", "down", "space", "c")
    await settle(pilot)


def here(pilot: Pilot[None]) -> str:
    """What the line under the cursor stands for."""
    from app.screens.parts.board import Board

    return pilot.app.screen.query_one(Board).here


async def test_two_marked_frames_are_drawn_over_each_other_with_every_mount(yard: Book) -> None:
    two_frames(yard)
    async with at(yard, "bench", "OW") as pilot:
        await compare(pilot)
        words = seen(pilot)
        assert "6 of 8 mounts line up" in words
        assert "○ A alpha" in words
        assert "× B beta" in words
        rows = [line for line in words.splitlines() if line.startswith("M6 ")]
        assert [line.split() for line in rows] == [
            ["M6", side, "does", "not", "line", "up", "1.25", "in", "outboard"] for side in ("LH", "RH")
        ]
        await press(pilot, "f")
        assert "hitch receiver made for alpha, onto beta: won't fit" in seen(pilot)
        await press(pilot, "enter", "plus", "plus", "down", "r")
        assert "six" not in seen(pilot)
        await press(pilot, "enter", "escape")
        assert "frame designs" in seen(pilot)


async def test_the_sheet_is_drawn_from_the_picture(yard: Book, tmp_path: Path) -> None:
    two_frames(yard)
    async with at(yard, "bench", "OW") as pilot:
        await compare(pilot)
        await press(pilot, "p")
        await fill(pilot, str(tmp_path / "wall.svg"))
        await press(pilot, "enter")
        assert "neither .pdf nor .png" in seen(pilot)
        await fill(pilot, str(tmp_path / "wall.png"))
        await press(pilot, "enter")
        assert (tmp_path / "wall.png").stat().st_size > 10_000


async def test_one_frame_alone_is_not_compared_and_says_how(yard: Book) -> None:
    async with at(yard, "bench", "OW") as pilot:
        await press(pilot, "c")
        assert "mark two frames first" in seen(pilot)


async def test_mounts_are_typed_in_a_walk_and_a_typo_of_an_inch_is_asked_at_once(yard: Book) -> None:
    async with at(yard, "bench", "OW") as pilot:
        await press(pilot, "n")
        await fill(pilot, "gamma", "", "2", "2", "1", "M2", "")
        await press(pilot, "f4")
        for mount in NOTEPAD:
            await fill(pilot, *mount)
            await press(pilot, "enter")
        await press(pilot, "f4")
        assert "right side, front to rear   1 of 3" in seen(pilot)
        for name, *place in NOTEPAD:
            typo = ["=", "22 3/4", "="] if name == "M2" else ["=", *place[1:]]
            await fill(pilot, *typo)
            if name == "M2":
                assert "M2 RH: y is 1.00 in farther outboard than on LH" in seen(pilot)
                await fill(pilot, "0")
                await press(pilot, "up", "up")
                await fill(pilot, *place)
            await press(pilot, "enter")
        assert "farther outboard" not in seen(pilot)
        await press(pilot, "f2")
        assert "F4 mounts taken: 6" in seen(pilot)
        await press(pilot, "f2")
        assert "frame design gamma: 6 mounts" in seen(pilot)
    with yard.read() as session:
        points = session.scalars(select(FramePoint).where(FramePoint.mount == "M2")).all()
    assert {(row.side, row.x_mm, row.y_mm) for row in points} >= {(Side.RH, 965.2, 552.45), (Side.LH, 965.2, 552.45)}


async def test_nothing_typed_in_a_walk_is_lost(yard: Book) -> None:
    async with at(yard, "bench", "OW") as pilot:
        await press(pilot, "n")
        await fill(pilot, "gamma")
        await press(pilot, "f4")
        await fill(pilot, "M1", "12 3/4", "nonsense")
        await press(pilot, "escape", "escape")
    async with at(yard, "bench", "OW") as pilot:
        await press(pilot, "n")
        assert "F4 mounts taken: 1" in seen(pilot)
        await press(pilot, "f4")
        assert "12 3/4" in seen(pilot)
        assert "nonsense" in seen(pilot)
        await press(pilot, "f2")
        assert "M1 LH, y" in seen(pilot), "what cannot be read is asked for before the walk is done"


async def test_a_surveyed_vehicle_takes_its_mounts_by_the_names_of_its_design(yard: Book, tmp_path: Path) -> None:
    file = tmp_path / "mine.csv"
    file.write_text("mount,side,x,y,z,tool\nM9,LH,12,20,0,tram gauge\n")
    async with at(yard, "bench", "OW") as pilot:
        await press(pilot, "f")
        await fill(pilot, "d1")
        await press(pilot, "enter")
        await fill(pilot, "1", "1", "2")
        await press(pilot, "f4")
        assert "M2 LH" in seen(pilot)
        await press(pilot, "f7")
        await fill(pilot, str(file))
        await press(pilot, "enter")
        assert "1 mounts loaded" in seen(pilot)
        await press(pilot, "f2", "f2")
        assert "mounts: " in seen(pilot)
    with yard.read() as session:
        assert [row.mount for row in session.scalars(select(SurveyPoint))] == ["M9"]


async def test_a_rail_is_taken_down_place_by_place_and_decides_over_a_joint(yard: Book) -> None:
    two_frames(yard)
    async with at(yard, "bench", "OW") as pilot:
        await press(pilot, "n")
        await fill(pilot, "gamma", "", "2", "2", "1", "")
        await press(pilot, "f5")
        for place, x, fitted in (("cab", "40", ""), ("hanger", "90", "spring hanger")):
            await fill(pilot, place, x, "18.4", "8 1/4", "2.80", "0.220", "7.35", "-0.90", "", fitted)
            await press(pilot, "enter")
        await press(pilot, "f2")
        assert "F5 places of the rail: 2" in seen(pilot)
        await press(pilot, "f2")
    with yard.read() as session:
        rows = session.scalars(select(FrameStation).order_by(FrameStation.x_mm)).all()
        assert [(row.station, row.height_mm, row.bottom_mm, row.fitted) for row in rows] == [
            ("cab", 209.55, -22.86, ""),
            ("hanger", 209.55, -22.86, "spring hanger"),
        ]


async def test_a_joint_is_worked_out_again_with_prices(yard: Book) -> None:
    two_frames(yard)
    async with at(yard, "bench", "OW") as pilot:
        await press(pilot, "home")
        while "alpha" not in here(pilot):
            await press(pilot, "down")
        await press(pilot, "space", "down", "space", "j")
        await settle(pilot)
        assert "caution: Structural welding" in seen(pilot)
        await press(pilot, "p")
        await fill(pilot, "", "many")
        await press(pilot, "enter", "enter", "enter")
        assert "no number of hours" in seen(pilot)
        await fill(pilot, "10", "450", "900")
        await press(pilot, "enter")
        await settle(pilot)
        assert "labor 900.00" in seen(pilot)
        assert "in all 1,350.00" in seen(pilot)


@pytest.mark.parametrize(
    ("key", "typed", "said"),
    [
        ("s", ["boxed 7.10x2.90x0.150", "open 8.25x2.80x0.220"], "in twist about"),
        ("x", ["10 1/2", "1", "0", "1.75"], "Cam adjusters take out 1.75"),
    ],
)
async def test_short_questions_are_answered_at_the_bench(yard: Book, key: str, typed: list[str], said: str) -> None:
    async with at(yard, "bench", "OW") as pilot:
        await press(pilot, key)
        await fill(pilot, *typed)
        for _ in range(7):
            if said in seen(pilot):
                break
            await press(pilot, "enter")
        assert said in seen(pilot)


async def test_a_survey_file_joins_the_list_and_is_looked_over_for_damage(yard: Book, tmp_path: Path) -> None:
    two_frames(yard)
    file = tmp_path / "bent.csv"
    rows = [
        f"{m},{s},{x},{y},{z},dial caliper"
        for s in ("LH", "RH")
        for m, x, y, z in [
            ("M2", "38", "21.75", "0"),
            ("M3", "66.5", "22", "0"),
            ("M4", "99", "22", "0"),
            ("M6", "163", "18.75", "2" if s == "RH" else "0"),
        ]
    ]
    file.write_text("mount,side,x,y,z,tool\n" + "\n".join(rows) + "\n")
    async with at(yard, "bench", "OW") as pilot:
        await press(pilot, "l")
        await fill(pilot, str(file))
        await press(pilot, "enter")
        await press(pilot, "home")
        while "file" not in here(pilot):
            await press(pilot, "down")
        await press(pilot, "space", "down")
        while "alpha" not in here(pilot):
            await press(pilot, "down")
        await press(pilot, "space", "d")
        await settle(pilot)
        words = seen(pilot)
        assert "bent: " in words
        assert "twist" in words
        assert "M6 RH" in words
