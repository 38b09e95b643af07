"""What is different between two readings of a part: features new and gone, sizes changed, places moved, the volume.

The two files need not lie alike: the older part is first brought onto the newer one in every way that its own
directions allow, and the pose in which most features fall on one another, place and size, is taken. Where several are
as good (a part that looks the same turned round), it stays as it lies.

What cannot be known: a feature that changed its size and its place at once reads as one gone and one new; of equal
features that changed places with one another nothing is seen; and where nothing is left of the older part, nothing
falls on anything and all is new. Sizes that two readings only tell apart within what they are sure of are the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.optimize import linear_sum_assignment

from steadyrest.part.compared.laid_over import Laid, Matrix, Pose, along_one, best_pose, laid
from steadyrest.shop.part import Feature, Part, Vec3

Kind = Literal["new", "gone", "size", "moved"]

# How far two readings of one thing may lie apart: common practice, no source. A scan's own noise and sigma are added.
PLACE_MM, SCAN_PLACE_MM = 0.02, 0.2
SIZE_MM, SCAN_SIZE_MM, ANGLE_DEG = 0.005, 0.05, 0.05
SIGMAS = 3.0
FAR = 1e6


@dataclass(frozen=True, slots=True)
class SizeChange:
    """A size that is another now. name: the size's key; before, after: in the unit that it ends with."""

    name: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Change:
    """What became of one feature. before: None where it is new. after: None where it is gone.

    sizes: those that are others now. moved: how its middle moved, in the newer file's directions; None: it stayed, as
    far as its changed sizes let it.
    """

    kind: Kind
    before: Feature | None
    after: Feature | None
    sizes: tuple[SizeChange, ...] = ()
    moved: Vec3 | None = None

    @property
    def moved_mm(self) -> float:
        """How far it moved; 0 where it stayed."""
        return 0.0 if self.moved is None else float(np.linalg.norm(self.moved))


@dataclass(frozen=True, slots=True)
class Difference:
    """changes: the features that are not as they were. same: (before, after) ids of those that are.

    turned: the file lies otherwise than the older one did. box_mm: the part's size before and after.
    volume_mm3: before and after; None where either surface is open. unit: the two files name other units.
    """

    changes: tuple[Change, ...]
    same: tuple[tuple[str, str], ...]
    turned: bool
    box_mm: tuple[Vec3, Vec3]
    volume_mm3: tuple[float, float] | None
    units: tuple[str, str]

    @property
    def nothing(self) -> bool:
        """Whether nothing was found to be different."""
        return not self.changes and not self.box_changed and not self.volume_changed

    @property
    def box_changed(self) -> bool:
        return any(abs(a - b) > max(SIZE_MM, 1e-6 * b) for a, b in zip(*self.box_mm, strict=True))

    @property
    def volume_changed(self) -> bool:
        """By more than a hundred-thousandth of itself: less is how the file was written."""
        return self.volume_mm3 is not None and abs(self.volume_mm3[1] - self.volume_mm3[0]) > 1e-5 * self.volume_mm3[0]

    def of(self, kind: Kind) -> tuple[Change, ...]:
        """The changes of one kind."""
        return tuple(one for one in self.changes if one.kind == kind)


def difference(before: Part, after: Part) -> Difference:
    """What is different between two readings.

    Args:
        before: the older one.
        after: the newer one.
    Returns: what changed, in the newer part's numerals where it has the feature.
    """
    old, new = laid(before), laid(after)
    place_mm = allowed_mm(before, after)
    alike = likeness(old, new, before, after)
    grown = np.array([[half_grown(one, other) for other in new.features] for one in old.features]).reshape(alike.shape)
    pose = best_pose(before, after, old, new, alike, 2 * place_mm + grown)
    pairs = matched(old, new, alike, pose, place_mm, grown)
    changes: list[Change] = []
    same: list[tuple[str, str]] = []
    for i, j in pairs:
        one, other = old.features[i], new.features[j]
        sizes = size_changes(one, other, before, after)
        moved = moved_by(pose.at(old.at[i : i + 1])[0], new.at[j], other, sizes, place_mm)
        if not sizes and moved is None:
            same.append((one.id, other.id))
        else:
            changes.append(Change("size" if sizes else "moved", one, other, sizes, moved))
    left, come = {i for i, _ in pairs}, {j for _, j in pairs}
    changes += [Change("gone", one, None) for i, one in enumerate(old.features) if i not in left]
    changes += [Change("new", None, one) for j, one in enumerate(new.features) if j not in come]
    volumes = before.volume_mm3, after.volume_mm3
    return Difference(
        changes=tuple(sorted(changes, key=order)),
        same=tuple(same),
        turned=not np.allclose(pose.turn, np.eye(3), atol=1e-3),
        box_mm=(before.size_mm, after.size_mm),
        volume_mm3=(volumes[0], volumes[1]) if volumes[0] is not None and volumes[1] is not None else None,
        units=(before.unit.name, after.unit.name),
    )


def order(one: Change) -> tuple[int, int, str]:
    """Changed sizes first, then what moved, is new, is gone; by numeral."""
    feature = one.after or one.before
    assert feature is not None
    digits = "".join(c for c in feature.id if c.isdigit())
    return ("size", "moved", "new", "gone").index(one.kind), int(digits or 0), feature.id


def allowed_mm(before: Part, after: Part) -> float:
    """How far the middle of one feature may lie apart in two readings."""
    scan = "scan" in (before.kind, after.kind)
    noise = max(before.noise_mm, after.noise_mm)
    return max(SCAN_PLACE_MM, 4 * noise) if scan else PLACE_MM


def likeness(old: Laid, new: Laid, before: Part, after: Part) -> Matrix:
    """How alike each pair is: 0 another kind, 1 the same kind, 2 the same sizes too."""
    found = np.zeros((len(old.features), len(new.features)))
    for i, one in enumerate(old.features):
        for j, other in enumerate(new.features):
            if one.kind == other.kind and one.inside == other.inside:
                found[i, j] = 1.0 if size_changes(one, other, before, after) else 2.0
    return found


def size_changes(one: Feature, other: Feature, before: Part, after: Part) -> tuple[SizeChange, ...]:
    """The sizes of two features of a kind that are not the same; a size that only one of them has is not compared."""
    scan = "scan" in (before.kind, after.kind)
    found: list[SizeChange] = []
    for size in one.sizes:
        now = other.size(size.name)
        if now is None:
            continue
        if size.name.endswith("_deg"):
            least = ANGLE_DEG
        else:
            least = SCAN_SIZE_MM if scan else SIZE_MM
        unsure = SIGMAS * float(np.hypot(size.uncertainty, now.uncertainty))
        if abs(size.estimate - now.estimate) > max(least, unsure if scan else 0.0, 1e-6 * abs(size.estimate)):
            found.append(SizeChange(size.name, size.estimate, now.estimate))
    return tuple(found)


def moved_by(
    was: Matrix, is_now: Matrix, feature: Feature, sizes: Sequence[SizeChange], place_mm: float
) -> Vec3 | None:
    """How a feature moved; None where its middle lies no further off than its changed sizes explain by themselves.

    A shaft that grew 10 mm at one end has its middle 5 mm further on, and has not moved.
    """
    step = is_now - was
    if feature.along_mm is not None:  # round about the axis: only along it is there a place
        step = step - (step - np.dot(step, feature.axis) * np.array(feature.axis)) * on_axis(feature)
    grown = max((abs(one.after - one.before) for one in sizes if one.name.endswith("_mm")), default=0.0)
    if np.linalg.norm(step) <= place_mm + share_grown(feature) * grown * (1 + 1e-9):
        return None
    return float(step[0]), float(step[1]), float(step[2])


def share_grown(feature: Feature) -> float:
    """How much of what it grew a feature's middle moves at most: an end face by all of the length, others by half."""
    return 1.0 if feature.kind == "face" else 0.5


def on_axis(feature: Feature) -> float:
    """1 for what stands round the part's axis, where across there is no place; else 0."""
    return 1.0 if feature.kind in ("shaft", "bore", "cone", "groove", "thread", "chamfer", "fillet", "face") else 0.0


# ---- which feature became which -----------------------------------------------------------------------------------


def matched(old: Laid, new: Laid, alike: Matrix, pose: Pose, place_mm: float, grown: Matrix) -> list[tuple[int, int]]:
    """(before, after) of features that are one: at the same place, or of the same sizes and direction, nearest first;
    of the rest, those that lie where what moved or grew has carried them."""
    if not alike.any():
        return []
    at = pose.at(old.at)
    far = np.linalg.norm(at[:, None, :] - new.at[None, :, :], axis=2)
    along = along_one(pose, old, new)
    reach = 1.0 + far.max(initial=0.0)
    cost = np.full(alike.shape, FAR)
    cost = np.where(along & (alike == 2.0), 2 + far / reach, cost)  # moved
    cost = np.where(along & (alike == 1.0) & (far <= place_mm + grown), 1 + far / reach, cost)  # grown where it was
    cost = np.where(along & (alike == 2.0) & (far <= place_mm), far / reach, cost)  # the same
    pairs = assigned(cost)
    carried = [new.at[j] - at[i] for i, j in pairs if far[i, j] > place_mm]
    carried += [way for i, j in pairs for way in lengthened(old.features[i], new.features[j])]
    left = [i for i in range(len(old.features)) if i not in {i for i, _ in pairs}]
    come = [j for j in range(len(new.features)) if j not in {j for _, j in pairs}]
    if not (carried and left and come):
        return pairs
    again = np.full(alike.shape, FAR)
    for way in carried:
        off = np.linalg.norm(at[:, None, :] + way - new.at[None, :, :], axis=2)
        again = np.where(along & (alike > 0) & (off <= place_mm + grown), np.minimum(again, off), again)
    return pairs + [(left[i], come[j]) for i, j in assigned(again[np.ix_(left, come)])]


def assigned(cost: Matrix) -> list[tuple[int, int]]:
    """The pairs of least cost, none of those that cannot be."""
    rows, columns = linear_sum_assignment(cost)
    return [(int(i), int(j)) for i, j in zip(rows, columns, strict=True) if cost[i, j] < FAR]


def lengthened(one: Feature, other: Feature) -> Iterator[Matrix]:
    """How far a stretch that grew may have carried what stands on it: by as much, along it either way."""
    was, now = one.size("length_mm"), other.size("length_mm")
    if was is not None and now is not None and was.estimate != now.estimate:
        way = (now.estimate - was.estimate) * np.array(other.axis)
        yield way
        yield -way


def half_grown(one: Feature, other: Feature) -> float:
    """How far a feature's middle moves when it grew at one end only."""
    both = ((size.estimate, now.estimate) for size in one.sizes if (now := other.size(size.name)) is not None
            and size.name.endswith("_mm"))  # fmt: skip
    return share_grown(one) * max((abs(a - b) for a, b in both), default=0.0) * (1 + 1e-9)
