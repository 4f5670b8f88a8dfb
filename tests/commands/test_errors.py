"""Whatever goes wrong is one line with its remedy, status 2, and an object with --json."""

from __future__ import annotations

import signal
import sqlite3
import subprocess
from pathlib import Path

import pytest

from app.book.tags import TagKind, make_tag
from tests.commands.desk import Desk, environment, program, start

TAG = make_tag(TagKind.PART, 4711)
SURVEY = ["survey", "D9", "--section", "fully boxed", "--front", "coil-over", "--rear", "leaf"]

WRONG = {
    "no such command": ["sel", TAG],
    "no such option": ["sell", TAG, "--colour", "red"],
    "no argument": ["sell"],
    "no subcommand": ["weigh"],
    "no such part": ["part", TAG],
    "a misread tag": ["part", TAG[:-1] + ("2" if TAG[-1] != "2" else "3")],
    "no such place": ["place", "Z9"],
    "no such vehicle": ["donor", "D9"],
    "no such vehicle to survey": SURVEY,
    "a section that is none": ["survey", "D9", "--section", "round", "--front", "coil-over", "--rear", "leaf"],
    "no such ticket": ["sale", "12"],
    "no such ticket to void": ["void", "12", "--reason", "x"],
    "no such weight ticket": ["weigh", "show", "12"],
    "nobody of that code": ["--by", "ZZ", "hold", TAG, "--name", "x"],
    "not the owner": ["--by", "P1", "settings", "tax_percent", "7"],
    "no such setting": ["settings", "moon_phase"],
    "no number": ["settings", "tax_percent", "much"],
    "no money": ["sell", TAG, "--price", "a lot"],
    "money without end": ["take-in", "--no-vin", "x", "--words", "x", "--price", "1e30"],
    "money below zero": ["take-in", "--no-vin", "x", "--words", "x", "--price=-5"],
    "money with mills": ["take-in", "--no-vin", "x", "--words", "x", "--price", "1.005"],
    "miles below zero": ["take-in", "--no-vin", "x", "--words", "x", "--miles=-1"],
    "no date": ["turn-away", "--seller-name", "x", "--id-expires", "soon"],
    "a seller without a name": ["turn-away", "--id-number", "x"],
    "a group that is none": ["take-in", "--no-vin", "x", "--words", "x", "--identity", "roof=WL2"],
    "no VIN and no reason": ["take-in", "--words", "x"],
    "no such model": ["take-in", "--no-vin", "x", "--model", "moonbuggy"],
    "no such fact": ["take-in", "--no-vin", "x", "--words", "x", "--fact", "moon=yes"],
    "a fact without a value": ["take-in", "--no-vin", "x", "--words", "x", "--fact", "window"],
    "nothing to turn away for": ["turn-away", "--words", "x"],
    "no such part type": ["facts", "moon roof"],
    "gross off the division": ["weigh", "scrap", "x", "--party", "y", "--gross", "1,001", "--tare", "500"],
    "no weight": ["weigh", "scrap", "x", "--party", "y", "--gross", "heavy", "--tare", "500"],
    "which ton": ["weigh", "scrap", "x", "--party", "y", "--gross", "1000", "--tare", "500", "--price", "5"],
    "a tare of nothing": ["weigh", "scrap", "x", "--party", "y", "--gross", "1000", "--tare", "0"],
    "a shelf that bears nothing": ["add-place", "A9", "shelf", "--weight-limit", "0"],
    "gallons too fine": ["drain", "D1", "--gasoline", "0.3333"],
    "a ticket number without end": ["sale", "9" * 30],
    "a ticket number of no plain digits": ["sale", "²"],
    "a label number without end": ["label", "9" * 30, "--to", "x.png"],
    "a price by ton": ["weigh", "scrap", "x", "--party", "y", "--gross", "9", "--tare", "5", "--per", "ton"],
    "nowhere for a label": ["label", "A1-2"],
    "a size that is none": ["label", "A1-2", "--to", "x.png", "--size", "huge"],
    "no such label": ["label", "NOSUCH", "--to", "x.png"],
    "a file that is no picture": ["label", "A1-2", "--to", "x.docx"],
    "a folder that is none": ["label", "A1-2", "--to", "no/such/folder/x.png"],
    "no printer": ["label", "A1-2", "--print"],
    "no folder": ["load"],
    "no such folder": ["load", "no/such/folder"],
    "no such sheet": ["load", "--columns", "moons"],
    "another tag than is sold": ["sell", TAG, "--old-one-in", "X"],
    "a grade that is none": ["sell", TAG, "--grade", "great"],
    "a way to pay that is none": ["sell", TAG, "--paid", "promise"],
    "a place twice": ["add-place", "A1-2", "shelf"],
    "a kind of place that is none": ["add-place", "A9", "heap"],
    "no terminal": [],
    "a limit that is none": ["history", "--limit", "0"],
    "a side that is none": ["harvest", "D1", "hood", "--side", "up"],
    "want without a name": ["want", "hood"],
}


@pytest.mark.parametrize("words", WRONG.values(), ids=WRONG.keys())
def test_an_error_is_one_line_and_with_json_an_object(
    yard: Desk, words: list[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PATH", str(tmp_path))
    line = yard.line(*words)
    assert "Traceback" not in line
    if not words:
        return
    record = yard.refusal(*words)
    assert record["title"]
    assert " ".join(str(record["title"]).split()) in line
    assert str(record["remedy"]) in " ".join(line.split()) or not record["remedy"]


def test_a_mistyped_command_is_named(yard: Desk) -> None:
    assert "perhaps sell" in yard.line("sel", TAG)


def test_a_book_that_is_none_is_said(tmp_path: Path) -> None:
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear yard, " * 200)
    assert "not a database" in Desk(str(letter)).line("donors")
    assert "cannot live in mysql" in Desk("mysql://here/yard").line("donors")
    assert "no book at" in Desk(str(tmp_path / "none.book")).line("upgrade")


def test_a_damaged_book_is_said(yard: Desk) -> None:
    with sqlite3.connect(yard.address) as connection:
        connection.execute("DROP TABLE wants")
    connection.close()
    line = yard.line("wants")
    assert yard.address in line
    assert "no such table" in line


def test_words_that_are_no_utf8_are_refused(yard: Desk) -> None:
    assert "UTF-8" in yard.line("ask", "\udcff hood")


def test_a_program_of_its_own_tells_the_same(tmp_path: Path) -> None:
    done = start("--book", str(tmp_path / "y.book"), "part", TAG)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("donorbook: ")
    assert done.stderr.count("\n") == 1
    opened = start("--book", str(tmp_path / "y.book"), stdin=subprocess.DEVNULL)
    assert opened.returncode == 2
    assert "needs a terminal" in opened.stderr


def test_a_reader_that_leaves_is_no_error(tmp_path: Path) -> None:
    book = str(tmp_path / "y.book")
    command = program("--book", book, "load", "--columns")
    with subprocess.Popen(command, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.close()
        said = running.stderr.read()
        # 128 and SIGPIPE, as a shell reports any program whose reader left.
        assert (running.wait(timeout=60), said) == (128 + signal.SIGPIPE, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full, which only Linux has")
def test_a_full_disk_is_said() -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            program("load", "--columns"), env=environment(), stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.returncode == 2
    assert "No space left" in done.stderr
    assert done.stderr.count("\n") == 1


def test_a_slip_in_the_name_of_the_book_shows(tmp_path: Path) -> None:
    """Reading makes no new, empty book; only writing does."""
    nowhere = tmp_path / "slip.book"
    desk = Desk(str(nowhere))
    assert "there is no book at" in desk.line("donors")
    assert not nowhere.exists()


def test_a_label_of_nothing_that_is_here_names_all_that_could_be_typed(yard: Desk) -> None:
    said = yard.line("label", "A7-2", "--to", "x.png")
    assert "nothing here is called 'A7-2'" in said
    assert "stock number" in said


def test_what_is_no_vehicle_is_looked_for_among_the_models_and_a_stock_number_among_our_own(yard: Desk) -> None:
    assert yard.line("ask", "gear", "--vehicle", "flibbertigib").endswith("See: donorbook models.")
    assert yard.line("donor", "NOSUCH").endswith("See: donorbook donors.")
