"""The mill's answer for a part that is not turned: one step for each clamping, from the blank to the finished body."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from steadyrest.measure.gauges import best_gauge
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Machine, MillLimits
from steadyrest.shop.part import Feature, Part, Vec3
from steadyrest.shop.solid_grid import SolidGrid
from steadyrest.shop.work import Blank, HoldPoint, Step, Undone
from steadyrest.stations import alone, sizes
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.mill import times
from steadyrest.stations.mill.cutting import Work, held_place, tools_of, work_of
from steadyrest.stations.mill.drilling_holes import drilled, half_hole
from steadyrest.stations.mill.removal.cells import Bar
from steadyrest.stations.mill.set_ups.holding import Hold
from steadyrest.stations.mill.spindles import Place
from steadyrest.stations.mill.times import Cut
from steadyrest.stations.mill.working import Geometry, Question, Worked, worked
from steadyrest.stations.phases import Cycle, lot_phases, split
from steadyrest.stock.block import box_mm
from steadyrest.tables.practice import rule

INSIDE = ("bore", "slot", "pocket", "keyway", "thread", "fillet")


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
    place = Place(machine, limits, ask.material)
    question = _question(ask, grid, blank, place)
    geometry = worked(question)
    if not geometry.set_ups:
        reasons = geometry.why_not or (because("mill.no_set_up"),)
        return none_made(ask, "mill", reasons, because("mill.nearest_fixture"))
    steps: list[Step] = []
    undone = [refusal(ask, "mill", (name,), why, _nearest(why)) for name, why in geometry.undone]
    refused = {name for name, _ in geometry.undone}
    halves = _both_sides(question.both, geometry)
    for number, set_up in enumerate(geometry.set_ups, 1):
        here = held_place(place, _pressed_n(set_up.set_up.hold))
        half = [(name, number == max(pair)) for name, pair in halves.items() if number in pair]
        work = work_of(here, ask.part, set_up, ra_um=ask.shop.habits.finish_ra_um, halves=half)
        undone.extend(refusal(ask, "mill", names, why, _nearest(why)) for names, why in work.undone)
        refused |= {name for names, _ in work.undone for name in names}
        if work.cuts:
            stays = geometry.stays if not steps else ()
            steps.append(_step(ask, here, geometry, number, set_up, work, stays, refused, [name for name, _ in half]))
    made = frozenset(name for step in steps for name in step.makes)
    lost = [feature.id for feature in ask.asked() if feature.id not in made and feature.id not in refused]
    if lost:
        undone.append(refusal(ask, "mill", lost, (because("mill.left_over", features=", ".join(lost)),)))
    if not steps:
        return Answer((), ask.state, tuple(_once(undone, made)))
    return Answer(tuple(steps), replace(ask.state, done=ask.state.done | made), tuple(_once(undone, made)))


def _too_deep(place: Place, part: Part, names: frozenset[str]) -> frozenset[str]:
    """Through holes that no tool makes from one side, but two halves from both do."""
    found: set[str] = set()
    for feature, cut, made in drilled(place, part, [feature for feature in part.features if feature.id in names]):
        plain = feature.through and feature.kind == "bore" and len(made) == 1
        if cut.refused and plain and not half_hole(place, feature).refused:
            found.add(feature.id)
    return frozenset(found)


def _both_sides(both: frozenset[str], geometry: Geometry) -> dict[str, tuple[int, int]]:
    """Where such a hole is drilled: its id, and the numbers of two set-ups that face each other."""
    found: dict[str, tuple[int, int]] = {}
    for number, set_up in enumerate(geometry.set_ups, 1):
        others = [k for k, one in enumerate(geometry.set_ups, 1) if _faces(one.set_up.up, set_up.set_up.up)]
        if others:
            found |= {name: (number, others[0]) for name in set_up.drilled if name in both}
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
        both=_too_deep(place, ask.part, holes),
    )


def _pressed_n(hold: Hold) -> float:
    """The vise grip that would hold as well: jaws and clamps rub on two faces, a vacuum plate on one."""
    return hold.force_n / 2.0 if hold.kind == "vacuum plate" else hold.force_n


def _nearest(reasons: tuple[Reason, ...]) -> Reason | None:
    """The cheapest change that would make a refusal a yes."""
    for reason in reasons:
        given = dict(reason.given)
        if reason.key in ("mill.corner_small", "mill.slot_tight"):
            return because("mill.nearest_cutter", diameter_mm=given["diameter_mm"])
        if reason.key == "mill.too_deep":
            return because("mill.nearest_long", depth_mm=given["depth_mm"])
        if reason.key == "mill.undercut":
            return because("mill.nearest_undercut")
        if reason.key in ("mill.tool_wide", "mill.no_drill", "mill.no_tool", "milling.no_drill", "milling.no_tap"):
            return because("mill.nearest_tool")
    return None


def _step(
    ask: Ask,
    place: Place,
    geometry: Geometry,
    number: int,
    set_up: Worked,
    work: Work,
    stays: tuple[str, ...],
    refused: set[str],
    halves: Sequence[str],
) -> Step:
    machine, habits, hold = place.machine, ask.shop.habits, set_up.set_up.hold
    cut = times.together(work.cuts)
    made = list(dict.fromkeys(feature for feature in work.made if feature.id not in refused))
    held = [feature for feature in made if sizes.needs_hold_point(feature, place.limits.repeat_mm)]
    gauged = sum(1 for feature in made if sizes.limits_mm(feature))
    heavy = ask.state.blank.mass_kg > habits.lift_alone_kg
    hands_s = habits.handling_s * (2.0 if heavy else 1.0)
    hands_s += rule("clamp_move_s") if hold.kind == "clamps" else 0.0
    hands_s += gauged * habits.measure_s + len(held) * (rule("gauging_stop_s") + habits.measure_s)
    span = max(box_mm(ask.state.blank))
    between_s = times.between(place, tools=len(cut.tools), features=work.places, span_mm=span)
    cycle = Cycle(cut.cut_s, cut.travel_s + between_s, hands_s, cut.spread)
    changes, left_s = _edges(cut, ask.quantity)
    run = alone.Run(
        machine, ask.material, "cut", True, False, cycle.run_s, left_s, place.limits.controlled,
        vacuum_without_switch=hold.kind == "vacuum plate" and not place.limits.vacuum_switch,
    )  # fmt: skip
    why_not = alone.bans(run)
    if held:
        why_not = (*why_not, because("alone.hold_point", count=float(len(held))))
    phases = lot_phases(
        cycle, set_up_s=_set_up_s(machine, hold, number), quantity=ask.quantity, who=ask.shop.operators(machine.id),
        alone=not why_not, prove_out=habits.prove_out, edge_changes=changes,
    )  # fmt: skip
    runs_alone, why_not = alone.settled(phases, why_not, ask.quantity)
    return Step(
        id=f"mill {number}" if len(geometry.set_ups) > 1 else "mill",
        station="mill",
        machine=machine.id,
        holding=hold.why,
        phases=phases,
        makes=(*(feature.id for feature in made), *(name for name in stays if name not in refused)),
        limits=cut.figures,
        cautions=(*_cautions(ask, hold, heavy=heavy), *cut.cautions),
        hold_points=tuple(_hold_point(ask, feature) for feature in held),
        unattended=runs_alone,
        unattended_why=why_not,
        tools=tuple(f"T{t.number} {t.kind} {t.diameter_mm:g}" for t in tools_of(cut)),
        split=split(cycle, habits.prove_out),
        notes=_notes(ask, geometry, number, set_up, halves),
    )


def _set_up_s(machine: Machine, hold: Hold, number: int) -> float:
    """Making ready: the first clamping sets zero and tools, a later one only turns the work over; and its holding."""
    base = machine.set_up_s * (1.0 if number == 1 else rule("second_side_share"))
    more = {"soft jaws": rule("soft_jaw_s"), "clamps": rule("clamp_set_s")}
    return base + more.get(hold.kind, 0.0)


def _cautions(ask: Ask, hold: Hold, *, heavy: bool) -> tuple[Reason, ...]:
    keys = {
        "vise": "caution.jaws",
        "soft jaws": "caution.jaws",
        "clamps": "caution.clamps",
        "vacuum plate": "caution.vacuum",
    }
    found = [because(keys[hold.kind]), because("caution.cutter")]
    if ask.material.stringy:
        found.append(because("caution.chips", material=ask.material.id))
    if ask.material.group in alone.FIRE_PRONE_GROUPS:
        found.append(because("caution.fire", material=ask.material.id))
    if heavy:
        mass, most = ask.state.blank.mass_kg, ask.shop.habits.lift_alone_kg
        found.append(because("caution.lift", mass_kg=mass, alone_kg=most))
    return tuple(found)


def _notes(ask: Ask, geometry: Geometry, number: int, set_up: Worked, halves: Sequence[str]) -> tuple[Reason, ...]:
    """How it lies and is gripped, by the features a person sees; and what the set-up keeps or cannot do."""
    hold, part, blank = set_up.set_up, ask.part, ask.state.blank
    lies = because("mill.turned_up", up=_called(part, hold.up))
    if hold.across is not None and part.frame is not None:
        x, y, z = part.frame[hold.across]
        ends = _called(part, (x, y, z)), _called(part, (-x, -y, -z))
        lies = because("mill.turned_up_jaws", up=_called(part, hold.up), one=ends[0], other=ends[1])
    before = geometry.set_ups[: number - 1]
    opposite = next((k for k, one in enumerate(before, 1) if _faces(one.set_up.up, hold.up)), None)
    notes = [lies, because("mill.datum_next", before=float(opposite)) if opposite else because("mill.datum_raw")]
    squared = any(one.set_up.base in _sides(blank.axes[0]) for one in before)
    if hold.across == blank.axes[0] and not hold.hold.finished and not squared:
        notes.append(because("mill.sawn_ends", off_mm=rule("saw_length_mm")))
    if not (set_up.cut or set_up.drilled or set_up.edges):
        notes.append(because("mill.rest_of_sides"))
    stays = [side.cutter_mm / 2.0 for side in set_up.sides if side.corners]
    if stays:
        notes.append(because("mill.corner_stays", radius_mm=min(stays)))
    if halves:
        notes.append(because("mill.from_both", features=", ".join(halves)))
    return tuple(notes)


def _sides(axis: int) -> tuple[int, int]:
    """The two sides of the part that look along one of its directions (removal/cells.py)."""
    return 2 * axis, 2 * axis + 1


def _called(part: Part, way: Vec3) -> str:
    """A side of the part as a person finds it: its outermost face, and the file's direction."""
    axis = max(range(3), key=lambda k: abs(way[k]))
    name = ("+" if way[axis] > 0 else "-") + "XYZ"[axis]
    if abs(way[axis]) < 0.99:
        name = "(" + ", ".join(f"{one:.2f}" for one in way) + ")"
    flat = [f for f in part.features if f.kind == "face" and _dot(f.axis, way) > 0.99]
    if not flat:
        return name
    outer = max(flat, key=lambda f: (round(_dot(f.at_mm, way), 3), f.area_mm2))
    return f"{outer.id} ({name})"


def _dot(one: Vec3, other: Vec3) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))


def _faces(one: Vec3, other: Vec3) -> bool:
    return _dot(one, other) < -0.99


def _edges(cut: Cut, quantity: int) -> tuple[int, float]:
    """How often a cutter is changed over the lot, and the life left of the most worn."""
    changes, left = 0, math.inf
    for tool, cut_s, _ in cut.tools:
        worn = min(tool.used_s / tool.life_s, 1.0)
        changes += math.floor(worn + cut_s * quantity / tool.life_s)
        left = min(left, tool.life_s * (1.0 - worn))
    return changes, left


def _hold_point(ask: Ask, feature: Feature) -> HoldPoint:
    limits = sizes.limits_mm(feature)
    assert limits is not None, "a hold point stands only where there are limits"
    gauge = best_gauge(ask.shop, "inside" if feature.kind in INSIDE else "outside", limits[1])
    why = because("mill.hold_point", feature=feature.id)
    return HoldPoint(feature.id, limits[0], limits[1], gauge.id if gauge else "none", why)
