"""The search for a nest: set down one by one, part what stands too near, press, repair exactly.

Everything is counted in rounds, so that the same seed gives the same nest whenever the time is enough.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from steadyrest.stock.nesting.exact import repaired, stand_exactly
from steadyrest.stock.nesting.feel import Forms, Room, Stand, reckon, settle
from steadyrest.stock.nesting.field import Floats
from steadyrest.stock.nesting.floor import FAR, Ground
from steadyrest.stock.nesting.pieces import polygon
from steadyrest.stock.nesting.press import press
from steadyrest.stock.nesting.seek import one_round, relocated, some_pose
from steadyrest.stock.nesting.shake import shake
from steadyrest.stock.nesting.table import Table

MOST = 60
PATIENCE, SHAKES = 60, 12
GAINED = 0.98
EVERY, PRESSED = 4, 60
NEARLY, AGAIN = 150.0, 0.6
EXACT_MM = 0.008
AT_ONCE, SMALL_STEP, NARROWEST, HAIR = 0.33, 0.01, 0.002, 1e-6
LONG = 1000
NEAR_ONLY, ANYTHING = 40, 1e300

Left = Callable[[], float]
Told = Callable[[str, float], None]


def silent(_what: str, _much: float) -> None:
    """Nobody is told."""


class Search:
    """Parts on their way to a nest. rounds: counted, for whoever measures."""

    def __init__(self, ground: Ground, table: Table, seed: int, told: Told = silent) -> None:
        self.ground, self.table, self.told = ground, table, told
        self.parts = len(ground.each)
        self.rng = np.array([seed], np.uint64)
        self.luck = np.random.Generator(np.random.PCG64(seed))
        self.weights = np.ones((self.parts, self.parts))
        self.even = np.ones((self.parts, self.parts))
        self.lacks = np.zeros((self.parts, self.parts))
        self.rounds = 0
        self.due = np.array([part.due for part in ground.each], np.int64)
        self.classes = np.unique(self.due).tolist()
        self.good_mm2, self.good = self.nothing, (np.zeros(self.parts, np.bool_), self.poses.copy())
        self.wrong = np.zeros(self.parts)
        self.on = table.stand.on
        self.on[:] = True
        self.areas = np.array([polygon(part.outline_mm, part.holes_mm).area for part in ground.each])
        self.order = np.argsort(-table.forms.size[table.base, 3] * self.areas**0.5, kind="stable")

    @property
    def nothing(self) -> tuple[float, ...]:
        """The area that is placed before anything is, of each due time, the first first."""
        return (0.0,) * len(self.classes)

    @property
    def poses(self) -> Floats:
        return self.table.stand.pose

    @property
    def _all(self) -> tuple[Forms, Room, Stand]:
        """What every compiled loop is given first."""
        return self.table.forms, self.table.room, self.table.stand

    def lay(self, *, mixed: float = 0.0) -> None:
        """Every part that takes part to a first place, the largest first; mixed: how far the order is shuffled."""
        wanted = self.on.copy()
        rank = np.arange(self.parts) + mixed * self.parts * self.luck.random(self.parts)
        self.on[:] = False
        for part in self.order[np.argsort(rank, kind="stable")].tolist():
            if wanted[part]:
                self.set_down(part)
        self.reckon()

    def one_by_one(self) -> None:
        """Of those that take part, each that finds a free place, those due first and the largest first; no other."""
        wanted = self.on.copy()
        self.on[:] = False
        self.reckon()
        for part in self.order[np.argsort(self.due[self.order], kind="stable")].tolist():
            if wanted[part]:
                self.take(part)
                if self.lacks[part].max() > self.ground.ways.enough:
                    self.drop(part)

    def set_down(self, part: int) -> None:
        """A part to the best place that is found, as if it stood nowhere yet."""
        pose = self.poses[part].copy()
        relocated(*self._all, self.ground.ways, self.even, self.rng, part, pose, np.inf)
        self.settle(part, pose)

    def set_down_near(self, part: int, pose: Floats) -> None:
        """A part to the best place that is found near a pose."""
        near = self.ground.ways._replace(wide=0, near=NEAR_ONLY)
        relocated(*self._all, near, self.even, self.rng, part, pose, ANYTHING)
        self.settle(part, pose)

    def settle(self, part: int, pose: Floats) -> None:
        """A part to a pose, to take part from now on."""
        settle(self.table.forms, self.table.stand, part, int(self.table.base[part]), pose)
        self.on[part] = True

    def reckon(self) -> None:
        """What everything lacks, anew."""
        self.lacks[:] = 0.0
        for part in np.flatnonzero(self.on).tolist():
            reckon(*self._all, self.lacks, part)

    def restore(self, poses: Floats) -> None:
        """Everything back to where it stood."""
        for part in range(self.parts):
            settle(self.table.forms, self.table.stand, part, int(self.table.base[part]), poses[part].copy())
        self.reckon()

    def press(self, steps: int = PRESSED, pull: tuple[float, float] = (0.0, 0.0)) -> None:
        """All parts moved a little, together; pull: what a mm along x and y costs, mm to the mm of a part's circle."""
        ways = self.ground.ways
        press(*self._all, self.table.base, ways.free, self.even, np.array(pull), steps, 0.1 * ways.enough)
        self.reckon()

    def repaired(self, left_s: Left) -> bool:
        """Make exact what nearly stands clear. Returns: whether it came about; otherwise nothing has moved."""
        ground = self.ground
        ground.floor.active[:] = self.on
        self.wrong = repaired(ground, self.poses, left_s, reach_mm=self.table.reach, enough_mm=EXACT_MM)
        if self.wrong.max() > EXACT_MM:
            return False
        for part in np.flatnonzero(self.on).tolist():
            settle(self.table.forms, self.table.stand, part, int(self.table.base[part]), ground.floor.pose[part].copy())
        self.reckon()
        area = tuple(float(self.areas[self.on & (self.due == due)].sum()) for due in self.classes)
        if area >= self.good_mm2:
            self.good_mm2, self.good = area, (self.on.copy(), self.poses.copy())
        return True

    def parted(self, left_s: Left, *, rounds: int, shakes: int = SHAKES) -> bool:
        """Part what stands too near, in so many rounds at most. Returns: whether all stand clear, exactly."""
        enough = self.ground.ways.enough
        self.weights[:] = 1.0
        best, kept, quiet, shaken, tried = np.inf, self.poses.copy(), 0, 0, np.inf
        for n in range(rounds):
            if left_s() <= 0:
                break
            self.rounds += 1
            one_round(*self._all, self.ground.ways, self.weights, self.lacks, self.rng, MOST)
            if n % EVERY == 0 or self.lacks.max() <= enough:
                self.press()
            total = self.total
            if total <= min(NEARLY * enough, AGAIN * tried) or self.lacks.max() <= enough:
                tried = total
                if self.repaired(left_s):
                    return True
                if self.lacks.max() <= enough:
                    self.loosen()
                    tried = np.inf
            if total < best * GAINED:
                best, kept, quiet = total, self.poses.copy(), 0
                self.told("lacking", self.depth)
                continue
            quiet += 1
            if quiet >= PATIENCE:
                quiet = 0
                shaken += 1
                if shaken > shakes:
                    break
                self.restore(kept)
                shake(self)
                best, tried = 1.3 * best, np.inf
        self.restore(kept)
        return False

    def loosen(self) -> None:
        """The grids find nothing, the exact repair did: what it could not put right is set down anew, elsewhere."""
        wrong = np.flatnonzero(self.wrong > EXACT_MM)
        part = int(self.luck.choice(wrong))
        there = self.poses[part].copy()
        self.on[part] = False
        for _ in range(5):
            self.set_down(part)
            if math.dist(there[:2], self.poses[part, :2]) > self.table.reach:
                break
        reckon(*self._all, self.lacks, part)

    def throw(self, part: int) -> None:
        """A part to anywhere, turned as it may be."""
        pose = np.empty(4)
        some_pose(*self._all, self.ground.ways, self.rng, part, pose)
        settle(self.table.forms, self.table.stand, part, int(self.table.base[part]), pose)

    def scatter(self) -> None:
        """Every part to anywhere."""
        for part in np.flatnonzero(self.on).tolist():
            self.throw(part)
        self.reckon()

    def limit(self, axis: int, beyond: float, *, upward: bool) -> None:
        """Parts stay on this side of a line across x (axis 0) or y (1); upward: what is above it is spared."""
        side = 1.0 if upward else -1.0
        bounds, room = self.ground.bounds, self.table.room
        bounds.nx[-1], bounds.ny[-1] = (side, 0.0) if axis == 0 else (0.0, side)
        bounds.d[-1] = side * beyond
        room.line[:] = bounds.nx[-1], bounds.ny[-1], side * beyond + self.table.spare
        room.box[:] = self.ground.room
        room.box[axis + 2 if upward else axis] = beyond
        self.reckon()

    def no_limit(self) -> None:
        """The whole plate again."""
        self.ground.bounds.d[-1] = self.table.room.line[2] = FAR
        self.table.room.box[:] = self.ground.room
        self.reckon()

    def reach(self, axis: int, *, upward: bool) -> float:
        """How far the parts that stand reach towards one end, exactly."""
        self.ground.floor.active[:] = self.on
        stand_exactly(self.ground, self.poses)
        whole = self.ground.floor.whole[: self.parts][self.on]
        return float(whole[:, axis + 2].max() if upward else whole[:, axis].min())

    def together(self, left_s: Left, *, axis: int, upward: bool, rounds: int) -> float:
        """Push all parts towards one end. Returns: how far they still reach. They stand clear before and after.

        Great steps first, a share of the length that no part covers; where a small one does not succeed, some parts are
        put elsewhere, again and again, and then it is halved, for as long as there are rounds and time.
        """
        length = float(self.ground.room[axis + 2] - self.ground.room[axis])
        at, last = self.reach(axis, upward=upward), self.rounds + rounds
        step, small, stuck = self._at_once(at, axis, upward=upward), SMALL_STEP * length, False
        while step > HAIR * length and self.rounds < last and left_s() > 0:
            kept = self.poses.copy()
            self.limit(axis, at - step if upward else at + step, upward=upward)
            most, shakes = (LONG, SHAKES) if stuck else (2 * PATIENCE, 0)
            if self.parted(left_s, rounds=min(last - self.rounds, most), shakes=shakes):
                at = self.reach(axis, upward=upward)
                step = min(1.5 * step, small if stuck else length, self._at_once(at, axis, upward=upward))
                continue
            self.restore(kept)
            if stuck or step > small:
                step = max(0.5 * step, NARROWEST * length)
            else:
                stuck = True
        self.no_limit()
        return at

    def _at_once(self, at: float, axis: int, *, upward: bool) -> float:
        """How much shorter is tried at once: a share of the length that parts reaching so far leave uncovered."""
        room = self.ground.room
        far = at - float(room[axis]) if upward else float(room[axis + 2]) - at
        across = float(room[3 - axis] - room[1 - axis])
        return AT_ONCE * max(far - float(self.areas[self.on].sum()) / across, 0.0)

    def drop(self, part: int) -> None:
        """Leave a part out."""
        self.on[part] = False
        self.lacks[part, :] = self.lacks[:, part] = 0.0

    def take(self, part: int) -> None:
        """A part left out comes back to the best place there is."""
        self.set_down(part)
        reckon(*self._all, self.lacks, part)

    def stand_good(self) -> None:
        """The best that ever stood clear, exactly, stands again."""
        self.on[:] = self.good[0]
        self.restore(self.good[1])

    def fill(self, left_s: Left, *, rounds: int) -> None:
        """Parts left out find places: each by itself, those due first and the largest first; then in exchange for
        smaller ones, or ones due later."""
        out = self.order[np.argsort(self.due[self.order], kind="stable")].tolist()
        for part in [part for part in out if not self.on[part]]:
            self.taken([part], [], left_s, rounds=rounds)
        while left_s() > 0 and not self.on.all() and self.on.any():
            out = np.flatnonzero(~self.on)
            part = int(self.luck.choice(out))
            give = list[int]()
            if self.luck.random() < 0.8:
                alike = (self.due == self.due[part]) & (self.areas < self.areas[part] * (1 - 1e-9))
                smaller = np.flatnonzero(self.on & (alike | (self.due > self.due[part])))
                if len(smaller):
                    give = [int(self.luck.choice(smaller))]
            self.taken([part], give, left_s, rounds=rounds)

    def taken(self, parts: list[int], give: list[int], left_s: Left, *, rounds: int) -> bool:
        """Take some parts in exchange for others. Returns: whether it came about; if not, all is as it was."""
        on, poses = self.on.copy(), self.poses.copy()
        for part in give:
            self.drop(part)
        for part in parts:
            self.take(part)
        if self.parted(left_s, rounds=rounds, shakes=0):
            return True
        self.on[:] = on
        self.restore(poses)
        return False

    def worst(self) -> int:
        """The part to leave out first: of those due last, the one lacking much for its area."""
        share = self.lacks.sum(axis=1) / self.areas
        share[~self.on | (self.due < self.due[self.on].max())] = -1.0
        return int(share.argmax())

    @property
    def depth(self) -> float:
        """About how deep parts stand in each other, mm, for whoever waits."""
        return math.sqrt(self.total / float(np.median(self.table.forms.size[self.table.base, 3])))

    @property
    def total(self) -> float:
        return float(np.tril(self.lacks).sum())
