"""Sections, arms, springs, look-alikes and the hulk's balance as commands."""

from __future__ import annotations

import json
import re
import shlex
import subprocess
import sys
from typing import Any

import pytest
from click.testing import CliRunner

from app.cli import cli
from tests.commands.desk import ROOT, Desk, environment

FREE = Desk("nowhere.book")
"""A desk whose book does not exist: what needs none must work at it."""


def status_of(*words: str) -> int:
    return CliRunner().invoke(cli, list(words)).exit_code


def numbers_without_units(found: object, name: str = "") -> list[str]:
    """The names of numbers in a record that do not say what they are of."""
    units = re.compile(
        r"(_(mm|mm2|mm3|mm4|mm6|in|in2|in3|in4|in6|deg|deg_per_mm|nmm|nm_per_deg|n_per_mm|lb_per_in|kg_per_m|lb"
        r"|ratio|bits|bits_per_effort)$)|^(studs|places_apart|probability|effort)$"
    )
    if isinstance(found, dict):
        return [each for key, value in found.items() for each in numbers_without_units(value, str(key))]
    if isinstance(found, list):
        return [each for value in found for each in numbers_without_units(value, name)]
    is_number = isinstance(found, int | float) and not isinstance(found, bool)
    return [name] if is_number and not units.search(name) else []


@pytest.mark.parametrize(
    "words",
    [
        ["section", "boxed", "6in", "3in", "0.12in", "--radius", "0.24in", "--against", "open 6x3x0.12"],
        ["section", "part-boxed", "8.25", "2.8", "0.22", "--length", "60", "--boxed-length", "30"],
        ["section", "tube", "76.2mm", "3mm"],
        ["arms", "--ball-height", "10.5", "--lower-by", "1", "--cams", "1.75"],
        ["arms", "--lower", "10,7", "27,7", "--upper", "13,17", "25,18", "--wheel", "30,12", "--lower-by", "1"],
        ["springs", "--bar", "46.5x1.25 hex", "--new-bar", "44.75x1.25 hex", "--load", "1900", "--arm", "18.25"],
        ["springs", "--wire", "0.66", "--than", "0.62", "--coil", "5.5", "--turns", "6.5"],
        ["which", "--studs", "5", "--chord", "67.2mm@dial caliper"],
        ["balance", "--arrival", "5000", "--hulk", "4900"],
    ],
)
def test_every_number_says_its_unit(words: list[str]) -> None:
    assert numbers_without_units(FREE.record(*words)) == []


def test_a_section_is_said_in_inches_and_millimeters() -> None:
    said = FREE.says("section", "boxed", "6in", "3in", "0.12in")
    assert "10.05 in⁴" in said
    assert "4,182,000 mm⁴" in said
    found = FREE.record("section", "boxed", "152.4mm", "76.2mm", "3.048mm")
    assert found["properties_in"]["ix_in4"] == pytest.approx(10.04631552)
    assert found["properties"]["ix_mm4"] == pytest.approx(10.04631552 * 25.4**4)


def test_boxed_against_open_is_said_in_words_with_the_caution() -> None:
    said = FREE.says("section", "boxed", "6", "3", "0.12", "--against", "open 6x3x0.12")
    assert "in bending near equal (1.23), in twist about a thousand times stiffer" in said
    assert "ends free to warp" in said
    assert "certified" in said


def test_boxing_a_length_of_open_rail() -> None:
    words = ["section", "open", "8.25", "2.80", "0.220", "--length", "60", "--boxed-length", "30"]
    assert "boxed over 50% of its length" in FREE.says(*words)
    found = FREE.record(*words, "--torque", "500")["boxing"]
    assert found["torque_nmm"] == pytest.approx(500 * 1355.8179483314)
    assert found["open_twist_deg"] > found["twist_deg"] > found["twist_held_deg"]


@pytest.mark.parametrize(
    ("words", "place"),
    [
        (["section", "boxed", "6", "3", "1.6"], "wall"),
        (["section", "boxed", "6", "3"], "sizes"),
        (["section", "tube", "6", "3", "0.1"], "width"),
        (["section", "boxed", "6", "3", "0.1", "--radius", "2"], "radius"),
        (["section", "boxed", "6", "3", "0.1", "--length", "60", "--boxed-length", "30"], "kind"),
        (["section", "open", "6", "3", "0.1", "--length", "60"], "--boxed-length"),
        (["section", "open", "6", "3", "0.1", "--length", "60", "--boxed-length", "61"], "boxed length"),
        (["arms"], "--ball-height"),
        (["arms", "--lower", "10,7", "27,7"], "--upper"),
        (["springs"], "--bar"),
        (["springs", "--bar", "46x1.2", "--raise", "1"], "--raise"),
        (["springs", "--wire", "0.66"], "--coil"),
        (["which"], "PART-TYPE"),
        (["which", "--studs", "5"], "--chord"),
        (["which", "--studs", "5", "--chord", "67mm", "--apart", "3"], "apart"),
        (["which", "--studs", "5", "--chord", "67mm", "--look", "a=b"], "--studs"),
        (["balance"], "--arrival"),
        (["balance", "D1", "--arrival", "5000"], "--arrival"),
    ],
)
def test_what_cannot_be_names_the_place_and_the_remedy(words: list[str], place: str) -> None:
    refused = FREE.refusal(*words)
    assert refused["place"] == place
    assert refused["remedy"]


@pytest.mark.parametrize(
    "words",
    [
        ["section", "open", "six", "3", "0.1"],
        ["section", "hat", "6", "3", "0.1"],
        ["arms", "--lower", "10", "27,7", "--upper", "13,17", "25,18", "--wheel", "30,12"],
        ["springs", "--bar", "46.5"],
        ["which", "--studs", "5", "--chord", "67mm@stick"],
        ["which", "--studs", "one", "--chord", "67mm"],
    ],
)
def test_what_cannot_be_read_is_one_line(words: list[str]) -> None:
    assert FREE.line(*words)


def test_a_section_loads_neither_numpy_nor_a_database() -> None:
    code = (
        "import sys\nfrom app.cli import cli\ntry:\n cli(sys.argv[1:])\nfinally:\n print(*sys.modules, file=sys.stderr)"
    )
    words = [sys.executable, "-c", code, "section", "boxed", "6", "3", "0.12"]
    done = subprocess.run(words, cwd=ROOT, env=environment(), capture_output=True, text=True, check=True)
    loaded = {name.partition(".")[0] for name in done.stderr.split()}
    assert not loaded & {"numpy", "scipy", "sqlalchemy", "textual", "PIL"}


def test_an_arm_an_inch_longer_by_both_figures() -> None:
    simple = FREE.says("arms", "--ball-height", "10.50", "--lower-by", "1.00", "--cams", "1.75", "--thread-out", "0.60")
    assert "atan(1.00/10.50): 5.44 degrees" in simple
    assert "short by 0.40 in" in simple
    assert "exact" not in simple
    pivots = ["--lower", "250mm,180mm", "680mm,170mm", "--upper", "330mm,430mm", "640mm,470mm"]
    words = ["arms", *pivots, "--wheel", "760mm,310mm", "--bump", "50mm", "--rebound", "50mm"]
    found = FREE.record(*words, "--lower-by", "1in")
    assert [each["figured"].split(":")[0].split()[0] for each in found["figures"]] == ["simple", "exact"]
    # The reference geometry of tests/references/test_suspension.py.
    assert found["as_it_stands"]["swing_arm_mm"] == pytest.approx(2083.84236453)
    assert found["travel"][-1]["camber_old_deg"] == pytest.approx(-1.55661634)
    assert "exact geometry" in FREE.says(*words)


def test_springs_by_wire_and_bar() -> None:
    assert "28 % stiffer than 0.62 in" in FREE.says("springs", "--wire", "0.660", "--than", "0.620")
    bar = FREE.record("springs", "--bar", "1200mm x 25.4mm round")["bar"]
    # π d⁴G/(32 L) with 79.3 GPa.
    assert bar["rate_nm_per_deg"] == pytest.approx(47.1307195)
    corner = ["--load", "1900", "--arm", "18.25", "--raise", "1"]
    assert "turn the key" in FREE.says("springs", "--bar", "46.5x1.25 hex", *corner)


def test_a_chord_is_a_circle() -> None:
    assert "5 x 4.5 in" in FREE.says("which", "--studs", "5", "--chord", "67.2mm@dial caliper")
    assert FREE.record("which", "--studs", "6", "--chord", "2 3/4")["names"] == ["5.5 in"]


def test_which_of_the_books_designs(yard: Desk) -> None:
    refused = yard.refusal("which", "steering gear")
    assert refused["place"] == "designs"
    found = yard.record("which", "front lower control arm")
    assert found["verdict"] == "several left"
    assert [each["code"] for each in found["designs"]] == ["ARM-LIGHT"]


def test_a_hulk_too_heavy_must_not_leave() -> None:
    words = ["balance", "--arrival", "6540", "--hulk", "4780", "--off", "weighed parts=1592"]
    words += ["--estimated", "rear axle=455", "--estimated", "everything else=165"]
    result = CliRunner().invoke(cli, words)
    assert result.exit_code == 1
    assert "rear axle, 455 lb" in result.stdout
    found = json.loads(CliRunner().invoke(cli, [*words, "--json"]).stdout)
    assert (found["expected_lb"], found["doubt_lb"], found["over_lb"]) == ("4328", "157.92", "452")
    assert status_of(*("4340" if word == "4780" else word for word in words)) == 0


def test_a_hulk_too_light_names_what_may_have_left() -> None:
    words = ["balance", "--arrival", "5000", "--hulk", "4500", "--still-on", "engine=480", "--still-on", "hood=55"]
    said = FREE.says(*words)
    assert "may have left without a tag:" in said
    assert "engine, 480 lb" in said
    assert "hood" not in said


def take_in(yard: Desk) -> str:
    vin = "0DMLW53A68B104417"
    words = ["take-in", "--vin", f"dash={vin}", "--vin", f"door label={vin}", "--model", "longwagon light"]
    found: dict[str, Any] = yard.record(*words, "--price", "900", "--source", "auction")
    return str(found["stock_number"])


def test_the_book_knows_what_a_vehicle_should_weigh(each_yard: Desk) -> None:
    desk = each_yard
    stock = take_in(desk)
    assert "never weighed in" in desk.line("balance", stock)
    desk.record("weigh", "in", stock, "--gross", "25,480", "--tare", "19,860")
    listed = ["harvest", stock, "front lower control arm", "--side", "rh", "--condition", "a"]
    tag = desk.record(*listed, "--weight", "300", "--on-vehicle", "--sure", "weight")["tag"]
    assert "hulk" not in desk.record("balance", stock)["words"]
    found = desk.record("balance", stock, "--hulk", "5320")
    assert (found["verdict"], found["over_lb"]) == ("too light", "-300")
    assert [each["words"] for each in found["suspects"]] == [f"{tag} front lower control arm"]
    light = desk.record("balance", stock, "--hulk", "5525")
    assert "hood, never tagged" in [each["words"] for each in light["suspects"]]
    assert not any("control arm" in each["words"] for each in light["suspects"])


def test_what_the_readme_shows_of_the_bench_works() -> None:
    page = (ROOT / "README.md").read_text(encoding="utf-8")
    block = page.split("These need no book:")[1].split("```sh\n")[1].split("```")[0]
    lines = [shlex.split(line)[1:] for line in block.splitlines()]
    assert len(lines) == 6
    for words in lines:
        assert status_of(*words) == (1 if words[0] == "balance" else 0)
