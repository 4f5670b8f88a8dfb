"""Odds of look-alikes against SciPy."""

from __future__ import annotations

from math import log, log2, sqrt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from app.fit.lookalikes.asking import Ask, expected_bits
from app.fit.lookalikes.odds import entropy_bits, posterior
from app.fit.lookalikes.readings import Design, Reading, Size

shares = st.lists(st.floats(0.001, 1), min_size=1, max_size=12).map(lambda raw: [each / sum(raw) for each in raw])


@given(shares)
def test_what_is_open_is_shannons_entropy(odds: list[float]) -> None:
    assert entropy_bits(odds) == pytest.approx(stats.entropy(odds, base=2), abs=1e-12)


def by_length(*sizes: float) -> list[Design]:
    return [Design(f"D{number}", f"design {number}", {"length": Size(mm)}) for number, mm in enumerate(sizes)]


@pytest.mark.parametrize("sizes", [(100, 102), (100, 101, 103), (100, 100.5, 140)])
def test_odds_after_a_reading_are_bayes_with_the_normal_law(sizes: tuple[float, ...]) -> None:
    # A limit u has the standard uncertainty u/√3 (JCGM 100:2008, 4.3.7); here misreads are as rare as can be.
    reading, u = 101.0, 1.5875
    found = posterior(by_length(*sizes), [Reading("length", Size(reading, u))], misread=1e-15)
    raw = [stats.norm.pdf(reading, mm, u / sqrt(3)) for mm in sizes]
    assert found == pytest.approx([each / sum(raw) for each in raw], abs=1e-9)


@pytest.mark.parametrize(("apart", "u"), [(0.5, 1.5875), (2.0, 1.5875), (10.0, 1.5875), (0.3, 0.127)])
def test_what_a_length_is_expected_to_tell_is_mutual_information(apart: float, u: float) -> None:
    # Entropy of the mixture less that of the normal law, by adaptive quadrature.
    odds, sigma = (0.3, 0.7), u / sqrt(3)
    means = (100.0, 100.0 + apart)

    def surprise(x: float) -> Any:
        density = sum(share * stats.norm.pdf(x, mean, sigma) for share, mean in zip(odds, means, strict=True))
        return -density * log2(density) if density > 0 else 0.0

    ends = (means[0] - 8 * sigma, means[1] + 8 * sigma)
    mixed, _ = integrate.quad(surprise, *ends, points=list(means), limit=400)
    expected = mixed - stats.norm(scale=sigma).entropy() / log(2)
    found = expected_bits(by_length(*means), odds, Ask("length", 3, u), misread=1e-15)
    assert found == pytest.approx(expected, abs=1e-6)
