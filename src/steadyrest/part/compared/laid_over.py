"""How an older reading of a part is laid onto a newer one: in every way that its own directions allow, the best taken.

Two files of one part need not lie alike. The directions are those of the faces and axes, and of the way from one
feature to another. A pose is as good as features fall on their like; where several are as good, the part stays as it
lies.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np
import numpy.typing as npt

from steadyrest.shop.part import Feature, Part, Vec3

Matrix = npt.NDArray[np.float64]

ALONG = 0.985  # cosine within which two directions are one
# Only the largest features are asked how the part may lie; more change nothing but the time it takes.
ASKED = 24
MOST_TURNS = 400
DIRECTIONS = 4
FACE, MIDDLE = 0.25, 0.2  # what a plane face and the middle of the mass count beside a feature
FACE_MM = 1.0
ONE_WAY = ("pocket", "slot", "keyway", "flat", "boss")
NOT_COMPARED = ("free",)


@dataclass(frozen=True, slots=True)
class Laid:
    """Features as rows: at and axes (n, 3). normals (m, 3), offsets (m,): of its plane faces. centre: of its mass.

    one_way: of each feature, whether its axis has a head (out of a pocket) or only a line (through a hole).
    """

    features: tuple[Feature, ...]
    at: Matrix
    axes: Matrix
    one_way: npt.NDArray[np.bool_]
    normals: Matrix
    offsets: Matrix
    centre: Matrix | None


@dataclass(frozen=True, slots=True)
class Pose:
    """How the older part is brought onto the newer: turn (3, 3), shift (3,)."""

    turn: Matrix
    shift: Matrix

    def at(self, points: Matrix) -> Matrix:
        """Points (n, 3), brought over."""
        return points @ self.turn.T + self.shift


def laid(part: Part) -> Laid:
    """The features that are compared."""
    kept = tuple(one for one in part.features if one.kind not in NOT_COMPARED and one.sizes)
    faces = [one for one in part.features if one.kind == "face"]
    normals = rows([one.axis for one in faces])
    return Laid(
        features=kept,
        at=rows([one.at_mm for one in kept]),
        axes=rows([one.axis for one in kept]),
        one_way=np.array([one.kind in ONE_WAY or one.through is False for one in kept], dtype=bool),
        normals=normals,
        offsets=np.sum(normals * rows([one.at_mm for one in faces]), axis=1),
        centre=np.array(part.mass.centre_mm) if part.mass is not None else None,
    )


def rows(of: Sequence[Vec3]) -> Matrix:
    """Vectors as rows; (0, 3) where there are none."""
    return np.array(of, dtype=float).reshape(-1, 3)


def best_pose(before: Part, after: Part, old: Laid, new: Laid, alike: Matrix, near_mm: Matrix) -> Pose:
    """The pose in which most features fall on their like; as it lies, where none is better.

    A feature with the same sizes at the same place counts one, with other sizes a half.

    Args:
        before, after: the older and the newer part.
        old, new: their n and m features.
        alike: (n, m) 0 another kind, 1 of a kind, 2 of the same sizes.
        near_mm: (n, m) how far apart the middles may lie of what is one.
    Returns: the pose.
    """
    as_it_lies = Pose(np.eye(3), np.zeros(3))
    if not alike.any():
        return as_it_lies
    best, most = as_it_lies, fitting(as_it_lies, old, new, alike, near_mm)
    tried: set[tuple[float, ...]] = set()
    for turn in turns(before, after, old, new, alike):
        key = tuple(np.round(turn, 2).ravel().tolist())
        if key in tried:
            continue
        tried.add(key)
        for shift in shifts(turn, old, new, alike):
            pose = Pose(turn, shift)
            fits = fitting(pose, old, new, alike, near_mm)
            if fits > most + 1e-9:
                best, most = pose, fits
    return best


def fitting(pose: Pose, old: Laid, new: Laid, alike: Matrix, near_mm: Matrix) -> float:
    """How many features fall on their like; besides, plane faces that fall on one another, and the middle of mass."""
    far = np.linalg.norm(pose.at(old.at)[:, None, :] - new.at[None, :, :], axis=2)
    there = np.where((far <= near_mm) & along_one(pose, old, new), alike, 0.0)
    fits = float(there.max(axis=1, initial=0.0).sum() + there.max(axis=0, initial=0.0).sum()) / 4
    normals = old.normals @ pose.turn.T
    off = np.abs((old.offsets + normals @ pose.shift)[:, None] - new.offsets[None, :])
    fits += FACE * float(((normals @ new.normals.T >= ALONG) & (off <= near_mm.min(initial=FACE_MM))).any(axis=1).sum())
    if old.centre is not None and new.centre is not None:
        fits += MIDDLE / (1 + float(np.linalg.norm(pose.at(old.centre[None, :])[0] - new.centre)))
    return fits


def along_one(pose: Pose, old: Laid, new: Laid) -> npt.NDArray[np.bool_]:
    """Which features lie in one direction: either way, unless their axis has a head."""
    cosine = (old.axes @ pose.turn.T) @ new.axes.T
    return (cosine >= ALONG) | ((cosine <= -ALONG) & ~(old.one_way[:, None] & new.one_way[None, :]))


def turns(before: Part, after: Part, old: Laid, new: Laid, alike: Matrix) -> Iterator[Matrix]:
    """Every way in which the older part's own directions may lie on the newer one's."""
    yield np.eye(3)
    mine, theirs = own_directions(before), own_directions(after)
    for a, b in permutations(mine, 2):
        for c, d in permutations(theirs, 2):
            if abs(a @ b - c @ d) < 1 - ALONG and abs(a @ b) < ALONG:
                yield squared(c, d) @ squared(a, b).T
    pairs = [pair for pair in likely_pairs(alike, old) if alike[pair] == 2.0]
    found = 0
    for i, j in pairs:
        for k, m in pairs:
            for sign in (1.0, -1.0):
                turn = by_two(old, new, i, k, j, m, sign)
                if turn is not None:
                    yield turn
                    found += 1
                    if found >= MOST_TURNS:
                        return
    if before.profile is not None and after.profile is not None:  # nothing but what is round: any turn about the axis
        for sign in (1.0, -1.0):
            yield smallest_turn(np.array(before.profile.axis), sign * np.array(after.profile.axis))


def own_directions(part: Part) -> list[Matrix]:
    """The directions that a part has itself, both ways: of its faces and axes, those with the most surface first."""
    found: list[tuple[float, Matrix]] = []
    for one in sorted(part.features, key=lambda one: -one.area_mm2):
        axis = np.array(one.axis, dtype=float)
        size = np.linalg.norm(axis)
        if one.kind in NOT_COMPARED or size == 0:
            continue
        axis = axis / size
        if all(abs(axis @ other) < ALONG for _, other in found):
            found.append((one.area_mm2, axis))
    return [sign * axis for _, axis in found[:DIRECTIONS] for sign in (1.0, -1.0)]


def squared(a: Matrix, b: Matrix) -> Matrix:
    """Three square directions as columns, from a direction and a second one across it."""
    across = b - (b @ a) * a
    across /= np.linalg.norm(across)
    return np.stack((a, across, np.cross(a, across)), axis=1)


def likely_pairs(alike: Matrix, old: Laid) -> list[tuple[int, int]]:
    """Pairs of a kind: those with the same sizes first, of them those with the fewest doubles, then the largest."""
    rows, columns = np.nonzero(alike)
    many = (alike == 2.0).sum(axis=1)
    pairs = sorted(
        zip(rows.tolist(), columns.tolist(), strict=True),
        key=lambda p: (-alike[p], int(many[p[0]]), -old.features[p[0]].area_mm2, p),
    )
    return pairs[: ASKED * 2]


def by_two(old: Laid, new: Laid, i: int, k: int, j: int, m: int, sign: float) -> Matrix | None:
    """The turn by which feature i's axis falls on j's, and the way from i to k on that from j to m; None: no turn."""
    if i == k or j == m:
        return None
    mine = directions(old.axes[i], old.at[k] - old.at[i], old.axes[k])
    theirs = directions(sign * new.axes[j], new.at[m] - new.at[j], new.axes[m])
    if mine is None or theirs is None or mine[1] != theirs[1]:
        return None
    if mine[1] == "place":  # the two ways are as long and lean as much
        a, b = old.at[k] - old.at[i], new.at[m] - new.at[j]
        if abs(np.linalg.norm(a) - np.linalg.norm(b)) > 0.5 or abs(a @ old.axes[i] - sign * (b @ new.axes[j])) > 0.5:
            return None
    return theirs[0] @ mine[0].T


def directions(axis: Matrix, way: Matrix, other: Matrix) -> tuple[Matrix, str] | None:
    """Three directions as columns, from an axis and a second direction across it; None where there is none."""
    for across, kind in ((way, "place"), (other, "axis")):
        flat = across - (across @ axis) * axis
        size = np.linalg.norm(flat)
        if size > (1e-3 if kind == "place" else 0.1):
            second = flat / size
            return np.stack((axis, second, np.cross(axis, second)), axis=1), kind
    return None


def smallest_turn(a: Matrix, b: Matrix) -> Matrix:
    """The smallest turn that brings one unit vector onto another (Rodrigues' formula)."""
    cosine = float(a @ b)
    if cosine < -1 + 1e-9:
        side = np.eye(3)[int(np.argmin(np.abs(a)))]
        side = side - (side @ a) * a
        side /= np.linalg.norm(side)
        return 2 * np.outer(side, side) - np.eye(3)
    v = np.cross(a, b)
    cross = np.array([[0, -v[2], v[1]], [v[2], 0, -v[0]], [-v[1], v[0], 0]])
    return np.eye(3) + cross + cross @ cross / (1 + cosine)


def shifts(turn: Matrix, old: Laid, new: Laid, alike: Matrix) -> Iterator[Matrix]:
    """Shifts that bring a likely pair together, each once."""
    seen: set[tuple[float, ...]] = set()
    for i, j in likely_pairs(alike, old):
        shift = new.at[j] - turn @ old.at[i]
        key = tuple(np.round(shift, 2).tolist())
        if key not in seen:
            seen.add(key)
            yield shift
