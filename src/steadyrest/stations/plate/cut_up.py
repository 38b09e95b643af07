"""Sheets with the parts of several drawings cut up: on which cutter, in which order, how long, what wears.

The same rules as for one drawing's lot (answering.py); here a sheet is what counts, not a lot.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import CutterLimits, Machine, Material, Shop
from steadyrest.shop.part import Part, Vec2
from steadyrest.shop.work import SheetCut
from steadyrest.stations.plate import edges, wear
from steadyrest.stations.plate.answering import Cutting, cautions, cutting_of, keeps
from steadyrest.stations.plate.openings import Openings, openings
from steadyrest.stations.plate.setting import NotCut, Setting, setting
from steadyrest.stations.plate.sheet_order import Ordered, on_sheet


@dataclass(frozen=True, slots=True)
class Cutter:
    """A machine that cuts this plate, and how."""

    machine: Machine
    limits: CutterLimits
    setting: Setting


@dataclass(frozen=True, slots=True)
class SheetTimes:
    """What one sheet takes. order: of each cut where the torch pierces, on the sheet, and which part it is of (by its
    place in laid). cut_s: torch on; way_s: between cuts; load_s, hands_s: a person's, before and after."""

    sheet: SheetCut
    order: tuple[tuple[int, Vec2, bool], ...]
    cut_s: float
    way_s: float
    load_s: float
    hands_s: float
    cut_mm: float


@dataclass(frozen=True, slots=True)
class CutUp:
    """All sheets. drilled: features that are drilled instead, with why. refused: what this cutter does not hold."""

    sheets: tuple[SheetTimes, ...]
    opened: Openings
    worn: Figure
    cash: Decimal
    said: tuple[Figure, ...]
    notes: tuple[Reason, ...]
    cautions: tuple[Reason, ...]


def cutters(shop: Shop, material: Material, thickness_mm: float) -> tuple[tuple[Cutter, ...], tuple[Reason, ...]]:
    """The machines that cut this plate, the quickest first, and why the others do not.

    Args:
        shop: its machines. material, thickness_mm: of the plate.
    Returns: both.
    """
    found, no = list[Cutter](), list[Reason]()
    for machine in shop.machines:
        if not isinstance(machine.limits, CutterLimits):
            continue
        one = setting(machine, machine.limits, material, thickness_mm)
        lacks = one.reasons if isinstance(one, NotCut) else wear.lacks(machine, machine.limits, one)
        if isinstance(one, NotCut) or lacks:
            no += lacks
        else:
            found.append(Cutter(machine, machine.limits, one))
    if not found and not no:
        no.append(because("plate.no_cutter"))
    return tuple(sorted(found, key=lambda one: (-one.setting.feed_mm_min.value, one.machine.id))), tuple(no)


def kept_clear(found: Setting) -> tuple[Figure, Figure]:
    """From part to part and to the sheet's edge, each with where it comes from.

    Args:
        found: way, thickness.
    Returns: gap and margin.
    """
    keep, own, t = keeps(found), found.figure, found.thickness_mm
    gap = because(
        "nest.gap_from", way=found.way, own_mm=max(own("gap_mm"), own("gap_ratio") * t), lead_mm=own("lead_mm"),
        kerf_mm=found.kerf_mm,
    )  # fmt: skip
    margin = because("nest.margin_from", way=found.way, own_mm=own("margin_mm"), kerf_mm=found.kerf_mm)
    return Figure(keep.gap_mm, "mm", (gap,)), Figure(keep.margin_mm, "mm", (margin,))


def cut_up(part: Part, sheets: Sequence[SheetCut], cutter: Cutter, shop: Shop) -> CutUp:
    """How sheets are cut up.

    Args:
        part: flat, all bodies, with the plate's thickness. sheets: what lies on each.
        cutter: which machine, and how. shop: what one person lifts.
    Returns: each sheet with its parts in the order in which they come free.
    """
    found, limits = cutter.setting, cutter.limits
    opened = openings(part, found, limits.repeat_mm)
    cutting = cutting_of(part, sheets, limits, found, opened)
    alone_kg = shop.habits.lift_alone_kg
    each = tuple(
        _times(part, sheet, order, cutting, alone_kg)
        for sheet, order in zip(cutting.sheets, cutting.orders, strict=True)
    )
    starts, cut_s = cutting.starts, cutting.cut_s
    worn = wear.tips(limits, starts, cut_s)
    begin = because("plate.edge_start") if found.edge_start else because("plate.pierce", pierce_s=found.pierce_s)
    length = Figure(round(cutting.cut_mm), "mm", (because("plate.cut_length", starts=starts), begin))
    kerf = Figure(found.kerf_mm, "mm", (because("plate.kerf", lead_mm=found.figure("lead_mm")),))
    heavy = any(sheet.mass_kg > alone_kg for sheet in cutting.sheets)
    return CutUp(
        each, opened, worn, wear.cash(limits, worn, cut_s),
        (found.feed_mm_min, length, kerf, *edges.said(found)), _notes(cutting), cautions(limits, found, heavy=heavy),
    )  # fmt: skip


def _times(part: Part, sheet: SheetCut, order: Ordered, cutting: Cutting, alone_kg: float) -> SheetTimes:
    """One sheet; the cuts carry the places of the parts as they come free."""
    found = cutting.setting
    assert part.flat is not None
    inside = frozenset(k for k, outline in enumerate(part.flat.outlines) if outline.inside)
    turn = {k: n for n, k in enumerate(dict.fromkeys(k for k, _ in order.cuts))}
    # cutting_of has put the parts into the order in which they come free; the cuts still name them as they were laid.
    renamed = len(turn) == len(sheet.laid)
    marks = list[tuple[int, Vec2, bool]]()
    for k, cut in order.cuts:
        place = turn[k] if renamed else k
        marks.append((place, on_sheet(sheet.laid[place], cut.pierce_mm), cut.outline in inside))
    cut_s = sum(cut.run_s + found.pierce_s for _, cut in order.cuts)
    way_s = order.travel_s + len(order.cuts) * found.figure("start_s")
    cut_mm = sum(cut.length_mm for _, cut in order.cuts)
    load_s = found.figure("load_s") + (found.figure("crane_s") if sheet.mass_kg > alone_kg else 0.0)
    hands_s = cut_mm / 1000.0 * found.figure("slag_s_per_m") + len(sheet.laid) * found.figure("unload_s")
    hands_s += sum(laid.tabs for laid in sheet.laid) * found.figure("tab_s")
    return SheetTimes(sheet, tuple(marks), cut_s, way_s, load_s, hands_s, cut_mm)


def _notes(cutting: Cutting) -> tuple[Reason, ...]:
    notes: list[Reason] = [because("plate.order"), *cutting.opened.notes]
    if cutting.bridges:
        width_mm = cutting.setting.figure("tab_mm")
        notes.append(because("plate.bridges", count=float(cutting.bridges), width_mm=width_mm))
    if cutting.tipping:
        notes.append(because("plate.tipping", count=float(cutting.tipping)))
    return tuple(dict.fromkeys(notes))
