"""The press brake: bends a flat part along the lines that its drawing has for it, each as long as the line.

A drawing of lines tells neither angle nor side: square bends are reckoned, and the question stands on the step.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely.geometry import LineString, Polygon

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import BrakeLimits, Machine
from steadyrest.shop.part import Edge, Flat
from steadyrest.shop.work import Phase, Step
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.phases import hand_phase
from steadyrest.stock.sheet_outlines import bodies
from steadyrest.tables.bending import (
    bend_allowance_mm,
    bend_force_n,
    figures,
    least_radius_ratio,
    sprung_radius_mm,
)
from steadyrest.tables.plate_cutting import cut_metal
from steadyrest.tables.practice import rule

SQUARE = math.pi / 2.0
SAME_MM = 1.0


@dataclass(frozen=True, slots=True)
class Bend:
    """A bend line. flange_mm: how far the part reaches beyond it, the shorter side; hole_mm: to the nearest cut-out."""

    length_mm: float
    flange_mm: float
    hole_mm: float


def answer(ask: Ask) -> Answer:
    """The bends of a flat part.

    Args:
        ask: the part with its thickness; machine: the brake.
    Returns: one step for all bends; refused with every limit. It makes no feature that a drawing names.
    """
    machine = ask.machine
    if machine is None or not isinstance(machine.limits, BrakeLimits):
        return none_made(ask, "bend", (because("bend.no_brake"),), because("bend.nearest_outside"))
    flat = ask.part.flat
    if flat is None:
        return none_made(ask, "bend", (because("bend.bends_sheet", machine=machine.name),))
    found = bends(flat)
    if not found:
        return none_made(ask, "bend", (because("bend.no_lines"),))
    if ask.part.size_mm[2] <= 0:
        return none_made(ask, "bend", (because("plate.no_thickness"),))
    misses = _misses(ask, machine, machine.limits, found)
    who = ask.shop.operators(machine.id)
    if not who:
        misses.append(because("bend.nobody", machine=machine.name))
    if misses:
        return none_made(ask, "bend", tuple(dict.fromkeys(misses)), because("bend.nearest_outside"))
    undone = (refusal(ask, "bend", ask.features, (because("bend.makes_nothing"),)),) if ask.features else ()
    return Answer((_step(ask, machine, found, who),), ask.state, undone)


def bends(flat: Flat) -> tuple[Bend, ...]:
    """Every straight bend line, with what lies beside it.

    Args:
        flat: a part's outlines and markings.
    Returns: one for each line; a curved one is no bend of a brake and is left out.
    """
    edges = [edge for marking in flat.markings if marking.role == "bend" for edge in marking.edges]
    shapes = [body.shape for body in bodies(flat)]
    return tuple(bend for edge in edges if edge.centre is None and (bend := _bend(edge, shapes)) is not None)


def curved(flat: Flat) -> int:
    """How many bend lines are no straight lines."""
    return sum(edge.centre is not None for marking in flat.markings if marking.role == "bend" for edge in marking.edges)


def _bend(edge: Edge, shapes: list[Polygon]) -> Bend | None:
    line = LineString((edge.start, edge.end))
    if line.length < SAME_MM or not shapes:
        return None
    shape = min(shapes, key=lambda one: one.distance(line))
    (x0, y0), (x1, y1) = edge.start, edge.end
    nx, ny = (y1 - y0) / line.length, -(x1 - x0) / line.length
    sides = [(x - x0) * nx + (y - y0) * ny for x, y in shape.exterior.coords]
    holes = [hole.distance(line) for hole in map(Polygon, shape.interiors)]
    return Bend(line.length, min(max(sides, default=0.0), -min(sides, default=0.0)), min(holes, default=math.inf))


def opening_mm(thickness_mm: float) -> float:
    """Opening of the die for a sheet."""
    return figures()["opening_ratio"] * thickness_mm


def _misses(ask: Ask, machine: Machine, limits: BrakeLimits, found: tuple[Bend, ...]) -> list[Reason]:
    """Every limit that says no."""
    t, name = ask.part.size_mm[2], machine.name
    longest, opening = max(bend.length_mm for bend in found), opening_mm(t)
    misses: list[Reason] = []
    if t > limits.max_thickness_mm:
        misses.append(because("bend.thickness", machine=name, has_mm=t, allowed_mm=limits.max_thickness_mm))
    if longest > limits.bend_length_mm:
        misses.append(because("bend.length", machine=name, has_mm=longest, allowed_mm=limits.bend_length_mm))
    force = bend_force_n(rm_mpa=ask.material.rm_mpa, length_mm=longest, thickness_mm=t, opening_mm=opening)
    if force > limits.force_n:
        misses.append(because("bend.force", machine=name, has_n=force, allowed_n=limits.force_n, length_mm=longest))
    radius, least = radius_mm(t), least_radius_ratio(cut_metal(ask.material.group).name) * t
    if radius < least:
        misses.append(because("bend.cracks", material=ask.material.id, radius_mm=radius, least_mm=least))
    short = min(bend.flange_mm for bend in found)
    if short < figures()["flange_share"] * opening:
        least_mm = figures()["flange_share"] * opening
        misses.append(because("bend.flange", has_mm=short, least_mm=least_mm, opening_mm=opening))
    if ask.part.flat is not None and curved(ask.part.flat):
        misses.append(because("bend.curved", count=float(curved(ask.part.flat))))
    return misses


def radius_mm(thickness_mm: float) -> float:
    """Inside radius of an air bend over the die for a sheet."""
    return figures()["natural_radius_share"] * opening_mm(thickness_mm)


def _step(ask: Ask, machine: Machine, found: tuple[Bend, ...], who: tuple[str, ...]) -> Step:
    own, t = figures(), ask.part.size_mm[2]
    longest = max(bend.length_mm for bend in found)
    force = bend_force_n(
        rm_mpa=ask.material.rm_mpa, length_mm=longest, thickness_mm=t, opening_mm=opening_mm(t)
    )  # fmt: skip
    lengths = {round(bend.length_mm / 10.0) for bend in found}
    set_up_s = machine.set_up_s + own["trial_s"] + (len(lengths) - 1) * own["tool_s"]
    heavy = 2.0 if ask.state.blank.mass_kg > ask.shop.habits.lift_alone_kg else 1.0
    each_s = heavy * (own["turn_s"] + len(found) * own["bend_s"])
    allowance = bend_allowance_mm(angle_rad=SQUARE, radius_mm=radius_mm(t), thickness_mm=t)
    count = float(len(found))
    set_up = Figure(set_up_s, "s", (because("bend.set_up", trial_s=own["trial_s"], lengths=float(len(lengths))),))
    yields = own["yield_share"] * ask.material.rm_mpa
    sprung = sprung_radius_mm(radius_mm=radius_mm(t), yield_mpa=yields, e_mpa=ask.material.e_mpa, thickness_mm=t)
    # The bent length stays the same while the radius opens: the angle closes by as much.
    over = math.degrees(SQUARE) * (sprung + t / 2.0) / (radius_mm(t) + t / 2.0) - 90.0
    notes = [because("bend.ask_angle", count=count), because("bend.spring", over_deg=round(over, 1))]
    clear = own["hole_clear_ratio"] * t + radius_mm(t)
    near = [bend.hole_mm for bend in found if bend.hole_mm < clear]
    if near:
        notes.append(because("bend.hole_near", count=float(len(near)), has_mm=min(near), clear_mm=clear))
    return Step(
        id="bend",
        station="bend",
        machine=machine.id,
        holding=because("bend.hold", opening_mm=opening_mm(t)),
        phases=(
            Phase("set up", set_up, rule("spread_set_up"), who, interruptible=True),
            hand_phase("bend", each_s * ask.quantity, who=who, key="time.each", count=float(ask.quantity)),
        ),
        makes=(),
        limits=(
            Figure(force, "N", (because("bend.needs", length_mm=longest, opening_mm=opening_mm(t)),)),
            Figure(radius_mm(t), "mm", (because("bend.radius"),)),
            Figure(allowance, "mm", (because("bend.allowance"),)),
        ),
        cautions=(because("bend.caution_hands"), because("bend.caution_manual")),
        tools=(f"die {opening_mm(t):g} wide",),
        split=(Figure(each_s, "s", (because("bend.each", count=count),)),),
        notes=tuple(notes),
        unattended_why=(because("bend.stay"),),
    )
