"""Plants as they are said and kept."""

from __future__ import annotations

import pytest

from app.fit.plants import PLANT_LETTERS, any_but, as_kept, plants_of


@pytest.mark.parametrize(
    ("said", "kept", "left_open"),
    [
        ("k", "K", {"K"}),
        ("K or m", "K or M", {"K", "M"}),
        (" not k ", "not K", PLANT_LETTERS - {"K"}),
        ("not M or K", "not K or M", PLANT_LETTERS - {"K", "M"}),
        ("7", "7", {"7"}),
    ],
)
def test_plants_are_kept_as_they_are_read_back(said: str, kept: str, left_open: set[str]) -> None:
    assert as_kept(said) == kept
    assert plants_of(kept) == left_open


@pytest.mark.parametrize("said", ["KK", "another", "I", "o", "q", "", "not", "?"])
def test_what_no_plate_can_have_is_no_plant(said: str) -> None:
    """No I, O or Q stands on a plate: 49 CFR 565.15."""
    assert as_kept(said) == ""


def test_nothing_said_leaves_every_plant_open() -> None:
    assert plants_of("") == PLANT_LETTERS
    assert plants_of(any_but("K")) == PLANT_LETTERS - {"K"}
