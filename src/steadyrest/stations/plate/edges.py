"""What a cut edge holds: squareness, roughness and limits by ISO 9013, against what a size asks."""

from __future__ import annotations

import math
import re

from steadyrest import units
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.part import Feature
from steadyrest.stations import sizes
from steadyrest.stations.plate.setting import Setting
from steadyrest.tables.plate_cutting import limit_mm, rz5_um, squareness_mm
from steadyrest.trouble import BadInput

SOURCE = "iso-9013-guide"


def said(setting: Setting) -> tuple[Figure, ...]:
    """What the edge will be like: how far out of square, and how rough.

    Args:
        setting: way and thickness.
    Returns: u in mm, Rz5 in um.
    """
    t = setting.thickness_mm
    square, rough = int(setting.figure("edge_range")), int(setting.figure("rough_range"))
    return (
        Figure(squareness_mm(square, t), "mm", (because("plate.squareness", SOURCE, range=float(square)),)),
        Figure(rz5_um(rough, t), "um", (because("plate.roughness", SOURCE, range=float(rough)),)),
    )


def too_coarse(feature: Feature, setting: Setting, repeat_mm: float) -> Reason | None:
    """Why the cut edge does not promise a size's own limits; None if it does, or if it has none.

    Args:
        feature: with its limits.
        setting: way and thickness.
        repeat_mm: of the machine.
    Returns: the reason, or None.
    """
    own = sizes.limits_mm(feature)
    if own is None:
        return None
    t, width = setting.thickness_mm, own[1] - own[0]
    number = int(setting.figure("limit_class"))
    off = limit_mm(number, thickness_mm=t, size_mm=(own[0] + own[1]) / 2.0)
    u = squareness_mm(int(setting.figure("edge_range")), t)
    if off is None:
        return because("plate.no_limit", feature=feature.id, number=float(number), thickness_mm=t)
    off = max(off, repeat_mm)
    bolt = _bolt_mm(feature)
    # A hole for a bolt need only let it through, skew as its wall may be.
    if width >= max(2.0 * off, u) or own[0] - off - u > bolt:
        return None
    return because(
        "plate.coarse", "plate-limits", feature=feature.id, width_mm=width, off_mm=off, number=float(number), u_mm=u
    )


def _bolt_mm(feature: Feature) -> float:
    """The bolt that a clearance hole is for; infinite where it is for none that is known."""
    nominal = feature.sizes[0].nominal
    for why in nominal.limits.why if nominal is not None and nominal.limits is not None else ():
        bolt = dict(why.given).get("bolt") if why.key.startswith("limits.bolt_hole") else None
        if isinstance(bolt, str) and (metric := re.fullmatch(r"M(\d+(?:\.\d+)?).*", bolt)):
            return float(metric[1])
        if isinstance(bolt, str):
            try:
                return units.parse_length(bolt)
            except BadInput:
                return math.inf
    return math.inf
