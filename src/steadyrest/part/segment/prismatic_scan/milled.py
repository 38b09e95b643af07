"""Slots with round ends in the flat faces of a scan, measured as one shape: two walls alike, two ends as wide as they.

Found apart, a low wall is few points wide and leans, an end comes in pieces, and a wall that the scanner half saw is
not believed. The shape as a whole has five numbers (middle, direction, length, width) and its face knows how it stands.
Source: distance from a segment, closed form; settled by least squares, far points counted less (Beaton and Tukey 1974).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.flat import Plane
from steadyrest.part.fit.round import Turned
from steadyrest.part.fit.solve import across, tukey
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.mouths import LEAST_RIM, borders_of, faces_of
from steadyrest.part.segment.prismatic_scan.regions import Limits
from steadyrest.part.segment.prismatic_scan.upright import INWARD, Upright, inner_part, upright_of
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

WIDTH = 6.0  # sigmas within which a point pulls
RIM_OFF = 0.08  # rms of a rim off the shape, of its half width
SHORTEST = 0.3  # of the half width: half the straight part; of less, a hole a little out of round
WITHIN = 0.7  # of the half width: nearer to its middle line no point of the face lies
ABOUT_MM = 0.8  # how far inside the rim a wall may stand, and half the mesh's spacing more: edges are rounded
BINS, LEAST_BINS = 24, 15  # stretches of the way round; how many must hold points
LEAST_POINTS = 30
LOOSE = 3.0  # sigmas by which its points may scatter
LEAST_END = 5  # of 8 sectors of each end: else it may be a pocket's, square or rounded less
OUTSIDE, MOST_OUTSIDE = 0.3, 0.06  # of the half width beyond its outline; share of its points that may lie there
MOSTLY = 0.5  # share of a find's points on the shape that makes it a piece of it
STEPS = 12


@dataclass(frozen=True, slots=True)
class Slot:
    """A slot seen along its walls. x, y: its middle. turn_rad: of its length. half_mm: of its straight part."""

    x: float
    y: float
    turn_rad: float
    half_mm: float
    radius_mm: float

    def own(self, x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
        """(n,) places along and across it."""
        c, s = np.cos(self.turn_rad), np.sin(self.turn_rad)
        dx, dy = x - self.x, y - self.y
        return c * dx + s * dy, c * dy - s * dx

    def off(self, x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """(n,) distances outward from its outline, and (n,) both parts of the way out, along and across it."""
        along, side = self.own(x, y)
        beyond = np.sign(along) * np.maximum(np.abs(along) - self.half_mm, 0.0)
        away = np.maximum(np.hypot(beyond, side), 1e-9)
        return away - self.radius_mm, beyond / away, side / away


def milled(skin: Skin, seen: BoolArray, found: Sequence[Found], *, limits: Limits) -> list[Found]:
    """The finds, slots that open into flat faces measured as one shape each.

    Args:
        skin: the mesh made ready. seen: (n,) points that were seen. found: finds of a scan without an axis of its own.
        limits: what counts.
    Returns: finds; two walls and two ends of each slot are last, and pieces of them that were found apart are gone.
    """
    out = list(found)
    taken = np.zeros(len(skin.points), dtype=np.bool_)
    made: list[Found] = []
    for face in faces_of(skin, found, limits=limits):
        plane = face.surface
        assert isinstance(plane, Plane)
        rims = [rim for rim in borders_of(skin, face.members) if len(rim) >= LEAST_RIM]
        starts = [(rim, slot) for rim in rims for slot in [rim_slot(skin, face, rim)] if slot is not None]
        around = upright_of(skin, seen, plane.normal) if starts else None
        for _, start in starts:
            assert around is not None
            if any(opens_into(plane, start, part) for part in made):
                continue
            made += parts_at(around, plane, start, ABOUT_MM + 0.5 * skin.spacing_mm, limits=limits)
    for part in made:
        taken[part.members] = True
    out = [f for f in out if not is_piece(f, taken)]
    left = [replace(f, members=f.members[~taken[f.members]]) if taken[f.members].any() else f for f in out]
    return left + made


def opens_into(plane: Plane, rim: Slot, part: Found) -> bool:
    """Whether a rim is the other mouth of a slot that was measured before: told by one of its ends."""
    end = part.surface
    if not isinstance(end, Turned) or abs(float(end.axis @ plane.normal)) < 0.999:
        return False
    u, v = across(plane.normal)
    along, side = rim.own(np.array([end.point @ u]), np.array([end.point @ v]))
    return abs(abs(float(along[0])) - rim.half_mm) < 0.5 * rim.radius_mm and abs(float(side[0])) < 0.3 * rim.radius_mm


def is_piece(found: Found, taken: BoolArray) -> bool:
    """Whether most of a find lies on slots measured as a whole."""
    return float(taken[found.members].mean()) > MOSTLY


def rim_slot(skin: Skin, face: Found, rim: IntArray) -> Slot | None:
    """The slot whose rim a face leaves free, or None where it has another shape."""
    plane = face.surface
    assert isinstance(plane, Plane)
    u, v = across(plane.normal)
    x, y = skin.points[rim] @ u, skin.points[rim] @ v
    flat = np.stack((x - x.mean(), y - y.mean()), axis=1)
    _, _, turn = np.linalg.svd(flat, full_matrices=False)
    along, side = flat @ turn[0], flat @ turn[1]
    radius = float(np.ptp(side)) / 2
    half = float(np.ptp(along)) / 2 - radius
    if radius < 1.2 * skin.spacing_mm or half < 0.1 * radius:
        return None
    middle = (along.max() + along.min()) / 2 * turn[0] + (side.max() + side.min()) / 2 * turn[1]
    start = Slot(x.mean() + middle[0], y.mean() + middle[1], float(np.arctan2(turn[0, 1], turn[0, 0])), half, radius)
    fitted = closer(x, y, start, 0.5 * radius)
    if fitted is None or fitted.half_mm < SHORTEST * fitted.radius_mm:
        return None
    off = fitted.off(x, y)[0]
    if float(np.sqrt(np.mean(off * off))) > RIM_OFF * fitted.radius_mm + 0.2 * skin.spacing_mm:
        return None
    q = skin.points[face.members]
    inner = fitted.off(q @ u, q @ v)[0] < -(1 - WITHIN) * fitted.radius_mm
    return None if inner.any() or filled(fitted, x, y) < LEAST_BINS else fitted


def filled(slot: Slot, x: FloatArray, y: FloatArray) -> int:
    """How many of the equal stretches of a slot's outline hold points."""
    return len(np.unique(stretch_of(slot, x, y)))


def stretch_of(slot: Slot, x: FloatArray, y: FloatArray) -> IntArray:
    """(n,) the stretch of the outline beside which a point lies."""
    along, side = slot.own(x, y)
    straight, bend = 2 * slot.half_mm, np.pi * slot.radius_mm
    place = np.where(side > 0, np.clip(slot.half_mm - along, 0, straight), np.clip(slot.half_mm + along, 0, straight))
    place = place + np.where(side > 0, 0.0, straight + bend)
    beyond = np.abs(along) > slot.half_mm
    angle = np.arctan2(side, np.abs(along) - slot.half_mm)  # -pi/2 .. pi/2 beside an end
    left = straight + bend / 2 - slot.radius_mm * angle
    right = 2 * straight + 1.5 * bend + slot.radius_mm * angle
    place = np.where(beyond, np.where(along < 0, left, right), place)
    total = 2 * (straight + bend)
    return (place / total * BINS).astype(np.int64) % BINS


def parts_at(around: Upright, plane: Plane, start: Slot, about_mm: float, *, limits: Limits) -> list[Found]:
    """The walls and ends of the slot that opens at a rim; none where too little of it is there."""
    u, v = across(plane.normal)
    width = WIDTH * limits.noise_mm + 1e-9
    face = float(plane.point @ plane.normal)
    ready = walls_about(around, start, about_mm + width) & (np.abs(around.z - face) < 2 * start.radius_mm + 2)
    slot: Slot | None = start
    for wide in (about_mm + width, 0.5 * about_mm + width, width):
        slot = slot and closer(around.x[ready], around.y[ready], slot, wide)
    if slot is None:
        return []
    held, low, high = ready, 0.0, 0.0
    for _ in range(2):
        ready = walls_about(around, slot, 2 * width)
        close = ready & (np.abs(slot.off(around.x, around.y)[0]) < width)
        if np.count_nonzero(close) < LEAST_POINTS:
            return []
        low, high = inner_part(around.z[close])
        ready &= (around.z > low) & (around.z < high)
        slot = closer(around.x[ready], around.y[ready], slot, width)
        if slot is None:
            return []
        held = ready & (np.abs(slot.off(around.x, around.y)[0]) < width)
    if slot.half_mm < SHORTEST * slot.radius_mm or abs(slot.radius_mm - start.radius_mm) > about_mm:
        return []
    if not stands(slot, around.x[held], around.y[held], limits=limits):
        return []
    # What is hung across a slot lies inside of it; a wall outside of it is the corner of a pocket.
    beyond = walls_about(around, slot, width + OUTSIDE * slot.radius_mm) & (around.z > low) & (around.z < high)
    beyond &= slot.off(around.x, around.y)[0] > width
    if np.count_nonzero(beyond) > MOST_OUTSIDE * np.count_nonzero(held):
        return []
    return pieces(around, slot, held, plane.normal, u, v)


def stands(slot: Slot, x: FloatArray, y: FloatArray, *, limits: Limits) -> bool:
    """Whether points lie closely on a slot, round most of it, and on both of its sides."""
    if len(x) < LEAST_POINTS or filled(slot, x, y) < LEAST_BINS:
        return False
    off = slot.off(x, y)[0]
    return float(np.sqrt(np.mean(off * off))) < LOOSE * limits.noise_mm


def walls_about(around: Upright, slot: Slot, near_mm: float) -> BoolArray:
    """(n,) points so near to a slot's outline that look into it."""
    off, along, side = slot.off(around.x, around.y)
    c, s = np.cos(slot.turn_rad), np.sin(slot.turn_rad)
    inward = -(around.nx * (c * along - s * side) + around.ny * (s * along + c * side))
    return (np.abs(off) < near_mm) & (inward > INWARD)


def closer(x: FloatArray, y: FloatArray, start: Slot, width: float) -> Slot | None:
    """The slot that points within a width of its outline agree on; None if it ran away."""
    here = start
    for _ in range(STEPS):
        off, along, side = here.off(x, y)
        w = np.sqrt(tukey(off, width))
        if np.count_nonzero(w) < LEAST_RIM:
            return None
        c, s = np.cos(here.turn_rad), np.sin(here.turn_rad)
        a, b = here.own(x, y)
        rows = np.stack((
            c * along - s * side, s * along + c * side, side * a - along * b, np.abs(along), np.ones_like(off)
        ), axis=1)  # fmt: skip
        change = np.linalg.lstsq(rows * w[:, None], off * w, rcond=1e-6)[0]
        here = Slot(
            here.x + float(change[0]), here.y + float(change[1]), here.turn_rad + float(change[2]),
            max(here.half_mm + float(change[3]), 0.0), here.radius_mm + float(change[4]),
        )  # fmt: skip
        if not 0.6 < here.radius_mm / start.radius_mm < 1.6 or here.half_mm > 2 * start.half_mm + start.radius_mm:
            return None
        if float(np.abs(change).max()) < 1e-5:
            break
    return here


def pieces(around: Upright, slot: Slot, held: BoolArray, axis: FloatArray, u: FloatArray, v: FloatArray) -> list[Found]:
    """Both ends as finds, and each wall that has points enough."""
    along, side = slot.own(around.x, around.y)
    c, s = np.cos(slot.turn_rad), np.sin(slot.turn_rad)
    long, wide = c * u + s * v, c * v - s * u
    middle = slot.x * u + slot.y * v + float(around.z[held].mean()) * axis
    out: list[Found] = []
    for sense in (-1.0, 1.0):
        end = held & (sense * along > slot.half_mm)
        turn = np.arctan2(side[end], sense * along[end] - slot.half_mm)  # -pi/2 .. pi/2
        if len(np.unique(np.clip((turn / np.pi + 0.5) * 8, 0, 7).astype(np.int64))) < LEAST_END:
            return []
        at = middle + sense * slot.half_mm * long
        out.append(Found(Turned(at, axis, slot.radius_mm), around.some[end], inside=True))
        wall = held & (np.abs(along) <= slot.half_mm) & (sense * side > 0)
        if np.count_nonzero(wall) >= LEAST_RIM:
            out.append(Found(Plane(middle + sense * slot.radius_mm * wide, -sense * wide), around.some[wall]))
    return out
