"""A writer killed with signal 9, at whatever moment, leaves nothing half done."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import text

from app.book.work import Book
from tests.support.integrity import faults, standings
from tests.support.killed import AFTER_COMMIT, BEFORE_COMMIT, WHO
from tests.support.race import address_of
from tests.support.sellers import sell_well
from tests.support.yard import stock

ROOT = Path(__file__).parents[2]
PROGRAM = (sys.executable, "-m", "tests.support.killed")


def killed_at_each_step(book: Book, seller: str, tags: list[str]) -> list[tuple[str, str]]:
    """The tag and the step of every sale that was killed, and of the one that came through."""
    run = [*PROGRAM, "each", seller, address_of(book), *tags]
    done = subprocess.run(run, cwd=ROOT, capture_output=True, text=True, check=False, timeout=300)
    assert done.returncode == 0, done.stderr
    return [(tag, step) for tag, step in json.loads(done.stdout)]


def test_a_sale_killed_at_any_step_happened_whole_or_not_at_all(book: Book) -> None:
    tags = stock(book, 80)
    steps = killed_at_each_step(book, "sell_well", tags)
    names = [step for _, step in steps]
    assert names[-3:] == [BEFORE_COMMIT, AFTER_COMMIT, "done"]
    assert any(name.startswith("INSERT INTO sale_lines") for name in names)
    assert any(name.startswith("UPDATE parts") for name in names)
    assert faults(book) == []
    standing = standings(book)
    for tag, step in steps:
        assert standing[tag] == ("sold" if step in (AFTER_COMMIT, "done") else "free"), step


def test_what_a_killed_seller_had_in_hand_can_be_sold_at_once(book: Book) -> None:
    tags = stock(book, 80)
    steps = killed_at_each_step(book, "sell_well", tags)
    for tag, step in steps[:-2]:
        assert step != AFTER_COMMIT
        sell_well(book, WHO, tag)
    assert faults(book) == []
    assert all(standings(book)[tag] == "sold" for tag, _ in steps)


def test_a_seller_that_commits_in_two_steps_is_found_out(book: Book) -> None:
    killed_at_each_step(book, "sell_in_two_steps", stock(book, 80))
    assert any("sold without exactly one live line" in fault for fault in faults(book))


@pytest.mark.parametrize("after", [1, 7, 40])
def test_a_busy_writer_killed_from_outside_leaves_the_book_whole(book: Book, after: int) -> None:
    tags = stock(book, 3000)
    with subprocess.Popen([*PROGRAM, "busy", address_of(book), *tags], cwd=ROOT, stdout=subprocess.PIPE) as writer:
        assert writer.stdout is not None
        told = [writer.stdout.readline() for _ in range(after)]
        writer.send_signal(signal.SIGKILL)
        told += writer.stdout.readlines()
    assert writer.returncode == -signal.SIGKILL
    assert after <= len(told) < len(tags), "it was killed while it had work to do"
    assert faults(book) == []
    assert_all_there(book, [line.decode().split() for line in told if line.endswith(b"\n")])


def assert_all_there(book: Book, told: list[list[str]]) -> None:
    """What the writer was told is done is in the book."""
    standing = standings(book)
    for deed, what in told:
        if deed == "sold":
            assert standing[what] == "sold"
    with book.read() as session:
        weighed = set(session.execute(text("SELECT number FROM weight_tickets")).scalars())
    assert {int(what) for deed, what in told if deed == "weighed"} <= weighed
