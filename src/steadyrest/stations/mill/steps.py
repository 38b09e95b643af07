"""One set-up as a step: how the work is held, its time with what parts share, cautions, stops, what to know there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from steadyrest.measure.gauges import gauge_of
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Machine
from steadyrest.shop.part import Feature, Part, Vec3
from steadyrest.shop.same import Same
from steadyrest.shop.work import Blank, HoldPoint, Step
from steadyrest.stations import alone, sizes
from steadyrest.stations.answer import Ask
from steadyrest.stations.mill import times
from steadyrest.stations.mill.cutting import Work, held_place, tools_of, work_of
from steadyrest.stations.mill.drilling_holes import measures
from steadyrest.stations.mill.geometry import Geometry, Worked
from steadyrest.stations.mill.lots import Lot, best_lot, notes_of, phases_of
from steadyrest.stations.mill.set_ups.held import Hold
from steadyrest.stations.mill.set_ups.places import Places, places_of
from steadyrest.stations.mill.spindles import Place
from steadyrest.stations.mill.times import Cut
from steadyrest.stations.phases import Cycle, split
from steadyrest.stock.block import box_mm
from steadyrest.tables.practice import rule

INSIDE = ("bore", "slot", "pocket", "keyway", "thread", "fillet")
LEVEL = 0.05  # cosine below which a face stands upright
CUTTERS = ("end mill", "slot drill", "ball mill")


@dataclass(frozen=True, slots=True)
class SetUpAsked:
    """One set-up of an answer: its number from 1, and the holes of it that are drilled half way (last half or not)."""

    ask: Ask
    place: Place
    geometry: Geometry
    number: int
    set_up: Worked
    halves: tuple[tuple[str, bool], ...]

    @property
    def hold(self) -> Hold:
        return self.set_up.set_up.hold


def worked_out(asked: SetUpAsked) -> tuple[Work, Lot | None]:
    """What is cut in a set-up, and how many parts stand in it: the way in which the lot takes least time.

    Args:
        asked: the set-up.
    Returns: the cuts with their refusals; the lot, None where nothing is cut.
    """
    hold, quantity = asked.hold, asked.ask.quantity
    alone_work = _work(asked, hold.force_n)
    if not alone_work.cuts:
        return alone_work, None
    single = Places(1, 1, hold.force_n, ())
    found = [(alone_work, _lot(asked, alone_work, single))]
    most = places_of(hold, asked.place.limits, between_mm=_between_mm(asked, alone_work), most=quantity - 1)
    if most.count > 1:
        shared = alone_work if most.force_n == hold.force_n else _work(asked, most.force_n)
        if shared.undone == alone_work.undone:
            found.append((shared, _lot(asked, shared, most)))
    lot = best_lot([lot for _, lot in found])
    return next(work for work, one in found if one is lot), lot


def _work(asked: SetUpAsked, force_n: float) -> Work:
    here = held_place(asked.place, _pressed_n(asked.hold, force_n))
    habits = asked.ask.shop.habits
    return _work_of(here, Same(asked.ask.part), Same(asked.set_up), habits.finish_ra_um, asked.halves)


@lru_cache(maxsize=64)  # lots of other sizes, and blanks of the same box, ask the same
def _work_of(
    place: Place, part: Same[Part], set_up: Same[Worked], ra_um: float, halves: tuple[tuple[str, bool], ...]
) -> Work:
    return work_of(place, part.it, set_up.it, ra_um=ra_um, halves=halves)


@lru_cache(maxsize=64)  # how many stand in a clamping asks the same cuts again
def _summed(cuts: Same[tuple[Cut, ...]]) -> Cut:
    return times.together(cuts.it)


def _pressed_n(hold: Hold, force_n: float) -> float:
    """The vise grip that would hold as well: jaws and clamps rub on two faces, air on one; a chuck's is told in all."""
    return force_n / 2.0 if hold.kind == "vacuum plate" or hold.around else force_n


def _between_mm(asked: SetUpAsked, work: Work) -> float:
    """Room from part to part: a cutter passes where sides are cut here, else a hand's thickness of jaw."""
    cutters = [t.diameter_mm for t in tools_of(_summed(Same(work.cuts))) if t.kind in CUTTERS]
    sides = any(layer.open_share > 0.0 for side in asked.set_up.sides for take in side.takes for layer in take.layers)
    if not sides or not cutters:
        return rule("place_gap_mm")
    return max(cutters) + 2.0 * rule("approach_mm")


def _lot(asked: SetUpAsked, work: Work, places: Places) -> Lot:
    ask, place, hold = asked.ask, asked.place, asked.hold
    habits, machine = ask.shop.habits, place.machine
    cut = _summed(Same(work.cuts))
    made = {feature.id: feature for feature in work.made}
    held = [feature for feature in made.values() if sizes.needs_hold_point(feature, place.limits.repeat_mm)]
    gauged = sum(1 for feature in made.values() if sizes.limits_mm(feature))
    heavy = ask.state.blank.mass_kg > habits.lift_alone_kg
    load_s = habits.handling_s * (2.0 if heavy else 1.0)
    stop_s = len(held) * rule("gauging_stop_s")
    hands_s = load_s + (rule("clamp_move_s") if hold.moved else 0.0)
    hands_s += gauged * habits.measure_s + stop_s + len(held) * habits.measure_s
    span = max(box_mm(ask.state.blank))
    between_s = times.between(place, tools=len(cut.tools), features=work.places, span_mm=span)
    changes_s = times.between(place, tools=len(cut.tools), features=len(cut.tools), span_mm=span)
    between_s += max(len(_worked_sides(asked.set_up)) - 1, 0) * rule("turn_index_s")
    own = Cycle(cut.cut_s, cut.travel_s + between_s, hands_s, cut.spread)
    set_up_s = _set_up_s(machine, hold, asked.number, leaning=asked.set_up.set_up.base is None)
    if hold.kind == "soft jaws" and places.count > 1:
        set_up_s += (places.count - 1) * rule("soft_jaw_next_s")
    return Lot(own, changes_s, load_s, stop_s, set_up_s, ask.quantity, places)


def step_of(asked: SetUpAsked, work: Work, lot: Lot, *, stays: tuple[str, ...], refused: set[str]) -> Step:
    """A set-up as a step.

    Args:
        asked: the set-up.
        work: what is cut in it.
        lot: how many parts stand in it, and their times.
        stays: ids of features that stay as the stock comes, told with the first step.
        refused: ids of what is not made.
    Returns: the step.
    """
    ask, place, hold, geometry = asked.ask, asked.place, asked.hold, asked.geometry
    machine, habits = place.machine, ask.shop.habits
    cut = _summed(Same(work.cuts))
    made = list(dict.fromkeys(feature for feature in work.made if feature.id not in refused))
    held = [feature for feature in made if sizes.needs_hold_point(feature, place.limits.repeat_mm)]
    heavy = ask.state.blank.mass_kg > habits.lift_alone_kg
    changes, left_s = _edges(cut, ask.quantity)
    run = alone.Run(
        machine, ask.material, "cut", True, False, lot.own.run_s, left_s, place.limits.controlled,
        vacuum_without_switch=hold.kind == "vacuum plate" and not place.limits.vacuum_switch,
    )  # fmt: skip
    why_not = alone.bans(run)
    if held:
        why_not = (*why_not, because("alone.hold_point", count=float(len(held))))
    phases = phases_of(
        lot, who=ask.shop.operators(machine.id), alone=not why_not, prove_out=habits.prove_out, edge_changes=changes
    )
    runs_alone, why_not = alone.settled(phases, why_not, ask.quantity)
    return Step(
        id=f"mill {asked.number}" if len(geometry.set_ups) > 1 else "mill",
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
        split=split(lot.others, habits.prove_out),
        tool_s=_worn(cut),
        notes=(*_notes(asked, work.tilted), *hold.more, *notes_of(lot)),
    )


def _set_up_s(machine: Machine, hold: Hold, number: int, *, leaning: bool) -> float:
    """Making ready: the first clamping sets zero and tools, a later one only turns the work over; and its holding."""
    base = machine.set_up_s * (1.0 if number == 1 else rule("second_side_share"))
    more = {
        "soft jaws": rule("soft_jaw_s"),
        "clamps": rule("clamp_set_s"),
        "chuck": rule("chuck_set_s"),
        "V-jaws": rule("v_jaw_set_s"),
        "turned": rule("turning_set_s"),
    }
    return base + more.get(hold.kind, 0.0) + (rule("lean_set_s") if leaning else 0.0)


def _cautions(ask: Ask, hold: Hold, *, heavy: bool) -> tuple[Reason, ...]:
    keys = {
        "vise": "caution.jaws",
        "soft jaws": "caution.jaws",
        "clamps": "caution.clamps",
        "vacuum plate": "caution.vacuum",
        "chuck": "caution.jaws",
        "V-jaws": "caution.jaws",
        "turned": "caution.turning_axis",
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


def _notes(asked: SetUpAsked, tilted: Sequence[str]) -> tuple[Reason, ...]:
    """How it lies and is gripped, by the features a person sees; and what the set-up keeps or cannot do."""
    ask, geometry, number, set_up = asked.ask, asked.geometry, asked.number, asked.set_up
    halves = list(dict.fromkeys(name for name, _ in asked.halves))
    hold, part, blank = set_up.set_up, ask.part, ask.state.blank
    lies = because("mill.turned_up", up=_called(part, hold.up))
    if hold.across is not None and part.frame is not None:
        x, y, z = part.frame[hold.across]
        ends = _called(part, (x, y, z)), _called(part, (-x, -y, -z))
        lies = because("mill.turned_up_jaws", up=_called(part, hold.up), one=ends[0], other=ends[1])
    before = geometry.set_ups[: number - 1]
    opposite = next((k for k, one in enumerate(before, 1) if faces_up(one.set_up.up, hold.up)), None)
    notes = [lies, _datum(set_up, blank, opposite)]
    if hold.hold.rocks:
        notes.append(because("mill.rocks"))
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
        longest = max((part.feature(name) for name in halves), key=lambda hole: measures(hole)[1])
        diameter, depth = measures(longest)
        notes.append(because("mill.longer_drill", kind="drill", diameter_mm=diameter, depth_mm=depth))
    if ask.shop.habits.finish_ra_um < rule("milled_ra_um"):
        ra_um = ask.shop.habits.finish_ra_um
        notes.append(because("mill.rougher", ra_um=ra_um, milled_um=rule("milled_ra_um")))
    ups = _worked_sides(set_up)
    if len(ups) > 1:
        notes.append(because("mill.turned_to", sides=", ".join(_called(part, up) for up in ups)))
    if tilted:
        notes.append(because("mill.laid_level", features=", ".join(tilted)))
    if hold.base is None and part.frame is not None:
        lean = min(math.acos(min(abs(_dot(way, hold.up)), 1.0)) for way in part.frame)
        notes.append(because("mill.leaning", lean_deg=math.degrees(lean), rise_mm=100.0 * math.sin(lean)))
    if asked.place.limits.axes == "5":
        leaning = [
            name
            for name in set_up.cut
            if part.feature(name).kind == "face" and _leans(part.feature(name), set_up) and name not in tilted
        ]
        if leaning:
            notes.append(because("mill.at_once", features=", ".join(leaning)))
    return tuple(notes)


def _datum(set_up: Worked, blank: Blank, opposite: int | None) -> Reason:
    """What the work lies on, and what to do before it is clamped."""
    hold = set_up.set_up
    if opposite:
        return because("mill.datum_next", before=float(opposite))
    if not hold.raw_seat:
        return because("mill.datum_side")
    round_ = blank.shape == "round" and hold.base is not None and hold.base not in _sides(blank.axes[0])
    return because("mill.datum_round") if round_ and not hold.hold.around else because("mill.datum_raw")


def _worked_sides(set_up: Worked) -> list[Vec3]:
    """The directions from which something is taken off."""
    return [side.up for side in set_up.sides if side.takes or side.faced_mm]


def _leans(face: Feature, set_up: Worked) -> bool:
    """Whether a face is neither level nor upright from every side that it is worked from."""
    lean = [abs(_dot(face.axis, side.up)) for side in set_up.sides]
    return not any(one > rule("same_direction_cos") or one < LEVEL for one in lean)


def _sides(axis: int) -> tuple[int, int]:
    """The two sides of the part that look along one of its directions (removal/cells.py)."""
    return 2 * axis, 2 * axis + 1


def _called(part: Part, way: Vec3) -> str:
    """A side of the part as a person finds it: its outermost face, and the file's direction."""
    axis = max(range(3), key=lambda k: abs(way[k]))
    name = ("+" if way[axis] > 0 else "-") + "XYZ"[axis]
    if abs(way[axis]) < 0.99:
        name = _as_it_lies(part, way)
    flat = [f for f in part.features if f.kind == "face" and _dot(f.axis, way) > 0.99]
    if not flat:
        return name
    outer = max(flat, key=lambda f: (round(_dot(f.at_mm, way), 3), f.area_mm2))
    return f"{outer.id} ({name})"


def _as_it_lies(part: Part, way: Vec3) -> str:
    """A side of a part that stands askew in its file: by the part's own directions, longest first."""
    frame = part.frame
    along = [_dot(axis, way) for axis in frame] if frame else []
    if not along or max(abs(one) for one in along) < 0.99:
        return "askew"
    axis = max(range(3), key=lambda k: abs(along[k]))
    return ("one" if along[axis] > 0 else "the other") + " " + ("end", "long edge", "broad side")[axis]


def _dot(one: Vec3, other: Vec3) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))


def faces_up(one: Vec3, other: Vec3) -> bool:
    """Whether two directions up face away from each other."""
    return _dot(one, other) < -0.99


def _worn(cut: Cut) -> tuple[tuple[int, float], ...]:
    """How long each tool cuts for one part, by number."""
    found: dict[int, float] = {}
    for tool, cut_s, _ in cut.tools:
        found[tool.number] = found.get(tool.number, 0.0) + cut_s
    return tuple(sorted(found.items()))


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
    gauge = gauge_of(ask.shop, feature, limits[1])
    why = because("mill.hold_point", feature=feature.id)
    return HoldPoint(feature.id, limits[0], limits[1], gauge.id if gauge else "none", why)
