"""Before a machine is left alone: how long edges last, what stops a machine, and what is never left alone.

Nearly all of it is judged, not measured, and the rows say so: it is where a careful shop starts. What the shop's own
edges did outweighs it soon (program/night/tool_life.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from steadyrest.tables.rows import rows

UNKNOWN_METAL = "none"


@dataclass(frozen=True, slots=True)
class EdgePrior:
    """What is believed of a kind of edge before the shop's own ends were seen.

    shape: of a Weibull; shape_factor, scale_factor: one sigma up or down, as a factor. reach: the share of edges that
    reach the life the shop has written down for them.
    """

    shape: float
    shape_factor: float
    reach: float
    scale_factor: float


@dataclass(frozen=True, slots=True)
class Ban:
    """Something that is never left alone. key: of its sentence, "ban.<key>". fact: what makes it apply."""

    key: str
    fact: str


@cache
def edge_prior(tool: str, made_of: str, diameter_mm: float) -> EdgePrior:
    """The prior of a tool's edge, in the metal that the shop's written life is known for.

    Args:
        tool: its kind, such as "drill"; one that the table does not know counts as "other".
        made_of: "hss" or "carbide".
        diameter_mm: slender drills and cutters break rather than wear; 0 where a tool has none.
    Returns: the prior.
    """
    slender = 0 < diameter_mm <= alone_figure("slender_mm") and tool not in ("turning", "facing", "grooving")
    known = {(row.text("tool"), row.text("made_of")): row for row in rows("tool_lives")}
    row = known.get(("slender" if slender else tool, made_of)) or known[("other", made_of)]
    return EdgePrior(
        shape=row.number("shape"),
        shape_factor=row.number("shape_factor"),
        reach=row.number("reach_hundredths") / 100,
        scale_factor=row.number("scale_factor"),
    )


@cache
def metal_factors(group: int | None) -> tuple[float, float]:
    """How much scatter grows and life shrinks with the metal.

    Args:
        group: VDI 3323 group; None where nobody said.
    Returns: factors on the shape and on the scale.
    Raises: KeyError: no such group.
    """
    letter = UNKNOWN_METAL
    if group is not None:
        letters = {int(row.number("group")): row.text("iso_letter") for row in rows("material_groups")}
        letter = letters[group]
    row = next(row for row in rows("tool_life_metals") if row.text("iso_letter") == letter)
    return row.number("shape_hundredths") / 100, row.number("scale_hundredths") / 100


@cache
def alone_figure(name: str) -> float:
    """A figure about cutting with nobody there.

    Args:
        name: as in alone_figures.csv.
    Returns: its value; hundredths as a share.
    Raises: KeyError: no such row.
    """
    for row in rows("alone_figures"):
        if row.text("name") == name:
            return row.number("value") / (100 if name.endswith("_hundredths") else 1)
    raise KeyError(name)


@cache
def chip_loosening(metal: str, form: str) -> tuple[float, float]:
    """How many times more room chips take than the metal that they were.

    Args:
        metal: "steel", "cast iron", "brass" or "aluminium". form: "broken" or "long".
    Returns: least and most.
    Raises: KeyError: no such row.
    Source: chip-weights.
    """
    for row in rows("chip_weights"):
        if row.text("metal") == metal and row.text("form") == form:
            solid = row.number("solid_lb_ft3")
            return solid / row.number("high_lb_ft3"), solid / row.number("low_lb_ft3")
    raise KeyError(metal, form)


@cache
def bans() -> tuple[Ban, ...]:
    """The prohibition list, in its order."""
    return tuple(Ban(row.text("key"), row.text("fact")) for row in rows("prohibited"))
