"""What stands on a machine's table or hangs on its rotary axis: mass, and the moment of a mass off the axis."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from steadyrest.handling.slings import G_M_S2
from steadyrest.shop.figure import Figure, Reason, because


@dataclass(frozen=True, slots=True)
class OnTable:
    """Something on the table: the part, a vice, a chuck. off_mm: its centre of mass off the rotary axis; 0: a plain
    table, or in balance."""

    what: str
    mass_kg: float
    off_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class TableLimits:
    """What the machine's manual allows; infinite: not asked. moment_nm: about a level rotary axis, holding still."""

    mass_kg: float = math.inf
    moment_nm: float = math.inf


@dataclass(frozen=True, slots=True)
class TableJudged:
    """mass: all together; moment: at its worst, all to one side. cannot: why not so; none: nothing here against it."""

    mass: Figure
    moment: Figure
    cannot: tuple[Reason, ...]
    cautions: tuple[Reason, ...]


def on_table(loads: Sequence[OnTable], limits: TableLimits) -> TableJudged:
    """What a table or a rotary axis carries, against what it may.

    Args:
        loads: what stands on it. limits: the manual's.
    Returns: mass and moment, and what speaks against it.
    Raises: ValueError: nothing on it, a mass that is not above 0, or a negative distance.
    Source: statics, mass x g x distance. Checked in tests/handling/test_tables.py.
    """
    if not loads or any(one.mass_kg <= 0 or one.off_mm < 0 for one in loads):
        raise ValueError("on_table: give loads with masses above 0 and distances of 0 or more")
    mass = sum(one.mass_kg for one in loads)
    moment = sum(one.mass_kg * G_M_S2 * one.off_mm / 1000 for one in loads)
    heaviest = max(loads, key=lambda one: one.mass_kg)
    cannot: list[Reason] = []
    if mass > limits.mass_kg:
        cannot.append(because("table.over_mass", has_kg=mass, allowed_kg=limits.mass_kg))
    if moment > limits.moment_nm:
        nearest = limits.moment_nm / (mass * G_M_S2) * 1000
        cannot.append(because("table.over_moment", moment_nm=moment, allowed_nm=limits.moment_nm, nearest_mm=nearest))
    return TableJudged(
        Figure(mass, "kg", (because("table.mass", what=heaviest.what, mass_kg=heaviest.mass_kg),)),
        Figure(moment, "Nm", (because("table.moment"),)),
        tuple(cannot),
        (because("table.caution_manual"), because("table.caution_swing")),
    )
