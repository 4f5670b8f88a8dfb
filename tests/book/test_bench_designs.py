"""A frame design entered at the bench from a notepad, and what follows from two of them without a rule."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import func, select

from app.book.bench.computing import measured_frames
from app.book.bench.designs import DesignTyped, Sized, write_design
from app.book.bench.holding import compare_frames, mounts_to_take
from app.book.bench.papers import draw_comparison, draw_damage
from app.book.bench.patterns import hold_pattern
from app.book.bench.typed import TypedMount
from app.book.schema import Counter, Design, DesignPoint, Fact, FrameFact, FramePoint, Model, PartSeat, PartType
from app.book.sheets.load import load_folder
from app.book.versions import VERSION
from app.book.work import Book
from app.errors import BadInput, NotFound
from app.fit.frames.verdicts import Verdict
from app.fit.tape import TapeOutcome
from app.fit.terms import FactKind, FrontSuspension, Grade, Group, RearSuspension, Section, Side
from tests.support.yard import OWNER, furnish, keep

CASEBOOK = Path(__file__).parents[1] / "casebook"
# The notepad: the casebook's two measured frames, in inches.
LIGHT = {
    "M1": ("0", "18.5", "0"),
    "M2": ("38", "21 3/4", "0"),
    "M3": ("66 1/2", "22", "0"),
    "M5": ("128.5", "20.25", "0"),
}
HEAVY = {
    "M1": ("-1 1/2", "19.75", "0.4"),
    "M2": ("38", "21.75", "0"),
    "M3": ("66.55", "22.06", "0"),
    "M5": ("131", "20.25", "0.75"),
}


def mounts(notepad: dict[str, tuple[str, str, str]]) -> list[TypedMount]:
    """Both sides of a notepad."""
    return [
        TypedMount(name, side, *place, tool="tram gauge", size="1 1/8")
        for side in (Side.LH, Side.RH)
        for name, place in notepad.items()
    ]


def light() -> DesignTyped:
    """The light frame as typed."""
    return DesignTyped(
        "light",
        Section.BOXED,
        FrontSuspension.COIL_OVER,
        RearSuspension.FIVE_LINK_COIL,
        datum="M2",
        measures={"spread": Sized("36.00"), "receiver spread": Sized("36.10")},
        mounts=mounts(LIGHT),
        models=("WL",),
    )


def heavy() -> DesignTyped:
    """The heavy frame as typed."""
    return DesignTyped(
        "heavy",
        Section.OPEN,
        FrontSuspension.TORSION_BAR,
        RearSuspension.LEAF,
        datum="M2",
        measures={"spread": Sized("36.80"), "receiver spread": Sized("36.90")},
        mounts=mounts(HEAVY),
    )


@pytest.fixture
def yard(book: Book) -> Book:
    """A yard that knows a model and what a receiver's spread is."""
    furnish(book)
    keep(
        book,
        Model(key="WL", make="Dunmarsh", name="Longwagon", family="L", year_from=2007, year_to=2013),
        Fact(name="receiver spread", kind=FactKind.LENGTH, group=Group.FRAME, unit="in"),
        PartType(name="hitch receiver", group=Group.FRAME),
        PartType(name="wagon body", wider="body shell", group=Group.BODY),
        PartSeat(part_type_id=2, number=1, fact_id=1, allowed_mm=6.35),
        PartSeat(part_type_id=3, number=1, mounts="body"),
    )
    return book


def test_two_frames_from_a_notepad_say_which_mounts_line_up_and_what_follows(yard: Book) -> None:
    write_design(yard, OWNER, light())
    write_design(yard, OWNER, heavy())
    found = compare_frames(yard, "light", "heavy").found
    assert {each.name for each in found.mounts if each.verdict is Verdict.SAME} == {"M2", "M3"}
    with yard.read() as session:
        frames = measured_frames(session)
    hitch = frames.computed(["hitch receiver"], "light", "heavy")
    assert hitch is not None
    assert hitch.grade is Grade.WONT_FIT
    body = frames.computed(["wagon body", "body shell"], "light", "heavy")
    assert body is not None
    assert body.grade is Grade.NEEDS_WORK


def test_a_design_is_knowledge_that_models_stand_on(yard: Book) -> None:
    written = write_design(yard, OWNER, light())
    assert (written.is_new, written.mounts, written.models) == (True, 8, ("WL",))
    with yard.read() as session:
        model = session.scalars(select(Model)).one()
        assert model.frame_design_id is not None
        assert session.scalars(select(FrameFact.value)).all() == ["36.10"]
        assert session.scalar(select(Counter.last).where(Counter.series == VERSION)) == 1
    assert [each.name for each in mounts_to_take(yard, "light")][:2] == ["M1", "M1"]


def test_a_design_measured_again_keeps_both_readings_and_the_finer_decides(yard: Book) -> None:
    write_design(yard, OWNER, heavy())
    again = DesignTyped(
        "HEAVY",
        Section.OPEN,
        FrontSuspension.TORSION_BAR,
        RearSuspension.LEAF,
        mounts=[TypedMount("M3", Side.LH, "66.60", "22.06", "0", tool="dial caliper")],
    )
    written = write_design(yard, OWNER, again)
    assert (written.is_new, written.again) == (False, ("M3 LH",))
    (mount,) = [each for each in mounts_to_take(yard, "heavy") if (each.name, each.side) == ("M3", Side.LH)]
    assert (mount.x_mm, mount.size_mm) == (1691.64, 28.575)
    with yard.read() as session:
        assert session.scalar(select(func.count()).select_from(FramePoint).where(FramePoint.mount == "M3")) == 3


def test_a_mount_without_all_coordinates_is_no_reference(yard: Book) -> None:
    with pytest.raises(BadInput, match="z not measured") as refused:
        write_design(
            yard,
            OWNER,
            DesignTyped(
                "x",
                Section.OPEN,
                FrontSuspension.STRUT,
                RearSuspension.LEAF,
                mounts=[TypedMount("M1", Side.LH, "0", "18")],
            ),
        )
    assert refused.value.place == "M1 LH"
    with pytest.raises(NotFound):
        write_design(
            yard, OWNER, DesignTyped("x", Section.OPEN, FrontSuspension.STRUT, RearSuspension.LEAF, models=("Q",))
        )


def test_the_casebooks_comparison_follows_from_its_rows(book: Book) -> None:
    # Casebook C11: first tape 4 of 12 line up and M4 is to be measured again; the tram gauge makes it 6 of 12.
    load_folder(book, OWNER, CASEBOOK)
    found = compare_frames(book, "light boxed", "heavy C-channel").found
    fitting = [each.name for each in found.mounts if each.verdict is Verdict.SAME]
    assert sorted(set(fitting)) == ["M2 cowl", "M3 front floor", "M4 rear floor"]
    assert len(fitting) == 6
    with book.unrecorded(OWNER) as work:
        work.session.query(FramePoint).filter(FramePoint.reading == 2).delete()
    first = compare_frames(book, "light boxed", "heavy C-channel").found
    said = {each.name: each.verdict for each in first.mounts}
    assert said["M4 rear floor"] is Verdict.MEASURE_AGAIN
    assert [said[name] for name in ("M2 cowl", "M3 front floor")] == [Verdict.SAME, Verdict.SAME]
    assert {said[name] for name in said if name[:2] in ("M1", "M5", "M6")} == {Verdict.DIFFERENT}


def test_a_body_off_one_frame_meets_the_holes_of_its_own_and_not_of_the_other(book: Book) -> None:
    load_folder(book, OWNER, CASEBOOK)
    assert hold_pattern(book, "S180", "light boxed").found.outcome is TapeOutcome.FITS
    found = hold_pattern(book, "S180", "heavy C-channel").found
    assert found.outcome is TapeOutcome.DOES_NOT_FIT
    assert {move.part[:2] for move in found.moves} == {"M1", "M5", "M6"}


def test_a_design_with_points_of_its_own_is_held_by_them(yard: Book) -> None:
    (kind,) = keep(yard, Design(code="SG4", part_type_id=1, name="four-bolt gear"))
    for number, (x, z) in enumerate([(0, 0), (91.4, 0), (91.4, 73.7), (0, 73.7)]):
        keep(yard, DesignPoint(design_id=kind, point=f"bolt {number}", x_mm=x, y_mm=0, z_mm=z, size_mm=12.0))
    found = hold_pattern(yard, "sg4", "SG4").found
    assert found.outcome is TapeOutcome.DOES_NOT_FIT, "a sleeve of half an inch passes no hole of 12 mm"
    with pytest.raises(BadInput, match="0 points"):
        keep(yard, Design(code="SG5", part_type_id=1, name="bare"))
        hold_pattern(yard, "SG5", "SG4")


def test_both_sheets_are_drawn(yard: Book, tmp_path: Path) -> None:
    write_design(yard, OWNER, light())
    write_design(yard, OWNER, heavy())
    for drawn in (
        draw_comparison(yard, "light", "heavy", tmp_path / "compare.png"),
        draw_damage(yard, "heavy", "light", tmp_path / "damage.pdf"),
    ):
        assert drawn.stat().st_size > 10_000
    with pytest.raises(BadInput, match="cannot be written"):
        draw_comparison(yard, "light", "heavy", tmp_path / "no" / "folder.png")
