"""Rules that disagree on one part and one vehicle, with the answer worked out by hand from the rules of the game.

The yard's own R01 says by measurement that plain steering gears of pickups and wagons, light and heavy, are the same.
To it one rule is added, or two, on S101: off a heavy wagon, asked for a light one of 2008.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from app.book.asking import ask
from app.book.schema import Role
from app.book.sheets import load_folder
from app.book.work import Book, Who, open_book
from app.fit.answers import AnswerLine
from tests.support.books import copy_file

YARD = Path(__file__).parents[1] / "casebook"
OWNER = Who("OW", Role.OWNER, "office")
ON = date(2026, 3, 4)
HEAVY_WAGON, HEAVY = "part,model,any of,WH2", "part,model,any of,PH2; WH2"
LIGHT_WAGON, LIGHT = "target,model,any of,WL2", "target,model,any of,PL2; WL2; BR2"
PLAIN = ("part,steering assist,any of,plain", "target,steering assist,any of,plain")
FROM_2008 = "target,year,at least,2008"
NARROW, BESIDE = (HEAVY_WAGON, LIGHT_WAGON, *PLAIN), (HEAVY, LIGHT, *PLAIN)
Added = tuple[str, str, tuple[str, ...], str]
"""A grade, how it is known, its conditions, and its state."""
CASES: dict[str, tuple[tuple[Added, ...], str]] = {
    "a narrower one that was measured wins": ((("move_over", "measured", NARROW, "open"),), "move_over"),
    "and forbids, where it says so": ((("wont_fit", "measured", NARROW, "open"),), "wont_fit"),
    "a part that came back is measured too": ((("wont_fit", "returned", NARROW, "open"),), "wont_fit"),
    "a narrower one that is only told is measured first": ((("wont_fit", "told", NARROW, "open"),), "measure"),
    "and so is a milder one": ((("bolts_in", "told", NARROW, "open"),), "measure"),
    "a guess that agrees changes nothing": ((("bolts_up", "guess", NARROW, "open"),), "bolts_up"),
    "of equal weight the cautious one": ((("needs_work", "measured", BESIDE, "open"),), "needs_work"),
    "proven beats told where neither is narrower": ((("needs_work", "told", BESIDE, "open"),), "bolts_up"),
    "fewer models without a look are not narrower, so the cautious one": (
        (("move_over", "measured", (HEAVY_WAGON, LIGHT_WAGON), "open"),),
        "move_over",
    ),
    "one in dispute is measured first, narrow as it is": ((("move_over", "measured", NARROW, "disputed"),), "measure"),
    "the narrowest of three wins": (
        (("wont_fit", "measured", NARROW, "open"), ("bolts_up", "sold and kept", (*NARROW, FROM_2008), "open")),
        "bolts_up",
    ),
    "hearsay that a narrower measured one beats casts no doubt on the rest": (
        (("wont_fit", "told", NARROW, "open"), ("bolts_up", "sold and kept", (*NARROW, FROM_2008), "open")),
        "bolts_up",
    ),
    "nor does it where the one that beats it is only better proven": (
        (("wont_fit", "told", NARROW, "open"), ("bolts_up", "measured", (*BESIDE, FROM_2008), "open")),
        "bolts_up",
    ),
}


@pytest.fixture(scope="module")
def loaded(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = copy_file(sqlite_template, tmp_path_factory.mktemp("conflicts") / "yard.book")
    book = open_book(str(place))
    load_folder(book, OWNER, YARD)
    book.close()
    return place


@pytest.fixture
def yard(loaded: Path, tmp_path: Path) -> Iterator[Book]:
    book = open_book(str(copy_file(loaded, tmp_path / "yard.book")))
    yield book
    book.close()


def add(yard: Book, folder: Path, rules: tuple[Added, ...], part_type: str = "steering gear") -> None:
    """The sheets of rules N1, N2 … on a part type, loaded into the yard; what bolts up may be a link of a chain."""
    folder.mkdir()
    sheets = {
        "rules": ["code,kind,grade,direction,chains,why,state,state_reason,state_on"],
        "rule_types": ["rule,end,part_type"],
        "rule_conditions": ["rule,number,end,fact,op,values"],
        "rule_evidence": ["rule,number,kind,count"],
    }
    for number, (grade, known_by, conditions, state) in enumerate(rules, 1):
        doubted = ",one came back,2026-02-12" if state == "disputed" else ",,"
        chains = "yes" if grade == "bolts_up" else "no"
        sheets["rules"].append(f"N{number},fit,{grade},one way,{chains},as was found,{state}{doubted}")
        sheets["rule_types"] += [f"N{number},{end},{part_type}" for end in ("part", "target")]
        sheets["rule_conditions"] += [f"N{number},{at},{each}" for at, each in enumerate(conditions, 1)]
        sheets["rule_evidence"].append(f"N{number},1,{known_by},1")
    for name, rows in sheets.items():
        (folder / f"{name}.csv").write_text("\n".join([*rows, ""]))
    load_folder(yard, OWNER, folder)


def gear(yard: Book) -> AnswerLine:
    found = ask(yard, OWNER, "steering gear 2008 half-ton longwagon, plain", on=ON, keep=False)
    return next(line for line in (*found.answers, *found.do_not_sell) if line.tags == ("S101",))


@pytest.mark.parametrize(("rules", "grade"), CASES.values(), ids=CASES.keys())
def test_rules_that_disagree(yard: Book, tmp_path: Path, rules: tuple[Added, ...], grade: str) -> None:
    add(yard, tmp_path / "added", rules)
    line = gear(yard)
    assert line.grade == grade
    assert {"R01", *(f"N{number}" for number in range(1, len(rules) + 1))} <= set(line.rules)


def test_what_moves_over_is_said_even_where_nobody_wrote_down_the_work(yard: Book, tmp_path: Path) -> None:
    add(yard, tmp_path / "added", (("move_over", "measured", NARROW, "open"),))
    assert gear(yard).say.startswith("It bolts up once small pieces are moved over: as was found")


TANSY, HYBRID = "part,model,any of,TA1", "target,model,any of,TH1"
HARROW, OSIER = "part,model,any of,HA1", "target,model,any of,OS1"
LINK = ("bolts_up", "measured", (TANSY, HYBRID), "open")
CHAINS: dict[str, tuple[tuple[Added, ...], int, str]] = {
    "three links": ((LINK,), 2009, "bolts_up"),
    "a link that was only told": ((("bolts_up", "told", (TANSY, HYBRID), "open"),), 2009, "bolts_up"),
    "a link in dispute": ((("bolts_up", "measured", (TANSY, HYBRID), "disputed"),), 2009, ""),
    "a link that moves pieces over": ((("move_over", "measured", (TANSY, HYBRID), "open"),), 2009, ""),
    "a link off the last Tansies": (
        (("bolts_up", "measured", (TANSY, "part,year,at least,2010", HYBRID), "open"),),
        2009,
        "bolts_up",
    ),
    "a link off Tansies that were never built": (
        (("bolts_up", "measured", (TANSY, "part,year,at least,2011", HYBRID), "open"),),
        2009,
        "",
    ),
    "a link to early Hybrids, on a late one": (
        (("bolts_up", "measured", (TANSY, HYBRID, "target,year,at most,2008"), "open"),),
        2009,
        "",
    ),
    "a link that a narrower rule forbids there": (
        (LINK, ("wont_fit", "measured", (TANSY, HYBRID, "target,year,at least,2009"), "open")),
        2009,
        "",
    ),
    "and on one it does not speak of": (
        (LINK, ("wont_fit", "measured", (TANSY, HYBRID, "target,year,at least,2009"), "open")),
        2008,
        "bolts_up",
    ),
    "a first link that a rule of the same weight forbids": (
        (LINK, ("wont_fit", "measured", (HARROW, OSIER), "open")),
        2009,
        "",
    ),
    "a first link that hearsay forbids, which what was measured beats": (
        (LINK, ("wont_fit", "told", (HARROW, OSIER), "open")),
        2009,
        "bolts_up",
    ),
    "a first link that is forbidden on early Osiers, for it may be a late one": (
        (LINK, ("wont_fit", "measured", (HARROW, OSIER, "target,year,at most,2008"), "open")),
        2009,
        "bolts_up",
    ),
    "and on late ones too": (
        (
            LINK,
            ("wont_fit", "measured", (HARROW, OSIER, "target,year,at most,2008"), "open"),
            ("move_over", "measured", (HARROW, OSIER, "target,year,at least,2009"), "open"),
        ),
        2009,
        "",
    ),
    "a first link off another Harrow than ours": (
        (LINK, ("wont_fit", "measured", (HARROW, "part,year,at least,2008", OSIER), "open")),
        2009,
        "bolts_up",
    ),
    "a middle link with another in dispute": (
        (LINK, ("bolts_up", "measured", ("part,model,any of,OS1", "target,model,any of,TA1"), "disputed")),
        2009,
        "",
    ),
    "a direct rule, whatever it stands on": (
        (LINK, ("bolts_in", "told", ("part,model,any of,HA1", HYBRID), "open")),
        2009,
        "bolts_in",
    ),
}


@pytest.mark.parametrize(("rules", "year", "grade"), CHAINS.values(), ids=CHAINS.keys())
def test_a_chain_onto_a_hybrid(yard: Book, tmp_path: Path, rules: tuple[Added, ...], year: int, grade: str) -> None:
    """S330 off a Harrow goes onto an Osier (R79) and from there onto a Tansy (R78), both measured and both ways."""
    add(yard, tmp_path / "added", rules, "blower motor")
    found = ask(yard, OWNER, f"blower motor {year} tansy hybrid", on=ON, keep=False)
    assert [line.grade for line in found.answers if line.tags == ("S330",)] == ([grade] if grade else [])


def test_a_link_is_forbidden_on_either_database(book: Book, tmp_path: Path) -> None:
    load_folder(book, OWNER, YARD)
    rules, year, _ = CHAINS["a first link that a rule of the same weight forbids"]
    add(book, tmp_path / "link", rules[:1], "blower motor")
    words = f"blower motor {year} tansy hybrid"
    assert ask(book, OWNER, words, on=ON, keep=False).answers[0].grade == "bolts_up"
    add(book, tmp_path / "both", rules, "blower motor")
    assert all(line.tags != ("S330",) for line in ask(book, OWNER, words, on=ON, keep=False).answers)
