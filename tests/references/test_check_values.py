"""Published values for VINs, weights and money; each case carries its source and how it was verified.

The cases stand in values.json. Where the folder ../shared lies next to the checkout, its file runs too.
"""

import json
from collections.abc import Callable, Mapping
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

from app.fit.vin import TRANSLITERATION, WEIGHTS, YEAR_CODES, check_digit, read_vin, weighted_sum
from app.fit.weights import KG_PER_LB, round_cents

Case = Mapping[str, Any]

HERE = Path(__file__).parent
FILES = (HERE / "values.json", HERE.parents[1].parent / "shared" / "check_values.json")
TOPICS = ("vin", "weights", "money")

NOT_CLAIMED = ("HB44 class III", "vehicle scale minimum net load", "class III L parameters")
"""Scale tolerances and loads: the yard's program states none of them, an inspector does."""


def cases() -> list[Any]:
    """Every case of these topics, from the checkout's file and, where it is there, the shared one."""
    found = []
    for path in FILES:
        for case in json.loads(path.read_text(encoding="utf-8")) if path.exists() else ():
            if case["topic"] in TOPICS and not case["name"].startswith(NOT_CLAIMED):
                found.append(pytest.param(case, id=f"{path.stem}: {case['name']}"))
    return found


def a_check_digit(case: Case) -> None:
    vin, expected = case["inputs"]["vin"], case["expected"]
    assert weighted_sum(vin) == expected["weighted_sum"]
    assert weighted_sum(vin) % 11 == expected["remainder"]
    assert check_digit(vin) == expected["check_digit"]
    assert read_vin(vin).ok is expected["valid"]


def the_transliteration(case: Case) -> None:
    letters = {symbol: value for symbol, value in TRANSLITERATION.items() if symbol.isalpha()}
    assert letters == case["expected"]
    assert all(TRANSLITERATION[str(digit)] == digit for digit in range(10))


def the_weights(case: Case) -> None:
    assert list(WEIGHTS) == case["expected"]


def the_year_codes(case: Case) -> None:
    marker = "A" if "2010" in case["name"] else "5"
    years = {code: read_vin(f"000000{marker}00{code}0000000").years for code in YEAR_CODES}
    assert years == {code: (year,) for code, year in case["expected"].items()}


def the_position_7_rule(case: Case) -> None:
    for given, expected in zip(case["inputs"]["cases"], case["expected"], strict=True):
        vin = f"000000{given['pos7']}00{given['pos10']}0000000"
        years = read_vin(vin, light=given["class"] == "car").years
        if isinstance(expected, int):
            assert years == (expected,)
        else:
            assert expected == f"ambiguous: {years[0]} or {years[1]}"


def the_blind_spots(case: Case) -> None:
    pairs = list(combinations(TRANSLITERATION, 2))
    alike = [pair for pair in pairs if (TRANSLITERATION[pair[0]] - TRANSLITERATION[pair[1]]) % 11 == 0]
    assert len(pairs) == case["expected"]["of_pairs"]
    assert len(alike) == case["expected"]["pairs_of_symbols_with_equal_value_mod_11"]


def the_pound(case: Case) -> None:
    assert Fraction(case["expected"]) == KG_PER_LB


def a_rounding(case: Case) -> None:
    cents = Decimal(case["inputs"]["x"]) * 100
    assert round_cents(cents) == Decimal(case["expected"]["ROUND_HALF_UP"]) * 100
    assert cents.quantize(Decimal(1), ROUND_HALF_EVEN) == Decimal(case["expected"]["ROUND_HALF_EVEN"]) * 100


def the_float_trap(case: Case) -> None:
    assert round(2.675, 2) == case["expected"]
    assert round_cents(Decimal("267.5")) == 268


def a_sales_tax(case: Case) -> None:
    exact = Decimal(case["inputs"]["amount"]) * Decimal(case["inputs"]["rate"])
    assert exact == Decimal(case["expected"]["exact"])
    assert round_cents(exact * 100) == Decimal(case["expected"]["tax"]) * 100


def item_or_invoice(case: Case) -> None:
    rate = Decimal(case["inputs"]["rate"]) * 100
    taxes = [Decimal(amount) * rate for amount in case["inputs"]["amounts"]]
    assert sum(round_cents(tax) for tax in taxes) == Decimal(case["expected"]["item_basis"]) * 100
    assert round_cents(sum(taxes, Decimal(0))) == Decimal(case["expected"]["invoice_basis"]) * 100


CHECKS: Mapping[str, Callable[[Case], None]] = {
    "check_digit": a_check_digit,
    "transliteration": the_transliteration,
    "weights": the_weights,
    "year_codes": the_year_codes,
    "year_rule_position7": the_position_7_rule,
    "blind_spots": the_blind_spots,
    "kg per lb": the_pound,
    "round ": a_rounding,
    "float trap": the_float_trap,
    "sales tax rule": a_sales_tax,
    "item versus invoice": item_or_invoice,
}


@pytest.mark.parametrize("case", cases())
def test_a_published_value_comes_out(case: Case) -> None:
    checks = [check for name, check in CHECKS.items() if case["name"].startswith(name)]
    assert len(checks) == 1, f"no check for {case['name']}"
    checks[0](case)
