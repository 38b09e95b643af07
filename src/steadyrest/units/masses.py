"""Weights."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Literal

from steadyrest.units.shown import three_figures
from steadyrest.units.written import NUMBER, amount_of, plain_text, refuse

MassUnit = Literal["kg", "lb"]

KG_PER_LB = 0.45359237
HEAVIEST_KG = 1e6
MASSES = {
    "kg": Fraction(1), "g": Fraction(1, 1000), "t": Fraction(1000),
    "lb": Fraction("0.45359237"), "lbs": Fraction("0.45359237"), "oz": Fraction("0.45359237") / 16,
}  # fmt: skip


def parse_mass(text: str, unit: MassUnit | None = None, where: str = "weight") -> float:
    """A weight as written, in kg.

    Args:
        text: `12.5 kg`, `500 g`, `1.2 t`, `40 lb`, `5 lb 4 oz`.
        unit: what a plain number means; None refuses a plain number.
        where: the field or key, for the line a person sees.
    Returns: kg, not negative.
    Raises: BadInput: not a weight, a number without a unit, or "ton", which is three different weights.
    """
    how = "Write a weight such as 12.5 kg, 500 g, 1.2 t or 40 lb."
    plain = plain_text(text, where, how)
    if unit is not None and re.fullmatch(NUMBER, plain):
        plain = f"{plain} {unit}"
    if re.fullmatch(NUMBER, plain):
        refuse(where, text, "has no unit.", how)
    weight = amount_of(plain, MASSES)
    if weight is None:
        ton = re.search(r"(?<![a-z])tons?$", plain)
        refuse(where, text, "may mean three different weights." if ton else "is not a weight.", how)
    if weight > HEAVIEST_KG:
        refuse(where, text, "is over a thousand tonnes.", "Check the number and its unit.")
    return weight


def show_mass(kg: float, unit: MassUnit = "kg") -> str:
    """A weight to three figures, such as "15.4 kg", "213 g" or "34 lb".

    Args:
        kg: the weight.
        unit: "kg" (grams below one) or "lb".
    Returns: text.
    Raises: ValueError: not finite, or another unit.
    """
    if not math.isfinite(kg) or unit not in ("kg", "lb"):
        raise ValueError(f"show_mass: {kg!r} {unit!r} cannot be shown")
    if unit == "kg" and abs(kg) < 0.9995:
        return f"{three_figures(kg * 1000)} g"
    return f"{three_figures(kg if unit == 'kg' else kg / KG_PER_LB)} {unit}"
