"""How true the learned hours are, on shops invented in tests/forward/past_jobs.py: coverage, PIT, pinball loss.

    python -m tests.scoring.lessons [shops] [past jobs] [new jobs] [first seed]

One JSON line: the shares kept of p05 to p95, their spread over the shops, the PIT's histogram in tenths, and the mean
pinball loss as a share of the job's estimate, beside plain ways: the estimate as it is, the mean log ratio of won
work with its spread, and the very shop's own won work with the same rivals, a thousand jobs of it.
"""

from __future__ import annotations

import json
import sys
from itertools import islice

import numpy as np

from steadyrest.promise.lessons.ask import job_hours
from steadyrest.promise.lessons.fit import learn
from steadyrest.promise.lessons.past import read_new, read_past
from tests.forward.past_jobs import Floor, Job, csv_of, floor, jobs

LEVELS = (0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95)


def pinball(draws: np.ndarray, truth: float) -> float:
    """Twice the mean pinball loss of the answer's seven quantiles: the CRPS, as far as seven quantiles tell it.

    From the quantiles and not from the draws: that is all the answer gives, and a heavy tail has no mean.
    Source: Gneiting and Raftery 2007 (from memory).
    """
    off = truth - np.quantile(draws, LEVELS)
    return float(2 * np.mean(np.maximum(np.array(LEVELS) * off, (np.array(LEVELS) - 1) * off)))


def split(shop: Floor, past: int, new: int, new_rivals: tuple[int, ...] | None) -> tuple[list[Job], list[Job]]:
    """So many quotes of the past, won and lost, and so many new jobs, all won."""
    history = list(islice(jobs(shop, "past"), past))
    won = (job for job in jobs(shop, "new", new_rivals) if job.won)
    return history, list(islice(won, new))


def score(shop: Floor, past: int, new: int, new_rivals: tuple[int, ...] | None = None) -> dict[str, np.ndarray]:
    """PIT and pinball loss of every new job of one shop; plain ways beside it."""
    history, asked = split(shop, past, new, new_rivals)
    learned = learn(read_past(csv_of(history, actual=True), "past").quotes, seed=1)
    hours = job_hours(learned, read_new(csv_of(asked, actual=False), "new").quotes, seed=1)
    truth = np.array([job.actual_s for job in asked])
    estimate = np.array([job.estimate_s for job in asked])
    ratios = np.log([job.actual_s / job.estimate_s for job in history if job.won])
    rng = np.random.default_rng(5)
    plain = np.exp(ratios.mean() + ratios.std(ddof=1) * rng.standard_normal(2000)) if len(ratios) > 1 else np.ones(1)
    wide = [job for job in islice(jobs(shop, "wide", new_rivals), 6000) if job.won]
    same = {
        k: np.array([j.actual_s / j.estimate_s for j in wide if j.rivals == k][:1000])
        for k in {j.rivals for j in asked}
    }
    return {
        "pit": np.mean(hours <= truth[:, None], axis=1),
        "plain_pit": np.array([np.mean(plain * e <= t) for e, t in zip(estimate, truth, strict=True)]),
        "ours": np.array([pinball(h, t) for h, t in zip(hours, truth, strict=True)]) / estimate,
        "estimate": np.abs(estimate - truth) / estimate,
        "plain": np.array([pinball(plain * e, t) for e, t in zip(estimate, truth, strict=True)]) / estimate,
        "own": np.array([pinball(same[j.rivals] * j.estimate_s, t) for j, t in zip(asked, truth, strict=True)])
        / estimate,
    }


def main(shops: int, past: int, new: int, first: int, new_rivals: tuple[int, ...] | None = None) -> dict[str, object]:
    found = [score(floor(seed), past, new, new_rivals) for seed in range(first, first + shops)]
    pits = [one["pit"] for one in found]
    kept = np.array([[np.mean(pit <= level) for level in LEVELS] for pit in pits])
    plain = np.array([[np.mean(one["plain_pit"] <= level) for level in LEVELS] for one in found])
    tenths = np.histogram(np.concatenate(pits), bins=10, range=(0, 1))[0] / sum(len(pit) for pit in pits)
    names = [f"p{round(100 * level):02d}" for level in LEVELS]
    return {
        "case": f"{shops} shops, {past} quotes, {new} new",
        "kept": dict(zip(names, kept.mean(axis=0).round(3).tolist(), strict=True)),
        "kept_sd_over_shops": dict(zip(names, kept.std(axis=0).round(3).tolist(), strict=True)),
        "plain_kept": dict(zip(names, plain.mean(axis=0).round(3).tolist(), strict=True)),
        "pit_tenths": tenths.round(3).tolist(),
        "pinball": {
            k: round(float(np.mean([one[k].mean() for one in found])), 4) for k in ("ours", "estimate", "plain", "own")
        },
    }


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:5]]
    shops, past, new, first = (*given, *(40, 200, 100, 1)[len(given) :])
    rivals = tuple(int(k) for k in sys.argv[5].split(",")) if len(sys.argv) > 5 else None
    print(json.dumps(main(shops, past, new, first, rivals)))
