"""`donorbook vin` against published values; a test of the words is in the tests of the computation."""

from __future__ import annotations

import json

from click.testing import CliRunner

from app.cli import cli

EXAMPLE = "1G4AH59H45G118341"
"""The worked example of 49 CFR 565.15(c): its products add up to 411, and 411 leaves 4 over a multiple of 11."""


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(cli, ["vin", *words])
    return result.exit_code, result.stdout


def record(*words: str) -> dict[str, object]:
    found = json.loads(run(*words, "--json")[1])
    assert isinstance(found, dict)
    return found


def test_the_regulations_example_is_valid_with_its_sum_and_check_digit() -> None:
    status, said = run(EXAMPLE)
    assert status == 0
    assert "check digit  4, sum 411" in said
    found = record(EXAMPLE)
    assert (found["valid"], found["check_digit"], found["weighted_sum"]) == (True, "4", 411)


def test_the_year_is_one_for_light_vehicles_and_two_where_the_class_leaves_it_open() -> None:
    # Table VII of 49 CFR 565.15: 5 in position 10 is 2005, thirty years on 2035; a digit in position 7 is the first.
    assert record(EXAMPLE)["years"] == [2005]
    for option in ("--heavy", "--unknown-class"):
        found = record(EXAMPLE, option)
        assert found["years"] == [2005, 2035]
        assert any("model year" in str(each) for each in found["unknowns"])  # type: ignore[attr-defined]


def test_a_wrong_one_says_why_and_what_may_have_been_meant_and_leaves_status_1() -> None:
    status, said = run(EXAMPLE.replace("G1", "61"))
    assert status == 1
    assert "check digit typed 4" in said
    assert EXAMPLE in said
    assert "read the plate again" in said
    swapped = record(EXAMPLE[:5] + EXAMPLE[6] + EXAMPLE[5] + EXAMPLE[7:])
    assert EXAMPLE in [each["vin"] for each in swapped["suggestions"]]  # type: ignore[attr-defined]


def test_letters_that_are_never_in_a_vin_and_a_wrong_length_are_named_by_position() -> None:
    status, said = run(EXAMPLE[:14] + "O" + EXAMPLE[15:])
    assert status == 1
    assert "position 15: O is never in a VIN" in said
    assert "16 characters, a VIN has 17" in run(EXAMPLE[:16])[1]
