"""Where a moving point meets the mould, against looking at every triangle."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.stations.form.touching import boxed, meets

BALL = np.asarray(trimesh.creation.icosphere(subdivisions=1, radius=10.0).triangles)


def slowly(begin, end):
    """The plain way: every triangle, by its own plane and three sides."""
    best = 2.0
    for a, b, c in BALL:
        normal = np.cross(b - a, c - a)
        down = normal @ (end - begin)
        if down == 0:
            continue
        share = normal @ (a - begin) / down
        at = begin + share * (end - begin)
        if 0 <= share <= 1 and all(np.cross(q - p, at - p) @ normal >= -1e-7 for p, q in ((a, b), (b, c), (c, a))):
            best = min(best, share)
    return best


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10**6))
def test_the_first_meeting_is_found(seed):
    luck = np.random.default_rng(seed)
    begin = luck.normal(0, 6, (4, 3))
    end = begin + luck.normal(0, 4, (4, 3))
    got = meets(boxed(BALL), begin, end, np.zeros(4, dtype=bool))
    assert got == pytest.approx([slowly(a, b) for a, b in zip(begin, end, strict=True)], abs=1e-6)


def test_whoever_is_skipped_meets_nothing():
    begin, end = np.zeros((2, 3)), np.array([(20.0, 0.1, 0.2), (20, 0.1, 0.2)])
    got = meets(boxed(BALL), begin, end, np.array([True, False]))
    assert got[0] == 2
    assert got[1] < 1
