"""What a question is expected to tell, against SciPy's entropy."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.fit.information import entropy, expected_information, told_of

weights = st.lists(st.floats(0, 1000, allow_nan=False), min_size=1, max_size=8).filter(lambda each: sum(each) > 1e-6)
tables = st.dictionaries(
    st.sampled_from(["square", "oval", "round", "none"]),
    st.dictionaries(st.sampled_from(["up", "in", "no"]), st.integers(0, 20).map(float), min_size=1),
    min_size=1,
).filter(lambda table: any(weight for outcomes in table.values() for weight in outcomes.values()))


@given(weights)
def test_entropy_is_scipys(given_weights: list[float]) -> None:
    """scipy.stats.entropy with base 2 normalizes weights the same way."""
    stats = pytest.importorskip("scipy.stats")
    assert entropy(given_weights) == pytest.approx(float(stats.entropy(given_weights, base=2)), abs=1e-9)


@given(tables)
def test_what_a_fact_tells_is_the_mutual_information_by_scipys_entropies(table: dict[str, dict[str, float]]) -> None:
    """I(value; outcome) = H(value) + H(outcome) - H(both), each by scipy.stats.entropy."""
    stats = pytest.importorskip("scipy.stats")
    names = sorted({outcome for outcomes in table.values() for outcome in outcomes})
    both = [[outcomes.get(name, 0.0) for name in names] for outcomes in table.values()]
    by_value = [sum(row) for row in both]
    by_outcome = [sum(column) for column in zip(*both, strict=True)]
    joint = [weight for row in both for weight in row]
    expected = sum(float(stats.entropy(each, base=2)) for each in (by_value, by_outcome))
    expected -= float(stats.entropy(joint, base=2))
    assert expected_information(table) == pytest.approx(expected, abs=1e-9)


@given(tables)
def test_a_fact_tells_no_less_than_nothing_and_no_more_than_there_is(table: dict[str, dict[str, float]]) -> None:
    outcomes: dict[str, float] = {}
    for row in table.values():
        for name, weight in row.items():
            outcomes[name] = outcomes.get(name, 0.0) + weight
    assert 0 <= expected_information(table) <= entropy(outcomes.values()) + 1e-9


@pytest.mark.parametrize(
    ("grades", "bits"),
    [
        ({"square": {"up"}, "oval": {"no"}}, 1.0),
        ({"square": {"up"}, "oval": {"up"}}, 0.0),
        ({"a": {"up"}, "b": {"in"}, "c": {"work"}, "d": {"no"}}, 2.0),
        ({"square": {"up", "no"}, "oval": {"up", "no"}}, 0.0),
    ],
)
def test_a_plug_that_decides_tells_one_bit(grades: dict[str, set[str]], bits: float) -> None:
    assert told_of(grades) == pytest.approx(bits)


def test_weights_below_zero_are_no_weights() -> None:
    with pytest.raises(ValueError, match="below zero"):
        entropy([1.0, -1.0])
    with pytest.raises(ValueError, match="below zero"):
        entropy([0.0])
