"""Fits worked out from what was measured on both, where no rule is written. The casebook's figures, invented parts."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.fit.computed_lengths import Allowance, allowances_of, computed_fit
from app.fit.known import FactInfo, Known
from app.fit.rules import Condition, Direction, End, Op, Rule, RuleKind, RuleState
from app.fit.tape import TapeOutcome, decide
from app.fit.terms import FactKind, Grade

EIGHTH, SIXTEENTH = 25.4 / 8, 25.4 / 16
FACTS = {
    "glass length": FactInfo("glass length", FactKind.LENGTH, "in"),
    "glass width": FactInfo("glass width", FactKind.LENGTH, "in"),
    "shaft length": FactInfo("shaft length", FactKind.LENGTH, "in"),
    "cap to cap": FactInfo("cap to cap", FactKind.LENGTH, "in", ("3.22 in", "3.62 in")),
    "splines": FactInfo("splines", FactKind.COUNT),
    "plug": FactInfo("plug", FactKind.CHOICE, choices=("square", "oval")),
}
GLASS = ("glass length", "glass width")
SLIP = {"shaft length": Allowance("shaft length needed", "0.50 in")}


def taped(value: str, doubt: float = SIXTEENTH) -> Known:
    return Known(value, doubt, "customer")


def test_without_the_customers_size_nothing_is_computed() -> None:
    """The sunroof glass of the casebook: its own size is known, the target's is not. It stays never compared."""
    ours = {"glass length": taped("31.5 in"), "glass width": taped("17.0 in")}
    assert computed_fit(ours, {}, GLASS, FACTS) is None


def test_the_same_size_by_tape_is_tried_and_not_promised() -> None:
    """ "Measure yours; if it's 31 and a half by 17 we'll try it." """
    ours = {"glass length": taped("31.5 in"), "glass width": taped("17.0 in")}
    found = computed_fit(ours, {"glass length": taped("31 1/2"), "glass width": taped("17")}, GLASS, FACTS)
    assert found is not None
    assert found.grade is Grade.MEASURE
    assert "difference 0.00" in found.words
    assert "doubt 0.125" in found.words


def test_a_glass_two_inches_short_does_not_fit_and_every_figure_is_said() -> None:
    ours = {"glass length": taped("31.5 in"), "glass width": taped("17.0 in")}
    found = computed_fit(ours, {"glass length": taped("33.5"), "glass width": taped("19")}, GLASS, FACTS)
    assert found is not None
    assert found.grade is Grade.WONT_FIT
    assert found.words.count("difference 2.00") == 2


@pytest.mark.parametrize(
    ("measured", "grade"),
    [("52.25", Grade.BOLTS_UP), ("52.50", Grade.BOLTS_UP), ("52.70", Grade.MEASURE), ("52.95", Grade.WONT_FIT),
     ("53.00", Grade.WONT_FIT)],
)  # fmt: skip
def test_shafts_by_the_slip_that_rules_allow(measured: str, grade: Grade) -> None:
    """The casebook's five shafts against 52.25 +/- 1/8, allowed 0.50, on a truck no rule names."""
    ours, theirs = {"shaft length": taped(measured)}, {"shaft length needed": taped("52.25", EIGHTH)}
    found = computed_fit(ours, theirs, ["shaft length"], FACTS, SLIP)
    assert found is not None
    assert found.grade is grade


@given(
    st.decimals(50, 55, places=3), st.decimals(50, 55, places=3), st.sampled_from([0.0, SIXTEENTH, EIGHTH]),
    st.sampled_from([0.0, SIXTEENTH, EIGHTH]),
)  # fmt: skip
def test_with_an_allowance_tape_decides_as_it_always_does(one: Decimal, two: Decimal, u1: float, u2: float) -> None:
    ours, theirs = {"shaft length": Known(f"{one} in", u1)}, {"shaft length": Known(f"{two} in", u2)}
    found = computed_fit(ours, theirs, ["shaft length"], FACTS, SLIP)
    assert found is not None
    doubts = [Decimal(u / 25.4).quantize(Decimal("0.0001")) for u in (u1, u2)]
    expected = decide(one, doubts[0], two, doubts[1], Decimal("0.50")).outcome
    assert found.dimensions[0].outcome is expected
    turned = computed_fit(theirs, ours, ["shaft length"], FACTS, SLIP)
    assert turned is not None
    assert turned.grade is found.grade


@given(st.decimals(50, 55, places=3), st.decimals(50, 55, places=3), st.sampled_from([0.0, SIXTEENTH, EIGHTH]))
def test_more_doubt_never_turns_a_no_into_a_yes(one: Decimal, two: Decimal, more: float) -> None:
    ours, theirs = {"shaft length": Known(f"{one} in", 0.0)}, {"shaft length": Known(f"{two} in", 0.0)}
    sure = computed_fit(ours, theirs, ["shaft length"], FACTS, SLIP)
    doubtful = computed_fit({"shaft length": Known(f"{one} in", more)}, theirs, ["shaft length"], FACTS, SLIP)
    assert sure is not None
    assert doubtful is not None
    assert doubtful.grade in (sure.grade, Grade.MEASURE)


@given(st.decimals(50, 55, places=3), st.decimals(50, 55, places=3))
def test_without_an_allowance_two_lengths_are_never_proven_the_same(one: Decimal, two: Decimal) -> None:
    ours, theirs = {"shaft length": Known(f"{one} in")}, {"shaft length": Known(f"{two} in")}
    found = computed_fit(ours, theirs, ["shaft length"], FACTS)
    assert found is not None
    assert found.grade is (Grade.WONT_FIT if abs(one - two) > Decimal("0.50") else Grade.MEASURE)


def test_counts_are_exact() -> None:
    """30 splines do not go into 33, whatever the length says."""
    ours = {"splines": Known("30"), "shaft length": taped("31.10 in")}
    found = computed_fit(
        ours, {"splines": Known("33"), "shaft length": taped("31.10")}, ("splines", "shaft length"), FACTS
    )
    assert found is not None
    assert found.grade is Grade.WONT_FIT
    assert "splines 30 against 33" in found.words
    equal = computed_fit({"splines": Known("30")}, {"splines": Known("30")}, ("splines",), FACTS)
    assert equal is not None
    assert equal.grade is Grade.BOLTS_UP


def test_a_tape_is_enough_to_tell_two_sizes_of_a_closed_list() -> None:
    """Three and five eighths is the big one; and a tape good to half an inch tells nothing."""
    ours = {"cap to cap": Known("3.62 in")}
    found = computed_fit(ours, {"cap to cap": taped("3 5/8")}, ("cap to cap",), FACTS)
    assert found is not None
    assert found.grade is Grade.BOLTS_UP
    other = computed_fit({"cap to cap": Known("3.22 in")}, {"cap to cap": taped("3 5/8")}, ("cap to cap",), FACTS)
    assert other is not None
    assert other.grade is Grade.WONT_FIT
    coarse = computed_fit(ours, {"cap to cap": taped("3.4", 12.7)}, ("cap to cap",), FACTS)
    assert coarse is not None
    assert coarse.grade is Grade.MEASURE
    assert computed_fit(ours, {"cap to cap": taped("4.5")}, ("cap to cap",), FACTS) is None, "such a reading is wrong"


def test_what_was_not_measured_is_named_and_keeps_it_from_a_yes() -> None:
    found = computed_fit({"splines": Known("30")}, {"splines": Known("30")}, ("splines", "shaft length"), FACTS)
    assert found is not None
    assert (found.grade, found.missing) == (Grade.MEASURE, ("shaft length",))


def test_looks_alone_compute_nothing_and_one_that_differs_is_looked_at_again() -> None:
    assert computed_fit({"plug": Known("square")}, {"plug": Known("oval")}, ("plug",), FACTS) is None
    ours, theirs = {"plug": Known("square"), "splines": Known("30")}, {"plug": Known("oval"), "splines": Known("30")}
    found = computed_fit(ours, theirs, ("splines", "plug"), FACTS)
    assert found is not None
    assert found.grade is Grade.MEASURE


def test_the_unit_does_not_matter() -> None:
    ours, theirs = {"shaft length": Known("1327.15 mm")}, {"shaft length": Known("52 1/4 in")}
    found = computed_fit(ours, theirs, ["shaft length"], FACTS, SLIP)
    assert found is not None
    assert found.dimensions[0].outcome is TapeOutcome.FITS
    assert "difference 0.00" in found.words


def test_allowances_come_from_open_rules_of_numbers_the_narrowest_of_several() -> None:
    def numbers(code: str, allowed: str, state: RuleState = RuleState.OPEN) -> Rule:
        slip = Condition(End.BETWEEN, "shaft length", Op.WITHIN, other_fact="shaft length needed", allowed=allowed)
        kinds = frozenset({"rear driveshaft"})
        return Rule(
            code, RuleKind.NUMBERS, Grade.BOLTS_UP, Direction.ONE_WAY, state, "slip yoke travel", kinds, kinds, (slip,)
        )

    rules = [numbers("A", "0.50 in"), numbers("B", "0.75 in"), numbers("C", "0.10 in", RuleState.CLOSED)]
    assert allowances_of(rules, "rear driveshaft") == SLIP
    assert allowances_of(rules, "front driveshaft") == {}
