"""The surface grinder. It plans nothing yet; what it refuses, it refuses with the numbers that would still stand."""

from __future__ import annotations

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import GrinderLimits, Machine
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
