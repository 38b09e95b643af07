"""What a hand-over leaves out, so that nobody takes it for the whole part."""

from __future__ import annotations

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Part

OFF_SOLID, OFF_SCAN = 0.002, 0.03  # share of the volume; a scan is worn


def own_volume_mm3(part: Part) -> float | None:
    """The part's volume: of its closed surface, else of its cells; None where it has neither."""
    if part.volume_mm3 or part.grid is None:
        return part.volume_mm3
    return float(part.grid.filled().sum()) * part.grid.pitch_mm**3


def volume_off(part: Part, drawn_mm3: float) -> tuple[Reason, ...]:
    """How far the volume of what is drawn is from that of the file, where that is worth saying.

    Args:
        part: its volume as read, if it has one. drawn_mm3: of the solid that is handed over.
    Returns: one reason, or none.
    """
    own = own_volume_mm3(part)
    if not own or part.unit.state == "ask":
        return ()
    off = drawn_mm3 / own - 1
    if abs(off) <= (OFF_SCAN if part.kind == "scan" else OFF_SOLID):
        return ()
    return (because("handover.volume_more" if off > 0 else "handover.volume_less", percent=f"{100 * abs(off):.2g}"),)


def left_out(part: Part, drawn: frozenset[str]) -> tuple[Reason, ...]:
    """The features that are not in a hand-over.

    Args:
        part: all of it.
        drawn: ids of keyways, holes, flats, recesses and fillets that are in.
    Returns: one reason a kind of feature left out, and one where sizes were used that nobody named.
    """
    stretches = (*part.profile.outside, *part.profile.inside) if part.profile else ()
    in_profile = {stretch.feature for stretch in stretches}
    missing: dict[str, list[str]] = {}
    for feature in part.features:
        apart = any(reason.key == "features.face_apart" for reason in feature.why)
        if feature.id in drawn or feature.id in in_profile or (feature.kind == "face" and not apart):
            continue
        missing.setdefault(feature.kind, []).append(feature.id)
    reasons = [because("handover.left_out", kind=kind, features=", ".join(ids)) for kind, ids in missing.items()]
    unnamed = [f.id for f in part.features if f.id in in_profile and any(s.nominal is None for s in f.sizes)]
    if unnamed:
        reasons.append(because("handover.as_estimated", features=", ".join(unnamed)))
    if part.unit.state == "ask":
        reasons.append(because("handover.unit_unknown"))
    return tuple(reasons)


def as_read(part: Part) -> tuple[Reason, ...]:
    """Of a scan that is not turned: that faces which no named size places stand where they were read."""
    if part.kind != "scan":
        return ()
    unnamed = [f.id for f in part.features if f.kind == "face" or any(s.nominal is None for s in f.sizes)]
    return (because("handover.as_read", features=", ".join(unnamed)),) if unnamed else ()


def ids_left(reasons: tuple[Reason, ...]) -> frozenset[str]:
    """The features that reasons say were left out."""
    named = (
        str(value) for r in reasons if r.key == "handover.left_out" for name, value in r.given if name == "features"
    )
    return frozenset(one for some in named for one in some.split(", "))
