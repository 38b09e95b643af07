"""What the shop brings things with, as the shop file says: [carriage], a van and perhaps a trailer."""

from __future__ import annotations

from steadyrest.shop.floor import Carriage
from steadyrest.shop.shop_fields import Fields

TRAILER = ("empty_kg", "empty_tongue_kg", "coupling_mm", "gross_kg", "axle_kg", "tongue_kg")
KEYS = ("van_kg", *TRAILER)


def carriage(file: Fields) -> Carriage | None:
    """Van and trailer.

    Args:
        file: the whole file.
    Returns: None where the file does not say: then every load goes in one trip.
    Raises: BadInput: something wrong with it, or a trailer with only some of its figures.
    """
    if "carriage" not in file.table:
        return None
    fields = file.inner("carriage")
    fields.only(KEYS)
    van_kg = fields.number("van_kg", above=True, high=1e5)
    if not any(key in fields.table for key in TRAILER):
        return Carriage(van_kg)
    empty_kg = fields.number("empty_kg", above=True, high=1e5)
    return Carriage(
        van_kg,
        empty_kg=empty_kg,
        empty_tongue_kg=fields.number("empty_tongue_kg", high=empty_kg),
        coupling_mm=fields.number("coupling_mm", above=True, high=1e5),
        gross_kg=fields.number("gross_kg", low=empty_kg, high=1e6),
        axle_kg=fields.number("axle_kg", above=True, high=1e6),
        tongue_kg=fields.number("tongue_kg", above=True, high=1e5),
    )
