"""Which metal a piece is: what was weighed and tried as typed, with the part's own volume if it was read."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest import units
from steadyrest.part.metal.evidence import MetalAnswer, MetalEvidence
from steadyrest.part.metal.weight import volume_of_scan
from steadyrest.part.metal.which import which_metal as judged
from steadyrest.shop.floor import Material
from steadyrest.shop.part import Part
from steadyrest.shop.shop_materials import table_materials
from steadyrest.trouble import BadInput

# One sigma of a shop scale that nobody described, of the reading: common practice, no source.
SCALE_SHARE = 0.005


@dataclass(frozen=True, slots=True)
class MetalSaid:
    """What a person types; "" where nothing was tried.

    weight, in_water: such as "2.35 kg" or "5 lb 4 oz". scale: how far the scale may be off, such as "5 g".
    magnet, file, colour, spark: an outcome as part/metal/evidence.py lists them.
    """

    weight: str = ""
    scale: str = ""
    in_water: str = ""
    magnet: str = ""
    file: str = ""
    colour: str = ""
    spark: str = ""


def which_metal(
    said: MetalSaid, *, part: Part | None = None, metals: tuple[Material, ...] | None = None
) -> MetalAnswer:
    """Which metal it is, and what to try next.

    Args:
        said: as typed.
        part: as read, for its volume; None where there is no file.
        metals: the shop's; the tables' by default.
    Returns: odds, names, next test.
    Raises: BadInput: a weight or an outcome that is none; a part whose unit is still asked.
    """
    mass_kg = units.parse_mass(said.weight, where="weight") if said.weight else None
    in_water_kg = units.parse_mass(said.in_water, where="weight in water") if said.in_water else None
    mass: tuple[float, float] | None = None
    if mass_kg is not None:
        mass = (mass_kg, units.parse_mass(said.scale, where="scale") if said.scale else SCALE_SHARE * mass_kg)
    return judged(
        MetalEvidence(
            volume_mm3=_volume(part), mass_kg=mass, in_water_kg=in_water_kg,
            magnet=said.magnet or None, file=said.file or None, colour=said.colour or None, spark=said.spark or None,
        ),
        metals or table_materials(),
    )  # fmt: skip


def _volume(part: Part | None) -> tuple[float, float] | None:
    """The part's volume and one sigma; None if its surface is open or it is flat."""
    if part is None or part.volume_mm3 is None:
        return None
    if part.unit.state == "ask":
        raise BadInput(where=part.name, what="its unit is not known yet.", do="Give the unit first, such as --unit mm.")
    a, b, c = part.size_mm
    area_mm2 = max(sum(feature.area_mm2 for feature in part.features), 2 * (a * b + b * c + c * a))
    return volume_of_scan(part.volume_mm3, area_mm2=area_mm2, noise_mm=part.noise_mm)
