"""The book's designs as a closed list: which one is this piece?"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.book.sheets import load_folder
from app.book.which import Read, which_part
from app.book.work import Book, Who, open_book
from app.errors import BadInput, NotFound
from app.fit.lookalikes.readings import LookalikeError
from app.fit.lookalikes.which import Verdict

JOINT = "rear driveshaft yoke and joint"
SHAFT = "rear axle shaft"


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp("casebook") / "yard.book"))
    load_folder(book, Who("C1", seat="counter"), Path(__file__).parents[1] / "casebook")
    yield book
    book.close()


def test_a_customers_tape_across_the_caps_tells_the_joint(yard: Book) -> None:
    found = which_part(yard, JOINT, [Read("joint cap to cap", "3 5/8")])
    assert (found.verdict, found.candidates[0].code) == (Verdict.IDENTIFIED, "JOINT-362")
    found = which_part(yard, JOINT, [Read("joint cap to cap", "92 mm", "dial caliper")])
    assert found.candidates[0].code == "JOINT-362"


def test_a_reading_of_neither_is_a_misread(yard: Book) -> None:
    found = which_part(yard, JOINT, [Read("joint cap to cap", "3 3/8")])
    assert (found.verdict, found.doubtful) == (Verdict.MISREAD, ("joint cap to cap",))


def test_axle_shafts_of_one_length_are_told_by_their_splines_and_never_by_a_tape(yard: Book) -> None:
    found = which_part(yard, SHAFT, [Read("axle shaft length", "31.10")])
    assert found.verdict is Verdict.SEVERAL
    assert [each.ask.fact for each in found.next] == ["axle splines"]
    assert which_part(yard, SHAFT, [Read("axle splines", "33")]).candidates[0].code == "SHAFT-33"


def test_a_look_is_asked_before_a_tape_and_a_finer_tool_only_after_a_coarse_one(yard: Book) -> None:
    found = which_part(yard, "front lower control arm", [])
    assert found.next[0].ask.fact == "torsion socket"
    assert {each.ask.tool for each in found.next if each.ask.fact == "arm length"} == {"hook tape", "tram gauge"}
    springs = which_part(yard, "rear coil springs, pair", [Read("spring wire", "0.64")])
    assert springs.verdict is Verdict.SEVERAL
    (finer,) = [each.ask for each in springs.next if each.ask.fact == "spring wire"]
    assert finer.tool == "dial caliper"


def test_a_wider_name_holds_all_its_kinds_in_one_list(yard: Book) -> None:
    found = which_part(yard, "Fuel tank", [Read("tank gallons", "26")])
    assert [each.code for each in found.candidates if each.possible] == ["TANK-REAR-26", "TANK-SIDE-26"]
    assert found.verdict is Verdict.SEVERAL


@pytest.mark.parametrize(
    ("part_type", "taken", "error", "words"),
    [
        ("left hand wheel nut", [], NotFound, "no part type"),
        ("battery", [], LookalikeError, "no design"),
        (JOINT, [Read("cap", "3.62")], BadInput, "no fact"),
        (JOINT, [Read("arm length", "17.25")], BadInput, "has arm length on record"),
        (JOINT, [Read("joint cap to cap", "3 5/9")], BadInput, "5/9|9 is no mark"),
        (JOINT, [Read("joint cap to cap", "3.62", "stick")], BadInput, "no measuring tool"),
        (SHAFT, [Read("axle splines", "many")], BadInput, "not a number"),
        (SHAFT, [Read("axle splines", "30"), Read("axle splines", "33")], LookalikeError, "read twice"),
    ],
)
def test_what_cannot_be_told_says_why(
    yard: Book, part_type: str, taken: list[Read], error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        which_part(yard, part_type, taken)
