"""What a hulk should weigh; the doubt is the yard's setting (common practice, no source)."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.fit.mass import STOPS, How, MassVerdict, Removal, StillOn, balance
from app.fit.weights import WeightError


def off(words: str, weight: str, how: How = How.WEIGHED, *, missing: bool = False) -> Removal:
    return Removal(words, Decimal(weight), how, missing)


V1_DRAINED = (off("fluids", "134.95", How.METERED), off("refrigerant", "2.6"), off("battery", "41.0"))
V1_PARTS = (
    off("weighed parts", "318.5"),
    off("catalytic converter", "14.0"),
    off("rear axle", "430", How.ESTIMATED),
    off("hood", "62", How.ESTIMATED),
    off("engine", "575", How.ESTIMATED),
)
V3 = (
    off("fluids", "59.65", How.METERED),
    off("refrigerant", "1.1"),
    off("battery", "33.0"),
    off("weighed parts", "93.5"),
    off("catalytic converter", "9.0"),
    off("automatic transaxle", "165", How.ESTIMATED),
)
HEAVY = (
    off("weighed and metered", "1592"),
    off("rear axle 4.10", "455", How.ESTIMATED),
    off("everything else", "165", How.ESTIMATED),
)


@pytest.mark.parametrize(
    ("arrival", "removals", "expected", "doubt"),
    [
        ("5620", V1_DRAINED, "5441.45", "81.7855"),
        ("5620", V1_DRAINED + V1_PARTS, "4041.95", "191.8105"),
        ("2760", V3[:3], "2666.25", "80.9375"),
        ("2760", V3, "2398.75", "98.4625"),
        ("5000", (), "5000", "80"),
    ],
)
def test_the_hulk_should_weigh_arrival_less_what_came_off(
    arrival: str, removals: tuple[Removal, ...], expected: str, doubt: str
) -> None:
    found = balance(Decimal(arrival), removals)
    assert (found.expected, found.doubt) == (Decimal(expected), Decimal(doubt))
    assert (found.verdict, found.hulk_net) == (MassVerdict.NOT_WEIGHED, None)


@pytest.mark.parametrize(
    ("hulk", "verdict"),
    [
        ("4041.95", MassVerdict.AS_EXPECTED),
        ("4233.7605", MassVerdict.AS_EXPECTED),
        ("4233.7606", MassVerdict.TOO_HEAVY),
        ("3850.1395", MassVerdict.AS_EXPECTED),
        ("3850.1394", MassVerdict.TOO_LIGHT),
        ("5620", MassVerdict.TOO_HEAVY),
        ("5640", MassVerdict.HEAVIER_THAN_ARRIVAL),
    ],
)
def test_the_scale_agrees_within_the_doubt_and_no_further(hulk: str, verdict: MassVerdict) -> None:
    found = balance(Decimal(5620), V1_DRAINED + V1_PARTS, hulk_net=Decimal(hulk))
    assert found.verdict is verdict
    assert verdict in found.words
    assert ("stop" in found.words) is (verdict in STOPS)


def test_one_step_over_arrival_with_nothing_off_is_the_scale_and_no_other_hulk() -> None:
    assert balance(Decimal(5000), (), hulk_net=Decimal(5020)).verdict is MassVerdict.AS_EXPECTED


def test_the_axle_tagged_and_never_pulled_is_named() -> None:
    found = balance(Decimal(6540), HEAVY, hulk_net=Decimal(4780))
    assert (found.expected, found.doubt, found.over) == (Decimal(4328), Decimal("157.92"), Decimal(452))
    assert [s.words for s in found.suspects] == ["rear axle 4.10"]
    assert "look for rear axle 4.10 (455 lb)" in found.words


def test_what_is_reported_missing_is_named_first() -> None:
    near, gone = off("door", "90"), off("tailgate", "72", missing=True)
    fluid = off("coolant", "90", How.METERED)
    found = balance(Decimal(3000), (near, gone, fluid), hulk_net=Decimal(2820))
    assert found.verdict is MassVerdict.AS_EXPECTED
    assert found.suspects == ()
    found = balance(Decimal(3000), (near, gone, fluid), Decimal(10), hulk_net=Decimal(2840))
    assert found.suspects == (gone, near)


@given(st.lists(st.builds(Removal, st.just("part"), st.decimals(0, 900, places=1), st.sampled_from(How))))
def test_one_more_part_off_makes_the_hulk_lighter_and_the_doubt_no_smaller(removals: list[Removal]) -> None:
    before = balance(Decimal(9000), removals)
    after = balance(Decimal(9000), [*removals, off("one more", "40")])
    assert after.expected == before.expected - 40
    assert after.doubt >= before.doubt
    assert before.expected + before.removed == before.arrival_net


def test_less_than_nothing_never_came_off() -> None:
    with pytest.raises(WeightError):
        off("battery", "-41")


LISTED = (StillOn("P7K3M83 rear axle", Decimal(455)), StillOn("P7K3M9H hood", Decimal(55)))


def test_what_left_without_a_tag_is_named_by_weight() -> None:
    found = balance(Decimal(5000), (), hulk_net=Decimal(4560), still_on=LISTED)
    assert found.verdict is MassVerdict.TOO_LIGHT
    assert [each.words for each in found.suspects] == ["P7K3M83 rear axle"]
    assert "may have left: P7K3M83 rear axle (455 lb)" in found.words


def test_tagged_ones_are_named_before_kinds_that_were_never_tagged() -> None:
    kinds = (StillOn("engine, never tagged", Decimal(440), tagged=False), LISTED[0])
    found = balance(Decimal(5000), (), hulk_net=Decimal(4560), still_on=kinds)
    assert [each.words for each in found.suspects] == ["P7K3M83 rear axle", "engine, never tagged"]


def test_two_together_are_named_where_no_single_one_weighs_so_much() -> None:
    two = (StillOn("gearbox", Decimal(300)), StillOn("rear axle", Decimal(455)), StillOn("hood", Decimal(55)))
    found = balance(Decimal(6000), (), Decimal(5), hulk_net=Decimal(5240), still_on=two)
    assert found.suspects[0].words == "gearbox and rear axle"


def test_a_shortfall_that_nothing_weighs_names_nobody() -> None:
    found = balance(Decimal(6000), (), hulk_net=Decimal(3000), still_on=LISTED)
    assert (found.verdict, found.suspects) == (MassVerdict.TOO_LIGHT, ())


@given(
    st.lists(st.builds(StillOn, st.just("part"), st.decimals(1, 900, places=1)), max_size=8),
    st.decimals(0, 5000, places=0),
)
def test_only_what_weighs_about_the_shortfall_is_suspected(still_on: list[StillOn], hulk: Decimal) -> None:
    found = balance(Decimal(5000), (), hulk_net=hulk, still_on=still_on)
    if found.verdict is not MassVerdict.TOO_LIGHT:
        assert found.suspects == ()
    short = Decimal(5000) - hulk
    assert all(abs(each.weight_lb - short) <= found.doubt + each.weight_lb / 10 for each in found.suspects)


def test_a_part_still_on_weighs_something() -> None:
    with pytest.raises(WeightError):
        StillOn("hood", Decimal(0))
