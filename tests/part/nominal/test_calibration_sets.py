"""Odds must mean what they say where bought-in parts sit, on parts that the estimator did not invent."""

from __future__ import annotations

from functools import cache

import numpy as np

from steadyrest.part.nominal.judged import judge
from steadyrest.part.nominal.name import with_nominals
from tests.part.nominal.forward import Score, scores
from tests.part.nominal.forward_sets import set_part

PARTS = 50


@cache
def judged_scores() -> tuple[Score, ...]:
    rng = np.random.default_rng(20261130)
    found: list[Score] = []
    for _ in range(PARTS):
        truth = set_part(rng)
        found.extend(scores(truth, with_nominals(truth.part, judge(truth.part))))
    return tuple(found)


def test_sure_is_right_at_least_97_times_in_100_where_bought_in_parts_sit() -> None:
    sure = [score for score in judged_scores() if score.state == "sure"]
    assert len(sure) > 250
    assert sum(score.right for score in sure) / len(sure) >= 0.97


def test_widths_and_depths_called_sure_are_right() -> None:
    widths = [score for score in judged_scores() if score.name in ("width_mm", "depth_mm")]
    sure = [score for score in widths if score.state == "sure"]
    assert len(sure) / len(widths) > 0.5
    assert sum(score.right for score in sure) / len(sure) >= 0.97


def test_stated_odds_are_kept_odds_where_bought_in_parts_sit() -> None:
    for low, high in ((0.4, 0.6), (0.6, 0.8), (0.8, 0.95), (0.95, 1.001)):
        band = [score for score in judged_scores() if low <= score.odds < high]
        stated = float(np.mean([score.odds for score in band]))
        kept = float(np.mean([score.right for score in band]))
        # Three standard errors, and 0.06 for a forward model that is not the estimator's.
        assert abs(stated - kept) < 0.06 + 3 * np.sqrt(0.25 / len(band)), (low, stated, kept)
