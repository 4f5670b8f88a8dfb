"""Bars and coils: rate, key and ride height."""

from __future__ import annotations

from math import cos, pi, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.fit.suspension.geometry import SuspensionError
from app.fit.suspension.springs import (
    BarShape,
    Corner,
    TorsionBar,
    coil_rate,
    key_turn_deg,
    length_for_rate,
    stiffer_by_wire,
    swap_bar,
    wire_words,
)

INCH = 25.4
HEX = TorsionBar(46.50 * INCH, 1.25 * INCH, BarShape.HEX)
SHORTER = TorsionBar(44.75 * INCH, 1.25 * INCH, BarShape.HEX)
CORNER = Corner(8450, 18.25 * INCH, -6)


def test_a_hex_bar_is_stiffer_than_the_round_one_inside_it_and_softer_than_the_one_around_it() -> None:
    around = 2 / 3**0.5
    inside, outside = (TorsionBar(1000, size, BarShape.ROUND).rate for size in (25.4, 25.4 * around))
    assert inside < TorsionBar(1000, 25.4, BarShape.HEX).rate < outside


@given(st.floats(500, 2000), st.floats(15, 40), st.floats(0.5, 2))
def test_the_length_for_a_rate_gives_that_rate(length: float, size: float, times: float) -> None:
    bar = TorsionBar(length, size)
    other = length_for_rate(bar, bar.rate * times)
    assert TorsionBar(other, size).rate == pytest.approx(bar.rate * times)


def test_a_shorter_bar_is_stiffer_asks_for_less_key_and_lifts_the_corner() -> None:
    found = swap_bar(HEX, SHORTER, CORNER)
    assert found.rate_ratio == pytest.approx(46.50 / 44.75)
    assert found.key_deg < 0
    assert found.key_deg == pytest.approx(found.twist_old_deg * (44.75 / 46.50 - 1))
    assert found.sinks_mm < 0


@given(st.floats(0.8, 1.25), st.floats(-15, 15))
def test_where_the_arm_settles_bar_and_load_are_in_balance(ratio: float, angle: float) -> None:
    corner = Corner(8450, 463.55, angle)
    new = TorsionBar(HEX.length_mm * ratio, HEX.size_mm, BarShape.HEX)
    found = swap_bar(HEX, new, corner)
    turned = 0.0
    for _ in range(200):  # a fixed point instead of halving
        turned = corner.torque(turned) / new.rate - radians(found.twist_old_deg)
    assert found.sinks_mm == pytest.approx(corner.rise(turned), abs=1e-6)


def test_the_same_bar_changes_nothing() -> None:
    found = swap_bar(HEX, HEX, CORNER)
    assert (found.key_deg, found.sinks_mm) == pytest.approx((0, 0), abs=1e-9)


@given(st.floats(-40, 40))
def test_raising_and_lowering_by_the_key_are_one_move(raise_mm: float) -> None:
    up = key_turn_deg(HEX, Corner(8450, 463.55, 0), raise_mm)
    assert (up > 0) == (raise_mm > 0) or abs(raise_mm) < 1e-9
    assert key_turn_deg(HEX, Corner(8450, 463.55, 0), 0) == pytest.approx(0)


def test_a_bar_far_too_soft_is_refused() -> None:
    with pytest.raises(SuspensionError) as caught:
        swap_bar(HEX, TorsionBar(1000, 5), CORNER)
    assert caught.value.place == "new bar"


def test_a_raise_beyond_the_arm_is_refused() -> None:
    with pytest.raises(SuspensionError) as caught:
        key_turn_deg(HEX, CORNER, 600)
    assert caught.value.place == "raise"


def test_the_torque_is_load_by_lever() -> None:
    assert CORNER.torque() == pytest.approx(8450 * 18.25 * INCH * cos(radians(6)))
    assert HEX.twist_deg(CORNER.torque()) == pytest.approx(CORNER.torque() / HEX.rate * 180 / pi)


@pytest.mark.parametrize(("ratio", "said"), [(1.284, "28 % stiffer"), (0.779, "22 % softer"), (1.001, "the same rate")])
def test_wires_are_said_in_percent(ratio: float, said: str) -> None:
    assert wire_words(ratio) == said


def test_sizes_that_cannot_be_name_their_place() -> None:
    for make, place in (
        (lambda: TorsionBar(0, 25), "bar length"),
        (lambda: TorsionBar(1000, -1), "bar size"),
        (lambda: Corner(0, 400), "load"),
        (lambda: Corner(5000, 400, 75), "arm angle"),
        (lambda: coil_rate(20, 15, 6), "wire"),
        (lambda: coil_rate(15, 140, 0), "turns"),
        (lambda: stiffer_by_wire(0.66, 0), "other wire"),
    ):
        with pytest.raises(SuspensionError) as caught:
            make()
        assert caught.value.place == place
