"""The check finds what cannot be, names it, and changes nothing."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from app.book.integrity import LAWS, check
from app.book.sheets import load_folder
from app.book.tags import TagKind, make_tag
from app.book.work import Book, Who, open_book

OWNER = Who("OW")
AT = "2026-02-10T15:00:00Z"
LATER = "2026-02-11T15:00:00Z"
FREE, HELD, SOLD, BAG, RAIL = (make_tag(TagKind.PART, number) for number in range(1, 6))
TICKET, WEIGHT = make_tag(TagKind.SALE, 1), make_tag(TagKind.WEIGHT, 1)
YARD = {
    "settings": "name,value\ncity,Dunmarsh\n",
    "people": "code,name,role\nOW,Owner,owner\n",
    "places": "code,kind,inside,weight_limit_lb,piece_limit\nA1,shelf,A,60,2\nA,area,,,\nL1,airbag locker,,,\n",
    "facts": "name,kind,choices\nsplines,count,\nplug,choice,square; oval\n",
    "part_types": (
        "name,group,law,look_for,comes_off_after\nsteering gear,frame,,splines,\n"
        "driver airbag,body,airbag,,steering gear\nframe rail,frame,frame,,\n"
    ),
    "models": "key,make,name,family,year_from,year_to\nWL2,Dunmarsh,Longwagon,tolliver,2007,2013\n",
    "aliases": "said,kind,means\ngear,part,steering gear\nteeth,fact,splines=30\nwagon,model,WL2\n",
    "rules": "code,grade,why\nR1,bolts_up,measured\n",
    "rule_conditions": (
        "rule,number,end,fact,op,values\nR1,1,between,splines,same,\nR1,2,target,model,any of,WL2\n"
        "R1,3,target,part type,any of,steering gear\n"
    ),
    "rule_consequences": "rule,number,words,fact\nR1,1,as before,splines\n",
    "donors": f"stock_number,arrived_at,frame_state\nD1,{AT},straight\n",
    "model_facts": "model,number,fact,value\nWL2,1,plug,oval\n",
    "donor_facts": "donor,fact,value\nD1,plug,Oval\n",
    "parts": (
        "tag,donor,part_type,condition,standing,whereabouts,place,price,weight_lb,made_at\n"
        f"{FREE},D1,steering gear,B,free,in place,A1,128,40,{AT}\n"
        f"{HELD},D1,steering gear,B,held,in place,A1,100,40,{AT}\n"
        f"{SOLD},D1,steering gear,B,sold,gone,,100,40,{AT}\n"
        f"{BAG},D1,driver airbag,A,free,in place,L1,160,,{AT}\n"
        f"{RAIL},D1,frame rail,A,free,on vehicle,,300,,{AT}\n"
    ),
    "holds": f"number,part,name,made_at,until,by\n1,{HELD},A customer,{AT},{LATER},OW\n",
    "sale_tickets": (
        "number,tag,made_at,seat,by,state,parts,tax_rate,tax,total,paid_how,paid_at\n"
        f"1,{TICKET},{AT},counter,OW,paid,100,6.25,6.25,106.25,cash,{AT}\n"
    ),
    "sale_lines": f"ticket,number,part,words,price\n1,1,{SOLD},steering gear,100\n",
    "weight_tickets": (
        "number,tag,kind,donor,gross,gross_at,tare,tare_at,net,unit,division,price,price_unit,amount,at,seat,by\n"
        f"1,{WEIGHT},hulk out,D1,4680,{AT},2100,{AT},2580,lb,20,0.09,lb,232.20,{AT},scale,OW\n"
    ),
}


def load_yard(book: Book, folder: Path) -> None:
    folder.mkdir()
    for name, words in YARD.items():
        (folder / f"{name}.csv").write_text(words)
    load_folder(book, OWNER, folder)


def test_a_sound_book_has_no_findings(book: Book, tmp_path: Path) -> None:
    load_yard(book, tmp_path / "in")
    assert check(book) == ()


def test_an_empty_book_has_no_findings(book: Book) -> None:
    assert check(book) == ()


def part(tag: str, change: str) -> str:
    return f"UPDATE parts SET {change} WHERE tag = '{tag}'"


WRONG_TAG = FREE[:-1] + ("2" if FREE[-1] != "2" else "3")
SECOND_LINE = (
    "INSERT INTO sale_lines"
    " (ticket_id, number, part_id, words, grade, said, price_cents, discount_cents, core_cents, live)"
    " VALUES (1, 2, {part}, '', '', '', 0, 0, 0, 1)"
)
BREACHES = [
    ("nothing is nowhere", FREE, part(FREE, "place_id = NULL")),
    ("nothing is nowhere", FREE, part(FREE, "whereabouts = 'gone', place_id = NULL")),
    ("one live line a part", SOLD, SECOND_LINE.format(part=3)),
    ("a sold part has a paid line", FREE, part(FREE, "standing = 'sold'")),
    ("a part on a paid line is sold", SOLD, part(SOLD, "standing = 'free', whereabouts = 'in place', place_id = 1")),
    ("a part on a ticket has a live line", FREE, part(FREE, "standing = 'on ticket'")),
    ("a piece goes with its lump", FREE, part(FREE, "lump_id = 3")),
    ("an open hold and a held part go together", FREE, part(FREE, "standing = 'held'")),
    ("an open hold and a held part go together", HELD, part(HELD, "standing = 'free'")),
    ("places bear what stands in them", "A1", "UPDATE places SET piece_limit = 1 WHERE code = 'A1'"),
    ("places bear what stands in them", FREE, part(FREE, "weight_lb = 60001")),
    ("parts stand where the law lets them", BAG, part(BAG, "place_id = 1")),
    ("parts stand where the law lets them", RAIL, part(RAIL, "place_id = 2, whereabouts = 'in place'")),
    ("places nest without a loop", "A", "UPDATE places SET inside_id = 1 WHERE code = 'A'"),
    ("tickets add up", "ticket 1", "UPDATE sale_lines SET price_cents = 9000"),
    ("tickets add up", "ticket 1", "UPDATE sale_tickets SET tax_cents = 624, total_cents = 10624"),
    ("tickets add up", "ticket 1", "UPDATE sale_tickets SET tax_rate = 'lots'"),
    ("weight tickets add up", "weight ticket 1", "UPDATE weight_tickets SET net = 2590000, amount_cents = 23310"),
    ("weight tickets add up", "weight ticket 1", "UPDATE weight_tickets SET division = 50000"),
    ("weight tickets add up", "weight ticket 1", "UPDATE weight_tickets SET amount_cents = 23221"),
    ("house tags are whole", WRONG_TAG, part(FREE, f"tag = '{WRONG_TAG}'")),
    ("house tags are whole", TICKET, f"UPDATE places SET tag = '{TICKET}' WHERE code = 'A1'"),
    ("rules speak of what there is", "R1", "UPDATE rule_conditions SET fact = 'teeth' WHERE number = 1"),
    ("rules speak of what there is", "R1", "UPDATE rule_conditions SET values_ = '[\"WL9\"]' WHERE number = 2"),
    ("rules speak of what there is", "R1", "UPDATE rule_conditions SET values_ = '[\"gear\"]' WHERE number = 3"),
    ("rules speak of what there is", "R1", "UPDATE rule_consequences SET fact = 'teeth'"),
    ("rules speak of what there is", "gear", "UPDATE aliases SET means = 'gearbox' WHERE said = 'gear'"),
    ("rules speak of what there is", "teeth", "UPDATE aliases SET means = 'cogs=30' WHERE said = 'teeth'"),
    ("rules speak of what there is", "wagon", "UPDATE aliases SET means = 'WL9' WHERE said = 'wagon'"),
    ("rules speak of what there is", "steering gear", "UPDATE part_types SET look_for = '[\"teeth\"]' WHERE id = 1"),
    (
        "rules speak of what there is",
        "driver airbag",
        "UPDATE part_types SET comes_off_after = '[\"horn\"]' WHERE id = 2",
    ),
    ("values are among their choices", "WL2", "UPDATE model_facts SET value = 'round'"),
    ("values are among their choices", "D1", "UPDATE donor_facts SET value = 'round'"),
    ("counters are ahead", "holds", "UPDATE counters SET last = 0 WHERE series = 'holds'"),
    ("counters are ahead", "donors", "DELETE FROM counters WHERE series = 'donors'"),
    ("nothing of a condemned frame is free", RAIL, "UPDATE donors SET frame_state = 'scrap only'"),
    ("the file is whole", "parts 1", part(FREE, "part_type_id = 99")),
]


def open_to_harm(path: Path) -> sqlite3.Connection:
    """The file without the guards that would forbid the harm."""
    raw = sqlite3.connect(path)
    raw.execute("PRAGMA ignore_check_constraints=ON")
    for (trigger,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        raw.execute(f"DROP TRIGGER {trigger}")
    raw.execute("DROP INDEX uq_sale_lines_live_part")
    return raw


@pytest.mark.parametrize(("law", "subject", "harm"), BREACHES)
def test_each_breach_is_found_under_its_law(
    sqlite_book: Book, tmp_path: Path, law: str, subject: str, harm: str
) -> None:
    load_yard(sqlite_book, tmp_path / "in")
    path = Path(str(sqlite_book.engine.url.database))
    sqlite_book.close()
    raw = open_to_harm(path)
    raw.execute(harm)
    raw.commit()
    raw.close()
    book = open_book(str(path))
    found = check(book)
    assert (law, subject) in {(each.law, each.subject) for each in found}
    assert all(each.words and each.remedy for each in found)
    assert check(book) == found, "checking changes nothing"
    book.close()


def test_every_law_has_a_breach_that_shows_it_can_fail() -> None:
    assert {law for law, _, _ in BREACHES} == set(LAWS)


def test_every_law_says_what_it_is() -> None:
    for law in LAWS.values():
        assert law.__doc__


def test_a_part_tagged_elsewhere_may_have_been_sold_before_this_book(sqlite_book: Book, tmp_path: Path) -> None:
    with_old = YARD["parts"] + f"OLD-17,D1,steering gear,B,sold,gone,,100,40,{AT}\n"
    load_yard(sqlite_book, tmp_path / "in")
    (tmp_path / "in" / "parts.csv").write_text(with_old)
    load_folder(sqlite_book, OWNER, tmp_path / "in")
    assert check(sqlite_book) == ()
