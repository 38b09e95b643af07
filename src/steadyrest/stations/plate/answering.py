"""The plate cutter's answer: one step for the whole lot, from the sheets to parts with their slag off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from shapely import maximum_inscribed_circle

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import CutterLimits, Machine
from steadyrest.shop.part import Flat, Part
from steadyrest.shop.same import Same
from steadyrest.shop.work import Phase, SheetCut, Step, Undone
from steadyrest.stations import alone
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.phases import Cycle, hand_phase, split
from steadyrest.stations.plate import edges, wear
from steadyrest.stations.plate.openings import Openings, opening_mm, openings, web_mm
from steadyrest.stations.plate.setting import NotCut, Setting, setting
from steadyrest.stations.plate.sheet_order import Ordered, ordered
from steadyrest.stations.plate.support import supported
from steadyrest.stations.plate.torch import Cut, Torch, cuts
from steadyrest.stock.nesting.pieces import polygon, wrong_with
from steadyrest.stock.sheet_nests import Keep
from steadyrest.stock.sheet_outlines import Body, bodies
from steadyrest.tables.practice import rule

LIGHT = ("aluminium",)
THERMAL = ("plasma", "oxy-fuel", "laser")


@dataclass(frozen=True, slots=True)
class Cutting:
    """How a lot is cut: what each body takes, and the order on each sheet."""

    setting: Setting
    opened: Openings
    by_body: dict[int, tuple[Cut, ...]]
    sheets: tuple[SheetCut, ...]
    orders: tuple[Ordered, ...]

    @property
    def starts(self) -> float:
        """Pierces of the lot."""
        return float(sum(sheet.count * len(one.cuts) for sheet, one in zip(self.sheets, self.orders, strict=True)))

    @property
    def cut_s(self) -> float:
        """Torch on, for the lot, piercing included."""
        pairs = zip(self.sheets, self.orders, strict=True)
        return sum(sheet.count * sum(cut.run_s + self.setting.pierce_s for _, cut in one.cuts) for sheet, one in pairs)

    @property
    def cut_mm(self) -> float:
        """Length cut, for the lot."""
        pairs = zip(self.sheets, self.orders, strict=True)
        return sum(sheet.count * sum(cut.length_mm for _, cut in one.cuts) for sheet, one in pairs)

    @property
    def travel_s(self) -> float:
        """Between the cuts, for the lot: the way, and each start's way down and up."""
        way = sum(sheet.count * one.travel_s for sheet, one in zip(self.sheets, self.orders, strict=True))
        return way + self.starts * self.setting.figure("start_s")

    @property
    def bridges(self) -> int:
        return sum(sheet.count * sum(laid.tabs for laid in sheet.laid) for sheet in self.sheets)

    @property
    def tipping(self) -> int:
        return sum(sheet.count * sum(laid.tips for laid in sheet.laid) for sheet in self.sheets)


def answer(ask: Ask) -> Answer:
    """What this cutter makes of a flat part.

    Args:
        ask: the part with its thickness, the features wanted, the sheets (none: each part is taken by itself).
    Returns: one step, the state after it, and the refusals.
    """
    machine = ask.machine
    if machine is None or not isinstance(machine.limits, CutterLimits):
        return none_made(ask, "plate", (because("plate.no_cutter"),))
    no = refused(ask, machine, machine.limits)
    if no is not None:
        return none_made(ask, "plate", no.reasons, no.nearest)
    found = setting(machine, machine.limits, ask.material, ask.part.size_mm[2])
    assert isinstance(found, Setting), "refused() has asked"
    opened = openings(ask.part, found, machine.limits.repeat_mm)
    undone = _undone(ask, opened)
    lost = {name for no in undone for name in no.features}
    made = tuple(name for name in ask.features if name not in lost)
    cutting = cutting_of(ask.part, ask.state.sheets, machine.limits, found, opened)
    if not cutting.by_body:
        return Answer(
            (), ask.state, tuple(undone) or (refusal(ask, "plate", ask.features, (because("plate.nothing"),)),)
        )
    steps = (_laying_out(ask, machine, cutting), _step(ask, machine, machine.limits, cutting, made))
    state = replace(ask.state, done=ask.state.done | set(made), sheets=cutting.sheets)
    return Answer(steps, state, tuple(undone))


def refused(ask: Ask, machine: Machine, limits: CutterLimits) -> NotCut | None:
    """Why this cutter does not take the part at all; None if it does.

    Args:
        ask: the part, the metal.
        machine: the cutter.
        limits: of the machine.
    Returns: every reason, the widest miss first.
    """
    part = ask.part
    if part.flat is None:
        return NotCut((because("plate.cuts_flat", machine=machine.name),), None)
    if part.size_mm[2] <= 0:
        return NotCut((because("plate.no_thickness"),), because("plate.nearest_thickness"))
    wrong = [(body, what) for body in bodies(part.flat) if (what := _wrong_with(Same(body)))]
    if wrong:
        said = tuple(because("plate.no_outline", body=float(body.number + 1), what=what) for body, what in wrong)
        return NotCut(said, because("plate.nearest_outline"))
    misses: list[tuple[float, Reason]] = []
    for body in bodies(part.flat):
        x0, y0, x1, y1 = body.shape.minimum_rotated_rectangle.bounds
        long, wide = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
        least_long = max(polygon(body.ring).minimum_rotated_rectangle.length / 2.0 - wide, 0.0)
        over = least_long / max(limits.table_mm)
        if over > 1.0:
            misses.append((over, because("plate.table", machine=machine.name, body=float(body.number + 1),
                                         has_mm=min(long, least_long), allowed_mm=max(limits.table_mm))))  # fmt: skip
    found = setting(machine, limits, ask.material, part.size_mm[2])
    nearest = found.nearest if isinstance(found, NotCut) else None
    if isinstance(found, Setting):
        misses.extend(too_narrow(part.flat, found))
    if isinstance(found, NotCut):
        misses.extend((2.0, why) for why in found.reasons)
    else:
        misses.extend((1.5, why) for why in wear.lacks(machine, limits, found))
    heavy = max((sheet.mass_kg for sheet in ask.state.sheets), default=0.0)
    if heavy > limits.max_load_kg:
        why = because("plate.load", machine=machine.name, has_kg=heavy, allowed_kg=limits.max_load_kg)
        misses.append((heavy / limits.max_load_kg, why))
    if not misses:
        return None
    misses.sort(key=lambda miss: -miss[0])
    return NotCut(tuple(dict.fromkeys(why for _, why in misses)), nearest)


def too_narrow(flat: Flat, found: Setting) -> list[tuple[float, Reason]]:
    """Bodies that nowhere have the width that stands between two cuts.

    Args:
        flat: outlines. found: how it is cut.
    Returns: for each by how much it misses, and why.
    """
    misses: list[tuple[float, Reason]] = []
    for body in bodies(flat):
        wide = _widest_mm(Same(body))
        if wide < web_mm(found):
            why = because("plate.part_narrow", body=float(body.number + 1), has_mm=wide, least_mm=web_mm(found))
            misses.append((web_mm(found) / max(wide, 1e-9), why))
    return misses


@lru_cache(maxsize=128)  # each cutter, sheet and lot asks the same of the same outline
def _wrong_with(body: Same[Body]) -> str | None:
    return wrong_with(body.it.ring, body.it.holes)


@lru_cache(maxsize=128)
def _widest_mm(body: Same[Body]) -> float:
    """The widest circle that lies in a body."""
    return 2.0 * float(maximum_inscribed_circle(body.it.shape.buffer(0), tolerance=0.05).length)


def keeps(setting: Setting) -> Keep:
    """What is kept clear on a sheet: from part to part room for both leads and a kerf, and from the sheet's edge.

    Args:
        setting: way, thickness.
    Returns: distances.
    """
    gap = max(setting.figure("gap_mm"), setting.figure("gap_ratio") * setting.thickness_mm)
    gap = max(gap, setting.figure("lead_mm") + setting.kerf_mm) + setting.kerf_mm
    return Keep(gap, setting.figure("margin_mm") + setting.kerf_mm / 2.0)


def _undone(ask: Ask, opened: Openings) -> list[Undone]:
    wanted = set(ask.features)
    found: list[Undone] = []
    for name, why in opened.drilled:
        if name in wanted:
            found.append(refusal(ask, "plate", (name,), (why,), because("plate.nearest_drill")))
    for names, why in opened.refused:
        mine = tuple(name for name in names if name in wanted)
        if mine or not names:
            found.append(refusal(ask, "plate", mine, (why,), because("plate.nearest_mill")))
    seen: set[str] = set()
    once: list[Undone] = []
    for no in found:
        left = tuple(name for name in no.features if name not in seen)
        seen |= set(left)
        if left or not no.features:
            once.append(replace(no, features=left))
    return once


def cutting_of(part: Part, laid: Sequence[SheetCut], limits: CutterLimits, found: Setting, opened: Openings) -> Cutting:
    """Every cut with its time, and the order of cutting on each sheet.

    Args:
        part: flat.
        laid: the sheets, each with what lies on it.
        limits: of the machine. found: how it cuts. opened: which outlines are cut.
    Returns: how the sheets are cut up.
    """
    flat = part.flat
    assert flat is not None
    t = found.thickness_mm
    torch = Torch(
        found.feed_mm_min.value, found.kerf_mm, found.figure("lead_mm"), found.figure("over_mm"), limits.accel_mm_s2,
        limits.corner_mm, found.figure("slow_hole_ratio") * t, found.figure("slow_hole_share"),
    )  # fmt: skip
    wide = tuple(opening_mm(flat.outlines[k]) if flat.outlines[k].inside else float("inf") for k in opened.cut)
    done = cuts(flat, opened.cut, wide, torch)
    by_body: dict[int, tuple[Cut, ...]] = {}
    for cut in done:
        body = flat.outlines[cut.outline].body
        by_body[body] = (*by_body.get(body, ()), cut)
    outside = frozenset(k for k, outline in enumerate(flat.outlines) if not outline.inside)
    shapes = {body.number: body.shape for body in bodies(flat)}
    sheets = tuple(supported(sheet, shapes, found, limits.slat_gap_mm) for sheet in laid)
    orders = tuple(ordered(sheet, by_body, outside, limits) for sheet in sheets)
    sheets = tuple(_as_cut(sheet, order) for sheet, order in zip(sheets, orders, strict=True))
    return Cutting(found, opened, by_body, sheets, orders)


def _as_cut(sheet: SheetCut, order: Ordered) -> SheetCut:
    """The sheet with its parts in the order in which they come free."""
    by_turn = tuple(dict.fromkeys(k for k, _ in order.cuts))
    return replace(sheet, laid=tuple(sheet.laid[k] for k in by_turn) if len(by_turn) == len(sheet.laid) else sheet.laid)


def _each_by_itself(cutting: Cutting, quantity: int) -> tuple[float, float, float]:
    """Cutting and travel where no sheet is laid: every part alone, without a way between. (cut s, starts, mm)."""
    some = [cut for cuts_ in cutting.by_body.values() for cut in cuts_]
    run = sum(cut.run_s + cutting.setting.pierce_s for cut in some)
    return run * quantity, float(len(some) * quantity), sum(cut.length_mm for cut in some) * quantity


def _step(ask: Ask, machine: Machine, limits: CutterLimits, cutting: Cutting, made: tuple[str, ...]) -> Step:
    found = cutting.setting
    cut_s, starts, cut_mm, travel_s = cutting.cut_s, cutting.starts, cutting.cut_mm, cutting.travel_s
    if not cutting.sheets:
        cut_s, starts, cut_mm = _each_by_itself(cutting, ask.quantity)
        travel_s = starts * found.figure("start_s")
    parts = ask.quantity * len(cutting.by_body)
    heavy = max((sheet.mass_kg for sheet in cutting.sheets), default=0.0) > ask.shop.habits.lift_alone_kg
    count = max(sum(sheet.count for sheet in cutting.sheets), 1)
    load_s = count * (found.figure("load_s") + (found.figure("crane_s") if heavy else 0.0))
    slag_s = cut_mm / 1000.0 * found.figure("slag_s_per_m") + cutting.bridges * found.figure("tab_s")
    wet_s = found.figure("wet_s") if limits.water_table else 0.0
    unload_s = parts * (found.figure("unload_s") + wet_s)
    worn = wear.tips(limits, starts, cut_s)
    cycle = Cycle(cut_s / ask.quantity, travel_s / ask.quantity, (load_s + slag_s + unload_s) / ask.quantity)
    run = alone.Run(
        machine, ask.material, "thermal" if found.figure("thermal") else "cut", False, False, cut_s + travel_s,
        limits.nozzle_h * 3600.0, True,
    )  # fmt: skip
    return Step(
        id="cut from plate",
        station="plate",
        machine=machine.id,
        holding=because("plate.hold", gap_mm=limits.slat_gap_mm, margin_mm=keeps(found).margin_mm),
        phases=_phases(ask, machine, cutting, load_s=load_s, run_s=cut_s + travel_s, hands_s=slag_s + unload_s),
        makes=made,
        limits=(found.feed_mm_min, *_figures(found, cut_mm, starts), *edges.said(found), worn),
        cautions=cautions(limits, found, heavy=heavy),
        unattended=False,
        unattended_why=alone.bans(run) or (because("plate.stay"),),
        tools=(tip_name(found),),
        cash=wear.cash(limits, worn, cut_s),
        split=split(cycle, 1.0),
        notes=_notes(ask, limits, cutting, cut_s),
    )  # fmt: skip


def _laying_out(ask: Ask, machine: Machine, cutting: Cutting) -> Step:
    """At the desk, before there is a sheet: what lies where, leads, order, the program."""
    found = cutting.setting
    others = len(cutting.by_body) - 1
    lay_s = found.figure("lay_out_s") + others * found.figure("lay_body_s")
    who = ask.shop.operators("program") or ask.shop.operators(machine.id)
    why = because("plate.lay_out", outlines=float(others + 1), each_s=found.figure("lay_body_s"))
    return Step(
        id="lay out",
        station="prepare",
        machine=None,
        holding=because("plate.lay_hold"),
        phases=(hand_phase("lay out the sheets", lay_s, who=who, key="time.once", spread=rule("spread_program")),),
        makes=(),
        limits=(Figure(lay_s, "s", (why,)),),
        needs_stock=False,
        split=(Figure(lay_s / ask.quantity, "s", (why,)),),
    )


def tip_name(found: Setting) -> str:
    """The tip as a person looks for it in the drawer."""
    return f"{found.way} tip for {found.shown}" if found.way != found.shown else f"nozzle for {found.thickness_mm:g} mm"


def _phases(
    ask: Ask, machine: Machine, cutting: Cutting, *, load_s: float, run_s: float, hands_s: float
) -> tuple[Phase, ...]:
    who = ask.shop.operators(machine.id)
    set_up = Figure(machine.set_up_s, "s", (because("time.set_up", set_up_s=machine.set_up_s),))
    count = float(max(sum(sheet.count for sheet in cutting.sheets), 1))
    load = Figure(load_s, "s", (because("plate.loading", sheets=count, each_s=load_s / count),))
    run = Figure(run_s, "s", (because("plate.running", cut_s=run_s, sheets=count),))
    parts = float(ask.quantity * len(cutting.by_body))
    watched = Phase("cut", run, rule("spread_cut"), who, run_s > 5400.0, hand_over=True)
    return (
        Phase("set up", set_up, rule("spread_set_up"), who, interruptible=True),
        Phase("sheets onto the table", load, rule("spread_hands"), who, interruptible=True, hand_over=True),
        watched,
        hand_phase("off the table, slag off", hands_s, who=who, key="time.each", count=parts),
    )


def _figures(found: Setting, cut_mm: float, starts: float) -> tuple[Figure, ...]:
    start = because("plate.edge_start") if found.edge_start else because("plate.pierce", pierce_s=found.pierce_s)
    return (
        Figure(round(cut_mm), "mm", (because("plate.cut_length", starts=starts), start)),
        Figure(found.kerf_mm, "mm", (because("plate.kerf", lead_mm=found.figure("lead_mm")),)),
    )


def _notes(ask: Ask, limits: CutterLimits, cutting: Cutting, cut_s: float) -> tuple[Reason, ...]:
    found = cutting.setting
    notes: list[Reason] = [because("plate.order"), *cutting.opened.notes]
    if cutting.opened.drilled:
        names = ", ".join(dict.fromkeys(name for name, _ in cutting.opened.drilled if name not in cutting.opened.small))
        if names:
            notes.append(because("plate.marked", features=names))
    if cutting.bridges:
        notes.append(because("plate.bridges", count=float(cutting.bridges), width_mm=found.figure("tab_mm")))
    if cutting.tipping:
        notes.append(because("plate.tipping", count=float(cutting.tipping)))
    for sheet in cutting.sheets:
        if sheet.rest_mm:
            key = "plate.rest_heat" if sheet.heat_number else "plate.rest"
            notes.append(because(key, name=sheet.name, rest_mm2=sheet.rest_mm2, heat=sheet.heat_number))
    warm = wear.warmed_k(found, cut_s / ask.quantity, ask.state.blank.mass_kg)
    warm *= found.figure("wet_heat_share") if limits.water_table else 1.0
    if warm > found.figure("warm_most_k"):
        notes.append(because("plate.warm", rise=f"{warm:.0f}", most=f"{found.figure('warm_most_k'):.0f}"))
    return tuple(dict.fromkeys(notes))


def cautions(limits: CutterLimits, found: Setting, *, heavy: bool) -> tuple[Reason, ...]:
    """What to mind at the cutter.

    Args:
        limits: of the machine. found: how it cuts.
        heavy: a sheet is more than one person lifts.
    Returns: cautions, always some.
    """
    way = found.way
    keys: list[str] = []
    if way in THERMAL:
        keys += ["plate.caution_fire", "plate.caution_eyes", "plate.caution_hot"]
        keys.append("plate.caution_fume" if limits.extraction or limits.water_table else "plate.caution_no_suction")
        if found.metal.name == "stainless":
            keys.append("plate.caution_chromium")
        if limits.water_table and found.metal.name in LIGHT:
            keys.append("plate.caution_hydrogen")
        if found.metal.name == "steel":
            keys.append("plate.caution_zinc")
    if way == "oxy-fuel":
        keys.append("plate.caution_gas")
    if way == "water":
        keys.append("plate.caution_jet")
    keys.append("plate.caution_manual")
    return tuple(because(key) for key in keys) + ((because("plate.caution_sheet"),) if heavy else ())


def places(sheets: Sequence[SheetCut]) -> int:
    """How many parts lie on these sheets."""
    return sum(sheet.count * len(sheet.laid) for sheet in sheets)
