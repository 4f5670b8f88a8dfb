"""What cannot be read in the yard's knowledge is refused by the load with its place, and nothing is kept."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import func, select

from app.book.asking import ask
from app.book.schema import Base
from app.book.sheets import LoadRefused, load_folder
from app.book.work import open_book
from tests.book.test_casebook_answers import C1
from tests.book.test_third_yard import YARD

WRONG = [
    ("part_facts", "Z55,pto speed,1000 rpm", "Z55,pto speed,fast", "value", "a number of rpm"),
    ("part_facts", "Z17,clutch splines,23", "Z17,clutch splines,23.5", "value", "a whole number"),
    ("part_facts", "Z35,seat bag,yes", "Z35,seat bag,maybe", "value", "yes or no"),
    ("part_facts", "Z38,pack tested,2026-05-01", "Z38,pack tested,1 May 2026", "value", "a date such as"),
    ("part_facts", "Z28,tire made,2018-07", "Z28,tire made,July 2018", "value", "a month such as"),
    ("part_facts", "Z44,disc size,256 mm", "Z44,disc size,big", "value", "a length"),
    ("part_facts", "1.5875", "-1", "u_mm", "not below zero"),
    ("model_facts", "PA1,20,disc size,240 mm", "PA1,20,disc size,24o mm", "value", "a length"),
    ("model_facts", "PA1,8,clutch splines,17", "PA1,8,clutch splines,many", "value", "a whole number"),
    ("model_facts", "motor=1.2", "motor 1.2", "given", "fact=value"),
    ("donor_facts", "Y1,door count,three door", "Y1,stop-start,sometimes", "value", "yes or no"),
    ("design_facts", "TK40,tank liters,40", "TK40,tank liters,forty", "value", "a number of L"),
    ("rule_conditions", "P39,3,part,motor,any of", "P39,3,between,motor,any of", "end", "part or target"),
    ("rule_conditions", "P06,3,between,motor,same", "P06,3,part,motor,same", "end", "between"),
    ("rule_conditions", "any of,1.2; 1.6,", "any of,,", "values", "what motor is any of"),
    ("rule_conditions", "built,before,2006-03", "built,before,03/2006", "values", "one month such as"),
    ("rule_conditions", "part,pack cells,at least,96", "part,pack cells,at least,lots", "values", "one number"),
    ("rule_conditions", "part,pack cells,at least,96", "part,pack cells,at least,", "values", "other_fact"),
    ("rule_conditions", "1/2 in", "a bit", "allowed", "the allowed difference"),
    ("rule_conditions", "10 years", "a decade", "allowed", "an age such as"),
    ("rule_conditions", "PA1; PA2,,,0", "PA1; PA2,,,-1", "alt", "a group of alternatives"),
    ("rule_companions", "clutch plate=228 mm", "228 mm", "given", "fact=value"),
    ("rule_companions", "lever kind=long lever", "long lever", "already_there", "fact=value"),
    ("rule_consequences", "final drive,percent", "final drive,per cent", "worked_out", "percent"),
    ("rule_consequences", "final drive,percent", ",percent", "fact", "the fact of which"),
    ("aliases", "turbo,fact,motor=1.6 turbo", "turbo,fact,1.6 turbo", "means", "fact=value"),
]


@pytest.mark.parametrize(("sheet", "right", "wrong", "column", "expected"), WRONG, ids=lambda each: str(each))
def test_a_cell_nobody_can_read_is_refused_with_its_place_and_nothing_is_loaded(
    tmp_path: Path, sheet: str, right: str, wrong: str, column: str, expected: str
) -> None:
    folder = shutil.copytree(YARD, tmp_path / "yard")
    text = (folder / f"{sheet}.csv").read_text(encoding="utf-8")
    assert right in text
    line = text[: text.index(right)].count("\n") + 1
    (folder / f"{sheet}.csv").write_text(text.replace(right, wrong, 1), encoding="utf-8")
    book = open_book(str(tmp_path / "yard.book"))
    with pytest.raises(LoadRefused) as refused:
        load_folder(book, C1, folder)
    [fault] = refused.value.faults
    assert (fault.file, fault.line, fault.column) == (f"{sheet}.csv", line, column)
    assert expected in fault.expected
    with book.read() as session:
        for name in ("facts", "models", "rules", "parts"):
            assert session.scalar(select(func.count()).select_from(Base.metadata.tables[name])) == 0
    book.close()


def test_every_wrong_cell_is_named_at_once(tmp_path: Path) -> None:
    folder = shutil.copytree(YARD, tmp_path / "yard")
    for sheet, right, wrong in (("part_facts", "seat bag,yes", "seat bag,maybe"), ("aliases", "motor=2.0", "2.0")):
        file = folder / f"{sheet}.csv"
        file.write_text(file.read_text(encoding="utf-8").replace(right, wrong), encoding="utf-8")
    book = open_book(str(tmp_path / "yard.book"))
    with pytest.raises(LoadRefused) as refused:
        load_folder(book, C1, folder)
    assert [each.file for each in refused.value.faults] == ["aliases.csv", "part_facts.csv", "part_facts.csv"]
    book.close()


def test_lengths_without_a_unit_are_in_that_of_their_fact_wherever_they_stand(tmp_path: Path) -> None:
    """1186 and 1180 mm are 6 apart, doubts 1.6 and 3.2, 12 allowed; by his own tape, good to 1/16 in, 14 apart."""
    sheets = {
        "models": "key,make,name,family,year_from,year_to\nM1,Hollin,Pipit,Pipit,2003,2008\n",
        "facts": "name,kind,unit,choices\nbar length,length,mm,\nbar needed,length,mm,\nplate,length,mm,190; 228\n",
        "part_types": "name,group\naxle bar,frame\nclutch kit,driveline\n",
        "model_facts": "model,number,fact,value,u_mm\nM1,1,bar needed,1180,3.2\nM1,2,plate,190,\nM1,3,plate,228,\n",
        "rules": "code,kind,grade,why\nB1,numbers,bolts_up,bar length\nB2,numbers,bolts_up,plate\n",
        "rule_types": "rule,end,part_type\n"
        + "".join(f"{rule},{end},{of}\n" for rule, of in BARE for end in ("part", "target")),
        "rule_conditions": "rule,number,end,fact,op,values,other_fact,allowed\nB1,1,target,model,any of,M1,,\n"
        "B1,2,between,bar length,within,,bar needed,12\nB2,1,between,plate,same,,,\nB2,2,part,plate,at least,100,,\n",
        "donors": "stock_number,model,arrived_at\nD1,M1,2026-02-10T15:00:00Z\n",
        "places": "code,kind\nB1,shelf\n",
        "parts": "tag,donor,part_type,condition,whereabouts,place,made_at\n"
        + "".join(
            f"{tag},D1,{of},A,in place,B1,2026-02-10T15:00:00Z\n"
            for tag, of in (("N1", "axle bar"), ("N2", "clutch kit"))
        ),
        "part_facts": "part,fact,value,u_mm\nN1,bar length,1186,1.6\nN2,plate,9 in,1.6\n",
    }
    folder = tmp_path / "yard"
    folder.mkdir()
    for name, rows in sheets.items():
        (folder / f"{name}.csv").write_text(rows, encoding="utf-8")
    book = open_book(str(tmp_path / "yard.book"))
    load_folder(book, C1, folder)
    found = [
        ask(book, C1, f"2005 hollin pipit {of}", facts=facts, on=date(2026, 3, 4), keep=False).answers[0].grade
        for of, facts in (("axle bar", {}), ("axle bar", {"bar needed": "1172"}), ("clutch kit", {"plate": "228"}))
    ]
    assert found == ["bolts_up", "measure", "bolts_up"]
    assert load_folder(book, C1, folder).same
    book.close()


BARE = (("B1", "axle bar"), ("B2", "clutch kit"))
