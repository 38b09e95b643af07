"""Bending sheet: least radii by metal, and what a press brake needs and takes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache

from steadyrest.tables.rows import rows


@cache
def figures() -> Mapping[str, float]:
    """What bending needs and takes, by name as in bend_figures.csv."""
    return {row.text("figure"): row.number("value") for row in rows("bend_figures")}


@cache
def least_radius_ratio(metal: str) -> float:
    """Least inside radius in thicknesses.

    Args:
        metal: as in plate_cutting.CutMetal.
    Returns: radius over thickness.
    Raises: KeyError: the metal is not in the table.
    """
    for row in rows("bend_metals"):
        if row.text("metal") == metal:
            return row.number("least_radius_ratio")
    raise KeyError(metal)


def bend_allowance_mm(*, angle_rad: float, radius_mm: float, thickness_mm: float) -> float:
    """Length of sheet that a bend takes up: A (R + K T).

    Args:
        angle_rad: by which the sheet is bent.
        radius_mm: inside.
        thickness_mm: of the sheet.
    Returns: mm.
    Source: bend-allowance (K 0.33 where R < 2 T, else 0.5). Checked in tests/checks/test_bending.py.
    """
    k = figures()["k_tight"] if radius_mm < 2.0 * thickness_mm else figures()["k_wide"]
    return angle_rad * (radius_mm + k * thickness_mm)


def bend_force_n(*, rm_mpa: float, length_mm: float, thickness_mm: float, opening_mm: float) -> float:
    """Largest force of a V-bend: 1.33 Rm L t2 / V.

    Args:
        rm_mpa: tensile strength.
        length_mm: of the bend.
        thickness_mm: of the sheet.
        opening_mm: of the die.
    Returns: N.
    Source: bend-force. Checked in tests/checks/test_bending.py.
    """
    return figures()["force_factor"] * rm_mpa * length_mm * thickness_mm**2 / opening_mm


def sprung_radius_mm(*, radius_mm: float, yield_mpa: float, e_mpa: float, thickness_mm: float) -> float:
    """Inside radius after the sheet has sprung back: Ri / (4 X3 - 3 X + 1), X = Ri Y / (E T).

    Args:
        radius_mm: inside, while it is held.
        yield_mpa: of the metal.
        e_mpa: its stiffness.
        thickness_mm: of the sheet.
    Returns: mm; infinite where it springs back wholly (X >= 0.5).
    Source: Gardiner, Trans. ASME 79 (1957), as printed in textbooks. Checked in tests/checks/test_bending.py.
    """
    x = radius_mm * yield_mpa / (e_mpa * thickness_mm)
    return radius_mm / (4.0 * x**3 - 3.0 * x + 1.0) if x < 0.5 else math.inf
