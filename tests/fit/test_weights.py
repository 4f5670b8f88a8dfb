"""Weights and prices on the yard's own tickets; the pound is 0.45359237 kg by definition."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.fit.weights import (
    Deduction,
    DeductionKind,
    Fluid,
    NothingLeft,
    NothingWeighed,
    OffDivision,
    TareOverGross,
    UnitsDiffer,
    Weight,
    WeightError,
    WeightUnit,
    as_decimal,
    fluid_weight,
    net,
    on_division,
    price,
    price_in,
    round_cents,
)


def lb(value: str) -> Weight:
    return Weight(Decimal(value))


@pytest.mark.parametrize(
    ("gross", "tare", "expected"),
    [("25480", "19860", "5620"), ("24900", "18420", "6480"), ("21180", "18420", "2760")],
)
def test_net_is_gross_less_tare(gross: str, tare: str, expected: str) -> None:
    assert net(lb(gross), lb(tare), division=Decimal(20)) == lb(expected)


def test_a_tare_over_the_gross_is_refused_and_the_swap_offered() -> None:
    with pytest.raises(TareOverGross) as caught:
        net(lb("18420"), lb("21180"), division=Decimal(20))
    assert caught.value.would_be == -2760
    assert "-2,760" in caught.value.title
    assert net(*caught.value.swapped) == lb("2760")


def test_a_reading_between_two_steps_is_refused_with_both() -> None:
    with pytest.raises(OffDivision) as caught:
        net(lb("21985"), lb("18420"), division=Decimal(20))
    assert caught.value.in_one_line() == (
        "21,985 is not a multiple of 20. Read the scale again: it shows 21,980 or 22,000"
    )
    assert on_division(Decimal("21.5"), Decimal("0.5"))
    assert not on_division(Decimal("21.3"), Decimal("0.5"))


def test_nothing_weighed_and_two_units_are_refused() -> None:
    with pytest.raises(NothingWeighed):
        net(lb("18420"), lb("18420"))
    with pytest.raises(UnitsDiffer):
        net(lb("18420"), Weight(Decimal(8000), WeightUnit.KG))


@pytest.mark.parametrize("value", ["-1", "NaN", "Infinity"])
def test_a_weight_below_zero_or_without_figures_is_none(value: str) -> None:
    with pytest.raises(WeightError):
        lb(value)
    with pytest.raises(WeightError):
        Deduction("dirt", Decimal(value))


def test_deductions_come_off_and_leave_something() -> None:
    dirt = Deduction("dirt", Decimal("2.5"), DeductionKind.PERCENT)
    tires = Deduction("4 tires", Decimal(88))
    assert net(lb("25480"), lb("19860"), [dirt, tires]) == lb("5391.5")
    with pytest.raises(NothingLeft):
        net(lb("100"), lb("20"), [Deduction("wood", Decimal(80))])


def test_the_bid_sums_come_out_to_the_cent() -> None:
    assert price(Decimal(3069), 20_500, WeightUnit.GROSS_TON) == 28_087
    assert price(lb("3069"), 20_500, WeightUnit.GROSS_TON) == 28_087


def test_212_a_gross_ton_is_9_46_cents_a_pound_and_189_29_a_net_ton() -> None:
    by_pound = price_in(21_200, WeightUnit.GROSS_TON, WeightUnit.LB)
    by_net_ton = price_in(21_200, WeightUnit.GROSS_TON, WeightUnit.NET_TON)
    assert as_decimal(by_pound).quantize(Decimal("0.01")) == Decimal("9.46")
    assert round_cents(by_net_ton) == 18_929


@pytest.mark.parametrize(
    ("value", "unit", "kg"),
    [
        # Definitions: pound 0.45359237 kg, net ton 2,000 lb, gross ton 2,240 lb.
        ("1", WeightUnit.LB, "0.45359237"),
        ("1", WeightUnit.NET_TON, "907.18474"),
        ("1", WeightUnit.GROSS_TON, "1016.0469088"),
        ("1", WeightUnit.TONNE, "1000"),
    ],
)
def test_a_unit_is_exactly_its_kilograms(value: str, unit: WeightUnit, kg: str) -> None:
    assert Weight(Decimal(value), unit).to(WeightUnit.KG).value == Decimal(kg)


def test_a_tonne_is_2204_62_pounds() -> None:
    # 2,204.62262184877... lb, by the definition of the pound.
    pounds = Weight(Decimal(1), WeightUnit.TONNE).to(WeightUnit.LB).value
    assert str(pounds).startswith("2204.62262184877")


weights = st.decimals(0, 200_000, places=2)


@given(weights, st.sampled_from(list(WeightUnit)))
def test_pounds_to_kilograms_and_back_are_the_same_pounds(value: Decimal, unit: WeightUnit) -> None:
    weight = Weight(value)
    assert abs(weight.to(unit).pounds - weight.pounds) < Fraction(1, 10**18)
    assert weight.to(WeightUnit.KG).to(WeightUnit.LB) == weight


@given(weights, st.integers(0, 1_000_000), st.sampled_from([WeightUnit.NET_TON, WeightUnit.LB]))
def test_a_price_is_rounded_once_and_half_up(value: Decimal, cents: int, unit: WeightUnit) -> None:
    per = 2000 if unit is WeightUnit.NET_TON else 1
    assert price(value, cents, unit) == (value * cents / per).quantize(Decimal(1), ROUND_HALF_UP)


def test_a_sum_below_zero_is_not_rounded() -> None:
    with pytest.raises(ValueError, match="below zero"):
        round_cents(-1)


def test_drained_fluids_weigh_what_the_yard_reckons() -> None:
    # Pounds a gallon are common practice, no source; the two sums are the yard's own book of one day.
    first = {Fluid.GASOLINE: "11.5", Fluid.ENGINE_OIL: "1.5", Fluid.COOLANT: "4.0", Fluid.GEARBOX_FLUID: "2.5"}
    second = {Fluid.GASOLINE: "4.0", Fluid.ENGINE_OIL: "1.0", Fluid.COOLANT: "1.5", Fluid.GEARBOX_FLUID: "2.0"}
    for gallons, pounds in ((first, "134.95"), (second, "59.65")):
        assert sum(fluid_weight(kind, Decimal(g)) for kind, g in gallons.items()) == Decimal(pounds)
    assert fluid_weight(Fluid.DIESEL, Decimal(20)) == 142


def test_the_yards_own_table_counts_and_less_than_nothing_is_refused() -> None:
    assert fluid_weight(Fluid.COOLANT, Decimal(2), {Fluid.COOLANT: Decimal(9)}) == 18
    with pytest.raises(WeightError):
        fluid_weight(Fluid.COOLANT, Decimal(-1))
