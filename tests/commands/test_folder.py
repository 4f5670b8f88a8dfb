"""Loading and dumping by command: progress, stopping, and every fault named."""

from __future__ import annotations

import csv
import os
import pty
import signal
import subprocess
from pathlib import Path

from app.book.tags import TagKind, make_tag
from app.book.work import open_book
from app.commands.progress import clock_time, progress_line
from tests.commands.desk import YARD, Desk, environment, program

MANY = 60_000


def test_a_dump_loads_into_the_same_book(yard: Desk, tmp_path: Path) -> None:
    yard.record("take-in", "--no-vin", "plate burnt", "--words", "=HYPERLINK(1)", "--price", "300")
    report = yard.record("dump", str(tmp_path / "one"))
    assert report["rows"] == sum(report["sheets"].values())
    other = Desk(str(tmp_path / "other.book"))
    loaded = other.record("load", str(tmp_path / "one"))
    assert loaded["added"] == report["rows"]
    other.record("dump", str(tmp_path / "two"))
    # The load itself is a line of the history and counts as new knowledge.
    for sheet in report["sheets"]:
        if sheet not in ("history", "counters"):
            assert (tmp_path / "two" / f"{sheet}.csv").read_bytes() == (tmp_path / "one" / f"{sheet}.csv").read_bytes()


def test_every_fault_is_named_and_the_last_line_is_the_error(yard: Desk, tmp_path: Path) -> None:
    folder = tmp_path / "folder"
    folder.mkdir()
    (folder / "places.csv").write_text("code,kind\nB1,shelf\nB2,heap\nB3,pile\n")
    result = yard.run("load", str(folder))
    assert (result.exit_code, result.stdout) == (2, "")
    *faults, last = result.stderr.splitlines()
    assert len(faults) == 2
    assert all(fault.startswith("places.csv, line ") and "expected" in fault for fault in faults)
    assert last.startswith("donorbook: places.csv, line 3, column kind")
    assert "Nothing was loaded" in last
    record = yard.refusal("load", str(folder))
    assert [fault["line"] for fault in record["details"]["faults"]] == [3, 4]
    assert "B1" not in [row["code"] for row in yard.record("places")["places"]]


def test_the_sheets_say_what_they_hold(yard: Desk) -> None:
    every = yard.says("load", "--columns")
    assert "places.csv" in every
    assert "part_types.csv" in every
    one = yard.says("load", "--columns", "places.csv")
    assert "weight_limit_lb" in one
    assert "part_types.csv" not in one
    assert list(yard.record("load", "--columns", "places")["sheets"]) == ["places"]


def test_a_line_of_progress_has_rate_and_time_left() -> None:
    line = progress_line(25_000, 100_000, "parts", 2.0, "rows")
    assert "25,000 of 100,000 rows" in line
    assert "12,500 a second" in line
    assert "0:06 left" in line
    assert line.count("#") == 6
    assert [clock_time(each) for each in (0, 59.6, 3725)] == ["0:00", "1:00", "1:02:05"]
    assert "left" not in progress_line(5, 5, "parts", 2.0, "rows")
    assert progress_line(0, 0, "", 0.0, "rows")


def many_parts(folder: Path) -> None:
    """A folder with so many parts that loading them takes a while."""
    for sheet in YARD.glob("*.csv"):
        (folder / sheet.name).write_bytes(sheet.read_bytes())
    with (folder / "parts.csv").open("w", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(["tag", "past", "part_type", "condition", "whereabouts", "place", "made_at"])
        for number in range(MANY):
            tag = make_tag(TagKind.PART, number)
            rows.writerow([tag, "bought in", "hood", "B", "in place", "A1-2", "2026-03-02T15:00:00Z"])


def test_ctrl_c_stops_a_load_and_nothing_of_it_is_in_the_book(tmp_path: Path) -> None:
    folder = tmp_path / "many"
    folder.mkdir()
    many_parts(folder)
    desk = Desk(str(tmp_path / "y.book"))
    open_book(desk.address).close()
    ours, theirs = pty.openpty()
    running = subprocess.Popen(
        program("--book", desk.address, "load", str(folder)),
        env=environment(),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=theirs,
    )
    os.close(theirs)
    try:
        said = _read_until(ours, b" parts")
        running.send_signal(signal.SIGINT)
        said += _read_until(ours, None)
        assert running.wait(timeout=60) == 130
    finally:
        running.kill()
        running.communicate()
        os.close(ours)
    lines = [line for line in said.decode().replace("\r\n", "\n").split("\n") if line.strip()]
    assert lines[-1].rpartition("\r")[2] == (
        "donorbook: the load was stopped, nothing was loaded. Load the folder again when there is time."
    )
    assert " a second" in said.decode()
    assert desk.record("places")["places"] == []
    assert desk.record("history")["history"] == []


def _read_until(terminal: int, wanted: bytes | None) -> bytes:
    """Read a terminal until it says something, or until nobody writes to it any more."""
    said = b""
    while wanted is None or wanted not in said:
        try:
            piece = os.read(terminal, 4096)
        except OSError:
            break
        if not piece:
            break
        said += piece
    return said
