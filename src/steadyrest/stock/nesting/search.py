"""The search for a nest: set down one by one, part what stands too near, push together what stands well.

Everything is counted in rounds, so that the same seed gives the same nest whenever the time is enough.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from steadyrest.stock.nesting.floor import FAR, Ground
from steadyrest.stock.nesting.moves import one_round, put, reckon, set_down, settle
from steadyrest.stock.nesting.near import Floats

MOST = 50
PATIENCE = 40
SHAKES = 8
GAINED = 0.98
PULL = 1e-3

Left = Callable[[], float]
Told = Callable[[str, float], None]


def silent(_what: str, _much: float) -> None:
    """Nobody is told."""


class Search:
    """Parts on their way to a nest. evals and rounds are counted for whoever measures."""

    def __init__(self, ground: Ground, seed: int, told: Told = silent) -> None:
        self.ground = ground
        self.told = told
        self.parts = len(ground.each)
        self.rng = np.array([seed], np.uint64)
        self.luck = np.random.Generator(np.random.PCG64(seed))
        self.weights = np.ones((self.parts, self.parts))
        self.lacks = np.zeros((self.parts, self.parts))
        self.rounds = 0
        shapes = ground.kinds.radius[ground.ways.kind]
        self.order = np.argsort(-shapes * _girth(ground), kind="stable")

    @property
    def poses(self) -> Floats:
        return self.ground.floor.pose[: self.parts]

    @property
    def _all(self):  # noqa: ANN202  what every compiled loop is given first
        g = self.ground
        return g.kinds, g.floor, g.bounds, g.ways

    def lay(self, left_s: Left, *, mixed: float = 0.0) -> None:
        """Every part to a first place, the largest first; mixed: how far the order is shuffled."""
        floor = self.ground.floor
        rank = np.arange(self.parts) + mixed * self.parts * self.luck.random(self.parts)
        self.weights[:] = 1.0
        floor.active[:] = False
        pull = self.ground.ways.pull
        side = self.luck.choice((-1.0, 1.0), 2) if mixed else np.ones(2)
        pull[:] = PULL * side * self.luck.permutation((1.0, 0.1)) if mixed else (PULL, 0.1 * PULL)
        for part in self.order[np.argsort(rank, kind="stable")]:
            set_down(*self._all, self.weights, self.rng, int(part))
            floor.active[part] = True
        pull[:] = 0.0
        self.reckon()

    def reckon(self) -> None:
        """What everything lacks, anew."""
        for part in range(self.parts):
            reckon(*self._all, self.lacks, part)

    def restore(self, poses: Floats) -> None:
        """Everything back to where it stood."""
        for part in range(self.parts):
            settle(self.ground.kinds, self.ground.floor, self.ground.ways, part, poses[part].copy())
        self.reckon()

    def parted(self, left_s: Left, *, rounds: int, shakes: int = SHAKES) -> bool:
        """Part what stands too near, in so many rounds at most. Returns: whether nothing lacks any more."""
        self.weights[:] = 1.0
        best, kept, quiet, shaken = np.inf, self.poses.copy(), 0, 0
        for _ in range(rounds):
            if left_s() <= 0:
                break
            self.rounds += 1
            total, worst = one_round(*self._all, self.weights, self.lacks, self.rng, MOST)
            if worst <= self.ground.ways.enough:
                return True
            if total < best * GAINED:
                best, kept, quiet = total, self.poses.copy(), 0
                self.told("lacking", total)
                continue
            quiet += 1
            if quiet >= PATIENCE:
                quiet = 0
                shaken += 1
                if shaken > shakes:
                    break
                self.restore(kept)
                self.shake()
        self.restore(kept)
        return False

    def shake(self) -> None:
        """Two parts change places, large ones more often; what weighed more is forgotten."""
        self.weights[:] = 1.0
        share = (1.0 / (1.0 + np.argsort(np.argsort(-self.ground.kinds.radius[self.ground.ways.kind])))) ** 0.5
        if self.parts < 2:
            return
        a, b = self.luck.choice(self.parts, 2, replace=False, p=share / share.sum())
        one, other = self.poses[a].copy(), self.poses[b].copy()
        for part, pose, place in ((a, one, other), (b, other, one)):
            pose[:2] = place[:2]
            settle(self.ground.kinds, self.ground.floor, self.ground.ways, int(part), pose)
            reckon(*self._all, self.lacks, int(part))

    def found(self, left_s: Left, *, tries: int, rounds: int) -> bool:
        """From several beginnings, until nothing lacks. Returns: whether that came about; if not, the best stands."""
        best, kept = np.inf, None
        for n in range(tries):
            self.lay(left_s, mixed=0.0 if n == 0 else 0.15 + 0.05 * min(n, 10))
            self.told("set down", self.total)
            if self.parted(left_s, rounds=rounds):
                return True
            if self.total < best:
                best, kept = self.total, self.poses.copy()
            if left_s() <= 0:
                break
        if kept is not None:
            self.restore(kept)
        return False

    @property
    def total(self) -> float:
        return float(np.tril(self.lacks).sum())


def _girth(ground: Ground) -> Floats:
    """The root of each part's area."""
    from steadyrest.stock.nesting.pieces import polygon

    return np.array([polygon(part.outline_mm).area ** 0.5 for part in ground.each])
