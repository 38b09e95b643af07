"""The machines for flat work: surface grinder, press brake. To a turned part each says no, with its limits.

They plan nothing yet; what they refuse, they refuse with the numbers that would still stand if they did.
"""

from __future__ import annotations

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import BrakeLimits, GrinderLimits, Machine
from steadyrest.shop.part import Feature
from steadyrest.stations import sizes
from steadyrest.stations.answer import Answer, Ask, none_made

Miss = tuple[float, Reason]


def grind(ask: Ask) -> Answer:
    """The surface grinder's answer: it grinds flat faces; a round seat needs a cylindrical grinder.

    Args:
        ask: the part; machine: the grinder.
    Returns: a refusal with every limit.
    """
    machine = ask.machine
    if machine is None or not isinstance(machine.limits, GrinderLimits):
        return none_made(ask, "grind", (because("sheet.no_machine", kind="grinder"),))
    limits = machine.limits
    length, width, height = _box(ask)
    misses = [
        *_over("sheet.table", machine, length, limits.table_mm[0]),
        *_over("sheet.table", machine, width, limits.table_mm[1]),
        *_over("sheet.height", machine, height, limits.height_mm),
        *_heavy(ask, machine, limits.max_load_kg),
    ]
    for feature in ask.asked():
        misses.extend(_fine(feature, machine, limits.repeat_mm))
    round_work = because("sheet.grinds_flat", machine=machine.name)
    return none_made(ask, "grind", (round_work, *_worst_first(misses)), because("sheet.nearest_cylindrical"))


def bend(ask: Ask) -> Answer:
    """The press brake's answer: it bends sheet up to its thickness, length and force.

    Args:
        ask: the part; machine: the brake.
    Returns: a refusal with every limit.
    """
    machine = ask.machine
    if machine is None or not isinstance(machine.limits, BrakeLimits):
        return none_made(ask, "bend", (because("sheet.no_machine", kind="brake"),))
    limits = machine.limits
    length, width, height = _box(ask)
    thick = min(width, height)
    misses = [
        *_over("sheet.thickness", machine, thick, limits.max_thickness_mm),
        *_over("sheet.bend_length", machine, length, limits.bend_length_mm),
    ]
    need_n = air_bend_n(length_mm=length, thickness_mm=thick, rm_mpa=ask.material.rm_mpa)
    if need_n > limits.force_n:
        why = because("sheet.bend_force", machine=machine.name, has_n=need_n, allowed_n=limits.force_n)
        misses.append((need_n / limits.force_n, why))
    return none_made(ask, "bend", (*_kind(ask, "sheet.bends_sheet", machine), *_worst_first(misses)))


def air_bend_n(*, length_mm: float, thickness_mm: float, rm_mpa: float) -> float:
    """Force for an air bend over a die opening of eight thicknesses: 1.33 Rm L t**2 / V.

    Args:
        length_mm: of the bend.
        thickness_mm: of the sheet.
        rm_mpa: tensile strength.
    Returns: N.
    Source: common practice, no source (the factor is printed as 1.2 to 1.5).
    """
    return 1.33 * rm_mpa * length_mm * thickness_mm / 8.0


def _kind(ask: Ask, wrong_kind: str, machine: Machine) -> tuple[Reason, ...]:
    """Why a machine for flat work says no: the part is none, or it is and nothing flat is planned yet."""
    if ask.part.kind != "flat":
        return (because(wrong_kind, machine=machine.name),)
    later = because("sheet.later", machine=machine.name)
    return (later,) if min(ask.part.size_mm) > 0 else (later, because("sheet.no_thickness"))


def _box(ask: Ask) -> tuple[float, float, float]:
    length, width, height = sorted(ask.part.size_mm, reverse=True)
    return length, width, height


def _over(key: str, machine: Machine, has_mm: float, allowed_mm: float) -> list[Miss]:
    if has_mm <= allowed_mm:
        return []
    return [(has_mm / allowed_mm, because(key, machine=machine.name, has_mm=has_mm, allowed_mm=allowed_mm))]


def _heavy(ask: Ask, machine: Machine, allowed_kg: float) -> list[Miss]:
    has_kg = ask.state.blank.mass_kg
    if has_kg <= allowed_kg:
        return []
    return [(has_kg / allowed_kg, because("sheet.load", machine=machine.name, has_kg=has_kg, allowed_kg=allowed_kg))]


def _fine(feature: Feature, machine: Machine, repeat_mm: float) -> list[Miss]:
    why = sizes.too_fine(feature, repeat_mm=repeat_mm, machine=machine.name)
    return [(1.0, why)] if why else []


def _worst_first(misses: list[Miss]) -> tuple[Reason, ...]:
    return tuple(reason for _, reason in sorted(misses, key=lambda miss: -miss[0]))
