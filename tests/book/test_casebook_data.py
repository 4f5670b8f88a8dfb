"""The casebook's folder says what it should: counts, sums, facts and choices, and it loads as it stands."""

from __future__ import annotations

import csv
import re
from collections import defaultdict
from decimal import Decimal
from pathlib import Path

import pytest

from app.book.sheets import load_folder
from app.book.work import Who, open_book

HERE = Path(__file__).parents[1] / "casebook"
SOURCE = Path(__file__).parents[3] / "shared" / "casebook"
BUILT_IN = {"model", "year", "built", "plant", "side", "part type", "pieces", "weight class", "frame design"}
CHOOSING = {"any of", "none of"}

Rows = list[dict[str, str]]


def sheet(name: str, folder: Path = HERE) -> Rows:
    """The rows of one file."""
    with (folder / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def entries(cell: str) -> list[str]:
    """The entries of a list cell."""
    return [entry for entry in cell.split("; ") if entry]


def by_rule(name: str) -> dict[str, Rows]:
    """The rows of one file by the rule they belong to."""
    found: dict[str, Rows] = defaultdict(list)
    for row in sheet(name):
        found[row["rule"]].append(row)
    return found


def words_of(name: str) -> set[str]:
    """Every value the fact may take, empty where its list is open."""
    fact = next(row for row in sheet("facts") if row["name"] == name)
    return {"yes", "no"} if fact["kind"] == "yes or no" else set(entries(fact["choices"]))


def test_the_folder_has_the_counted_models_vehicles_tags_and_rules() -> None:
    assert len(sheet("models")) == 11
    assert len(sheet("donors")) == 16
    assert len(sheet("parts")) == 127
    assert [row["code"] for row in sheet("rules")] == [f"R{number:02}" for number in range(1, 111)]


def test_every_rule_has_conditions_types_on_both_ends_and_evidence() -> None:
    conditions, types, evidence = by_rule("rule_conditions"), by_rule("rule_types"), by_rule("rule_evidence")
    for rule in (row["code"] for row in sheet("rules")):
        assert conditions[rule], rule
        assert {row["end"] for row in types[rule]} == {"part", "target"}, rule
        assert evidence[rule], rule


# The sums are those the rules themselves state.
@pytest.mark.parametrize(
    ("rule", "hours"),
    [
        ("R06", "1.2"),
        ("R07", "0.8"),
        ("R08", "0.6"),
        ("R21", "4.5"),
        ("R22", "23.5"),
        ("R24", "18.0"),
        ("R30", "0.4"),
        ("R52", "0.6"),
        ("R54", "3.0"),
        ("R58", "0.4"),
        ("R59", "0.4"),
        ("R65", "9.0"),
        ("R91", "3.0"),
    ],
)
def test_the_hours_of_a_rule_add_up_to_what_it_states(rule: str, hours: str) -> None:
    work = [row["hours"] for row in by_rule("rule_operations")[rule] if row["hours"]]
    assert sum(map(Decimal, work)) == Decimal(hours)


def test_only_rules_of_work_or_moved_pieces_have_hours() -> None:
    grades = {row["code"]: row["grade"] for row in sheet("rules")}
    with_hours = {row["rule"] for row in sheet("rule_operations") if row["hours"]}
    assert {grades[rule] for rule in with_hours} == {"move_over", "needs_work", "set", "bolts_in"}
    assert {rule for rule, grade in grades.items() if grade == "needs_work"} <= with_hours


def test_every_set_names_its_companions_and_no_other_grade_does() -> None:
    grades = {row["code"]: row["grade"] for row in sheet("rules")}
    assert {rule for rule, grade in grades.items() if grade == "set"} == set(by_rule("rule_companions"))


def test_every_condition_looks_at_a_fact_there_is_and_a_choice_it_has() -> None:
    known = {row["name"] for row in sheet("facts")}
    for row in sheet("rule_conditions"):
        assert row["fact"] in known | BUILT_IN, row
        assert row["other_fact"] in known | {""}, row
        if row["fact"] in known and row["op"] in CHOOSING and words_of(row["fact"]):
            assert set(entries(row["values"])) <= words_of(row["fact"]), row


@pytest.mark.parametrize("name", ["model_facts", "donor_facts", "part_facts", "design_facts"])
def test_every_value_kept_is_among_the_choices_of_its_fact(name: str) -> None:
    allowed = {row["name"]: words_of(row["name"]) for row in sheet("facts")}
    for row in sheet(name):
        assert row["fact"] in allowed, row
        assert not allowed[row["fact"]] or row["value"] in allowed[row["fact"]], row


def test_what_a_value_goes_with_is_a_fact_and_one_of_its_choices() -> None:
    allowed = {row["name"]: words_of(row["name"]) for row in sheet("facts")} | {"side": {"LH", "RH"}}
    for name in ("model_facts", "design_uses"):
        for row in sheet(name):
            for fact, value in (entry.split("=") for entry in entries(row["given"])):
                assert value in allowed[fact], row


def test_every_spoken_word_points_to_something() -> None:
    types = sheet("part_types")
    parts = {row["name"] for row in types} | {row["wider"] for row in types}
    facts = {row["name"] for row in sheet("facts")} | BUILT_IN
    models = {row["key"] for row in sheet("models")}
    for row in sheet("aliases"):
        meant = {"part": parts, "model": models, "fact": facts}[row["kind"]]
        assert row["means"].split(" at least ")[0].split("=")[0] in meant, row


def test_every_fact_a_record_asks_for_has_its_question() -> None:
    questions = {row["name"]: row["question"] for row in sheet("facts")}
    assert all(questions.values())
    for row in sheet("rule_consequences"):
        assert {*entries(row["record"]), row["fact"]} - {""} <= questions.keys(), row


def test_no_rule_decided_by_a_tolerance_or_with_work_to_do_is_a_link_of_a_chain() -> None:
    links = [row for row in sheet("rules") if row["chains"] == "yes"]
    assert {(row["kind"], row["grade"]) for row in links} == {("fit", "bolts_up")}


def test_the_hub_splits_in_june_and_at_plant_k_in_september() -> None:
    def plugs(month: str, plant: str) -> set[str]:
        return {
            row["value"]
            for row in sheet("model_facts")
            if row["model"] == "PL2"
            and row["fact"] == "hub plug"
            and (row["built_from"] or "0") <= month <= (row["built_to"] or "9")
            and plant in (entries(row["plants"]) or [plant])
        }

    assert plugs("2007-05", "C") == plugs("2007-05", "K") == {"square"}
    assert plugs("2007-06", "C") == plugs("2007-08", "C") == {"oval"}
    assert plugs("2007-06", "K") == plugs("2007-08", "K") == {"square"}
    assert plugs("2007-09", "K") == plugs("2007-09", "C") == {"oval"}
    moves = {row["moves"]: (row["from_month"], row["to_month"]) for row in by_rule("rule_date_moves")["R28"]}
    assert moves == dict.fromkeys(("R25", "R26", "R27"), ("2007-06", "2007-09"))


def test_every_part_is_somewhere_and_its_design_is_of_its_type() -> None:
    places = {row["code"] for row in sheet("places")}
    designs = {row["code"]: row["part_type"] for row in sheet("designs")}
    for row in sheet("parts"):
        assert (row["whereabouts"] == "in place") == (row["place"] in places), row
        assert (row["whereabouts"] == "on vehicle") == (row["pull_hours"] != ""), row
        assert designs.get(row["design"], row["part_type"]) == row["part_type"], row


@pytest.mark.skipif(not SOURCE.is_dir(), reason="the casebook's source is not beside this checkout")
def test_every_tag_agrees_with_the_stock_list() -> None:
    parts = {row["tag"]: row for row in sheet("parts")}
    places = {row["code"]: row["kind"] for row in sheet("places")}
    for stock in sheet("stock", SOURCE):
        part = parts[stock["tag"]]
        assert part["part_type"] == stock["part"]
        assert (part["donor"], part["condition"], part["pieces"]) == (
            stock["donor"],
            stock["condition"],
            stock["pieces"],
        )
        assert Decimal(part["price"]) == Decimal(stock["price_usd"])
        assert (part["side"] or "-", part["miles"]) == (stock["side"], stock["miles"])
        assert part["made_at"].startswith(stock["tag_date"])
        hours = re.search(r"on vehicle.* ([0-9.]+) h", stock["where"])
        if hours:
            assert (part["whereabouts"], part["pull_hours"]) == ("on vehicle", hours[1])
        else:
            assert places.get(part["place"], part["standing"]) == stock["where"]


@pytest.mark.skipif(not SOURCE.is_dir(), reason="the casebook's source is not beside this checkout")
def test_every_figure_of_the_stock_list_is_kept_as_a_fact() -> None:
    kept: dict[str, str] = defaultdict(str)
    for row in sheet("part_facts"):
        kept[row["part"]] += f" {row['value'].replace('-', ' ')}"
    for row in sheet("parts"):
        kept[row["tag"]] += f" {row['pieces']} {row['lump']} {row['note']}"
    for stock in sheet("stock", SOURCE):
        said = stock["attributes"].replace(",", "")
        for figure in re.findall(r"(?<![0-9/])[0-9]+\.[0-9]+(?![0-9/])", said):
            assert float(figure) in [float(each) for each in re.findall(r"[0-9]+(?:\.[0-9]+)?", kept[stock["tag"]])], (
                stock
            )


@pytest.mark.skipif(not SOURCE.is_dir(), reason="the casebook's source is not beside this checkout")
def test_vehicles_models_and_rules_agree_with_their_lists() -> None:
    donors = {row["stock_number"]: row for row in sheet("donors")}
    for donor in sheet("donors", SOURCE):
        row = donors[donor["donor"]]
        assert [row[name] for name in ("model", "year", "built", "miles", "body")] == [
            donor[name] for name in ("model", "year", "built", "miles", "body")
        ]
        assert row["frame_state"] in donor["frame"] or (row["frame_state"], donor["frame"]) == ("no frame", "-")
    models = {row["key"]: row for row in sheet("models")}
    for model in sheet("models", SOURCE):
        row = models[model["key"]]
        assert (row["make"], f"{row['year_from']}-{row['year_to']}") == (model["make"], model["years"])
        assert row["name"] in model["model"]
    rules = {row["code"]: row for row in sheet("rules")}
    for source in sheet("rules", SOURCE):
        if not source["grade"].startswith("("):
            assert rules[source["rule"]]["grade"] == source["grade"]


def test_the_folder_loads_as_it_stands_and_knows_itself_again(tmp_path: Path) -> None:
    book = open_book(str(tmp_path / "casebook.book"))
    rows = sum(len(sheet(file.stem)) for file in HERE.glob("*.csv"))
    assert load_folder(book, Who("O1"), HERE).added == rows
    again = load_folder(book, Who("O1"), HERE)
    assert (again.added, again.changed, again.same) == (0, 0, rows)
