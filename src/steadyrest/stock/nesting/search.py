"""The search for a nest: set down one by one, part what stands too near, push together what stands well.

Everything is counted in rounds, so that the same seed gives the same nest whenever the time is enough.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from steadyrest.stock.nesting.floor import FAR, Ground
from steadyrest.stock.nesting.moves import Ways, one_round, reckon, set_down, settle, some_pose
from steadyrest.stock.nesting.near import Bounds, Floats, Floor, Kinds
from steadyrest.stock.nesting.pieces import polygon

MOST = 50
PATIENCE = 40
SHAKES = 8
GAINED = 0.98
PULL = 1e-3
NARROWEST = 0.004

Left = Callable[[], float]
Told = Callable[[str, float], None]


def silent(_what: str, _much: float) -> None:
    """Nobody is told."""


class Search:
    """Parts on their way to a nest. rounds: counted, for whoever measures."""

    def __init__(self, ground: Ground, seed: int, told: Told = silent) -> None:
        self.ground = ground
        self.told = told
        self.parts = len(ground.each)
        self.rng = np.array([seed], np.uint64)
        self.luck = np.random.Generator(np.random.PCG64(seed))
        self.weights = np.ones((self.parts, self.parts))
        self.lacks = np.zeros((self.parts, self.parts))
        self.rounds = 0
        ground.floor.active[:] = True
        self.areas = np.array([polygon(part.outline_mm, part.holes_mm).area for part in ground.each])
        self.order = np.argsort(-ground.kinds.radius[ground.ways.kind] * self.areas**0.5, kind="stable")

    @property
    def poses(self) -> Floats:
        return self.ground.floor.pose[: self.parts]

    @property
    def _all(self) -> tuple[Kinds, Floor, Bounds, Ways]:
        """What every compiled loop is given first."""
        g = self.ground
        return g.kinds, g.floor, g.bounds, g.ways

    def lay(self, *, mixed: float = 0.0) -> None:
        """Every part that takes part to a first place, the largest first; mixed: how far the order is shuffled."""
        floor = self.ground.floor
        wanted = floor.active.copy()
        rank = np.arange(self.parts) + mixed * self.parts * self.luck.random(self.parts)
        self.weights[:] = 1.0
        floor.active[:] = False
        pull = self.ground.ways.pull
        side = self.luck.choice((-1.0, 1.0), 2) if mixed else np.ones(2)
        pull[:] = PULL * side * self.luck.permutation((1.0, 0.1)) if mixed else (PULL, 0.1 * PULL)
        for part in self.order[np.argsort(rank, kind="stable")].tolist():
            if not wanted[part]:
                continue
            set_down(*self._all, self.weights, self.rng, part)
            floor.active[part] = True
        pull[:] = 0.0
        self.reckon()

    def reckon(self) -> None:
        """What everything lacks, anew."""
        self.lacks[:] = 0.0
        for part in np.flatnonzero(self.ground.floor.active).tolist():
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
        """Two parts change places, large ones more often, or a few are thrown anywhere; weights are forgotten."""
        self.weights[:] = 1.0
        share = (1.0 / (1.0 + np.argsort(self.order))) ** 0.5 * self.ground.floor.active
        there = int(np.count_nonzero(share))
        if there == 0:
            return
        if there == 1 or self.luck.random() < 0.5:
            many = min(there, int(self.luck.integers(1, 4)))
            for part in self.luck.choice(self.parts, many, replace=False, p=share / share.sum()).tolist():
                self.throw(part)
                reckon(*self._all, self.lacks, part)
            return
        a, b = self.luck.choice(self.parts, 2, replace=False, p=share / share.sum()).tolist()
        one, other = self.poses[a].copy(), self.poses[b].copy()
        for part, pose, place in ((a, one, other), (b, other.copy(), one.copy())):
            pose[:2] = place[:2]
            settle(self.ground.kinds, self.ground.floor, self.ground.ways, part, pose)
            reckon(*self._all, self.lacks, part)

    def throw(self, part: int) -> None:
        """A part to anywhere, turned as it may be."""
        pose = np.empty(4)
        some_pose(*self._all, self.rng, part, pose)
        settle(self.ground.kinds, self.ground.floor, self.ground.ways, part, pose)

    def scatter(self) -> None:
        """Every part to anywhere."""
        for part in np.flatnonzero(self.ground.floor.active).tolist():
            self.throw(part)
        self.reckon()

    def limit(self, axis: int, beyond: float, *, upward: bool) -> None:
        """Parts stay on this side of a line across x (axis 0) or y (1); upward: what is above it is spared."""
        side = 1.0 if upward else -1.0
        bounds, box = self.ground.bounds, self.ground.ways.box
        bounds.nx[-1], bounds.ny[-1] = (side, 0.0) if axis == 0 else (0.0, side)
        bounds.d[-1] = side * beyond
        box[:] = self.ground.room
        box[axis + 2 if upward else axis] = beyond
        self.reckon()

    def no_limit(self) -> None:
        """The whole plate again."""
        self.ground.bounds.d[-1] = FAR
        self.ground.ways.box[:] = self.ground.room
        self.reckon()

    def reach(self, axis: int, *, upward: bool) -> float:
        """How far the parts that stand reach towards one end."""
        whole = self.ground.floor.whole[: self.parts][self.ground.floor.active]
        return float(whole[:, axis + 2].max() if upward else whole[:, axis].min())

    def together(self, left_s: Left, *, axis: int, upward: bool, rounds: int) -> float:
        """Push all parts towards one end. Returns: how far they still reach. They stand clear before and after."""
        length = float(self.ground.room[axis + 2] - self.ground.room[axis])
        at, step, last = self.reach(axis, upward=upward), 0.04 * length, self.rounds + rounds
        while step > NARROWEST * length and self.rounds < last and left_s() > 0:
            kept = self.poses.copy()
            self.limit(axis, at - step if upward else at + step, upward=upward)
            if self.parted(left_s, rounds=min(last - self.rounds, 2 * PATIENCE), shakes=0):
                at = self.reach(axis, upward=upward)
                step *= 1.5
            else:
                self.restore(kept)
                step *= 0.5
        self.no_limit()
        return at

    def drop(self, part: int) -> None:
        """Leave a part out."""
        self.ground.floor.active[part] = False
        self.lacks[part, :] = self.lacks[:, part] = 0.0

    def take(self, part: int) -> float:
        """A part left out comes back to the best place there is. Returns: what it lacks there."""
        self.weights[:] = 1.0
        set_down(*self._all, self.weights, self.rng, part)
        self.ground.floor.active[part] = True
        reckon(*self._all, self.lacks, part)
        return float(self.lacks[part].sum())

    def worst(self) -> int:
        """The part to leave out first: lacking much for its area."""
        share = self.lacks.sum(axis=1) / self.areas
        share[~self.ground.floor.active] = -1.0
        return int(share.argmax())

    @property
    def total(self) -> float:
        return float(np.tril(self.lacks).sum())
