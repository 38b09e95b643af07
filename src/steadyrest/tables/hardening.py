"""Which steels harden, how, and how hard they become."""

from __future__ import annotations

from functools import cache

from steadyrest.tables.rows import rows


@cache
def _all() -> dict[tuple[str, str], tuple[float, float]]:
    return {
        (row.text("material"), row.text("way")): (row.number("hrc_from"), row.number("hrc_to"))
        for row in rows("hardening")
    }


def hardness_hrc(material: str, way: str) -> tuple[float, float] | None:
    """What hardness a metal reaches.

    Args:
        material: its id.
        way: "hardened" or "case hardened".
    Returns: lowest and highest usual, HRC; None where it is not hardened so.
    """
    return _all().get((material, way))
