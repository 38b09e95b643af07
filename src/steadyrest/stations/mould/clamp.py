"""What holds the mould shut against the melt: the area that it shows in the parting, times its pressure."""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason, because


@dataclass(frozen=True, slots=True)
class MouldedPart:
    """What is moulded. shape: ring, disc or plate. A length that its shape does not need is 0.

    outside_mm, inside_mm: diameters of a ring or disc. length_mm: along the axis of a ring or disc; of a plate, its
    longer side. width_mm: the plate's other side. window_mm2: openings in what it shows, where the mould's halves meet.
    """

    shape: str
    outside_mm: float = 0.0
    inside_mm: float = 0.0
    length_mm: float = 0.0
    width_mm: float = 0.0
    window_mm2: float = 0.0

    def shown_mm2(self, parting: str) -> float:
        """The area that the part shows in the parting, openings taken off.

        Args:
            parting: "along" if the parting holds the axis, "across" if it is square to it.
        Returns: mm2. A ring along its axis shows outside x length: the core in its bore is drawn sideways, and the
            melt over and under it still pushes the halves apart. A plate shows its face either way.
        """
        if self.shape == "plate":
            whole = self.length_mm * self.width_mm
        elif parting == "along":
            whole = self.outside_mm * self.length_mm
        else:
            whole = math.pi / 4 * (self.outside_mm**2 - self.inside_mm**2)
        return whole - self.window_mm2


@dataclass(frozen=True, slots=True)
class ClampWanted:
    """A mould in a press.

    cavities: parts a shot. runner_mm2: of all runners together, outside the parts' shadow. pressure_mpa: in the cavity.
    factor: for how stiffly the material flows. margin: for what is not known; 1.1 is a tenth. press_kn: what it holds.
    """

    part: MouldedPart
    parting: str
    cavities: int
    runner_mm2: float
    pressure_mpa: float
    factor: float
    margin: float
    press_kn: float


@dataclass(frozen=True, slots=True)
class Clamped:
    """The force that is needed. cannot: why the press does not hold it; none: yes."""

    force: Figure
    shown_mm2: float
    cannot: tuple[Reason, ...]

    @property
    def answer(self) -> str:
        """yes or no."""
        return "no" if self.cannot else "yes"


def clamped(wanted: ClampWanted) -> Clamped:
    """The force that holds a mould shut, and whether the press has it.

    Args:
        wanted: parts, pressure, press.
    Returns: force = (cavities x area + runners) x pressure x factor x margin.
    Source: common moulding practice; checked on a textbook's example in tests/checks/test_clamp.py.
    """
    one = wanted.part.shown_mm2(wanted.parting)
    area = wanted.cavities * one + wanted.runner_mm2
    force_n = area * wanted.pressure_mpa * wanted.factor * wanted.margin
    shows = because("clamp.shows", cavities=float(wanted.cavities), one_mm2=one, runner_mm2=wanted.runner_mm2)
    melt_mpa = wanted.pressure_mpa * wanted.factor * wanted.margin
    pushes = because(
        "clamp.pushes", melt_mpa=melt_mpa, pressure_mpa=wanted.pressure_mpa, factor=wanted.factor, margin=wanted.margin
    )
    force = Figure(force_n, "N", (shows, pushes))
    if force_n <= wanted.press_kn * 1000:
        return Clamped(force, area, ())
    press_n = wanted.press_kn * 1000
    why = because("clamp.press_too_small", press_n=press_n, force_n=force_n, over_n=force_n - press_n)
    nearest = because("clamp.nearest", area_mm2=press_n / melt_mpa) if melt_mpa > 0 else None
    return Clamped(force, area, (why, nearest) if nearest else (why,))


def cautions() -> tuple[Reason, ...]:
    """What to mind at a press.

    Returns: the cautions.
    """
    return (because("clamp.caution_guards"), because("clamp.caution_pressure"), because("clamp.caution_manual"))
