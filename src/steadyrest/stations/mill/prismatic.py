"""The mill's answer for a part that is not turned: one step for each clamping, from the blank to the finished body."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Machine, MillLimits
from steadyrest.shop.part import Part
from steadyrest.shop.same import Same
from steadyrest.shop.solid_grid import SolidGrid
from steadyrest.shop.work import Blank, Step, Undone
from steadyrest.stations import sizes
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.mill.cutting import NotCut
from steadyrest.stations.mill.drilling_holes import drilled, half_hole
from steadyrest.stations.mill.geometry import Geometry, Question
from steadyrest.stations.mill.hub_keyways import in_a_hub
from steadyrest.stations.mill.lacking import in_drawer, to_buy
from steadyrest.stations.mill.removal.cells import Bar
from steadyrest.stations.mill.spindles import Place
from steadyrest.stations.mill.steps import SetUpAsked, faces_up, step_of, worked_out
from steadyrest.stations.mill.working import worked
from steadyrest.stock.block import box_mm
from steadyrest.tables.practice import rule


def answer(ask: Ask, machine: Machine, limits: MillLimits) -> Answer:
    """What this mill makes of a part that is not turned.

    Args:
        ask: the part with its cells, the features wanted, the blank.
        machine: the mill.
        limits: its limits.
    Returns: a step for each set-up, the state after them, and the refusals.
    """
    grid = ask.part.grid
    if grid is None:
        return none_made(ask, "mill", (because("mill.no_cells"),))
    blank = ask.state.blank
    if blank.mass_kg > limits.max_load_kg:
        why = because("mill.load", machine=machine.name, has_kg=blank.mass_kg, allowed_kg=limits.max_load_kg)
        return none_made(ask, "mill", (why,))
    light = limits.turn_load_kg <= 0 or blank.mass_kg <= limits.turn_load_kg
    if limits.axes != "3" and not light:
        limits = replace(limits, axes="3")
    hubs = [no for feature in ask.asked() if (no := in_a_hub(ask, feature)) is not None]
    ask = replace(ask, features=tuple(n for n in ask.features if not any(n in no.features for no in hubs)))
    place = Place(machine, limits, ask.material)
    question = _question(ask, grid, blank, place)
    geometry = worked(question)
    if not geometry.set_ups:
        reasons = geometry.why_not or (because("mill.no_set_up"),)
        return none_made(ask, "mill", reasons, because("mill.nearest_fixture"))
    steps: list[Step] = []
    undone = [*hubs, *(refusal(ask, "mill", (name,), why, _nearest(why)) for name, why in geometry.undone)]
    refused = {name for name, _ in geometry.undone}
    halves = _both_sides(question.both, geometry)
    for number, set_up in enumerate(geometry.set_ups, 1):
        half = tuple(
            (name, last)
            for name, pair in halves.items()
            for last in ((False, True) if pair[0] == pair[1] else (number == max(pair),))
            if number in pair
        )
        asked = SetUpAsked(ask, place, geometry, number, set_up, half)
        work, lot = worked_out(asked)
        undone.extend(_not_cut(ask, machine, no) for no in work.undone)
        refused |= {name for no in work.undone for name in no.features}
        if lot is not None:
            stays = geometry.stays if not steps else ()
            steps.append(step_of(asked, work, lot, stays=stays, refused=refused))
    made = frozenset(name for step in steps for name in step.makes)
    lost = [feature.id for feature in ask.asked() if feature.id not in made and feature.id not in refused]
    if lost:
        undone.append(refusal(ask, "mill", lost, (because("mill.left_over", features=", ".join(lost)),)))
    if not steps:
        return Answer((), ask.state, tuple(_once(undone, made)))
    if not light:
        why = because("mill.turn_load", allowed_kg=limits.turn_load_kg, has_kg=blank.mass_kg)
        steps[0] = replace(steps[0], notes=(*steps[0].notes, why))
    return Answer(tuple(steps), replace(ask.state, done=ask.state.done | made), tuple(_once(undone, made)))


@lru_cache(maxsize=16)
def _too_deep(place: Place, of: Same[Part], names: frozenset[str]) -> frozenset[str]:
    """Through holes that no tool makes from one side, but two halves from both do."""
    found: set[str] = set()
    part = of.it
    for feature, cut, made in drilled(place, part, [feature for feature in part.features if feature.id in names]):
        plain = feature.through and feature.kind == "bore" and len(made) == 1
        if cut.refused and plain and not half_hole(place, feature).refused:
            found.add(feature.id)
    return frozenset(found)


def _both_sides(both: frozenset[str], geometry: Geometry) -> dict[str, tuple[int, int]]:
    """Where such a hole is drilled: its id, and the numbers of two set-ups that face each other."""
    found: dict[str, tuple[int, int]] = {}
    for number, set_up in enumerate(geometry.set_ups, 1):
        others = [k for k, one in enumerate(geometry.set_ups, 1) if faces_up(one.set_up.up, set_up.set_up.up)]
        ups = [side.up for side in set_up.sides]
        if others or any(faces_up(one, other) for one in ups for other in ups):
            # A table that turns shows both ends of the hole in one clamping.
            found |= {name: (number, others[0] if others else number) for name in set_up.drilled if name in both}
    return found


def _once(undone: list[Undone], made: frozenset[str]) -> list[Undone]:
    """Refusals without the features that were made after all."""
    left = [replace(no, features=tuple(name for name in no.features if name not in made)) for no in undone]
    return [no for no in left if no.features]


def _question(ask: Ask, grid: SolidGrid, blank: Blank, place: Place) -> Question:
    stock = tuple(
        axis for axis, name in zip(blank.axes, ("length", "width", "thickness"), strict=True) if name in blank.as_stock
    )
    most = rule("hole_as_pocket_mm")
    holes = frozenset(
        feature.id
        for feature in ask.asked()
        if (feature.kind == "bore" or (feature.kind == "thread" and feature.inside))
        and 0.0 < (sizes.value_mm(feature, "diameter_mm") or 0.0) <= most
    )
    return Question(
        grid=grid,
        features=ask.asked(),
        drilled=holes,
        box_mm=box_mm(blank),
        bar=Bar(blank.shape, blank.size_mm[0], blank.axes) if blank.shape in ("round", "hexagon") else None,
        as_stock=stock,
        limits=place.limits,
        tools=place.machine.tools,
        name=place.machine.name,
        both=_too_deep(place, Same(ask.part), holes),
        e_mpa=ask.material.e_mpa,
    )


def _not_cut(ask: Ask, machine: Machine, no: NotCut) -> Undone:
    """A refusal of what no tool cuts, with what the drawer has nearest and what to buy."""
    drawer = [why for lack in no.lacks if (why := in_drawer(machine.tools, lack)) is not None]
    return refusal(ask, "mill", no.features, (*no.reasons, *drawer), to_buy(no.lacks) or no.nearest)


def _nearest(reasons: tuple[Reason, ...]) -> Reason | None:
    """The cheapest change that would make a refusal of the geometry a yes."""
    for reason in reasons:
        given = dict(reason.given)
        if reason.key == "mill.five_at_once":
            return because("mill.nearest_five")
        if reason.key == "mill.slant_shut":
            return because("mill.nearest_long", depth_mm=given["depth_mm"])
        if reason.key == "mill.lean_less":
            return because("mill.nearest_lean", tilt_deg=given["tilt_deg"], over_deg=given["over_deg"])
    for reason in reasons:
        given = dict(reason.given)
        if reason.key in ("mill.corner_small", "mill.slot_tight"):
            return because("mill.nearest_cutter", diameter_mm=given["diameter_mm"])
        if reason.key == "mill.too_deep":
            return because("mill.nearest_long", depth_mm=given["depth_mm"])
        if reason.key == "mill.too_slender":
            high_mm = given["has_mm"]  # to a tenth, so that it is said once for the two ends
            return because("mill.nearest_upright", high_mm=round(high_mm, 1) if isinstance(high_mm, float) else high_mm)
        if reason.key == "mill.only_slanted":
            return because("mill.nearest_tilt")
        if reason.key == "mill.too_narrow":
            return because("mill.nearest_narrow", diameter_mm=given["diameter_mm"])
        if reason.key == "mill.undercut":
            return because("mill.nearest_undercut")
    return None
