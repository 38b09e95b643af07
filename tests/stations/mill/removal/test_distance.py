"""Distances in a layer are exact: a plain twin and another library's transform say the same."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis.extra.numpy import array_shapes, arrays
from scipy.ndimage import distance_transform_edt

from steadyrest.stations.mill.removal.distance import FAR, distance_sq
from tests.oracles import slow_reach

layers = arrays(np.bool_, array_shapes(min_dims=2, max_dims=2, max_side=9))


@settings(max_examples=60, deadline=None)
@given(layers)
def test_every_distance_is_that_of_the_plain_twin(marked: np.ndarray) -> None:
    found = distance_sq(marked)
    assert np.array_equal(found, slow_reach.distance_sq(marked)) or (not marked.any() and (found == FAR).all())


def test_large_layers_agree_with_another_library() -> None:
    """Source: scipy.ndimage.distance_transform_edt, an independent implementation."""
    luck = np.random.default_rng(3)
    for shape, share in (((120, 70), 0.002), ((33, 150), 0.05), ((1, 60), 0.1), ((60, 1), 0.1), ((64, 64), 0.9)):
        marked = luck.random(shape) < share
        marked[0, 0] = True
        far = np.asarray(distance_transform_edt(~marked), dtype=np.float64)
        assert np.array_equal(distance_sq(marked), np.round(far * far).astype(np.int64))
