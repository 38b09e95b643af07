"""What the cutter leaves of a plate that is more than its outline: drilled by hand where that is all, else milled.

The mill sees the plate as it comes from the cutter: what is cut away already is no metal of its any more, so it is
left out of what there is to remove, and the box of the plate is what it clamps.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from steadyrest.route.assembly import Job
from steadyrest.route.flat_drilling import Drilled
from steadyrest.route.plate_thickness import is_faced, nearest_kept_mm
from steadyrest.route.refusals import said_once
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Material
from steadyrest.shop.part import Feature, Part
from steadyrest.shop.same import Same
from steadyrest.shop.solid_grid import SolidGrid, grid_of
from steadyrest.shop.work import Blank, Step, Undone
from steadyrest.stations import sizes
from steadyrest.stations.answer import State
from steadyrest.stations.known import STATIONS
from steadyrest.stations.plate.drilling import by_hand, not_by_hand
from steadyrest.tables.practice import rule


def finished(job: Job, state: State, undone: Sequence[Undone]) -> Drilled:
    """The steps after the cut, until every feature is made, and what nobody makes.

    Args:
        job: of a plate with cells.
        state: after the cut.
        undone: what the cutter refused.
    Returns: steps and refusals.
    """
    left = [feature for feature in job.part.features if feature.id not in state.done]
    if not left and not is_faced(job.part):
        return Drilled((), ())
    reasons: dict[str, list[Reason]] = {
        feature.id: [why for no in undone if feature.id in no.features for why in no.reasons] for feature in left
    }
    stocked = frozenset(name for name, said in reasons.items() if any(why.key == "plate.coarse" for why in said))
    milled, refused = _milled(job, state, left, stocked)
    if not milled and is_faced(job.part):
        return Drilled((), _not_faced(job, refused))
    ways = [milled] if milled else []
    able = [feature for feature in left if feature.kind == "bore" and feature.through and not_by_hand(feature) is None]
    bench = by_hand(job.ask((), state, None), able)
    if bench is not None and not is_faced(job.part):
        rest, _ = _milled(job, state, [feature for feature in left if feature not in able], stocked)
        ways.append((*rest, bench))
    best = min(ways, key=lambda steps: (-sum(len(s.makes) for s in steps), _lot_s(steps)), default=())
    made = {name for step in best for name in step.makes}
    for no in refused:
        for name in no.features:
            reasons.setdefault(name, []).extend(no.reasons)
    nearest = {name: no.nearest for no in refused for name in no.features}
    kept = said_once(
        Undone("mill", None, (one.id,), _once(reasons[one.id], one), nearest.get(one.id))
        for one in left
        if one.id not in made
    )
    return Drilled(tuple(best), kept)


def _not_faced(job: Job, refused: Sequence[Undone]) -> tuple[Undone, ...]:
    """No mill takes the skin off: the part would stay as thick as the plate."""
    why = tuple(dict.fromkeys(reason for no in refused for reason in no.reasons))
    ids = tuple(feature.id for feature in job.part.features)
    thick_mm = job.part.plate_side.thickness_mm if job.part.plate_side else job.part.size_mm[2]
    nearest = because("route.nearest_as_plate", thick_mm=nearest_kept_mm(thick_mm, job.shop))
    return (Undone("mill", None, ids, (*_faced(job.part), *why), nearest),)


def _faced(part: Part) -> tuple[Reason, ...]:
    """That it is cut from thicker plate, where it is."""
    side = part.plate_side
    if side is None or not is_faced(part):
        return ()
    return (because("route.plate_faced", has_mm=side.thickness_mm, thick_mm=part.size_mm[2]),)


def _once(reasons: Sequence[Reason], feature: Feature) -> tuple[Reason, ...]:
    return tuple(dict.fromkeys(reasons)) or (because("route.nobody", feature=feature.id),)


def _lot_s(steps: Sequence[Step]) -> float:
    return sum(phase.duration_s.value for step in steps for phase in step.phases)


def _milled(
    job: Job, state: State, left: Sequence[Feature], stocked: frozenset[str]
) -> tuple[tuple[Step, ...], tuple[Undone, ...]]:
    """The mill that makes most of what is left, then soonest. stocked: features cut with stock left for it."""
    if job.part.grid is None or not (left or is_faced(job.part)):
        return (), ()
    part, blank = as_plate_blank(job, left, stocked)
    asked = replace(job, part=part)
    block = replace(state, blank=blank, sheets=(), sawn=True)
    ids = [feature.id for feature in left]
    answers = [STATIONS["mill"](asked.ask(ids, block, machine)) for machine in job.machines("mill") if machine]
    best = max(answers, key=lambda one: (bool(one.steps), len(one.made), -_lot_s(one.steps)), default=None)
    if best is None:
        return (), ()
    notes = (*_faced(job.part), because("route.plate_as_box"))
    return tuple(replace(step, notes=(*step.notes, *notes)) for step in best.steps), best.undone


def as_plate_blank(job: Job, left: Sequence[Feature], stocked: frozenset[str] = frozenset()) -> tuple[Part, Blank]:
    """The part as the mill finds it after the cut, and the box that it clamps.

    Args:
        job: of a plate with cells.
        left: features not made yet.
        stocked: those of them that are cut, but with stock left for the mill.
    Returns: (part, blank).
    """
    return _as_plate_blank(Same(job.part), tuple(feature.id for feature in left), stocked, Same(job.material))


@lru_cache(maxsize=16)
def _as_plate_blank(
    of: Same[Part], names: tuple[str, ...], stocked: frozenset[str], made_of: Same[Material]
) -> tuple[Part, Blank]:
    whole, material = of.it, made_of.it
    left = [feature for feature in whole.features if feature.id in set(names)]
    grid = whole.grid
    assert grid is not None, "only a plate with cells is milled"
    faced = is_faced(whole)
    edges = edges_left(whole, left)
    rim_mm = 2.0 * rule("plate_edge_stock_mm") if 0 in edges else 0.0
    x, y, z = (n * grid.pitch_mm for n in grid.shape)
    kilograms = (whole.volume_mm3 or x * y * z) * 1e-9 * material.density_kg_m3
    sides = () if rim_mm else ("length", "width")
    stays = sides if faced else (*sides, "thickness")
    across = (y + rim_mm, whole.size_mm[2] if faced else z)
    blank = Blank("block", across, x + rim_mm, kilograms, material.id, (), (0, 1, 2), stays)
    part = replace(
        whole, kind="solid", flat=None, size_mm=(x, y, z), patterns=(), grid=cut_out(grid, left, edges, stocked),
        features=tuple(left),
    )  # fmt: skip
    return part, blank


def edges_left(part: Part, left: Sequence[Feature]) -> dict[int, tuple[Feature, ...]]:
    """The outlines of a plate on which an edge is left for the mill, but for round holes.

    Args:
        part: with its outlines.
        left: features not made yet.
    Returns: those features by the place of their outline, 0 for any that is the rim.
    """
    found: dict[int, tuple[Feature, ...]] = {}
    for k, outline in enumerate(part.flat.outlines if part.flat is not None else ()):
        mine = tuple(one for one in left if one.id in outline.features and one.kind not in ("bore", "thread"))
        if mine:
            place = k if outline.inside else 0
            found[place] = (*found.get(place, ()), *mine)
    return found


def cut_out(
    grid: SolidGrid,
    left: Sequence[Feature],
    edges: Mapping[int, tuple[Feature, ...]] | None = None,
    stocked: frozenset[str] = frozenset(),
) -> SolidGrid:
    """The cells with all that is cut away filled again, but for what is still to be made.

    Args:
        grid: of the finished part.
        left: features not made yet: holes among them stay open.
        edges: of those, what lies on an outline, by its place, 0 for the rim: it stays open, for the mill.
        stocked: of those, what is cut, but for a band along the edge, as wide as the stock that is left there.
    Returns: the grid.
    """
    filled = grid.filled().copy()
    gone: npt.NDArray[np.bool_] = np.asarray(~filled.any(axis=2))
    if edges:
        gone &= ~_open(gone, grid, edges, stocked)
    i, j = np.arange(grid.shape[0])[:, None] + 0.5, np.arange(grid.shape[1])[None, :] + 0.5
    for feature in left:
        diameter = sizes.value_mm(feature, "diameter_mm")
        if feature.kind in ("bore", "thread") and diameter is not None:
            u, v, _ = grid.at(feature.at_mm)
            gone &= (i - u) ** 2 + (j - v) ** 2 > (diameter / 2.0 / grid.pitch_mm + 1.0) ** 2
    filled[gone] = True
    return grid_of(filled, pitch_mm=grid.pitch_mm, origin_mm=grid.origin_mm, frame=grid.frame)


def _open(
    gone: npt.NDArray[np.bool_], grid: SolidGrid, edges: Mapping[int, tuple[Feature, ...]], stocked: frozenset[str]
) -> npt.NDArray[np.bool_]:
    """Of what is no part of the plate, the cells that the mill still has to take: whole openings, or bands of stock."""
    near = np.asarray(ndimage.distance_transform_edt(gone)) * grid.pitch_mm <= rule("plate_edge_stock_mm")
    parts = np.zeros((gone.shape[0] + 2, gone.shape[1] + 2), dtype=np.int32)
    # All round the plate is one with the rim's outside.
    ndimage.label(np.pad(gone, 1, constant_values=True), output=parts)
    voids, rim = parts[1:-1, 1:-1], int(parts[0, 0])
    found = (near & (voids == rim)) if 0 in edges else np.zeros_like(gone)
    for place, features in edges.items():
        for feature in features if place else ():
            u, v, _ = grid.at(feature.at_mm)
            i, j = (min(max(int(at), 0), n - 1) for at, n in zip((u, v), gone.shape, strict=True))
            around = voids[max(i - 2, 0) : i + 3, max(j - 2, 0) : j + 3]
            mine = np.isin(voids, [one for one in np.unique(around) if one not in (0, rim)])
            found |= (mine & near) if feature.id in stocked else mine
    return found
