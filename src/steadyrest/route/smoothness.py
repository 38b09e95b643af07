"""A roughness wished for: cut so with a finer feed, or ground, or ground and lapped outside; and what nobody reaches.

A turned surface's mean roughness is feed squared over 32 nose radii; the finishing feed follows from it, and the rows
over a slope from their ridges. What is finer than a cutting edge is promised with goes out to a wheel or a lap.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.finish import Finish
from steadyrest.shop.floor import Shop
from steadyrest.shop.work import Undone
from steadyrest.tables.practice import rule


@dataclass(frozen=True, slots=True)
class Smooth:
    """How a wish is met: what goes out for it, the shop with its finishing cuts set to it, and what nobody reaches."""

    finishes: tuple[Finish, ...]
    shop: Shop
    why: tuple[Reason, ...] = ()
    cannot: tuple[Undone, ...] = ()


def smooth(finishes: tuple[Finish, ...], shop: Shop, *, turned: bool) -> Smooth:
    """How the roughness that is wished for comes about.

    Args:
        finishes: as asked.
        shop: its habit holds where nothing was wished.
        turned: whether the part is turned; else it is milled.
    Returns: the finishes without the wish and with a wheel or a lap where one is needed, and the shop to plan with.
    """
    wish = next((finish for finish in finishes if finish.way == "Ra"), None)
    if wish is None:
        return Smooth(finishes, shop)
    rest = tuple(finish for finish in finishes if finish.way != "Ra")
    ra, names = wish.ra_um, wish.features
    cut_um = rule("turned_ra_um" if turned else "milled_ra_um")
    habit_um = shop.habits.finish_ra_um
    # Named features only: the rest may stay as the shop always cuts it, but one feed finishes all that a tool cuts.
    each_um = max(min(ra, habit_um) if names else ra, cut_um)
    floor = replace(shop, habits=replace(shop.habits, finish_ra_um=each_um))
    if ra >= cut_um:
        return Smooth(rest, floor, (because("smooth.cut", ra=ra, cut_um=cut_um),))
    more: list[Finish] = []
    if not any(finish.way == "ground" for finish in rest):
        more.append(Finish("ground", features=names))
    why = because("smooth.ground", ra=ra, cut_um=cut_um, ground_um=rule("ground_ra_um"))
    cannot: tuple[Undone, ...] = ()
    if ra < rule("ground_ra_um"):
        why = because("smooth.lapped", ra=ra, ground_um=rule("ground_ra_um"), lapped_um=rule("lapped_ra_um"))
        if not any(finish.way == "lapped" for finish in rest):
            more.append(Finish("lapped", features=names))
    if ra < rule("lapped_ra_um"):
        no = because("smooth.finer", ra=ra, lapped_um=rule("lapped_ra_um"))
        cannot = (Undone("outside", None, names, (no,), because("smooth.nearest", lapped_um=rule("lapped_ra_um"))),)
    order = {"stress relieved": 0, "hardened": 1, "case hardened": 1, "ground": 2, "lapped": 3, "plated": 4}
    return Smooth(tuple(sorted((*rest, *more), key=lambda one: order[one.way])), floor, (why,), cannot)
