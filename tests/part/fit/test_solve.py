"""With which sigma points speak in a fit that hears far ones less: against many such fits."""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.part.fit.solve import heard, tukey

WIDTH = 6.0


def settled_mean(values: np.ndarray) -> float:
    """The place on which values agree, far ones counted less."""
    here = float(np.median(values))
    for _ in range(12):
        w = tukey(values - here, WIDTH)
        here += float(np.sum(w * (values - here)) / np.sum(w))
    return here


@pytest.mark.parametrize(("far_share", "far_sd"), [(0.0, 1.0), (0.2, 3.0), (0.1, 20.0)])
def test_it_is_by_how_much_such_fits_differ(far_share: float, far_sd: float):
    rng = np.random.default_rng(5)
    sd = np.where(rng.random((600, 200)) < far_share, far_sd, 1.0)
    values = sd * rng.standard_normal(sd.shape)
    told = float(np.mean([heard(row - settled_mean(row), WIDTH) for row in values]))
    assert told / np.sqrt(200) == pytest.approx(np.std([settled_mean(row) for row in values]), rel=0.08)


def test_points_that_agree_on_nothing_are_heard_as_loud_as_they_are():
    values = np.linspace(-8, 8, 100)
    assert heard(values, WIDTH) == pytest.approx(np.sqrt(np.mean(values**2)))
