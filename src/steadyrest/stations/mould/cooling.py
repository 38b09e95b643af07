"""How long a moulding cools in the mould before it may be taken out."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.stations.slab import Conducts, left_at_wall, when


@dataclass(frozen=True, slots=True)
class CoolingWanted:
    """A wall of a moulding between the mould's faces, which stay at mould_c.

    thickness_mm: of the wall. sides: 2 cooled, or 1 with the other insulated. melt_c: at first, everywhere. eject_c:
    stiff enough to be pushed out. mean: judged by the mean through the wall; else by its hottest place, which is the
    middle, or the insulated face. material: of the moulding.
    """

    thickness_mm: float
    sides: int
    melt_c: float
    mould_c: float
    eject_c: float
    mean: bool
    material: Conducts

    @property
    def half_mm(self) -> float:
        """From the hottest place to a cooled face."""
        return self.thickness_mm / self.sides


@dataclass(frozen=True, slots=True)
class Cooled:
    """When it may be ejected. time: None if it never may. cannot: why not; none: yes."""

    time: Figure | None
    cannot: tuple[Reason, ...]

    @property
    def answer(self) -> str:
        """yes or no."""
        return "no" if self.cannot else "yes"


def cooled(wanted: CoolingWanted) -> Cooled:
    """How long a wall cools until its middle, or its mean, is at eject_c.

    Args:
        wanted: wall, temperatures, material.
    Returns: the time with its reasons; no with its reason if the mould is too warm.
    Source: the whole series of stations/slab.py; the handbooks' formula is its first term.
    """
    if wanted.eject_c <= wanted.mould_c:
        return Cooled(None, (because("cooling.mould_too_warm", mould_c=wanted.mould_c, eject_c=wanted.eject_c),))
    if wanted.melt_c <= wanted.eject_c:
        why = because("cooling.cool_already", melt_c=wanted.melt_c, eject_c=wanted.eject_c)
        return Cooled(Figure(0.0, "s", (why,)), ())
    left = (wanted.eject_c - wanted.mould_c) / (wanted.melt_c - wanted.mould_c)
    fo = when(lambda fo: left_at_wall(fo, mean=wanted.mean) - left)
    where = "cooling.by_mean" if wanted.mean else "cooling.by_middle" if wanted.sides == 2 else "cooling.by_back"
    why = (because(where, eject_c=wanted.eject_c), because("cooling.wall", thickness_mm=wanted.thickness_mm))
    return Cooled(Figure(fo * wanted.half_mm**2 / wanted.material.a_mm2_s, "s", why), ())


def cautions() -> tuple[Reason, ...]:
    """What to mind when a moulding is taken out.

    Returns: the cautions.
    """
    return (because("cooling.caution_hot"), because("cooling.caution_wall"), because("clamp.caution_manual"))
