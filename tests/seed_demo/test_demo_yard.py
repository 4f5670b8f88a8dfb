"""The demo yard is whole, agrees with itself, and holds nothing but invented things."""

from __future__ import annotations

import csv
import re
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest
from sqlalchemy import select, text

from app.book.asking import ask
from app.book.donors import donor_page
from app.book.integrity import check
from app.book.schema import Donor, Model, Part, Standing
from app.book.tags import TagKind
from app.book.work import Book, Who
from app.fit.mass import MassVerdict
from app.fit.terms import Grade
from app.fit.vin import check_digit, read_vin
from tests.seed_demo.conftest import DAY, MORNING

COUNTER = Who("C1", seat="counter 1")
CASEBOOK = Path(__file__).parents[1] / "casebook" / "models.csv"


def ones(book: Book, query: str) -> list[object]:
    """The first column of a query."""
    with book.engine.connect() as connection:
        return [row[0] for row in connection.execute(text(query))]


def test_the_book_is_whole(demo: Book) -> None:
    assert check(demo) == ()


def test_a_yard_of_its_size_stands_here(demo: Book) -> None:
    sizes = {"donors": 300, "parts": 3000, "asks": 5000, "sale_tickets": 900, "rules": 60, "part_types": 60}
    for table, least in sizes.items():
        (found,) = ones(demo, f"SELECT count(*) FROM {table}")
        assert isinstance(found, int)
        assert found >= least, table


def test_every_standing_of_a_part_is_there_to_be_seen(demo: Book) -> None:
    assert set(ones(demo, "SELECT DISTINCT standing FROM parts")) == {str(each) for each in Standing}
    assert set(ones(demo, "SELECT DISTINCT whereabouts FROM parts")) == {"in place", "in hand", "on vehicle", "gone"}


def test_every_vin_begins_with_0_and_works_out(demo: Book) -> None:
    # Position 1 of a VIN says where the maker is at home; no region is given 0 (ISO 3780, from memory).
    with demo.read() as session:
        donors = session.scalars(select(Donor)).all()
    assert {donor.vin[0] for donor in donors} == {"0"}
    for donor in donors:
        assert check_digit(donor.vin) == donor.vin[8]
        assert read_vin(donor.vin).years == (donor.year,)


def test_makes_and_models_are_its_own(demo: Book) -> None:
    with demo.read() as session:
        ours = {word for model in session.scalars(select(Model)) for word in (model.make, model.name)}
    with CASEBOOK.open(encoding="utf-8", newline="") as file:
        theirs = {row[word] for row in csv.DictReader(file) for word in ("make", "name")}
    assert not ours & theirs
    # Looked up by hand when they were made up: no maker, company, brand or person of these names was known.
    assert ours == {
        *("Orvask", "Jorvane", "Tambrell"),
        *("Gavlock", "Hestrow", "Pellisk", "Ockrin", "Tivvel", "Ilsko", "Tivvel Hybrid"),
    }


def test_every_telephone_is_one_of_those_kept_free_for_stories(demo: Book) -> None:
    # 555-0100 to 555-0199 are set aside for fiction in the North American plan; from memory.
    for table in ("contacts", "wants", "holds"):
        assert all(re.fullmatch(r"555-01\d\d", str(phone)) for phone in ones(demo, f"SELECT phone FROM {table}"))


def test_nothing_lies_ahead_of_the_day_it_ends_on_and_something_is_of_that_day(demo: Book) -> None:
    columns = {"history": "at", "asks": "at", "parts": "made_at", "donors": "arrived_at", "holds": "made_at"}
    for table, column in columns.items():
        (newest,) = ones(demo, f"SELECT max({column}) FROM {table}")
        assert str(newest)[:16] <= f"{DAY} 00:12", table
    for table in ("asks", "donors", "holds", "history"):
        (newest,) = ones(demo, f"SELECT max({columns[table]}) FROM {table}")
        assert str(newest).startswith(str(DAY)), table


def test_nothing_happens_before_what_it_needs(demo: Book) -> None:
    assert (
        ones(demo, "SELECT p.tag FROM parts p JOIN donors d ON d.id = p.donor_id WHERE p.made_at < d.arrived_at") == []
    )
    sold = """SELECT p.tag FROM sale_lines l JOIN parts p ON p.id = l.part_id JOIN sale_tickets t ON t.id = l.ticket_id
        WHERE t.made_at < p.made_at"""
    assert ones(demo, sold) == []
    weighed = """SELECT d.stock_number FROM weight_tickets w JOIN donors d ON d.id = w.donor_id
        JOIN parts p ON p.donor_id = d.id WHERE w.kind = 'hulk out' AND p.made_at > w.at"""
    assert ones(demo, weighed) == []


def test_history_runs_in_order_of_time_and_every_act_has_its_line(demo: Book) -> None:
    moments = [str(at) for at in ones(demo, "SELECT at FROM history ORDER BY id")][1:]
    assert moments == sorted(moments)
    acts = {
        "harvest": "SELECT tag FROM parts",
        "take in": "SELECT stock_number FROM donors",
        "ask": "SELECT 'ask ' || number FROM asks",
        "sell": "SELECT 'ticket ' || number FROM sale_tickets WHERE state IN ('paid', 'voided')",
    }
    for action, subjects in acts.items():
        noted = ones(demo, f"SELECT subject FROM history WHERE action = '{action}'")
        assert sorted(map(str, noted)) == sorted(map(str, ones(demo, subjects))), action


def test_numbers_and_tags_are_given_out_in_order_of_time(demo: Book) -> None:
    for table, at in (("asks", "at"), ("sale_tickets", "made_at"), ("weight_tickets", "at"), ("holds", "made_at")):
        moments = [str(each) for each in ones(demo, f"SELECT {at} FROM {table} ORDER BY number")]
        if table != "sale_tickets":
            assert moments == sorted(moments), table
    with demo.engine.connect() as connection:
        last = {row.series: row.last for row in connection.execute(text("SELECT series, last FROM counters"))}
    for kind, table in ((TagKind.PART, "parts"), (TagKind.SALE, "sale_tickets"), (TagKind.PLACE, "places")):
        (count,) = ones(demo, f"SELECT count(*) FROM {table}")
        assert last[f"tag {kind.value}"] == count


def test_tickets_add_up_by_plain_arithmetic(demo: Book) -> None:
    query = """SELECT t.*, (SELECT sum(l.price_cents) FROM sale_lines l WHERE l.ticket_id = t.id) AS parts
        FROM sale_tickets t"""
    with demo.engine.connect() as connection:
        tickets = connection.execute(text(query)).all()
    for ticket in tickets:
        assert ticket.parts == ticket.parts_cents
        taxed = Decimal(ticket.parts_cents - ticket.discount_cents) * Decimal(ticket.tax_rate) / 100
        assert ticket.tax_cents == int(taxed.quantize(Decimal(1), rounding=ROUND_HALF_UP))
        paid = ticket.parts_cents - ticket.discount_cents + ticket.core_cents + ticket.tax_cents
        assert ticket.total_cents == paid


def test_every_hulk_weighs_what_came_off_it_says(demo: Book) -> None:
    gone = ones(demo, "SELECT stock_number FROM donors WHERE state = 'weighed out'")
    assert len(gone) > 100
    for stock_number in gone[::7]:
        balance = donor_page(demo, str(stock_number)).balance
        assert balance is not None
        assert balance.verdict is MassVerdict.AS_EXPECTED, balance.words


def test_a_part_says_nothing_that_its_vehicle_cannot_be(demo: Book) -> None:
    """What was seen on a part of a design agrees with the design's own facts."""
    query = """SELECT p.tag || ': ' || f.name || ' ' || s.value || ' against ' || d.value
        FROM parts p JOIN design_facts d ON d.design_id = p.design_id
        JOIN part_facts s ON s.part_id = p.id AND s.fact_id = d.fact_id JOIN facts f ON f.id = d.fact_id
        WHERE s.value <> d.value"""
    assert ones(demo, query) == []


ASKS = {
    "08 hestrow half ton lca rh": ("front lower control arm", "HL2"),
    "steering box 09 gavlock heavy": ("steering gear", "GH2"),
    "2008 rear tank hestrow half ton": ("fuel tank, rear", "HL2"),
    "left t-bar 10 gavlock three quarter ton": ("torsion bar", "GH2"),
    "tivvel 06 alternator": ("alternator", "TV1"),
    "ockrin 05 headlight": ("headlamp", "OK1"),
    "buttons t-case 08 hestrow light": ("transfer case", "HL2"),
    "hestow 08 half ton tail lamp left": ("tail lamp", "HL2"),
}


@pytest.mark.parametrize("words", ASKS)
def test_an_ask_in_a_customers_words_finds_parts(demo: Book, words: str) -> None:
    answer = ask(demo, COUNTER, words, on=DAY, keep=False)
    part, model = ASKS[words]
    assert answer.asked.part_types == (part,)
    assert answer.asked.models == (model,)
    assert answer.answers
    assert answer.answers[0].grade in (Grade.BOLTS_UP, Grade.MOVE_OVER, Grade.MEASURE)


@pytest.mark.parametrize(("word", "least"), [("box", 3), ("rear end", 2), ("axle", 3), ("brain", 3), ("clip", 2)])
def test_a_word_for_several_parts_is_asked_back(demo: Book, word: str, least: int) -> None:
    (meaning,) = ask(demo, COUNTER, f"{word} for my gavlock", on=DAY, keep=False).asked.meanings
    assert len(meaning.choices) >= least


def test_every_grade_that_rules_give_is_heard_at_this_counter(demo: Book) -> None:
    heard = {
        line.grade
        for words in (
            "08 hestrow half ton lca rh", "gavlock 09 light lca rh", "08 hestrow half ton radiator cooler",
            "07 hestrow light fuel pump", "08 hestrow half ton rear tank", "08 hestrow half ton steering box plain",
            "07 hestrow half ton rear diff housing 2wd 3.23", "old body gavlock light radio 03",
        )
        for found in [ask(demo, COUNTER, words, on=DAY, keep=False)]
        for line in (*found.answers, *found.do_not_sell)
    }  # fmt: skip
    wanted = {Grade.BOLTS_UP, Grade.MOVE_OVER, Grade.SET, Grade.NEEDS_WORK, Grade.BOLTS_IN, Grade.WONT_FIT}
    assert wanted <= heard


def test_an_airbag_without_a_look_up_is_kept_off_sale(demo: Book) -> None:
    with demo.read() as session:
        blocked = session.scalars(select(Part).where(Part.standing == Standing.BLOCKED)).all()
    assert {part.block_reason for part in blocked} == {"no recall check on this vehicle yet", "frame is scrap only"}
    assert MORNING.date() == DAY


def test_late_before_a_year_is_told_of_the_year_though_a_gearbox_is_called_late(demo: Book) -> None:
    of_year = ask(demo, COUNTER, "hub late 06 gavlock half ton", on=DAY, keep=False).asked
    assert (of_year.built, of_year.facts.get("gearbox type")) == ("2006-07 or later", None)
    of_box = ask(demo, COUNTER, "late transmission 06 gavlock half ton", on=DAY, keep=False).asked
    assert (of_box.built, of_box.facts["gearbox type"]) == (None, "late")
