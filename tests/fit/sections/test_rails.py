"""Rails of any size: what must hold of every section, and what a person mistypes."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.fit.sections.build import RailKind, rail_of, read_rail
from app.fit.sections.rails import Boxed, OpenChannel, Plated, PlateOn, Rail, SectionError, Tube

heights = st.floats(60, 300)
widths = st.floats(40, 150)
thin = st.floats(0.5, 8)


@given(heights, widths, thin, st.floats(0, 15))
def test_rounding_corners_takes_off_and_never_adds(h: float, b: float, t: float, r: float) -> None:
    for sharp, rounded in ((Boxed(h, b, t), Boxed(h, b, t, r)), (OpenChannel(h, b, t), OpenChannel(h, b, t, r))):
        one, other = sharp.properties(), rounded.properties()
        assert other.area_mm2 <= one.area_mm2 * (1 + 1e-12)
        assert other.ix_mm4 <= one.ix_mm4 * (1 + 1e-12)


@given(heights, widths, thin, st.floats(0, 15), st.floats(0.1, 6))
def test_a_section_grows_by_the_powers_of_its_size(h: float, b: float, t: float, r: float, k: float) -> None:
    for kind in (Boxed, OpenChannel):
        one, other = kind(h, b, t, r).properties(), kind(k * h, k * b, k * t, k * r).properties()
        assert other.area_mm2 == pytest.approx(k**2 * one.area_mm2)
        assert (other.ix_mm4, other.j_mm4) == pytest.approx((k**4 * one.ix_mm4, k**4 * one.j_mm4))
        assert other.shear_x_mm == pytest.approx(k * one.shear_x_mm)
        if one.cw_mm6 is not None and other.cw_mm6 is not None:
            assert other.cw_mm6 == pytest.approx(k**6 * one.cw_mm6)


@given(heights, widths)
def test_a_thinning_wall_tends_to_the_thin_wall_formulas(h: float, b: float) -> None:
    t = min(h, b) * 1e-5
    box, channel = Boxed(h, b, t).properties(), OpenChannel(h, b, t).properties()
    assert box.area_mm2 == pytest.approx(2 * (h + b) * t, rel=1e-4)
    assert box.ix_mm4 == pytest.approx(t * h**2 * (h + 3 * b) / 6, rel=1e-4)
    assert box.j_mm4 == pytest.approx(2 * t * (b * h) ** 2 / (b + h), rel=1e-4)
    assert channel.ix_mm4 == pytest.approx(t * h**2 * (h + 6 * b) / 12, rel=1e-4)
    assert channel.centroid_x_mm == pytest.approx(b**2 / (h + 2 * b), rel=1e-4, abs=2 * t)
    assert -channel.shear_x_mm == pytest.approx(3 * b**2 / (6 * b + h), rel=1e-4, abs=2 * t)
    assert channel.j_mm4 == pytest.approx((h + 2 * b) * t**3 / 3, rel=1e-4)


@given(st.floats(20, 200))
def test_a_thinning_tube_tends_to_its_circle(d: float) -> None:
    t = d * 1e-5
    found = Tube(d, t).properties()
    assert found.j_mm4 == pytest.approx(pi * d**3 * t / 4, rel=1e-4)
    assert found.sx_mm3 == pytest.approx(pi * d**2 * t / 4, rel=1e-4)


@given(heights, widths, thin)
def test_a_tube_squared_off_lies_about_its_box(h: float, b: float, t: float) -> None:
    side = min(h, b)
    box, tube = Boxed(side, side, t).properties(), Tube(side, t).properties()
    assert 0.7 < tube.area_mm2 / box.area_mm2 < 0.8
    assert tube.ix_mm4 < box.ix_mm4


@given(heights, widths, thin, st.floats(0.5, 8), st.floats(0, 15))
def test_boxing_an_open_rail_adds_in_every_way(h: float, b: float, t: float, p: float, r: float) -> None:
    rail = OpenChannel(h, b, t, r)
    before, after = rail.properties(), Plated(rail, p).properties()
    assert after.area_mm2 == pytest.approx(before.area_mm2 + p * h)
    assert after.ix_mm4 == pytest.approx(before.ix_mm4 + p * h**3 / 12)
    assert after.iy_mm4 > before.iy_mm4
    assert after.j_mm4 > 5 * before.j_mm4
    assert before.shear_x_mm < after.shear_x_mm < b + p


@given(heights, widths, thin)
def test_a_plate_like_the_wall_makes_nearly_the_boxed_rail(h: float, b: float, t: float) -> None:
    made, bought = Plated(OpenChannel(h, b - t, t), t).properties(), Boxed(h, b, t).properties()
    assert (made.area_mm2, made.ix_mm4) == pytest.approx((bought.area_mm2, bought.ix_mm4))
    assert made.j_mm4 == pytest.approx(bought.j_mm4)
    assert made.shear_x_mm == pytest.approx(bought.shear_x_mm)


@given(heights, widths, thin, st.floats(0.5, 8))
def test_plates_on_the_flanges_stiffen_in_bending_and_leave_the_rail_open(
    h: float, b: float, t: float, p: float
) -> None:
    rail = OpenChannel(h, b, t)
    capped = Plated(rail, p, PlateOn.FLANGES)
    assert not capped.closed
    assert capped.properties().ix_mm4 > rail.properties().ix_mm4 + 2 * p * b * (h / 2) ** 2
    assert capped.properties().j_mm4 < Plated(rail, p).properties().j_mm4


@pytest.mark.parametrize(
    ("make", "place"),
    [
        (lambda: Boxed(150, 75, 40), "wall"),
        (lambda: Boxed(150, 75, 37.5), "wall"),
        (lambda: OpenChannel(150, 75, 80), "wall"),
        (lambda: Tube(75, 40), "wall"),
        (lambda: Boxed(0, 75, 3), "height"),
        (lambda: Boxed(6 * 2540, 75, 3), "height"),
        (lambda: Boxed(150, -75, 3), "width"),
        (lambda: OpenChannel(150, 75, 0), "wall"),
        (lambda: Boxed(150, 75, float("nan")), "wall"),
        (lambda: Boxed(150, 75, 3, 38), "radius"),
        (lambda: OpenChannel(150, 75, 3, 76), "radius"),
        (lambda: Boxed(150, 75, 3, -1), "radius"),
        (lambda: OpenChannel(150, 75, 3, 5, flange_mm=6), "radius"),
        (lambda: Plated(OpenChannel(150, 75, 3), 0), "plate"),
        (lambda: Plated(OpenChannel(150, 75, 3), 90), "plate"),
        (lambda: Plated(OpenChannel(150, 75, 3, 6), 4, PlateOn.FLANGES), "radius"),
    ],
)
def test_a_rail_that_cannot_be_names_the_place_and_the_remedy(make: object, place: str) -> None:
    with pytest.raises(SectionError) as caught:
        make()  # type: ignore[operator]
    assert caught.value.place == place
    assert caught.value.remedy


@pytest.mark.parametrize(
    ("said", "rail"),
    [
        ("open 8.25x2.80x0.220", OpenChannel(209.55, 71.12, 5.588)),
        ("Boxed 7.10 x 2.90 × 0.150", Boxed(180.34, 73.66, 3.81)),
        ("boxed 180x73x3.8 mm r8", Boxed(180, 73, 3.8, 8)),
        ('boxed 6x3x1/8" r 1/4 in', Boxed(152.4, 76.2, 3.175, 6.35)),
        ("boxed 152.4mm x 3in x 3mm", Boxed(152.4, 76.2, 3)),
        ("tube 3 x 0.12", Tube(76.2, 3.048)),
        ("tube 76.2x3 mm", Tube(76.2, 3)),
        ("part-boxed 8.25x2.80x0.220", Plated(OpenChannel(209.55, 71.12, 5.588), 5.588)),
    ],
)
def test_a_rail_is_read_from_words(said: str, rail: Rail) -> None:
    found = read_rail(said)
    assert type(found) is type(rail)
    assert found.properties().ix_mm4 == pytest.approx(rail.properties().ix_mm4)
    assert found.properties().j_mm4 == pytest.approx(rail.properties().j_mm4)


@pytest.mark.parametrize(
    "said", ["", "open", "round 3x0.1", "open 8.25x2.80", "open axbxc", "open 8.25x2.8x5", "tube 3"]
)
def test_words_that_are_no_rail_say_how_to_write_one(said: str) -> None:
    with pytest.raises(SectionError) as caught:
        read_rail(said)
    assert caught.value.remedy


def test_a_tube_with_two_diameters_is_a_boxed_rail() -> None:
    with pytest.raises(SectionError, match="one diameter"):
        rail_of(RailKind.TUBE, [152.4, 76.2, 3.0])
    assert rail_of(RailKind.TUBE, [76.2, 76.2, 3.0]) == Tube(76.2, 3.0)
