"""Whether a part that is thin one way is cut from sheet as it is bought, and from which."""

from __future__ import annotations

from steadyrest.part.nominal.unknowns import modelled
from steadyrest.shop.part import Part
from steadyrest.tables.sheets import sheets_like

THIN_SHARE = 0.1  # of the second longest side: thicker is a block
MOST_MM = 6.5
SCAN_MM = 0.06  # a box about a scan is this uncertain
MODEL_MM = 1e-3


def sheet_size(part: Part) -> str | None:
    """The sheet whose thickness the part has, where its two largest faces are left as bought.

    Args:
        part: named, not turned.
    Returns: such as "sheet 3 mm" or "sheet 16 gauge steel"; None for turned and flat parts, blocks, thicknesses that no
        merchant keeps, and where two of them are too alike for the scan.
    Source: tables/data/sheets.csv.
    """
    if part.axisymmetric or part.kind == "flat" or part.unit.state == "ask":
        return None
    thin, middle, _ = sorted(part.size_mm)
    if not 0 < thin <= min(MOST_MM, THIN_SHARE * middle):
        return None
    near = sheets_like(thin, within_mm=MODEL_MM if modelled(part) else SCAN_MM)
    own = [sheet for sheet in near if sheet.system == ("in" if part.system == "inch" else "mm")] or list(near)
    if not own or abs(own[-1].thickness_mm - own[0].thickness_mm) > MODEL_MM:
        return None  # none, or the scan cannot tell one from another
    return f"sheet {own[0].shown}"
