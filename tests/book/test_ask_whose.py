"""Whose vehicle an ask is about: each group of parts goes by its own identity, looks and plates say which.

Expected answers follow from the rules of the test yard: arms of a heavy frame bolt to heavy frames alone, a body part
goes by the body whatever is under it.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import update

from app.book.asking import ask
from app.book.knowing import knowing
from app.book.schema import Donor, PlateWord
from app.book.sheets import load_folder
from app.book.typed import TypedKind, typed
from app.book.whose import identities
from app.book.work import Book, Who, open_book
from app.errors import BadInput
from app.fit.answers import Answer
from app.fit.terms import Group
from app.fit.vin import check_digit

YARD = Path(__file__).parents[1] / "casebook"
TODAY = date(2026, 3, 4)
C1 = Who("C1", seat="counter")


def vin(start: str, end: str) -> str:
    """A VIN with the check digit that 49 CFR 565.15(c) gives it."""
    return start + check_digit(f"{start}0{end}") + end


KNOWN_VIN = vin("0DMLW54S", "8K204517")
PLATES = [(4, "L", "Longwagon"), (5, "W", "light"), (8, "S", "5.1")]
YARDS_VIN = vin("0DMHP64T", "BA090266")


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp("whose") / "yard.book"))
    load_folder(book, C1, YARD)
    with book.write(C1) as work:
        for position, symbol, meaning in PLATES:
            work.session.add(PlateWord(maker="0DM", position=position, symbol=symbol, meaning=meaning, seen=3))
        work.session.execute(update(Donor).where(Donor.stock_number == "D05").values(vin=YARDS_VIN))
        work.note("plates", "plates", "taught")
    yield book
    book.close()


def answered(yard: Book, words: str, **stated: object) -> Answer:
    return ask(yard, C1, words, on=TODAY, keep=False, **stated)  # type: ignore[arg-type]


def tags(found: Answer) -> list[str]:
    return ["+".join(line.tags) for line in found.answers]


@pytest.mark.parametrize(
    ("words", "facts"),
    [
        ("08 half-ton longwagon lca rh, it's got leafs in the back", {}),
        ("08 half-ton longwagon lca rh, leaf springs in the back", {}),
        ("08 half-ton longwagon lca rh, torsion bars under the floor", {}),
        ("08 half-ton longwagon lca rh, open frame", {}),
        ("08 half-ton longwagon lca rh on a heavy frame", {}),
        ("08 half-ton longwagon lca rh", {"rear suspension": "leaf"}),
        ("08 half-ton longwagon lca rh", {"frame under it": "heavy wagon"}),
    ],
)
def test_a_look_at_the_frame_changes_every_answer_of_the_frame(yard: Book, words: str, facts: dict[str, str]) -> None:
    found = answered(yard, words, facts=facts)
    assert tags(found) == ["S131"]
    assert str(found.answers[0].grade) == "bolts_up"
    assert {tag for line in found.do_not_sell for tag in line.tags} == {"S130", "S132"}
    assert found.asked.models == ("WL2",)
    assert "WH2" in found.asked.carries["frame"]


def test_the_body_stays_what_it_was(yard: Book) -> None:
    plain = answered(yard, "lh front door 2010 light longwagon power windows")
    on_leafs = answered(yard, "lh front door 2010 light longwagon power windows, leafs in the back")
    assert tags(plain) == tags(on_leafs) != []


def test_the_other_frame_goes_by_its_own_unknown_year(yard: Book) -> None:
    found = answered(yard, "08 light longwagon built 2008-02 lca rh leafs in the back")
    with yard.read() as session:
        told = identities(found.asked, knowing(session))
    assert {(each.model.key, each.year, each.built) for each in told[Group.FRAME]} == {("WH2", None, None)}
    assert {(each.model.key, each.year, each.built) for each in told[Group.BODY]} == {("WL2", 2008, "2008-02")}


def test_a_look_that_the_model_can_show_only_tells_the_models_apart(yard: Book) -> None:
    found = answered(yard, "07 tolliver lca rh leafs in the back")
    assert found.asked.models == ("PH2",)
    assert not found.asked.carries


def test_a_look_at_a_part_that_may_have_been_changed_changes_no_frame(yard: Book) -> None:
    found = answered(yard, "08 light longwagon steering box", facts={"steering assist": "variable"})
    assert not found.asked.carries


def test_an_engine_tells_which_truck_it_is(yard: Book) -> None:
    assert answered(yard, "trans 07 tolliver 5.1").asked.models == ("PL2",)
    assert set(answered(yard, "trans 07 tolliver").asked.models) == {"PL2", "PH2"}


def test_another_nose_is_asked_for_by_its_name(yard: Book) -> None:
    found = answered(yard, "lh headlamp for my 08 longwagon with a brae nose")
    assert tags(found)[0] == "S387"


def test_a_vin_gives_year_plant_and_what_plates_have_taught(yard: Book) -> None:
    found = answered(yard, f"{KNOWN_VIN} lca rh")
    assert found.asked.models == ("WL2",)
    assert found.asked.year == 2008
    assert found.asked.facts["plant"] == "K"
    assert found.asked.facts["engine"] == "5.1"
    assert not found.asked.not_understood
    assert tags(found)[0] == "S130"


def test_a_misread_vin_is_said_to_be_one_and_taken_for_nothing(yard: Book) -> None:
    wrong = KNOWN_VIN[:8] + ("1" if KNOWN_VIN[8] != "1" else "2") + KNOWN_VIN[9:]
    found = answered(yard, f"{wrong} lca rh")
    assert found.asked.not_understood == (wrong.lower(),)
    assert any(chip.field == "VIN misread" for chip in found.asked.chips)
    assert not found.asked.models


@pytest.mark.parametrize("said", ["D05", "d05", YARDS_VIN])
def test_a_truck_of_the_yard_is_said_by_its_number_or_vin(yard: Book, said: str) -> None:
    found = answered(yard, f"tailgate {said}")
    assert found.asked.models == ("PH2",)
    assert (found.asked.year, found.asked.built) == (2011, "2011-05")
    assert found.asked.facts["engine"] == "6.2"
    assert answered(yard, "tailgate", vehicle=said).asked.models == ("PH2",)


def test_a_stated_vehicle_must_be_one(yard: Book) -> None:
    with pytest.raises(BadInput, match="names no vehicle"):
        answered(yard, "lca", vehicle="nonsense")


@pytest.mark.parametrize(
    ("facts", "place"), [({"hub plug": "squarre"}, "hub plug"), ({"towing": "maybe"}, "towing"), ({"zz": "1"}, "zz")]
)
def test_a_stated_fact_is_one_of_its_choices(yard: Book, facts: dict[str, str], place: str) -> None:
    with pytest.raises(BadInput) as caught:
        answered(yard, "hub 07 light tolliver", facts=facts)
    assert caught.value.place == place


def test_a_tag_is_the_part_with_what_it_fits_and_with_a_vehicle_the_judgement(yard: Book) -> None:
    alone = typed(yard, "s131", on=TODAY)
    assert alone is not None
    assert (alone.kind, alone.name) == (TypedKind.PART, "S131")
    assert [row.lead for row in alone.rows][:2] == ["bolts up", "bolts up"]
    judged = typed(yard, "S131 08 light longwagon", on=TODAY)
    assert judged is not None
    assert judged.line is not None
    assert str(judged.line.grade) == "bolts_in"


@pytest.mark.parametrize("words", ["S131?", "how much is S131?", "(S131)", "is s131, still there", "tag S131"])
def test_a_tag_is_found_whatever_stands_around_it(yard: Book, words: str) -> None:
    found = typed(yard, words, on=TODAY)
    assert found is not None
    assert (found.kind, found.name) == (TypedKind.PART, "S131")


@pytest.mark.parametrize(
    ("words", "kind", "name"),
    [
        ("ticket no. 12", TypedKind.TICKET, "12"),
        ("Ticket number 12?", TypedKind.TICKET, "12"),
        ("#12", TypedKind.TICKET, "12"),
        ("call back 812 555 0108", TypedKind.CUSTOMER, "812 555 0108"),
        ("phone: (812) 555-0108", TypedKind.CUSTOMER, "(812) 555-0108"),
    ],
)
def test_a_ticket_and_a_phone_number_are_said_with_their_names(
    yard: Book, words: str, kind: TypedKind, name: str
) -> None:
    found = typed(yard, words, on=TODAY)
    assert found is not None
    assert (found.kind, found.name) == (kind, name)


@pytest.mark.parametrize("words", ["08 longwagon", "lca rh", "2008", "5.1", "3/4 ton", "D05", KNOWN_VIN, "", "  "])
def test_words_are_no_tag_ticket_or_phone(yard: Book, words: str) -> None:
    assert typed(yard, words, on=TODAY) is None


def test_every_tag_of_a_line_is_judged_and_what_else_was_said_is_shown(yard: Book) -> None:
    found = typed(yard, "S130 S131 zonk 08 light longwagon", on=TODAY)
    assert found is not None
    assert found.line is not None
    assert [(line.tags, str(line.grade)) for line in (found.line, *found.more)] == [
        (("S130",), "bolts_up"),
        (("S131",), "bolts_in"),
    ]
    assert found.asked.not_understood == ("zonk",)
    assert found.asked.models
    assert "zonk" in found.title


@pytest.mark.parametrize(
    ("part", "vehicle", "carries", "answers"),
    [
        ("front lower control arm", "2008 light longwagon on a heavy frame LH", {"frame": ("WH2",)}, ["S134"]),
        ("front lower control arm", "08 light longwagon LH, a heavy frame under it", {"frame": ("WH2",)}, ["S134"]),
        ("grille", "2009 light longwagon with a Brae nose", {"nose": ("BR2",)}, ["S386"]),
    ],
)
def test_a_stated_vehicle_may_carry_what_is_of_another(
    yard: Book, part: str, vehicle: str, carries: dict[str, tuple[str, ...]], answers: list[str]
) -> None:
    """The part is stated, so a frame in the vehicle's words is what is under it: R10 for the arm, its own grille."""
    found = answered(yard, "", part=part, vehicle=vehicle)
    assert found.asked.carries == carries
    assert [tag for line in found.answers for tag in line.tags] == answers
    beside = answered(yard, f"need a {part}", vehicle=vehicle)
    assert beside.asked.carries == carries
    assert beside.asked.not_understood == ()


@pytest.mark.parametrize(
    "words",
    [
        "front hub for an 08 tolliver light, the frame under it is a 2009 longwagon heavy",
        "front hub for an 08 tolliver light, frame came off a 2009 longwagon heavy",
        "08 tolliver light, frame's been swapped for a 2009 longwagon heavy, front hub",
        "08 tolliver light, frame swapped to an 09 longwagon heavy, need the front hub",
        "front hub for an 08 tolliver light, longwagon heavy frame bolted under it",
    ],
)
def test_what_is_said_to_be_anothers_decides_its_own_group(yard: Book, words: str) -> None:
    found = answered(yard, words)
    assert (found.asked.models, dict(found.asked.carries)) == (("PL2",), {"frame": ("WH2",)})
    assert not found.asked.not_understood


@pytest.mark.parametrize(
    ("words", "model", "carries"),
    [
        ("2008 tansy, osier nose on it, need a left headlamp", "TA1", {"nose": ("OS1",)}),
        ("left headlamp for an 08 tansy, nose is off an osier", "TA1", {"nose": ("OS1",)}),
        ("2008 longwagon light, they put a brae nose on, need the right headlamp", "WL2", {"nose": ("BR2",)}),
        ("2008 longwagon light, nose swapped for a brae one, right headlamp", "WL2", {"nose": ("BR2",)}),
        ("engine computer, 09 longwagon light, engine swapped for one out of a brae", "WL2", {"driveline": ("BR2",)}),
        ("engine computer for an 09 longwagon light, brae engine swapped in", "WL2", {"driveline": ("BR2",)}),
    ],
)
def test_so_does_what_was_put_on_it(yard: Book, words: str, model: str, carries: dict[str, tuple[str, ...]]) -> None:
    asked = answered(yard, words).asked
    assert (asked.models, dict(asked.carries)) == ((model,), carries)


def test_a_frame_alone_that_comes_off_another_is_what_is_asked_for(yard: Book) -> None:
    asked = answered(yard, "frame for an 08 longwagon light, it came off an 09 longwagon heavy").asked
    assert asked.part_types == ("frame, bare",)
    assert not asked.carries
