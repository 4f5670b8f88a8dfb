"""Every example runs by itself, without arguments, and says what it does."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

FOLDER = Path(__file__).parents[2] / "examples"
SAYS = {
    "load_and_ask": ["rows loaded", "part front lower control arm", "bolts up", "to offer"],
    "draw_a_label": ["drawn to", "bytes", "other sizes"],
    "weigh_a_hulk": ["expected", "refused: tare", "ticket", "at 212.00 a gross ton", "drawn to"],
    "take_in_from_a_script": ["refused:", "landed at 1,595.00", "by group: frame"],
}


def run(name: str, *words: str, tmp_path: Path) -> str:
    """What an example prints, run from another folder with a home and a temporary folder of its own."""
    here = {**os.environ, "TMPDIR": str(tmp_path), "HOME": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, str(FOLDER / f"{name}.py"), *words],
        cwd=tmp_path, env=here, capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    return done.stdout


@pytest.mark.parametrize("name", SAYS)
def test_an_example_runs_and_says_what_it_does(name: str, tmp_path: Path) -> None:
    said = run(name, tmp_path=tmp_path)
    for words in SAYS[name]:
        assert words in said


def test_pictures_are_taken_of_the_seats(tmp_path: Path) -> None:
    said = run("pictures", str(tmp_path / "pictures"), "counter", "floor", tmp_path=tmp_path)
    for seat, words in (("counter", "lower"), ("floor", "P1")):
        drawn = (tmp_path / "pictures" / f"{seat}.svg").read_text(encoding="utf-8")
        assert seat in said
        assert drawn.startswith("<svg")
        assert words in drawn


def test_no_example_is_longer_than_a_page() -> None:
    files = sorted(FOLDER.glob("*.py"))
    assert len(files) >= 4
    for file in files:
        lines = file.read_text(encoding="utf-8").splitlines()
        assert len(lines) < 60, file.name
        assert lines[0].startswith('"""'), file.name
