"""Rails compared in words, and a length of rail that is boxed."""

from __future__ import annotations

from math import degrees

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.fit.sections.boxing import STEEL_G, BoxedLength, box_a_length
from app.fit.sections.compare import compare_rails, times
from app.fit.sections.rails import Boxed, OpenChannel, Plated, SectionError, Tube

CHANNEL = OpenChannel(209.55, 71.12, 5.588)
rails = st.one_of(
    st.builds(Boxed, st.floats(80, 300), st.floats(50, 150), st.floats(1, 10)),
    st.builds(OpenChannel, st.floats(80, 300), st.floats(50, 150), st.floats(1, 10)),
    st.builds(Tube, st.floats(50, 150), st.floats(1, 10)),
)


def test_boxed_against_open_is_near_equal_in_bending_and_a_thousand_times_stiffer_in_twist() -> None:
    found = compare_rails(Boxed(152.4, 76.2, 3.048), OpenChannel(152.4, 76.2, 3.048))
    assert "in bending near equal (1.23)" in found.words
    assert "in twist about a thousand times stiffer" in found.words


@given(rails, rails)
def test_a_comparison_turned_round_is_its_inverse(one: Boxed, other: Boxed) -> None:
    there, back = compare_rails(one, other), compare_rails(other, one)
    for name in ("bending", "sideways", "twist", "bending_strength", "twist_strength", "weight"):
        assert getattr(there, name) * getattr(back, name) == pytest.approx(1)


@pytest.mark.parametrize(
    ("ratio", "said"),
    [
        (1.0, "near equal (1.00)"),
        (0.81, "near equal (0.81)"),
        (1.6, "1.6 times as stiff"),
        (0.64, "0.64 times as stiff"),
        (22.4, "about 22 times stiffer"),
        (237, "about 240 times stiffer"),
        (1160, "about a thousand times stiffer"),
        (12_345, "about 12,000 times stiffer"),
        (1 / 237, "about 1/240 as stiff"),
    ],
)
def test_ratios_in_words(ratio: float, said: str) -> None:
    assert times(ratio, "as stiff", "stiffer") == said


@given(st.floats(0, 1), st.floats(0, 1), st.floats(500, 4000))
def test_boxing_more_of_a_rail_never_makes_it_softer(share: float, more: float, length: float) -> None:
    first, second = sorted((share, more))
    less, much = (box_a_length(CHANNEL, 5.0, BoxedLength(length, length * each)) for each in (first, second))
    assert much.twist_deg <= less.twist_deg * (1 + 1e-9)
    assert much.twist_held_deg <= less.twist_held_deg * (1 + 1e-9)
    assert much.bending_ratio >= less.bending_ratio * (1 - 1e-9)
    assert less.twist_held_deg <= less.twist_deg * (1 + 1e-9)


def test_half_a_rail_boxed_twists_half_as_far_with_free_ends() -> None:
    found = box_a_length(CHANNEL, 5.588, BoxedLength(1524, 762))
    assert found.twist_ratio == pytest.approx(2, rel=0.01)
    assert found.twist_held_ratio > 10
    open_twist = degrees(found.torque_nmm * 1524 / (STEEL_G * CHANNEL.properties().j_mm4))
    assert found.open_twist_deg == pytest.approx(open_twist)


@given(st.floats(0.05, 0.9), st.floats(0, 1))
@example(0.24928506139939338, 1.0)
def test_the_sag_under_a_load_in_the_middle_is_the_unit_load_integral(share: float, place: float) -> None:
    # ∫ m²/I over the length by the midpoint rule, m the moment of a unit load in the middle.
    length = 2000.0
    lengths = BoxedLength(length, share * length, place * (1 - share) * length)
    open_second, boxed_second = CHANNEL.properties().ix_mm4, Plated(CHANNEL, 6.0).properties().ix_mm4
    n, sag, bare = 4000, 0.0, 0.0
    for number in range(n):
        x = (number + 0.5) * length / n
        moment = min(x, length - x) / 2
        inside = lengths.start <= x <= lengths.start + lengths.boxed_mm
        sag += moment**2 / (boxed_second if inside else open_second)
        bare += moment**2 / open_second
    assert box_a_length(CHANNEL, 6.0, lengths).bending_ratio == pytest.approx(bare / sag, rel=2e-3)


@pytest.mark.parametrize(
    ("length", "boxed", "start", "place"),
    [
        (0, 0, None, "length"),
        (1000, -1, None, "boxed length"),
        (1000, 1001, None, "boxed length"),
        (1000, 500, 501, "boxed length"),
        (1000, 500, -1, "boxed length"),
    ],
)
def test_a_box_that_does_not_lie_on_the_rail_is_refused(
    length: float, boxed: float, start: float | None, place: str
) -> None:
    with pytest.raises(SectionError) as caught:
        BoxedLength(length, boxed, start)
    assert caught.value.place == place


def test_every_boxing_carries_the_caution_and_its_model() -> None:
    found = box_a_length(CHANNEL, 5.588, BoxedLength(1524, 762))
    assert "certified" in found.caution
    assert "welded along its whole edges" in found.model
