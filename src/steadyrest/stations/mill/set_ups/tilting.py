"""What a tilting table lays level under the spindle, and what is said where nothing goes so far."""

from __future__ import annotations

import math

import numpy as np

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import MillLimits
from steadyrest.shop.part import Feature, Vec3
from steadyrest.stations.mill.removal.cells import SIDES, Cells, direction
from steadyrest.stations.mill.set_ups.choose import SetUp, leans_on_table, tilted
from steadyrest.stations.mill.set_ups.needs import Need, dot
from steadyrest.stations.sizes import called, value_mm
from steadyrest.tables.practice import rule

TILTING = ("3+2", "5")
FALLS = 0.75  # of the side of a square as large: how far a face's edge lies from its middle, a triangle's too
LEVEL = 0.05  # cosine below which a face stands upright


def tilted_faces(
    cells: Cells, limits: MillLimits, set_up: SetUp, cut: tuple[str, ...], needs: tuple[Need, ...]
) -> tuple[str, ...]:
    """Sloped faces of a set-up that a face mill takes with the table tilted, rather than rows with a round end.

    Args:
        cells: part and blank.
        limits: of the mill.
        set_up: how it is held.
        cut: ids of what is cut in it.
        needs: of all features.
    Returns: their ids: plane, leaning from every side worked from, within the tilt, with nothing of the part over
        their plane beside them and clear above the jaws.
    """
    if limits.axes not in TILTING or set_up.base is None or set_up.hold.kind == "turned":
        return ()
    found: list[str] = []
    for need in needs:
        face = need.feature
        if face.id not in cut or face.kind != "face" or not need.sides:
            continue
        lean = [abs(dot(face.axis, direction(cells, side))) for side in set_up.sides]
        if any(one > rule("same_direction_cos") or one < LEVEL for one in lean):
            continue
        _, reached, _ = tilted(cells, limits, set_up.base, (face.axis,))
        if reached and _free(cells, face) and _above_jaws(cells, set_up, face):
            found.append(face.id)
    return tuple(found)


def _free(cells: Cells, face: Feature) -> bool:
    """Whether nothing of the part stands over a face's plane within a cutter's way of it."""
    origin, pitch = np.array(cells.grid.origin_mm), cells.pitch_mm
    at = (np.argwhere(cells.finished) + 0.5 - np.array(cells.pads)) * pitch
    points = at @ np.array(cells.grid.frame) + origin - np.array(face.at_mm)
    over = points @ np.array(face.axis)
    beside = np.linalg.norm(points - over[:, None] * np.array(face.axis), axis=1)
    return not bool(((over > 1.5 * pitch) & (beside < 1.5 * math.sqrt(max(face.area_mm2, 0.0)))).any())


def _above_jaws(cells: Cells, set_up: SetUp, face: Feature) -> bool:
    """Whether a face's lowest edge lies above what the jaws hold."""
    assert set_up.base is not None, "asked of a side that is up only"
    up = direction(cells, set_up.base)
    layer = cells.cell(face.at_mm)[set_up.base // 2]
    count = cells.finished.shape[set_up.base // 2]
    under = (layer if set_up.base % 2 == 0 else count - 1 - layer) - set_up.held_cells
    level = abs(dot(face.axis, up))
    falls = FALLS * math.sqrt(max(face.area_mm2, 0.0)) * math.sqrt(max(1.0 - level * level, 0.0))
    return under * cells.pitch_mm > falls


def not_tilted(cells: Cells, limits: MillLimits, need: Need, *, name: str) -> tuple[Reason, ...]:
    """Why what is open only at a slant was not made there.

    Args:
        cells: part and blank.
        limits: of the mill.
        need: seen from no side; open along its slants.
        name: of the machine.
    Returns: how far it leans and what the table, a sine vise and the room under the spindle allow; that the cutters
        do not get there, where all of these do.
    """
    way, side, lean = _least(cells, need.slant)
    feature, kind = need.feature.id, called(need.feature)
    axis = max(range(3), key=lambda k: abs(direction(cells, side)[k]))
    sign = "+" if direction(cells, side)[axis] > 0 else "-"
    says = because(
        "mill.only_slanted", feature=feature, kind=kind, tilt_deg=math.degrees(lean), side=sign + "XYZ"[axis]
    )
    found: list[Reason] = []
    if limits.axes in TILTING:
        low, high = (math.degrees(one) for one in limits.tilt_rad)
        _, reached, small = tilted(cells, limits, side, (way,))
        if small is not None:
            found.append(small)
        elif not reached:
            found.append(
                because("mill.tilt_less", machine=name, tilt_deg=math.degrees(lean), low_deg=low, high_deg=high)
            )
    most = math.degrees(limits.lean_rad)
    if not leans_on_table(cells, limits, way):
        if lean > limits.lean_rad:
            found.append(because("mill.lean_less", tilt_deg=math.degrees(lean), most_deg=most,
                                 over_deg=math.degrees(lean) - most))  # fmt: skip
        else:
            high_mm = sum(abs(dot(f, way)) * n * cells.pitch_mm
                          for f, n in zip(cells.grid.frame, cells.finished.shape, strict=True))  # fmt: skip
            found.append(because("mill.lean_tall", has_mm=high_mm, machine_mm=limits.travel_mm[2]))
    else:
        found.append(because("mill.slant_shut", feature=feature, depth_mm=_depth_mm(cells, need, way)))
    if any(reason.key == "mill.slant_shut" for reason in found):
        return (because("mill.undercut", feature=feature, kind=kind), says, *found)
    return (says, *found)


def _depth_mm(cells: Cells, need: Need, way: Vec3) -> float:
    """How far it is along a slant from a feature's cell out of the part's box."""
    assert need.cell is not None or need.slant, "asked of what is open at a slant only"
    if need.cell is None:
        return value_mm(need.feature, "depth_mm") or value_mm(need.feature, "length_mm") or 0.0
    far = math.inf
    for k, axis in enumerate(cells.grid.frame):
        along, pad, count = dot(axis, way), cells.pads[k], cells.finished.shape[k]
        if abs(along) > LEVEL:
            room = (count - pad - need.cell[k]) if along > 0 else (need.cell[k] + 1 - pad)
            far = min(far, room * cells.pitch_mm / abs(along))
    return far


def _least(cells: Cells, slants: tuple[Vec3, ...]) -> tuple[Vec3, int, float]:
    """Of several slants the one that leans least from a side, that side, and the angle."""
    found = [
        (math.acos(max(min(dot(way, direction(cells, side)), 1.0), -1.0)), side, way)
        for way in slants
        for side in range(SIDES)
    ]
    lean, side, way = min(found, key=lambda one: (round(one[0], 9), one[1]))
    return way, side, lean
