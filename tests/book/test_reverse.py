"""The question the other way round: what a tag fits, and why one tag is not the answer. Invented data."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import partial
from pathlib import Path

import pytest

from app.book.asking import ask
from app.book.finding import part
from app.book.fitgroups import counted, in_groups
from app.book.holds import hold
from app.book.parts import find_part
from app.book.reverse import fits, standing, why
from app.book.sales import Basket, Line, start_ticket
from app.book.schema import Standing
from app.book.sheets import load_folder
from app.book.typed import typed
from app.book.work import Book, Who, open_book
from app.errors import BadInput, NotFound, YardError
from app.fit.terms import Condition, Grade
from tests.support.clock import Clock

YARD = Path(__file__).parents[1] / "casebook"
TODAY = date(2026, 3, 4)
C1 = Who("C1", seat="counter")


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp("reverse") / "yard.book"))
    load_folder(book, C1, YARD)
    yield book
    book.close()


def test_a_heavy_arm_bolts_up_on_heavies_and_bolts_in_on_lights(yard: Book) -> None:
    grades = {(row.model, row.line.grade) for row in fits(yard, "S131", on=TODAY)}
    assert {("PH2", Grade.BOLTS_UP), ("WH2", Grade.BOLTS_UP), ("WL2", Grade.BOLTS_IN)} <= grades


def test_a_split_inside_a_model_year_shows_as_runs_of_years(yard: Book) -> None:
    """The square-plug hub is in doubt while both plugs were built and never fits after."""
    runs = {(row.year_from, row.year_to): row.line.grade for row in fits(yard, "S190", on=TODAY) if row.model == "WL2"}
    assert runs == {(2007, 2008): Grade.MEASURE, (2009, 2013): Grade.WONT_FIT}


def test_what_a_tag_fits_is_said_in_groups_with_how_many_that_is(yard: Book) -> None:
    rows = fits(yard, "S131", on=TODAY)
    groups = in_groups(rows)
    assert [group.grade for group in groups] == sorted({row.line.grade for row in rows}, key=lambda each: each.rank)
    best = groups[0]
    assert (best.grade, best.models, best.years) == (Grade.BOLTS_UP, 2, 14)
    assert best.vehicles == ("2007 to 2013 heavy Tolliver, heavy Longwagon",)
    assert sum(group.years for group in groups) == sum(row.year_to - row.year_from + 1 for row in rows)
    count = counted(rows)
    assert (count.goes_on, count.of) == (5, 7)
    assert count.words == "7 models looked at: 2 bolts up; 3 bolts in, but; 2 never compared"


def test_what_must_be_measured_first_is_no_fit_yet(yard: Book) -> None:
    """An alternator of 105 A: whether a truck needs 145 is to be read off its own label, on every model."""
    count = counted(fits(yard, "S295", on=TODAY))
    assert (count.goes_on, count.of) == (0, 7)
    assert count.words == "7 models looked at: 7 measure first"


def test_the_vehicle_a_tag_came_off_is_told_as_what_it_is(yard: Book) -> None:
    """Of a sunroof glass off a 2007 Tansy nothing is written down but where it came from."""
    rows = fits(yard, "S380", on=TODAY)
    own = next(row for row in rows if row.own)
    assert (own.model, own.years, own.said) == ("TA1", "2007", "came off one")
    assert "came off a 2007 Tansy" in own.say
    first = in_groups(rows)[0]
    assert first.words == "came off one (1 model, 1 model year): 2007 Tansy"
    assert counted(rows).words == "3 models looked at: 1 came off one; 3 never compared"


def test_runs_of_years_under_other_rules_are_one_run_in_words(yard: Book) -> None:
    (group,) = [each for each in in_groups(fits(yard, "S190", on=TODAY)) if each.grade is Grade.MEASURE]
    assert any("2007 to 2008" in words and "Longwagon" in words for words in group.vehicles)


@pytest.mark.parametrize("tag", ["S101", "S131", "S190", "S250", "S330", "S371"])
def test_what_a_tag_fits_is_what_the_counter_would_answer(yard: Book, tag: str) -> None:
    """Both directions of the question agree, model by model, in the first year of each run."""
    for row in fits(yard, tag, on=TODAY):
        line = why(yard, tag, f"{row.year_from} {row.model}", on=TODAY)
        assert line.grade is row.line.grade
        found = ask(
            yard, C1, "", vehicle=f"{row.year_from} {row.model}", part=part(yard, tag).part_type, on=TODAY, keep=False
        )
        listed = {each.tags[0]: each.grade for each in (*found.answers, *found.do_not_sell)}
        assert listed[tag] is row.line.grade


def test_a_run_of_years_is_one_that_is_told_in_the_same_words(yard: Book) -> None:
    """A 7-pin motor on trucks built from 2010-03: a 2010 may be of either side of the split, a 2013 is surely after."""
    runs = {row.years: row.line.say for row in fits(yard, "S328", on=TODAY) if row.model == "WL2"}
    for years, said in runs.items():
        for year in {years[:4], years[-4:]}:
            assert why(yard, "S328", f"{year} WL2", on=TODAY).say == said
    assert len(runs) > 1


def test_scrap_and_a_core_are_not_offered(sqlite_book: Book) -> None:
    load_folder(sqlite_book, C1, YARD)
    with sqlite_book.unrecorded(C1) as work:
        find_part(work.session, "S130").condition = Condition.CORE
    assert standing(sqlite_book, "S130") == "S130 is a core"
    said = [why(sqlite_book, "S130", "08 longwagon light").say, *(row.say for row in fits(sqlite_book, "S130"))]
    assert set(said) == {"S130 is a core: I can't offer it."}
    found = typed(sqlite_book, "S130 08 longwagon light")
    assert found is not None
    assert found.line is None
    assert ", a core, " in found.title


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("S380 09 heavy longwagon", "S380 has nothing to do with that vehicle. No rule and no family joins them."),
        ("S131 2008 light longwagon LH", "S131 is RH, of the other side. No rule speaks of it there."),
        ("S131 1960 longwagon", "No Longwagon of 1960 is in the book. Say year, make and model."),
        ("S131 flibbertigib", "That one is here: front lower control arm RH, for 95. What is it for?"),
    ],
)
def test_a_tag_beside_a_vehicle_it_has_nothing_to_do_with_says_so(yard: Book, words: str, said: str) -> None:
    found = typed(yard, words, on=TODAY)
    assert found is not None
    assert found.line is not None
    assert found.line.say == said


def test_a_tag_is_looked_at_on_the_vehicle_that_is_stated_for_it(yard: Book) -> None:
    """Of a 2007 the plug is not known; once it is stated, the hub bolts up."""
    stated = typed(yard, "S190", vehicle="2007 longwagon light", facts={"hub plug": "square"}, on=TODAY)
    assert stated is not None
    assert stated.line == why(yard, "S190", "2007 longwagon light", facts={"hub plug": "square"}, on=TODAY)
    with pytest.raises(BadInput, match="names no vehicle"):
        typed(yard, "S190", vehicle="flibbertigib")


def test_a_tag_of_the_other_side_is_said_to_be_that(yard: Book) -> None:
    with pytest.raises(YardError, match="S131 is RH"):
        why(yard, "S131", "2008 light longwagon LH", on=TODAY)
    with pytest.raises(YardError, match="nothing to do with that vehicle"):
        why(yard, "S380", "2008 light longwagon LH", on=TODAY)


def test_why_not_names_the_rule_and_its_figure(yard: Book) -> None:
    line = why(yard, "S133", "2009 heavy longwagon", on=TODAY)
    assert line.grade is Grade.WONT_FIT
    assert line.rules == ("R12",)
    assert "1.00 in short" in line.say


def test_a_rule_that_speaks_only_of_some_such_trucks_says_of_which(yard: Book) -> None:
    """The plug of a 2007 is not known: neither R25 nor R27 is known to speak of it. Once it is, one surely does."""
    said = why(yard, "S190", "2007 tolliver light 4x4").reasons
    assert any(each.startswith("R25: if the hub plug is square: ") for each in said)
    assert any(each.startswith("R27: if the hub plug is oval: ") for each in said)
    known = why(yard, "S190", "2007 tolliver light 4x4", facts={"hub plug": "square"}).reasons
    assert [each[:5] for each in known] == ["R25: "]
    assert not any(" if " in each for each in known)
    early = why(yard, "S300", "longwagon light 5.1").reasons
    assert "if it was built before 2007-06: the vehicle carries this very design (ENG51-EARLY)" in early


def test_what_is_not_there_is_said_plainly(yard: Book) -> None:
    with pytest.raises(NotFound, match="not ours"):
        fits(yard, "NOSUCH", on=TODAY)
    with pytest.raises(BadInput, match="no vehicle"):
        why(yard, "S133", "flibbertigib", on=TODAY)
    with pytest.raises(BadInput, match="no Longwagon of 1960 is in the book"):
        why(yard, "S133", "1960 longwagon", on=TODAY)
    with pytest.raises(YardError, match="nothing to do"):
        why(yard, "S380", "2009 heavy longwagon", on=TODAY)


def test_what_is_sold_or_held_says_so_first_and_is_not_offered(sqlite_book: Book) -> None:
    """A sold alternator and a held arm: whom it is for and until when, and no price in the sentence."""
    load_folder(sqlite_book, C1, YARD)
    hold(sqlite_book, C1, "S130", "B. Oak")
    for tag, vehicle, words in (
        ("S400", "2007 tansy", "S400 is sold"),
        ("S130", "08 longwagon light", "S130 is held for B. Oak until"),
    ):
        price = f"{part(sqlite_book, tag).price_cents // 100}"
        said = [why(sqlite_book, tag, vehicle).say, *(row.say for row in fits(sqlite_book, tag))]
        assert all(each.startswith(words) and f" {price}" not in each for each in said)
        assert standing(sqlite_book, tag).startswith(words)


def test_a_hold_that_ran_out_keeps_nothing(sqlite_book: Book, clock: Clock) -> None:
    load_folder(sqlite_book, C1, YARD)
    hold(sqlite_book, C1, "S130", "B. Oak")
    clock.forward(hours=25)
    assert standing(sqlite_book, "S130") == ""
    assert "75" in why(sqlite_book, "S130", "08 longwagon light").say
    found = ask(sqlite_book, C1, "lca rh 08 longwagon light", keep=False)
    assert "S130" in [line.tags[0] for line in found.answers]
    assert not found.kept
    assert part(sqlite_book, "S130").standing is Standing.FREE
    named = typed(sqlite_book, "S130")
    assert named is not None
    assert ", free, " in named.title


def test_a_draft_that_nobody_finished_keeps_nothing_from_the_next_customer(book: Book, clock: Clock) -> None:
    load_folder(book, C1, YARD)
    start_ticket(book, C1, Basket([Line("S130")]))
    asked = partial(ask, book, C1, "lca rh 08 longwagon light", keep=False)
    assert "S130" in [each.tag for each in asked().kept]
    clock.forward(days=2)
    assert "S130" in [line.tags[0] for line in asked().answers]
