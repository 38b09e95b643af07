"""Odds must mean what they say, on drawings, work and scans that the estimator did not invent."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from steadyrest.part.nominal.judged import judge
from steadyrest.part.nominal.name import with_nominals
from tests.part.nominal.forward import Score, scores, shaft_part

PARTS = 120


@cache
def judged_scores() -> tuple[Score, ...]:
    rng = np.random.default_rng(20260711)
    found: list[Score] = []
    for _ in range(PARTS):
        truth = shaft_part(rng)
        found.extend(scores(truth, with_nominals(truth.part, judge(truth.part))))
    return tuple(found)


def test_sure_is_right_at_least_97_times_in_100() -> None:
    sure = [score for score in judged_scores() if score.state == "sure"]
    assert len(sure) > 400
    assert sum(score.right for score in sure) / len(sure) >= 0.97


def test_sure_is_said_of_most_unworn_standard_sizes() -> None:
    standard = [score for score in judged_scores() if not score.odd and not score.worn]
    assert sum(score.state == "sure" for score in standard) / len(standard) >= 0.60


def test_sure_is_right_on_worn_diameters_too() -> None:
    worn = [score for score in judged_scores() if score.worn and score.state == "sure"]
    assert len(worn) > 80
    assert sum(score.right for score in worn) / len(worn) >= 0.97


@pytest.mark.parametrize(("low", "high"), [(0.4, 0.6), (0.6, 0.8), (0.8, 0.95), (0.95, 1.001)])
def test_stated_odds_are_kept_odds(low: float, high: float) -> None:
    band = [score for score in judged_scores() if low <= score.odds < high]
    stated = float(np.mean([score.odds for score in band]))
    kept = float(np.mean([score.right for score in band]))
    # Three standard errors, and 0.05 for a forward model that is not the estimator's.
    assert abs(stated - kept) < 0.05 + 3 * np.sqrt(0.25 / len(band))


def test_brier_score_is_better_than_half_of_always_saying_the_base_rate() -> None:
    odds = np.array([score.odds for score in judged_scores()])
    right = np.array([score.right for score in judged_scores()], dtype=float)
    base = right.mean() * (1 - right.mean())
    assert ((odds - right) ** 2).mean() < 0.8 * base
