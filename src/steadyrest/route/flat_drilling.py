"""Holes of a plate that are not cut: by hand, or on the mill, whichever makes more of them, then sooner.

The mill sees one body at a time as a rectangular plate with these holes in it; its outline is cut already.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from steadyrest.route.assembly import Job
from steadyrest.shop.figure import Reason
from steadyrest.shop.part import Feature, Part
from steadyrest.shop.solid_grid import SolidGrid, grid_of
from steadyrest.shop.work import Blank, Step, Undone
from steadyrest.stations import sizes
from steadyrest.stations.answer import State
from steadyrest.stations.known import STATIONS
from steadyrest.stations.plate.drilling import by_hand, not_by_hand
from steadyrest.stock.sheet_outlines import Body, bodies

FINEST_MM, MOST_CELLS = 0.5, 160
FRAME = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


@dataclass(frozen=True, slots=True)
class Drilled:
    """The steps that drill, and what nobody drills."""

    steps: tuple[Step, ...]
    undone: tuple[Undone, ...]


def drilled(job: Job, state: State, undone: Sequence[Undone]) -> Drilled:
    """What becomes of everything the cutter left.

    Args:
        job: of a flat part.
        state: after the cut.
        undone: what the cutter refused.
    Returns: steps for holes, and refusals for the rest.
    """
    left = {name for no in undone for name in no.features}
    holes = [f for f in job.part.features if f.id in left and f.kind == "bore" and f.through]
    whole = tuple(no for no in undone if not any(hole.id in no.features for hole in holes))
    if not holes:
        return Drilled((), whole)
    reasons: dict[str, list[Reason]] = {hole.id: [r for no in undone if hole.id in no.features for r in no.reasons]
                                        for hole in holes}  # fmt: skip
    able: list[Feature] = []
    for hole in holes:
        why = not_by_hand(hole)
        if why is None:
            able.append(hole)
        else:
            reasons[hole.id].append(why)
    hand = by_hand(job.ask((), state, None), able)
    ways: list[tuple[Step, ...]] = [(hand,)] if hand is not None else []
    milled, refused = _on_mills(job, state, holes)
    if milled:
        ways.append(milled)
    for no in refused:
        for name in no.features:
            reasons.setdefault(name, []).extend(no.reasons)
    best = min(ways, key=lambda steps: (-sum(len(s.makes) for s in steps), _lot_s(steps)), default=())
    # What the one way leaves, the other may still make.
    made = {name for step in best for name in step.makes}
    if hand is not None and best is not (hand,) and best and best[0] is not hand:
        rest = by_hand(job.ask((), state, None), [one for one in able if one.id not in made])
        best = (*best, rest) if rest is not None else best
    elif milled and best and best[0] is hand:
        rest_, _ = _on_mills(job, state, [hole for hole in holes if hole.id not in made])
        best = (*best, *rest_)
    made = {name for step in best for name in step.makes}
    kept = tuple(
        Undone("plate", None, (hole.id,), tuple(dict.fromkeys(reasons[hole.id])), None)
        for hole in holes
        if hole.id not in made
    )
    return Drilled(tuple(best), (*whole, *kept))


def _lot_s(steps: Sequence[Step]) -> float:
    return sum(phase.duration_s.value for step in steps for phase in step.phases)


def _on_mills(job: Job, state: State, holes: Sequence[Feature]) -> tuple[tuple[Step, ...], tuple[Undone, ...]]:
    """The mill that drills most of them, body by body."""
    flat = job.part.flat
    if flat is None or not holes:
        return (), ()
    of_body = {name: outline.body for outline in flat.outlines for name in outline.features}
    steps: list[Step] = []
    undone: list[Undone] = []
    several = len(bodies(flat)) > 1
    for body in bodies(flat):
        mine = [hole for hole in holes if of_body.get(hole.id) == body.number]
        if not mine:
            continue
        part, blank = plate_with_holes(job.part, body, mine, job.material.density_kg_m3, job.material.id)
        asked = replace(job, part=part)
        block = replace(state, blank=blank, sheets=(), sawn=True, done=frozenset())
        answers = [
            STATIONS["mill"](asked.ask([hole.id for hole in mine], block, machine)) for machine in job.machines("mill")
        ]
        best = max(answers, key=lambda one: (len(one.made), -_lot_s(one.steps)), default=None)
        if best is None:
            continue
        named = f" part {body.number + 1}" if several else ""
        steps.extend(replace(step, id=f"{step.id}{named}") for step in best.steps)
        undone.extend(best.undone)
    return tuple(steps), tuple(undone)


def plate_with_holes(
    part: Part, body: Body, holes: Sequence[Feature], density_kg_m3: float, material: str
) -> tuple[Part, Blank]:
    """A body's box as a plate with these holes, as the mill knows parts, and the blank that it is drilled from.

    Args:
        part: flat, with its thickness.
        body: one of its bodies.
        holes: bores through it.
        density_kg_m3: of the metal.
        material: its id.
    Returns: (part, blank).
    """
    t = part.size_mm[2]
    xs, ys = zip(*body.ring, strict=True)
    x0, y0, x, y = min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)
    grid = _cells(x0, y0, x, y, t, holes)
    moved = tuple(replace(hole, at_mm=(hole.at_mm[0], hole.at_mm[1], t / 2.0), reached_from=((0.0, 0.0, 1.0),
                  (0.0, 0.0, -1.0))) for hole in holes)  # fmt: skip
    mass_kg = body.shape.area * t * 1e-9 * density_kg_m3
    solid = replace(
        part, kind="solid", size_mm=(x, y, t), volume_mm3=x * y * t, features=moved, axisymmetric=False, flat=None,
        frame=FRAME, grid=grid, profile=None, patterns=(),
    )  # fmt: skip
    blank = Blank("block", (y, t), x, mass_kg, material, (), (0, 1, 2), ("length", "width", "thickness"))
    return solid, blank


def _cells(x0: float, y0: float, x: float, y: float, t: float, holes: Sequence[Feature]) -> SolidGrid:
    pitch = max(max(x, y) / MOST_CELLS, min(FINEST_MM, t / 2.0))
    nx, ny, nz = (max(round(size / pitch), 1) for size in (x, y, t))
    filled = np.ones((nx, ny, nz), dtype=np.bool_)
    px = x0 + (np.arange(nx) + 0.5) * pitch
    py = y0 + (np.arange(ny) + 0.5) * pitch
    for hole in holes:
        radius = (sizes.value_mm(hole, "diameter_mm") or 0.0) / 2.0
        inside = (px[:, None] - hole.at_mm[0]) ** 2 + (py[None, :] - hole.at_mm[1]) ** 2 <= radius**2
        filled[inside] = False
    return grid_of(filled, pitch_mm=pitch, origin_mm=(x0, y0, 0.0), frame=FRAME)
