"""What to measure on a part, with what, and which readings decide."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache

from steadyrest.measure.decision import GUARD, accept_mm
from steadyrest.measure.gauges import fitting_gauges, reaches, taken_with, to_borrow, wanted_u_mm
from steadyrest.measure.limits import own_limits
from steadyrest.measure.threads import best_wire_mm, nut_pitch_limits_mm, over_wires_mm, screw_pitch_limits_mm
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Gauge, Material, Shop
from steadyrest.shop.part import Feature, Part, Size
from steadyrest.shop.same import Same
from steadyrest.tables.general_tolerances import general_tolerance_mm
from steadyrest.tables.threads import Thread, metric_threads, unified_threads

REFERENCE_C = 20.0


@dataclass(frozen=True, slots=True)
class Measure:
    """One size to measure.

    low_mm, high_mm: its limits. own_limits: they were given; else the general tolerance stands in.
    gauge: id, or None where none of the shop's reaches; u_mm: its standard uncertainty.
    accept_mm: lowest and highest reading that proves the size good; None where no reading of this gauge can.
    why: how gauge and bounds came about; notes: temperature and what else to mind.
    """

    feature: str
    size: str
    nominal_mm: float
    shown: str
    low_mm: float
    high_mm: float
    own_limits: bool
    gauge: str | None
    gauge_name: str
    u_mm: float
    accept_mm: tuple[float, float] | None
    why: tuple[Reason, ...]
    notes: tuple[Reason, ...] = ()
    taken: str = ""


def measuring_plan(
    part: Part, shop: Shop, material: Material | None = None, *, now: datetime | None = None
) -> tuple[Measure, ...]:
    """Every size of a part that is to be measured, those with limits of their own first.

    Args:
        part: with features and nominals.
        shop: its gauges.
        material: for what a warm part does to the reading; None leaves that out.
        now: gauges whose check is overdue then are passed over, and that is said; None: all count.
    Returns: one Measure a size; sizes that nothing on the floor measures (angles, radii) are left out. A thread that is
        named is proved by its pitch diameter: over three wires, or with a gauge for threads.
    Source: ISO 14253-1 for the bounds; ISO 2768-1 m where a size has no limits; ISO 1 for 20 degrees.
    """
    return _measuring_plan(Same(part), Same(shop), Same(material), now)


@lru_cache(maxsize=16)  # every way a part could go over the floor asks the same
def _measuring_plan(
    of: Same[Part], on: Same[Shop], made_of: Same[Material | None], now: datetime | None
) -> tuple[Measure, ...]:
    part, material = of.it, made_of.it
    shop, overdue = in_date(on.it, now)
    found = [
        _measure(feature, size, shop, material)
        for feature in part.features
        for size in feature.sizes
        if taken_with(feature, size.name) is not None
    ]
    found.extend(row for feature in part.features if (row := _thread(feature, shop, material)) is not None)
    told = tuple(_passed_over(measure, overdue) for measure in found)
    return tuple(sorted(told, key=lambda measure: not measure.own_limits))


def in_date(shop: Shop, now: datetime | None) -> tuple[Shop, tuple[Gauge, ...]]:
    """The shop without the gauges whose check is overdue, and those.

    Args:
        shop: its gauges.
        now: aware; None: none is overdue.
    Returns: (shop, overdue gauges).
    """
    late = tuple(gauge for gauge in shop.gauges if now is not None and gauge.due is not None and gauge.due < now)
    return replace(shop, gauges=tuple(gauge for gauge in shop.gauges if gauge not in late)), late


def _passed_over(measure: Measure, overdue: tuple[Gauge, ...]) -> Measure:
    """The measure with the finer overdue gauge that would have been there, if there is one."""
    able = (gauge for gauge in overdue if reaches(gauge, measure.taken, measure.nominal_mm))
    finer = next((g for g in able if measure.gauge is None or g.u_mm < measure.u_mm), None)
    if finer is None or finer.due is None:
        return measure
    note = because("measure.overdue", gauge=finer.name, due=finer.due.date().isoformat())
    return replace(measure, notes=(*measure.notes, note))


def _measure(feature: Feature, size: Size, shop: Shop, material: Material | None) -> Measure:
    nominal = size.nominal
    value = nominal.value if nominal else size.estimate
    taken = taken_with(feature, size.name)
    assert taken is not None, "only sizes that something measures are asked for"
    limits = own_limits(nominal)
    off = general_tolerance_mm(value)
    low, high = limits or ((value - off, value + off) if off else (value, value))
    gauges = fitting_gauges(shop, taken, value)
    gauge = _coarsest_that_decides(gauges, (low, high)) or (gauges[0] if gauges else None)
    accept = accept_mm((low, high), gauge.u_mm) if gauge else None
    why: list[Reason] = list(nominal.limits.why) if nominal and nominal.limits and limits else []
    if limits is None:
        why.append(because("measure.general", off_mm=off or 0.0))
    why.extend(_gauge_why(gauge, accept, taken, value, limits=(low, high)))
    return Measure(
        feature.id, size.name, value, nominal.shown if nominal else f"{value:.3f} mm", low, high, limits is not None,
        gauge.id if gauge else None, gauge.name if gauge else "", gauge.u_mm if gauge else 0.0, accept, tuple(why),
        _notes(value, high - low, gauge, material), taken,
    )  # fmt: skip


def _thread(feature: Feature, shop: Shop, material: Material | None) -> Measure | None:
    """A thread's pitch diameter: with a gauge for threads where one reaches, else over three wires."""
    thread = _named_thread(feature)
    found = None if thread is None else (nut_pitch_limits_mm if feature.inside else screw_pitch_limits_mm)(thread)
    if thread is None or found is None:
        return None
    zone, limits = found
    value, size, taken = thread.pitch_diameter_mm, "pitch_diameter_mm", "thread"
    why = [because("measure.thread", name=thread.name, zone=zone, low_mm=limits[0], high_mm=limits[1])]
    if not feature.inside and not fitting_gauges(shop, taken, value):
        wire = best_wire_mm(thread.pitch_mm)
        size, taken = "over_wires_mm", "outside"
        low, high, value = (over_wires_mm(d, thread.pitch_mm, wire) for d in (*limits, value))
        limits = (low, high)
        why.append(because("measure.wires", wire_mm=wire))
    gauges = fitting_gauges(shop, taken, value)
    gauge = _coarsest_that_decides(gauges, limits) or (gauges[0] if gauges else None)
    accept = accept_mm(limits, gauge.u_mm) if gauge else None
    why.extend(_gauge_why(gauge, accept, taken, value, limits=limits))
    return Measure(
        feature.id, size, value, f"{thread.name} {zone}", *limits, True,
        gauge.id if gauge else None, gauge.name if gauge else "", gauge.u_mm if gauge else 0.0, accept, tuple(why),
        _notes(value, limits[1] - limits[0], gauge, material), taken,
    )  # fmt: skip


def _named_thread(feature: Feature) -> Thread | None:
    """The thread of the tables that a feature was named as; None for other features and forms."""
    size = feature.size("diameter_mm") if feature.kind == "thread" else None
    if size is None or size.nominal is None:
        return None
    name = size.nominal.shown
    return next((thread for thread in (*metric_threads(), *unified_threads()) if thread.name == name), None)


def _coarsest_that_decides(gauges: tuple[Gauge, ...], limits: tuple[float, float]) -> Gauge | None:
    """The quickest gauge that still decides: the coarsest whose two guard bands take at most a fifth of the limits."""
    width = limits[1] - limits[0]
    good = [gauge for gauge in gauges if 2.0 * GUARD * gauge.u_mm <= 0.2 * width]
    return good[-1] if good else None


def _gauge_why(
    gauge: Gauge | None, accept: tuple[float, float] | None, taken: str, value: float, *, limits: tuple[float, float]
) -> tuple[Reason, ...]:
    """How far the gauge decides; where it does not, or leaves too little of the limits, what to buy or borrow."""
    borrow = (to_borrow(taken, value, limits),) if limits[1] > limits[0] else ()
    if gauge is None:
        return (because("measure.no_gauge", taken=taken, size_mm=value), *borrow)
    if accept is None:
        return (because("measure.too_coarse", gauge=gauge.name, u=_um(gauge.u_mm)), *borrow)
    guard = because("measure.guard", gauge=gauge.name, u=_um(gauge.u_mm), band=_um(GUARD * gauge.u_mm))
    if gauge.u_mm <= wanted_u_mm(limits):
        return (guard,)
    return (
        guard,
        because("measure.narrow", left=_um(accept[1] - accept[0]), width=_um(limits[1] - limits[0])),
        *borrow,
    )


def _um(length_mm: float) -> float:
    """Micrometres to one decimal: what a gauge's uncertainty is said in."""
    return round(length_mm * 1000.0, 1)


def _notes(value: float, width: float, gauge: Gauge | None, material: Material | None) -> tuple[Reason, ...]:
    """What a part that is 10 K warm reads too large, where that is more than a tenth of its limits."""
    notes: list[Reason] = []
    if material is not None:
        grows = material.expansion_per_k * 10.0 * value
        if grows > 0.1 * width:
            notes.append(because("measure.warm", grows_mm=grows, reference_c=REFERENCE_C))
    if gauge is not None and gauge.due is not None:
        notes.append(because("measure.due", gauge=gauge.name, due=gauge.due.date().isoformat()))
    return tuple(notes)
