"""Chips by volume against the bin: a full bin stops a conveyor, buries the work, or takes fire.

Chips are counted from the metal that the run really cuts away, all parts together, times how much they loosen. What
falls off a lathe's bar whole is no chip. Long chips take several times the room of broken ones.
"""

from __future__ import annotations

import math

from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.night.stretches import part_ends
from steadyrest.program.removal.met import Met
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Material
from steadyrest.tables.leaving import chip_loosening

LIGHT_KG_M3 = 4000.0  # lighter than this among the metals that are neither steel nor iron: aluminium's weights
MM3_PER_LITRE = 1e6


def chips_litres(removed_mm3: float, metal: Material | None, *, lathe: bool, broken: bool) -> tuple[float, float]:
    """How much room the chips take.

    Args:
        removed_mm3: metal cut away.
        metal: what is cut; None counts as steel.
        lathe: a mill's chips are short whatever the metal.
        broken: somebody has seen that no nests form.
    Returns: least and most, litres.
    Source: chip-weights.
    """
    form = "long" if lathe and not broken and (metal is None or metal.stringy) else "broken"
    least, most = chip_loosening(_kind(metal), form)
    return removed_mm3 * least / MM3_PER_LITRE, removed_mm3 * most / MM3_PER_LITRE


def chips(case: Case, met: Met, metal: Material | None) -> tuple[tuple[Finding, ...], tuple[Reason, ...]]:
    """Whether the bin holds what the whole run cuts.

    Args:
        case: what is judged.
        met: the run against its blank.
        metal: what is cut; None where nobody said.
    Returns: a finding where the middle of what is likely fills an empty bin; and what to do before leaving, where the
        most that is likely fills half of it. Nothing where nobody said what the bin holds.
    """
    holds = case.machine.bin_litres
    if math.isinf(holds):
        return (), ()
    broken = bool(case.said and case.said.proved)
    low, high = chips_litres(float(met.removed_mm3.sum()), metal, lathe=case.machine.kind == "lathe", broken=broken)
    middle = math.sqrt(low * high)
    if middle <= holds:
        full = high > 0.5 * holds
        empty = because("chips.empty", low_litres=low, high_litres=high, bin_litres=holds)
        return (), ((empty,) if full else ())
    parts = len(part_ends(case.run)) + 1
    fits = math.floor(parts * holds / middle)
    what = because("chips.what", litres=middle, low_litres=low, high_litres=high, bin_litres=holds)
    do = because("chips.do", parts=f"{fits} part" + "s" * (fits != 1)) if fits else because("chips.do_one")
    return (Finding("chips", None, what, do),), ()


def _kind(metal: Material | None) -> str:
    """A metal as the table of chips names it. A VDI 3323 group: to 14 steels, to 20 irons, to 30 the rest."""
    if metal is None or metal.group <= 14 or metal.group > 30:
        return "steel"
    if metal.group <= 20:
        return "cast iron"
    return "aluminium" if metal.density_kg_m3 < LIGHT_KG_M3 else "brass"
