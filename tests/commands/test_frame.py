"""Frames and patterns as commands, over the casebook's yard."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from app.book.work import Book
from tests.commands.desk import ROOT, Desk
from tests.commands.test_bench import numbers_without_units

UNITLESS = {"hours", "number", "limit", "ways", "sides", "rows", "mm"}
"""Hours are hours; a test's number has its unit beside it; the rest are counts."""


@pytest.fixture
def desk(sqlite_book: Book) -> Desk:
    """A desk with the casebook's yard."""
    desk = Desk(sqlite_book.engine.url.database or "")
    desk.says("load", str(ROOT / "tests" / "casebook"))
    return desk


def test_a_comparison_is_a_report_of_every_mount_with_direction_and_what_follows(desk: Desk) -> None:
    # Casebook C11.
    said = desk.says("frame", "compare", "light boxed", "heavy C-channel")
    assert "6 of 12 mounts line up" in said
    rows = [line for line in said.splitlines() if line.startswith("M")]
    assert len(rows) == 12
    assert "2.50 in rearward" in next(row for row in rows if row.startswith("M5 kick-up"))
    assert "hitch receiver made for light boxed, onto heavy C-channel: won't fit" in said
    assert "caution: Structural welding" in said


@pytest.mark.parametrize(
    "words",
    [
        ["frame", "compare", "light boxed", "heavy C-channel"],
        ["frame", "damage", "D05"],
        ["frame", "join", "heavy C-channel", "light boxed"],
        ["pattern", "S180", "heavy C-channel"],
    ],
)
def test_every_number_says_its_unit(desk: Desk, words: list[str]) -> None:
    assert set(numbers_without_units(desk.record(*words))) <= UNITLESS


def test_a_frame_in_doubt_is_straight_by_the_later_finer_readings(desk: Desk) -> None:
    # Casebook C15: 0.15625 + 0.0625 = 0.21875 within 0.25.
    found = desk.record("frame", "damage", "D05")
    assert found["verdict"] == "straight"
    assert "0.15625 + 0.0625 = 0.21875" in json.dumps(found)


def test_open_and_boxed_rails_join_nowhere_and_every_failed_test_has_its_number(desk: Desk) -> None:
    found = desk.record("frame", "join", "light boxed", "heavy C-channel")
    assert found["grade"] == "wont_fit"
    assert {test["what"] for test in found["failed"]} >= {"section type", "wall"}
    assert found["cautions"]


def test_a_part_is_held_against_a_vehicle_by_its_tag(desk: Desk) -> None:
    assert desk.record("pattern", "S180", "light boxed")["outcome"] == "fits"
    assert desk.record("pattern", "S180", "heavy C-channel")["outcome"] == "does not fit"
    assert "no mounting pattern of S101" in desk.line("pattern", "S101", "light boxed")


def test_a_survey_file_is_read_and_its_faults_name_line_and_remedy(desk: Desk, tmp_path: Path) -> None:
    file = tmp_path / "mine.csv"
    file.write_text(
        "mount,side,x,y,z,tool\n"
        "M2 cowl,,38,21 3/4,0,tram gauge\n"
        "M3 front floor,,66 1/2,22,0,tram gauge\n"
        "M4 rear floor,,99 1/8,22,0,tram gauge\n"
    )
    assert desk.record("frame", "compare", "light boxed", str(file))["b"] == "mine"
    file.write_text("mount,side,x,y,z,tool\nM2 cowl,LH,38,21 3/5,0,tram gauge\n")
    line = desk.line("frame", "compare", "light boxed", str(file))
    assert line.startswith("mine.csv, line 2, M2 cowl LH, y")
    assert desk.refusal("frame", "compare", "light boxed", "nosuch.csv")["kind"] == "not_found"


def test_mounts_of_a_file_are_written_with_a_survey(desk: Desk, tmp_path: Path) -> None:
    file = tmp_path / "mounts.csv"
    rows = ["M2 cowl,LH,38,21 3/4,0", "M2 cowl,RH,38,21 3/4,0", "M3 front floor,LH,66 1/2,22,0"]
    file.write_text("mount,side,x,y,z\n" + "\n".join(rows) + "\n")
    look = ["--section", "fully boxed", "--front", "coil-over", "--rear", "five-link coil"]
    desk.record("survey", "D01", *look, "--mounts", str(file))
    assert desk.record("frame", "compare", "light boxed", "D01")["mounts"]


@pytest.mark.parametrize("suffix", [".png", ".pdf"])
def test_sheets_are_drawn_into_files(desk: Desk, tmp_path: Path, suffix: str) -> None:
    target = tmp_path / f"sheet{suffix}"
    assert desk.record("frame", "sheet", "light boxed", "heavy C-channel", "--to", str(target)) == {"file": str(target)}
    assert target.stat().st_size > 10_000
    assert "neither .png nor .pdf" in desk.line("frame", "sheet", "light boxed", "--to", str(tmp_path / "x.svg"))
