"""What the cutter leaves of a plate that is more than its outline: drilled by hand where that is all, else milled.

The mill sees the plate as it comes from the cutter: what is cut away already is no metal of its any more, so it is
left out of what there is to remove, and the box of the plate is what it clamps.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

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
    milled, refused = _milled(job, state, left)
    if not milled and is_faced(job.part):
        return Drilled((), _not_faced(job, refused))
    ways = [milled] if milled else []
    able = [feature for feature in left if feature.kind == "bore" and feature.through and not_by_hand(feature) is None]
    bench = by_hand(job.ask((), state, None), able)
    if bench is not None and not is_faced(job.part):
        rest, _ = _milled(job, state, [feature for feature in left if feature not in able])
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


def _milled(job: Job, state: State, left: Sequence[Feature]) -> tuple[tuple[Step, ...], tuple[Undone, ...]]:
    """The mill that makes most of what is left, then soonest."""
    if job.part.grid is None or not (left or is_faced(job.part)):
        return (), ()
    part, blank = as_plate_blank(job, left)
    asked = replace(job, part=part)
    block = replace(state, blank=blank, sheets=(), sawn=True)
    ids = [feature.id for feature in left]
    answers = [STATIONS["mill"](asked.ask(ids, block, machine)) for machine in job.machines("mill") if machine]
    best = max(answers, key=lambda one: (bool(one.steps), len(one.made), -_lot_s(one.steps)), default=None)
    if best is None:
        return (), ()
    notes = (*_faced(job.part), because("route.plate_as_box"))
    return tuple(replace(step, notes=(*step.notes, *notes)) for step in best.steps), best.undone


def as_plate_blank(job: Job, left: Sequence[Feature]) -> tuple[Part, Blank]:
    """The part as the mill finds it after the cut, and the box that it clamps.

    Args:
        job: of a plate with cells.
        left: features not made yet.
    Returns: (part, blank).
    """
    return _as_plate_blank(Same(job.part), tuple(feature.id for feature in left), Same(job.material))


@lru_cache(maxsize=16)
def _as_plate_blank(of: Same[Part], names: tuple[str, ...], made_of: Same[Material]) -> tuple[Part, Blank]:
    whole, material = of.it, made_of.it
    left = [feature for feature in whole.features if feature.id in set(names)]
    grid = whole.grid
    assert grid is not None, "only a plate with cells is milled"
    faced = is_faced(whole)
    x, y, z = (n * grid.pitch_mm for n in grid.shape)
    kilograms = (whole.volume_mm3 or x * y * z) * 1e-9 * material.density_kg_m3
    stays = ("length", "width") if faced else ("length", "width", "thickness")
    blank = Blank("block", (y, whole.size_mm[2] if faced else z), x, kilograms, material.id, (), (0, 1, 2), stays)
    part = replace(
        whole, kind="solid", flat=None, size_mm=(x, y, z), patterns=(), grid=cut_out(grid, left),
        features=tuple(left),
    )  # fmt: skip
    return part, blank


def cut_out(grid: SolidGrid, left: Sequence[Feature]) -> SolidGrid:
    """The cells with all that is cut away filled again, but for holes that are still to be made.

    Args:
        grid: of the finished part.
        left: features not made yet.
    Returns: the grid.
    """
    filled = grid.filled().copy()
    gone = ~filled.any(axis=2)
    i, j = np.arange(grid.shape[0])[:, None] + 0.5, np.arange(grid.shape[1])[None, :] + 0.5
    for feature in left:
        diameter = sizes.value_mm(feature, "diameter_mm")
        if feature.kind in ("bore", "thread") and diameter is not None:
            u, v, _ = grid.at(feature.at_mm)
            gone &= (i - u) ** 2 + (j - v) ** 2 > (diameter / 2.0 / grid.pitch_mm + 1.0) ** 2
    filled[gone] = True
    return grid_of(filled, pitch_mm=grid.pitch_mm, origin_mm=grid.origin_mm, frame=grid.frame)
