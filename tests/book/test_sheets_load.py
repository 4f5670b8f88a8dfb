"""Loading a folder: what is wrong is said all at once and exactly, and nothing is half loaded."""

from __future__ import annotations

import threading
import time
from collections.abc import Mapping
from pathlib import Path

import pytest
from sqlalchemy import func, select

from app.book.schema import Base, Counter, Donor, Hold, Part, PartFact, PartType, Place, Standing
from app.book.sheets import Fault, LoadRefused, SheetCount, Stopped, dump_folder, load_folder
from app.book.tags import TagKind, make_tag
from app.book.work import Book, Who
from app.errors import BadInput, NotFound

OWNER = Who("OW")
AT = "2026-02-10T15:00:00Z"
YARD = {
    "people.csv": "code,name,role\nOW,Owner,owner\nP1,Puller,puller\n",
    "places.csv": "code,kind,inside\nA1-2,shelf,A1\nA1,yard row,\n",
    "facts.csv": "name,kind,unit\noverall length,length,in\nsplines,count,\n",
    "part_types.csv": "name,group,hazards\nsteering gear,frame,fluid; over 60 lb\n",
    "donors.csv": f"stock_number,arrived_at,vin\nD01,{AT},\nD02,{AT},\n",
    "parts.csv": (
        "tag,donor,part_type,condition,whereabouts,place,lump,price,made_at\n"
        f"P-1,D01,steering gear,B,in place,A1-2,P-2,128.5,{AT}\n"
        f"P-2,D01,steering gear,A,on vehicle,,,75,{AT}\n"
    ),
    "part_facts.csv": "part,fact,value\nP-1,overall length,17 1/4\nP-2,splines,30\n",
}


def write(folder: Path, files: Mapping[str, str | bytes]) -> Path:
    folder.mkdir(exist_ok=True)
    for name, words in files.items():
        (folder / name).write_bytes(words if isinstance(words, bytes) else words.encode())
    return folder


def rows_in(book: Book) -> int:
    with book.read() as session:
        return sum(
            session.scalar(select(func.count()).select_from(table)) or 0 for table in Base.metadata.sorted_tables
        )


def refused(book: Book, folder: Path) -> list[tuple[str, int, str]]:
    """Load what must be refused; the places of its faults. The book stays as it was."""
    return [(fault.file, fault.line, fault.column) for fault in faults_of(book, folder)]


def faults_of(book: Book, folder: Path) -> tuple[Fault, ...]:
    before = rows_in(book)
    with pytest.raises(LoadRefused) as refusal:
        load_folder(book, OWNER, folder)
    assert rows_in(book) == before
    assert refusal.value.details["count"] == len(refusal.value.faults)
    return refusal.value.faults


def test_a_yard_loads_with_references_that_come_later_in_the_file(book: Book, tmp_path: Path) -> None:
    report = load_folder(book, OWNER, write(tmp_path / "in", YARD))
    assert report.sheets["parts"] == SheetCount(added=2)
    assert (report.added, report.same, report.changed) == (13, 0, 0)
    with book.read() as session:
        first = session.scalars(select(Part).where(Part.tag == "P-1")).one()
        second = session.scalars(select(Part).where(Part.tag == "P-2")).one()
        assert first.lump_id == second.id
        assert (first.price_cents, first.standing, first.pieces) == (12850, Standing.FREE, 1)
        shelf = session.scalars(select(Place).where(Place.code == "A1-2")).one()
        assert first.place_id == shelf.id
        assert session.scalars(select(PartType.hazards)).one() == ["fluid", "over 60 lb"]


def test_what_is_written_after_a_load_gets_ids_of_its_own(book: Book, tmp_path: Path) -> None:
    load_folder(book, OWNER, write(tmp_path / "in", YARD))
    with book.write(OWNER) as work:
        work.session.add(Place(code="B9", kind="shelf"))
        work.note("test", "B9", "a place by hand")
    with book.read() as session:
        assert session.scalar(select(func.count()).select_from(Place)) == 3


def test_a_length_is_worked_out_from_what_was_typed(book: Book, tmp_path: Path) -> None:
    load_folder(book, OWNER, write(tmp_path / "in", YARD))
    with book.read() as session:
        # 17.25 in at 25.4 mm an inch, exact by definition of the inch.
        assert session.scalars(select(PartFact.mm).order_by(PartFact.value)).all() == [438.15, None]


def test_a_length_that_disagrees_with_its_millimeters_is_refused(sqlite_book: Book, tmp_path: Path) -> None:
    facts = "part,fact,value,mm\nP-1,overall length,17 1/4,438.15\nP-2,overall length,17.25 in,439\n"
    folder = write(tmp_path / "in", {**YARD, "part_facts.csv": facts})
    assert refused(sqlite_book, folder) == [("part_facts.csv", 3, "mm")]
    write(folder, {"part_facts.csv": "part,fact,value\nP-1,overall length,about so\n"})
    assert refused(sqlite_book, folder) == [("part_facts.csv", 2, "value")]


FAULTS: list[tuple[str, dict[str, str | bytes], list[tuple[str, int, str]]]] = [
    ("unknown file", {"partz.csv": "a\n"}, [("partz.csv", 0, "")]),
    ("empty file", {"designs.csv": ""}, [("designs.csv", 1, "")]),
    ("unknown column", {"people.csv": "code,name,role,shoe\nOW,Owner,owner,9\n"}, [("people.csv", 1, "shoe")]),
    ("missing column", {"people.csv": "code,name\nOW,Owner\n"}, [("people.csv", 1, "role")]),
    (
        "duplicate header",
        {"people.csv": "code,name,role,name\nOW,Owner,owner,x\n"},
        [("people.csv", 1, "name")],
    ),
    (
        "wrong number of cells",
        {"people.csv": "code,name,role\nOW,Owner\nP1,Puller,puller,9\n"},
        [("people.csv", 2, ""), ("people.csv", 3, "")],
    ),
    ("no UTF-8", {"people.csv": b"code,name,role\nOW,Ren\xe9,owner\n"}, [("people.csv", 2, "name")]),
    ("NUL", {"people.csv": b"code,name,role\nOW,Re\0,owner\n"}, [("people.csv", 2, "name")]),
    (
        "garbage behind a quote",
        {"people.csv": 'code,name,role\n"OW"x,Owner,owner\nP1,Puller,puller\n'},
        [("people.csv", 2, "")],
    ),
    (
        "quote never closed",
        {"people.csv": 'code,name,role\nOW,Owner,owner\nP1,"Pull,puller\n'},
        [("people.csv", 3, "")],
    ),
    (
        "unreadable values",
        {"donors.csv": "stock_number,arrived_at,miles,built\nD01,yesterday,many,2007-13\nD02,2026-02-10T15:00:00Z,,\n"},
        [("donors.csv", 2, "arrived_at"), ("donors.csv", 2, "miles"), ("donors.csv", 2, "built")],
    ),
    ("closed list", {"people.csv": "code,name,role\nOW,Owner,king\nP1,Puller,puller\n"}, [("people.csv", 2, "role")]),
    (
        "unknown reference",
        {"part_facts.csv": "part,fact,value\nP-9,splines,30\nP-1,teeth,30\n"},
        [("part_facts.csv", 2, "part"), ("part_facts.csv", 3, "fact")],
    ),
    (
        "unknown reference to its own sheet",
        {"places.csv": "code,kind,inside\nA1-2,shelf,A9\nA1,yard row,\n"},
        [("places.csv", 2, "inside")],
    ),
    (
        "same key twice",
        {"people.csv": "code,name,role\nOW,Owner,owner\nOW,Other,owner\n"},
        [("people.csv", 3, "code")],
    ),
    ("empty key", {"people.csv": "code,name,role\nOW,Owner,owner\n,Nobody,owner\n"}, [("people.csv", 3, "code")]),
    (
        "line numbers behind a cell of several lines",
        {"people.csv": 'code,name,role\r\nOW,"Owner\r\nof\nall",owner\r\n\r\nP1,Puller,king\r\n'},
        [("people.csv", 6, "role")],
    ),
    (
        "a setting there is not",
        {"settings.csv": "name,value\ntax_percent,lots\nyard_smell,oil\n"},
        [("settings.csv", 2, "value"), ("settings.csv", 3, "name")],
    ),
]


@pytest.mark.parametrize(("files", "expected"), [pytest.param(*rest, id=name) for name, *rest in FAULTS])
def test_each_kind_of_fault_is_placed(
    sqlite_book: Book, tmp_path: Path, files: dict[str, str | bytes], expected: list[tuple[str, int, str]]
) -> None:
    assert refused(sqlite_book, write(tmp_path / "in", {**YARD, **files})) == expected


def test_every_fault_of_every_file_is_reported_at_once(book: Book, tmp_path: Path) -> None:
    files = {
        **YARD,
        "people.csv": "code,name,role\nOW,Owner,king\n",
        "donors.csv": f"stock_number,arrived_at,miles\nD01,{AT},-5\nD02,{AT},x\nD03,{AT},1\n",
        "nothing.csv": "",
    }
    # The parts and their facts refer to faulty donors: that is no second fault.
    assert refused(book, write(tmp_path / "in", files)) == [
        ("nothing.csv", 0, ""),
        ("people.csv", 2, "role"),
        ("donors.csv", 2, "miles"),
        ("donors.csv", 3, "miles"),
    ]


def test_a_row_that_breaks_a_law_of_the_database_is_found_among_thousands(book: Book, tmp_path: Path) -> None:
    lines = [f"X-{number},D01,steering gear,B,on vehicle,{1 + number},{AT}" for number in range(2500)]
    lines[1234] = f"X-1234,D01,steering gear,B,on vehicle,0,{AT}"
    lines[2222] = f"X-2222,D01,steering gear,B,in place,1,{AT}"
    parts = "tag,donor,part_type,condition,whereabouts,pieces,made_at\n" + "\n".join(lines) + "\n"
    files = {**YARD, "parts.csv": parts, "part_facts.csv": "part,fact,value\nX-1234,splines,30\n"}
    found = faults_of(book, write(tmp_path / "in", files))
    assert [(fault.line, fault.column) for fault in found] == [(1236, "pieces"), (2224, "whereabouts, place")]
    assert found[0].expected == "has pieces: pieces > 0"
    assert found[0].found == "pieces 0"


def test_a_value_that_must_be_unlike_all_others_is_found(book: Book, tmp_path: Path) -> None:
    donors = f"stock_number,arrived_at,vin\nD01,{AT},V1\nD02,{AT},\nD03,{AT},\nD04,{AT},V1\n"
    holds = (
        "number,part,name,made_at,until,by\n"
        f"1,P-1,A customer,{AT},2026-02-11T15:00:00Z,OW\n2,P-1,Another,{AT},2026-02-11T15:00:00Z,OW\n"
    )
    found = faults_of(book, write(tmp_path / "in", {**YARD, "donors.csv": donors, "holds.csv": holds}))
    assert [(fault.file, fault.line, fault.column) for fault in found] == [
        ("donors.csv", 5, "vin"),
        ("holds.csv", 3, "part"),
    ]
    assert "ended_at IS NULL" in found[1].expected


def test_a_house_tag_with_a_wrong_check_character_is_refused_and_tags_from_elsewhere_are_not(
    sqlite_book: Book, tmp_path: Path
) -> None:
    good = make_tag(TagKind.PART, 77)
    wrong = good[:-1] + ("2" if good[-1] != "2" else "3")
    head = "tag,donor,part_type,condition,whereabouts,made_at\n"
    rest = f",D01,steering gear,B,on vehicle,{AT}\n"
    parts = head + "".join(tag + rest for tag in (good, wrong, "OLD-17", "old-18", "", make_tag(TagKind.SALE, 5)))
    files = {**YARD, "parts.csv": parts, "part_facts.csv": "part,fact,value\n"}
    found = faults_of(sqlite_book, write(tmp_path / "in", files))
    assert [(fault.line, fault.found) for fault in found] == [
        (3, wrong),
        (5, "old-18"),
        (6, ""),
        (7, make_tag(TagKind.SALE, 5)),
    ]
    assert "read the label again" in found[0].expected


def test_the_error_in_one_line_names_the_first_fault_and_how_many_there_are(sqlite_book: Book, tmp_path: Path) -> None:
    files = {**YARD, "people.csv": "code,name,role\nOW,Owner,king\nP1,Puller,queen\n"}
    with pytest.raises(LoadRefused) as refusal:
        load_folder(sqlite_book, OWNER, write(tmp_path / "in", files))
    line = refusal.value.in_one_line()
    assert line.startswith("people.csv, line 2, column role: found 'king', expected one of: intake")
    assert "1 other fault" in line
    assert "Nothing was loaded" in line


def test_loading_again_adds_nothing_and_brings_knowledge_up_to_date(book: Book, tmp_path: Path) -> None:
    folder = write(tmp_path / "in", YARD)
    load_folder(book, OWNER, folder)
    again = load_folder(book, OWNER, folder)
    assert (again.added, again.changed, again.same) == (0, 0, 13)
    write(folder, {"part_types.csv": "name,group,sided\nsteering gear,frame,yes\n"})
    changed = load_folder(book, OWNER, folder)
    assert (changed.added, changed.changed) == (0, 1)
    with book.read() as session:
        kind = session.scalars(select(PartType)).one()
        assert kind.sided is True
        assert kind.hazards == ["fluid", "over 60 lb"], "a column the file does not have is left as it is"


def test_a_record_that_differs_from_the_book_is_refused(book: Book, tmp_path: Path) -> None:
    folder = write(tmp_path / "in", YARD)
    load_folder(book, OWNER, folder)
    write(
        folder,
        {"parts.csv": YARD["parts.csv"].replace("128.5", "99").replace("D01,steering gear,A", "D02,steering gear,A")},
    )
    found = faults_of(book, folder)
    assert [(fault.line, fault.column, fault.found) for fault in found] == [(2, "price", "99.00"), (3, "donor", "D02")]
    assert "already in the book, with price 128.50" in found[0].expected
    assert "already in the book, with donor D01" in found[1].expected


def test_numbers_in_the_folder_are_not_given_out_again(book: Book, tmp_path: Path) -> None:
    holds = f"number,part,name,made_at,until,by\n41,P-1,A customer,{AT},2026-02-11T15:00:00Z,OW\n"
    counters = "series,last\ntag P,500\nholds,7\n"
    load_folder(book, OWNER, write(tmp_path / "in", {**YARD, "holds.csv": holds, "counters.csv": counters}))
    with book.write(OWNER) as work:
        assert (work.number("holds"), work.number("donors"), work.number("tag P")) == (42, 3, 501)
        work.note("test", "", "numbers taken")
    write(tmp_path / "in", {"counters.csv": "series,last\ntag P,400\nasks,9\n"})
    load_folder(book, OWNER, tmp_path / "in")
    with book.read() as session:
        kept = {row.series: row.last for row in session.scalars(select(Counter))}
    assert (kept["tag P"], kept["asks"]) == (501, 9)


def test_a_load_can_be_stopped_and_leaves_the_book_as_it_was(book: Book, tmp_path: Path) -> None:
    rest = f",D01,steering gear,B,on vehicle,{AT}\n"
    lines = "".join(f"X-{number}{rest}" for number in range(20_000))
    parts = "tag,donor,part_type,condition,whereabouts,made_at\n" + lines
    folder = write(tmp_path / "in", {**YARD, "parts.csv": parts, "part_facts.csv": "part,fact,value\n"})
    before, stop, asked = rows_in(book), threading.Event(), [0.0]

    def progress(done: int, total: int, sheet: str, /) -> None:
        assert done <= total
        if sheet == "parts" and not stop.is_set():
            asked[0] = time.monotonic()
            stop.set()

    with pytest.raises(Stopped, match="nothing was loaded"):
        load_folder(book, OWNER, folder, progress=progress, stop=stop)
    assert time.monotonic() - asked[0] < 1
    assert rows_in(book) == before


def test_progress_ends_with_every_row_done(sqlite_book: Book, tmp_path: Path) -> None:
    told: list[tuple[int, int, str]] = []
    load_folder(sqlite_book, OWNER, write(tmp_path / "in", YARD), progress=lambda *said: told.append(said))
    assert told[-1][:2] == (13, 13)
    assert [done for done, _, _ in told] == sorted(done for done, _, _ in told)


def test_notes_and_hidden_files_may_lie_beside_the_sheets(sqlite_book: Book, tmp_path: Path) -> None:
    folder = write(tmp_path / "in", {**YARD, "README.md": "ours", ".keep": ""})
    assert load_folder(sqlite_book, OWNER, folder).added == 13


def test_a_folder_that_is_not_there_is_said(sqlite_book: Book, tmp_path: Path) -> None:
    with pytest.raises(NotFound, match="no folder"):
        load_folder(sqlite_book, OWNER, tmp_path / "nowhere")


def test_a_load_leaves_one_line_of_history_and_a_refused_one_leaves_none(sqlite_book: Book, tmp_path: Path) -> None:
    folder = write(tmp_path / "in", {**YARD, "people.csv": "code\nOW\n"})
    with pytest.raises(LoadRefused):
        load_folder(sqlite_book, OWNER, folder)
    assert rows_in(sqlite_book) == 0
    load_folder(sqlite_book, OWNER, write(folder, YARD))
    dump_folder(sqlite_book, tmp_path / "out")
    assert (tmp_path / "out" / "history.csv").read_text().count('load,in,done,"13 rows added') == 1


def test_both_databases_write_the_same_bytes_in_the_order_of_the_keys(book: Book, tmp_path: Path) -> None:
    codes = ["a", "B", "_", "Z-1", "Z1", "Ä", "é", "z"]
    load_folder(
        book, OWNER, write(tmp_path / "in", {"places.csv": "code,kind\n" + "".join(f"{c},shelf\n" for c in codes)})
    )
    dump_folder(book, tmp_path / "out")
    lines = (tmp_path / "out" / "places.csv").read_bytes().decode().split("\r\n")
    assert [line.split(",")[0] for line in lines[1:-1]] == sorted(codes)


def test_a_dump_leaves_foreign_files_alone(sqlite_book: Book, tmp_path: Path) -> None:
    load_folder(sqlite_book, OWNER, write(tmp_path / "in", YARD))
    out = write(tmp_path / "out", {"diary.txt": "mine"})
    with pytest.raises(BadInput, match=r"diary\.txt"):
        dump_folder(sqlite_book, out)
    assert [path.name for path in out.iterdir()] == ["diary.txt"]
    (out / "diary.txt").unlink()
    (out / "asks.csv").write_text("old")
    report = dump_folder(sqlite_book, out)
    assert {path.name for path in out.iterdir()} == {f"{name}.csv" for name in report.sheets}
    assert sorted(path.name for path in tmp_path.iterdir()) == ["in", "out", "yard.book"] or not list(
        tmp_path.glob(".out*")
    )


def test_a_dump_that_cannot_be_finished_leaves_the_older_one_standing(sqlite_book: Book, tmp_path: Path) -> None:
    load_folder(sqlite_book, OWNER, write(tmp_path / "in", YARD))
    dump_folder(sqlite_book, tmp_path / "out")
    before = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    with sqlite_book.write(OWNER) as work:
        work.session.scalars(select(Donor).where(Donor.stock_number == "D01")).one().note = "cut\0off"
        work.note("test", "D01", "a note no file can hold")
    with pytest.raises(BadInput, match=r"donors\.csv, column note"):
        dump_folder(sqlite_book, tmp_path / "out")
    assert {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()} == before
    assert not list(tmp_path.glob(".out*"))


def test_a_hold_of_the_folder_is_one_of_the_book(sqlite_book: Book, tmp_path: Path) -> None:
    holds = f"number,part,name,deposit,made_at,until,by\n1,P-1,'-dash,20,{AT},2026-02-11T15:00:00Z,OW\n"
    load_folder(sqlite_book, OWNER, write(tmp_path / "in", {**YARD, "holds.csv": holds}))
    with sqlite_book.read() as session:
        hold = session.scalars(select(Hold)).one()
        assert (hold.name, hold.deposit_cents) == ("-dash", 2000)
