"""Learn from quotes: how long to count, and from which seed."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from steadyrest.promise.lessons.model import Learned, Prior, flat, names_of
from steadyrest.promise.lessons.past import Quote
from steadyrest.promise.lessons.sampler import sweeps

KEPT = 1000
WORK = 40_000_000  # rows looked at, over all sweeps: some seconds
MOST_SWEEPS, LEAST_SWEEPS = 8_000, 4_000


def learn(quotes: Sequence[Quote], *, seed: int, prior: Prior | None = None) -> Learned:
    """What the history teaches. Without history, what a careful shop believes anyway.

    Args:
        quotes: won and lost.
        seed: of the draws; the same quotes and seed give the same lessons.
        prior: what is believed before; the usual by default.
    Returns: draws from what is believed now.
    """
    names = names_of(quotes)
    history = flat(quotes, names)
    size = len(history.ratio) + 2 * len(history.won) + 10 * (len(names.stations) + len(names.persons)) + 1
    count = min(MOST_SWEEPS, max(LEAST_SWEEPS, WORK // size))
    every = max(1, count * 3 // (4 * KEPT))
    rng = np.random.Generator(np.random.PCG64(seed))
    drawn = sweeps(
        rng, history, prior or Prior(), len(names.stations), len(names.persons), count // 4, KEPT, every
    )  # fmt: skip
    return Learned(drawn, names)
