"""Film and scale are taken out of every estimate as far as the sizes together tell them, and no further."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.nominal.judged import judge
from steadyrest.part.nominal.name import name_sizes
from steadyrest.part.nominal.shared import as_scanned
from steadyrest.shop.part import Part
from tests.part.nominal.forward import shaft_part
from tests.part.nominal.parts import part_of, round_feature

ROUND = (16.0, 25.0, 30.0, 42.0, 55.0)


def shaft(off_mm: float, sizes: tuple[float, ...] = ROUND) -> Part:
    return part_of(
        *(round_feature(f"F{k}", d + off_mm, 20 * k, 20 * k + 12.0, u=0.008) for k, d in enumerate(sizes, 1))
    )


def diameters(part: Part) -> list[float]:
    return [size.estimate for f in part.features for size in f.sizes if size.name == "diameter_mm"]


@pytest.mark.parametrize("film_mm", [0.0, 0.03, 0.05])
def test_film_on_round_sizes_is_taken_out(film_mm: float) -> None:
    assert diameters(name_sizes(shaft(film_mm))) == [pytest.approx(d, abs=0.02) for d in ROUND]


def test_sizes_that_follow_no_habit_say_nothing_of_film() -> None:
    odd = (23.37, 31.18, 42.63)
    assert diameters(name_sizes(shaft(0.0, odd))) == [pytest.approx(d, abs=0.01) for d in odd]


@settings(deadline=None, max_examples=4)
@given(seed=st.integers(0, 10_000))
def test_naming_twice_gives_the_same(seed: int) -> None:
    once = name_sizes(shaft_part(np.random.default_rng(seed)).part)
    assert name_sizes(once) == once


def test_what_the_scan_said_is_kept() -> None:
    scanned = shaft(0.04)
    assert as_scanned(name_sizes(scanned)).features[0].sizes[0].estimate == scanned.features[0].sizes[0].estimate


def test_uncertainty_never_falls_by_taking_film_out() -> None:
    scanned = shaft(0.04)
    for before, after in zip(scanned.features, name_sizes(scanned).features, strict=True):
        assert all(b.uncertainty <= a.uncertainty for b, a in zip(before.sizes, after.sizes, strict=True))


OVERSIZE_MM = (0.01, 0.05, 0.02, 0.045, 0.03, 0.06)


def test_holes_that_a_drill_cut_large_are_not_taken_for_a_scan_that_is_too_thin() -> None:
    sizes = (5.5, 8.5, 10.0, 6.6, 4.2, 12.0)
    holes = [
        round_feature(f"F{k}", size + over, 30 * k, 30 * k + 8, kind="bore", u=0.01)
        for k, (size, over) in enumerate(zip(sizes, OVERSIZE_MM, strict=True))
    ]
    part = part_of(*(replace(hole, sizes=hole.sizes[:1], along_mm=None) for hole in holes))
    assert abs(judge(part).posterior.film_mm) < 0.006


def drill_holes(u_mm: float, seen_mm: float = 4.96) -> Part:
    holes = [round_feature(f"F{k}", seen_mm, 30 * k, 30 * k + 8, kind="bore", u=u_mm) for k in range(1, 5)]
    return part_of(*(replace(hole, sizes=hole.sizes[:1], along_mm=None) for hole in holes))


def test_the_worse_a_drilled_hole_is_seen_the_more_its_drill_says_of_it() -> None:
    """A drill leaves a hole closer to its own size than a scanner sees into it: seen 0.04 under, it is not so made."""
    moved = [diameters(name_sizes(drill_holes(u)))[0] - 4.96 for u in (0.005, 0.02, 0.05)]
    assert 0 <= moved[0] < moved[1] < moved[2]
    assert moved[2] < 0.08


def test_a_size_settled_apart_from_what_was_seen_says_so() -> None:
    size = name_sizes(drill_holes(0.05)).features[0].sizes[0]
    assert size.nominal is not None
    said = [reason for reason in size.nominal.why if reason.key == "nominal.settled"]
    assert [dict(reason.given)["best_mm"] for reason in said] == [size.estimate]


@pytest.mark.parametrize("kind", ["shaft", "bore"])
def test_a_size_seen_closely_between_two_round_ones_is_not_drawn_to_either(kind: Literal["shaft", "bore"]) -> None:
    """Seen to 8 um, 24.90 is no 25 whatever the drawing's habit, and no wear is made up to make it one."""
    rounds = [
        round_feature(f"F{k}", d, 20 * k, 20 * k + 12.0, kind=kind, u=0.008)
        for k, d in enumerate((16.01, 30.01, 42.0, 24.9), 1)
    ]
    last = name_sizes(part_of(*rounds)).features[-1].sizes[0]
    assert last.nominal is not None
    assert last.nominal.state != "sure"
    assert abs(last.estimate - 24.9) < 0.015
