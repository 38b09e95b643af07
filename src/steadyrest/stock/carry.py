"""The carry blank: one length from which parts are taken one after another, the uncut rest being what each is held by.

More links a blank save sawing, gripping and the grip's own length; they make it heavy, long, and soft at the tip, whose
deflection under the finishing force grows with the length cubed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason, because

MOST_LINKS = 12
HOUR_S = 3600.0
MM3_PER_M3 = 1e9
FITS_MM = 1e-9


@dataclass(frozen=True, slots=True)
class Section:
    """A round of d_mm, or a rectangle of w_mm by h_mm."""

    d_mm: float = 0.0
    w_mm: float = 0.0
    h_mm: float = 0.0

    @property
    def area_mm2(self) -> float:
        return math.pi * self.d_mm**2 / 4 if self.d_mm else self.w_mm * self.h_mm

    @property
    def weaker_mm4(self) -> float:
        """Second moment of area about the axis that bends most easily."""
        if self.d_mm:
            return math.pi * self.d_mm**4 / 64
        thin, wide = sorted((self.w_mm, self.h_mm))
        return wide * thin**3 / 12


@dataclass(frozen=True, slots=True)
class CarryWanted:
    """What is wanted, and what holds it. pieces_mm: lengths on the floor; none: there is enough bar.

    length_mm, face_mm, part_off_mm: a link is their sum. max_mass_kg, max_length_mm: of the blank; inf where nothing
    limits it. force_n: of the finishing cut, across the tip.
    """

    length_mm: float
    face_mm: float
    part_off_mm: float
    count: int
    section: Section
    density_kg_m3: float
    e_mpa: float
    price_per_kg: float
    kerf_mm: float
    saw_s: float
    grip_mm: float
    holding_s: float
    force_n: float
    tip_allowed_mm: float
    max_mass_kg: float
    max_length_mm: float
    person_per_hour: float
    pieces_mm: tuple[float, ...]
    currency: str

    @property
    def link_mm(self) -> float:
        return self.length_mm + self.face_mm + self.part_off_mm

    def blank_mm(self, links: int) -> float:
        return links * self.link_mm + self.grip_mm

    def mass_kg(self, length_mm: float) -> float:
        return self.section.area_mm2 * length_mm / MM3_PER_M3 * self.density_kg_m3


@dataclass(frozen=True, slots=True)
class CarryOption:
    """So many links a blank, the last one shorter. bar_mm: with a kerf for each blank. limits: what speaks against it.

    blank_kg: the longest blank, to be lifted.
    """

    links: int
    chains: tuple[int, ...]
    bar_mm: float
    handling_s: float
    cost: float
    tip: Figure
    blank_kg: float
    limits: tuple[Reason, ...]

    @property
    def allowed(self) -> bool:
        return not self.limits


def carry_options(wanted: CarryWanted) -> tuple[CarryOption, ...]:
    """Every number of links a blank that is worth a thought, fewest first.

    Args:
        wanted: the part, its material, saw, holding, money and the pieces there are.
    Returns: one option a number of links, up to twelve or the count.
    Source: cantilever with a force at its tip, F L^3 / (3 E I): any handbook of strength of materials. Checked in
        tests/checks/test_carry.py.
    """
    return tuple(_option(wanted, links) for links in range(1, min(wanted.count, MOST_LINKS) + 1))


def best_option(options: tuple[CarryOption, ...]) -> CarryOption | None:
    """The cheapest that is allowed; of equal ones that with the fewest links a blank. None where none is allowed."""
    allowed = [option for option in options if option.allowed]
    return min(allowed, key=lambda option: (round(option.cost, 9), option.links), default=None)


def tip_mm(wanted: CarryWanted, links: int) -> float:
    """How far the tip of the last link yields under the finishing force: the first one cut, farthest from the grip."""
    return wanted.force_n * (links * wanted.link_mm) ** 3 / (3 * wanted.e_mpa * wanted.section.weaker_mm4)


def _option(wanted: CarryWanted, links: int) -> CarryOption:
    whole, rest = divmod(wanted.count, links)
    chains = (links,) * whole + ((rest,) if rest else ())
    bar_mm = sum(wanted.blank_mm(n) + wanted.kerf_mm for n in chains)
    handling_s = len(chains) * (wanted.saw_s + wanted.holding_s)
    longest_mm = wanted.blank_mm(links)
    tip = tip_mm(wanted, links)
    why = because("carry.tip", force_n=wanted.force_n, reach_mm=links * wanted.link_mm)
    return CarryOption(
        links=links,
        chains=chains,
        bar_mm=bar_mm,
        handling_s=handling_s,
        cost=wanted.mass_kg(bar_mm) * wanted.price_per_kg + handling_s / HOUR_S * wanted.person_per_hour,
        tip=Figure(tip, "mm", (why,)),
        blank_kg=wanted.mass_kg(longest_mm),
        limits=tuple(_limits(wanted, links, rest, tip)),
    )


def _limits(wanted: CarryWanted, links: int, rest: int, tip: float) -> list[Reason]:
    found = list[Reason]()
    blank_mm = wanted.blank_mm(links)
    mass_kg = wanted.mass_kg(blank_mm)
    if tip > wanted.tip_allowed_mm + FITS_MM:
        over = tip - wanted.tip_allowed_mm
        found.append(because("carry.limit_tip", tip_mm=tip, allowed_mm=wanted.tip_allowed_mm, over_mm=over))
    if mass_kg > wanted.max_mass_kg + FITS_MM:
        found.append(because("carry.limit_mass", mass_kg=mass_kg, allowed_kg=wanted.max_mass_kg))
    if blank_mm > wanted.max_length_mm + FITS_MM:
        found.append(because("carry.limit_length", blank_mm=blank_mm, allowed_mm=wanted.max_length_mm))
    if wanted.pieces_mm and not _fits(wanted, links, rest):
        needed = float(wanted.count // links + (1 if rest else 0))
        found.append(because("carry.limit_pieces", blanks=needed, blank_mm=blank_mm))
    return found


def _fits(wanted: CarryWanted, links: int, rest: int) -> bool:
    """Whether all blanks come out of the pieces, each with its kerf; the one shorter blank wherever it costs least."""
    long_mm = wanted.blank_mm(links) + wanted.kerf_mm
    wanted_long = wanted.count // links

    def out_of(length_mm: float) -> int:
        return int((length_mm + FITS_MM) // long_mm)

    there = sum(map(out_of, wanted.pieces_mm))
    if not rest:
        return there >= wanted_long
    short_mm = wanted.blank_mm(rest) + wanted.kerf_mm
    lost = [out_of(p) - out_of(p - short_mm) for p in wanted.pieces_mm if p + FITS_MM >= short_mm]
    return bool(lost) and there - min(lost) >= wanted_long
