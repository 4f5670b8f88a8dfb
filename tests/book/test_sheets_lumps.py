"""A lump that sheets say is sold or held takes the pieces along that these leave free (1.7.12 of the casebook)."""

from __future__ import annotations

import csv
import shutil
from pathlib import Path

import pytest
from sqlalchemy import update

from app.book.asking import ask
from app.book.finding import part
from app.book.holds import release_hold
from app.book.integrity import check
from app.book.schema import Part, Standing, Whereabouts
from app.book.sheets import load_folder
from app.book.work import Book
from tests.book.test_sets import C1, OWNER, TODAY

YARD = Path(__file__).parents[1] / "casebook"
SOLD = {"standing": "sold", "whereabouts": "gone", "pull_hours": ""}
HELD = {"standing": "held"}


def sheets(folder: Path, whole: dict[str, str]) -> Path:
    """The casebook's yard, its half-cut as it is said, with a transaxle on it and a starter on that, both free."""
    shutil.copytree(YARD, folder)
    with (folder / "parts.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    half_cut = next(row for row in rows if row["tag"] == "S399")
    piece = half_cut | {"lump": "S399", "tag": "S401", "part_type": "transaxle, automatic", "price": "300.00"}
    rows += [piece, piece | {"lump": "S401", "tag": "S402", "part_type": "alternator, four-cylinder"}]
    half_cut |= whole
    with (folder / "parts.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    if whole is HELD:
        hold = "1,S399,R. Ash,2026-03-03T17:00:00Z,2026-03-05T17:00:00Z,OW"
        (folder / "holds.csv").write_text(f"number,part,name,made_at,until,by\n{hold}\n")
    return folder


def of_lumps(book: Book) -> list[str]:
    return [each.words for each in check(book) if each.subject in ("S399", "S401", "S402")]


def test_pieces_of_a_half_cut_that_was_sold_are_off_sale_and_the_load_says_so(book: Book, tmp_path: Path) -> None:
    report = load_folder(book, OWNER, sheets(tmp_path / "yard", SOLD))
    assert report.told == ("S401 went with S399, which is sold", "S402 went with S401, which is sold")
    for tag in ("S401", "S402"):
        assert (part(book, tag).standing, part(book, tag).whereabouts) == (Standing.SOLD, Whereabouts.GONE)
    found = ask(book, C1, "transaxle for a 2007 Tansy", on=TODAY, keep=False)
    assert "S401" not in {tag for line in (*found.answers, *found.do_not_sell) for tag in line.tags}
    assert of_lumps(book) == []


def test_pieces_of_a_half_cut_that_is_held_are_held_with_it_and_freed_with_it(book: Book, tmp_path: Path) -> None:
    report = load_folder(book, OWNER, sheets(tmp_path / "yard", HELD))
    assert report.told == ("S401 held with S399 for R. Ash", "S402 held with S401 for R. Ash")
    assert {part(book, tag).standing for tag in ("S401", "S402")} == {Standing.HELD}
    assert of_lumps(book) == []
    release_hold(book, OWNER, "S399")
    assert {part(book, tag).standing for tag in ("S399", "S401", "S402")} == {Standing.FREE}


def test_nothing_is_told_of_lumps_that_are_free(book: Book, tmp_path: Path) -> None:
    assert load_folder(book, OWNER, sheets(tmp_path / "yard", {})).told == ()
    assert part(book, "S401").standing is Standing.FREE


@pytest.mark.parametrize("standing", [Standing.HELD, Standing.ON_TICKET, Standing.SOLD])
def test_the_check_names_a_piece_that_is_for_sale_without_its_lump(
    sqlite_book: Book, tmp_path: Path, standing: Standing
) -> None:
    load_folder(sqlite_book, OWNER, sheets(tmp_path / "yard", {}))
    with sqlite_book.write(OWNER) as work:
        work.session.execute(update(Part).where(Part.tag == "S399").values(standing=standing))
        work.note("wrong", "S399", "by hand")
    assert f"S401 hangs on S399, which is {standing}, and is for sale" in of_lumps(sqlite_book)
