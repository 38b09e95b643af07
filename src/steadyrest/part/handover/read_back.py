"""Whether the nominal solid reads back as it was meant: by our own reader, size for size."""

from __future__ import annotations

from steadyrest.part.handover.nominal_profile import named_mm
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Feature, Part

SIZED = ("bore", "shaft", "boss", "slot", "keyway", "pocket", "cone", "groove")
ACROSS = ("diameter_mm", "width_mm")
OFF_MM = 0.005
ROUND_KINDS = {"shaft": "round", "boss": "round"}  # the same cylinder, on a turned part and on another
NARROW_KINDS = {"slot": "cut", "keyway": "cut", "pocket": "cut", "groove": "cut"}


def not_read_back(part: Part, again: Part, left: frozenset[str]) -> tuple[Reason, ...]:
    """What of a part is not found in its nominal solid.

    Args:
        part: as read. again: its nominal solid, read. left: ids of features that were left out and said.
    Returns: one reason for the sizes that are missing, one where it has more bodies; none if all is there.
    """
    there: dict[str, list[float]] = {}
    for feature in again.features:
        for name in ACROSS:
            if (size := feature.size(name)) is not None:
                there.setdefault(kind_of(feature), []).append(size.estimate)
    missing: list[str] = []
    for feature in part.features:
        if feature.kind not in SIZED or feature.id in left:
            continue
        size = next((s for name in ACROSS if (s := feature.size(name)) is not None), None)
        if size is None:
            continue
        wanted = named_mm(size, size.estimate)
        own = there.get(kind_of(feature), [])
        near = min(own, key=lambda value: abs(value - wanted), default=None)
        if near is None or abs(near - wanted) > OFF_MM:
            missing.append(feature.id)
        else:
            own.remove(near)
    reasons = [because("handover.not_read_back", features=", ".join(missing))] if missing else []
    if (again.solids or 1) > (part.solids or 1):
        reasons.append(because("handover.in_pieces", count=float(again.solids or 1)))
    return tuple(reasons)


def other_faces(part: Part, again: Part) -> tuple[Reason, ...]:
    """That the drawn solid has more or fewer faces than the file's, if it has; a scan has no faces of its own.

    Args:
        part: as read. again: its nominal solid, read; both with their surfaces.
    Returns: one reason, or none.
    """
    own, drawn = len(part.surfaces), len(again.surfaces)
    if part.kind == "scan" or not own or own == drawn:
        return ()
    return (because("handover.other_faces", own=float(own), drawn=float(drawn)),)


def kind_of(feature: Feature) -> str:
    return ROUND_KINDS.get(feature.kind) or NARROW_KINDS.get(feature.kind) or feature.kind
