"""Who does work outside, as the shop file says: [vendor.NAME]."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest.shop.finish import WAYS
from steadyrest.shop.floor import Material, Vendor
from steadyrest.shop.shop_fields import DAYS, Fields

VENDOR_KEYS = (
    "name", "does", "metals", "longest_mm", "heaviest_kg", "thickness_um", "hardness_hrc", "case_mm", "band",
    "leave_mm", "repeat_mm", "days", "take_in", "lead_days", "ready", "delay_odds", "transit_s", "minimum", "freight",
    "price_per_kg", "price_per_piece", "price_per_dm2",
)  # fmt: skip
# Which keys a treatment cannot do without.
NEEDED = {
    "plated": ("thickness_um",), "hardened": ("hardness_hrc",), "case hardened": ("hardness_hrc", "case_mm"),
    "ground": ("leave_mm", "repeat_mm"),
}  # fmt: skip


def vendors(file: Fields, materials: Sequence[Material]) -> tuple[Vendor, ...]:
    """Every vendor of work outside.

    Args:
        file: the whole file.
        materials: what they may be given.
    Returns: the vendors in the file's order; none is allowed.
    Raises: BadInput: one with something wrong.
    """
    ids = tuple(material.id for material in materials)
    return tuple(_vendor(name, fields, ids) for name, fields in file.named("vendor"))


def _vendor(name: str, fields: Fields, metals: Sequence[str]) -> Vendor:
    fields.only(VENDOR_KEYS)
    does = fields.texts("does", among=WAYS)
    for way in does:
        for key in NEEDED.get(way, ()):
            if key not in fields.table:
                raise fields.wrong(None, f"{key} is missing for {way!r}.", f"Add {key} to [{fields.path}].")
    if not any(key in fields.table for key in ("price_per_kg", "price_per_piece", "price_per_dm2", "minimum")):
        raise fields.wrong(None, "it has no price.", "Give price_per_kg, price_per_piece, price_per_dm2 or minimum.")
    days = fields.texts("days", DAYS[:5], among=DAYS)
    if not days:
        raise fields.wrong("days", "it takes nothing in on any day.", 'Write them as ["mon", "thu"].')
    return Vendor(
        id=name,
        name=fields.text("name", name),
        does=does,
        metals=fields.texts("metals", (), among=metals),
        longest_mm=fields.number("longest_mm", above=True, high=1e5),
        heaviest_kg=fields.number("heaviest_kg", above=True, high=1e5),
        thickness_um=_range(fields, "thickness_um"),
        hardness_hrc=_range(fields, "hardness_hrc"),
        case_mm=_range(fields, "case_mm"),
        band=fields.number("band", 0.25, high=0.9),
        leave_mm=fields.number("leave_mm", 0.0, high=5),
        repeat_mm=fields.number("repeat_mm", 0.0, high=10),
        days=tuple(sorted({DAYS.index(day) for day in days})),
        take_in_min=fields.clock("take_in", "16:00"),
        lead_days=fields.whole("lead_days", high=1000),
        ready_min=fields.clock("ready", "12:00"),
        delay_odds=fields.number("delay_odds", 0.0, high=1),
        transit_s=fields.number("transit_s", 0.0, high=1e6),
        minimum=fields.money("minimum", "0"),
        freight=fields.money("freight", "0"),
        per_kg=fields.money("price_per_kg", "0"),
        per_piece=fields.money("price_per_piece", "0"),
        per_dm2=fields.money("price_per_dm2", "0"),
    )


def _range(fields: Fields, key: str) -> tuple[float, float]:
    """Smallest and largest; both 0 where the key is left out."""
    if key not in fields.table:
        return 0.0, 0.0
    low, high = fields.numbers(key, count=2, above=False)
    if high < low:
        raise fields.wrong(key, f"{low:g} to {high:g} falls.", "Write [smallest, largest].")
    return low, high
