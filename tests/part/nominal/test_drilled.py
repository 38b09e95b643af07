"""Holes that a drill left: for bolts by the lists that the standard gives, never smaller than the drill."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadyrest.part.nominal.habits import habits
from steadyrest.part.nominal.likelihood import density
from steadyrest.part.nominal.name import name_sizes
from steadyrest.part.nominal.partners import alone, alone_share, lists_of, rooms
from steadyrest.part.nominal.unknowns import Unknown, unknowns, worn_all_over
from steadyrest.shop.part import Feature
from tests.part.nominal.parts import part_of, round_feature

SOURCES = ("bolt hole", "inch bolt hole", "tap drill", "inch tap drill")


def hole(name: str, diameter: float, at: float) -> Feature:
    bored = round_feature(name, diameter, 0, 12, kind="bore", u=0.02)
    return replace(bored, at_mm=(6.0, at, 0.0), along_mm=None, sizes=bored.sizes[:1], inside=True)


def seen_at(diameter: float, count: int = 1) -> Unknown:
    part = part_of(*(hole(f"F{k + 1}", diameter, 30.0 * k) for k in range(count)))
    return unknowns(part)[0]


@pytest.mark.parametrize("source", SOURCES)
def test_the_lists_of_a_standard_are_taken_once_in_all(source: str) -> None:
    lists = lists_of(source)
    assert sum(share for share, _ in lists) == pytest.approx(1.0)
    assert all(list(values) == sorted(set(values)) for _, values in lists)


def test_a_medium_hole_is_met_oftener_than_its_fine_and_coarse_neighbours() -> None:
    row = seen_at(6.6)
    found = rooms(row, "bolt hole", alone(row)["bolt hole"], low_mm=6.3, high_mm=7.1)
    assert set(found) == {6.4, 6.6, 7.0}
    assert found[6.6] > 2 * max(found[6.4], found[7.0])


def test_a_second_choice_bolt_is_rarer_than_its_neighbours() -> None:
    row = seen_at(3.9)
    found = rooms(row, "bolt hole", alone(row)["bolt hole"], low_mm=3.2, high_mm=4.6)
    assert found[3.9] < found[4.5] / 4


def test_a_pair_of_holes_is_for_bolts_oftener_than_one() -> None:
    one, pair = (float(alone_share(seen_at(6.62, count), "bolt hole")[0]) for count in (1, 2))
    assert one < pair


def test_bolts_follow_the_drawing_and_every_bolt_is_one_or_the_other() -> None:
    row = seen_at(6.62)
    both = alone_share(row, "bolt hole") + alone_share(row, "inch bolt hole")
    np.testing.assert_allclose(both, habits().standard["bolt_hole_small"])
    by_unit = {s.name: share for s, share in zip(habits().systems, alone_share(row, "bolt hole") / both, strict=True)}
    assert by_unit["metric"] > 0.9
    assert by_unit["inch_fraction"] < 0.5 == by_unit["mixed"]


def test_four_equal_holes_are_sure_where_one_alone_is_not() -> None:
    def odds(count: int) -> float:
        plate = replace(part_of(*(hole(f"F{k + 1}", 6.625, 30.0 * k) for k in range(count))), axisymmetric=False)
        nominal = name_sizes(plate).features[0].sizes[0].nominal
        assert nominal is not None
        assert nominal.value == pytest.approx(6.6)
        return nominal.odds

    assert odds(4) > odds(1) + 0.05


@pytest.mark.parametrize("never_small", [False, True])
def test_a_size_is_seen_somewhere(never_small: bool) -> None:
    row = replace(seen_at(6.6), worn_share=0.0)
    off = np.linspace(-2, 2, 20_001)
    found = density(row, off, np.full_like(off, 0.03**2), 0.02**2, never_small=never_small)
    assert float(found.sum() * (off[1] - off[0])) == pytest.approx(1.0, abs=1e-6)


def test_a_drill_that_went_badly_leaves_a_hole_large_never_small() -> None:
    row, off, made = replace(seen_at(6.6), worn_share=0.0), np.array([-0.2, 0.2]), np.full(2, 0.03**2)
    small, large = density(row, off, made, 0.01**2, never_small=True)
    assert large > 30 * small
    even = density(row, off, made, 0.01**2)
    assert even[0] == pytest.approx(even[1])


@pytest.mark.parametrize(("share", "all_over"), [(0.0, True), (0.2, False), (0.9, True)])
def test_a_narrow_band_of_wear_is_not_wear_all_over(share: float, all_over: bool) -> None:
    """Where nobody said how much is worn, an estimate no larger than the plain fit still means all over."""
    seat = replace(round_feature("F1", 25.0, 0, 20, kind="bore", wear=0.3), worn_share=share)
    assert worn_all_over(seat, seat.sizes[0]) == all_over
