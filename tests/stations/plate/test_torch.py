"""The torch's path and its time, against an independent clock over forty outlines and more."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.shop.part import Flat
from steadyrest.stations.plate.torch import Torch, cuts, length_mm, offset, torch_path
from steadyrest.stock.sheet_outlines import ring_of
from tests.oracles.torch_clock import clock_s
from tests.stations.plate.flats import plate_of, shapes

NEVER_SLOW = {"slow_hole_mm": 0.0, "slow_share": 1.0}


def flat_of(entities: str) -> Flat:
    part = plate_of(entities)
    assert part.flat is not None
    return part.flat


def errors(feed: float, kerf: float, accel: float, corner: float) -> list[tuple[str, float]]:
    """Ours over the clock's, less one, by outline."""
    found: list[tuple[str, float]] = []
    torch = Torch(feed, kerf, 0.0, 0.0, accel, corner, **NEVER_SLOW)
    for name, entities in shapes():
        flat = flat_of(entities)
        outline = flat.outlines[0]
        ours = cuts(flat, (0,), (math.inf,), torch)[0].run_s
        fine = [(x, y) for x, y in ring_of(outline.edges, 0.0005)]
        other = clock_s(fine, kerf_mm=kerf, inside=False, feed_mm_min=feed, accel=accel, corner=corner)
        found.append((name, ours / other - 1.0))
    return found


@pytest.mark.parametrize(("feed", "kerf", "accel", "corner"), [(1900.0, 1.8, 600.0, 0.15), (6000.0, 1.5, 800.0, 0.1)])
def test_a_cut_takes_what_an_independent_clock_says(feed: float, kerf: float, accel: float, corner: float) -> None:
    found = errors(feed, kerf, accel, corner)
    off = np.abs([error for _, error in found])
    assert len(found) >= 40
    assert float(np.median(off)) < 0.02, sorted(found, key=lambda one: -abs(one[1]))[:5]
    assert float(np.quantile(off, 0.9)) < 0.05, sorted(found, key=lambda one: -abs(one[1]))[:5]
    assert float(off.max()) < 0.10, sorted(found, key=lambda one: -abs(one[1]))[:5]


@given(wide=st.floats(20, 500), high=st.floats(20, 500), kerf=st.floats(0.1, 4))
@settings(deadline=None, max_examples=25)
def test_round_a_convex_part_the_torch_goes_its_edge_and_a_circle_of_the_kerf(
    wide: float, high: float, kerf: float
) -> None:
    corners = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)]
    from steadyrest.shop.part import Edge

    edges = [Edge(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
    around = sum(length_mm(edge) for edge in offset(edges, kerf / 2.0))
    assert around == pytest.approx(2.0 * (wide + high) + math.pi * kerf, rel=1e-9)


def test_a_hole_is_cut_smaller_and_a_disc_larger_by_half_the_kerf() -> None:
    disc = flat_of(next(text for name, text in shapes() if name == "disc 30"))
    around = sum(length_mm(edge) for edge in offset(disc.outlines[0].edges, 1.0))
    assert around == pytest.approx(2.0 * math.pi * 31.0, rel=1e-9)


def test_it_pierces_beside_the_part_never_in_it() -> None:
    from shapely.geometry import Point, Polygon

    for _, entities in shapes():
        outline = flat_of(entities).outlines[0]
        path = torch_path(outline.edges, 1.8, 5.0, 2.0)
        assert not Polygon(ring_of(outline.edges)).contains(Point(path[0].start))


@pytest.mark.parametrize("name", ["comb 8", "star 36 120 110", "rectangle 500 x 300"])
def test_a_quicker_table_or_a_looser_corner_never_takes_longer(name: str) -> None:
    flat = flat_of(dict(shapes())[name])
    takes = [
        cuts(flat, (0,), (math.inf,), Torch(4000.0, 1.5, 0.0, 0.0, accel, corner, **NEVER_SLOW))[0].run_s
        for accel, corner in ((200.0, None), (200.0, 0.05), (200.0, 0.2), (800.0, 0.2), (3000.0, 0.2))
    ]
    assert takes == sorted(takes, reverse=True)
    assert takes[-1] >= flat.cut_length.value / (4000.0 / 60.0) * 0.98
