"""Uncertainty and decisions against the published figures of the GUM, JCGM 106 and the directive on tapes."""

import json
from collections.abc import Callable, Mapping
from math import inf, sqrt
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from app.fit.doubt import (
    DoubtError,
    combined,
    conformance_probability,
    coverage_factor,
    effective_freedom,
    expanded,
    standard,
    tape_limit_mm,
    worst_case,
)

Case = Mapping[str, Any]
SHARED = Path(__file__).parents[2].parent / "shared" / "check_values.json"


def shared(*starts: str) -> list[Any]:
    """The shared cases whose names start so, where their file lies beside the checkout."""
    cases = json.loads(SHARED.read_text(encoding="utf-8")) if SHARED.exists() else []
    return [pytest.param(case, id=case["name"]) for case in cases if case["name"].startswith(starts)]


@pytest.mark.parametrize(
    ("kind", "meters", "limit"),
    [
        # Directive 2014/32/EU, Annex X, chapter I (in the UK, SI 2016/1153, schedule 1I): a + bL, L rounded up to
        # the whole meter. 3, 5 and 8 m also stand so on a tape maker's table.
        ("I", 8, 0.9),
        ("II", 1, 0.5),
        ("II", 1.2, 0.7),
        ("II", 3, 0.9),
        ("II", 5, 1.3),
        ("II", 8, 1.9),
        ("III", 3, 1.8),
        ("III", 5, 2.6),
        ("III", 8, 3.8),
    ],
)
def test_a_tape_may_be_off_by_what_its_class_allows(kind: str, meters: float, limit: float) -> None:
    assert tape_limit_mm(kind, meters * 1000) == pytest.approx(limit, abs=1e-9)


@pytest.mark.parametrize("case", shared("tape MPE"))
def test_the_shared_tapes(case: Case) -> None:
    limit = tape_limit_mm(case["inputs"]["class"], case["inputs"]["L_m"] * 1000)
    assert limit == pytest.approx(case["expected"]["mpe_mm"], abs=1e-9)


@pytest.mark.parametrize(("kind", "more"), [("I", 0.1), ("II", 0.2), ("III", 0.3)])
def test_a_pull_from_the_hook_allows_a_little_more(kind: str, more: float) -> None:
    # Directive 2014/32/EU, Annex X: c is added where the distance starts at the hook.
    assert tape_limit_mm(kind, 2500, from_hook=True) - tape_limit_mm(kind, 2500) == pytest.approx(more)


@given(st.integers(0, 40), st.integers(1, 1000))
def test_a_started_meter_counts_whole(meters: int, over: int) -> None:
    assert tape_limit_mm("II", meters * 1000 + over) == tape_limit_mm("II", meters * 1000 + 1000)


def test_the_end_gauge_of_the_gum() -> None:
    # JCGM 100:2008, H.1: u(ls) 25 nm with 18 degrees of freedom, u(d) 9.7 with 25.6, 2.9 with 50 for the
    # difference of the expansion coefficients, 16.6 (16.7 by the printed factors) with 2 for that of the temperatures.
    length_mm, expansion, off = 50.000623, 11.5e-6, 0.1
    parts = [
        (25.0, 18.0),
        (9.7, 25.6),
        (length_mm * 1e6 * off * 0.58e-6, 50.0),
        (length_mm * 1e6 * expansion * 0.029, 2.0),
    ]
    assert [round(u, 1) for u, _ in parts[2:]] == [2.9, 16.7]
    u, freedom = combined(*(u for u, _ in parts)), effective_freedom(parts)
    assert (round(u), int(freedom)) == (32, 16)
    assert round(u, 2) == 31.71
    assert coverage_factor(0.99, freedom) == pytest.approx(2.92, abs=0.005)
    assert round(expanded(u, 0.99, freedom)) == 93


@pytest.mark.parametrize(
    ("confidence", "freedom", "printed"),
    [
        # JCGM 100:2008, table G.2.
        (0.95, 1, 12.71),
        (0.95, 2, 4.30),
        (0.95, 10, 2.23),
        (0.99, 3, 5.84),
        (0.99, 20, 2.85),
        (0.9545, 50, 2.05),
        (0.9545, inf, 2.000),
        (0.9973, inf, 3.000),
    ],
)
def test_the_coverage_factors_of_the_gum(confidence: float, freedom: float, printed: float) -> None:
    assert coverage_factor(confidence, freedom) == pytest.approx(printed, abs=0.006)


@given(st.floats(0.01, 0.999), st.integers(1, 200))
def test_the_coverage_factor_is_students(confidence: float, freedom: int) -> None:
    assert coverage_factor(confidence, freedom) == pytest.approx(stats.t.ppf((1 + confidence) / 2, freedom), rel=1e-8)


@pytest.mark.parametrize(
    ("value", "u", "low", "high", "printed"),
    [
        # JCGM 106:2012, examples 7.4 and 7.3.3: limits and readings from memory, probabilities recomputed.
        (13.6, 1.8, 12.5, 16.3, 0.66263),
        (-5.47, 0.05, None, -5.40, 0.91924),
        # Guarded acceptance: how likely a reading at the acceptance limit keeps it, with a guard of 1.645 u and 2 u.
        (10 - 1.645 * 0.3, 0.3, None, 10, 0.95002),
        (10 - 2.0 * 0.3, 0.3, None, 10, 0.97725),
        # A reading on the limit is as likely in as out (ILAC-G8, simple acceptance).
        (5.0, 0.2, 5.0, None, 0.5),
    ],
)
def test_how_likely_a_value_keeps_its_limits(
    value: float, u: float, low: float | None, high: float | None, printed: float
) -> None:
    assert conformance_probability(value, u, low, high) == pytest.approx(printed, abs=1e-5)


def _conformance(case: Case) -> None:
    given_ = case["inputs"]
    low, high = given_.get("TL", [None, given_.get("TU")])
    assert conformance_probability(given_["y"], given_["u"], low, high) == pytest.approx(
        case["expected"]["pc"], abs=case["tolerance"]
    )


def _guarded(case: Case) -> None:
    for wide, printed in zip(case["inputs"]["w_over_u"], case["expected"]["pc_at_acceptance_limit"], strict=True):
        assert conformance_probability(-wide, 1.0, None, 0.0) == pytest.approx(printed, abs=case["tolerance"])


_CHECKS: Mapping[str, Callable[[Case], None]] = {"conformance": _conformance, "guarded": _guarded}


@pytest.mark.parametrize("case", shared("conformance probability", "guarded acceptance"))
def test_the_shared_decisions(case: Case) -> None:
    _CHECKS[case["name"].split()[0]](case)


@given(st.floats(-50, 50), st.floats(0.01, 20), st.floats(-30, 0), st.floats(0, 30))
def test_the_probability_is_the_normal_laws(value: float, u: float, low: float, high: float) -> None:
    law = stats.norm(value, u)
    expected = law.cdf(high) - law.cdf(low)
    assert conformance_probability(value, u, low, high) == pytest.approx(expected, abs=1e-12)


@given(st.lists(st.floats(0, 100), min_size=1, max_size=6))
def test_squares_never_come_to_more_than_the_worst_case(doubts: list[float]) -> None:
    assert max(doubts) <= combined(*doubts) * (1 + 1e-12)
    assert combined(*doubts) <= worst_case(*doubts) * (1 + 1e-12)


def test_a_limit_is_worth_a_standard_uncertainty() -> None:
    # JCGM 100:2008, 4.3.7: a rectangular law.
    assert standard(3.0) == pytest.approx(sqrt(3.0))


def test_without_doubt_it_is_yes_or_no() -> None:
    assert [conformance_probability(value, 0.0, 0.0, 1.0) for value in (0.5, 1.0, 1.1)] == [1.0, 1.0, 0.0]


IMPOSSIBLE: list[Callable[[], float]] = [
    lambda: tape_limit_mm("IV", 100),
    lambda: tape_limit_mm("II", -1),
    lambda: worst_case(1.0, -0.1),
    lambda: combined(float("nan")),
    lambda: coverage_factor(1.0),
    lambda: coverage_factor(0.9, 0.5),
    lambda: effective_freedom([(1.0, 0.0)]),
    lambda: conformance_probability(1.0, 1.0, 2.0, 1.0),
]


@pytest.mark.parametrize("asked", IMPOSSIBLE)
def test_what_cannot_be_is_refused(asked: Callable[[], float]) -> None:
    with pytest.raises(DoubtError) as caught:
        asked()
    assert caught.value.remedy
