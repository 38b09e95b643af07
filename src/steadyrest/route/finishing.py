"""What has to be left for a treatment: the limits before it, size by size, from the limits after it.

Plating of t grows an outside diameter by 2 t and the pitch diameter of a 60 degree thread by 4 t (1 / sin 30 degrees =
2 on each flank, and both flanks); inside it shrinks them as much. Grinding wants stock on the diameter.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from steadyrest.measure.limits import own_limits
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.finish import Finish
from steadyrest.shop.floor import Vendor
from steadyrest.shop.part import Feature, Limits, Part, Size
from steadyrest.shop.work import Undone
from steadyrest.tables.practice import rule

ON_DIAMETER, ON_PITCH_60_DEG = 2.0, 4.0
ROUND = ("shaft", "bore", "cone", "sphere")
ACROSS = ("boss", "hexagon", "slot", "keyway", "groove", "pocket", "flat")
SUNK = ("slot", "keyway", "groove", "pocket")
Side = Literal["outside", "inside"]


@dataclass(frozen=True, slots=True)
class Left:
    """What a treatment asks of the steps before it.

    part: with the limits before. notes: each size that changes, and what to order. cannot: sizes that it cannot keep.
    """

    part: Part
    notes: tuple[Reason, ...]
    cannot: tuple[Undone, ...]


def before(part: Part, finish: Finish, vendor: Vendor) -> Left:
    """The part as it must go out to a treatment, from the part as it must come back.

    Args:
        part: with the limits after.
        finish: the treatment.
        vendor: how far its plating scatters, what stock its wheel wants.
    Returns: the part with the limits before, and why.
    """
    if finish.way == "plated":
        return _before_plating(part, finish, vendor)
    if finish.way == "lapped":
        return Left(part, (because("outside.leave_lapping", leave_mm=rule("lap_leave_mm")),), ())
    if finish.way == "ground":
        return _before_grinding(part, finish, vendor)
    return Left(part, (), ())


def case_to_order(finishes: tuple[Finish, ...], vendor: Vendor | None) -> Reason | None:
    """That a case is ordered deeper by what the wheel takes off each side; None where nothing is ground after it.

    Args:
        finishes: all of the part.
        vendor: who grinds it.
    Returns: the reason.
    """
    case = next((finish for finish in finishes if finish.way == "case hardened"), None)
    if case is None or vendor is None or not any(finish.way == "ground" for finish in finishes):
        return None
    each_mm = vendor.leave_mm / 2.0
    return because("outside.case_stock", ask_mm=case.case_mm + each_mm, leave_mm=each_mm, case_mm=case.case_mm)


def plating_limits(
    low_mm: float, high_mm: float, *, thin_mm: float, thick_mm: float, times: float, side: Side
) -> tuple[float, float]:
    """Limits before plating, so that any thickness from thin to thick ends within the limits after it.

    Args:
        low_mm, high_mm: after.
        thin_mm, thick_mm: least and most plating on a surface.
        times: how many times the plating moves the size: 2 on a diameter, 4 on a 60 degree thread's pitch diameter.
        side: outside sizes grow, inside sizes shrink.
    Returns: (low, high), mm; low above high where the plating scatters more than the limits are wide.
    """
    if side == "outside":
        return low_mm - times * thin_mm, high_mm - times * thick_mm
    return low_mm + times * thick_mm, high_mm + times * thin_mm


def _before_plating(part: Part, finish: Finish, vendor: Vendor) -> Left:
    t = finish.thickness_um / 1000.0
    thin, thick = t * (1.0 - vendor.band), t * (1.0 + vendor.band)
    features: list[Feature] = []
    notes: list[Reason] = []
    cannot: list[Undone] = []
    for feature in part.features:
        if feature.kind == "thread":
            which = "larger" if feature.inside else "smaller"
            notes.append(because("outside.leave_thread", feature=feature.id, grows_mm=ON_PITCH_60_DEG * t, which=which))
        size = _sized(feature)
        own = own_limits(size.nominal) if size else None
        if size is None or own is None:
            features.append(feature)
            continue
        inside = feature.inside or feature.kind == "bore" or feature.kind in SUNK
        low, high = plating_limits(
            *own, thin_mm=thin, thick_mm=thick, times=ON_DIAMETER, side="inside" if inside else "outside"
        )
        if low >= high:
            why = because(
                "outside.narrow", feature=feature.id, width_mm=own[1] - own[0],
                scatter_mm=ON_DIAMETER * (thick - thin),
            )  # fmt: skip
            cannot.append(Undone("outside", None, (feature.id,), (why,), because("outside.ask_wider")))
            features.append(feature)
            continue
        note = because(
            "outside.leave_plating", feature=feature.id, before_low_mm=low, before_high_mm=high, low_mm=own[0],
            high_mm=own[1], thin_um=thin * 1000.0, thick_um=thick * 1000.0,
        )  # fmt: skip
        notes.append(note)
        features.append(_with_limits(feature, size, low, high, note))
    return Left(replace(part, features=tuple(features)), tuple(notes), tuple(cannot))


def _before_grinding(part: Part, finish: Finish, vendor: Vendor) -> Left:
    notes: list[Reason] = []
    features: list[Feature] = []
    known = {feature.id for feature in part.features}
    cannot = [
        Undone("outside", None, (), (because("outside.unknown_feature", feature=name),))
        for name in finish.features
        if name not in known
    ]
    for feature in part.features:
        size = _sized(feature)
        own = own_limits(size.nominal) if size else None
        asked = feature.id in finish.features or (not finish.features and feature.kind in ("shaft", "bore", "flat"))
        if not asked or size is None or own is None:
            features.append(feature)
            continue
        need = rule("refuse_ratio") * vendor.repeat_mm
        if own[1] - own[0] < need:
            why = because(
                "outside.coarse", feature=feature.id, vendor=vendor.name, repeat_mm=vendor.repeat_mm,
                width_mm=own[1] - own[0], need_mm=need,
            )  # fmt: skip
            cannot.append(Undone("outside", None, (feature.id,), (why,), because("outside.ask_wider")))
            features.append(feature)
            continue
        leave, width = vendor.leave_mm, rule("ground_before_mm")
        inside = feature.inside or feature.kind == "bore"
        low = own[0] - leave - width if inside else own[1] + leave
        note = because(
            "outside.leave_grinding", feature=feature.id, before_low_mm=low, before_high_mm=low + width,
            leave_mm=leave, low_mm=own[0], high_mm=own[1],
        )  # fmt: skip
        notes.append(note)
        features.append(_with_limits(feature, size, low, low + width, note))
    if not notes and not cannot:
        cannot.append(Undone("outside", None, (), (because("outside.nothing_ground"),)))
    return Left(replace(part, features=tuple(features)), tuple(notes), tuple(cannot))


def _sized(feature: Feature) -> Size | None:
    """The principal size, where plating or a wheel moves it: a diameter, or a width across."""
    size = feature.sizes[0] if feature.sizes else None
    if size is None:
        return None
    if feature.kind in ROUND and size.name == "diameter_mm":
        return size
    return size if feature.kind in ACROSS and size.name == "width_mm" else None


def _with_limits(feature: Feature, size: Size, low_mm: float, high_mm: float, why: Reason) -> Feature:
    nominal = size.nominal
    assert nominal is not None, "only sizes with limits of their own are changed"
    moved = (low_mm + high_mm) / 2.0
    changed = replace(nominal, value=moved, limits=Limits(low_mm, high_mm, (why,)))
    return replace(feature, sizes=(replace(size, nominal=changed), *feature.sizes[1:]))
