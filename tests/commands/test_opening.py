"""Opening the terminal program: at a seat, on a book, and on the demo yard."""

from __future__ import annotations

import json
import os
import pty
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner

import app.cli
import seed_demo
from app.cli import cli
from tests.commands.desk import Desk, environment, program

Opened = list[tuple[str | None, str | None, str | None]]
Built = list[tuple[str, bool]]


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> Opened:
    """What the program was opened on, instead of opening it."""
    found: Opened = []
    monkeypatch.setattr(app.cli, "open_program", lambda address, seat, by: found.append((address, seat, by)))
    return found


@pytest.fixture
def built(monkeypatch: pytest.MonkeyPatch) -> Built:
    """What demo yards were built, instead of building them."""
    found: Built = []

    def build(address: str, progress: object, *, fresh: bool = False) -> None:
        assert callable(progress)
        progress(1, 2, "parts")
        found.append((address, fresh))

    monkeypatch.setattr(seed_demo, "build", build, raising=False)
    return found


def test_alone_it_opens_the_program_at_the_seat_that_is_named(opened: Opened) -> None:
    runner = CliRunner()
    assert runner.invoke(cli, []).exit_code == 0
    assert runner.invoke(cli, ["--book", "x.book", "--by", "C1", "--seat", "counter"]).exit_code == 0
    assert opened == [(None, None, None), ("x.book", "counter", "C1")]
    assert runner.invoke(cli, ["--seat", "moon"]).exit_code == 2


def test_the_demo_has_its_own_book_whatever_the_yards_own_is(
    opened: Opened, built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DONORBOOK_BOOK", "the-yards-own.book")
    result = CliRunner().invoke(cli, ["demo", "--seat", "floor"])
    assert result.exit_code == 0, result.output
    ((address, fresh),) = built
    assert (Path(address).name, fresh) == ("demo.book", False)
    assert Path(address).parent.is_dir()
    assert opened == [(address, "floor", None)]


def test_the_demo_without_opening_says_where_it_is(opened: Opened, built: Built, tmp_path: Path) -> None:
    place = str(tmp_path / "d.book")
    desk = Desk(place)
    assert desk.says("demo", "--no-open", "--fresh") == f"{place}\n"
    assert json.loads(desk.says("demo", "--json")) == {"book": place}
    assert built == [(place, True), (place, False)]
    assert opened == []


def test_on_a_terminal_the_program_comes_up_and_goes_away_with_its_quit_key(tmp_path: Path) -> None:
    ours, theirs = pty.openpty()
    running = subprocess.Popen(
        program("--book", str(tmp_path / "y.book"), "--seat", "counter"),
        env=environment(),
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
    )
    os.close(theirs)
    try:
        said = b""
        while b"ask" not in said:
            said += os.read(ours, 4096)
        os.write(ours, b"\x11")
        while running.poll() is None:
            try:
                said += os.read(ours, 4096)
            except OSError:
                break
        assert running.wait(timeout=30) == 0
    finally:
        running.kill()
        running.wait()
        os.close(ours)
