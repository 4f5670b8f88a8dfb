"""What a user gets: the wheel alone, in a clean environment, run from any folder."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.wheel

ROOT = Path(__file__).parents[1]
# A widely published worked example of the check digit of 49 CFR 565.15; also in references/values.json.
VIN = "1M8GDM9AXKP042788"

Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel as it is published."""
    folder = tmp_path_factory.mktemp("wheel")
    run_pip(sys.executable, "wheel", "--quiet", "--no-deps", "--wheel-dir", str(folder), str(ROOT))
    (made,) = folder.glob("*.whl")
    return made


def run_pip(python: str | Path, *arguments: str) -> None:
    """Run pip with the pip cache of whoever runs the tests."""
    done = subprocess.run([python, "-m", "pip", *arguments], capture_output=True, text=True, check=False, timeout=900)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The program's command in an environment that holds nothing but the wheel and what it asks for."""
    folder = tmp_path_factory.mktemp("clean") / "venv"
    subprocess.run([sys.executable, "-m", "venv", folder], check=True, timeout=120)
    run_pip(folder / "bin" / "python", "install", "--quiet", str(wheel))
    return folder / "bin" / "donorbook"


@pytest.fixture
def donorbook(installed: Path, tmp_path: Path) -> Run:
    """Run the installed command from a folder that is not the checkout."""

    def run(*arguments: str) -> subprocess.CompletedProcess[str]:
        clean = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
        done = subprocess.run(
            [installed, *arguments],
            cwd=tmp_path,
            env=clean,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            check=False,
            timeout=120,
        )
        assert "Traceback" not in done.stderr, done.stderr
        return done

    return run


def said(done: subprocess.CompletedProcess[str]) -> Any:
    """What a command said as JSON."""
    assert done.returncode == 0, done.stdout + done.stderr
    return json.loads(done.stdout)


def test_the_wheel_holds_the_data_files_and_no_test(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    for wanted in ("migrations/versions/0001_the_yard.py", "labels/data/DejaVuSansMono-Bold.ttf", "app/cli.py"):
        assert wanted in names
    assert {name.split("/")[0] for name in names if ".dist-info" not in name} == {
        "app",
        "labels",
        "migrations",
        "seed_demo",
    }


def test_it_says_its_version_and_helps(donorbook: Run, wheel: Path) -> None:
    version = donorbook("--version")
    assert version.returncode == 0
    assert wheel.name.split("-")[1] in version.stdout
    for command in ("take-in", "harvest", "put-away", "ask", "sell", "weigh", "label", "load", "dump", "check", "vin"):
        assert command in donorbook("--help").stdout
        assert donorbook(command, "--help").returncode == 0


def test_it_checks_a_vin(donorbook: Run) -> None:
    assert said(donorbook("vin", VIN, "--json"))["valid"] is True
    wrong = donorbook("vin", VIN.replace("X", "7", 1), "--json")
    assert wrong.returncode == 1
    assert json.loads(wrong.stdout)["valid"] is False


def test_it_builds_the_demo_yard_and_answers_from_it(donorbook: Run, tmp_path: Path) -> None:
    file = tmp_path / "demo.book"
    built = said(donorbook("--book", str(file), "demo", "--no-open", "--json"))
    assert str(file) in json.dumps(built)
    connection = sqlite3.connect(file)
    donors, parts = (connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in ("donors", "parts"))
    connection.close()
    assert donors >= 100
    assert parts >= 1000
    assert said(donorbook("--book", str(file), "check", "--json")) is not None


def test_it_draws_a_label_with_its_own_font(donorbook: Run, tmp_path: Path) -> None:
    file = tmp_path / "demo.book"
    said(donorbook("--book", str(file), "demo", "--no-open", "--json"))
    connection = sqlite3.connect(file)
    (tag,) = connection.execute("SELECT tag FROM parts WHERE standing = 'free' ORDER BY id LIMIT 1").fetchone()
    connection.close()
    drawn = donorbook("--book", str(file), "label", tag, "--to", str(tmp_path / "label.png"))
    assert drawn.returncode == 0, drawn.stderr
    assert (tmp_path / "label.png").read_bytes().startswith(b"\x89PNG")


def test_an_error_is_one_line_with_a_remedy_and_status_2(donorbook: Run, tmp_path: Path) -> None:
    file = tmp_path / "letter.txt"
    file.write_text("Dear yard, " * 100)
    refused = donorbook("--book", str(file), "check")
    assert refused.returncode == 2
    assert len(refused.stderr.strip().splitlines()) == 1
    assert "letter.txt" in refused.stderr
