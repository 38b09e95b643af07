"""What a groove on a turned part is for: a V-belt, a retaining ring, an O-ring; said as its reason, the kind stays.

A *V groove* is two cones that fall towards each other, with or without a floor between them. They become one groove;
its width is that at the rim, its angle that between the flanks.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from steadyrest.part.features.cut import Cut, tag_of
from steadyrest.part.features.draft import Draft, diameter, exact, feature_of
from steadyrest.part.features.meeting import EDGE_U_MM
from steadyrest.part.features.profile import Piece
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Feature
from steadyrest.tables.belt_grooves import belt_groove_like
from steadyrest.tables.rings import RingGroove, ring_grooves
from steadyrest.tables.seals import glands_like

NARROWEST_DEG, WIDEST_DEG = 31.0, 43.0  # between the flanks of grooves for V-belts of any section
ALIKE_DEG = 2.0  # how far the two flanks may differ
DEEP_SHARE = 0.35  # of the width: shallower is a neck with leaning walls
RING_OFF_MM = 0.15  # a groove for a ring may be made and seen so far off beyond its limits; judgement
SEAL_OFF_MM = 0.08
HALF_GAP_MM = 0.1  # an O-ring's groove is that much shallower than its depth to the mating part; judgement


@dataclass(frozen=True, slots=True)
class Vee:
    """Two flanks, what lies between them, and the sizes."""

    first: Piece
    last: Piece
    between: tuple[Piece, ...]
    angle_deg: float
    u_deg: float
    width_mm: float
    depth_mm: float
    rim_mm: float


def with_groove_names(cut: Cut, drafts: Sequence[Draft]) -> list[Draft]:
    """The drafts of a turned part with V grooves as one feature each and the other grooves' purposes said.

    Args:
        cut: all that is known of the part. drafts: its features.
    Returns: drafts; the flanks of a V groove are gone into it.
    """
    vees = list(vees_of(cut.line.outside))
    gone = {tag_of(p, inside=False) for vee in vees for p in (vee.first, *vee.between, vee.last)}
    kept = [purpose_said(cut, draft) for draft in drafts if draft.tag not in gone]
    kept = [replace(draft, on=None) if draft.on in gone else draft for draft in kept]
    return [*kept, *(vee_draft(cut, vee) for vee in vees)]


def vees_of(pieces: Sequence[Piece]) -> list[Vee]:
    """Every V groove of a line."""
    found: list[Vee] = []
    at = 0
    while at < len(pieces):
        vee = next((v for j in (at + 1, at + 2) if j < len(pieces) and (v := vee_of(pieces, at, j))), None)
        if vee is not None:
            found.append(vee)
        at += 1 if vee is None else 2 + len(vee.between)
    return found


def vee_of(pieces: Sequence[Piece], i: int, j: int) -> Vee | None:
    """The V groove between two flanks, or None."""
    first, last, between = pieces[i], pieces[j], tuple(pieces[i + 1 : j])
    if not (is_flank(first) and is_flank(last)) or first.low_radius_mm <= first.high_radius_mm:
        return None
    if last.high_radius_mm <= last.low_radius_mm or any(p.ring and p.ring.main.kind != "cylinder" for p in between):
        return None
    assert first.ring is not None
    assert last.ring is not None
    halves = [90 - math.degrees(p.half_angle_rad) for p in (first.ring.main, last.ring.main)]
    u_deg = math.degrees(math.hypot(first.ring.main.u_axis_rad, last.ring.main.u_axis_rad))
    rim = min(first.low_radius_mm, last.high_radius_mm)
    floor = max(first.high_radius_mm, last.low_radius_mm)
    width, depth = last.high.at_mm - first.low.at_mm, rim - floor
    if abs(halves[0] - halves[1]) > ALIKE_DEG + 3 * u_deg or depth < DEEP_SHARE * width:
        return None
    if not NARROWEST_DEG <= sum(halves) <= WIDEST_DEG or sum(p.length_mm for p in between) > 0.8 * width:
        return None
    return Vee(first, last, between, sum(halves), u_deg, width, depth, rim)


def is_flank(piece: Piece) -> bool:
    """Whether a piece is a cone."""
    return piece.ring is not None and piece.ring.main.kind == "cone"


def vee_draft(cut: Cut, vee: Vee) -> Draft:
    """A V groove as one feature, its belt's section said where the table has it."""
    assert vee.first.ring is not None
    assert vee.last.ring is not None
    u_mm = math.hypot(vee.first.low.u_mm, vee.last.high.u_mm)
    floors = [p.ring for p in vee.between if p.ring is not None]
    rough_mm = EDGE_U_MM if cut.graph.noise_mm > 0 else 0.0
    depth_u_mm = math.hypot(floors[0].main.u_unworn_mm, rough_mm) if floors else cut.slack.ragged_mm
    belt = belt_groove_like(
        vee.width_mm, vee.angle_deg, vee.depth_mm, 2 * vee.rim_mm, u_mm=min(u_mm, 0.1), u_deg=min(vee.u_deg, 0.3)
    )
    why = because("features.belt_groove", section=belt.name) if belt else because("features.belt_groove_other")
    feature = feature_of(
        "groove",
        (*vee.first.ring.patches, *vee.last.ring.patches, *(p for ring in floors for p in ring.patches)),
        [
            exact("width_mm", vee.width_mm, u_mm),
            *(diameter(ring.main) for ring in floors[:1]),
            exact("depth_mm", vee.depth_mm, depth_u_mm),
            exact("angle_deg", vee.angle_deg, vee.u_deg),
        ],
        axis=cut.frame.axis,
        at_mm=cut.frame.at((vee.first.low.at_mm + vee.last.high.at_mm) / 2),
        frame=cut.frame,
        along_mm=(vee.first.low.at_mm, vee.last.high.at_mm),
        why=(why,),
    )
    return Draft(feature, tag_of(vee.between[0] if floors else vee.first, inside=False) if floors else "vee "
                 f"{vee.first.low.at_mm:.9f}")  # fmt: skip


def purpose_said(cut: Cut, draft: Draft) -> Draft:
    """A draft as it is, with what a groove is for among its reasons."""
    feature = draft.feature
    said = purpose(cut, feature) if feature.kind == "groove" else None
    return draft if said is None else replace(draft, feature=replace(feature, why=(*feature.why, said)))


def purpose(cut: Cut, feature: Feature) -> Reason | None:
    """What a groove of parallel walls is for, or None where no table has it."""
    width, floor, depth = (feature.size(name) for name in ("width_mm", "diameter_mm", "depth_mm"))
    if width is None or floor is None or depth is None:
        return None
    if any(reason.key == "features.face_groove" for reason in feature.why):
        u_mm = min(3 * width.uncertainty, 0.3) if cut.graph.noise_mm > 0 else 0.0
        seals = glands_like(width.estimate, depth.estimate, within_mm=SEAL_OFF_MM + u_mm)
        faces = [gland for gland in seals if gland.use == "static face"]
        return because("features.o_ring_groove", cord_mm=faces[0].cord_mm) if faces else None
    if any(reason.key == "features.radiused" for reason in feature.why):
        return None
    carrier = floor.estimate + (-2 if feature.inside else 2) * depth.estimate
    u_mm = min(3 * width.uncertainty, 0.3) if cut.graph.noise_mm > 0 else 0.0
    ring = ring_like("bore" if feature.inside else "shaft", carrier, floor.estimate, width.estimate, u_mm)
    if ring is not None:
        return because("features.ring_groove", diameter_mm=ring.diameter_mm)
    seals = glands_like(width.estimate, depth.estimate + HALF_GAP_MM, within_mm=SEAL_OFF_MM + u_mm)
    radial = [gland for gland in seals if gland.use != "static face"]
    return because("features.o_ring_groove", cord_mm=radial[0].cord_mm) if radial else None


def ring_like(on: str, carrier_mm: float, floor_mm: float, width_mm: float, u_mm: float) -> RingGroove | None:
    """The retaining ring's groove that has these sizes on this diameter, or None."""
    near = [
        groove
        for groove in ring_grooves("bore" if on == "bore" else "shaft")
        if abs(groove.diameter_mm - carrier_mm) < max(0.25, 0.01 * carrier_mm)
        and within(floor_mm, groove.groove_limits_mm(), RING_OFF_MM)
        and within(width_mm, groove.width_limits_mm(), RING_OFF_MM + u_mm)
    ]
    return min(near, key=lambda g: abs(g.diameter_mm - carrier_mm) + abs(g.groove_mm - floor_mm), default=None)


def within(value_mm: float, limits_mm: tuple[float, float], off_mm: float) -> bool:
    """Whether a size keeps its limits, or misses them by no more than so much."""
    return limits_mm[0] - off_mm <= value_mm <= limits_mm[1] + off_mm
