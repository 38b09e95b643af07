"""The prohibition list: what is never left alone, whatever else is good; and the cautions beside every answer.

The list is data (tables/data/prohibited.csv). What nobody said is not taken for harmless: it is a caution.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Material
from steadyrest.tables.leaving import bans
from steadyrest.tables.metal_tests import metal_kinds

PLASTICS = (29, 30)  # VDI 3323 groups; as light as magnesium, and not meant here
FIRE_PRONE_COOLANTS = ("oil", "alcohol", "mist")


@dataclass(frozen=True, slots=True)
class Circumstance:
    """What is known of a run besides its program. None or "": nobody said.

    way: "cut", "thermal", "hot sheet", "weld", "mould". controlled: False for a machine run by hand.
    proved: this program ran on this metal with somebody looking, and no nest of chips formed.
    coolant: "water", "oil", "alcohol", "mist", "air", "none". holding: "chuck", "vise", "clamps", "vacuum", "magnet".
    pressure_switch: the machine stops when the vacuum falls. hand_loaded: somebody puts each piece in.
    """

    way: str = "cut"
    controlled: bool = True
    metal: Material | None = None
    proved: bool = False
    coolant: str = ""
    holding: str = ""
    pressure_switch: bool = False
    hand_loaded: bool = False


def burns(metal: Material) -> bool:
    """Whether a metal's chips take fire: of a kind that does, or as light as one that has no row of its own.

    Args:
        metal: as the shop has it.
    Returns: as tables/data/metal_kinds.csv says of its kind.
    """
    for kind in metal_kinds():
        low, high = kind.density_kg_m3
        alike = not kind.materials and low <= metal.density_kg_m3 <= high and metal.group not in PLASTICS
        if kind.burns and (metal.id in kind.materials or alike):
            return True
    return False


FACTS: Mapping[str, Callable[[Circumstance], bool]] = {
    "thermal cutting": lambda one: one.way == "thermal",
    "hot sheet": lambda one: one.way == "hot sheet",
    "welding": lambda one: one.way == "weld",
    "hand-loaded moulding": lambda one: one.way == "mould" and one.hand_loaded,
    "manual machine": lambda one: not one.controlled,
    "stringy chips without proof": lambda one: one.metal is not None and one.metal.stringy and not one.proved,
    "fire-prone metal": lambda one: one.metal is not None and burns(one.metal),
    "fire-prone coolant": lambda one: one.coolant in FIRE_PRONE_COOLANTS,
    "vacuum holding without a pressure switch": lambda one: one.holding == "vacuum" and not one.pressure_switch,
}


def prohibited(one: Circumstance) -> tuple[Reason, ...]:
    """Everything on the list that applies.

    Args:
        one: what is known of the run.
    Returns: reasons in the list's order; empty if none applies.
    """
    metal = one.metal.name if one.metal else ""
    return tuple(because(f"ban.{ban.key}", metal=metal, coolant=one.coolant) for ban in bans() if FACTS[ban.fact](one))


def not_said(one: Circumstance) -> tuple[Reason, ...]:
    """What the list would need to know and nobody said: to be looked at before leaving.

    Args:
        one: what is known of the run.
    Returns: what to look at.
    """
    found: list[Reason] = []
    if one.metal is None:
        found.append(because("ban.ask_metal"))
    if not one.coolant:
        found.append(because("ban.ask_coolant"))
    if not one.holding:
        found.append(because("ban.ask_holding"))
    return tuple(found)


def cautions() -> tuple[Reason, ...]:
    """What stands beside every answer, a yes above all."""
    return (because("alone_caution.judges"), because("alone_caution.rules"), because("alone_caution.stop"))
