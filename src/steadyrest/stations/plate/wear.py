"""What cutting uses up: tips, gas; and what it needs from the plug and the air line."""

from __future__ import annotations

import math
from decimal import Decimal

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import CutterLimits, Machine
from steadyrest.stations.plate.setting import Setting


def tips(limits: CutterLimits, starts: float, cut_s: float) -> Figure:
    """How many sets of tips a lot wears, by starts or by hours, whichever ends first.

    Args:
        limits: of the machine.
        starts: of the lot. cut_s: of the lot.
    Returns: sets, with what wears them.
    """
    by_starts, by_hours = starts / limits.nozzle_starts, cut_s / 3600.0 / limits.nozzle_h
    key = "plate.tips_starts" if by_starts >= by_hours else "plate.tips_hours"
    why = because(key, starts=starts, run_s=cut_s, life_starts=limits.nozzle_starts, life_s=3600.0 * limits.nozzle_h)
    return Figure(round(max(by_starts, by_hours), 3), "1", (why,))


def cash(limits: CutterLimits, worn: Figure, cut_s: float) -> Decimal:
    """Money that the lot's tips and gas cost."""
    money = float(limits.nozzle_price) * worn.value + float(limits.gas_per_hour) * cut_s / 3600.0
    return Decimal(repr(round(money, 2))).quantize(Decimal("0.01"))


def power_w(setting: Setting) -> float:
    """What the machine draws from its plug while it cuts."""
    tip_w = setting.strength * (setting.figure("volts") or 1000.0) if setting.way != "oxy-fuel" else 0.0
    return tip_w / setting.figure("efficiency") + setting.figure("idle_w")


def lacks(machine: Machine, limits: CutterLimits, setting: Setting) -> tuple[Reason, ...]:
    """What the plug or the air line does not give.

    Args:
        machine: its name.
        limits: of the machine.
        setting: how it cuts.
    Returns: reasons; empty: enough of both.
    """
    needs, air = power_w(setting), setting.figure("air_l_min")
    found: list[tuple[float, Reason]] = []
    if needs > limits.supply_w:
        why = because("plate.power", machine=machine.name, needs_w=needs, has_w=limits.supply_w)
        found.append((needs / limits.supply_w, why))
    if air > limits.air_l_min:
        why = because("plate.air", machine=machine.name, needs=f"{air:g}", has=f"{limits.air_l_min:g}")
        found.append((air / limits.air_l_min if limits.air_l_min else math.inf, why))
    return tuple(why for _, why in sorted(found, key=lambda one: -one[0]))


def warmed_k(setting: Setting, cut_s: float, mass_kg: float) -> float:
    """How far a part warms on the whole from being cut out: the share of the heat that stays in it.

    Args:
        setting: way and strength.
        cut_s: of the part.
        mass_kg: of the part.
    Returns: K; 0 where nothing burns.
    """
    put_in_w = setting.strength * (setting.figure("volts") or 1000.0)
    if setting.way == "oxy-fuel":
        # The iron's own burning: what is in the kerf, at the heat that melts it.
        put_in_w = setting.feed_mm_min.value / 60.0 * setting.kerf_mm * setting.thickness_mm * 10.3
    return setting.figure("heat_share") * put_in_w * cut_s / max(mass_kg * setting.metal.heat_j_kgk, 1e-9)
