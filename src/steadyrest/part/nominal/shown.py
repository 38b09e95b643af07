"""A nominal as a drawing writes it, and the name of the habit it follows."""

from __future__ import annotations

from steadyrest import units
from steadyrest.part.nominal.choice import Fit
from steadyrest.part.nominal.habits import INCH_MM
from steadyrest.part.nominal.partners import preferred_sizes

EXACT = 1e-6


def inch_fraction(value_mm: float) -> bool:
    """Whether the size is a whole number of 64ths of an inch."""
    return abs(value_mm / INCH_MM * 64 - round(value_mm / INCH_MM * 64)) < 64 * EXACT


def shown(value_mm: float, unit: str) -> str:
    """The size as a drawing writes it: "35 mm", "1-7/16 in", "0.375 in".

    Args:
        value_mm: the nominal.
        unit: "mm" or "in".
    Returns: text with its unit.
    """
    if unit == "in":
        return units.show_length(value_mm, "in")
    return f"{value_mm:.4f}".rstrip("0").rstrip(".") + " mm"


def shown_as_measured(value_mm: float, u_mm: float, unit: str) -> str:
    """A size that follows no habit: no finer than it is known."""
    if unit == "in":
        digits = 4 if u_mm < 0.003 else 3 if u_mm < 0.05 else 2
        return f"{value_mm / INCH_MM:.{digits}f} in"
    digits = 3 if u_mm < 0.003 else 2 if u_mm < 0.05 else 1
    return f"{value_mm:.{digits}f} mm"


def source_of(fit: Fit) -> str:
    """What a candidate follows: "bearing bore", "metric preferred", "inch fraction", ... for `Nominal.source`."""
    if fit.source:
        return fit.source
    if fit.unit == "in":
        return "inch fraction" if inch_fraction(fit.value_mm) else "inch decimal"
    if any(abs(fit.value_mm - preferred) < EXACT for preferred in preferred_sizes()):
        return "metric preferred"
    for step, name in ((1.0, "metric whole"), (0.5, "metric half"), (0.1, "metric tenth")):
        if abs(fit.value_mm / step - round(fit.value_mm / step)) < EXACT:
            return name
    return "metric hundredth"
