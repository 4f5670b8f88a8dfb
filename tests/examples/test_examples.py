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
    """As PNG where there is a converter, else as SVG that loads no font from elsewhere."""
    said = run("pictures", str(tmp_path / "pictures"), "counter", "floor", tmp_path=tmp_path)
    for seat in ("counter", "floor"):
        assert seat in said
        (drawn,) = (tmp_path / "pictures").glob(f"{seat}.*")
        head = drawn.read_bytes()
        assert head.startswith(b"\x89PNG") if drawn.suffix == ".png" else head.startswith(b"<svg")
        assert b"http" not in head or b"font-face" not in head


def test_no_example_is_longer_than_a_page() -> None:
    files = sorted(FOLDER.glob("*.py"))
    assert len(files) >= 4
    for file in files:
        lines = file.read_text(encoding="utf-8").splitlines()
        assert len(lines) < 85, file.name
        assert lines[0].startswith('"""'), file.name
